//! The radius along a line of tubes.

/// Radius by station: straight lines between points, two points at one station where it steps.
///
/// Stations never fall; radii are above 0; both in mm.
#[derive(Clone, Debug, PartialEq)]
pub struct Profile {
    /// Station and radius, mm.
    pub points: Vec<(f64, f64)>,
}

/// Which of two radii is meant where a profile steps.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// The one just upstream of the station.
    Upstream,
    /// The one just downstream of it.
    Downstream,
}

/// Stations nearer to each other are one, mm.
pub(crate) const SAME: f64 = 1e-6;

impl Profile {
    /// The same radius from one station to another, mm.
    pub fn constant(from: f64, to: f64, radius: f64) -> Profile {
        Profile { points: vec![(from, radius), (to, radius)] }
    }

    /// Its first and its last station, mm.
    pub fn reach(&self) -> (f64, f64) {
        let station = |point: Option<&(f64, f64)>| point.map_or(0.0, |p| p.0);
        (station(self.points.first()), station(self.points.last()))
    }

    /// The radius at `station`, mm, on one side of it where it steps there, also where the station is off by rounding;
    /// beyond its ends that at its ends.
    pub fn radius_at(&self, station: f64, side: Side) -> f64 {
        let is_past = |p: &(f64, f64)| match side {
            Side::Upstream => p.0 < station - SAME,
            Side::Downstream => p.0 <= station + SAME,
        };
        let next = self.points.iter().position(|p| !is_past(p)).unwrap_or(self.points.len());
        match (next.checked_sub(1).and_then(|k| self.points.get(k)), self.points.get(next)) {
            (Some(a), Some(b)) => a.1 + (b.1 - a.1) * ((station - a.0) / (b.0 - a.0)).clamp(0.0, 1.0),
            (Some(only), None) | (None, Some(only)) => only.1,
            (None, None) => 0.0,
        }
    }

    /// By how much it is larger than `inner` where it is so least, mm. Steps of the two at one station, to rounding, have
    /// nothing between them.
    pub(crate) fn least_above(&self, inner: &Profile) -> f64 {
        let mut stations = [self.stations(), inner.stations()].concat();
        stations.sort_by(f64::total_cmp);
        let lengths = stations.windows(2).filter(|w| w[1] - w[0] > 4.0 * SAME);
        let beside = lengths.flat_map(|w| [w[0] + SAME, w[1] - SAME]);
        let above = |s: f64| self.radius_at(s, Side::Downstream) - inner.radius_at(s, Side::Downstream);
        beside.map(above).fold(f64::INFINITY, f64::min)
    }

    /// The largest of several profiles' radii at each station from the first to the last of any; where none
    /// reaches, the smaller of the two on either side.
    pub fn max(profiles: &[Profile]) -> Profile {
        combined(profiles, f64::max)
    }

    /// The smallest of several profiles' radii at each station, as [`Profile::max`].
    pub fn min(profiles: &[Profile]) -> Profile {
        combined(profiles, f64::min)
    }

    /// The part between two stations, mm.
    pub fn slice(&self, from: f64, to: f64) -> Profile {
        let mut points = vec![(from, self.radius_at(from, Side::Downstream))];
        points.extend(self.points.iter().filter(|p| p.0 > from && p.0 < to));
        points.push((to, self.radius_at(to, Side::Upstream)));
        Profile { points }.simplified()
    }

    /// The stations at which it has points, ascending, each once.
    pub fn stations(&self) -> Vec<f64> {
        let mut stations: Vec<f64> = self.points.iter().map(|p| p.0).collect();
        stations.dedup_by(|b, a| *b - *a < SAME);
        stations
    }

    /// The same without points that lie on the line between their neighbours.
    fn simplified(self) -> Profile {
        let mut kept: Vec<(f64, f64)> = Vec::with_capacity(self.points.len());
        for point in self.points {
            if kept.last() == Some(&point) {
                continue;
            }
            if let [.., a, b] = kept[..] {
                let on_line = |b: (f64, f64)| a.1 + (point.1 - a.1) * (b.0 - a.0) / (point.0 - a.0);
                let apart = point.0 - a.0;
                if (apart > 0.0 && (on_line(b) - b.1).abs() < FLAT) || (apart == 0.0 && b.0 == point.0) {
                    kept.pop();
                }
            }
            kept.push(point);
        }
        Profile { points: kept }
    }
}

/// One of several profiles' radii at each station: the `better` one.
fn combined(profiles: &[Profile], better: fn(f64, f64) -> f64) -> Profile {
    let mut stations: Vec<f64> = profiles.iter().flat_map(|p| p.points.iter().map(|p| p.0)).collect();
    stations.sort_by(f64::total_cmp);
    stations.dedup_by(|b, a| *b - *a < SAME);
    let mut points: Vec<(f64, f64)> = Vec::new();
    let mut open = None;
    for pair in stations.windows(2) {
        let (from, to) = (pair[0], pair[1]);
        let covers = |p: &&Profile| p.reach().0 < from + 2.0 * SAME && p.reach().1 > to - 2.0 * SAME;
        let over: Vec<[f64; 2]> = profiles.iter().filter(covers).map(|p| p.over(from, to)).collect();
        let best = |k: usize| over.iter().map(|radii| radii[k]).reduce(better);
        let (Some(first), Some(last)) = (best(0), best(1)) else {
            open.get_or_insert(from);
            continue;
        };
        if let Some(from_gap) = open.take()
            && let Some(before) = points.last().map(|p| p.1)
        {
            let least = first.min(before);
            points.extend([(from_gap, least), (from, least)]);
        }
        points.push((from, first));
        points.extend(crossings(&over, better).into_iter().map(|(share, r)| (from + share * (to - from), r)));
        points.push((to, last));
    }
    Profile { points }.simplified()
}

