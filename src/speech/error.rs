//! Why a note was not heard.

use super::ModelError;
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
    /// The model.
    #[error(transparent)]
    Model(#[from] ModelError),
    /// The server that listens cannot be reached, or broke off.
    #[error("the speech server does not answer")]
    Server(#[source] reqwest::Error),
    /// The server that listens refuses.
    #[error("the speech server answers with status {0}")]
    ServerStatus(u16),
    /// What the server answered is not a transcription.
    #[error("the speech server's answer is not a transcription")]
    ServerAnswer,
    /// No runtime to ask a server with.
    #[error("no runtime for the speech server's client")]
    Runtime(#[source] std::io::Error),
    /// A panic while listening.
    #[error("listening to a voice note ended in a panic")]
    Panicked,
}

impl Error {
    /// Whether it may be gone when the note is heard again later.
    pub fn may_pass(&self) -> bool {
        match self {
            Error::Busy | Error::Stopped | Error::Server(_) => true,
            Error::ServerStatus(status) => *status == 429 || *status >= 500,
            _ => false,
        }
    }
}
