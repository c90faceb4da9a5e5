//! The time model of one account: its price list's minutes, what its jobs say, and how to add to both.
//!
//! Everything here is a fold: the same calls in the same order give the same model bit for bit, and each costs the same
//! whether ten jobs came before or a hundred thousand.

use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};

use super::amount::{ManMinutes, Units};
use super::class::{ClassKey, Prior};
use super::error::Error;
use super::evidence::Evidence;
use super::outlook::{Belief, Outlook};
use super::reason::Reason;
use super::sums::Observation;
use super::trend::{LearningCurve, Trend};
use super::work::{Job, Readings, Work};

/// The column of the set-up in every regression; the class at place `n` of the price list has column `n + 1`.
pub(super) const SETUP: usize = 0;

/// Where the set-up's minutes come from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SetupTime {
    /// The owner said so: taken as known.
    Set(ManMinutes),
    /// Nobody said: the intercept of the regression.
    Learned,
    /// Nobody said, and it is taken as none for now, while what jobs say of it is kept: the minutes each hold it.
    Watched,
}

/// A class on the price list.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Entry {
    pub(super) class: ClassKey,
    pub(super) service: usize,
    pub(super) prior: Prior,
    pub(super) kept: bool,
    pub(super) units: Units,
    pub(super) jobs: u32,
    pub(super) readings: u32,
    /// Jobs and readings since the minutes were set.
    pub(super) observations: u32,
    curve: LearningCurve,
}

/// Work turned into a row of the regression.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Row {
    /// Place of the class that most of the expected minutes go to.
    pub(super) file: usize,
    /// Column and count, ascending by column.
    pub(super) terms: Vec<(usize, f64)>,
    /// Man-minutes known beforehand.
    pub(super) known: f64,
    /// Expected man-minutes in all, by set and starter minutes: what the variance of the noise is proportional to.
    pub(super) variance: f64,
}

/// Minutes of one account's work, believed and learned. A copy shares all that does not change after it, so a book can
/// keep what it believed before each message.
#[derive(Debug, Clone, PartialEq)]
pub struct TimeModel {
    entries: Vec<Arc<Entry>>,
    places: Arc<BTreeMap<ClassKey, usize>>,
    services: Arc<BTreeMap<String, usize>>,
    setup: SetupTime,
    evidence: Evidence,
    belief: Kept,
}

/// The belief that follows from a model, kept until the model learns something. It adds nothing to what the model is, so
/// two models are equal with and without it.
#[derive(Debug, Clone, Default)]
struct Kept(OnceLock<Arc<Belief>>);

impl PartialEq for Kept {
    fn eq(&self, _: &Kept) -> bool {
        true
    }
}

impl Default for TimeModel {
    fn default() -> Self {
        TimeModel::new()
    }
}

impl TimeModel {
    /// An empty price list; the set-up is learned.
    pub fn new() -> Self {
        TimeModel {
            entries: Vec::new(),
            places: Arc::default(),
            services: Arc::default(),
            setup: SetupTime::Learned,
            evidence: Evidence::default(),
            belief: Kept::default(),
        }
    }

    /// Puts a class on the price list with a starter guess. A class that is there already keeps what it has.
    /// [`Error::NoMinutes`] for zero minutes.
    pub fn add_starter(&mut self, class: &ClassKey, minutes: ManMinutes) -> Result<(), Error> {
        let prior = Prior::starter(class, minutes)?;
        if !self.places.contains_key(class) {
            self.add(class, prior);
        }
        Ok(())
    }

