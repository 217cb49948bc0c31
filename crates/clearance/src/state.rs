//! The states of a header: cold or hot, at rest or rocked and shifted with its engine.

use geom::DVec3;
use geom::angle::to_degrees;

/// A state of a header.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct State {
    /// Whether every run is as hot as it gets; else all is at the shop's temperature.
    pub hot: bool,
    /// How far the engine has rocked about its axis, rad, right-handed.
    pub angle: f64,
    /// How far it has shifted, mm.
    pub shift: DVec3,
}

impl State {
    /// Cold and at rest.
    pub const COLD: State = State { hot: false, angle: 0.0, shift: DVec3::ZERO };

    /// It in words, as `hot, rocked +3.0 deg, shifted (2, -2, 4) mm`; shifts in mm always.
    pub fn words(&self) -> String {
        let mut words = if self.hot { "hot" } else { "cold" }.to_owned();
        let angle = format!("{:+.1}", to_degrees(self.angle));
        if !matches!(angle.as_str(), "+0.0" | "-0.0") {
            words += &format!(", rocked {angle} deg");
        }
        let shift = self.shift.to_array().map(short);
        if shift.iter().any(|part| part != "0") {
            words += &format!(", shifted ({}) mm", shift.join(", "));
        }
        words
    }
}

/// A number to a tenth, without a zero that says nothing.
fn short(mm: f64) -> String {
    let text = format!("{mm:.1}");
    let text = text.strip_suffix(".0").unwrap_or(&text);
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use geom::angle::from_degrees;

    #[test]
    fn a_state_is_told_in_words() {
        assert_eq!(State::COLD.words(), "cold");
        let state = State { hot: true, angle: from_degrees(3.0), shift: DVec3::new(2.0, -2.0, 4.0) };
        assert_eq!(state.words(), "hot, rocked +3.0 deg, shifted (2, -2, 4) mm");
        let state = State { hot: false, angle: from_degrees(-0.01), shift: DVec3::new(0.0, -1.25, -0.01) };
        assert_eq!(state.words(), "cold, shifted (0, -1.2, 0) mm");
    }
}
