//! What came with a message besides its words: photos, voice notes, files.
//!
//! Only names and kinds are carried here; the bytes lie in the book and the conversation never looks at them. A photo is a
//! note: alone it is kept with the quote or place being talked about, with words under it the words are read as any
//! message and the photo is kept with what they led to.

use super::{
    Inbound,
    answer::Part,
    desk::{Desk, Worked},
};
use crate::{journal::Event, units::FileId};

/// A file that came with a message.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Media {
    /// Under which it is kept.
    pub id: FileId,
    /// What it is to us.
    pub kind: MediaKind,
    /// Its media type, such as `image/jpeg`.
    pub media_type: String,
    /// Its file name, or one made for it.
    pub name: String,
}

/// What a file is to us.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum MediaKind {
    /// A picture.
    Photo,
    /// Something spoken.
    Voice,
    /// Anything else.
    Document,
}

impl MediaKind {
    /// What a media type is to us.
    pub fn of(media_type: &str) -> MediaKind {
        match media_type.split('/').next() {
            Some("image") => MediaKind::Photo,
            Some("audio") => MediaKind::Voice,
            _ => MediaKind::Document,
        }
    }
}

/// Whether nothing was said and something came that is kept as a note.
pub(super) fn is_note(inbound: &Inbound) -> bool {
    inbound.text.trim().is_empty() && has_something(inbound)
}

/// Keeps the photos and files of the message with the quote and place being talked about.
pub(super) fn keep(desk: &mut Desk<'_>) {
    let kept: Vec<Media> = to_keep(desk.inbound).cloned().collect();
    if kept.is_empty() {
        return;
    }
    let quote = desk.current_quote();
    let (no, place) = (quote.map(|quote| quote.no), quote.and_then(|quote| quote.place.clone()));
    let photos = kept.iter().filter(|media| media.kind == MediaKind::Photo).count();
    let files = kept.len() - photos;
    for media in kept {
        desk.record(Event::FileKept {
            no,
            place: place.clone(),
            file: media.id,
            media_type: media.media_type,
        });
    }
    desk.say(Part::FilesKept {
        photos,
        files,
        place,
        no,
    });
}

/// Whether something came that is kept.
pub(super) fn has_something(inbound: &Inbound) -> bool {
    to_keep(inbound).next().is_some()
}

/// Words under a photo that mean nothing else are a note.
pub(super) fn caption(desk: &mut Desk<'_>) -> Worked {
    super::jobs::note(desk, None, desk.inbound.text.trim())
}

fn to_keep(inbound: &Inbound) -> impl Iterator<Item = &Media> {
    inbound.media.iter().filter(|media| media.kind != MediaKind::Voice)
}
