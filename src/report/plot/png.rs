//! A drawing as PNG, at twice its size, with the font it carries along: no system font is asked for.

use std::sync::{Arc, OnceLock};

use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::fontdb::Database;
use resvg::usvg::{Options, Tree};

/// Pixels of the PNG in one of the drawing.
pub const SCALE: f32 = 2.0;

/// Why a drawing did not become a PNG.
#[derive(Debug, thiserror::Error)]
pub enum PngError {
    /// The text is no SVG document.
    #[error("the drawing cannot be read: {0}")]
    Svg(#[from] resvg::usvg::Error),
    /// There is no picture of this size \[px\].
    #[error("a picture of {width} × {height} is too large or empty")]
    Size {
        /// Pixels across.
        width: u32,
        /// Pixels down.
        height: u32,
    },
    /// The picture could not be packed.
    #[error("the picture cannot be packed: {0}")]
    Encoding(String),
}

fn fonts() -> Arc<Database> {
    static FONTS: OnceLock<Arc<Database>> = OnceLock::new();
    let load = || {
        let mut fonts = Database::new();
        fonts.load_font_data(dejavu::sans::regular().to_vec());
        fonts.load_font_data(dejavu::sans::bold().to_vec());
        fonts.set_sans_serif_family("DejaVu Sans");
        Arc::new(fonts)
    };
    FONTS.get_or_init(load).clone()
}

/// Reads a drawing, its text laid out.
pub(super) fn read(svg: &str) -> Result<Tree, PngError> {
    let options = Options {
        fontdb: fonts(),
        font_family: "DejaVu Sans".to_string(),
        ..Options::default()
    };
    Ok(Tree::from_str(svg, &options)?)
}

/// The drawing as the bytes of a PNG file.
///
/// # Errors
/// When `svg` is no SVG document, or too large.
pub fn png(svg: &str) -> Result<Vec<u8>, PngError> {
    let tree = read(svg)?;
    let size = tree.size();
    let (width, height) = (
        (size.width() * SCALE).round() as u32,
        (size.height() * SCALE).round() as u32,
    );
    let mut picture = Pixmap::new(width, height).ok_or(PngError::Size { width, height })?;
    resvg::render(
        &tree,
        Transform::from_scale(SCALE, SCALE),
        &mut picture.as_mut(),
    );
    picture
        .encode_png()
        .map_err(|e| PngError::Encoding(e.to_string()))
}
