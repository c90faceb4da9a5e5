//! Messages worked off: what was sent along is fetched, what was spoken is heard, and then it is said to the book.
//!
//! One message of a chat at a time, in order; chats beside each other. A message ends in the book, or with a sentence that
//! says why not; it is put off when the provider or the recogniser is not well, for as long as that may pass.

use std::time::Duration;

use tokio::task::JoinSet;

use super::{AT_ONCE_MAX, Messengers, PAUSE, RENEWAL, in_seconds, log_failure};
use crate::{
    channels::{
        Fetching, Line, MediaRef, Response, Saying, TextRefused, Verdict, accept_text,
        backoff::{FETCH_AGE_S_MAX, wait_s},
        fit::read_tap,
        media_of,
    },
    conversation::{Heard, Media, MediaKind, Unheard},
    replies,
    speech::Hints,
    store::{Chat, Delivery, Enclosed, Error, InHand, Worked},
    units::InboundId,
    web::attend,
};

/// Works off what waits, until it is dropped. A chat that takes long holds up no other one: whatever is free is given the next.
pub(super) async fn work(messengers: Messengers) {
    let mut working = JoinSet::new();
    loop {
        let room = AT_ONCE_MAX.saturating_sub(u32::try_from(working.len()).unwrap_or(u32::MAX));
        let now = messengers.clock.now();
        match messengers.store.take_in_hand(now, messengers.lease_end(), room).await {
            Ok(in_hand) => {
                for message in in_hand {
                    let messengers = messengers.clone();
                    working.spawn(async move { messengers.work_off(message).await });
                }
            }
            Err(failure) => tracing::error!(
                error = &failure as &dyn std::error::Error,
                "the inbox could not be worked off"
            ),
        }
        tokio::select! {
            Some(done) = working.join_next() => log_failure(done),
            () = tokio::time::sleep(PAUSE) => {}
            () = messengers.store.inbox_rings() => {}
        }
    }
}

/// Something that was fetched.
struct Fetched {
    media: Media,
    bytes: Vec<u8>,
}

/// What came of fetching all that was sent along.
#[derive(Default)]
struct Fetch {
    fetched: Vec<Fetched>,
    /// What is said of something that cannot be had.
    missing: Option<String>,
}

/// Why work on a message stops before the book.
enum Stop {
    /// It ends so.
    Worked(Worked),
    /// The book failed; the message stays as it is.
    Book(Error),
}

impl From<Error> for Stop {
    fn from(failure: Error) -> Stop {
        Stop::Book(failure)
    }
}

impl Messengers {
    /// Works off the first waiting message of each chat, and gives how many there were.
    ///
    /// # Errors
    /// When the book cannot be read or written.
    pub async fn work_off_inbox(&self) -> Result<usize, Error> {
        let now = self.clock.now();
        let in_hand = self.store.take_in_hand(now, self.lease_end(), AT_ONCE_MAX).await?;
        let count = in_hand.len();
        let mut working = JoinSet::new();
        for message in in_hand {
            let messengers = self.clone();
            working.spawn(async move { messengers.work_off(message).await });
        }
        let mut ended = Ok(count);
        while let Some(worked) = working.join_next().await {
            match worked {
                Ok(Ok(())) => {}
                Ok(Err(failure)) => ended = Err(failure),
                // A panic costs this message a lease, and nobody else anything.
                Err(failure) => tracing::error!(error = &failure as &dyn std::error::Error, "work on a message failed"),
            }
        }
        ended
    }

    async fn work_off(&self, message: InHand) -> Result<(), Error> {
        let worked = tokio::select! {
            worked = self.say(&message) => worked,
            failure = self.keep_lease(message.id) => return Err(failure),
        };
        let worked = match worked {
            Ok(()) => Worked::Done,
            Err(Stop::Worked(worked)) => worked,
            Err(Stop::Book(failure)) => return Err(failure),
        };
        self.store.note_worked(message, worked, self.clock.now()).await
    }

    /// Renews the lease of a message until the work on it is done.
    async fn keep_lease(&self, id: i64) -> Error {
        loop {
            tokio::time::sleep(RENEWAL).await;
            if let Err(failure) = self.store.keep_in_hand(id, self.lease_end()).await {
                return failure;
            }
        }
    }

