//! What came of listening to a voice note, as the conversation is told it.

/// What came of listening to a voice note.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Heard {
    /// Words.
    Words(Words),
    /// None, and why.
    Nothing(Unheard),
}

/// The words of a voice note.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Words {
    /// The likeliest reading.
    pub text: String,
    /// Other readings that are possible, likeliest first. Where one of them comes to different money, it is asked.
    pub others: Vec<String>,
    /// The sound was so poor that no figure should be taken from it unasked.
    pub doubtful: bool,
}

/// Why a voice note gave no words. Listening again to the same note would give the same.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unheard {
    /// There is nothing here that can listen: no model is installed and no server is set.
    NoModel,
    /// Longer than the minutes that are listened to.
    TooLong {
        /// The most, in minutes.
        minutes_max: u32,
    },
    /// More bytes than are taken.
    TooLarge {
        /// The most, in millions of bytes.
        megabytes_max: u32,
    },
    /// A kind of audio that cannot be read here.
    UnknownKind,
    /// The audio is cut short, empty or damaged.
    Broken,
    /// There was sound, and no words in it.
    NoWords,
    /// It was wished to hear a note again, and none is kept.
    NoNote,
    /// It was wished to hear a note again that is counted already.
    Counted,
    /// Listening failed, and was tried often enough.
    Failed,
}

impl Heard {
    /// The likeliest words; none when nothing was heard.
    pub fn text(&self) -> Option<&str> {
        match self {
            Heard::Words(words) => Some(&words.text),
            Heard::Nothing(_) => None,
        }
    }
}
