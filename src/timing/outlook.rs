//! The joint posterior over every class: what is believed now, given the price list and the evidence.
//!
//! Each kind of work has a dispersion of its own, learned from the jobs filed under its classes. The minutes of all
//! classes, and the set-up, are then one weighted regression over all files, each file scaled by the dispersion of its
//! kind. With one kind of work in the book that is the exact normal-inverse-gamma posterior; with several, each
//! dispersion is put at its own posterior estimate, and a forecast takes the fewest degrees of freedom of the kinds in
//! it, which errs to the wide side.
//!
//! Invariant: an outlook is a pure function of a [`TimeModel`], computed in a fixed order.

use std::borrow::Cow;
use std::sync::Arc;

use nalgebra::{Cholesky, DMatrix, DVector, Dyn};

use super::amount::{ManMinutes, Range, Units};
use super::class::{Basis, ClassKey};
use super::error::Error;
use super::estimate::{Estimate, learned_is_better};
use super::forecast::{Forecast, TAIL};
use super::model::{Entry, SETUP, SetupTime, TimeModel};
use super::reason::{Reason, explain};
use super::student::Student;
use super::sums::{Prior, Sums};
use super::surprise::Surprise;
use super::work::{Job, Work};

/// Noise variance per expected man-minute, before any job: an hour of work varies by a standard deviation of 11.5
/// minutes, a fifth (common practice, no source). The figure and its weight were settled on the invented crews of the
/// calibration test, not on records of real ones; the crew's own jobs replace it.
pub const DISPERSION: f64 = 2.2;
/// How many jobs that guess is worth, as degrees of freedom (see [`DISPERSION`]).
pub const DISPERSION_FREEDOM: f64 = 8.0;
/// Standard deviation of a set-up that nobody gave, around none, in man-minutes (common practice, no source).
pub const SETUP_DEVIATION: f64 = 10.0;
/// However the regression comes out, a unit takes at least this share of its set or starter minutes; so minutes stay
/// above zero, and more units always take longer.
const MINUTES_SHARE_MIN: f64 = 0.05;

/// What a kind's jobs say of its noise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Scatter {
    pub(super) dispersion: f64,
    freedom: f64,
}

/// What is believed of all minutes now.
#[derive(Debug, Clone)]
pub struct Outlook<'model> {
    model: &'model TimeModel,
    belief: Arc<Belief>,
}

/// The joint posterior by itself: it is worked out once for a model and asked many times.
#[derive(Debug)]
pub(super) struct Belief {
    scatter: Vec<Scatter>,
    setup_variance: f64,
    columns: Vec<usize>,
    mean: DVector<f64>,
    precision: Cholesky<f64, Dyn>,
}

/// A piece of work over columns, with what the model expects of it.
#[derive(Debug, Clone)]
pub(super) struct Expectation {
    /// Column, count, expected man-minutes of the column in all.
    pub(super) terms: Vec<(usize, f64, f64)>,
    /// Man-minutes known beforehand: extras, and the set-up when it is set.
    pub(super) known: f64,
    /// For each term, the covariance of its man-minutes with the total, noise left out.
    pub(super) shared: Vec<f64>,
    /// Variance of the noise of the total.
    pub(super) noise: f64,
    /// The total.
    pub(super) total: Student,
}

