//! Letting recordings go when they are as old as their owner, or else the settings, say. What was heard in them stays in the book.

use std::{sync::Arc, time::Duration};

use tokio::sync::watch;

use crate::{
    store::{Error, StoreHandle},
    units::Days,
    web::Clock,
};

/// How often it is looked whether one is old enough.
const PAUSE: Duration = Duration::from_secs(3_600);

/// What it takes to let old recordings go.
pub(super) struct Forgetter {
    pub(super) store: StoreHandle,
    pub(super) clock: Arc<dyn Clock>,
    /// Days that recordings are kept where the owner said nothing else.
    pub(super) days: Days,
}

impl Forgetter {
    /// Lets go of what is too old now; gives how many recordings went.
    async fn forget(&self) -> Result<usize, Error> {
        self.store.forget_recordings(self.days, self.clock.now()).await
    }
}

/// Lets old recordings go, now and every hour, until it is told to stop.
pub(super) async fn old_recordings(forgetter: Forgetter, mut stopping: watch::Receiver<bool>) {
    loop {
        match forgetter.forget().await {
            Ok(0) => {}
            Ok(recordings) => tracing::info!(recordings, "old recordings were let go"),
            Err(failure) => tracing::error!(
                error = &failure as &dyn std::error::Error,
                "old recordings could not be let go"
            ),
        }
        tokio::select! {
            () = tokio::time::sleep(PAUSE) => {}
            _ = stopping.wait_for(|stop| *stop) => return,
        }
    }
}
