//! What the handlers are given: the book, a clock, ids and the few settings that they need.

use std::{sync::Arc, time::Duration};

use chrono_tz::Tz;

use super::{Guesses, Listeners, Watch};
use crate::{
    channels::{Lines, signed::Secret},
    speech::Recogniser,
    store::StoreHandle,
    units::{AccountId, InboundId, MemberId, Timestamp},
};

/// Tells the time.
pub trait Clock: Send + Sync {
    /// Now.
    fn now(&self) -> Timestamp;

    /// Time since some moment, which never goes back; for how long things take.
    fn monotonic(&self) -> Duration {
        Duration::from_secs(self.now().unix_seconds().unsigned_abs())
    }
}

/// Makes ids and secrets that nobody can guess.
pub trait Ids: Send + Sync {
    /// An id for a message.
    fn inbound(&self) -> InboundId;
    /// 256 random bits.
    fn secret(&self) -> [u8; 32];
}

/// What the handlers share; cheap to clone.
#[derive(Clone)]
pub struct Deps {
    /// The book.
    pub store: StoreHandle,
    /// What listens to voice notes.
    pub recogniser: Recogniser,
    /// The time.
    pub clock: Arc<dyn Clock>,
    /// Ids.
    pub ids: Arc<dyn Ids>,
    /// The time zone in which pages show times to accounts that have not set their own.
    pub zone: Tz,
    /// Whether the page is reached over HTTPS, so that cookies are kept to it.
    pub https: bool,
    /// Secrets of the signed webhook; none switches it off.
    pub signed_secrets: Arc<[Secret]>,
    /// The messengers that are switched on.
    pub lines: Arc<Lines>,
    /// The account that the signed webhook speaks to.
    pub account: AccountId,
    /// Who speaks when a signed message names nobody.
    pub owner: MemberId,
    /// Wrong links and codes so far.
    pub guesses: Arc<Guesses>,
    /// What keeps an eye on the house.
    pub watch: Watch,
    /// Room for pages that listen for news.
    pub listeners: Listeners,
}
