//! How far points are from a scan, and how long that takes: `cargo run --example points_to_scan SCAN POINTS [THREADS]`.
//!
//! POINTS holds x, y and z of each point, 8 bytes a number (little-endian), in the scan's own units. Prints the
//! seconds for reading, for the tree and for the questions (wall clock), and the mean distance.

use std::error::Error;
use std::path::Path;
use std::time::Instant;

use distance::Tree;
use geom::DVec3;
use scan::Format;

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [scan, points, rest @ ..] = &arguments[..] else {
        return Err("points_to_scan SCAN POINTS [THREADS]".into());
    };
    let threads = rest.first().map_or(Ok(1), |count| count.parse())?;
    let start = Instant::now();
    let ending = Path::new(scan).extension().unwrap_or_default().to_string_lossy();
    let format = Format::of_ending(&ending).ok_or("no scan has that ending")?;
    let scan = scan::read(&std::fs::read(scan)?, format).map_err(|fault| fault.to_string())?;
    let read = start.elapsed();
    let tree = Tree::new(scan.points, scan.triangles, scan.loose);
    let built = start.elapsed();
    let points = points_of(&std::fs::read(points)?);
    let asked = Instant::now();
    let distances = distances(&tree, &points, threads);
    let took = asked.elapsed();
    let mean = distances.iter().sum::<f64>() / distances.len() as f64;
    println!(
        "{{\"read\": {:.4}, \"tree\": {:.4}, \"ask\": {:.4}, \"points\": {}, \"mean\": {mean:.9}}}",
        read.as_secs_f64(),
        (built - read).as_secs_f64(),
        took.as_secs_f64(),
        points.len()
    );
    Ok(())
}

fn points_of(bytes: &[u8]) -> Vec<DVec3> {
    let number = |k: usize, bytes: &[u8]| f64::from_le_bytes(std::array::from_fn(|i| bytes[8 * k + i]));
    bytes.chunks_exact(24).map(|row| DVec3::new(number(0, row), number(1, row), number(2, row))).collect()
}

/// From each point to the tree, mm; the same for any number of threads.
fn distances(tree: &Tree, points: &[DVec3], threads: usize) -> Vec<f64> {
    let each = points.len().div_ceil(threads.max(1)).max(1);
    let share = |points: &[DVec3]| -> Vec<f64> {
        let touches = tree.nearest_to_points(points, &vec![f64::INFINITY; points.len()]);
        touches.iter().map(|touch| touch.map_or(f64::INFINITY, |touch| touch.distance)).collect()
    };
    let share = &share;
    std::thread::scope(|scope| {
        let threads: Vec<_> = points.chunks(each).map(|part| scope.spawn(move || share(part))).collect();
        threads.into_iter().flat_map(|thread| thread.join().expect("it does not panic")).collect()
    })
}

#[test]
fn corners_of_a_square_are_on_it() {
    let corners = [DVec3::ZERO, DVec3::X, DVec3::new(1.0, 1.0, 0.0), DVec3::Y];
    let tree = Tree::new(corners.to_vec(), vec![[0, 1, 2], [0, 2, 3]], vec![]);
    let asked: Vec<u8> =
        corners.iter().flat_map(|p| (*p + 3.0 * DVec3::Z).to_array()).flat_map(f64::to_le_bytes).collect();
    assert_eq!(distances(&tree, &points_of(&asked), 3), [3.0; 4]);
}
