//! PLY files: a surface with a number and a colour at every point.
//!
//! Greg Turk, The PLY Polygon File Format (1994); binary, little end first. Colours are the usual `red`, `green`,
//! `blue` of 0 to 255; the number is a property of our own, said in a comment.

use geom::DVec3;

/// A surface with the clearance of its points.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Coloured {
    /// Its points.
    pub spots: Vec<Spot>,
    /// Three indices into the points each; seen from outside they run anticlockwise.
    pub triangles: Vec<[u32; 3]>,
}

/// A point of a surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spot {
    /// Where, mm.
    pub at: DVec3,
    /// How near it comes to the bay, mm.
    pub clearance: f64,
    /// How much more that is than is wanted there, mm: it gives the colour.
    pub margin: f64,
}

/// The surface as the bytes of a PLY file.
pub fn clearance_ply(surface: &Coloured) -> Vec<u8> {
    let mut bytes = head(surface).into_bytes();
    bytes.reserve(19 * surface.spots.len() + 13 * surface.triangles.len());
    for spot in &surface.spots {
        for x in spot.at.to_array().into_iter().chain([spot.clearance]) {
            bytes.extend((x as f32 + 0.0).to_le_bytes());
        }
        bytes.extend(colour(spot.margin));
    }
    for triangle in &surface.triangles {
        bytes.push(3);
        triangle.iter().for_each(|k| bytes.extend(k.to_le_bytes()));
    }
    bytes
}

fn head(surface: &Coloured) -> String {
    format!(
        "ply\nformat binary_little_endian 1.0\n\
         comment hotside: the header's outside, millimetres, cold and at rest\n\
         comment clearance_mm: to the obstacle that leaves the least room beyond the clearance that it needs\n\
         comment red: at or below that clearance; yellow: {HALF} mm beyond it; blue-grey: {FAR} mm or more\n\
         element vertex {}\nproperty float x\nproperty float y\nproperty float z\nproperty float clearance_mm\n\
         property uchar red\nproperty uchar green\nproperty uchar blue\n\
         element face {}\nproperty list uchar uint vertex_indices\nend_header\n",
        surface.spots.len(),
        surface.triangles.len()
    )
}

/// The colour of a margin, mm.
pub fn colour(margin: f64) -> [u8; 3] {
    let mixed = |from: [f64; 3], to: [f64; 3], share: f64| {
        std::array::from_fn(|k| (from[k] + (to[k] - from[k]) * share).round() as u8)
    };
    if margin < HALF {
        mixed(RED, YELLOW, (margin / HALF).max(0.0))
    } else {
        mixed(YELLOW, BLUE_GREY, ((margin - HALF) / (FAR - HALF)).min(1.0))
    }
}

/// The margin of yellow, mm.
const HALF: f64 = 10.0;

/// The margin from which there is room enough, mm.
const FAR: f64 = 50.0;

const RED: [f64; 3] = [205.0, 38.0, 32.0];
const YELLOW: [f64; 3] = [240.0, 205.0, 60.0];
const BLUE_GREY: [f64; 3] = [126.0, 146.0, 166.0];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn colours_go_from_red_through_yellow_to_blue_grey() {
        assert_eq!([-30.0, 0.0].map(colour), [[205, 38, 32]; 2]);
        assert_eq!(colour(10.0), [240, 205, 60]);
        assert_eq!([50.0, 900.0, f64::INFINITY].map(colour), [[126, 146, 166]; 3]);
        assert_eq!(colour(5.0), [223, 122, 46]);
    }

    #[test]
    fn the_bytes_are_as_many_as_the_head_says() {
        let spot = |at, clearance| Spot { at, clearance, margin: 0.0 };
        let spots = vec![spot(DVec3::ZERO, 1.0), spot(DVec3::X, 2.5), spot(DVec3::Y, 3.0)];
        let bytes = clearance_ply(&Coloured { spots, triangles: vec![[0, 1, 2]] });
        let end = bytes.windows(11).position(|w| w == b"end_header\n").unwrap() + 11;
        assert_eq!(bytes.len() - end, 3 * (4 * 4 + 3) + 13);
        assert_eq!(bytes[end + 19 + 12..end + 19 + 16], 2.5_f32.to_le_bytes());
    }
}
