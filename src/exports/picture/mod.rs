//! How does a chart become a picture that a phone shows?
//!
//! A chart is drawn as SVG, for pages as it is, and turned into a PNG for the messengers, with one font that comes with
//! the program, so that every machine draws the same. Text is large: 800 points wide are seen at half their size on a
//! phone. Values in, text or bytes out; nothing here knows a file or a clock.

mod axis;
mod canvas;
mod minutes;
mod report;

use std::sync::{Arc, LazyLock};

use resvg::{
    tiny_skia::{Pixmap, Transform},
    usvg::{Options, Tree, fontdb::Database},
};

use crate::conversation::Picture;

/// Width of every picture, in points.
pub const WIDTH: u32 = 800;
/// Height of every picture, in points.
pub const HEIGHT: u32 = 600;

/// The font that pictures are lettered with; `font/LICENSE.txt` has its terms.
const FONT: &[u8] = include_bytes!("font/DejaVuSans-Latin.ttf");
/// Its name.
const FONT_NAME: &str = "DejaVu Sans";

static FONTS: LazyLock<Arc<Database>> = LazyLock::new(|| {
    let mut fonts = Database::new();
    fonts.load_font_data(FONT.to_vec());
    Arc::new(fonts)
});

/// A picture that could not be made.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// The SVG does not parse.
    #[error("a picture is no valid SVG")]
    Svg(#[from] resvg::usvg::Error),
    /// The pixels could not be written as PNG.
    #[error("a picture cannot be written as PNG: {0}")]
    Png(String),
}

/// The picture as SVG, with a title for those who hear the page read to them.
pub fn svg(picture: &Picture) -> String {
    match picture {
        Picture::Minutes(shown) => minutes::svg(shown),
        Picture::Report(shown) => report::svg(shown),
    }
}

/// The picture as PNG.
///
/// # Errors
/// When the SVG is not valid or there is no room for the pixels.
pub fn png(picture: &Picture) -> Result<Vec<u8>, Error> {
    png_of(&svg(picture))
}

fn png_of(svg: &str) -> Result<Vec<u8>, Error> {
    let options = Options {
        font_family: FONT_NAME.to_string(),
        fontdb: FONTS.clone(),
        ..Options::default()
    };
    let tree = Tree::from_str(svg, &options)?;
    let mut pixels = Pixmap::new(WIDTH, HEIGHT).ok_or_else(|| Error::Png("no room for it".to_string()))?;
    resvg::render(&tree, Transform::identity(), &mut pixels.as_mut());
    pixels.encode_png().map_err(|error| Error::Png(error.to_string()))
}

#[cfg(test)]
mod tests;
