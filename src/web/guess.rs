//! Who is guessing? Wrong links and codes are counted, for each address and for all together, and too many of them shut
//! the door for a while.
//!
//! A right link of 256 bits is let through even then: nobody can guess one, and its owner must not stand outside because
//! somebody else tries. A code has eight digits, so it is not even looked at while the door is shut.

use std::{
    collections::HashMap,
    net::{IpAddr, SocketAddr},
    sync::{Mutex, MutexGuard, PoisonError},
};

use axum::{
    extract::{ConnectInfo, FromRequestParts},
    http::request::Parts,
};

use super::Deps;
use crate::units::Timestamp;

/// How long wrong tries are remembered, in seconds.
const WINDOW_S: i64 = 600;

/// Wrong tries from one address within that time.
const MISSES_MAX: u32 = 10;

/// Wrong tries from everywhere within that time: with eight digits, one in a million for a code to be hit.
const MISSES_IN_ALL_MAX: u32 = 100;

/// Addresses remembered; beyond that, new ones count together.
const ADDRESSES_MAX: usize = 4096;

/// The count of wrong tries.
#[derive(Debug, Default)]
pub struct Guesses(Mutex<Misses>);

#[derive(Debug, Default)]
struct Misses {
    since: i64,
    all: u32,
    by: HashMap<Caller, u32>,
}

/// Where a request comes from, as far as that is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) struct Caller(Option<IpAddr>);

impl Guesses {
    /// Whether this caller may try.
    pub(super) fn allows(&self, caller: Caller, now: Timestamp) -> bool {
        let misses = self.open(now);
        misses.all < MISSES_IN_ALL_MAX && misses.by.get(&caller).is_none_or(|count| *count < MISSES_MAX)
    }

    /// Notes a wrong try.
    pub(super) fn miss(&self, caller: Caller, now: Timestamp) {
        let mut misses = self.open(now);
        misses.all = misses.all.saturating_add(1);
        let full = misses.by.len() >= ADDRESSES_MAX && !misses.by.contains_key(&caller);
        let counted = if full { Caller(None) } else { caller };
        let count = misses.by.entry(counted).or_default();
        *count = count.saturating_add(1);
    }

    fn open(&self, now: Timestamp) -> MutexGuard<'_, Misses> {
        let mut misses = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let window = now.unix_seconds().div_euclid(WINDOW_S);
        if misses.since != window {
            *misses = Misses {
                since: window,
                ..Misses::default()
            };
        }
        misses
    }
}

impl FromRequestParts<Deps> for Caller {
    type Rejection = std::convert::Infallible;

    /// Behind a server of our own on this machine, the address that it names last counts: that one it has seen itself.
    async fn from_request_parts(parts: &mut Parts, _: &Deps) -> Result<Self, Self::Rejection> {
        let peer = parts
            .extensions
            .get::<ConnectInfo<SocketAddr>>()
            .map(|peer| peer.0.ip());
        let named = parts
            .headers
            .get("x-forwarded-for")
            .and_then(|value| value.to_str().ok())
            .and_then(|list| list.rsplit(',').next())
            .and_then(|last| last.trim().parse().ok());
        Ok(Caller(match peer {
            Some(peer) if peer.is_loopback() => named.or(Some(peer)),
            other => other,
        }))
    }
}

#[cfg(test)]
mod tests {
    use super::{Caller, Guesses, MISSES_IN_ALL_MAX, MISSES_MAX, Timestamp, WINDOW_S};

    fn at(second: i64) -> Timestamp {
        Timestamp::from_unix_seconds(second).expect("a time")
    }

    fn caller(last: u8) -> Caller {
        Caller(Some([192, 0, 2, last].into()))
    }

    #[test]
    fn one_address_is_shut_out_and_another_is_not() {
        let guesses = Guesses::default();
        for _ in 0..MISSES_MAX {
            assert!(guesses.allows(caller(1), at(0)));
            guesses.miss(caller(1), at(0));
        }
        assert!(!guesses.allows(caller(1), at(WINDOW_S - 1)));
        assert!(guesses.allows(caller(2), at(1)));
        assert!(guesses.allows(caller(1), at(WINDOW_S)), "and let in again later");
    }

    #[test]
    fn many_addresses_together_shut_the_door() {
        let guesses = Guesses::default();
        for number in 0..MISSES_IN_ALL_MAX {
            guesses.miss(Caller(Some(std::net::Ipv4Addr::from(number).into())), at(0));
        }
        assert!(!guesses.allows(caller(9), at(0)));
    }
}
