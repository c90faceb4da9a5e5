//! A message as a messenger brings it: who, where, and what was said; nothing of it is handled yet.

use crate::conversation::MediaKind;

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
}
