//! Damaged files are refused or read soundly: no panic, whatever stands in them.
//!
//! `HOTSIDE_ROUNDS=1000000` asks for many of each format, `HOTSIDE_SEED` for others. Under `ulimit -v` a reader
//! that takes memory for what a file only promises is killed. A file that makes a reader panic is written into
//! the system's folder for temporary files, and belongs into panics/ once it is mended.

use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use damage::{Dice, damage, mend_pages};
use geom::Similarity;
use scan::{FARTHEST, Format, Scan, read};

mod damage;

fn files(folder: &str, ending: &str) -> Vec<Vec<u8>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
    let entries = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    let mut paths: Vec<PathBuf> =
        entries.filter(|path| path.extension().is_some_and(|e| e == ending)).collect();
    paths.sort();
    paths.iter().map(|path| fs::read(path).unwrap()).collect()
}

fn asked(name: &str) -> Option<u64> {
    std::env::var(name).ok()?.parse().ok()
}

/// What every scan promises.
fn check(scan: Scan) {
    let count = scan.points.len();
    assert!(!scan.triangles.is_empty() || !scan.loose.is_empty());
    assert!(scan.points.iter().all(|point| point.is_finite() && point.abs().max_element() <= FARTHEST));
    let mut used = vec![0; count];
    scan.triangles.iter().flatten().for_each(|index| used[*index as usize] = 1);
    scan.loose.iter().for_each(|index| used[*index as usize] += 2);
    assert!(used.iter().all(|uses| *uses == 1 || *uses == 2));
    let rim = scan.rim();
    assert!(rim.holes.iter().all(|hole| hole.length.is_finite() && hole.across <= hole.length));
    assert_eq!(scan.spacing().is_some(), scan.loose.len() > 1);
    let (before, loose) = (scan.triangles.len(), scan.loose.len());
    let (left, out) = scan.placed(&Similarity::scaling(25.4)).filtered(1.0, 2);
    assert_eq!(left.triangles.len() + out.triangles.len(), before);
    assert_eq!(left.loose.len() + out.loose.len(), loose);
}

fn damaged_files_do_no_harm(format: Format) {
    let ending = format.name().to_ascii_lowercase();
    let good = files("../../tests/reference/scans", &ending);
    let seeds: Vec<Vec<u8>> = good.iter().cloned().chain(files("tests/bad", &ending)).collect();
    let rounds = asked("HOTSIDE_ROUNDS").unwrap_or(3000);
    let mut dice = Dice(asked("HOTSIDE_SEED").unwrap_or(20_260_101));
    let mut read_whole = 0;
    for round in 0..rounds {
        let from = if dice.below(4) == 0 { &seeds } else { &good };
        let mut file = from[dice.below(from.len())].clone();
        let other = seeds[dice.below(seeds.len())].clone();
        damage(&mut dice, &mut file, &other);
        if format == Format::E57 && dice.below(10) > 0 {
            mend_pages(&mut file);
        }
        let begin = Instant::now();
        let outcome = catch_unwind(AssertUnwindSafe(|| read(&file, format).map(check).is_ok()));
        // Only a long run judges time: an ordinary test may have to wait for its machine.
        let slow = rounds > 100_000 && begin.elapsed() > Duration::from_secs(2);
        if outcome.is_err() || slow {
            let path = std::env::temp_dir().join(format!("damaged-{round}.{ending}"));
            fs::write(&path, &file).unwrap();
            panic!("round {round}: {} {}", path.display(), if slow { "takes long" } else { "panics" });
        }
        read_whole += u64::from(outcome.unwrap_or(false));
    }
    // Some damage does not show; most does.
    assert!(read_whole > rounds / 100 && read_whole < rounds, "{read_whole} of {rounds} were read");
}

#[test]
fn stl() {
    damaged_files_do_no_harm(Format::Stl);
}

#[test]
fn ply() {
    damaged_files_do_no_harm(Format::Ply);
}

#[test]
fn obj() {
    damaged_files_do_no_harm(Format::Obj);
}

#[test]
fn xyz() {
    damaged_files_do_no_harm(Format::Xyz);
}

#[test]
fn e57() {
    damaged_files_do_no_harm(Format::E57);
}

#[test]
fn las() {
    damaged_files_do_no_harm(Format::Las);
}
