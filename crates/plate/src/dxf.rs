//! Drawing files in DXF: written as R2000 ASCII, read from R12 on.
//!
//! Group codes and entities as published in the DXF reference of R2000 (AC1015).

mod chain;
mod entity;
mod pair;
mod read;
mod write;

pub use read::{Reading, read};
pub use write::write;
