//! How long the parts of `build` take for `specs/quarry-eight.toml` and `specs/hill-five.toml`: geometry,
//! meshes and sheets, each alone.
//! `tests/bench_build.sh` times the whole process.

use std::fs;
use std::hint::black_box;
use std::path::PathBuf;

use clearance::Clearance;
use criterion::{Criterion, criterion_group, criterion_main};
use layout::Layout;
use sheets::csv;
use solids::{Mesh, MeshSettings, part_mesh};
use spec::{Design, Source, read_design};

/// A file of `specs/`, already in memory: the benchmarks time no disk.
fn source(name: &str) -> Source {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../specs").join(name);
    let bytes = fs::read(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    Source::from_bytes(name, &bytes).unwrap_or_else(|fault| panic!("{fault}"))
}

/// Spec text to a header in space.
fn geometry(spec: &Source, shop: &Source) -> (Design, Layout) {
    let read = read_design(spec, &mut |_| Ok(shop.clone()));
    let (design, _) = read.unwrap_or_else(|faults| panic!("{} faults in the spec", faults.len()));
    let laid = layout::lay(&design);
    let layout = laid.unwrap_or_else(|faults| panic!("{} faults in the layout", faults.len()));
    (design, layout)
}

/// The mesh of every piece, at the chord error that packets have.
fn meshes(layout: &Layout) -> Vec<Mesh> {
    let mesh = |part: &layout::layout::Part| {
        let mesh = part_mesh(&part.piece, MeshSettings::default());
        mesh.unwrap_or_else(|fault| panic!("piece {}: {fault}", part.mark))
    };
    layout.pieces.iter().map(mesh).collect()
}

fn demos(criterion: &mut Criterion) {
    parts(criterion, "quarry-eight", "quarry.shop.toml");
    parts(criterion, "hill-five", "shed.shop.toml");
}

fn parts(criterion: &mut Criterion, name: &str, shop: &str) {
    let (spec, shop) = (source(&format!("{name}.toml")), source(shop));
    let (design, layout) = geometry(&spec, &shop);
    let made = meshes(&layout);
    let tables = [csv::runs, csv::pieces, csv::bends, csv::cuts, csv::joints];
    let mut group = criterion.benchmark_group(name);
    group.sample_size(20);
    group.bench_function("geometry", |b| b.iter(|| geometry(black_box(&spec), black_box(&shop))));
    group.bench_function("meshes", |b| b.iter(|| meshes(black_box(&layout))));
    group.bench_function("header.stl", |b| b.iter(|| models::header_stl(black_box(&made))));
    group.bench_function("tables", |b| b.iter(|| tables.map(|table| table(black_box(&design), &layout))));
    let none = Clearance::default();
    group.bench_function("packet.pdf", |b| b.iter(|| sheets::packet(black_box(&design), &layout, &none)));
    group.bench_function("templates.pdf", |b| b.iter(|| sheets::templates(black_box(&design), &layout)));
    group.finish();
}

criterion_group!(benches, demos);
criterion_main!(benches);
