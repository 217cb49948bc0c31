//! hotside
fn main() {}
