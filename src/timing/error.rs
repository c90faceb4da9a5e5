//! What can be wrong with figures handed to the time model, as facts for the caller to put into words.

use thiserror::Error;

use super::class::ClassKey;

/// Why a figure or a job was refused. Nothing was learned or changed when one of these comes back.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum Error {
    /// Man-minutes were negative, not a number, or beyond [`super::amount::LIMIT`].
    #[error("{value} is not an amount of man-minutes")]
    NotManMinutes {
        /// The figure as given.
        value: f64,
    },
    /// A count of units was negative, not a number, or beyond [`super::amount::LIMIT`].
    #[error("{value} is not a count of units")]
    NotUnits {
        /// The figure as given.
        value: f64,
    },
    /// A chance was not strictly between 0 and 1.
    #[error("{value} is not a chance between 0 and 1")]
    NotChance {
        /// The figure as given.
        value: f64,
    },
    /// Set or starter minutes were zero: a price list entry has to take some time.
    #[error("{class} cannot take zero minutes")]
    NoMinutes {
        /// The entry.
        class: ClassKey,
    },
    /// A job or a quote counts nothing, so its minutes cannot be laid to anything.
    #[error("nothing was counted")]
    NothingCounted,
    /// A finish or a reading of zero minutes.
    #[error("no minutes were spent")]
    NothingSpent,
    /// The price list has no such kind and size.
    #[error("{class} is not on the price list")]
    UnknownClass {
        /// The kind and size asked for.
        class: ClassKey,
    },
    /// A regression has more unknowns than its observations and its prior can settle.
    #[error("the observations do not settle all {unknowns} unknowns")]
    Undetermined {
        /// How many unknowns it has.
        unknowns: usize,
    },
}
