//! The bays of the five demo specs, mm in each spec's axes. Invented, as the headers are: no real car.

use geom::{DVec3, Frame};

use crate::patch::{Patch, Relief, Unseen};
use crate::scene::{Format, Scanner, Scene};

pub fn all() -> Vec<Scene> {
    vec![shed_twin(), club_four(), dune_eight(), hill_five(), quarry_eight()]
}

/// The crankcase and heads of a twin and the frame around them. x forward, y left, z up.
fn shed_twin() -> Scene {
    let fins = Relief::Ribs { across: 1, every: 14.0, width: 8.0, height: 5.0 };
    let mut patches = Vec::new();
    // Crankcase: front, slanted belly, oil pan behind it, sides.
    patches.push(
        Patch::panel([38.0, -82.0, -215.0], [0.0, 164.0, 0.0], [-14.0, 0.0, 195.0])
            .with(Relief::Boss { at: [82.0, 110.0], radius: 52.0, height: 12.0 })
            .with(Relief::Boss { at: [24.0, 30.0], radius: 16.0, height: 7.0 })
            .with(Relief::Boss { at: [140.0, 30.0], radius: 16.0, height: 7.0 }),
    );
    patches.push(
        Patch::panel([-150.0, -82.0, -262.0], [0.0, 164.0, 0.0], [188.0, 0.0, 47.0])
            .with(Relief::Ribs { across: 0, every: 42.0, width: 9.0, height: 4.0 })
            .without(Unseen::Disc { at: [120.0, 60.0], radius: 24.0 }),
    );
    patches.push(
        Patch::panel([-330.0, -82.0, -272.0], [0.0, 164.0, 0.0], [180.0, 0.0, 0.0])
            .with(Relief::Ribs { across: 1, every: 30.0, width: 8.0, height: 5.0 })
            .with(Relief::Boss { at: [150.0, 40.0], radius: 15.0, height: 9.0 }),
    );
    for side in ["+y", "-y"] {
        patches.extend(Patch::faces([-150.0, -82.0, -214.0], [30.0, 82.0, -80.0], &[side]));
    }
    // Heads: their fronts with fins; the port's face is cut out, the flange stands on it.
    for y in [-150.0, 150.0] {
        let head = Patch::panel([-20.0, y - 75.0, -70.0], [0.0, 150.0, 0.0], [0.0, 0.0, 160.0]);
        patches.push(head.with(fins).without(Unseen::Disc { at: [75.0, 68.0], radius: 62.0 }));
        let below = [[-150.0, y - 75.0, -70.0], [0.0, 150.0, 0.0], [130.0, 0.0, 0.0]];
        patches.push(Patch::panel(below[0], below[1], below[2]).with(fins));
    }
    // Frame: one tube down in front, bolted to the crankcase; no cradle, so that the header comes out below.
    for facing in [[-1.0, 0.0, 0.2], [1.0, 0.0, 0.0]] {
        patches.push(Patch::bar([190.0, 0.0, 190.0], [92.0, 0.0, -190.0], 38.0, facing));
    }
    for side in [-1.0, 1.0] {
        let rail = |x: f64, y: f64, z: f64| [x, side * y, z];
        let inward = [0.0, -side, -1.0];
        patches.push(Patch::bar(rail(-170.0, 120.0, -262.0), rail(-480.0, 150.0, -262.0), 32.0, inward));
        patches.push(Patch::bar(rail(-480.0, 150.0, -262.0), rail(-470.0, 165.0, 60.0), 32.0, inward));
    }
    patches.push(Patch::bar([-450.0, -145.0, -258.0], [-450.0, 145.0, -258.0], 32.0, [0.0, 0.0, -1.0]));
    Scene {
        spec: "shed-twin",
        seed: 11,
        spacing: 14.5,
        format: Format::Stl,
        scanner: Scanner::aligned(),
        patches,
        stray: Vec::new(),
    }
}

