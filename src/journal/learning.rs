//! What the book's own jobs teach the time model, and the minutes that come back from it.
//!
//! The model is part of the book: a fold over the same facts, so taking a message back unlearns it. Figures go over to
//! it as plain numbers and come back as minutes to the hundredth, which is what is shown, so that a price made from them
//! can be checked by hand.
//!
//! A job teaches its counted work: set-up, haul and drive that its quote charges are known time. Where nobody said what a
//! set-up takes, jobs of different sizes may show one: it is charged from when its likely range lies above none, and is
//! part of the minutes each until then.

use std::sync::{Arc, LazyLock};

use rust_decimal::{Decimal, prelude::ToPrimitive};

use super::{
    book::Book,
    course::{ClassName, CoursePoint, TimedFrom},
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
        model::{SetupTime, TimeModel},
        reason::{self, Pace},
        surprise::{SlipKind, Surprise},
        work::{Job, Readings, Work},
    },
    units::{ManMinutes, RoundingPolicy, Timestamp},
};

/// Decimals of learned minutes.
const PLACES: u32 = 2;

/// A set-up is charged once its likely range lies above this, in man-minutes.
const SET_UP_MIN: f64 = 1.0;

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
    model.set_setup(SetupTime::Watched);
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
    /// The owner asked to keep the set minutes, whatever the jobs say.
    pub kept: bool,
}

/// A figure so far out that it is asked about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Odd {
    /// Man-minutes as said.
    pub said: ManMinutes,
    /// Man-minutes that were to be expected.
    pub expected: Decimal,
    /// Man-minutes that may have been meant, when a slip of the point or of the unit explains it.
    pub meant: Option<ManMinutes>,
}

/// How the time of a finished job came about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FinishReason {
    /// How it stands to what the jobs before made likely.
    pub pace: Pace,
    /// Man-minutes that were to be expected, to the whole.
    pub expected: Decimal,
    /// The classes, with the share of the time laid to each.
    pub lines: Vec<SharedLine>,
}

/// A class of a finished job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SharedLine {
    /// The kind.
    pub service: String,
    /// The size.
    pub size: Option<String>,
    /// How many were done.
    pub units: Decimal,
    /// Man-minutes for one of the time laid to them, to the tenth.
    pub each: Decimal,
}

