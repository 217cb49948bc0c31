//! Heat, rocking and shifting: scenes worked out by hand.

mod scene;

use geom::DVec3;
use geom::angle::from_degrees;
use geom::math::{cos, sin};
use scene::{checked, close, design, obstacle, row, run, straight};

/// A wall 10 mm beyond the end of a straight of 300 mm: 304 at 650 degrees C grows by the mean of its data sheet,
/// 18.7e-6, over 630 degrees.
#[test]
fn a_straight_grows_toward_a_wall() {
    let wall = obstacle("wall", "half_space = { at = [310, 0, 0], out = [-1, 0, 0] }", "");
    let found = checked(&run("[{ straight = 300 }]", 650.0, &wall));
    let row = row(&found, "a", "wall");
    close(row.cold, 10.0, 1e-9);
    close(row.distance, 10.0 - 300.0 * 18.7e-6 * 630.0, 1e-9);
    assert_eq!(row.state.words(), "hot");
    close(row.station.unwrap(), 300.0, 1e-6);
}

/// It grows across too: the radius with everything else.
#[test]
fn a_tube_grows_across() {
    let wall = obstacle("wall", "half_space = { at = [0, 50, 0], out = [0, -1, 0] }", "");
    let found = checked(&run("[{ straight = 300 }]", 650.0, &wall));
    close(row(&found, "a", "wall").distance, 30.0 - 20.0 * 18.7e-6 * 630.0, 1e-9);
}

/// Between a port and a flange that is fixed the growth has nowhere to go: it is spread, so that each half is
/// pushed by as much as it grows, and the middle stays.
#[test]
fn between_two_fixed_ends_growth_is_spread() {
    let ends = |fixed: &str| {
        let ball = obstacle("ball", "sphere = { at = [400, 0, 0], d = 20 }", "");
        design(&format!(
            "[port.a]\nat = [0, 0, 0]\nalong = [1, 0, 0]\n\
             [flange.f]\nat = [300, 0, 0]\nalong = [1, 0, 0]\nfixed = \"{fixed}\"\n\
             [run.a]\nfrom = \"a\"\nto = \"f\"\ntube = \"one\"\nhot = 650\npath = [{{ straight = 300 }}]\n{ball}"
        ))
    };
    let grown = 18.7e-6 * 630.0;
    let free = checked(&ends("no"));
    close(row(&free, "a", "ball").distance, 90.0 - 300.0 * grown, 1e-9);
    close(free.spread, 0.0, 1e-12);
    // The one body grows about its middle, which stays; its ends are off by half of what is spread.
    let held = checked(&ends("yes"));
    close(row(&held, "a", "ball").distance, 90.0 - 150.0 * grown, 1e-9);
    close(held.spread, 150.0 * grown, 1e-9);
}

/// Two runs of different length into one merge: without fittings each pulls as a spring as long as itself.
#[test]
fn a_merge_stands_between_what_its_legs_want() {
    let found = checked(&design(
        "[port.a]\nat = [0, 100, 0]\nalong = [1, 0, 0]\n[port.b]\nat = [100, -100, 0]\nalong = [1, 0, 0]\n\
         [merge.m]\nlegs = 2\ntube = \"one\"\nconvergence = 10\nat = [600, 0, 0]\nalong = [1, 0, 0]\n\
         inside = [0, 1, 0]\ninlet_gap = 5\n\
         [run.a]\nfrom = \"a\"\nto = \"m.1\"\ntube = \"one\"\nhot = 650\nradius = 60\n\
         path = [{ out = 200 }, { back = 80 }]\n\
         [run.b]\nfrom = \"b\"\nto = \"m.2\"\ntube = \"one\"\nhot = 650\nradius = 60\n\
         path = [{ out = 100 }, { back = 80 }]\n\
         [run.c]\nfrom = \"m\"\nto = \"open\"\ntube = \"wide\"\nhot = 650\npath = [{ straight = 100 }]\n\
         [tube.wide]\nod = 60\nwall = 2\nalloy = \"304\"\n\
         [obstacle.wall]\nclass = \"fixed\"\nhalf_space = { at = [800, 0, 0], out = [-1, 0, 0] }\n",
    ));
    let grown = 18.7e-6 * 630.0;
    let lengths = [length(&found, "a"), length(&found, "b")];
    // All metal at one temperature: the mouth wants to be 600 and 500 times the growth further on.
    let weights = lengths.map(|l| 1.0 / l);
    let mouth = grown * (600.0 * weights[0] + 500.0 * weights[1]) / (weights[0] + weights[1]);
    let row = row(&found, "c", "wall");
    close(row.cold - row.distance, mouth + 100.0 * grown, 1e-9);
}