impl Belief {
    pub(super) fn of(model: &TimeModel) -> Self {
        let files: Vec<Option<Cow<'_, Sums>>> = (0..model.entries().len()).map(|file| usable(model, file)).collect();
        let scatter = scatter_of(model, &files);
        let setup_variance = setup_variance(model, &files, &scatter);
        let prior_of = |column: usize| prior_of(model, &scatter, setup_variance, column);

        let mut columns: Vec<usize> = files
            .iter()
            .flatten()
            .flat_map(|sums| sums.columns().iter().copied())
            .collect();
        columns.sort_unstable();
        columns.dedup();
        let size = columns.len();
        let prior_mean = DVector::from_iterator(size, columns.iter().map(|column| prior_of(*column).0));
        let mut precision = DMatrix::zeros(size, size);
        for (place, column) in columns.iter().enumerate() {
            precision[(place, place)] = prior_of(*column).1.recip();
        }
        let mut surprise = DVector::zeros(size);
        for (file, sums) in files.iter().enumerate() {
            let Some(sums) = sums else { continue };
            let certainty = scatter[model.entries()[file].service].dispersion.recip();
            let places: Vec<usize> = sums
                .columns()
                .iter()
                .map(|column| {
                    columns
                        .binary_search(column)
                        .expect("columns are gathered from the files")
                })
                .collect();
            let here = sums.surprise(&DVector::from_iterator(
                places.len(),
                places.iter().map(|at| prior_mean[*at]),
            ));
            for (from, to) in places.iter().enumerate() {
                for (other_from, other_to) in places.iter().enumerate() {
                    precision[(*to, *other_to)] += sums.information()[(from, other_from)] * certainty;
                }
                surprise[*to] += here[from] * certainty;
            }
        }
        let precision = Cholesky::new(precision).expect("every column has a proper prior");
        let mean = prior_mean + precision.solve(&surprise);
        Belief {
            scatter,
            setup_variance,
            columns,
            mean,
            precision,
        }
    }
}

impl<'model> Outlook<'model> {
    pub(super) fn new(model: &'model TimeModel, belief: Arc<Belief>) -> Self {
        Outlook { model, belief }
    }

    /// How many man-minutes a piece of work is going to take. [`Error::UnknownClass`] if the price list lacks a line.
    pub fn forecast(&self, work: &Work) -> Result<Forecast, Error> {
        Ok(Forecast::new(self.expect(work)?.total))
    }

    /// What one unit of a class takes. [`Error::UnknownClass`] if it is not on the price list.
    pub fn estimate(&self, class: &ClassKey) -> Result<Estimate, Error> {
        let at = self.model.find(class)?;
        Ok(self.estimate_entry(at))
    }

    /// What one unit of each class takes, in the order in which the classes came onto the price list.
    pub fn estimates(&self) -> Vec<Estimate> {
        (0..self.model.entries().len())
            .map(|at| self.estimate_entry(at))
            .collect()
    }

    /// What the set-up takes: exactly the set figure, or what the jobs say beyond their counts. A quote that charges
    /// minutes each but no set-up should add the learned figure, because the minutes each no longer hold it.
    pub fn setup(&self) -> Range {
        match self.model.setup() {
            SetupTime::Set(minutes) => Range {
                low: minutes,
                high: minutes,
            },
            SetupTime::Watched => Range {
                low: ManMinutes::ZERO,
                high: ManMinutes::ZERO,
            },
            SetupTime::Learned => self.range_of(SETUP, self.least_freedom(0..self.belief.scatter.len())),
        }
    }

    /// The middle of [`Outlook::setup`]: none until jobs of different sizes have shown one.
    pub fn setup_minutes(&self) -> ManMinutes {
        match self.model.setup() {
            SetupTime::Set(minutes) => minutes,
            SetupTime::Watched => ManMinutes::ZERO,
            SetupTime::Learned => ManMinutes::clamped(self.mean_of(SETUP)),
        }
    }

    /// How surprising a finished job would be, and what may have been meant. Ask before observing it.
    pub fn surprise(&self, job: &Job) -> Result<Surprise, Error> {
        Ok(Surprise::of(&self.expect(job.work())?.total, job.spent()))
    }

    /// How surprising a single stopwatch reading would be.
    pub fn surprise_of_reading(&self, class: &ClassKey, minutes: ManMinutes) -> Result<Surprise, Error> {
        let work = Work::visit([(class.clone(), Units::computed(1.0))])?.without_setup();
        self.surprise(&Job::new(work, minutes)?)
    }

    /// Why a finished job took what it took. Ask before observing it.
    pub fn explain(&self, job: &Job) -> Result<Reason, Error> {
        Ok(explain(self.model, &self.expect(job.work())?, job))
    }

