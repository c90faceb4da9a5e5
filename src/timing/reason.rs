//! Why a job took what it took: the total shared out over its classes in the light of what was known of each.
//!
//! The surprise (spent less expected) is shared as the joint normal distribution does it: each class gets the
//! expectation of its own man-minutes given the total, so a class that little is known of takes more of the surprise
//! than one that has been timed a hundred times, and the noise is shared by expected minutes. The shares add up to the
//! total.

use super::amount::{ManMinutes, Range, Units};
use super::class::ClassKey;
use super::forecast::Forecast;
use super::model::{SETUP, TimeModel};
use super::outlook::Expectation;
use super::work::Job;

/// How a total compares with the range that holds it 8 times in 10.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pace {
    /// It took longer than the range.
    Long,
    /// It fits the range.
    AsExpected,
    /// It took less than the range.
    Short,
}

/// One class in a finished job.
#[derive(Debug, Clone, PartialEq)]
pub struct LineReason {
    /// The class.
    pub class: ClassKey,
    /// How many were done.
    pub units: Units,
    /// Man-minutes expected for all of them.
    pub expected: ManMinutes,
    /// Man-minutes of the total laid to them.
    pub attributed: ManMinutes,
}

impl LineReason {
    /// Man-minutes for one, of the time laid to them.
    pub fn each(&self) -> f64 {
        self.attributed.get() / self.units.get()
    }
}

/// A finished job against what was expected.
#[derive(Debug, Clone, PartialEq)]
pub struct Reason {
    /// Man-minutes expected in all.
    pub expected: ManMinutes,
    /// The range that would have held the total 8 times in 10.
    pub likely: Range,
    /// Man-minutes spent in all.
    pub spent: ManMinutes,
    /// Whether the job ran long or short.
    pub pace: Pace,
    /// The classes, in the order of the price list.
    pub lines: Vec<LineReason>,
    /// Man-minutes laid to the set-up: the set figure, or a share of the surprise where it is learned.
    pub setup: ManMinutes,
    /// Man-minutes of the extras, taken as known.
    pub extras: ManMinutes,
}

impl Reason {
    /// The class that the surprise is mostly laid to, when the job ran long or short.
    pub fn main(&self) -> Option<&LineReason> {
        let off = |line: &LineReason| (line.attributed.get() - line.expected.get()).abs();
        match self.pace {
            Pace::AsExpected => None,
            Pace::Long | Pace::Short => self.lines.iter().max_by(|a, b| off(a).total_cmp(&off(b))),
        }
    }
}

pub(super) fn explain(model: &TimeModel, expectation: &Expectation, job: &Job) -> Reason {
    let forecast = Forecast::new(expectation.total);
    let likely = forecast.likely();
    let pace = if job.spent() > likely.high {
        Pace::Long
    } else if job.spent() < likely.low {
        Pace::Short
    } else {
        Pace::AsExpected
    };
    let extras = job.work().extras();
    let mut setup = expectation.known - extras.get();
    let mut lines = Vec::with_capacity(expectation.terms.len());
    for ((column, count, expected), attributed) in expectation.terms.iter().zip(shares(expectation, job.spent().get()))
    {
        match column.checked_sub(SETUP + 1) {
            None => setup += attributed,
            Some(at) => lines.push(LineReason {
                class: model.entries()[at].class.clone(),
                units: Units::computed(*count),
                expected: ManMinutes::clamped(*expected),
                attributed: ManMinutes::clamped(attributed),
            }),
        }
    }
    Reason {
        expected: forecast.mean(),
        likely,
        spent: job.spent(),
        pace,
        lines,
        setup: ManMinutes::clamped(setup),
        extras,
    }
}

/// Man-minutes laid to each term. Where the joint distribution would give a class less than nothing (a total far below
/// what is known, over classes that were always timed together), all are scaled alike instead.
fn shares(expectation: &Expectation, spent: f64) -> Vec<f64> {
    let total = &expectation.total;
    let surprise = spent - total.location();
    let counted: f64 = expectation
        .terms
        .iter()
        .filter(|term| term.0 != SETUP)
        .map(|term| term.2)
        .sum();
    let variance = total.scale() * total.scale();
    let terms = expectation.terms.iter().zip(&expectation.shared);
    let shares: Vec<f64> = terms
        .map(|((column, _, expected), shared)| {
            let noise = if *column == SETUP {
                0.0
            } else {
                expectation.noise * expected / counted
            };
            expected + surprise * (shared + noise) / variance
        })
        .collect();
    if shares.iter().all(|share| *share >= 0.0) {
        return shares;
    }
    let ratio = (spent - expectation.known).max(0.0) / (total.location() - expectation.known);
    expectation.terms.iter().map(|term| term.2 * ratio).collect()
}
