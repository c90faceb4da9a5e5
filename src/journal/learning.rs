//! What the book's own jobs teach the time model, and the minutes that come back from it.
//!
//! The model is part of the book: a fold over the same facts, so taking a message back unlearns it. Figures go over to
//! it as plain numbers and come back as minutes to the hundredth, which is what is shown, so that a price made from them
//! can be checked by hand.
//!
//! A job teaches its counted work only: set-up, haul and drive of its quote are known time. Where nobody said what a
//! set-up takes, it is part of the minutes each, since a quote charges no other.

use std::sync::{Arc, LazyLock};

use rust_decimal::{Decimal, prelude::ToPrimitive};

use super::{
    book::Book,
    event::{DoneLine, JobFinished},
    price_list::{Class, Service, ServiceSet},
    quotes::QuoteEntry,
    starter,
};
use crate::{
    pricing::{Basis, Sheet},
    timing::{
        amount::{self, Chance, Range, Units},
        class::{self, ClassKey},
        error::Error,
        estimate::Estimate,
        forecast::Forecast,
        model::TimeModel,
        work::{Job, Readings, Work},
    },
    units::{ManMinutes, RoundingPolicy},
};

/// Decimals of learned minutes.
const PLACES: u32 = 2;

/// What the model begins with: the starter price list, read once.
static STARTER: LazyLock<Arc<TimeModel>> = LazyLock::new(|| {
    let mut model = TimeModel::new();
    for service in starter::services().values() {
        for class in &service.classes {
            let minutes = class.minutes_each.and_then(|minutes| figure(minutes).ok());
            if let Some(minutes) = minutes {
                // A starter figure of zero minutes teaches nothing and is left out.
                let _ = model.add_starter(&key(&service.name, class.size.as_deref()), minutes);
            }
        }
    }
    Arc::new(model)
});

/// The model of a new book.
pub(super) fn new_model() -> Arc<TimeModel> {
    STARTER.clone()
}

/// How long work is likely to take, and the chance of making the rate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Likely {
    /// One time in ten it takes less, man-minutes to the whole.
    pub low: Decimal,
    /// One time in ten it takes more, man-minutes to the whole.
    pub high: Decimal,
    /// The chance of taking no more than was allowed, 0 to 1, to the hundredth.
    pub chance: Decimal,
    /// Whether any of the work was done or timed before; else it rests on what was set or guessed.
    pub from_jobs: bool,
}

/// What is known of the minutes of a class from jobs and readings.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Learned {
    /// Man-minutes for one unit to price with.
    pub minutes_each: ManMinutes,
    /// Whose figure that is.
    pub basis: Basis,
    /// The range that holds the true minutes of one unit 8 times in 10.
    pub between: (Decimal, Decimal),
    /// Units done and timed.
    pub units: Decimal,
    /// Jobs with the class.
    pub jobs: u32,
    /// Single units timed with a stopwatch.
    pub readings: u32,
}

impl Book {
    /// Minutes of one unit of a class to price with, and whose figure they are: learned ones once they are the better.
    pub fn minutes_of(&self, service: &Service, class: &Class) -> Option<(ManMinutes, Basis)> {
        let listed = class.minutes_each.map(|minutes| (minutes, class.basis));
        match self.learned(&service.name, class.size.as_deref()) {
            Some(learned) if learned.basis == Basis::Learned => Some((learned.minutes_each, Basis::Learned)),
            _ => listed,
        }
    }

    /// What jobs and readings say of a class; `None` before the first.
    pub fn learned(&self, service: &str, size: Option<&str>) -> Option<Learned> {
        if self.taught == 0 {
            return None;
        }
        let estimate = self.times.outlook().estimate(&key(service, size)).ok()?;
        if estimate.jobs == 0 && estimate.readings == 0 {
            return None;
        }
        from_estimate(&estimate)
    }

    /// How long the work of a sheet is likely to take, and the chance that it takes no more than `allowed`. `None` when
    /// it has work that the model does not know.
    pub fn likely(&self, sheet: &Sheet, allowed: ManMinutes) -> Option<Likely> {
        let forecast = self.forecast(sheet)?;
        let Range { low, high } = forecast.likely();
        let chance = forecast.chance_within(figure(allowed).ok()?);
        Some(Likely {
            low: rounded(low.get(), 0)?,
            high: rounded(high.get(), 0)?,
            chance: rounded(chance, 2)?,
            from_jobs: sheet
                .lines
                .iter()
                .any(|line| self.learned(&line.service, line.size.as_deref()).is_some()),
        })
    }

