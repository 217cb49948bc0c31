//! Which formats are read.

/// A format of scan files, told by the file's ending.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// Triangles, binary or text.
    Stl,
    /// Points, with faces or without, binary or text.
    Ply,
    /// Points and faces, text.
    Obj,
    /// Points, text: three numbers a line.
    Xyz,
    /// Points (ASTM E2807).
    E57,
    /// Points (ASPRS LAS).
    Las,
}

impl Format {
    /// The format of a file's ending, in small or capital letters, without its dot.
    pub fn of_ending(ending: &str) -> Option<Format> {
        match ending.to_ascii_lowercase().as_str() {
            "stl" => Some(Format::Stl),
            "ply" => Some(Format::Ply),
            "obj" => Some(Format::Obj),
            "xyz" => Some(Format::Xyz),
            "e57" => Some(Format::E57),
            "las" => Some(Format::Las),
            _ => None,
        }
    }

    /// Its usual name.
    pub fn name(self) -> &'static str {
        match self {
            Format::Stl => "STL",
            Format::Ply => "PLY",
            Format::Obj => "OBJ",
            Format::Xyz => "XYZ",
            Format::E57 => "E57",
            Format::Las => "LAS",
        }
    }
}
