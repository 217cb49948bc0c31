//! Commented specs to begin with.

/// The headers that a starter spec is there for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum StarterLayout {
    /// Two into one.
    Twin,
    /// Three into one.
    Tri,
    /// Four into one.
    Four,
}

impl StarterLayout {
    /// All of them.
    pub const ALL: [StarterLayout; 3] = [StarterLayout::Twin, StarterLayout::Tri, StarterLayout::Four];

    /// Its name on the command line.
    pub fn name(self) -> &'static str {
        match self {
            StarterLayout::Twin => "twin",
            StarterLayout::Tri => "tri",
            StarterLayout::Four => "four",
        }
    }
}

/// A spec that reads without fault as it stands, needs no shop file, and says in comments what to
/// change. Its numbers are invented.
pub fn starter(layout: StarterLayout) -> String {
    match layout {
        StarterLayout::Twin => include_str!("starter/twin.toml"),
        StarterLayout::Tri => include_str!("starter/tri.toml"),
        StarterLayout::Four => include_str!("starter/four.toml"),
    }
    .to_owned()
}