    /// Takes the owner's minutes for a class, new or known; they are what is priced with until the rule in the module
    /// header of [`crate::timing`] says otherwise. Minutes that the jobs so far contradict (outside the range that
    /// holds the truth 8 times in 10) start the class afresh: the owner knows of a change that the old jobs do not.
    /// [`Error::NoMinutes`] for zero minutes.
    pub fn set_minutes(&mut self, class: &ClassKey, minutes: ManMinutes) -> Result<(), Error> {
        let prior = Prior::set(class, minutes)?;
        let Some(at) = self.places.get(class).copied() else {
            self.add(class, prior);
            return Ok(());
        };
        if !self.outlook().estimate(class)?.likely.holds(minutes) {
            self.evidence.restart(TimeModel::column(at));
        }
        let entry = self.entry(at);
        entry.prior = prior;
        entry.observations = 0;
        self.belief = Kept::default();
        Ok(())
    }

    /// Keeps pricing with the set or starter minutes of a class, whatever the jobs say. Jobs are still learned from,
    /// for the likely range and for the day the owner lets go. [`Error::UnknownClass`] if it is not on the price list.
    pub fn keep_minutes(&mut self, class: &ClassKey) -> Result<(), Error> {
        let at = self.find(class)?;
        self.entry(at).kept = true;
        Ok(())
    }

    /// Lets learned minutes take over again. [`Error::UnknownClass`] if it is not on the price list.
    pub fn release_minutes(&mut self, class: &ClassKey) -> Result<(), Error> {
        let at = self.find(class)?;
        self.entry(at).kept = false;
        Ok(())
    }

    /// Sets what a set-up takes, or leaves it to be learned.
    pub fn set_setup(&mut self, setup: SetupTime) {
        self.setup = setup;
        self.belief = Kept::default();
    }

    /// What a set-up takes, as told.
    pub fn setup(&self) -> SetupTime {
        self.setup
    }

    /// Learns from a finished job and says why it took what it took, given what was believed before.
    /// [`Error::UnknownClass`] if the price list lacks a line of it.
    pub fn observe(&mut self, job: &Job) -> Result<Reason, Error> {
        let reason = self.learn(job)?;
        for (class, units) in job.work().lines() {
            let at = self.find(class)?;
            let entry = self.entry(at);
            entry.units = Units::computed(entry.units.get() + units.get());
            entry.jobs = entry.jobs.saturating_add(1);
            entry.observations = entry.observations.saturating_add(1);
        }
        Ok(reason)
    }

    /// Learns from a sitting with the stopwatch. [`Error::UnknownClass`] if its class is not on the price list.
    pub fn observe_readings(&mut self, readings: &Readings) -> Result<Reason, Error> {
        let reason = self.learn(&readings.as_job()?)?;
        let count = u32::try_from(readings.minutes().len()).unwrap_or(u32::MAX);
        let at = self.find(readings.class())?;
        let entry = self.entry(at);
        entry.units = Units::computed(entry.units.get() + f64::from(count));
        entry.readings = entry.readings.saturating_add(count);
        entry.observations = entry.observations.saturating_add(count);
        Ok(reason)
    }

