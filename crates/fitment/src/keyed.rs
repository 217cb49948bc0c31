//! The joint of two printed parts: a round spigot with one rib, and its socket.

/// A spigot: a round pin with one rib along it, so that it enters at one clock only. Its socket is the same
/// grown by `gap` on every side, and deeper by `gap`. Lengths in mm, angles in radians.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Keyed {
    /// Radius of the pin at the cut.
    pub radius: f64,
    /// How far it stands out of the cut.
    pub length: f64,
    /// Width of the rib at the cut, between its parallel sides.
    pub rib_width: f64,
    /// How far the rib stands out of the pin.
    pub rib_height: f64,
    /// Clock of the rib's middle, by the strand's scribe line.
    pub clock: f64,
    /// How much every side leans inward toward the tip; 0 where parts are put together along the strand.
    pub draft: f64,
    /// Room between spigot and socket, square to their surfaces.
    pub gap: f64,
}
