//! The clock of a job: the crew comes, stops for a while, changes, goes on. A finish without a time takes it from here.
//!
//! What is said of a time gone by is put where it belongs: `I got there at 8:10`, said at nine, moves the beginning. A
//! time of day without a day is the last one that fits between the beginning and now, so that `done at 4:30`, said the
//! next morning, is yesterday's.

use chrono::NaiveTime;
use chrono_tz::Tz;
use rust_decimal::Decimal;

use super::{
    answer::{ForgottenShown, JobNews, Part, Refused, What},
    ask::{Ask, Question},
    days,
    desk::{Desk, Stop, Worked},
    figures, jobs, places,
    which::{self, Last, Sort},
};
use crate::{
    journal::{Book, Event, Fill, Hole, Item, QuoteEntry, Status, Stretch, Within},
    language::{ClockSaid, Expecting, PeopleSaid, PlaceSaid, WhenSaid},
    units::{Crew, MemberId, QuoteNo, Timestamp},
};

/// A clock that runs for longer than this many minutes was likely forgotten.
pub(super) const FORGOTTEN_AFTER_MIN: i64 = 9 * 60;

/// A phone's clock may be ahead of ours by so many seconds.
const AHEAD_S: i64 = 120;

/// The crew is there. Said again with another time, it puts the beginning right.
pub(super) fn here(desk: &mut Desk<'_>, place: Option<&PlaceSaid>, crew: Option<u32>, at: Option<WhenSaid>) -> Worked {
    let crew = crew.map(figures::crew).transpose()?;
    let no = job_begun(desk, place, at.is_some())?;
    let Some(entry) = desk.quote(no).cloned() else {
        return Ok(());
    };
    let clock = entry.clock.clone().unwrap_or_default();
    let said = at;
    let at = match at {
        Some(when) => past(desk, when, None)?,
        None => desk.said_at(),
    };
    let began = if entry.status == Status::Done {
        clock.began()
    } else {
        clock.running_since()
    };
    match began {
        Some(began) if said.is_some() => {
            if began != at {
                desk.record(Event::ClockCorrected { no, was: began, is: at });
            }
            if crew.is_some() {
                desk.record(Event::WorkStarted { no, at, crew });
            }
            show_corrected(desk, no, at);
        }
        _ => {
            desk.record(Event::WorkStarted { no, at, crew });
            let since = desk.quote(no).and_then(|entry| entry.clock.as_ref()?.running_since());
            jobs::show(desk, no, JobNews::Started(since.unwrap_or(at)));
            say_other_clocks(desk, no);
        }
    }
    Ok(())
}

/// The job that is begun: one planned for today before one that was won, before a quote. A time gone by can also be that
/// of a job that runs, or is done already.
fn job_begun(desk: &Desk<'_>, place: Option<&PlaceSaid>, timed: bool) -> Worked<QuoteNo> {
    let today = days::local(desk, desk.said_at()).date_naive();
    let runs = Sort::of(&[Status::Here]);
    let then = |entry: &QuoteEntry| {
        entry.status.is_active()
            && entry
                .planned
                .is_some_and(|at| days::local(desk, at).date_naive() == today)
    };
    let planned = Sort::within(Within::planned_about(today, today)).that(&then);
    if timed {
        if let Some(current) = desk.current_quote().filter(|_| place.is_none())
            && current.clock.is_some()
            && runs.find(desk, None).next().is_none()
            && current.status == Status::Done
        {
            return Ok(current.no);
        }
        if place.is_none()
            && let Some(running) = running(desk)
        {
            return Ok(running);
        }
    }
    let current = desk.current_quote().filter(|entry| places::is_active(entry));
    match current {
        Some(current) if place.is_none() => Ok(current.no),
        _ => which::job(desk, place, &[runs, planned, Sort::AGREED, Sort::ACTIVE], Last::Ask),
    }
}