    pub(super) fn expect(&self, work: &Work) -> Result<Expectation, Error> {
        let mut row = self.model.row(work)?;
        if self.model.setup() == SetupTime::Watched {
            row.terms.retain(|(column, _)| *column != SETUP);
        }
        let mut touched = DVector::zeros(self.belief.columns.len());
        for (column, count) in &row.terms {
            if let Ok(place) = self.belief.columns.binary_search(column) {
                touched[place] = *count;
            }
        }
        let solved = self.belief.precision.solve(&touched);
        let mut terms = Vec::with_capacity(row.terms.len());
        let mut shared = Vec::with_capacity(row.terms.len());
        for (column, count) in &row.terms {
            terms.push((*column, *count, count * self.mean_of(*column)));
            shared.push(match self.belief.columns.binary_search(column) {
                Ok(place) => count * solved[place],
                Err(_) => count * count * self.prior(*column).1,
            });
        }
        let noise = self.belief.scatter[self.model.entries()[row.file].service].dispersion * row.variance;
        let location = row.known + terms.iter().map(|(_, _, minutes)| minutes).sum::<f64>();
        let variance = noise + shared.iter().sum::<f64>();
        let kinds = row.terms.iter().filter(|(column, _)| *column != SETUP);
        let freedom = self.least_freedom(kinds.map(|(column, _)| self.entry(*column).service));
        let total = Student::new(location, variance.sqrt(), freedom);
        Ok(Expectation {
            terms,
            known: row.known,
            shared,
            noise,
            total,
        })
    }

    fn estimate_entry(&self, at: usize) -> Estimate {
        let entry = &self.model.entries()[at];
        let column = TimeModel::column(at);
        let scatter = self.belief.scatter[entry.service];
        let variance_kept = self.variance_of(column) * entry.prior.precision() / scatter.dispersion;
        let learned = ManMinutes::clamped(self.mean_of(column));
        let (minutes, basis) = if learned_is_better(entry, variance_kept) {
            (learned, Basis::Learned)
        } else {
            (entry.prior.minutes(), entry.prior.basis())
        };
        let (units, jobs) = self.model.evidence().behind(column);
        Estimate {
            class: entry.class.clone(),
            minutes,
            basis,
            kept: entry.kept,
            learned,
            likely: self.range_of(column, scatter.freedom),
            units: entry.units,
            jobs: entry.jobs,
            readings: entry.readings,
            units_counted: Units::computed(units),
            jobs_counted: jobs,
        }
    }

    fn range_of(&self, column: usize, freedom: f64) -> Range {
        let minutes = Student::new(self.mean_of(column), self.variance_of(column).sqrt(), freedom);
        Range {
            low: ManMinutes::clamped(minutes.quantile(TAIL)),
            high: ManMinutes::clamped(minutes.quantile(1.0 - TAIL)),
        }
    }

    fn mean_of(&self, column: usize) -> f64 {
        let mean = match self.belief.columns.binary_search(&column) {
            Ok(place) => self.belief.mean[place],
            Err(_) => self.prior(column).0,
        };
        if column == SETUP {
            mean.max(0.0)
        } else {
            mean.max(MINUTES_SHARE_MIN * self.prior(column).0)
        }
    }

    fn variance_of(&self, column: usize) -> f64 {
        let Ok(place) = self.belief.columns.binary_search(&column) else {
            return self.prior(column).1;
        };
        let mut unit = DVector::zeros(self.belief.columns.len());
        unit[place] = 1.0;
        self.belief.precision.solve(&unit)[place]
    }

    fn prior(&self, column: usize) -> (f64, f64) {
        prior_of(self.model, &self.belief.scatter, self.belief.setup_variance, column)
    }

    fn entry(&self, column: usize) -> &Entry {
        &self.model.entries()[column - 1]
    }

    fn least_freedom(&self, services: impl Iterator<Item = usize>) -> f64 {
        services
            .map(|service| self.belief.scatter[service].freedom)
            .fold(f64::INFINITY, f64::min)
    }
}