/// A header of one metal at one temperature, from two ports at x = 0 through a merge to a flange at x = 900, a bellows
/// of 100 behind the merge. Its legs push the merge: where the flange stays, the bellows takes what all 900 grow, and
/// what stands ahead of it moves as far as it would grow freely, but for the millionth as hard as it pulls. Held at the merge
/// it would take its own run's 300 alone.
#[test]
fn a_bellows_behind_a_merge_takes_what_the_legs_grow() {
    let header = |fixed: &str| {
        design(&format!(
            "[port.a]\nat = [0, 100, 0]\nalong = [1, 0, 0]\n[port.b]\nat = [0, -100, 0]\nalong = [1, 0, 0]\n\
             [merge.m]\nlegs = 2\ntube = \"one\"\nconvergence = 10\nat = [600, 0, 0]\nalong = [1, 0, 0]\n\
             inside = [0, 1, 0]\ninlet_gap = 5\n\
             [run.a]\nfrom = \"a\"\nto = \"m.1\"\ntube = \"one\"\nhot = 650\nradius = 60\n\
             path = [{{ out = 150 }}, {{ back = 80 }}]\n\
             [run.b]\nfrom = \"b\"\nto = \"m.2\"\ntube = \"one\"\nhot = 650\nradius = 60\n\
             path = [{{ out = 150 }}, {{ back = 80 }}]\n\
             [flange.f]\nat = [900, 0, 0]\nalong = [1, 0, 0]\nfixed = \"{fixed}\"\n\
             [bellows.flex]\ntube = \"wide\"\nalloy = \"304\"\nod = 80\nlength = 100\naxial = 20\nlateral = 5\nangular = 5\nmass = 0.5\n\
             [run.c]\nfrom = \"m\"\nto = \"f\"\ntube = \"wide\"\nhot = 650\npath = [{{ straight = 300 }}]\n\
             fittings = [{{ bellows = \"flex\", at = 100 }}]\n\
             [tube.wide]\nod = 60\nwall = 2\nalloy = \"304\"\n\
             [obstacle.ball]\nclass = \"fixed\"\nsphere = {{ at = [610, 0, 200], d = 20 }}\n"
        ))
    };
    let grown = 18.7e-6 * 630.0;
    for fixed in ["yes", "no"] {
        let layout = scene::laid(&header(fixed));
        let movement = layout.fittings[0].movement.expect("a bellows");
        close(movement.axial, 900.0 * grown, 1e-4);
        close(movement.lateral, 0.0, 1e-9);
    }
    let held = layout::net::Net::firm(&header("yes"), &scene::laid(&header("yes"))).merge(0);
    let free = layout::net::Net::of(&header("no"), &scene::laid(&header("no"))).merge(0);
    close(held.x, 600.0 * grown, 1e-4);
    close(free.x, 600.0 * grown, 1e-9);
}

/// The length of a run, from its own scene's layout.
fn length(found: &clearance::Clearance, run: &str) -> f64 {
    let merge = found.meetings.iter().find(|m| m.what == "merge m").unwrap();
    let mut ups = merge.members.iter().filter_map(|m| match m.lead {
        clearance::Lead::Up(station) => Some(station),
        _ => None,
    });
    if run == "a" { ups.next().unwrap() } else { ups.nth(1).unwrap() }
}

fn rocking(rock: &str, more: &str) -> spec::Design {
    straight(&format!("[rock]\n{rock}\n{more}"))
}

/// Rocking about y through the origin lifts the far end by sin of the angle, and its upper rim by cos more; the
/// shift lifts all of it.
#[test]
fn an_end_rocks_up_to_a_ceiling() {
    let ceiling = obstacle("ceiling", "half_space = { at = [0, 0, 100], out = [0, 0, -1] }", "");
    let rock = "at = [0, 0, 0]\naxis = [0, 1, 0]\nforward = 2\nback = 3\nshift = [2, 2, 4]";
    let found = checked(&rocking(rock, &ceiling));
    let row = row(&found, "a", "ceiling");
    let lifted = 300.0 * sin(from_degrees(3.0)) + 20.0 * cos(from_degrees(3.0)) + 4.0;
    close(row.distance, 100.0 - lifted, 1e-9);
    close(row.cold, 80.0, 1e-9);
    assert_eq!(row.state.angle, from_degrees(-3.0));
    assert_eq!(row.state.shift, DVec3::Z * 4.0);
    assert_eq!(row.state.words(), "cold, rocked -3.0 deg, shifted (0, 0, 4) mm");
}

