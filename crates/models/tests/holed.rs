//! Random holes in every kind of piece: closed meshes, in single precision too, of the kernel's volume.

use geom::DVec3;
use geom::angle::from_degrees;
use models::stl::rounded;
use solids::{MeshSettings, part_mesh};
use tube::{Body, Hole, Piece};

use fixture::pieces;

#[path = "../../solids/tests/fixture/mod.rs"]
mod fixture;

/// Numbers in `[0, 1)`, the same every time (a linear congruential generator with Knuth's constants).
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn between(&mut self, from: f64, to: f64) -> f64 {
        from + (to - from) * self.roll()
    }
}

/// A hole somewhere in a piece that can be cut there; `None` where the dice found none.
fn hole(dice: &mut Dice, piece: &Piece) -> Option<Hole> {
    let square = dice.roll() < 0.3;
    let angle = if square { 90.0 } else { dice.between(25.0, 155.0) };
    let clock =
        if dice.roll() < 0.3 { (dice.between(0.0, 8.0)).floor() * 45.0 } else { dice.between(0.0, 360.0) };
    let mut hole = Hole {
        station: 0.0,
        clock: from_degrees(clock),
        angle: from_degrees(angle),
        offset: 0.0,
        radius: 0.0,
    };
    let at = dice.between(0.0, piece.length());
    hole = hole.piercing_at(piece, at);
    if dice.roll() < 0.6 {
        hole.offset = dice.between(-0.9, 0.9) * hole.largest_radius(piece, 0.0);
        hole = hole.piercing_at(piece, at);
    }
    let part = if dice.roll() < 0.1 { 1.0 } else { dice.between(0.05, 1.0) };
    hole.radius = part * hole.largest_radius(piece, 0.0);
    hole.faults(piece, &[0.0, 1.0]).is_empty().then_some(hole)
}

/// `HOTSIDE_ROUNDS` asks for more of them.
#[test]
fn random_holes_mesh_soundly() {
    let mut dice = Dice(20_260_101);
    let rounds: usize = std::env::var("HOTSIDE_ROUNDS").ok().and_then(|n| n.parse().ok()).unwrap_or(6);
    let (mut count, mut cones) = (0, 0);
    for (name, plain) in pieces() {
        for _ in 0..rounds {
            let mut piece = plain.clone();
            for _ in 0..3 {
                let found = (0..8).find_map(|_| hole(&mut dice, &piece));
                let Some(hole) = found else { continue };
                if piece.holes.iter().all(|other| hole.overlap(other, &piece).is_none()) {
                    piece.holes.push(hole);
                }
            }
            if piece.holes.is_empty() {
                continue;
            }
            count += piece.holes.len();
            cones += usize::from(matches!(piece.body, Body::Cone { .. }));
            let chord = [0.2, 0.05, 0.01][(dice.roll() * 3.0) as usize];
            let place = format!("{name} at {chord}: {:?}", piece.holes);
            let mut mesh =
                part_mesh(&piece, MeshSettings { chord }).unwrap_or_else(|e| panic!("{place}: {e}"));
            assert_eq!(mesh.check(), Ok(()), "{place}");
            let off = (mesh.volume() - piece.volume()).abs();
            assert!(off <= piece.outside_area() * chord, "{place}: off by {off} mm3");
            mesh.points.iter_mut().for_each(|p| *p += DVec3::new(900.0, -700.0, 300.0));
            if let Err(fault) = rounded(&mesh) {
                panic!("{place}: {fault}");
            }
        }
    }
    println!("{count} holes, {cones} cones");
    assert!(count > 20 * rounds && cones > 0, "{count} holes, {cones} cones");
}
