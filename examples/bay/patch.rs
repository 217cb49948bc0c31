//! Surfaces of a bay: panels and round parts with ribs, bosses and dents, and with places that no scanner saw.

use geom::math::sin_cos;
use geom::{DVec3, Frame};

use crate::random::{eased, smooth_noise};

/// A surface over a rectangle: `u` and `v` from 0 to its size, mm; its front is on the side of `u` x `v`.
pub struct Patch {
    pub form: Form,
    pub size: [f64; 2],
    pub relief: Vec<Relief>,
    pub unseen: Vec<Unseen>,
}

pub enum Form {
    /// A flat panel from a corner along two unit vectors.
    Flat { corner: DVec3, u: DVec3, v: DVec3 },
    /// Part of a round bar or cone: `u` goes around by `sweep` (rad) from clock `start`, `v` along the axis.
    Round { axis: Frame, radii: [f64; 2], start: f64, sweep: f64 },
}

/// What stands out of a surface, mm.
#[derive(Clone, Copy)]
pub enum Relief {
    /// Swages `every` so far along u (0) or v (1).
    Ribs { across: usize, every: f64, width: f64, height: f64 },
    /// A round raised place.
    Boss { at: [f64; 2], radius: f64, height: f64 },
    /// Unevenness over cells of this size.
    Waves { cell: f64, height: f64 },
}

/// A place without data.
#[derive(Clone, Copy)]
pub enum Unseen {
    /// A round place: what the scan's owner cut out, or what stood before it.
    Disc { at: [f64; 2], radius: f64 },
    /// Spots about as large as a cell, where smooth noise is above a limit.
    Spots { cell: f64, above: f64 },
}

impl Patch {
    /// A flat panel from `corner` along two edges; it is as uneven and as badly seen as sheet metal in a bay is.
    pub fn panel(corner: [f64; 3], u: [f64; 3], v: [f64; 3]) -> Patch {
        let (u, v) = (DVec3::from(u), DVec3::from(v));
        let form = Form::Flat { corner: DVec3::from(corner), u: u.normalize(), v: v.normalize() };
        Patch::rough(form, [u.length(), v.length()])
    }

    /// The half of a round bar that looks toward `facing`.
    pub fn bar(from: [f64; 3], to: [f64; 3], diameter: f64, facing: [f64; 3]) -> Patch {
        Patch::cone(from, to, [diameter, diameter], facing)
    }

    /// The half of a cone that looks toward `facing`; its diameters at both ends.
    pub fn cone(from: [f64; 3], to: [f64; 3], diameters: [f64; 2], facing: [f64; 3]) -> Patch {
        let along = DVec3::from(to) - DVec3::from(from);
        let axis = Frame::new(DVec3::from(from), along, DVec3::from(facing)).expect("it faces sideways");
        let sweep = std::f64::consts::PI;
        let form = Form::Round { axis, radii: diameters.map(|d| d / 2.0), start: -sweep / 2.0, sweep };
        Patch::rough(form, [sweep * (diameters[0] + diameters[1]) / 4.0, along.length()])
    }

    /// The faces of a box that a scanner sees: `"+x"` is the one that looks along x.
    pub fn faces(low: [f64; 3], high: [f64; 3], faces: &[&str]) -> Vec<Patch> {
        let face = |name: &&str| {
            let axis = "xyz".find(&name[1..]).expect("an axis");
            let (next, last) = ((axis + 1) % 3, (axis + 2) % 3);
            let edge = |i: usize| {
                let mut edge = [0.0; 3];
                edge[i] = high[i] - low[i];
                edge
            };
            let mut corner = low;
            let out = name.starts_with('+');
            if out {
                corner[axis] = high[axis];
            }
            let (u, v) = if out { (next, last) } else { (last, next) };
            Patch::panel(corner, edge(u), edge(v))
        };
        faces.iter().map(face).collect()
    }

    fn rough(form: Form, size: [f64; 2]) -> Patch {
        let relief = vec![Relief::Waves { cell: 110.0, height: 1.2 }];
        let unseen = vec![Unseen::Spots { cell: 75.0, above: 0.86 }];
        Patch { form, size, relief, unseen }
    }

    pub fn with(mut self, relief: Relief) -> Patch {
        self.relief.push(relief);
        self
    }

    pub fn without(mut self, unseen: Unseen) -> Patch {
        self.unseen.push(unseen);
        self
    }

    /// Cells along u and v, no wider than `spacing`; a round part has twelve or more around.
    pub fn cells(&self, spacing: f64) -> [usize; 2] {
        let least = match self.form {
            Form::Flat { .. } => 1,
            Form::Round { .. } => 6,
        };
        let [u, v] = self.size.map(|size| (size / spacing).ceil() as usize);
        [u.max(least), v.max(1)]
    }

    /// The point at `u`, `v` and so far in front of the surface, mm.
    pub fn point(&self, [u, v]: [f64; 2], height: f64) -> DVec3 {
        match &self.form {
            Form::Flat { corner, u: along, v: up } => {
                *corner + *along * u + *up * v + along.cross(*up) * height
            }
            Form::Round { axis, radii, start, sweep } => {
                let radius = radii[0] + (radii[1] - radii[0]) * v / self.size[1];
                let (s, c) = sin_cos(start + sweep * u / self.size[0]);
                axis.at + axis.along * v + (axis.inside * c + axis.side() * s) * (radius + height)
            }
        }
    }

    /// How far the surface's relief stands out at a place, mm.
    pub fn height(&self, seed: u64, at: [f64; 2]) -> f64 {
        let out = |relief: &Relief| match *relief {
            Relief::Ribs { across, every, width, height } => {
                let off = (at[across] / every).rem_euclid(1.0) - 0.5;
                height * eased(2.0 - 2.0 * (off * every).abs() / width * 2.0)
            }
            Relief::Boss { at: middle, radius, height } => {
                height * eased(4.0 - 4.0 * distance(at, middle) / radius)
            }
            Relief::Waves { cell, height } => height * (2.0 * smooth_noise(seed, at, cell) - 1.0),
        };
        self.relief.iter().map(out).sum()
    }

    /// Whether the scanner saw a place.
    pub fn seen(&self, seed: u64, at: [f64; 2]) -> bool {
        !self.unseen.iter().any(|unseen| match *unseen {
            Unseen::Disc { at: middle, radius } => distance(at, middle) < radius,
            Unseen::Spots { cell, above } => smooth_noise(!seed, at, cell) > above,
        })
    }
}

fn distance(a: [f64; 2], b: [f64; 2]) -> f64 {
    ((a[0] - b[0]) * (a[0] - b[0]) + (a[1] - b[1]) * (a[1] - b[1])).sqrt()
}