/// A file's sums, with a set-up that has been set since taken off.
fn usable(model: &TimeModel, file: usize) -> Option<Cow<'_, Sums>> {
    let sums = model.evidence().file(file).filter(|sums| !sums.columns().is_empty())?;
    Some(match model.setup() {
        SetupTime::Set(minutes) if sums.columns().contains(&SETUP) => Cow::Owned(sums.given(SETUP, minutes.get())),
        SetupTime::Watched if sums.columns().contains(&SETUP) => Cow::Owned(sums.given(SETUP, 0.0)),
        SetupTime::Set(_) | SetupTime::Watched | SetupTime::Learned => Cow::Borrowed(sums),
    })
}

/// The dispersion of each kind: the normal-inverse-gamma posterior over the jobs filed under its classes. The first
/// guess for a kind is what the crew's other kinds show, so one book of uneven jobs makes every range wider; with one
/// kind in the book, it is [`DISPERSION`].
fn scatter_of(model: &TimeModel, files: &[Option<Cow<'_, Sums>>]) -> Vec<Scatter> {
    let mut kinds = vec![Sums::default(); model.services()];
    for (file, entry) in files.iter().zip(model.entries()) {
        if let Some(file) = file {
            kinds[entry.service].merge(file);
        }
    }
    let own: Vec<Scatter> = kinds
        .iter()
        .map(|sums| scatter_given(model, sums, DISPERSION))
        .collect();
    (0..kinds.len())
        .map(|kind| {
            let (mut freedom, mut sum) = (DISPERSION_FREEDOM, DISPERSION_FREEDOM * DISPERSION);
            for (other, scatter) in own.iter().enumerate().filter(|(other, _)| *other != kind) {
                freedom += kinds[other].weight();
                sum += scatter.freedom * scatter.dispersion - DISPERSION_FREEDOM * DISPERSION;
            }
            scatter_given(model, &kinds[kind], sum / freedom)
        })
        .collect()
}

fn scatter_given(model: &TimeModel, sums: &Sums, dispersion: f64) -> Scatter {
    let (mean, precision): (Vec<f64>, Vec<f64>) = sums
        .columns()
        .iter()
        .map(|column| match column.checked_sub(1) {
            Some(at) => (
                model.entries()[at].prior.minutes().get(),
                model.entries()[at].prior.precision(),
            ),
            None => (0.0, DISPERSION / (SETUP_DEVIATION * SETUP_DEVIATION)),
        })
        .unzip();
    let shape = DISPERSION_FREEDOM / 2.0;
    let prior = Prior {
        mean: mean.into(),
        precision: precision.into(),
        shape,
        rate: shape * dispersion,
    };
    let posterior = sums.posterior(&prior).expect("the prior is proper");
    Scatter {
        dispersion: posterior.dispersion(),
        freedom: posterior.freedom(),
    }
}

/// Prior variance of the set-up. It scales with the dispersion as all variances of the regression do; with several
/// kinds in the book, with their mean by jobs.
fn setup_variance(model: &TimeModel, files: &[Option<Cow<'_, Sums>>], scatter: &[Scatter]) -> f64 {
    let (mut jobs, mut sum) = (0.0, 0.0);
    for (file, entry) in files.iter().zip(model.entries()) {
        let weight = file.as_ref().map_or(0.0, |sums| sums.weight());
        jobs += weight;
        sum += weight * scatter[entry.service].dispersion;
    }
    let dispersion = if jobs > 0.0 { sum / jobs } else { DISPERSION };
    SETUP_DEVIATION * SETUP_DEVIATION * dispersion / DISPERSION
}

/// Mean and variance of a column before any job.
fn prior_of(model: &TimeModel, scatter: &[Scatter], setup_variance: f64, column: usize) -> (f64, f64) {
    match column.checked_sub(1) {
        Some(at) => {
            let entry = &model.entries()[at];
            (
                entry.prior.minutes().get(),
                scatter[entry.service].dispersion / entry.prior.precision(),
            )
        }
        None => (0.0, setup_variance),
    }
}
