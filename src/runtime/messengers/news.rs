//! News of messengers that we ask ourselves: no public address is needed for these.
//!
//! The place up to which news was taken is kept in the same commit as the messages, and only then is it told to the
//! provider: a crash in between brings the same messages again, and their ids are known.

use std::time::Duration;

use super::Messengers;
use crate::{
    channels::{
        Channel, Incoming, Response, Verdict,
        backoff::wait_s,
        matrix::{Error as MatrixError, Matrix, News, SYNC_WAIT_S},
        telegram::{Error as TelegramError, POLL_WAIT_S, Telegram},
    },
    store::{Claimed, Error},
};

/// How long to wait when somebody else is fetching the same news, in seconds.
const CONFLICT_WAIT_S: i64 = 30;

/// Where Telegram calls us.
pub(super) fn telegram_webhook_url(public_url: &str) -> String {
    format!("{}/hooks/telegram", public_url.trim_end_matches('/'))
}

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
                Round::Wait(seconds.unwrap_or_else(|| crate::channels::backoff::wait_s(tries, None, self.jitter())))
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
        let Some(request) = bot.set_webhook(&telegram_webhook_url(public_url)) else {
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
                        Verdict::Sent { .. } | Verdict::Moved { .. } | Verdict::WhenTheyWrite => return,
                        Verdict::Never { why } => return self.note_failure(Channel::Telegram, &why).await,
                        Verdict::Later { why, .. } => why,
                    }
                }
                Err(failure) => failure.to_string(),
            };
            self.note_failure(Channel::Telegram, &why).await;
            let seconds = wait_s(tries, None, self.jitter());
            tokio::time::sleep(Duration::from_secs(seconds.unsigned_abs())).await;
        }
    }
}

/// Answers with missing messages of one room that are read at once; a room that said more while we were away is caught up with
/// as far as that.
const MISSING_PAGES_MAX: usize = 50;

/// Fetches news of Matrix until it is dropped.
pub(super) async fn matrix(messengers: Messengers) {
    let Some(line) = messengers.lines.matrix.clone() else {
        return;
    };
    let mut tries = 0;
    loop {
        match messengers.sync_matrix(&line, SYNC_WAIT_S, tries + 1).await {
            Round::Brought(_) => tries = 0,
            Round::Wait(seconds) => {
                tries += 1;
                tokio::time::sleep(Duration::from_secs(seconds.unsigned_abs())).await;
            }
        }
    }
}

impl Messengers {
    /// Asks the Matrix server once for news, for as long as it waits for some, and claims what it brings.
    pub async fn sync_matrix(&self, line: &Matrix, wait_s: u32, tries: u32) -> Round {
        match self.sync_matrix_once(line, wait_s).await {
            Ok(brought) => Round::Brought(brought),
            Err((why, seconds)) => {
                self.note_failure(Channel::Matrix, &why).await;
                Round::Wait(seconds.unwrap_or_else(|| crate::channels::backoff::wait_s(tries, None, self.jitter())))
            }
        }
    }

    async fn sync_matrix_once(&self, line: &Matrix, wait_s: u32) -> Result<usize, (String, Option<i64>)> {
        let book = |failure: Error| (failure.to_string(), None);
        let since = self.store.cursor(Channel::Matrix).await.map_err(book)?;
        let ask = line.sync(since.as_deref(), wait_s);
        let response = self.caller.ask(&ask, Duration::from_secs(u64::from(wait_s))).await;
        let response = response.map_err(|failure| (failure.to_string(), None))?;
        let news = line.read_news(&response, since.is_none()).map_err(matrix_failure)?;
        for room in &news.joins {
            let joined = self.caller.ask(&line.join(room), Duration::ZERO).await;
            let joined = joined.map_err(|failure| (failure.to_string(), None))?;
            match line.judge_join(&joined) {
                Verdict::Later { why, asked_s, .. } => return Err((why, asked_s)),
                Verdict::Never { why } => self.note_failure(Channel::Matrix, &why).await,
                Verdict::Sent { .. } | Verdict::Moved { .. } | Verdict::WhenTheyWrite => {}
            }
        }
        let mut incoming = Vec::new();
        if let Some(since) = &since {
            incoming = self.missing_of_matrix(line, &news, since).await?;
        }
        let News {
            incoming: came, next, ..
        } = news;
        incoming.extend(came);
        let count = incoming.len();
        // The place is moved on only when all of it is kept; what was kept before is known when it comes again.
        let brought = incoming.into_iter().map(|one| (None, one)).collect();
        let claimed = self.store.claim(Channel::Matrix, brought, Some(next), self.clock.now());
        let claimed = claimed.await.map_err(book)?;
        if claimed.last() == Some(&Claimed::Full) {
            return Err(("too many messages of one chat are waiting".into(), Some(1)));
        }
        Ok(count)
    }

    /// What was said in rooms of which more happened than came at once, in order.
    async fn missing_of_matrix(
        &self,
        line: &Matrix,
        news: &News,
        since: &str,
    ) -> Result<Vec<Incoming>, (String, Option<i64>)> {
        let mut all = Vec::new();
        for (room, before) in &news.gaps {
            let mut pages = Vec::new();
            let mut from = Some(before.clone());
            while let Some(place) = from.take().filter(|_| pages.len() < MISSING_PAGES_MAX) {
                let response = self
                    .caller
                    .ask(&line.missing(room, &place, since), Duration::ZERO)
                    .await;
                let response = response.map_err(|failure| (failure.to_string(), None))?;
                let (page, more) = line.read_missing(room, &response).map_err(matrix_failure)?;
                pages.push(page);
                from = more;
            }
            all.extend(pages.into_iter().rev().flatten());
        }
        Ok(all)
    }
}

fn matrix_failure(failure: MatrixError) -> (String, Option<i64>) {
    let seconds = match &failure {
        MatrixError::Token => Some(CONFLICT_WAIT_S),
        MatrixError::Later { asked_s, .. } => *asked_s,
        MatrixError::NotNews => None,
    };
    (failure.to_string(), seconds)
}