    /// Says a message to the book.
    async fn say(&self, message: &InHand) -> Result<(), Stop> {
        let channel = message.incoming.channel;
        // Put out since it came: nothing more is heard of them.
        let Some(chat) = self.store.chat(message.chat).await? else {
            return Err(dropped("the chat has ended"));
        };
        let line = self.lines.line(channel);
        let text = match (&message.incoming.saying, line) {
            (Saying::Edited(_), _) => return Err(refused(replies::edited())),
            (Saying::Pressed { data, callback }, Some(line)) => {
                self.press(line, &chat, data, callback.as_deref()).await?
            }
            (Saying::Text(text), _) => text.clone(),
            (Saying::Pressed { .. }, None) => return Err(self.until_on(message)),
        };
        let id = self.ids.inbound();
        let Fetch { fetched, missing } = match line {
            Some(line) => self.fetch_all(line, &chat, message, &id).await?,
            None if message.incoming.media.is_empty() => Fetch::default(),
            None => return Err(self.until_on(message)),
        };
        // What cannot be had takes nothing along: words and files beside it are taken in, and its sentence follows.
        if let Some(words) = missing
            .as_ref()
            .filter(|_| fetched.is_empty() && text.trim().is_empty())
        {
            return Err(refused(words.clone()));
        }
        let heard = self.hear(&chat, message, &fetched).await?;
        let text = self.words(text, heard.as_ref(), !fetched.is_empty())?;
        let delivery = Delivery {
            account: chat.account,
            member: chat.member,
            id,
            channel: channel.code().to_string(),
            external_id: message.incoming.external_id.clone(),
            text,
            heard,
            media: fetched
                .into_iter()
                .map(|one| Enclosed {
                    media: one.media,
                    bytes: Some(one.bytes),
                })
                .collect(),
            answer_to: (!chat.silenced).then_some(chat.id),
            sent_at: message.incoming.sent_at,
            at: message.received_at,
        };
        let delivery = attend(&self.store, &self.recogniser, delivery).await?;
        self.store.take(delivery).await?;
        missing.map_or(Ok(()), |_| Err(refused(replies::not_all_fetched())))
    }

    /// The words of a message: what was heard, what was written, or nothing beside a photo.
    fn words(&self, written: String, heard: Option<&Heard>, with_media: bool) -> Result<String, Stop> {
        let text = match heard.and_then(Heard::text) {
            Some(heard) if written.trim().is_empty() => heard.to_string(),
            Some(heard) => format!("{written}\n{heard}"),
            None => written,
        };
        match accept_text(&text) {
            Ok(text) => Ok(text),
            Err(TextRefused::Empty) if with_media => Ok(String::new()),
            Err(TextRefused::Empty) => Err(refused(replies::cannot_take())),
            Err(too_long) => Err(refused(replies::too_long(&too_long.to_string()))),
        }
    }

    /// The answer that a press gives: the number of the choice, while its question is still the last one asked.
    async fn press(&self, line: &dyn Line, chat: &Chat, data: &str, callback: Option<&str>) -> Result<String, Stop> {
        if let Some(told) = callback.and_then(|callback| line.pressed(callback)) {
            // Without it the button spins for a while; nothing else is lost.
            let _ = self.caller.ask(&told, Duration::ZERO).await;
        }
        let Some((letter, choice)) = read_tap(data) else {
            return Err(refused(replies::question_closed()));
        };
        let open = self
            .store
            .state(chat.account)
            .await?
            .talk(chat.member)
            .pending
            .is_some();
        if open && self.store.still_asked(letter, chat).await? {
            Ok(choice.to_string())
        } else {
            Err(refused(replies::question_closed()))
        }
    }

    async fn fetch_all(&self, line: &dyn Line, chat: &Chat, message: &InHand, id: &InboundId) -> Result<Fetch, Stop> {
        let mut all = Fetch::default();
        if message.incoming.media.is_empty() {
            return Ok(all);
        }
        if let Some(typing) = line.typing(&chat.room) {
            let _ = self.caller.ask(&typing, Duration::ZERO).await;
        }
        for (index, media) in message.incoming.media.iter().enumerate() {
            let bytes = match self.fetch(line, message, media).await {
                Ok(bytes) => bytes,
                Err(Stop::Worked(Worked::Refused { words })) => {
                    all.missing = Some(words);
                    continue;
                }
                Err(stop) => return Err(stop),
            };
            let mut kept = media_of(id, index + 1, &bytes, Some(&media.media_type), media.name.as_deref());
            // Recordings for text messages come in containers that are taken for films: what was spoken is to be heard.
            if media.kind == MediaKind::Voice {
                kept.kind = MediaKind::Voice;
            }
            all.fetched.push(Fetched { media: kept, bytes });
        }
        Ok(all)
    }

