//! Why a note was not heard.

use crate::conversation::Unheard;

/// Why a note was not heard.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// The note itself, or nothing here that can listen: trying again would not help.
    #[error("a voice note gave no words: {0:?}")]
    Unheard(Unheard),
    /// Too many notes are waiting.
    #[error("too many voice notes are waiting to be heard")]
    Busy,
    /// The thread that listens has ended.
    #[error("nothing is listening any more")]
    Stopped,
    /// A panic while listening.
    #[error("listening to a voice note ended in a panic")]
    Panicked,
}
