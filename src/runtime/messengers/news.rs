//! News of messengers that we ask ourselves: no public address is needed for these.
//!
//! The place up to which news was taken is kept in the same commit as the messages, and only then is it told to the
//! provider: a crash in between brings the same messages again, and their ids are known.

use std::time::Duration;

use super::{Messengers, jitter};
use crate::{
    channels::{
        Channel, Incoming, Response, Verdict,
        backoff::wait_s,
        telegram::{Error as TelegramError, POLL_WAIT_S, Telegram},
    },
    store::{Claimed, Error},
};

/// How long to wait when somebody else is fetching the same news, in seconds.
const CONFLICT_WAIT_S: i64 = 30;

/// How one round went.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Round {
    /// So many messages were brought.
    Brought(usize),
    /// Wait so many seconds.
    Wait(i64),
}

/// Fetches Telegram's news, or has Telegram bring them, until it is dropped.
pub(super) async fn telegram(messengers: Messengers) {
    let Some(bot) = messengers.lines.telegram.clone() else {
        return;
    };
    if bot.is_webhook() {
        return messengers.set_telegram_webhook(&bot).await;
    }
    messengers.drop_telegram_webhook(&bot).await;
    let mut tries = 0;
    loop {
        match messengers.poll_telegram(&bot, POLL_WAIT_S, tries + 1).await {
            Round::Brought(_) => tries = 0,
            Round::Wait(seconds) => {
                tries += 1;
                tokio::time::sleep(Duration::from_secs(seconds.unsigned_abs())).await;
            }
        }
    }
}

impl Messengers {
    /// Asks Telegram once for news, for as long as it waits for some, and claims what it brings.
    pub async fn poll_telegram(&self, bot: &Telegram, wait_s: u32, tries: u32) -> Round {
        match self.poll_telegram_once(bot, wait_s).await {
            Ok(brought) => Round::Brought(brought),
            Err((why, seconds)) => {
                self.note_failure(Channel::Telegram, &why).await;
                Round::Wait(seconds.unwrap_or_else(|| crate::channels::backoff::wait_s(tries, None, jitter())))
            }
        }
    }

    async fn poll_telegram_once(&self, bot: &Telegram, wait_s: u32) -> Result<usize, (String, Option<i64>)> {
        let book = |failure: Error| (failure.to_string(), None);
        let offset = self.store.cursor(Channel::Telegram).await.map_err(book)?;
        let ask = bot.get_updates(offset.and_then(|offset| offset.parse().ok()), wait_s);
        let wait_more = Duration::from_secs(u64::from(wait_s));
        let response = self.caller.ask(&ask, wait_more).await;
        let response: Response = response.map_err(|failure| (failure.to_string(), None))?;
        let updates = bot.read_updates(&response).map_err(|failure| {
            let seconds = match &failure {
                TelegramError::Conflict(_) | TelegramError::Token => Some(CONFLICT_WAIT_S),
                TelegramError::Later { asked_s, .. } => *asked_s,
                TelegramError::Secret | TelegramError::NotAnUpdate => None,
            };
            (failure.to_string(), seconds)
        })?;
        let after_all = updates.next.map(|next| next.to_string());
        let brought: Vec<(Option<String>, Incoming)> = updates
            .incoming
            .into_iter()
            .map(|(after, incoming)| (Some(after.to_string()), incoming))
            .collect();
        if brought.is_empty() && after_all.is_none() {
            return Ok(0);
        }
        let count = brought.len();
        let claimed = self
            .store
            .claim(Channel::Telegram, brought, after_all, self.clock.now());
        let claimed = claimed.await.map_err(book)?;
        if claimed.last() == Some(&Claimed::Full) {
            return Err(("too many messages of one chat are waiting".into(), Some(1)));
        }
        Ok(count)
    }

    async fn set_telegram_webhook(&self, bot: &Telegram) {
        let Some(public_url) = &self.public_url else { return };
        let Some(request) = bot.set_webhook(&format!("{public_url}/hooks/telegram")) else {
            return;
        };
        self.until_taken(&request).await;
    }

    async fn drop_telegram_webhook(&self, bot: &Telegram) {
        self.until_taken(&bot.delete_webhook()).await;
    }

    /// Asks until it is taken, or refused for good.
    async fn until_taken(&self, request: &crate::channels::Request) {
        for tries in 1.. {
            let why = match self.caller.ask(request, Duration::ZERO).await {
                Ok(response) => {
                    let why = format!("{}: status {}", request.what, response.status);
                    match Verdict::of_status(&response, why) {
                        Verdict::Sent { .. } | Verdict::Moved { .. } => return,
                        Verdict::Never { why } => return self.note_failure(Channel::Telegram, &why).await,
                        Verdict::Later { why, .. } => why,
                    }
                }
                Err(failure) => failure.to_string(),
            };
            self.note_failure(Channel::Telegram, &why).await;
            let seconds = wait_s(tries, None, jitter());
            tokio::time::sleep(Duration::from_secs(seconds.unsigned_abs())).await;
        }
    }
}
