//! The one real clock and the one real source of ids; everything below is given a time and an id.

use std::{
    sync::LazyLock,
    time::{Duration, Instant},
};

use rand::{TryRng, rngs::SysRng};

use crate::{
    units::{InboundId, Timestamp},
    web::{Clock, Ids},
};

/// The system clock.
#[derive(Debug, Clone, Copy)]
pub struct SystemClock;

impl Clock for SystemClock {
    #[expect(clippy::disallowed_methods, reason = "this is the one real clock")]
    fn now(&self) -> Timestamp {
        Timestamp::from_unix_seconds(chrono::Utc::now().timestamp()).expect("the year is not past 262142")
    }

    fn monotonic(&self) -> Duration {
        START.elapsed()
    }
}

/// When this process first asked how long something takes.
#[expect(clippy::disallowed_methods, reason = "this is the one real clock")]
static START: LazyLock<Instant> = LazyLock::new(Instant::now);

/// A clock that stands at one time; for `--at`.
#[derive(Debug, Clone, Copy)]
pub(super) struct StandingClock(pub(super) Timestamp);

impl Clock for StandingClock {
    fn now(&self) -> Timestamp {
        self.0
    }
}

/// Ids and secrets from the operating system's random source.
#[derive(Debug, Clone, Copy)]
pub struct RandomIds;

impl RandomIds {
    fn bytes<const N: usize>() -> [u8; N] {
        let mut bytes = [0; N];
        SysRng
            .try_fill_bytes(&mut bytes)
            .expect("an operating system without randomness cannot keep a secret");
        bytes
    }
}

impl Ids for RandomIds {
    fn inbound(&self) -> InboundId {
        let hex: String = Self::bytes::<12>().iter().map(|byte| format!("{byte:02x}")).collect();
        InboundId::new(format!("m_{hex}"))
    }

    fn secret(&self) -> [u8; 32] {
        Self::bytes()
    }
}