/// A class that the crew gets faster or slower at, beyond doubt.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LearningTrend {
    /// Man-minutes for one at the first job, by the fitted curve, to the hundredth.
    pub first: ManMinutes,
    /// Man-minutes for one now, by the fitted curve, to the hundredth.
    pub current: ManMinutes,
    /// Jobs and sittings behind it.
    pub jobs: u32,
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

    /// The learning curve of a class, when its jobs show one.
    pub fn trend(&self, service: &str, size: Option<&str>) -> Option<LearningTrend> {
        let trend = self.times.trend(&key(service, size)).ok()??;
        Some(LearningTrend {
            first: minutes(trend.first.get())?,
            current: minutes(trend.current.get())?,
            jobs: trend.observations,
        })
    }

    /// The set-up that jobs have shown where nobody said one, to the whole minute; `None` until they have.
    pub fn learned_set_up(&self) -> Option<ManMinutes> {
        if self.settings().set_up.is_some() || self.times.setup() != SetupTime::Learned {
            return None;
        }
        let whole = rounded(self.times.outlook().setup_minutes().get(), 0)?;
        ManMinutes::new(whole).ok().filter(|minutes| !minutes.is_zero())
    }

    /// What the model keeps of a class, as named figures; `None` before the first job or reading.
    pub(super) fn statistics(&self, (service, size): &ClassName) -> Option<Vec<(&'static str, Vec<f64>)>> {
        self.times.statistics(&key(service, size.as_deref()))
    }

    /// Whether two books share all that they have learned.
    pub(super) fn has_learned_the_same(&self, other: &Book) -> bool {
        Arc::ptr_eq(&self.times, &other.times)
    }

    /// Whether a class has the same figures in another book because the books share them. Not sharing them says nothing.
    pub(super) fn same_statistics(&self, other: &Book, (service, size): &ClassName) -> bool {
        self.times.shares(&other.times, &key(service, size.as_deref()))
    }

    /// What was measured of a class over time, oldest first.
    pub fn course(&self, service: &str, size: Option<&str>) -> impl DoubleEndedIterator<Item = &CoursePoint> {
        let class = (service.to_string(), size.map(str::to_string));
        self.courses.get(&class).into_iter().flatten()
    }

    /// How a stopwatch reading stands to what was to be expected, when it is far out. Ask before it is taken in.
    pub fn odd_reading(&self, service: &str, size: Option<&str>, reading: ManMinutes) -> Option<Odd> {
        let outlook = self.times.outlook();
        let surprise = outlook.surprise_of_reading(&key(service, size), figure(reading).ok()?);
        odd(reading, &surprise.ok()?)
    }

    /// How a finish stands to what was to be expected, when it is far out. Ask before it is taken in.
    pub fn odd_finish(&self, finished: &JobFinished) -> Option<Odd> {
        let job = self.job(self.quote(finished.no)?, finished).ok()?;
        odd(finished.man_minutes, &self.times.outlook().surprise(&job).ok()?)
    }

    /// How the time of a finish came about. Ask before it is taken in.
    pub fn reason(&self, finished: &JobFinished) -> Option<FinishReason> {
        let job = self.job(self.quote(finished.no)?, finished).ok()?;
        let reason = self.times.outlook().explain(&job).ok()?;
        let lines = reason.lines.iter().map(shared).collect::<Option<_>>()?;
        Some(FinishReason {
            pace: reason.pace,
            expected: rounded(reason.expected.get(), 0)?,
            lines,
        })
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
        self.times.outlook().forecast(&self.work(&counts, sheet).ok()?).ok()
    }

    fn job(&self, entry: &QuoteEntry, finished: &JobFinished) -> Result<Job, Error> {
        Job::new(self.work(&finished.done, &entry.sheet)?, figure(finished.man_minutes)?)
    }

    /// Counted work with the known time of its sheet. A set-up that the sheet charges because it was learned, or does not
    /// charge because nobody said one, is the model's to know.
    fn work(&self, done: &[DoneLine], sheet: &Sheet) -> Result<Work, Error> {
        let counts = done
            .iter()
            .map(|line| {
                let units = Units::new(line.quantity.get().to_f64().unwrap_or(f64::NAN))?;
                Ok((key(&line.service, line.size.as_deref()), units))
            })
            .collect::<Result<Vec<_>, Error>>()?;
        let unsaid = sheet.set_up_learned || (sheet.set_up.is_none() && self.settings().set_up.is_none());
        let set_up = sheet.set_up.filter(|_| !unsaid);
        let known = [set_up, sheet.haul, sheet.drive].into_iter().flatten();
        let known = ManMinutes::checked_sum(known).unwrap_or(ManMinutes::ZERO);
        let visit = Work::visit(counts)?.with_extras(figure(known)?);
        Ok(if unsaid { visit } else { visit.without_setup() })
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
    pub(super) fn teach_job(&mut self, finished: &JobFinished, at: Timestamp) {
        let Some(job) = self.quote(finished.no).and_then(|entry| self.job(entry, finished).ok()) else {
            return;
        };
        let Ok(reason) = Arc::make_mut(&mut self.times).observe(&job) else {
            return;
        };
        self.settle_set_up();
        self.taught += 1;
        for line in &reason.lines {
            let each = rounded(line.each(), PLACES);
            let (Some(each), Some(units)) = (each, rounded(line.units.get(), 4)) else {
                continue;
            };
            self.mark_course(&line.class, at, TimedFrom::Job, vec![each], units);
        }
    }

    /// Teaches the model a sitting with the stopwatch.
    pub(super) fn teach_readings(&mut self, service: &str, size: Option<&str>, readings: &[ManMinutes], at: Timestamp) {
        let class = key(service, size);
        let figures: Result<Vec<_>, Error> = readings.iter().map(|reading| figure(*reading)).collect();
        let sitting = figures.and_then(|figures| Readings::new(class.clone(), figures));
        if sitting.is_ok_and(|sitting| Arc::make_mut(&mut self.times).observe_readings(&sitting).is_ok()) {
            self.taught += 1;
            let each = readings.iter().map(|reading| reading.get()).collect();
            self.mark_course(&class, at, TimedFrom::Stopwatch, each, Decimal::from(readings.len()));
        }
    }

    /// The set-up is the regression's intercept only where the jobs show one beyond doubt: its likely range lies above
    /// none. Otherwise there is none, and the minutes each hold what there may be.
    pub(super) fn settle_set_up(&mut self) {
        let said = self.settings.set_up.map(figure);
        let model = Arc::make_mut(&mut self.times);
        model.set_setup(SetupTime::Learned);
        match said {
            // A figure that the model cannot hold is beyond any set-up.
            Some(said) => model.set_setup(SetupTime::Set(said.unwrap_or(amount::ManMinutes::ZERO))),
            None if model.outlook().setup().low.get() >= SET_UP_MIN => {}
            None => model.set_setup(SetupTime::Watched),
        }
    }

    fn mark_course(&mut self, class: &ClassKey, at: Timestamp, from: TimedFrom, each: Vec<Decimal>, units: Decimal) {
        let Ok(estimate) = self.times.outlook().estimate(class) else {
            return;
        };
        let hundredths = |value: amount::ManMinutes| rounded(value.get(), PLACES);
        let believed = (
            hundredths(estimate.learned),
            hundredths(estimate.likely.low),
            hundredths(estimate.likely.high),
        );
        if let (Some(mean), Some(low), Some(high)) = believed {
            let name = (class.service().to_string(), class.size().map(str::to_string));
            self.courses.entry(name).or_default().push_back(CoursePoint {
                at,
                from,
                each,
                units,
                mean,
                low,
                high,
            });
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

/// A figure that is far out, with what may have been meant.
fn odd(said: ManMinutes, surprise: &Surprise) -> Option<Odd> {
    if !surprise.is_doubtful() {
        return None;
    }
    Some(Odd {
        said,
        expected: rounded(surprise.expected.get(), 1)?,
        meant: surprise.slip.and_then(|slip| undone(said, slip.kind)),
    })
}

/// A figure without a slip, exactly.
fn undone(said: ManMinutes, slip: SlipKind) -> Option<ManMinutes> {
    let value = said.get();
    let meant = match slip {
        SlipKind::PointMissed => value / Decimal::TEN,
        SlipKind::PointAdded => value * Decimal::TEN,
        SlipKind::HoursTakenForMinutes => value * Decimal::from(60),
        SlipKind::SecondsTakenForMinutes => value / Decimal::from(60),
    };
    ManMinutes::new(RoundingPolicy::HalfUp.places(meant, PLACES)).ok()
}

fn shared(line: &reason::LineReason) -> Option<SharedLine> {
    Some(SharedLine {
        service: line.class.service().to_string(),
        size: line.class.size().map(str::to_string),
        units: rounded(line.units.get(), 4)?,
        each: rounded(line.each(), 1)?,
    })
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
        kept: estimate.kept,
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