    /// The man-minutes to allow for the work of a sheet so that it takes no more with a chance between 0 and 1.
    pub fn allowance(&self, sheet: &Sheet, chance: Decimal) -> Option<ManMinutes> {
        let chance = Chance::new(chance.to_f64()?).ok()?;
        minutes(self.forecast(sheet)?.budget_for(chance).get())
    }

    fn forecast(&self, sheet: &Sheet) -> Option<Forecast> {
        let counts: Vec<DoneLine> = sheet.lines.iter().map(DoneLine::from).collect();
        self.times.outlook().forecast(&work(&counts, sheet).ok()?).ok()
    }

    /// Tells the model the owner's figure.
    pub(super) fn teach_figure(&mut self, said: &ServiceSet) {
        if let Some(minutes) = said.minutes_each.and_then(|minutes| figure(minutes).ok()) {
            let class = key(&said.service, said.size.as_deref());
            // Zero minutes are no figure to learn from; the price list refuses them before.
            let _ = Arc::make_mut(&mut self.times).set_minutes(&class, minutes);
        }
    }

    /// Teaches the model a finished job. A job with work that is not on the price list teaches nothing.
    pub(super) fn teach_job(&mut self, finished: &JobFinished) {
        let Some(job) = self.quote(finished.no).and_then(|entry| job(entry, finished).ok()) else {
            return;
        };
        if Arc::make_mut(&mut self.times).observe(&job).is_ok() {
            self.taught += 1;
        }
    }

    /// Teaches the model a sitting with the stopwatch.
    pub(super) fn teach_readings(&mut self, service: &str, size: Option<&str>, readings: &[ManMinutes]) {
        let readings: Result<Vec<_>, Error> = readings.iter().map(|reading| figure(*reading)).collect();
        let sitting = readings.and_then(|readings| Readings::new(key(service, size), readings));
        if sitting.is_ok_and(|sitting| Arc::make_mut(&mut self.times).observe_readings(&sitting).is_ok()) {
            self.taught += 1;
        }
    }

    /// Pins the set minutes of a class, or lets learned ones take over again.
    pub(super) fn keep_minutes(&mut self, service: &str, size: Option<&str>, keep: bool) {
        let class = key(service, size);
        let model = Arc::make_mut(&mut self.times);
        // A class that the model does not know has nothing to keep.
        let _ = if keep {
            model.keep_minutes(&class)
        } else {
            model.release_minutes(&class)
        };
    }
}

fn key(service: &str, size: Option<&str>) -> ClassKey {
    match size {
        Some(size) => ClassKey::sized(service, size),
        None => ClassKey::plain(service),
    }
}

fn figure(minutes: ManMinutes) -> Result<amount::ManMinutes, Error> {
    amount::ManMinutes::new(minutes.get().to_f64().unwrap_or(f64::NAN))
}

fn job(entry: &QuoteEntry, finished: &JobFinished) -> Result<Job, Error> {
    Job::new(work(&finished.done, &entry.sheet)?, figure(finished.man_minutes)?)
}

/// Counted work with the known time of its sheet.
fn work(done: &[DoneLine], sheet: &Sheet) -> Result<Work, Error> {
    let counts = done
        .iter()
        .map(|line| {
            let units = Units::new(line.quantity.get().to_f64().unwrap_or(f64::NAN))?;
            Ok((key(&line.service, line.size.as_deref()), units))
        })
        .collect::<Result<Vec<_>, Error>>()?;
    let known = [sheet.set_up, sheet.haul, sheet.drive].into_iter().flatten();
    let known = ManMinutes::checked_sum(known).unwrap_or(ManMinutes::ZERO);
    Ok(Work::visit(counts)?.without_setup().with_extras(figure(known)?))
}

fn from_estimate(estimate: &Estimate) -> Option<Learned> {
    Some(Learned {
        minutes_each: minutes(estimate.minutes.get())?,
        basis: match estimate.basis {
            class::Basis::Starter => Basis::Starter,
            class::Basis::Set => Basis::Set,
            class::Basis::Learned => Basis::Learned,
        },
        between: (
            rounded(estimate.likely.low.get(), PLACES)?,
            rounded(estimate.likely.high.get(), PLACES)?,
        ),
        units: rounded(estimate.units.get(), 4)?,
        jobs: estimate.jobs,
        readings: estimate.readings,
    })
}

/// Minutes to the hundredth, half up; at least one hundredth, since work takes time.
fn minutes(value: f64) -> Option<ManMinutes> {
    ManMinutes::new(rounded(value, PLACES)?.max(Decimal::new(1, PLACES))).ok()
}

/// A figure of the model as a decimal, half up at so many places.
fn rounded(value: f64, places: u32) -> Option<Decimal> {
    Some(RoundingPolicy::HalfUp.places(Decimal::from_f64_retain(value)?, places))
}
