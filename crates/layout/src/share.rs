//! How a run's misfit is shared out along it.

use spec::Design;
use spec::design::FittingPart;

use crate::fitting::Fitting;
use crate::layout::Layout;
use crate::net::moves;

/// Which share of a run's misfit has been taken up at `station` mm, on this piece, from 0 at its start to 1 at
/// its end: in equal parts at each moving fitting upstream of it, or else evenly along the run.
pub(crate) fn share(design: &Design, layout: &Layout, run: usize, piece: Option<usize>, station: f64) -> f64 {
    let moving: Vec<&Fitting> = layout.fittings.iter().filter(|f| f.run == run && moves(f.part)).collect();
    if moving.is_empty() {
        return (station / layout.runs[run].length()).clamp(0.0, 1.0);
    }
    let taken = moving.iter().map(|fitting| side(design, layout, fitting, piece, station));
    taken.sum::<f64>() / moving.len() as f64
}

/// Which share of what a fitting takes lies upstream of a piece: 0 ahead of it, 1 behind it. A single slip's
/// sleeve is welded to the tube downstream, a double slip's sleeves to the tube upstream; a bellows takes the
/// mean.
fn side(design: &Design, layout: &Layout, fitting: &Fitting, piece: Option<usize>, station: f64) -> f64 {
    let behind = |is: bool| if is { 1.0 } else { 0.0 };
    let place = |piece: usize| layout.runs[fitting.run].pieces.iter().position(|&p| p == piece);
    match piece {
        Some(piece) if fitting.pieces.contains(&piece) => match fitting.part {
            FittingPart::Slip(slip) => behind(design.slips[slip].inner.is_none()),
            FittingPart::Bellows(_) | FittingPart::Coupling(_) => 0.5,
        },
        Some(piece) => behind(place(piece) > fitting.pieces.first().and_then(|&first| place(first))),
        None => behind(station > 0.5 * (fitting.from + fitting.to)),
    }
}