    /// Fetches one thing. A provider that is not well is tried again for a while.
    async fn fetch(&self, line: &dyn Line, message: &InHand, media: &MediaRef) -> Result<Vec<u8>, Stop> {
        let request = match line.fetch(media) {
            Fetching::Get(request) => request,
            Fetching::Ask(ask) => {
                let answer = self.caller.ask(&ask, Duration::ZERO).await;
                let answer = answer.map_err(|failure| self.later(message, &failure.to_string()))?;
                line.located(media, &answer)
                    .map_err(|verdict| self.not_fetched(message, media, verdict))?
            }
        };
        let fetched = self.caller.fetch(&request, &line.media_hosts()).await;
        let response: Response = match fetched {
            Ok(response) => response,
            Err(super::CallError::TooLarge { .. }) => return Err(refused(replies::too_large())),
            Err(failure @ super::CallError::Host { .. }) => {
                self.note_failure(line.channel(), &failure.to_string()).await;
                return Err(refused(replies::not_fetched(media.kind)));
            }
            Err(failure) => return Err(self.later(message, &failure.to_string())),
        };
        if response.status == 200 {
            return Ok(response.body);
        }
        let verdict = Verdict::of_status(&response, format!("file: status {}", response.status));
        Err(self.not_fetched(message, media, verdict))
    }

    fn not_fetched(&self, message: &InHand, media: &MediaRef, verdict: Verdict) -> Stop {
        match verdict {
            Verdict::Later { why, .. } => match self.later(message, &why) {
                Stop::Worked(Worked::Refused { .. }) => refused(replies::not_fetched(media.kind)),
                later => later,
            },
            Verdict::Sent { .. } | Verdict::Never { .. } | Verdict::Moved { .. } | Verdict::WhenTheyWrite => {
                refused(replies::not_fetched(media.kind))
            }
        }
    }

    /// Put off, or refused when it was put off for long enough.
    fn later(&self, message: &InHand, why: &str) -> Stop {
        let now = self.clock.now();
        let age_s = now.unix_seconds() - message.received_at.unix_seconds();
        if age_s > FETCH_AGE_S_MAX {
            return refused(replies::not_fetched(MediaKind::Document));
        }
        Stop::Worked(Worked::Later {
            due: in_seconds(now, wait_s(message.tries, None, self.jitter())),
            failure: why.to_string(),
        })
    }

    /// Put off for as long as its messenger is switched off: its files and presses are the messenger's to give.
    fn until_on(&self, message: &InHand) -> Stop {
        let wait = wait_s(message.tries, None, self.jitter());
        Stop::Worked(Worked::Later {
            due: in_seconds(self.clock.now(), wait),
            failure: "the messenger is switched off".to_string(),
        })
    }

    /// What was spoken, of the first voice note.
    async fn hear(&self, chat: &Chat, message: &InHand, fetched: &[Fetched]) -> Result<Option<Heard>, Stop> {
        let Some(note) = fetched.iter().find(|one| one.media.kind == MediaKind::Voice) else {
            return Ok(None);
        };
        let hints = Hints::of(&self.store.state(chat.account).await?);
        let heard = self
            .recogniser
            .hear(note.bytes.clone(), &note.media.media_type, hints)
            .await;
        match heard {
            Ok(heard) => Ok(Some(heard)),
            Err(failure) if failure.may_pass() => {
                match self.later(message, &failure.to_string()) {
                    // The note is kept all the same.
                    Stop::Worked(Worked::Refused { .. }) => Ok(Some(Heard::Nothing(Unheard::Failed))),
                    later => Err(later),
                }
            }
            Err(failure) => {
                tracing::error!(error = &failure as &dyn std::error::Error, "listening failed");
                Ok(Some(Heard::Nothing(Unheard::Failed)))
            }
        }
    }
}

fn refused(words: String) -> Stop {
    Stop::Worked(Worked::Refused { words })
}

fn dropped(why: &str) -> Stop {
    Stop::Worked(Worked::Dropped {
        failure: why.to_string(),
    })
}
