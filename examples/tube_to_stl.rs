//! A tube from bend rows to an STL file: `cargo run --example tube_to_stl [FILE]`.
//!
//! The tube is invented.

use std::error::Error;

use geom::angle::from_degrees;
use geom::{DVec3, Frame};
use solids::{MeshSettings, part_mesh};
use tube::{Centreline, Cut, Piece, Row, Rows, Section, alloy};

fn main() -> Result<(), Box<dyn Error>> {
    let file = std::env::args().nth(1).unwrap_or_else(|| "out/tube.stl".into());
    let bytes = tube()?;
    std::fs::write(&file, &bytes)?;
    println!("{file}: {} triangles", (bytes.len() - 84) / 50);
    Ok(())
}

/// Two bends, a quarter turn between them.
fn tube() -> Result<Vec<u8>, Box<dyn Error>> {
    let row = |feed, rotate, bend| Row {
        feed,
        rotate: from_degrees(rotate),
        bend: from_degrees(bend),
        radius: 70.0,
    };
    let rows = Rows { rows: vec![row(80.0, 0.0, 60.0), row(100.0, 90.0, 35.0)], tail: 60.0 };
    let start = Frame::new(DVec3::ZERO, DVec3::X, DVec3::Z).ok_or("the frame has no direction")?;
    let line = Centreline::from_rows(start, &rows);
    let alloy = alloy::alloy("304").ok_or("no such alloy")?;
    let (length, section) = (line.length(), Section { od: 45.0, wall: 1.2, alloy });
    let piece = Piece::tube(line, section, Cut::square(0.0), Cut::square(length)).ok_or("no metal left")?;
    let mesh = part_mesh(&piece, MeshSettings::default()).map_err(|e| format!("{e:?}"))?;
    Ok(models::stl(&mesh).map_err(|e| format!("{e:?}"))?)
}

#[test]
fn the_file_holds_what_its_count_says() {
    let bytes = tube().unwrap_or_else(|e| panic!("{e}"));
    let count = u32::from_le_bytes([bytes[80], bytes[81], bytes[82], bytes[83]]);
    assert!(count > 100);
    assert_eq!(bytes.len(), 84 + 50 * count as usize);
}
