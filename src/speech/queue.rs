//! The queue of notes, and the one thread that listens.

use std::{
    panic::{AssertUnwindSafe, catch_unwind},
    thread::{Builder, JoinHandle},
};

use tokio::sync::{mpsc, oneshot};

use super::{AUDIO_BYTES_MAX, Error, Hints, Note, Transcriber};
use crate::conversation::{Heard, Unheard};

/// Notes that may wait to be heard; more are refused, and whoever has them keeps them and tries again.
const NOTES_WAITING_MAX: usize = 64;

/// The way to whatever listens; cheap to clone.
#[derive(Clone)]
pub struct Recogniser {
    notes: Option<mpsc::Sender<Waiting>>,
}

/// A note that waits.
struct Waiting {
    note: Note,
    hints: Hints,
    answer: oneshot::Sender<Result<Heard, Error>>,
}

impl Recogniser {
    /// One that hears nothing, because nothing here can listen.
    pub fn deaf() -> Recogniser {
        Recogniser { notes: None }
    }

    /// Starts the thread that listens. It ends when the last clone is gone and the notes that wait are heard.
    pub fn start(transcriber: Box<dyn Transcriber>) -> std::io::Result<(Recogniser, JoinHandle<()>)> {
        let (notes, waiting) = mpsc::channel(NOTES_WAITING_MAX);
        let thread = Builder::new()
            .name("voice".to_string())
            .spawn(move || listen(transcriber, waiting))?;
        Ok((Recogniser { notes: Some(notes) }, thread))
    }

    /// Whether anything here can listen.
    pub fn can_hear(&self) -> bool {
        self.notes.is_some()
    }

    /// Listens to a note. A note that cannot be heard is `Ok` too, and says why: its answer is for the person. An error is
    /// for trying again later: [`Error::Busy`] when too many wait, the others when listening itself failed.
    pub async fn hear(&self, audio: Vec<u8>, media_type: &str, hints: Hints) -> Result<Heard, Error> {
        if audio.len() > AUDIO_BYTES_MAX {
            return Ok(Heard::Nothing(Unheard::TooLarge {
                megabytes_max: super::MEGABYTES_MAX,
            }));
        }
        let Some(notes) = &self.notes else {
            return Ok(Heard::Nothing(Unheard::NoModel));
        };
        let (answer, heard) = oneshot::channel();
        let note = Note {
            bytes: audio,
            media_type: media_type.to_string(),
        };
        notes
            .try_send(Waiting { note, hints, answer })
            .map_err(|refused| match refused {
                mpsc::error::TrySendError::Full(_) => Error::Busy,
                mpsc::error::TrySendError::Closed(_) => Error::Stopped,
            })?;
        match heard.await.map_err(|_| Error::Stopped)? {
            Err(Error::Unheard(why)) => Ok(Heard::Nothing(why)),
            heard => heard,
        }
    }
}

fn listen(mut transcriber: Box<dyn Transcriber>, mut waiting: mpsc::Receiver<Waiting>) {
    while let Some(Waiting { note, hints, answer }) = waiting.blocking_recv() {
        if answer.is_closed() {
            continue;
        }
        let heard = catch_unwind(AssertUnwindSafe(|| transcriber.transcribe(&note, &hints)))
            .unwrap_or(Err(Error::Panicked))
            .map(Heard::Words);
        // Whoever asked may have gone.
        let _ = answer.send(heard);
    }
}

#[cfg(test)]
mod tests {
    use super::{NOTES_WAITING_MAX, Recogniser};
    use crate::{
        conversation::{Heard, Unheard, Words},
        speech::{AUDIO_BYTES_MAX, Error, Hints, Note, Transcriber},
    };

    /// Hears the bytes as text; falls over at an empty note.
    struct Bytes;

    impl Transcriber for Bytes {
        fn transcribe(&mut self, note: &Note, _hints: &Hints) -> Result<Words, Error> {
            assert!(!note.bytes.is_empty(), "an empty note");
            Ok(Words {
                text: String::from_utf8(note.bytes.clone()).map_err(|_| Error::Unheard(Unheard::Broken))?,
                others: Vec::new(),
                doubtful: false,
            })
        }
    }

    async fn hear(recogniser: &Recogniser, bytes: &[u8]) -> Result<Heard, Error> {
        recogniser.hear(bytes.to_vec(), "audio/ogg", Hints::default()).await
    }

    #[tokio::test]
    async fn a_note_that_breaks_the_listener_costs_itself() {
        let (recogniser, thread) = Recogniser::start(Box::new(Bytes)).expect("a thread");
        assert!(matches!(hear(&recogniser, b"").await, Err(Error::Panicked)));
        assert!(matches!(
            hear(&recogniser, &[0xff]).await,
            Ok(Heard::Nothing(Unheard::Broken))
        ));
        let heard = hear(&recogniser, b"rate 120").await.expect("heard");
        assert_eq!(heard.text(), Some("rate 120"));
        drop(recogniser);
        thread.join().expect("the thread ends when nobody can ask any more");
    }

    /// Hears nothing until it may.
    struct Held(std::sync::mpsc::Receiver<()>);

    impl Transcriber for Held {
        fn transcribe(&mut self, _: &Note, _: &Hints) -> Result<Words, Error> {
            // The test ending lets it go too.
            let _ = self.0.recv();
            Ok(Words::default())
        }
    }

    #[tokio::test]
    async fn more_notes_than_may_wait_are_refused_and_those_that_wait_are_heard() {
        let (go_on, held) = std::sync::mpsc::channel();
        let (recogniser, _) = Recogniser::start(Box::new(Held(held))).expect("a thread");
        let mut asked = tokio::task::JoinSet::new();
        // One is being heard, as many as may wait do, and one is too many.
        for _ in 0..NOTES_WAITING_MAX + 2 {
            let recogniser = recogniser.clone();
            asked.spawn(async move { hear(&recogniser, b"x").await });
        }
        let first = asked.join_next().await.expect("one comes back").expect("it ran");
        assert!(matches!(first, Err(Error::Busy)), "{first:?}");
        drop(go_on);
        while let Some(heard) = asked.join_next().await {
            let heard = heard.expect("it ran");
            assert!(matches!(heard, Ok(_) | Err(Error::Busy)), "{heard:?}");
        }
    }

    #[tokio::test]
    async fn too_large_and_nothing_to_listen_with_are_said() {
        let deaf = Recogniser::deaf();
        assert!(matches!(hear(&deaf, b"x").await, Ok(Heard::Nothing(Unheard::NoModel))));
        let large = vec![0; AUDIO_BYTES_MAX + 1];
        assert!(matches!(
            hear(&deaf, &large).await,
            Ok(Heard::Nothing(Unheard::TooLarge { megabytes_max: 20 }))
        ));
    }
}
