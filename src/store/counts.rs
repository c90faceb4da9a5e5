//! What has the book been doing, in numbers? Counted since the start; nothing here decides anything.

use std::sync::Arc;

use prometheus_client::metrics::{
    counter::Counter,
    histogram::{Histogram, exponential_buckets},
};

/// Numbers of the book since the start; cheap to clone.
#[derive(Clone)]
pub struct Counts(Arc<Kept>);

struct Kept {
    taken: Counter,
    again: Counter,
    failed: Counter,
    refused: Counter,
    commit_failures: Counter,
    shared: Histogram,
}

impl Default for Counts {
    fn default() -> Counts {
        Counts(Arc::new(Kept {
            taken: Counter::default(),
            again: Counter::default(),
            failed: Counter::default(),
            refused: Counter::default(),
            commit_failures: Counter::default(),
            shared: Histogram::new(exponential_buckets(1.0, 2.0, 9)),
        }))
    }
}

impl Counts {
    /// Messages that were taken in and kept.
    pub fn taken(&self) -> &Counter {
        &self.0.taken
    }

    /// Deliveries that had been answered before.
    pub fn again(&self) -> &Counter {
        &self.0.again
    }

    /// Messages that were kept with an apology because handling them failed.
    pub fn failed(&self) -> &Counter {
        &self.0.failed
    }

    /// Work that was refused because too much was waiting.
    pub fn refused(&self) -> &Counter {
        &self.0.refused
    }

    /// Commits that failed, each with everything that shared it.
    pub fn commit_failures(&self) -> &Counter {
        &self.0.commit_failures
    }

    /// How many messages shared each commit; its count is the number of commits.
    pub fn shared(&self) -> &Histogram {
        &self.0.shared
    }
}
