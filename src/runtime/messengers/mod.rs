//! The workers behind the messengers: news fetched, messages worked off, letters sent.
//!
//! What a messenger brings is claimed and kept before it is acknowledged; from there [`inbox`] works it off, each chat in
//! order, and [`letters`] sends what the book has queued. All of it may stop at any instant and goes on from the book.
//! How a provider talks is in `channels`; here is only the waiting and the sending.

mod caller;
mod inbox;
mod letters;
mod news;
mod nudges;
mod shown;

use std::{
    collections::HashMap,
    sync::{Arc, Mutex, PoisonError},
    time::Duration,
};

use chrono_tz::Tz;
use tokio::{
    sync::watch,
    task::{JoinError, JoinHandle},
};

use crate::{
    channels::{Channel, Lines},
    speech::Recogniser,
    store::{Error, StoreHandle},
    units::Timestamp,
    web::{Clock, Ids},
};

use super::house::House;

pub use caller::{Caller, Error as CallError, Waits};
pub use news::Round;
pub(super) use shown::{show, test};

/// How long a message or a letter is in one worker's hands before another may take it, in seconds.
const LEASE_S: i64 = 20;

/// How often a lease is renewed while work goes on.
const RENEWAL: Duration = Duration::from_secs(6);

/// How often the book is asked when nothing rings: another process may have queued something.
const PAUSE: Duration = Duration::from_secs(1);

/// Chats that are worked on at once.
const AT_ONCE_MAX: u32 = 16;

/// What the workers share; cheap to clone.
#[derive(Clone)]
pub struct Messengers {
    /// The book.
    pub store: StoreHandle,
    /// The time.
    pub clock: Arc<dyn Clock>,
    /// Ids.
    pub ids: Arc<dyn Ids>,
    /// The messengers that are switched on.
    pub lines: Arc<Lines>,
    /// What listens to voice notes.
    pub recogniser: Recogniser,
    /// What carries out requests.
    pub caller: Caller,
    /// The time zone of accounts that have not said their own.
    pub zone: Tz,
    /// Where Telegram may call us, when it does.
    pub public_url: Option<String>,
    pausing: Arc<Mutex<HashMap<Channel, Timestamp>>>,
}

impl Messengers {
    /// The workers' share of a house.
    pub fn new(
        store: StoreHandle,
        clock: Arc<dyn Clock>,
        ids: Arc<dyn Ids>,
        lines: Arc<Lines>,
        recogniser: Recogniser,
    ) -> anyhow::Result<Messengers> {
        Ok(Messengers {
            store,
            clock,
            ids,
            lines,
            recogniser,
            caller: Caller::new(Waits::USUAL)?,
            zone: Tz::UTC,
            public_url: None,
            pausing: Arc::default(),
        })
    }

    fn of_house(house: &House) -> anyhow::Result<Messengers> {
        let mut messengers = Messengers::new(
            house.store.handle(),
            Arc::clone(&house.clock),
            Arc::clone(&house.ids),
            Arc::clone(&house.config.lines),
            house.recogniser.clone(),
        )?;
        messengers.public_url.clone_from(&house.config.public_url);
        messengers.zone = house.config.zone;
        Ok(messengers)
    }

    /// Messengers that have asked for a pause which is not over.
    fn pausing(&self, now: Timestamp) -> Vec<Channel> {
        let mut pausing = self.pausing.lock().unwrap_or_else(PoisonError::into_inner);
        pausing.retain(|_, until| *until > now);
        let mut channels: Vec<Channel> = pausing.keys().copied().collect();
        // Letters that go into the response to the next call are not sent from here.
        if self.lines.sms.as_ref().is_some_and(|sms| sms.in_response) {
            channels.push(Channel::Sms);
        }
        channels
    }

    fn pause(&self, channel: Channel, until: Timestamp) {
        let mut pausing = self.pausing.lock().unwrap_or_else(PoisonError::into_inner);
        let end = pausing.entry(channel).or_insert(until);
        *end = (*end).max(until);
    }

    /// The end of a lease that begins now.
    fn lease_end(&self) -> Timestamp {
        in_seconds(self.clock.now(), LEASE_S)
    }

    /// A number from 0 to 1000, so that tries which failed together do not come back together.
    fn jitter(&self) -> u32 {
        let [.., high, low] = self.ids.secret();
        u32::from(u16::from_be_bytes([high, low])) % 1001
    }

    async fn note_failure(&self, channel: Channel, failure: &str) {
        tracing::warn!(channel = channel.code(), failure, "a messenger failed");
        let noted = self
            .store
            .channel_failed(channel, failure.to_string(), self.clock.now())
            .await;
        if let Err(error) = noted {
            tracing::error!(error = &error as &dyn std::error::Error, "a failure could not be noted");
        }
    }
}

/// Notes how work ended that nobody waits for. A panic costs its message a lease, and nobody else anything.
fn log_failure(done: Result<Result<(), Error>, JoinError>) {
    match done {
        Ok(Ok(())) => {}
        Ok(Err(failure)) => tracing::error!(error = &failure as &dyn std::error::Error, "work of a messenger failed"),
        Err(failure) => tracing::error!(
            error = &failure as &dyn std::error::Error,
            "work of a messenger ended badly"
        ),
    }
}

fn in_seconds(now: Timestamp, seconds: i64) -> Timestamp {
    Timestamp::from_unix_seconds(now.unix_seconds().saturating_add(seconds)).unwrap_or(now)
}

/// Starts the workers, if any messenger is switched on.
pub(super) fn start(house: &House, stopping: &watch::Receiver<bool>) -> anyhow::Result<Vec<JoinHandle<()>>> {
    let messengers = Messengers::of_house(house)?;
    if messengers.lines.on().is_empty() {
        return Ok(Vec::new());
    }
    let mut workers = vec![
        tokio::spawn(until_stopped(inbox::work(messengers.clone()), stopping.clone())),
        tokio::spawn(until_stopped(letters::work(messengers.clone()), stopping.clone())),
        tokio::spawn(until_stopped(nudges::work(messengers.clone()), stopping.clone())),
    ];
    if messengers.lines.telegram.is_some() {
        let news = news::telegram(messengers.clone());
        workers.push(tokio::spawn(until_stopped(news, stopping.clone())));
    }
    if messengers.lines.matrix.is_some() {
        let news = news::matrix(messengers.clone());
        workers.push(tokio::spawn(until_stopped(news, stopping.clone())));
    }
    Ok(workers)
}

/// Work that may be left at any point: what it had in hand is taken up again from the book.
async fn until_stopped(work: impl Future<Output = ()>, mut stopping: watch::Receiver<bool>) {
    tokio::select! {
        () = work => {}
        _ = stopping.wait_for(|stop| *stop) => {}
    }
}
