//! Letters sent: each in the pieces that its messenger takes, each chat in order, at least once.
//!
//! After every piece the book notes it, so that a crash repeats one piece at most. Where a provider has a key for a sending
//! (Matrix has) the repeat is nothing; elsewhere the second copy is the price of losing none.

use std::time::Duration;

use tokio::task::JoinSet;

use super::{AT_ONCE_MAX, Messengers, PAUSE, RENEWAL, in_seconds, log_failure};
use crate::{
    channels::{
        Line, Piece, SILENCED, Sending, Unsent, Verdict, WHEN_THEY_WRITE,
        backoff::{LETTER_AGE_S_MAX, wait_s},
        fit::{carries_files, pieces},
    },
    replies,
    store::{Carried, Chat, Error, Letter},
    units::FileId,
    web::link_files,
};

/// Sends what is queued, until it is dropped. A provider that is slow holds up no other one.
pub(super) async fn work(messengers: Messengers) {
    let mut sending = JoinSet::new();
    loop {
        let room = AT_ONCE_MAX.saturating_sub(u32::try_from(sending.len()).unwrap_or(u32::MAX));
        let now = messengers.clock.now();
        let letters = messengers
            .store
            .letters(now, messengers.lease_end(), room, messengers.pausing(now))
            .await;
        match letters {
            Ok(letters) => {
                for letter in letters {
                    let messengers = messengers.clone();
                    sending.spawn(async move { messengers.send_held(letter).await });
                }
            }
            Err(failure) => tracing::error!(error = &failure as &dyn std::error::Error, "letters could not be sent"),
        }
        tokio::select! {
            Some(done) = sending.join_next() => log_failure(done),
            () = tokio::time::sleep(PAUSE) => {}
            () = messengers.store.outbox_rings() => {}
        }
    }
}

impl Messengers {
    /// Tries once to send the first queued letter of each chat, and gives how many were tried.
    ///
    /// # Errors
    /// When the book cannot be read or written.
    pub async fn send_letters(&self) -> Result<usize, Error> {
        let now = self.clock.now();
        let letters = self
            .store
            .letters(now, self.lease_end(), AT_ONCE_MAX, self.pausing(now))
            .await?;
        let count = letters.len();
        let mut sending = JoinSet::new();
        for letter in letters {
            let messengers = self.clone();
            sending.spawn(async move { messengers.send_held(letter).await });
        }
        let mut ended = Ok(count);
        while let Some(sent) = sending.join_next().await {
            match sent {
                Ok(Ok(())) => {}
                Ok(Err(failure)) => ended = Err(failure),
                Err(failure) => tracing::error!(error = &failure as &dyn std::error::Error, "sending a letter failed"),
            }
        }
        ended
    }

    /// Sends a letter and keeps it in hand meanwhile.
    async fn send_held(&self, letter: Letter) -> Result<(), Error> {
        let id = letter.id;
        let renewing = async {
            loop {
                tokio::time::sleep(RENEWAL).await;
                if let Err(failure) = self.store.keep_letter(id, self.lease_end()).await {
                    return failure;
                }
            }
        };
        tokio::select! {
            sent = self.send_letter(letter) => sent,
            failure = renewing => Err(failure),
        }
    }

    async fn send_letter(&self, letter: Letter) -> Result<(), Error> {
        let Some(mut chat) = letter.chat.clone() else {
            return self.give_up(&letter, "the chat has ended").await;
        };
        // Asked for silence since it was queued: only the goodbye goes out, which was queued for that.
        if chat.silenced && letter.reply.text != replies::silenced() {
            return self.give_up(&letter, SILENCED).await;
        }
        let Some(line) = self.lines.line(chat.channel) else {
            return self
                .put_off(&letter, &chat, None, "the messenger is switched off")
                .await;
        };
        let silent_s = self.clock.now().unix_seconds() - chat.heard_at.unix_seconds();
        if line.open_s().is_some_and(|open_s| silent_s > open_s) {
            return self.hold_back(line, &letter, &chat).await;
        }
        let mut reply = letter.reply.clone();
        if let (false, Some(public_url)) = (carries_files(chat.channel), &self.public_url) {
            let tools = (&*self.clock, &*self.ids);
            link_files(&self.store, tools, public_url, letter.account, &mut reply).await?;
        }
        let pieces = pieces(chat.channel, &reply, letter.id);
        let sent_before = usize::try_from(letter.pieces_sent).unwrap_or(usize::MAX);
        let (mut index, mut moved) = (sent_before, false);
        while let Some(piece) = pieces.get(index) {
            let Some(unsent) = self.load(&letter, piece).await? else {
                index += 1;
                continue;
            };
            let key = format!("{}_{index}", letter.key);
            match self.send(line, &chat.room, &unsent, &key).await {
                Verdict::Sent { outside_id } => {
                    self.store.note_piece(letter.id, outside_id, self.lease_end()).await?;
                    index += 1;
                }
                Verdict::Moved { room } if !moved => {
                    moved = true;
                    self.store.chat_moved(chat.id, room.clone()).await?;
                    chat.room = room;
                }
                Verdict::Moved { .. } => return self.give_up(&letter, "the chat moved twice").await,
                Verdict::Later { asked_s, all, why } => {
                    if all {
                        let wait = wait_s(letter.attempts + 1, asked_s, self.jitter());
                        self.pause(chat.channel, in_seconds(self.clock.now(), wait));
                    }
                    return self.put_off(&letter, &chat, asked_s, &why).await;
                }
                Verdict::WhenTheyWrite => return self.hold_back(line, &letter, &chat).await,
                Verdict::Never { why } => {
                    self.note_failure(chat.channel, &why).await;
                    return self.give_up(&letter, &why).await;
                }
            }
        }
        let now = self.clock.now();
        self.store.note_carried(letter.id, Carried::Sent, now).await?;
        self.store.channel_sent(chat.channel, now).await
    }

