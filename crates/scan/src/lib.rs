//! Scans of what stands around a header: a file's bytes in, points and triangles out.
//!
//! A scan stays in its file's own units and axes, in full precision; [`geom::Similarity`] carries it
//! into the car.
//!
//! ```
//! let scan = scan::read(b"# three points\n0 0 0\n10 0 0\n0 10 0\n", scan::Format::Xyz).unwrap();
//! assert_eq!(scan.loose.len(), 3);
//! ```

mod bulk;
mod e57;
mod fault;
mod format;
mod hole;
mod isolated;
mod las;
mod looks;
mod obj;
mod ply;
mod read;
mod scan;
mod spacing;
mod stl;
mod text;
mod weld;
mod xyz;

pub use bulk::{FARTHEST, MOST};
pub use fault::{Fault, Place};
pub use format::Format;
pub use hole::{Hole, Rim};
pub use read::read;
pub use scan::Scan;
pub use spacing::Spacing;
