//! Short programs on the crates' public API; each is run by its own test.