    /// A piece with the bytes of its file; nothing when the book has that file no more.
    async fn load(&self, letter: &Letter, piece: &Piece) -> Result<Option<Unsent>, Error> {
        Ok(match piece {
            Piece::Text { text, taps } => Some(Unsent::Text {
                text: text.clone(),
                taps: taps.clone(),
            }),
            Piece::File { file, media_type, name } => {
                let found = self.store.file(letter.account, FileId::new(file.clone())).await?;
                found.map(|found| Unsent::File {
                    media_type: media_type.clone(),
                    name: name.clone(),
                    bytes: found.bytes,
                })
            }
        })
    }

    async fn send(&self, line: &dyn Line, room: &str, unsent: &Unsent, key: &str) -> Verdict {
        let unreachable = |failure: super::CallError| Verdict::Later {
            asked_s: None,
            all: false,
            why: failure.to_string(),
        };
        let request = match line.send(room, unsent, key) {
            Sending::Once(request) => request,
            Sending::Upload(upload) => {
                let uploaded = match self.caller.ask(&upload, Duration::ZERO).await {
                    Ok(uploaded) => uploaded,
                    Err(failure) => return unreachable(failure),
                };
                match line.after_upload(room, unsent, key, &uploaded) {
                    Ok(request) => request,
                    Err(verdict) => return verdict,
                }
            }
        };
        match self.caller.ask(&request, Duration::ZERO).await {
            Ok(response) => line.judge(&response),
            Err(failure) => unreachable(failure),
        }
    }

    /// Keeps a letter until the person writes again, and asks them to when it is the first that waits so.
    async fn hold_back(&self, line: &dyn Line, letter: &Letter, chat: &Chat) -> Result<(), Error> {
        let first = !self.store.is_holding_back(chat.id).await?;
        self.give_up(letter, WHEN_THEY_WRITE).await?;
        let Some(nudge) = line.nudge(&chat.room).filter(|_| first) else {
            return Ok(());
        };
        let why = match self.caller.ask(&nudge, Duration::ZERO).await {
            Ok(response) => match line.judge(&response) {
                Verdict::Sent { .. } => return Ok(()),
                Verdict::Later { why, .. } | Verdict::Never { why } => why,
                Verdict::Moved { .. } | Verdict::WhenTheyWrite => "the template is not taken".to_string(),
            },
            Err(failure) => failure.to_string(),
        };
        self.note_failure(chat.channel, &why).await;
        Ok(())
    }

    async fn put_off(&self, letter: &Letter, chat: &Chat, asked_s: Option<i64>, why: &str) -> Result<(), Error> {
        let now = self.clock.now();
        if now.unix_seconds() - letter.queued_at.unix_seconds() > LETTER_AGE_S_MAX {
            return self.give_up(letter, why).await;
        }
        self.note_failure(chat.channel, why).await;
        let due = in_seconds(now, wait_s(letter.attempts + 1, asked_s, self.jitter()));
        let carried = Carried::Later {
            due,
            failure: why.to_string(),
        };
        self.store.note_carried(letter.id, carried, now).await
    }

    async fn give_up(&self, letter: &Letter, why: &str) -> Result<(), Error> {
        let carried = Carried::GivenUp {
            failure: why.to_string(),
        };
        self.store.note_carried(letter.id, carried, self.clock.now()).await
    }
}