/// The crew stops for a while.
pub(super) fn pause(desk: &mut Desk<'_>, at: Option<WhenSaid>) -> Worked {
    let no = clock_of(desk, Status::Here)?;
    let at = said_or_now(desk, no, at)?;
    desk.record(Event::WorkPaused { no, at });
    let minutes = minutes(desk, no, desk.said_at());
    jobs::show(desk, no, JobNews::Paused(minutes));
    Ok(())
}

/// The crew goes on. Said while the clock runs, it is kept: word of the stop may still be under way.
pub(super) fn resume(desk: &mut Desk<'_>, at: Option<WhenSaid>) -> Worked {
    let no = match clock_of(desk, Status::Paused) {
        Ok(no) => no,
        // It may tell of a time gone by, before the word of the break itself has come.
        Err(stop) => match running(desk).filter(|_| at.is_some() || desk.said_at() < desk.ctx.now) {
            Some(no) => no,
            None => return Err(stop),
        },
    };
    let at = said_or_now(desk, no, at)?;
    desk.record(Event::WorkResumed { no, at });
    let minutes = minutes(desk, no, desk.said_at());
    jobs::show(desk, no, JobNews::Resumed(minutes));
    Ok(())
}

/// Other people on the job than before, or a break that was.
pub(super) fn told(desk: &mut Desk<'_>, said: &ClockSaid) -> Worked {
    match said {
        ClockSaid::People { place, change, at } => people(desk, place.as_ref(), *change, *at),
        ClockSaid::Break { from, to, minutes } => took_break(desk, *from, *to, *minutes),
    }
}

fn people(desk: &mut Desk<'_>, place: Option<&PlaceSaid>, change: PeopleSaid, at: Option<WhenSaid>) -> Worked {
    let no = match place {
        Some(_) => which::job(desk, place, &[Sort::ON_JOB], Last::Ask)?,
        None => on_site(desk)?,
    };
    let Some(entry) = desk.quote(no).cloned() else {
        return Ok(());
    };
    let at = said_or_now(desk, no, at)?;
    let before = people_at(&entry, at);
    let now = match change {
        PeopleSaid::Now(people) => people,
        PeopleSaid::Came(people) => before.get().saturating_add(people),
        PeopleSaid::Left(people) if people >= before.get() => {
            return Err(Refused::NobodyLeft(before.get()).into());
        }
        PeopleSaid::Left(people) => before.get() - people,
    };
    let crew = figures::crew(now)?;
    desk.record(Event::CrewChanged { no, at, crew });
    jobs::show(desk, no, JobNews::Crew { at, before });
    Ok(())
}

/// How many people were there at a time.
fn people_at(entry: &QuoteEntry, at: Timestamp) -> Crew {
    let stretches = entry.clock.as_ref().map(|clock| clock.stretches()).unwrap_or_default();
    let before = |stretch: &&Stretch| stretch.from <= at;
    let crew = stretches.iter().rev().find(before).and_then(|stretch| stretch.crew);
    crew.unwrap_or(entry.sheet.crew)
}

fn took_break(
    desk: &mut Desk<'_>,
    from: Option<WhenSaid>,
    to: Option<WhenSaid>,
    minutes_said: Option<Decimal>,
) -> Worked {
    let no = on_site(desk)?;
    let now = desk.said_at();
    let (from, to) = match (from, to, minutes_said) {
        (Some(from), Some(to), _) => (said_or_now(desk, no, Some(from))?, said_or_now(desk, no, Some(to))?),
        (_, _, Some(minutes)) => {
            let minutes = figures::man_minutes(minutes)?;
            let seconds = (minutes.get() * Decimal::from(60)).round();
            let seconds = i64::try_from(seconds).unwrap_or(i64::MAX);
            let before = now.unix_seconds().saturating_sub(seconds);
            (Timestamp::from_unix_seconds(before).unwrap_or(now), now)
        }
        _ => (now, now),
    };
    let began = desk.quote(no).and_then(|entry| entry.clock.as_ref()?.began());
    if from >= to || began.is_some_and(|began| from < began) {
        return Err(Refused::BreakDoesNotFit.into());
    }
    desk.record(Event::WorkPaused { no, at: from });
    desk.record(Event::WorkResumed { no, at: to });
    let minutes = minutes(desk, no, now);
    jobs::show(desk, no, JobNews::Resumed(minutes));
    Ok(())
}