/// The exhaust side of a bay for an in-line four: block, sump, bell, rail, inner wing, firewall, floor.
/// x away from the head, y rearward, z up. The scan stands askew in the scanner's own axes, in metres.
fn club_four() -> Scene {
    let mut patches = vec![
        // The head below its ports and the block's side, with core plugs, a mount's boss and webs.
        Patch::panel([-16.0, -70.0, -75.0], [0.0, 420.0, 0.0], [0.0, 0.0, 45.0]),
        Patch::panel([-30.0, -70.0, -330.0], [0.0, 440.0, 0.0], [0.0, 0.0, 255.0])
            .with(Relief::Boss { at: [110.0, 150.0], radius: 24.0, height: -6.0 })
            .with(Relief::Boss { at: [230.0, 150.0], radius: 24.0, height: -6.0 })
            .with(Relief::Boss { at: [350.0, 120.0], radius: 34.0, height: 18.0 })
            .with(Relief::Ribs { across: 0, every: 88.0, width: 10.0, height: 5.0 })
            .without(Unseen::Disc { at: [200.0, 60.0], radius: 45.0 }),
        Patch::panel([-60.0, -60.0, -470.0], [0.0, 400.0, 0.0], [12.0, 0.0, 140.0]).with(Relief::Ribs {
            across: 0,
            every: 50.0,
            width: 12.0,
            height: 4.0,
        }),
        Patch::cone([-120.0, 385.0, -210.0], [-120.0, 540.0, -230.0], [330.0, 230.0], [1.0, 0.0, 0.1])
            .with(Relief::Ribs { across: 0, every: 60.0, width: 9.0, height: 6.0 }),
        Patch::bar([-120.0, 540.0, -230.0], [-120.0, 760.0, -245.0], 200.0, [1.0, 0.0, 0.0]),
        // Inner wing, firewall, its step into the floor, and the tunnel's side.
        Patch::panel([345.0, -140.0, -270.0], [30.0, 0.0, 400.0], [0.0, 620.0, 0.0]).with(Relief::Ribs {
            across: 1,
            every: 150.0,
            width: 26.0,
            height: 7.0,
        }),
        Patch::panel([60.0, 490.0, -425.0], [290.0, 0.0, 0.0], [0.0, 0.0, 540.0])
            .with(Relief::Ribs { across: 1, every: 120.0, width: 24.0, height: 6.0 })
            .without(Unseen::Disc { at: [240.0, 405.0], radius: 32.0 }),
        Patch::panel([350.0, 490.0, -425.0], [-290.0, 0.0, 0.0], [0.0, 280.0, 0.0]).with(Relief::Ribs {
            across: 0,
            every: 90.0,
            width: 20.0,
            height: -5.0,
        }),
    ];
    // The rail: a box section outside the tubes, its inner, upper and lower sides.
    patches.extend(Patch::faces([272.0, -150.0, -360.0], [332.0, 490.0, -270.0], &["-x", "+z", "-z"]));
    patches.push(Patch::bar([-80.0, -112.0, -365.0], [300.0, -112.0, -330.0], 44.0, [0.0, 1.0, 0.0]));
    let stray = [[160.0, 250.0, -120.0], [60.0, 40.0, -120.0], [250.0, 330.0, -420.0], [200.0, 60.0, -360.0]];
    let frame = Frame::new(
        DVec3::new(220.0, -640.0, 310.0),
        DVec3::new(0.13, -0.21, 0.97),
        DVec3::new(0.31, 0.93, 0.16),
    );
    Scene {
        spec: "club-four",
        seed: 4,
        spacing: 8.0,
        format: Format::PlyPoints,
        scanner: Scanner { frame: frame.expect("axes"), unit: 1000.0 },
        patches,
        stray: stray.to_vec(),
    }
}

