//! The command line.

use std::path::PathBuf;

use clap::{Parser, Subcommand, ValueEnum};
use fitment::Variant;
use spec::StarterLayout;

/// Exhaust headers, from a spec to bend sheets, cut sheets, 1:1 wrap templates and meshes.
///
/// Exit codes: 0 done; 1 done, with failures among the findings; 2 the spec cannot be used (nothing is
/// written); 3 the machine refused (disk, permissions).
#[derive(Debug, Parser)]
#[command(name = "hotside", version, about, disable_help_subcommand = true)]
pub struct Arguments {
    /// How results, findings and errors are written
    #[arg(long, global = true, value_enum, default_value_t = Format::Text)]
    pub format: Format,
    /// What to do.
    #[command(subcommand)]
    pub action: Action,
}

/// How results, findings and errors are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// For people
    Text,
    /// For machines: one JSON value on stdout, one array on stderr
    Json,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Action {
    /// Write a commented starter spec that builds as it stands (never over an existing file)
    New {
        /// The spec file to write
        file: PathBuf,
        /// Which header
        #[arg(long, value_enum, default_value_t = Layout::Twin)]
        layout: Layout,
    },
    /// Resolve everything and print the findings and a short table; writes nothing without --write
    Check {
        /// The spec file
        spec: PathBuf,
        /// Write the solved values of "?" into the spec, unless a failure is found
        #[arg(long)]
        write: bool,
    },
    /// Write the packet: sheets, templates, models and the report
    Build {
        /// The spec file
        spec: PathBuf,
        /// The packet's folder [default: out/<spec name>]
        #[arg(long, value_name = "DIR")]
        out: Option<PathBuf>,
    },
    /// Write the printable test-fitment model: parts on plates, cutting collars, a test cube
    Fitment {
        /// The spec file; its shop file has the printer
        spec: PathBuf,
        /// The model's folder [default: out/<spec name>-fitment]
        #[arg(long, value_name = "DIR")]
        out: Option<PathBuf>,
        /// How full the parts are
        #[arg(long, value_enum, default_value_t = Fullness::Solid)]
        variant: Fullness,
    },
    /// Print the JSON Schema of a spec or a shop file
    Schema {
        /// Of which file
        #[arg(value_enum, default_value_t = SchemaOf::Spec)]
        of: SchemaOf,
    },
}

/// The header that a starter spec is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Layout {
    /// Two into one
    Twin,
    /// Three into one
    Tri,
    /// Four into one
    Four,
}

/// How full printed parts are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Fullness {
    /// Full: strong, and quick to slice
    Solid,
    /// Hollow as the steel is, closed around the joints
    Shell,
    /// A rod along the centreline with rings of the tube's size, flanges and merges hollow
    Skeleton,
}

/// The file that a schema describes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum SchemaOf {
    /// The spec of a header
    Spec,
    /// The shop's file
    Shop,
}

impl From<Layout> for StarterLayout {
    fn from(layout: Layout) -> StarterLayout {
        match layout {
            Layout::Twin => StarterLayout::Twin,
            Layout::Tri => StarterLayout::Tri,
            Layout::Four => StarterLayout::Four,
        }
    }
}

impl From<Fullness> for Variant {
    fn from(fullness: Fullness) -> Variant {
        match fullness {
            Fullness::Solid => Variant::Solid,
            Fullness::Shell => Variant::Shell,
            Fullness::Skeleton => Variant::Skeleton,
        }
    }
}
