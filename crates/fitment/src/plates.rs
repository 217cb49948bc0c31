//! Parts and collars laid out on the printer's plates.

use geom::{DMat3, DVec3};
use glam::DVec2;
use spec::shop::Printer;

use crate::calipers::outline;
use crate::division::Division;
use crate::fitment::{Collar, PrintPlate, Printed};
use crate::make::Stood;
use crate::nest::{Bed, nested};
use crate::placement::Placement;

/// Parts as they stand, laid out on plates.
pub(crate) fn parts_laid(
    stood: Vec<Stood>,
    division: &Division,
    printer: &Printer,
) -> (Vec<Printed>, Vec<PrintPlate>) {
    let bodies: Vec<Standing> = stood
        .iter()
        .map(|(solid, pose)| Standing {
            placement: pose.placement,
            outline: pose.outline.clone(),
            volume: solid.mesh.volume(),
        })
        .collect();
    let (spots, plates) = laid(&bodies, printer);
    let plans = &division.parts;
    let printed =
        stood.into_iter().zip(plans).zip(spots).map(|(((solid, pose), plan), (placement, plate))| {
            let size = size(solid.mesh.points.iter().map(|p| placement.apply(*p)));
            Printed {
                mark: plan.mark.clone(),
                mesh: solid.mesh,
                plain_volume: solid.plain_volume,
                boss_volume: solid.boss_volume,
                placement,
                plate,
                size,
                overhang: pose.overhang,
                datum: solid.datum,
                figures: solid.figures,
                united: solid.united,
            }
        });
    (printed.collect(), plates)
}

/// Collars, which stand on their square edges, laid out on plates.
pub(crate) fn collars_laid(mut collars: Vec<Collar>, printer: &Printer) -> (Vec<Collar>, Vec<PrintPlate>) {
    let standing = |collar: &Collar| {
        let points = &collar.mesh.points;
        let least = points.iter().fold(DVec3::INFINITY, |least, p| least.min(*p));
        let flat: Vec<DVec2> = points.iter().map(|p| (*p - least).truncate()).collect();
        let placement = Placement { turn: DMat3::IDENTITY, by: -least };
        Standing { placement, outline: outline(&flat), volume: collar.mesh.volume() }
    };
    let bodies: Vec<Standing> = collars.iter().map(standing).collect();
    let (spots, plates) = laid(&bodies, printer);
    for (collar, (placement, plate)) in collars.iter_mut().zip(spots) {
        (collar.placement, collar.plate) = (placement, plate);
    }
    (collars, plates)
}

/// A body on the bed.
struct Standing {
    placement: Placement,
    /// Its convex outline there, mm.
    outline: Vec<DVec2>,
    /// Its volume, mm3.
    volume: f64,
}

/// Each body's placement and plate, and the plates.
fn laid(bodies: &[Standing], printer: &Printer) -> (Vec<(Placement, usize)>, Vec<PrintPlate>) {
    let outlines: Vec<Vec<DVec2>> = bodies.iter().map(|body| body.outline.clone()).collect();
    let spots = nested(&outlines, Bed::of(printer));
    let count = spots.iter().map(|spot| spot.plate + 1).max().unwrap_or(0);
    let mut plates = vec![PrintPlate { holds: Vec::new(), volume: 0.0 }; count];
    for (index, (spot, body)) in spots.iter().zip(bodies).enumerate() {
        plates[spot.plate].holds.push(index);
        plates[spot.plate].volume += body.volume;
    }
    let placed = spots.iter().zip(bodies).map(|(spot, body)| (spot.placed(&body.placement), spot.plate));
    (placed.collect(), plates)
}

/// The size of a box around points, mm.
fn size(points: impl Iterator<Item = DVec3>) -> DVec3 {
    let none = [DVec3::INFINITY, DVec3::NEG_INFINITY];
    let [least, most] = points.fold(none, |[least, most], p| [least.min(p), most.max(p)]);
    most - least
}