/// A ball that the tube swings past: the nearest is not at an end of the range. It stands 200 from the axis, 1.3
/// degrees up, and 50 beside the plane of the swing.
#[test]
fn a_ball_is_passed_in_the_middle_of_a_swing() {
    let up = from_degrees(1.3);
    let ball = format!("sphere = {{ at = [{}, 50, {}], d = 20 }}", 200.0 * cos(up), 200.0 * sin(up));
    let ball = obstacle("ball", &ball, "");
    let rock = "at = [0, 0, 0]\naxis = [0, 1, 0]\nforward = 2\nback = 3";
    let found = checked(&rocking(rock, &ball));
    let row = row(&found, "a", "ball");
    close(row.distance, 20.0, 1e-6);
    close(row.state.angle, -up, from_degrees(0.01));
    let most = clearance::RESOLUTION + clearance::SHARE * (row.distance - row.required).abs();
    assert!(row.within <= most, "{row:?}");
}

/// A ball beside the tube's middle: of a shift either way only the part toward it counts.
#[test]
fn a_shift_goes_toward_what_is_near() {
    let ball = obstacle("ball", "sphere = { at = [150, 0, 60], d = 20 }", "");
    let rock = "at = [0, 0, 0]\naxis = [0, 1, 0]\nforward = 0\nback = 0\nshift = [5, 3, 2]";
    let found = checked(&rocking(rock, &ball));
    close(row(&found, "a", "ball").distance, 28.0, 1e-6);
    let corner = obstacle("ball", "sphere = { at = [150, 40, 30], d = 20 }", "");
    let found = checked(&rocking(rock, &corner));
    let nearest = DVec3::new(0.0, 37.0, 28.0).length() - 30.0;
    close(row(&found, "a", "ball").distance, nearest, 1e-6);
}

/// What stands on the engine rocks along.
#[test]
fn the_engine_moves_its_own_obstacles_along() {
    let ball = obstacle("ball", "sphere = { at = [280, 0, 60], d = 20 }", "on = \"engine\"");
    let rock = "at = [0, 0, 0]\naxis = [0, 1, 0]\nforward = 2\nback = 3\nshift = [2, 2, 4]";
    let found = checked(&rocking(rock, &ball));
    close(row(&found, "a", "ball").distance, 30.0, 1e-9);
    assert_eq!(row(&found, "a", "ball").state.words(), "cold");
}

/// No state of thousands comes nearer than what is told as the worst, less what is told beside it; and the worst
/// itself is as near as said.
#[test]
fn no_state_in_between_is_worse() {
    use clearance::subjects;
    use distance::Solid;
    use geom::Similarity;
    use scene::{Dice, laid};

    let bent = "[{ straight = 80 }, { bend = 70, radius = 60 }, { straight = 40 }, \
                { rotate = 110, bend = 50, radius = 80 }, { straight = 60 }]";
    let mut dice = Dice(11);
    for round in 0..6 {
        let middle = DVec3::new(130.0, 0.0, 40.0) + dice.point(120.0);
        let ball = format!("sphere = {{ at = [{}, {}, {}], d = 30 }}", middle.x, middle.y, middle.z);
        let axis = dice.point(1.0);
        let rock = format!(
            "at = [{}, {}, -150]\naxis = [{}, {}, {}]\nforward = {}\nback = 2.5\nshift = [{}, 1, 3]",
            dice.between(-50.0, 200.0),
            dice.between(-80.0, 80.0),
            axis.x,
            axis.y,
            axis.z,
            dice.between(0.0, 4.0),
            dice.between(0.0, 3.0)
        );
        let more = format!("inside = [0, 0, 1]\n{}[rock]\n{rock}\n", obstacle("ball", &ball, ""));
        let design = run(bent, 20.0, &more);
        let layout = laid(&design);
        let found = checked(&design);
        let told = row(&found, "a", "ball");
        let rock = design.bay.rock.unwrap();
        let bodies = &subjects(&layout)[0].bodies;
        let ball = Solid::Capsule(distance::Capsule { from: middle, to: middle, radius: 15.0 });
        let near = |angle: f64, shift: DVec3| {
            let mut by = Similarity::turning(rock.at, rock.axis, angle);
            by.shift += shift;
            let each = bodies.iter().map(|b| b.solid.carried(&by).to_solid(&ball).distance);
            each.fold(f64::INFINITY, f64::min)
        };
        close(near(told.state.angle, told.state.shift), told.distance, 1e-9);
        for _ in 0..1500 {
            let corner = |dice: &mut Dice, half: f64| half * (3.0 * dice.between(-1.0, 1.0)).clamp(-1.0, 1.0);
            let shift = DVec3::from_array([0, 1, 2].map(|k| corner(&mut dice, rock.shift[k])));
            let angle = dice.between(-rock.back, rock.forward);
            let here = near(angle, shift);
            assert!(here >= told.distance - told.within - 1e-9, "round {round}: {here} {told:?}");
        }
    }
}
