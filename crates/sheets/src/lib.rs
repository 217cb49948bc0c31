//! Documents for the bench: CSV sheets, the packet and the templates.

pub mod canvas;
pub mod font;
pub mod pdf;

pub use pdf::SheetError;
