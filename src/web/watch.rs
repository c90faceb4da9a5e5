//! How is the house doing? Counts of requests for `/metrics`, and the limits that keep one sender from crowding out the rest.
//!
//! Numbers are labelled with routes and statuses, never with who asked or what was said.

use std::{
    collections::HashMap,
    sync::{Arc, Mutex, PoisonError},
    time::Duration,
};

use prometheus_client::{
    encoding::{EncodeLabelSet, text},
    metrics::{
        counter::Counter,
        family::Family,
        gauge::Gauge,
        histogram::{Histogram, exponential_buckets},
    },
    registry::Registry,
};
use tokio::sync::Semaphore;

use crate::{
    channels::{Channel, signed::Secret},
    store::{Counts, StoreHandle},
    units::MemberId,
};

/// Requests that are worked on at once; more are refused with 503.
pub(super) const REQUESTS_AT_ONCE_MAX: usize = 1024;

/// Refused calls of one messenger's webhook are noted at most so often.
const REFUSALS_APART: Duration = Duration::from_secs(60);

/// Senders whose pace is remembered. Those who have been quiet for a while are forgotten first.
const SENDERS_MAX: usize = 20_000;

/// Who may read `/metrics`.
#[derive(Debug, Clone)]
pub enum MetricsFor {
    /// Nobody.
    Nobody,
    /// Whoever reaches the address: right only while this machine alone can.
    ThisMachine,
    /// Whoever has the token.
    Token(Secret),
}

/// What a request was, without who or what.
#[derive(Debug, Clone, PartialEq, Eq, Hash, EncodeLabelSet)]
struct Asked {
    method: String,
    route: String,
    status: u16,
}

/// What keeps an eye on the house; cheap to clone.
#[derive(Clone)]
pub struct Watch(Arc<Watched>);

struct Watched {
    metrics_for: MetricsFor,
    sender_limit: u32,
    senders: Mutex<HashMap<MemberId, Duration>>,
    refusals: Mutex<HashMap<Channel, Duration>>,
    at_once: Semaphore,
    registry: Registry,
    requests: Family<Asked, Counter>,
    seconds: Histogram,
    too_fast: Counter,
    crowded: Counter,
    waiting: Gauge,
    backup_at: Gauge,
    backup_failures: Counter,
}

impl Watch {
    /// Watches a house: who may read its numbers, and how many messages a minute one sender may send (0: no limit).
    pub fn new(counts: &Counts, metrics_for: MetricsFor, sender_limit: u32) -> Watch {
        let mut watched = Watched {
            metrics_for,
            sender_limit,
            senders: Mutex::default(),
            refusals: Mutex::default(),
            at_once: Semaphore::new(REQUESTS_AT_ONCE_MAX),
            registry: Registry::with_prefix("tallyhand"),
            requests: Family::default(),
            // 1 ms to about 8 s.
            seconds: Histogram::new(exponential_buckets(0.001, 2.0, 14)),
            too_fast: Counter::default(),
            crowded: Counter::default(),
            waiting: Gauge::default(),
            backup_at: Gauge::default(),
            backup_failures: Counter::default(),
        };
        watched.register_book(counts);
        watched.register_house();
        Watch(Arc::new(watched))
    }

    /// Lets a message of a sender through, or says after how many seconds the next one may come.
    ///
    /// A sender may be a minute's worth ahead of the pace (generic cell rate algorithm, ITU-T I.371 annex A): a burst of
    /// that many is taken, then one for each that has had time to pass.
    pub fn admit(&self, sender: MemberId, now: Duration) -> Result<(), u64> {
        let Some(gap) = Duration::from_secs(60).checked_div(self.0.sender_limit) else {
            return Ok(());
        };
        let mut senders = self.0.senders.lock().unwrap_or_else(PoisonError::into_inner);
        if senders.len() >= SENDERS_MAX {
            senders.retain(|_, due| *due > now);
        }
        let due = senders.get(&sender).copied().unwrap_or_default().max(now);
        let ahead = due - now + gap;
        if ahead > Duration::from_secs(60) {
            self.0.too_fast.inc();
            return Err((ahead - Duration::from_secs(60)).as_secs() + 1);
        }
        if senders.len() < SENDERS_MAX || senders.contains_key(&sender) {
            senders.insert(sender, due + gap);
        }
        Ok(())
    }

    /// Whether a refused call of a messenger's webhook may be noted: strangers can cause as many as they like.
    pub(super) fn may_note_refusal(&self, channel: Channel, now: Duration) -> bool {
        let mut refusals = self.0.refusals.lock().unwrap_or_else(PoisonError::into_inner);
        let is_new = refusals
            .get(&channel)
            .is_none_or(|last| now.saturating_sub(*last) >= REFUSALS_APART);
        if is_new {
            refusals.insert(channel, now);
        }
        is_new
    }

