//! How long to wait before the next try?
//!
//! Doubling waits up to a cap, each drawn evenly from zero to its limit ("full jitter"), so that tries which failed together
//! do not come back together; at least what the other side asked for. Why so: Amazon's "Exponential Backoff And Jitter"
//! (Brooker, 2015) compares the ways and finds this one to make the fewest calls.

/// First wait, at most, in seconds.
const BASE_S: i64 = 2;

/// Longest wait of our own, in seconds.
const CAP_S: i64 = 600;

/// Longest wait that the other side may ask for, in seconds.
pub const ASKED_S_MAX: i64 = 3600;

/// How old a letter may grow before it is given up, in seconds: a day in which a phone was off.
pub const LETTER_AGE_S_MAX: i64 = 24 * 3600;

/// How long fetching what was sent along is tried, in seconds: longer than a provider's hiccup, shorter than patience.
pub const FETCH_AGE_S_MAX: i64 = 15 * 60;

/// Seconds to wait after so many tries, drawn by a number from 0 to 1000; never less than a second or what was asked.
pub fn wait_s(tries: u32, asked_s: Option<i64>, jitter_per_mille: u32) -> i64 {
    let limit = 2_i64
        .checked_pow(tries.saturating_sub(1).min(30))
        .and_then(|factor| factor.checked_mul(BASE_S))
        .map_or(CAP_S, |wait| wait.min(CAP_S));
    let drawn = limit * i64::from(jitter_per_mille.min(1000)) / 1000;
    let asked = asked_s.unwrap_or(0).clamp(0, ASKED_S_MAX);
    // What was asked for gets a little on top, for the same reason that there is jitter.
    let asked = asked + asked.min(10) * i64::from(jitter_per_mille.min(1000)) / 1000;
    drawn.max(asked).max(1)
}

#[cfg(test)]
mod tests {
    use super::{ASKED_S_MAX, CAP_S, wait_s};

    #[test]
    fn waits_double_up_to_the_cap_and_heed_what_is_asked() {
        let limits: Vec<i64> = (1..=12).map(|tries| wait_s(tries, None, 1000)).collect();
        assert_eq!(limits, [2, 4, 8, 16, 32, 64, 128, 256, 512, 600, 600, 600]);
        assert_eq!(wait_s(u32::MAX, None, 1000), CAP_S);
        assert_eq!(wait_s(9, None, 0), 1);
        assert_eq!(wait_s(1, Some(7), 0), 7);
        assert_eq!(wait_s(1, Some(7), 1000), 14);
        assert_eq!(wait_s(1, Some(i64::MAX), 0), ASKED_S_MAX);
        assert_eq!(wait_s(1, Some(-5), 0), 1);
    }
}
