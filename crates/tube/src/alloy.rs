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
    /// How it grows with temperature.
    pub expansion: Expansion,
    /// Mean temperature of a header's tube of it when driven hard, degrees C, where nothing better is known:
    /// rough, common practice, no source.
    pub hot: f64,
}

/// Growth of an alloy with temperature.
#[derive(Debug, PartialEq)]
pub struct Expansion {
    /// Mean coefficients from about 20 degrees C to the temperature beside them: degrees C, 1e-6 / K.
    pub means: &'static [(f64, f64)],
    /// Where they come from.
    pub source: &'static str,
}

/// The temperature, degrees C, at which a shop measures, and from which growth counts.
pub const SHOP_TEMPERATURE: f64 = 20.0;

impl Alloy {
    /// Mean coefficient of expansion from 20 degrees C to `hot` degrees C, 1 / K: between two entries of
    /// its table straight from one to the other, beyond the last on along the last line, below the first
    /// the first.
    pub fn mean_expansion(&self, hot: f64) -> f64 {
        let means = self.expansion.means;
        let next = means.iter().position(|m| hot < m.0).unwrap_or(means.len() - 1);
        let mean = match next.checked_sub(1) {
            None => means[0].1,
            Some(before) => {
                let ((t0, a0), (t1, a1)) = (means[before], means[next]);
                a0 + (a1 - a0) * (hot - t0) / (t1 - t0)
            }
        };
        mean * 1e-6
    }

    /// Growth of each mm from 20 degrees C to `hot` degrees C: below 0 where that is colder.
    pub fn growth(&self, hot: f64) -> f64 {
        self.mean_expansion(hot) * (hot - SHOP_TEMPERATURE)
    }
}

/// 321's table holds for 347, as its data sheet says.
const OF_321: Expansion = Expansion {
    means: &[(100.0, 16.6), (600.0, 18.9), (1000.0, 20.5)],
    source: "321 data sheet, means from 20 C to 100, 600 and 1000 C",
};

/// Every alloy that a spec may name. `hot` is rough and without a source.
pub static ALLOYS: [Alloy; 8] = [
    Alloy {
        name: "304",
        density: 8000.0,
        source: "304 data sheet (AISI typical values)",
        chromium: true,
        expansion: Expansion {
            means: &[(100.0, 17.3), (315.0, 17.8), (650.0, 18.7)],
            source: "304 data sheet (AISI typical values), means from 0 to 100, 315 and 650 C",
        },
        hot: 700.0,
    },
    Alloy {
        name: "321",
        density: 7920.0,
        source: "321 data sheet (typical values)",
        chromium: true,
        expansion: OF_321,
        hot: 700.0,
    },
    Alloy {
        name: "347",
        density: 7960.0,
        source: "347 data sheet (typical values)",
        chromium: true,
        expansion: OF_321,
        hot: 700.0,
    },
    Alloy {
        name: "409",
        density: 7800.0,
        source: "409 data sheet (typical values)",
        chromium: true,
        expansion: Expansion {
            means: &[(100.0, 11.0), (315.0, 11.7), (538.0, 12.4)],
            source: "409 data sheet, means from 0 to 100, 315 and 538 C",
        },
        hot: 600.0,
    },
    Alloy {
        name: "625",
        density: 8440.0,
        source: "alloy 625 data sheet (typical values)",
        chromium: true,
        expansion: Expansion {
            means: &[
                (100.0, 12.8),
                (200.0, 13.1),
                (300.0, 13.3),
                (400.0, 13.7),
                (500.0, 14.0),
                (600.0, 14.4),
                (700.0, 14.9),
            ],
            source: "alloy 625 data sheet, means from about 20 to 100 ... 700 C",
        },
        hot: 800.0,
    },
    Alloy {
        name: "718",
        density: 8200.0,
        source: "alloy 718 data sheets, 8190 to 8220 (0.296 to 0.297 lb/in3)",
        chromium: true,
        expansion: Expansion {
            means: &[(93.3, 13.2), (204.4, 13.6), (315.6, 13.9), (426.7, 14.3), (537.8, 14.6), (648.9, 15.1)],
            source: "alloy 718 data sheet, means from 70 F to 200 ... 1200 F",
        },
        hot: 700.0,
    },
    Alloy {
        name: "mild steel",
        density: 7850.0,
        source: "EN 1993-1-2, carbon steel (from memory)",
        chromium: false,
        expansion: Expansion {
            means: &[
                (93.3, 12.1),
                (204.4, 12.8),
                (315.6, 13.3),
                (426.7, 14.0),
                (537.8, 14.6),
                (648.9, 14.9),
                (704.4, 15.1),
            ],
            source: "ASME II-D table TE-1 (2001), group 1, means from 70 F to 200 ... 1300 F",
        },
        hot: 500.0,
    },
    Alloy {
        name: "titanium gr2",
        density: 4510.0,
        source: "titanium grade 2 data sheet",
        chromium: false,
        expansion: Expansion {
            means: &[(100.0, 8.6), (315.0, 9.2), (540.0, 9.7)],
            source: "titanium grade 2 data sheet, means from 0 to 100, 315 and 540 C",
        },
        hot: 400.0,
    },
];

/// The alloy called `name` (case does not count).
pub fn alloy(name: &str) -> Option<&'static Alloy> {
    ALLOYS.iter().find(|a| a.name.eq_ignore_ascii_case(name.trim()))
}