    /// A place for a request to be worked on; none when too many are.
    pub(super) fn place(&self) -> Option<tokio::sync::SemaphorePermit<'_>> {
        let place = self.0.at_once.try_acquire().ok();
        if place.is_none() {
            self.0.crowded.inc();
        }
        place
    }

    /// Counts a request.
    pub(super) fn asked(&self, method: &str, route: &str, status: u16, took: Duration) {
        let asked = Asked {
            method: method.to_string(),
            route: route.to_string(),
            status,
        };
        self.0.requests.get_or_create(&asked).inc();
        self.0.seconds.observe(took.as_secs_f64());
    }

    /// Who may read the numbers.
    pub(super) fn metrics_for(&self) -> &MetricsFor {
        &self.0.metrics_for
    }

    /// Notes that a scheduled backup was made, in unix seconds.
    pub fn backed_up(&self, at_unix_s: i64) {
        self.0.backup_at.set(at_unix_s);
    }

    /// Notes that a scheduled backup failed.
    pub fn backup_failed(&self) {
        self.0.backup_failures.inc();
    }

    /// All numbers in the text form that Prometheus reads (OpenMetrics 1.0).
    pub(super) fn numbers(&self, store: &StoreHandle) -> String {
        self.0.waiting.set(i64::try_from(store.waiting()).unwrap_or(i64::MAX));
        let mut out = String::new();
        text::encode(&mut out, &self.0.registry).expect("writing to a string does not fail");
        out
    }
}

impl Watched {
    fn register_book(&mut self, counts: &Counts) {
        let book = self.registry.sub_registry_with_prefix("book");
        book.register("messages", "Messages taken in and kept", counts.taken().clone());
        book.register(
            "again",
            "Deliveries that had been answered before",
            counts.again().clone(),
        );
        book.register("failed", "Messages kept with an apology", counts.failed().clone());
        book.register(
            "refused",
            "Work refused because too much was waiting",
            counts.refused().clone(),
        );
        book.register(
            "commit_failures",
            "Commits that failed",
            counts.commit_failures().clone(),
        );
        book.register(
            "commit_messages",
            "Messages that shared a commit",
            counts.shared().clone(),
        );
        book.register(
            "waiting",
            "Messages and other work waiting for the writer",
            self.waiting.clone(),
        );
    }

    fn register_house(&mut self) {
        let house = &mut self.registry;
        house.register("requests", "Requests by route and status", self.requests.clone());
        house.register("request_seconds", "How long requests took", self.seconds.clone());
        house.register(
            "too_fast",
            "Messages refused because of their sender's pace",
            self.too_fast.clone(),
        );
        house.register(
            "crowded",
            "Requests refused because too many were worked on",
            self.crowded.clone(),
        );
        house.register(
            "backup_timestamp_seconds",
            "When the last scheduled backup was made",
            self.backup_at.clone(),
        );
        house.register(
            "backup_failures",
            "Scheduled backups that failed",
            self.backup_failures.clone(),
        );
    }
}

#[cfg(test)]
mod tests {
    use std::time::Duration;

    use super::{MetricsFor, Watch};
    use crate::{store::Counts, units::MemberId};

    #[test]
    fn a_minute_ahead_is_taken_and_then_one_at_a_time() {
        let watch = Watch::new(&Counts::default(), MetricsFor::Nobody, 30);
        let (fast, calm) = (MemberId::new(1), MemberId::new(2));
        let at = Duration::from_millis;
        for number in 0..30 {
            assert_eq!(watch.admit(fast, at(100_000)), Ok(()), "message {number}");
        }
        assert_eq!(watch.admit(fast, at(100_000)), Err(3));
        assert_eq!(watch.admit(calm, at(100_000)), Ok(()), "others are not held up");
        assert_eq!(watch.admit(fast, at(101_999)), Err(1));
        assert_eq!(watch.admit(fast, at(102_000)), Ok(()), "two seconds are one message");
        assert_eq!(watch.admit(fast, at(102_000)), Err(3));
        let without = Watch::new(&Counts::default(), MetricsFor::Nobody, 0);
        assert!((0..10_000).all(|_| without.admit(fast, at(0)).is_ok()));
    }

    #[test]
    fn what_is_remembered_of_senders_is_bounded() {
        let watch = Watch::new(&Counts::default(), MetricsFor::Nobody, 60);
        for sender in 0..30_000 {
            assert_eq!(
                watch.admit(MemberId::new(sender), Duration::from_millis(sender.unsigned_abs())),
                Ok(())
            );
        }
        assert!(watch.0.senders.lock().expect("no panic").len() <= super::SENDERS_MAX);
    }
}
