//! The radius along a line of tubes.

/// Radius by station: straight lines between points, two points at one station where it steps.
///
/// Stations never fall; radii are above 0; both in mm.
#[derive(Clone, Debug, PartialEq)]
pub struct Profile {
    /// Station and radius, mm.
    pub points: Vec<(f64, f64)>,
}