impl Profile {
    /// Its radii just within a stretch over which it is one straight line.
    fn over(&self, from: f64, to: f64) -> [f64; 2] {
        let inset = INSET * (to - from);
        let [a, b] = [from + inset, to - inset].map(|s| self.radius_at(s, Side::Downstream));
        let over = (b - a) * INSET / (1.0 - 2.0 * INSET);
        [a - over, b + over]
    }
}

/// Where, as a share of a stretch, two of several straight lines cross at the radius that counts.
fn crossings(lines: &[[f64; 2]], better: fn(f64, f64) -> f64) -> Vec<(f64, f64)> {
    let mut found = Vec::new();
    for (k, [a, b]) in lines.iter().enumerate() {
        for [c, d] in &lines[k + 1..] {
            let (first, last) = (c - a, d - b);
            if first * last >= 0.0 || first.abs() < FLAT || last.abs() < FLAT {
                continue;
            }
            let share = first / (first - last);
            let at = |line: &[f64; 2]| line[0] + share * (line[1] - line[0]);
            let radius = a + share * (b - a);
            let counts = lines.iter().map(at).reduce(better).is_some_and(|best| (best - radius).abs() < FLAT);
            found.extend(counts.then_some((share, radius)));
        }
    }
    found.sort_by(|p, q| p.0.total_cmp(&q.0));
    found
}

/// How far into a stretch its radii are asked for, as a share: at its very ends it may step.
const INSET: f64 = 1e-3;

/// A point nearer to the line between its neighbours lies on it, mm.
const FLAT: f64 = 1e-9;

#[cfg(test)]
mod tests {
    use super::*;

    fn profile(points: &[(f64, f64)]) -> Profile {
        Profile { points: points.to_vec() }
    }

    #[test]
    fn a_station_off_by_rounding_is_at_the_step() {
        let profile = Profile { points: vec![(0.0, 20.0), (43.23, 20.0), (43.23, 25.0), (90.0, 30.0)] };
        for station in [43.23 - 1e-13, 43.23, 43.23 + 1e-13] {
            assert_eq!(profile.radius_at(station, Side::Upstream), 20.0);
            assert!((profile.radius_at(station, Side::Downstream) - 25.0).abs() < 1e-9);
        }
    }

    #[test]
    fn a_step_has_two_radii_and_the_ends_go_on() {
        let stepped = profile(&[(0.0, 20.0), (50.0, 20.0), (50.0, 25.0), (90.0, 35.0)]);
        assert_eq!(stepped.radius_at(50.0, Side::Upstream), 20.0);
        assert_eq!(stepped.radius_at(50.0, Side::Downstream), 25.0);
        assert_eq!(stepped.radius_at(70.0, Side::Upstream), 30.0);
        assert_eq!(stepped.radius_at(-3.0, Side::Downstream), 20.0);
        assert_eq!(stepped.radius_at(95.0, Side::Upstream), 35.0);
        let part = stepped.slice(50.0, 70.0);
        assert_eq!(part.points, [(50.0, 25.0), (70.0, 30.0)]);
    }

    #[test]
    fn a_sleeve_over_a_step_and_a_gap() {
        let tubes = [profile(&[(0.0, 20.0), (60.0, 20.0)]), profile(&[(64.0, 20.0), (100.0, 20.0)])];
        let sleeve = profile(&[(40.0, 22.0), (62.0, 22.0)]);
        let all = [tubes[0].clone(), sleeve, tubes[1].clone()];
        let expected = [(0.0, 20.0), (40.0, 20.0), (40.0, 22.0), (62.0, 22.0), (62.0, 20.0), (100.0, 20.0)];
        assert_eq!(Profile::max(&all).points, expected);
        assert_eq!(Profile::min(&tubes).points, [(0.0, 20.0), (100.0, 20.0)]);
    }

    /// Sampled: at every station the largest, also where a taper passes through a sleeve.
    #[test]
    fn the_largest_is_the_largest_everywhere() {
        let tapered = profile(&[(0.0, 20.0), (30.0, 20.0), (70.0, 28.0), (90.0, 28.0)]);
        let sleeve = profile(&[(20.0, 23.0), (80.0, 23.5)]);
        let cone = profile(&[(40.0, 30.0), (90.0, 18.0)]);
        let all = [tapered, sleeve, cone];
        let (most, least) = (Profile::max(&all), Profile::min(&all));
        for k in 0..900 {
            let s = 0.05 + 0.1 * f64::from(k);
            let covers = |p: &&Profile| p.reach().0 <= s && s <= p.reach().1;
            let radii = all.iter().filter(covers).map(|p| p.radius_at(s, Side::Downstream));
            let wanted = radii.clone().fold(0.0, f64::max);
            assert!((most.radius_at(s, Side::Downstream) - wanted).abs() < 1e-9, "{s}");
            let wanted = radii.fold(f64::INFINITY, f64::min);
            assert!((least.radius_at(s, Side::Downstream) - wanted).abs() < 1e-9, "{s}");
        }
    }
}