/// The job whose clock runs, when there is one and nothing else was said: the one in hand, or the only one.
pub(super) fn running(desk: &Desk<'_>) -> Option<QuoteNo> {
    let is_running = |entry: &&QuoteEntry| entry.status.is_running();
    if let Some(current) = desk.current_quote().filter(is_running) {
        return Some(current.no);
    }
    let mut all = desk.book().on_job().filter(is_running);
    all.next().filter(|_| all.next().is_none()).map(|entry| entry.no)
}

/// When a job was said to have ended: never before it began, never ahead of now.
pub(super) fn ended(desk: &Desk<'_>, entry: &QuoteEntry, when: WhenSaid) -> Worked<Timestamp> {
    past(desk, when, entry.clock.as_ref().and_then(|clock| clock.began()))
}

/// Whether a clock has run for so long that it was likely forgotten: since when, and the minutes on it.
pub(super) fn forgotten(entry: &QuoteEntry, now: Timestamp) -> Option<(Timestamp, Decimal)> {
    let clock = entry.clock.as_ref().filter(|_| entry.status == Status::Here)?;
    let since = clock.running_since()?;
    let minutes = clock.minutes(now);
    let running = now.unix_seconds() - since.unix_seconds();
    (running > FORGOTTEN_AFTER_MIN * 60).then_some((since, minutes))
}

/// A clock that was likely forgotten.
#[derive(Debug, Clone, PartialEq)]
pub struct ForgottenClock {
    /// Who is to be told: whoever said that the crew was there.
    pub member: MemberId,
    /// Since when it runs.
    pub since: Timestamp,
    /// What is said of it.
    pub shown: ForgottenShown,
}

/// The clocks of a book that have run for too long.
pub fn forgotten_clocks(book: &Book, now: Timestamp, otherwise: Tz) -> Vec<ForgottenClock> {
    let zone = book.settings().zone().unwrap_or(otherwise);
    let found = |entry: &QuoteEntry| {
        let (since, minutes) = forgotten(entry, now)?;
        Some(ForgottenClock {
            member: entry.clocked_by.unwrap_or(entry.given_by),
            since,
            shown: ForgottenShown {
                no: entry.no,
                place: entry.place.clone(),
                since: since.utc().with_timezone(&zone).naive_local(),
                minutes,
            },
        })
    };
    book.on_job().filter_map(found).collect()
}

/// After another message, says which clocks have run for too long.
pub(super) fn say_forgotten(desk: &mut Desk<'_>) {
    for clock in forgotten_clocks(desk.book(), desk.inbound.at, desk.ctx.zone) {
        desk.say(Part::Forgotten(clock.shown));
    }
}

/// The crew came to a job while another one's clock runs: says so.
fn say_other_clocks(desk: &mut Desk<'_>, no: QuoteNo) {
    let others = desk.book().on_job();
    let others: Vec<QuoteNo> = others
        .filter(|entry| entry.no != no && entry.status == Status::Here)
        .map(|entry| entry.no)
        .collect();
    for other in others {
        jobs::show(desk, other, JobNews::StillRunning);
    }
}

/// The clock of a job after its beginning was put right; a job that is done is worked out again.
fn show_corrected(desk: &mut Desk<'_>, no: QuoteNo, at: Timestamp) {
    let done = desk.quote(no).is_some_and(|entry| entry.status == Status::Done);
    if done {
        super::finish::again_by_clock(desk, no);
    } else {
        jobs::show(desk, no, JobNews::Started(at));
    }
}

