//! How much a scan may hold, and what all readers say about too little or too much.

use geom::DVec3;

use crate::fault::{Fault, Place};

/// The most points that a file may list, and the most triangles.
pub const MOST: u64 = 10_000_000;

/// The farthest that a coordinate may be from 0, in the file's units: beyond it squares lose all sense.
pub const FARTHEST: f64 = 1e12;

/// The fault of a file that lists more than [`MOST`] of `what`.
pub(crate) fn too_many(count: u64, what: &str) -> Fault {
    let message = format!("the file holds {} {what}; at most {} are read", grouped(count), grouped(MOST));
    Fault::new(Place::Whole, "too-many", message, "thin the scan, or cut away what is far from the header")
}

/// The fault of a file without a single one of `what`.
pub(crate) fn nothing(what: &str) -> Fault {
    let message = format!("the file holds no {what}");
    Fault::new(Place::Whole, "nothing", message, "export the scan again with something in it")
}

/// The fault of a file that ends before what it promises.
pub(crate) fn truncated(length: u64, message: String) -> Fault {
    Fault::new(Place::Byte(length), "truncated", message, "copy or export the file again: its end is missing")
}

/// Points whose coordinates cannot be used, counted while the rest is read.
#[derive(Default)]
pub(crate) struct Bad {
    count: u64,
    first: Option<(Place, DVec3)>,
}

impl Bad {
    /// Whether `point` can be used; if not it is counted, and the first is kept.
    pub(crate) fn passes(&mut self, point: DVec3, place: impl FnOnce() -> Place) -> bool {
        let fine = point.abs().cmple(DVec3::splat(FARTHEST)).all();
        if !fine {
            self.count += 1;
            self.first.get_or_insert_with(|| (place(), point));
        }
        fine
    }

    /// Errors: the first of the points that did not pass, and how many there are.
    pub(crate) fn settled(self, what: &str) -> Result<(), Fault> {
        let Some((place, DVec3 { x, y, z })) = self.first else { return Ok(()) };
        let many =
            if self.count == 1 { String::new() } else { format!(", the first of {}", grouped(self.count)) };
        Err(if x.is_finite() && y.is_finite() && z.is_finite() {
            let message =
                format!("a {what} at ({x:.3e}, {y:.3e}, {z:.3e}) is farther from 0 than {FARTHEST:e}{many}");
            Fault::new(place, "too-far", message, "export the scan again, about an origin near the car")
        } else {
            let message = format!("a {what} at ({x}, {y}, {z}) is not a place in space{many}");
            Fault::new(
                place,
                "not-finite",
                message,
                "remove such points in the scan's program and export it again",
            )
        })
    }
}

/// Indices beyond the points, counted while the rest is read.
pub(crate) struct BadIndices {
    /// How many points there are.
    points: u64,
    /// The file's number for the first point.
    base: i64,
    count: u64,
    first: Option<(Place, i64)>,
}

impl BadIndices {
    /// Of a file that calls the first of so many points `base`.
    pub(crate) fn new(points: u64, base: i64) -> BadIndices {
        BadIndices { points, base, count: 0, first: None }
    }

    /// `index`, as the file counts, from 0, if it is one of the points; if not it is counted, the first is
    /// kept, and 0 stands for it.
    pub(crate) fn passed(&mut self, index: i64, place: impl FnOnce() -> Place) -> u32 {
        match u32::try_from(index.saturating_sub(self.base)) {
            Ok(fine) if u64::from(fine) < self.points => fine,
            _ => {
                self.count += 1;
                self.first.get_or_insert_with(|| (place(), index));
                0
            }
        }
    }

    /// Errors: the first of the indices that did not pass, and how many there are.
    pub(crate) fn settled(self) -> Result<(), Fault> {
        let Some((place, index)) = self.first else { return Ok(()) };
        let many =
            if self.count == 1 { String::new() } else { format!(", the first of {}", grouped(self.count)) };
        let (points, base) = (counted(self.points, "point"), self.base);
        let message = format!("a face asks for point {index} of {points} counted from {base}{many}");
        Err(Fault::new(place, "index", message, "export the file again: its faces do not fit its points"))
    }
}

/// Polygons cut into triangles, all from the polygon's first corner. Of a flat polygon that is not convex they
/// cover more than it, never less.
#[derive(Default)]
pub(crate) struct Fan {
    triangles: Vec<[u32; 3]>,
    count: u64,
    first: u32,
    last: u32,
    corners: u64,
}

impl Fan {
    /// Makes room for so many triangles.
    pub(crate) fn expect(&mut self, triangles: usize) {
        self.triangles.reserve_exact(triangles.min(MOST as usize));
    }

    /// The polygon's next corner.
    pub(crate) fn corner(&mut self, index: u32) {
        match self.corners {
            0 => self.first = index,
            1 => {}
            _ => {
                self.count += 1;
                if self.count <= MOST {
                    self.triangles.push([self.first, self.last, index]);
                }
            }
        }
        self.last = index;
        self.corners += 1;
    }

    /// The polygon's end. Errors: it had fewer than three corners.
    pub(crate) fn close(&mut self, place: Place) -> Result<(), Fault> {
        let corners = std::mem::take(&mut self.corners);
        if corners >= 3 {
            return Ok(());
        }
        let message = format!("a face has {}; it must have at least 3", counted(corners, "corner"));
        Err(Fault::new(place, "corners", message, "remove such faces and export the file again"))
    }

    /// Errors: more than [`MOST`].
    pub(crate) fn into_triangles(self) -> Result<Vec<[u32; 3]>, Fault> {
        if self.count > MOST { Err(too_many(self.count, "triangles")) } else { Ok(self.triangles) }
    }
}

/// `12,345,678`.
pub(crate) fn grouped(count: u64) -> String {
    let digits = count.to_string();
    let mut out = String::new();
    for (k, digit) in digits.chars().enumerate() {
        if k > 0 && (digits.len() - k).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    out
}

/// `1 triangle`, `2 triangles`.
pub(crate) fn counted(count: u64, one: &str) -> String {
    format!("{} {one}{}", grouped(count), if count == 1 { "" } else { "s" })
}
