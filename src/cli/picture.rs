//! Drawings on the command line: the kind that a file's name asks for.

use std::path::{Path, PathBuf};

use super::outcome::Trouble;
#[cfg(feature = "png")]
use arcplunge_report::plot;

/// What a plot's name asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    Svg,
    Png,
}

/// The kinds of these files.
pub fn kinds(paths: &[PathBuf]) -> Result<Vec<Kind>, Trouble> {
    let kind = |path: &PathBuf| {
        kind(path).ok_or_else(|| {
            Trouble::Wrong(format!(
                "error: --plot {}: the file name must end in .svg or .png",
                path.display()
            ))
        })
    };
    paths.iter().map(kind).collect()
}

fn kind(path: &Path) -> Option<Kind> {
    let ending = path.extension()?.to_str()?.to_ascii_lowercase();
    match ending.as_str() {
        "svg" => Some(Kind::Svg),
        "png" => Some(Kind::Png),
        _ => None,
    }
}

impl Kind {
    /// The bytes of a drawing as this kind.
    pub fn pack(self, svg: String) -> Result<Vec<u8>, Trouble> {
        match self {
            Kind::Svg => Ok(svg.into_bytes()),
            Kind::Png => png(&svg),
        }
    }
}

#[cfg(feature = "png")]
fn png(svg: &str) -> Result<Vec<u8>, Trouble> {
    plot::png(svg).map_err(|e| Trouble::Failed(format!("error: {e}")))
}

#[cfg(not(feature = "png"))]
fn png(_: &str) -> Result<Vec<u8>, Trouble> {
    Err(Trouble::Failed(
        "error: this build draws SVG only (feature \"png\" is off)".into(),
    ))
}