    /// What is believed now. The first one after something was learned is worth one small matrix decomposition.
    pub fn outlook(&self) -> Outlook<'_> {
        let belief = self.belief.0.get_or_init(|| Arc::new(Belief::of(self)));
        Outlook::new(self, belief.clone())
    }

    /// Everything that is kept of a class and of the jobs filed under it, as named figures: two models that were told the
    /// same have the same ones bit for bit. `None` before the first job or reading with it.
    pub fn statistics(&self, class: &ClassKey) -> Option<Vec<(&'static str, Vec<f64>)>> {
        let at = *self.places.get(class)?;
        let entry = &self.entries[at];
        if entry.jobs == 0 && entry.readings == 0 {
            return None;
        }
        let counts = [entry.jobs, entry.readings, entry.observations, u32::from(entry.kept)];
        let mut figures = vec![
            ("prior", vec![entry.prior.minutes().get(), entry.prior.weight().get()]),
            ("units", vec![entry.units.get()]),
            ("counts", counts.map(f64::from).to_vec()),
            ("curve", entry.curve.figures()),
        ];
        if let Some(sums) = self.evidence.file(at) {
            figures.extend(sums.figures());
        }
        Some(figures)
    }

    /// Whether a class has the same [`TimeModel::statistics`] in a model that this one was copied from, or in a copy of it,
    /// because nothing that they rest on was changed since. Not sharing them says nothing.
    pub fn shares(&self, other: &TimeModel, class: &ClassKey) -> bool {
        let (Some(at), Some(there)) = (self.places.get(class), other.places.get(class)) else {
            return false;
        };
        at == there
            && Arc::ptr_eq(&self.entries[*at], &other.entries[*at])
            && self.evidence.shares(&other.evidence, *at)
    }

    /// The learning curve of a class, when its jobs show one. [`Error::UnknownClass`] if it is not on the price list.
    pub fn trend(&self, class: &ClassKey) -> Result<Option<Trend>, Error> {
        Ok(self.entries[self.find(class)?].curve.trend())
    }

    fn add(&mut self, class: &ClassKey, prior: Prior) {
        let next = self.services.len();
        let services = Arc::make_mut(&mut self.services);
        let service = *services.entry(class.service().to_owned()).or_insert(next);
        Arc::make_mut(&mut self.places).insert(class.clone(), self.entries.len());
        self.belief = Kept::default();
        self.entries.push(Arc::new(Entry {
            class: class.clone(),
            service,
            prior,
            kept: false,
            units: Units::computed(0.0),
            jobs: 0,
            readings: 0,
            observations: 0,
            curve: LearningCurve::default(),
        }));
    }

    /// An entry to change; one that a copy of the model shares is copied first.
    fn entry(&mut self, at: usize) -> &mut Entry {
        Arc::make_mut(&mut self.entries[at])
    }

    fn learn(&mut self, job: &Job) -> Result<Reason, Error> {
        let row = self.row(job.work())?;
        let reason = self.outlook().explain(job)?;
        let expected: f64 = reason.lines.iter().map(|line| line.expected.get()).sum();
        for line in &reason.lines {
            let at = self.find(&line.class)?;
            let weight = line.expected.get() * (line.expected.get() / expected);
            let each = line.attributed.get() / line.units.get();
            self.entry(at).curve.observe(line.units.get(), each, weight);
        }
        let minutes = job.spent().get() - row.known;
        self.evidence.observe(
            row.file,
            &Observation {
                terms: row.terms,
                minutes,
                variance: row.variance,
            },
        );
        self.belief = Kept::default();
        Ok(reason)
    }

    pub(super) fn row(&self, work: &Work) -> Result<Row, Error> {
        let mut terms = Vec::new();
        let mut known = work.extras().get();
        match (work.has_setup(), self.setup) {
            (true, SetupTime::Set(minutes)) => known += minutes.get(),
            (true, SetupTime::Learned | SetupTime::Watched) => terms.push((SETUP, 1.0)),
            (false, _) => {}
        }
        for (class, units) in work.lines() {
            terms.push((TimeModel::column(self.find(class)?), units.get()));
        }
        terms.sort_by_key(|(column, _)| *column);
        let mut variance = known;
        let (mut file, mut most) = (0, 0.0);
        for (column, count) in &terms {
            let Some(at) = column.checked_sub(1) else { continue };
            let expected = count * self.entries[at].prior.minutes().get();
            variance += expected;
            if expected > most {
                (file, most) = (at, expected);
            }
        }
        Ok(Row {
            file,
            terms,
            known,
            variance,
        })
    }

    pub(super) fn find(&self, class: &ClassKey) -> Result<usize, Error> {
        self.places
            .get(class)
            .copied()
            .ok_or_else(|| Error::UnknownClass { class: class.clone() })
    }

    pub(super) fn column(at: usize) -> usize {
        at + 1
    }

    pub(super) fn entries(&self) -> &[Arc<Entry>] {
        &self.entries
    }

    pub(super) fn services(&self) -> usize {
        self.services.len()
    }

    pub(super) fn evidence(&self) -> &Evidence {
        &self.evidence
    }
}
