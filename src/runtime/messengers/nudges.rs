//! Clocks that were forgotten: whoever said `here` is asked by itself whether the crew is still there, once for each
//! stretch of work. Who has no messenger is told with the answer to the next message.

use std::time::Duration;

use super::Messengers;
use crate::{conversation::forgotten_clocks, replies, store::Error};

/// How often it is looked.
const LOOK_EVERY: Duration = Duration::from_secs(600);

/// Looks again and again, until it is dropped.
pub(super) async fn work(messengers: Messengers) {
    loop {
        if let Err(failure) = messengers.nudge().await {
            tracing::error!(
                error = &failure as &dyn std::error::Error,
                "forgotten clocks could not be looked for"
            );
        }
        tokio::time::sleep(LOOK_EVERY).await;
    }
}

impl Messengers {
    /// Tells of every clock that has run for too long; one that was told of before is not told of again.
    ///
    /// # Errors
    /// When the book cannot be read or written.
    pub async fn nudge(&self) -> Result<(), Error> {
        let now = self.clock.now();
        for account in self.store.accounts_on_job().await? {
            let state = self.store.state(account).await?;
            for clock in forgotten_clocks(state.book(), now, self.zone) {
                let since = clock.since.unix_seconds();
                let key = format!("forgotten_{}_{}_{since}", account.get(), clock.shown.no);
                let words = replies::forgotten(&clock.shown);
                self.store.tell((account, clock.member), words, key, now).await?;
            }
        }
        Ok(())
    }
}
