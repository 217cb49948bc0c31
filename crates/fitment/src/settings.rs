//! How a header is to be printed.

use spec::shop::Printer;

/// What is asked of a fitment model.
#[derive(Clone, Debug, PartialEq)]
pub struct Settings {
    /// The printer, as the shop file has it.
    pub printer: Printer,
    /// How full the parts are.
    pub variant: Variant,
    /// Largest distance between a mesh and the true surface, mm.
    pub chord: f64,
    /// How many threads may work.
    pub threads: usize,
}

/// How full the parts are. The outside of flanges, merges and joints is the same in each, and so is what stands
/// furthest out along the tubes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Variant {
    /// Full: strong, and quick to slice.
    Solid,
    /// Hollow, as the steel is; closed around the joints.
    Shell,
    /// A rod along the centreline with spoked rings of the tube's size; flanges, merges and mitres hollow as the steel is,
    /// joints full: least plastic.
    Skeleton,
}

impl Variant {
    /// `solid`, `shell` or `skeleton`.
    pub fn name(self) -> &'static str {
        match self {
            Variant::Solid => "solid",
            Variant::Shell => "shell",
            Variant::Skeleton => "skeleton",
        }
    }
}

/// Largest distance between a printed part's mesh and the true surface, mm.
pub const CHORD: f64 = 0.02;
