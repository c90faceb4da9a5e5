//! How do the words get out of a voice note?
//!
//! [`Recogniser::hear`] takes the bytes of a note as they came from a messenger and gives [`Heard`](crate::conversation::Heard): the likeliest words,
//! and other readings where they are doubtful. Behind it one thread of its own works through a queue with a limit, so
//! that however long a note takes, no text ever waits for it.
//!
//! What does the listening is a [`Transcriber`]: a model that runs in this process, or a server that speaks the common
//! transcription convention. Both get the same decoded and measured clip.
//!
//! Invariants: audio is foreign and may be hostile, so its size, its length and what it unpacks to are limited before
//! anything listens, and a panic in a decoder costs the note and nothing else. Audio and words are never logged.

mod again;
mod decode;
mod doubt;
mod error;
mod hints;
mod install;
mod models;
mod prompt;
mod queue;
mod server;
mod slips;
mod whisper;

pub use again::asks_to_hear_again;
pub use decode::{Clip, Container, SAMPLES_PER_SECOND, decode};
pub use doubt::Doubts;
pub use error::Error;
pub use hints::Hints;
pub use install::{Error as InstallError, copy_file, fetch_file, is_in_place};
pub use models::{MODELS, ModelFile, ModelSource, USUAL_MODEL, is_installed, model_folder, model_source, sha256_of};
pub use prompt::prompt;
pub use queue::Recogniser;
pub use server::{Address, Key, Server, wav};
pub use whisper::{Error as ModelError, Guess, Installed, Listened, Whisper};

use crate::conversation::Words;

/// Bytes of audio that are taken.
pub const AUDIO_BYTES_MAX: usize = 20_000_000;

/// The same for people.
#[expect(clippy::cast_possible_truncation, reason = "a constant of two digits")]
const MEGABYTES_MAX: u32 = (AUDIO_BYTES_MAX / 1_000_000) as u32;

/// Minutes of audio that are listened to.
pub const AUDIO_MINUTES_MAX: u32 = 5;

/// A voice note.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Note {
    /// The bytes as they came.
    pub bytes: Vec<u8>,
    /// The media type that came with them; a hint, the bytes decide.
    pub media_type: String,
}

/// Listens to one note after the other.
pub trait Transcriber: Send {
    /// The words of a note. It may take as long as the note is; nobody who writes is kept waiting by it.
    fn transcribe(&mut self, note: &Note, hints: &Hints) -> Result<Words, Error>;
}
