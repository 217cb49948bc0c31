//! The alloys a header is made of, each constant with its source.

/// An alloy and what the sheets need to know of it.
#[derive(Debug, PartialEq)]
pub struct Alloy {
    /// The name a spec uses.
    pub name: &'static str,
    /// Density, kg/m3.
    pub density: f64,
    /// Where the density comes from.
    pub source: &'static str,
    /// Holds chromium: welding and grinding give off hexavalent chromium.
    pub chromium: bool,
}

/// Every alloy that a spec may name.
pub static ALLOYS: [Alloy; 8] = [
    Alloy { name: "304", density: 8000.0, source: "304 data sheet (AISI typical values)", chromium: true },
    Alloy { name: "321", density: 7920.0, source: "321 data sheet (typical values)", chromium: true },
    Alloy { name: "347", density: 7960.0, source: "347 data sheet (typical values)", chromium: true },
    Alloy { name: "409", density: 7800.0, source: "409 data sheet (typical values)", chromium: true },
    Alloy { name: "625", density: 8440.0, source: "alloy 625 data sheet (typical values)", chromium: true },
    Alloy {
        name: "718",
        density: 8200.0,
        source: "alloy 718 data sheets, 8190 to 8220 (0.296 to 0.297 lb/in3)",
        chromium: true,
    },
    Alloy {
        name: "mild steel",
        density: 7850.0,
        source: "EN 1993-1-2, carbon steel (from memory)",
        chromium: false,
    },
    Alloy { name: "titanium gr2", density: 4510.0, source: "titanium grade 2 data sheet", chromium: false },
];

/// The alloy called `name` (case does not count).
pub fn alloy(name: &str) -> Option<&'static Alloy> {
    ALLOYS.iter().find(|a| a.name.eq_ignore_ascii_case(name.trim()))
}
