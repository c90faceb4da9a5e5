//! What one unit of a class takes, whose figure that is, and when the crew's own figure takes over.

use super::amount::{ManMinutes, Range, Units};
use super::class::{Basis, ClassKey};
use super::model::Entry;

/// Learned minutes take over once the jobs have cut the variance of the prior to this share.
pub const VARIANCE_SHARE: f64 = 0.5;
/// The owner's own minutes give way only after this many jobs or readings since they were set.
pub const OBSERVATIONS_AGAINST_SET: u32 = 3;

/// Minutes of one unit of a class.
#[derive(Debug, Clone, PartialEq)]
pub struct Estimate {
    /// The class.
    pub class: ClassKey,
    /// Man-minutes each to price with.
    pub minutes: ManMinutes,
    /// Whose figure `minutes` is.
    pub basis: Basis,
    /// The owner asked to keep the set minutes, whatever the jobs say.
    pub kept: bool,
    /// Man-minutes each in the light of set minutes and jobs together, whether they are priced with or not.
    pub learned: ManMinutes,
    /// The range that holds the true mean minutes of one unit 8 times in 10.
    pub likely: Range,
    /// Units done and timed so far, none faded.
    pub units: Units,
    /// Finished jobs with this class.
    pub jobs: u32,
    /// Stopwatch readings of single units.
    pub readings: u32,
    /// Units that the learned figure rests on after fading, and after a fresh start.
    pub units_counted: Units,
    /// Jobs that the learned figure rests on after fading, and after a fresh start; a sitting with the stopwatch is
    /// one.
    pub jobs_counted: f64,
}

/// Whether the crew's figure is the better one: see the module header of [`crate::timing`] for the rule and its reason.
pub(super) fn learned_is_better(entry: &Entry, variance_share: f64) -> bool {
    let needed = match entry.prior.basis() {
        Basis::Set => OBSERVATIONS_AGAINST_SET,
        Basis::Starter | Basis::Learned => 1,
    };
    !entry.kept && entry.observations >= needed && variance_share <= VARIANCE_SHARE
}
