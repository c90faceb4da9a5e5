//! A message as a messenger brings it: who, where, and what was said; nothing of it is handled yet.

use crate::{conversation::MediaKind, units::Timestamp};

/// Things sent along with one message; more are left out.
pub const MEDIA_MAX: usize = 10;

/// Largest thing that is fetched, in bytes. Telegram hands out no more, and the others' voice notes are smaller.
pub const MEDIA_BYTES_MAX: usize = 20 * 1024 * 1024;

/// A messenger.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Channel {
    /// Telegram's Bot API.
    Telegram,
    /// Text messages by a provider's form webhook.
    Sms,
    /// WhatsApp Cloud.
    Whatsapp,
    /// Matrix.
    Matrix,
    /// Text messages by a gateway of one's own, as Kannel does it.
    Gateway,
}

impl Channel {
    /// All of them.
    pub const ALL: [Channel; 5] = [
        Channel::Telegram,
        Channel::Sms,
        Channel::Whatsapp,
        Channel::Matrix,
        Channel::Gateway,
    ];

    /// Its name in the book, in settings and on the command line.
    pub fn code(self) -> &'static str {
        match self {
            Channel::Telegram => "telegram",
            Channel::Sms => "sms",
            Channel::Whatsapp => "whatsapp",
            Channel::Matrix => "matrix",
            Channel::Gateway => "gateway",
        }
    }

    /// The messenger of that name.
    pub fn parse(code: &str) -> Option<Channel> {
        Channel::ALL.into_iter().find(|channel| channel.code() == code)
    }

    /// Its name as people write it.
    pub fn title(self) -> &'static str {
        match self {
            Channel::Telegram => "Telegram",
            Channel::Sms => "text messages",
            Channel::Whatsapp => "WhatsApp",
            Channel::Matrix => "Matrix",
            Channel::Gateway => "the SMS gateway",
        }
    }
}

/// What was done in the chat.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Saying {
    /// Words, perhaps none beside what was sent along.
    Text(String),
    /// An earlier message was changed to these words; its id is that of the message changed.
    Edited(String),
    /// A button was pressed.
    Pressed {
        /// What the button carries, as we sent it.
        data: String,
        /// What has to be told that the press arrived, if anything.
        callback: Option<String>,
    },
}

/// The name of a kind of thing in the book.
pub fn kind_code(kind: MediaKind) -> &'static str {
    match kind {
        MediaKind::Voice => "voice",
        MediaKind::Photo => "photo",
        MediaKind::Document => "document",
    }
}

/// The kind of that name.
pub fn parse_kind(code: &str) -> Option<MediaKind> {
    [MediaKind::Voice, MediaKind::Photo, MediaKind::Document]
        .into_iter()
        .find(|kind| kind_code(*kind) == code)
}

/// The kind that a media type is meant as. What a phone records for a text message often comes as a film without pictures.
pub fn kind_of_type(media_type: &str) -> MediaKind {
    if media_type.starts_with("video/3gpp") {
        MediaKind::Voice
    } else {
        MediaKind::of(media_type)
    }
}

/// Something sent along, still with the provider.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MediaRef {
    /// What it is.
    pub kind: MediaKind,
    /// Its media type, as the sender claims.
    pub media_type: String,
    /// Its file name, when it has one.
    pub name: Option<String>,
    /// What the provider fetches it by: an id, never an address taken from the message.
    pub source: String,
}

/// A message as it came.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Incoming {
    /// By which messenger.
    pub channel: Channel,
    /// The provider's id for it, the same on every delivery.
    pub external_id: String,
    /// Who speaks: the provider's id of the person.
    pub address: String,
    /// Where they are answered.
    pub room: String,
    /// What was said.
    pub saying: Saying,
    /// What was sent along.
    pub media: Vec<MediaRef>,
    /// When the provider says that it was sent.
    pub sent_at: Option<Timestamp>,
}

/// A message is taken for sent when its sender or provider says, if that is so many seconds before it came at most.
pub const SENT_AGE_S_MAX: i64 = 7 * 24 * 3600;

/// When a message was said: when it was sent, so that what was sent without a signal counts at its own time. A time in the
/// future or too long ago is a clock gone wrong, and then it is when the message came.
pub fn said_at(sent_at: Option<Timestamp>, received_at: Timestamp) -> Timestamp {
    let age_s = |sent: &Timestamp| received_at.unix_seconds() - sent.unix_seconds();
    sent_at
        .filter(|sent| (0..=SENT_AGE_S_MAX).contains(&age_s(sent)))
        .unwrap_or(received_at)
}

#[cfg(test)]
mod tests {
    use super::{Timestamp, said_at};

    #[test]
    fn a_time_that_cannot_be_is_not_believed() {
        let at = |text: &str| text.parse::<Timestamp>().expect("a time");
        let came = at("2026-01-12T15:00:00Z");
        for (sent, said) in [
            (Some("2026-01-12T14:10:00Z"), "2026-01-12T14:10:00Z"),
            (Some("2026-01-12T15:00:00Z"), "2026-01-12T15:00:00Z"),
            (Some("2026-01-12T15:00:01Z"), "2026-01-12T15:00:00Z"),
            (Some("2026-01-05T15:00:00Z"), "2026-01-05T15:00:00Z"),
            (Some("2026-01-05T14:59:59Z"), "2026-01-12T15:00:00Z"),
            (Some("1970-01-01T00:00:00Z"), "2026-01-12T15:00:00Z"),
            (None, "2026-01-12T15:00:00Z"),
        ] {
            assert_eq!(said_at(sent.map(at), came), at(said), "{sent:?}");
        }
    }
}