/// One side of a dune car's frame: lower and upper rail, uprights, inner panel, seat bulkhead, floor.
/// x rearward, y outward, z up. Points in inches; the engine was out of the car.
fn dune_eight() -> Scene {
    let inward = [0.0, -1.0, 0.2];
    let rail = 44.45;
    let patches = vec![
        Patch::bar([-260.0, 345.0, -470.0], [470.0, 345.0, -470.0], rail, inward),
        Patch::bar([470.0, 345.0, -470.0], [960.0, 300.0, -455.0], rail, inward),
        Patch::bar([-260.0, 345.0, 150.0], [960.0, 345.0, 170.0], rail, [0.0, -1.0, -0.3]),
        Patch::bar([-230.0, 338.0, 140.0], [-150.0, 345.0, -460.0], 38.0, inward),
        Patch::bar([120.0, 340.0, 140.0], [-120.0, 345.0, -455.0], 38.0, inward),
        Patch::bar([150.0, 341.0, 142.0], [452.0, 345.0, -455.0], 38.0, inward),
        Patch::bar([560.0, 343.0, 150.0], [500.0, 345.0, -455.0], 38.0, inward),
        Patch::bar([-255.0, -330.0, -475.0], [-255.0, 310.0, -475.0], rail, [1.0, 0.0, 0.3]),
        Patch::bar([905.0, -330.0, -472.0], [905.0, 300.0, -472.0], 38.0, [-1.0, 0.0, 1.0]),
        // The panel outside the tubes, the bulkhead before the seats, the floor over the tail pipe.
        Patch::panel([-200.0, 372.0, -430.0], [700.0, 0.0, 0.0], [0.0, 0.0, 540.0])
            .with(Relief::Ribs { across: 0, every: 175.0, width: 30.0, height: 7.0 })
            .without(Unseen::Disc { at: [330.0, 300.0], radius: 60.0 }),
        Patch::panel([655.0, -180.0, -312.0], [0.0, 0.0, 440.0], [0.0, 520.0, 0.0])
            .with(Relief::Ribs { across: 0, every: 110.0, width: 24.0, height: 6.0 })
            .without(Unseen::Disc { at: [200.0, 120.0], radius: 70.0 }),
        Patch::panel([655.0, 20.0, -312.0], [0.0, 320.0, 0.0], [280.0, 0.0, 0.0]).with(Relief::Ribs {
            across: 0,
            every: 80.0,
            width: 18.0,
            height: 4.0,
        }),
    ];
    Scene {
        spec: "dune-eight",
        seed: 8,
        spacing: 11.0,
        format: Format::Xyz,
        scanner: Scanner { unit: 25.4, ..Scanner::aligned() },
        patches,
        stray: vec![[330.0, 330.0, -130.0], [60.0, 300.0, -320.0], [620.0, 60.0, -190.0]],
    }
}

/// The hot side of a turbocharged five on its stand: head, block, mount, sump, starter, turbocharger.
/// x away from the head, y along it, z up. The scanner's x ran along the engine.
fn hill_five() -> Scene {
    let mut patches = vec![
        Patch::panel([-20.0, -90.0, -95.0], [0.0, 532.0, 0.0], [0.0, 0.0, 62.0]).with(Relief::Ribs {
            across: 0,
            every: 44.0,
            width: 8.0,
            height: 3.0,
        }),
        Patch::panel([-20.0, -90.0, 36.0], [0.0, 532.0, 0.0], [0.0, 0.0, 90.0]).with(Relief::Ribs {
            across: 1,
            every: 60.0,
            width: 14.0,
            height: 4.0,
        }),
        Patch::panel([-26.0, -90.0, -330.0], [0.0, 532.0, 0.0], [0.0, 0.0, 235.0])
            .with(Relief::Boss { at: [90.0, 120.0], radius: 26.0, height: -7.0 })
            .with(Relief::Boss { at: [266.0, 120.0], radius: 26.0, height: -7.0 })
            .with(Relief::Boss { at: [442.0, 120.0], radius: 26.0, height: -7.0 })
            .with(Relief::Boss { at: [180.0, 60.0], radius: 40.0, height: 22.0 })
            .with(Relief::Ribs { across: 0, every: 88.0, width: 10.0, height: 5.0 })
            .without(Unseen::Disc { at: [330.0, 40.0], radius: 44.0 }),
        Patch::panel([-58.0, -80.0, -500.0], [0.0, 512.0, 0.0], [14.0, 0.0, 170.0]).with(Relief::Ribs {
            across: 0,
            every: 64.0,
            width: 12.0,
            height: 5.0,
        }),
        // The engine's mount: an arm from the block, and its pad; the starter behind it.
        Patch::bar([-20.0, 62.0, -272.0], [105.0, 62.0, -330.0], 52.0, [0.0, 0.3, 1.0]),
        Patch::bar([-8.0, 262.0, -408.0], [-8.0, 430.0, -408.0], 78.0, [1.0, 0.0, 0.4]),
        // The turbocharger below its flange: turbine housing, bearing housing, compressor, all about one axis.
        Patch::cone([220.0, 120.0, -668.0], [220.0, 232.0, -668.0], [150.0, 150.0], [0.0, 0.0, 1.0])
            .with(Relief::Ribs { across: 0, every: 38.0, width: 10.0, height: 3.0 })
            .without(Unseen::Disc { at: [118.0, 56.0], radius: 40.0 }),
        Patch::bar([220.0, 232.0, -668.0], [220.0, 300.0, -668.0], 84.0, [0.0, 0.0, 1.0]),
        Patch::cone([220.0, 300.0, -668.0], [220.0, 372.0, -668.0], [170.0, 160.0], [0.0, 0.0, 1.0]),
        Patch::bar([220.0, 372.0, -668.0], [220.0, 450.0, -668.0], 76.0, [0.0, 0.0, 1.0]),
    ];
    // The bracket that carries the turbocharger.
    let bracket = Patch::faces([-20.0, 250.0, -640.0], [182.0, 262.0, -560.0], &["+y", "-y", "+z"]);
    patches.extend(bracket);
    let frame = Frame { at: DVec3::new(0.0, -400.0, -900.0), along: DVec3::Z, inside: DVec3::Y };
    Scene {
        spec: "hill-five",
        seed: 5,
        spacing: 10.0,
        format: Format::Ply,
        scanner: Scanner { frame, unit: 1.0 },
        patches,
        stray: Vec::new(),
    }
}

