//! Documents for the bench: CSV sheets, the packet and the templates.
//!
//! Everything is drawn in mm on a [`canvas::Canvas`] first; [`pdf`] writes canvases 1:1.

pub mod bend_sheet;
mod bought_sheet;
pub mod canvas;
mod cautions;
mod clearance_sheet;
pub mod cone_pattern;
pub mod csv;
mod drawn_sheet;
pub mod edge;
pub mod figure;
mod fitment_cautions;
mod fitment_checks;
mod fitment_picture;
mod fitment_plates;
mod fitment_sheet;
mod fitment_way;
mod fitting_section;
mod fitting_sheet;
mod flange_sheet;
mod folio;
pub mod font;
mod framed;
mod head;
pub mod hole_sheet;
pub mod hole_template;
mod joint_list;
mod labels;
mod merge_sheet;
pub mod packet;
mod part_view;
pub mod pdf;
mod picture;
mod plate_picture;
mod plug_sheet;
mod projection;
mod saw_sheet;
pub mod stick;
pub mod stock_list;
mod strip;
mod summary;
mod table;
pub mod templates;
mod tile;
pub mod wrap;

pub use bend_sheet::BendSheet;
pub use bought_sheet::BoughtSheet;
pub use fitment_sheet::{fitment, fitment_pages};
pub use packet::packet;
pub use pdf::SheetError;
pub use templates::templates;
