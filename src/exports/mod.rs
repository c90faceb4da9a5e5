//! The book as files for other programs and people.
//!
//! [`account_json`] is the whole account as it stands, in the shapes of [`crate::journal::data`]. [`render`] makes the file
//! of an attachment that goes with an answer.
//!
//! Invariants: a file is made of the value that it is given and of nothing else; the same value gives the same bytes.

mod account;
mod calendar;
pub mod picture;
mod table;
mod workbook;

pub use account::account_json;
pub use calendar::{Prices, calendar};

use crate::conversation::{Attachment, Picture};

/// A file, made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rendered {
    /// Its media type, with a character set where one applies.
    pub media_type: &'static str,
    /// Its name, with an ending.
    pub name: String,
    /// What it holds.
    pub bytes: Vec<u8>,
}

/// Makes the file of an attachment.
pub fn render(attachment: &Attachment) -> Rendered {
    match attachment {
        Attachment::Table(rows) => table::csv(rows),
        Attachment::Workbook(sheets) => workbook::xlsx(sheets),
        Attachment::Picture(shown) => drawn(shown),
    }
}

/// A picture as PNG; one that cannot be made so goes out as it was drawn.
fn drawn(shown: &Picture) -> Rendered {
    match picture::png(shown) {
        Ok(bytes) => Rendered {
            media_type: "image/png",
            name: format!("{}.png", shown.name()),
            bytes,
        },
        Err(_) => Rendered {
            media_type: "image/svg+xml",
            name: format!("{}.svg", shown.name()),
            bytes: picture::svg(shown).into_bytes(),
        },
    }
}