/// The frame of a rock buggy around its engine: rails, uprights, hoops, bulkhead before it, skid plate below.
/// x rearward, y to the left, z up.
fn quarry_eight() -> Scene {
    let mut patches = Vec::new();
    let tube = 44.45;
    for side in [-1.0, 1.0] {
        let at = |x: f64, y: f64, z: f64| [x, side * y, z];
        let inward = [0.0, -side, 0.25];
        let bars = [
            (at(-230.0, 560.0, 255.0), at(560.0, 560.0, 262.0)),
            (at(560.0, 560.0, 262.0), at(1330.0, 300.0, 275.0)),
            (at(-230.0, 520.0, -300.0), at(620.0, 500.0, -300.0)),
            (at(620.0, 500.0, -300.0), at(1330.0, 290.0, -180.0)),
            (at(-215.0, 556.0, 245.0), at(-215.0, 522.0, -290.0)),
            (at(-190.0, 557.0, 245.0), at(172.0, 508.0, -290.0)),
            (at(560.0, 556.0, 250.0), at(190.0, 507.0, -290.0)),
            (at(575.0, 554.0, 250.0), at(610.0, 503.0, -290.0)),
            (at(1320.0, 303.0, 265.0), at(1320.0, 293.0, -172.0)),
            (at(640.0, 533.0, 250.0), at(1290.0, 305.0, -165.0)),
        ];
        patches.extend(bars.map(|(from, to)| Patch::bar(from, to, tube, inward)));
        patches.push(Patch::bar(at(-230.0, 330.0, 430.0), at(1330.0, 240.0, 430.0), tube, [0.0, 0.0, -1.0]));
    }
    for (x, y, z) in
        [(-230.0, 330.0, 430.0), (620.0, 285.0, 430.0), (1330.0, 240.0, 430.0), (1330.0, 290.0, -170.0)]
    {
        patches.push(Patch::bar([x, -y, z], [x, y, z], tube, [0.1, 0.0, -1.0]));
    }
    patches.push(
        Patch::panel([-205.0, -380.0, -290.0], [0.0, 760.0, 0.0], [0.0, 0.0, 560.0])
            .with(Relief::Ribs { across: 0, every: 190.0, width: 40.0, height: 9.0 })
            .with(Relief::Boss { at: [380.0, 340.0], radius: 110.0, height: 25.0 })
            .without(Unseen::Disc { at: [300.0, 140.0], radius: 70.0 }),
    );
    patches.push(
        Patch::panel([-100.0, -260.0, -480.0], [700.0, 0.0, 0.0], [0.0, 520.0, 0.0])
            .with(Relief::Ribs { across: 1, every: 130.0, width: 30.0, height: 7.0 })
            .without(Unseen::Disc { at: [380.0, 260.0], radius: 120.0 }),
    );
    Scene {
        spec: "quarry-eight",
        seed: 88,
        spacing: 20.0,
        format: Format::Ply,
        scanner: Scanner::aligned(),
        patches,
        stray: Vec::new(),
    }
}