/// A time of day gone by, with or without half a day more, not ahead of now: the first that fits after `not_before`, since
/// a clock that was forgotten did not run half a day longer than it had to; without such a time, the last that fits.
fn past(desk: &Desk<'_>, when: WhenSaid, not_before: Option<Timestamp>) -> Worked<Timestamp> {
    let now = desk.said_at();
    let fits = |at: Timestamp| {
        at.unix_seconds() <= now.unix_seconds() + AHEAD_S && not_before.is_none_or(|before| before <= at)
    };
    let Some(minute) = when.minute_of_day else {
        let at = days::instant(desk, when, Some(now))?;
        return if fits(at) {
            Ok(at)
        } else {
            Err(Refused::TimeDoesNotFit(days::local(desk, at).time()).into())
        };
    };
    let today = days::local(desk, now).date_naive();
    let day = match when.day {
        Some(day) => vec![days::gone_by(day, today).ok_or(Refused::NoSuchDay)?],
        None => [Some(today), today.pred_opt()].into_iter().flatten().collect(),
    };
    let time = |minute: u32| NaiveTime::from_hms_opt(minute / 60 % 24, minute % 60, 0);
    let minute = u32::from(minute);
    let halves = [minute, (minute + 12 * 60) % (24 * 60)];
    let mut fitting = day
        .into_iter()
        .flat_map(|day| halves.map(|half| (day, half)))
        .filter_map(|(day, half)| Some(day.and_time(time(half)?)))
        .flat_map(|local| days::instants(desk, local))
        .filter(|at| fits(*at));
    let chosen = match not_before {
        Some(_) => fitting.min(),
        None => fitting.next(),
    };
    chosen.ok_or_else(|| Refused::TimeDoesNotFit(time(minute).unwrap_or(NaiveTime::MIN)).into())
}

fn said_or_now(desk: &Desk<'_>, no: QuoteNo, when: Option<WhenSaid>) -> Worked<Timestamp> {
    let Some(when) = when else {
        return Ok(desk.said_at());
    };
    let began = desk.quote(no).and_then(|entry| entry.clock.as_ref()?.began());
    past(desk, when, began)
}

fn minutes(desk: &Desk<'_>, no: QuoteNo, until: Timestamp) -> Decimal {
    let clock = desk.quote(no).and_then(|entry| entry.clock.as_ref());
    clock.map_or(Decimal::ZERO, |clock| clock.minutes(until))
}

/// The job that the crew is at, whether it works or has stopped.
fn on_site(desk: &Desk<'_>) -> Worked<QuoteNo> {
    match running(desk) {
        Some(no) => Ok(no),
        None => clock_of(desk, Status::Here),
    }
}

/// The job in hand with its clock in this state, or the only one; several are asked about.
fn clock_of(desk: &Desk<'_>, status: Status) -> Worked<QuoteNo> {
    let slot = desk.slot(Item::Whole, Hole::Quote);
    let fits = |entry: &QuoteEntry| entry.status == status;
    let mut all = desk.book().on_job().filter(|entry| fits(entry));
    match (all.next(), all.next()) {
        (None, _) => Err(Stop::from(Ask::value(slot, Question::NotOnJob, Expecting::Nothing))),
        (Some(only), None) if !matches!(desk.filled(slot), Some(Fill::Quote(_))) => Ok(only.no),
        _ => which::job(desk, None, &[Sort::ON_JOB.that(&fits)], Last::Ask),
    }
}

/// Minutes as a figure of work, refused when they cannot be.
pub(super) fn figure(minutes: Decimal) -> Result<crate::units::ManMinutes, Refused> {
    figures::man_minutes(minutes).map_err(|_| Refused::OutOfRange {
        what: What::Minutes,
        value: minutes,
    })
}
