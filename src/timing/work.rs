//! Work as the statistics see it: counts by class, and the minutes that a finished job or a stopwatch gave.
//!
//! Lines are kept sorted and merged, so two ways of saying the same job are one value and their order cannot matter.

use std::collections::BTreeMap;

use super::amount::{ManMinutes, Units};
use super::class::ClassKey;
use super::error::Error;

/// What is to be done, or was done, in one visit: counts by class and the time that is known beforehand.
#[derive(Debug, Clone, PartialEq)]
pub struct Work {
    lines: BTreeMap<ClassKey, Units>,
    extras: ManMinutes,
    has_setup: bool,
}

impl Work {
    /// A visit, with its one set-up. Lines of the same class are added up, and lines that count nothing are dropped;
    /// [`Error::NothingCounted`] when none is left.
    pub fn visit(lines: impl IntoIterator<Item = (ClassKey, Units)>) -> Result<Self, Error> {
        let mut merged: BTreeMap<ClassKey, Vec<f64>> = BTreeMap::new();
        for (class, units) in lines {
            if units.get() > 0.0 {
                merged.entry(class).or_default().push(units.get());
            }
        }
        if merged.is_empty() {
            return Err(Error::NothingCounted);
        }
        let mut sums = BTreeMap::new();
        for (class, mut counts) in merged {
            counts.sort_by(f64::total_cmp);
            sums.insert(class, Units::new(counts.iter().sum())?);
        }
        Ok(Work {
            lines: sums,
            extras: ManMinutes::ZERO,
            has_setup: true,
        })
    }

    /// Adds man-minutes that are known and not learned, such as hauling and driving.
    pub fn with_extras(self, extras: ManMinutes) -> Self {
        Work { extras, ..self }
    }

    /// Leaves the set-up out: the clock ran for the counted work only, or the crew was there already.
    pub fn without_setup(self) -> Self {
        Work {
            has_setup: false,
            ..self
        }
    }

    /// The counts, in the order of their names.
    pub fn lines(&self) -> impl Iterator<Item = (&ClassKey, Units)> {
        self.lines.iter().map(|(class, units)| (class, *units))
    }

    /// Known man-minutes beside the counted work.
    pub fn extras(&self) -> ManMinutes {
        self.extras
    }

    /// Whether the visit begins with a set-up.
    pub fn has_setup(&self) -> bool {
        self.has_setup
    }
}

/// A finished job: what was really done, and the man-minutes it took in all.
#[derive(Debug, Clone, PartialEq)]
pub struct Job {
    work: Work,
    spent: ManMinutes,
}

impl Job {
    /// A finished job; [`Error::NothingSpent`] when it took no time.
    pub fn new(work: Work, spent: ManMinutes) -> Result<Self, Error> {
        if spent.get() > 0.0 {
            Ok(Job { work, spent })
        } else {
            Err(Error::NothingSpent)
        }
    }

    /// What was done.
    pub fn work(&self) -> &Work {
        &self.work
    }

    /// Man-minutes in all, set-up and extras included.
    pub fn spent(&self) -> ManMinutes {
        self.spent
    }
}

/// Stopwatch readings of single units of one class, taken in one sitting.
#[derive(Debug, Clone, PartialEq)]
pub struct Readings {
    class: ClassKey,
    minutes: Vec<ManMinutes>,
}

impl Readings {
    /// One sitting. [`Error::NothingCounted`] without readings, [`Error::NothingSpent`] if one of them is zero.
    pub fn new(class: ClassKey, minutes: Vec<ManMinutes>) -> Result<Self, Error> {
        if minutes.is_empty() {
            return Err(Error::NothingCounted);
        }
        if minutes.iter().any(|reading| reading.get() <= 0.0) {
            return Err(Error::NothingSpent);
        }
        Ok(Readings { class, minutes })
    }

    /// What was timed.
    pub fn class(&self) -> &ClassKey {
        &self.class
    }

    /// Man-minutes of each unit, as given.
    pub fn minutes(&self) -> &[ManMinutes] {
        &self.minutes
    }

    /// The sitting as one job of that many units, timed without set-up. Its information on the minutes of one unit is
    /// exactly that of as many jobs of one unit; see the module header of [`crate::timing`] for why it is one job.
    pub fn as_job(&self) -> Result<Job, Error> {
        let mut sorted: Vec<f64> = self.minutes.iter().map(|reading| reading.get()).collect();
        sorted.sort_by(f64::total_cmp);
        let count = Units::new(self.minutes.len() as f64)?;
        let work = Work::visit([(self.class.clone(), count)])?.without_setup();
        Job::new(work, ManMinutes::new(sorted.iter().sum())?)
    }
}

#[cfg(test)]
mod tests {
    use super::{ClassKey, Error, Job, ManMinutes, Readings, Units, Work};

    fn units(value: f64) -> Units {
        Units::new(value).expect("a valid count")
    }

    fn minutes(value: f64) -> ManMinutes {
        ManMinutes::new(value).expect("a valid figure")
    }

    #[test]
    fn the_order_of_lines_does_not_matter_and_doubles_are_added() {
        let small = ClassKey::sized("holly", "small");
        let large = ClassKey::sized("holly", "large");
        let a = Work::visit([
            (small.clone(), units(0.1)),
            (large.clone(), units(3.0)),
            (small.clone(), units(0.7)),
        ]);
        let b = Work::visit([
            (small.clone(), units(0.7)),
            (small.clone(), units(0.1)),
            (large, units(3.0)),
        ]);
        assert_eq!(a, b);
        assert_eq!(a.map(|work| work.lines().count()), Ok(2));
        assert_eq!(Work::visit([(small, units(0.0))]), Err(Error::NothingCounted));
    }

    #[test]
    fn work_that_took_no_time_is_refused() {
        let small = ClassKey::sized("holly", "small");
        let work = Work::visit([(small.clone(), units(1.0))]).expect("one line");
        assert_eq!(Job::new(work, ManMinutes::ZERO), Err(Error::NothingSpent));
        assert_eq!(Readings::new(small.clone(), vec![]), Err(Error::NothingCounted));
        assert_eq!(
            Readings::new(small, vec![minutes(5.0), ManMinutes::ZERO]),
            Err(Error::NothingSpent)
        );
    }

    #[test]
    fn a_sitting_is_one_job_of_as_many_units() {
        let small = ClassKey::sized("holly", "small");
        let sitting = Readings::new(small.clone(), [5.5, 6.0, 7.0, 6.5].map(minutes).to_vec()).expect("four readings");
        let job = sitting.as_job().expect("a job");
        assert_eq!(job.spent().get(), 25.0);
        assert!(!job.work().has_setup());
        assert_eq!(job.work().lines().collect::<Vec<_>>(), vec![(&small, units(4.0))]);
    }
}
