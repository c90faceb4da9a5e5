//! What is in these bytes? Told from the bytes themselves: the name and the type that a sender gives are only claims.

use crate::{
    conversation::{Media, MediaKind},
    units::{FileId, InboundId},
};

/// The media type of bytes that nothing recognises.
const UNKNOWN: &str = "application/octet-stream";

/// What a file is, by its first bytes; a claim counts only where they tell nothing (plain text has no mark of its own).
pub fn media_type_of<'a>(bytes: &[u8], claimed: Option<&'a str>) -> &'a str {
    let bare = |claim: &'a str| claim.split(';').next().unwrap_or_default().trim();
    match infer::get(bytes) {
        // These hold pictures, sound or both; that it is sound alone is not in their first bytes.
        Some(found) if matches!(found.mime_type(), "video/webm" | "video/x-matroska" | "video/mp4") => {
            match claimed.map(bare) {
                Some(sound @ ("audio/webm" | "audio/mp4" | "audio/x-m4a")) => sound,
                _ => found.mime_type(),
            }
        }
        // Named after what it holds; the type of the file itself is that of Ogg (RFC 7845, section 9).
        Some(found) if found.mime_type() == "audio/opus" => "audio/ogg",
        Some(found) => found.mime_type(),
        None => match claimed {
            Some(claim) if claim.starts_with("text/") && std::str::from_utf8(bytes).is_ok() => claim,
            _ => UNKNOWN,
        },
    }
}

/// A file that came with a message, by its place among them from 1.
pub fn media_of(message: &InboundId, place: usize, bytes: &[u8], claimed: Option<&str>, name: Option<&str>) -> Media {
    let media_type = media_type_of(bytes, claimed).to_string();
    let kind = MediaKind::of(&media_type);
    let name = match (name.map(str::trim).filter(|name| !name.is_empty()), kind) {
        (Some(name), _) => name.chars().filter(|c| !c.is_control()).take(NAME_CHARS_MAX).collect(),
        (None, MediaKind::Photo) => "photo".to_string(),
        (None, MediaKind::Voice) => "voice note".to_string(),
        (None, MediaKind::Document) => "file".to_string(),
    };
    Media {
        id: FileId::incoming(message, place),
        kind,
        media_type,
        name,
    }
}

/// Letters kept of a file's name.
const NAME_CHARS_MAX: usize = 120;

#[cfg(test)]
mod tests {
    use super::media_type_of;

    /// First bytes as the formats' own specifications have them: PNG section 5.2, JPEG (ITU T.81 annex B.1.1.3) SOI and
    /// APP0, Ogg (RFC 3533, section 6), RIFF/WAVE, ISO BMFF brand `M4A `.
    #[test]
    fn bytes_tell_what_they_are_whatever_the_sender_claims() {
        let check = |bytes: &[u8], wanted: &str| assert_eq!(media_type_of(bytes, Some("text/html")), wanted);
        check(b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", "image/png");
        check(b"\xff\xd8\xff\xe0\0\x10JFIF\0", "image/jpeg");
        check(
            b"OggS\0\x02\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0OpusHead",
            "audio/ogg",
        );
        check(b"RIFF\x24\0\0\0WAVEfmt ", "audio/x-wav");
        check(b"\0\0\0\x20ftypM4A \0\0\0\0", "audio/m4a");
        check(b"\0\x01\x02\xff", "application/octet-stream");
        assert_eq!(media_type_of(b"kind,size\n", Some("text/csv")), "text/csv");
        assert_eq!(media_type_of(b"kind,size\n", None), "application/octet-stream");
    }
}
