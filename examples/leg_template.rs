//! The template of a merge's leg as ordinates: `cargo run --example leg_template`.
//!
//! Four legs of 44.45 x 1.65 mm at 15 degrees, sawn for an outlet of 76.2 mm. The merge is invented.

use std::error::Error;

use geom::angle::from_degrees;
use tube::merge::{Cluster, LegCut, Outlet};
use tube::{Cut, Shape, WallLine};

fn main() -> Result<(), Box<dyn Error>> {
    println!("clock    outside    bore, mm from the apex");
    for (clock, outside, bore) in template()? {
        println!("{clock:5.0} {outside:10.2} {bore:7.2}");
    }
    Ok(())
}

/// Clock in degrees, then where the outside and the bore end, mm from the apex.
type Ordinate = (f64, f64, f64);

fn template() -> Result<Vec<Ordinate>, Box<dyn Error>> {
    let cluster = Cluster { legs: 4, convergence: from_degrees(15.0), outer: 22.225, inner: 20.575 };
    let saw = cluster.saw_plane(76.2).map_err(|e| format!("{e:?}"))?;
    let shape = Shape::Leg(LegCut { cluster, outlet: Outlet::Sawn(saw) });
    let cut = Cut { station: 0.0, roll: 0.0, shape };
    let at = |clock: f64, rho: f64| cut.end_of(WallLine { clock: from_degrees(clock), rho, slope: 0.0 });
    Ok((0..24)
        .map(|i| f64::from(i) * 15.0)
        .map(|clock| (clock, at(clock, cluster.outer), at(clock, cluster.inner)))
        .collect())
}

#[test]
fn the_template_is_symmetric_and_its_inner_side_known() {
    let rows = template().unwrap_or_else(|e| panic!("{e}"));
    for i in 1..12 {
        assert!((rows[i].1 - rows[24 - i].1).abs() < 1e-9);
    }
    // Two-method value for 4 legs, 15 degrees, 44.45 mm: -82.9448 at the inner side.
    assert!((rows[12].1 + 82.9448).abs() < 5e-5);
}
