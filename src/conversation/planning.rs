//! The days ahead: a job gets a day, a whole day moves, and what a day holds.

use chrono::NaiveDate;

use super::{
    answer::{DaysShown, JobNews, Part, ShiftShown},
    ask::{Ask, Question},
    days,
    desk::{Desk, Worked},
    jobs, reports,
    which::{self, Last, Sort},
};
use crate::{
    journal::{Event, Hole, Item, QuoteEntry, Status, Within},
    language::{DaySaid, Expecting, PlaceSaid, WhenSaid},
    units::QuoteNo,
};

/// A day is fixed; one that has gone by is asked about.
pub(super) fn plan(desk: &mut Desk<'_>, place: Option<&PlaceSaid>, when: WhenSaid, moved: bool) -> Worked {
    let no = planned_job(desk, place, moved)?;
    let slot = desk.slot(Item::Whole, Hole::Reading);
    if when == WhenSaid::default() {
        return Err(Ask::value(slot, Question::WhichDay, Expecting::Nothing).into());
    }
    let before = desk.quote(no).and_then(|quote| quote.planned);
    let start = days::instant(desk, when, before)?;
    let (local, today) = (days::local(desk, start), days::local(desk, desk.ctx.now));
    if local.date_naive() < today.date_naive() {
        let question = Question::DayGone(local.naive_local());
        return Err(Ask::value(slot, question, Expecting::Nothing).into());
    }
    desk.record(Event::JobPlanned { no, start });
    let time_said = when.minute_of_day.is_some() || before.is_some();
    let later = match when.day {
        Some(DaySaid::Later(days)) => Some(days),
        _ => None,
    };
    jobs::show(desk, no, JobNews::Planned { time_said, later });
    Ok(())
}

/// The job that gets a day: one that has one when it is moved, else one that was won and has none, or a quote.
fn planned_job(desk: &Desk<'_>, place: Option<&PlaceSaid>, moved: bool) -> Worked<QuoteNo> {
    let has_day = |entry: &QuoteEntry| entry.planned.is_some();
    let waits = |entry: &QuoteEntry| entry.planned.is_none();
    let won = Sort::of(&[Status::Won]);
    if moved {
        which::job(
            desk,
            place,
            &[Sort::ACTIVE.that(&has_day), won, Sort::ACTIVE],
            Last::Ask,
        )
    } else if place.is_some() {
        which::job(desk, place, &[won.that(&waits), won, Sort::ACTIVE], Last::Ask)
    } else {
        which::job(desk, place, &[Sort::ACTIVE], Last::Ask)
    }
}

/// Every job of a day goes to another, at the same times and in the same order.
pub(super) fn shift(desk: &mut Desk<'_>, from: DaySaid, to: DaySaid) -> Worked {
    let today = days::today(desk);
    let slot = desk.slot(Item::Whole, Hole::Reading);
    let (Some(from), Some(to)) = (days::date(from, today), days::date(to, today)) else {
        return Err(Ask::value(slot, Question::WhichDay, Expecting::Nothing).into());
    };
    if to < today {
        let question = Question::DayGone(to.and_time(chrono::NaiveTime::MIN));
        return Err(Ask::value(slot, question, Expecting::Nothing).into());
    }
    let numbers: Vec<QuoteNo> = on_days(desk, from, from).iter().map(|entry| entry.no).collect();
    for no in &numbers {
        let planned = desk.quote(*no).and_then(|entry| entry.planned);
        let time = planned.map(|planned| days::local(desk, planned).time());
        let start = time.and_then(|time| days::at_local(desk, to.and_time(time)));
        if let Some(start) = start {
            desk.record(Event::JobPlanned { no: *no, start });
        }
    }
    let jobs = numbers.iter().filter_map(|no| desk.quote(*no).cloned()).collect();
    let zone = days::zone(desk);
    desk.say(Part::Shifted(Box::new(ShiftShown { from, to, jobs, zone })));
    Ok(())
}

/// Which of the jobs of a day are meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Jobs {
    /// All of them.
    All,
    /// Those that are not done.
    Left,
}

/// What is planned on some days.
pub(super) fn show_days(desk: &mut Desk<'_>, from: NaiveDate, to: NaiveDate, which: Jobs) {
    let meant = |entry: &&QuoteEntry| which == Jobs::All || entry.status != Status::Done;
    let jobs = on_days(desk, from, to).into_iter().filter(meant).cloned().collect();
    let zone = days::zone(desk);
    desk.say(Part::Days(Box::new(DaysShown {
        from,
        to,
        jobs,
        left: which == Jobs::Left,
        zone,
        prices: true,
    })));
}

/// The jobs planned on some days and not lost, by their time; of those at one time, in the order that their days were
/// fixed, which is the order in which the owner means to drive.
pub(super) fn on_days<'d>(desk: &'d Desk<'_>, from: NaiveDate, to: NaiveDate) -> Vec<&'d QuoteEntry> {
    let Some(stretch) = reports::stretch(desk, from, to) else {
        return Vec::new();
    };
    let then = |entry: &&QuoteEntry| entry.status != Status::Lost;
    let planned = Within::Planned(stretch.from, stretch.until);
    let mut jobs: Vec<&QuoteEntry> = desk.book().within(planned).filter(then).collect();
    jobs.sort_by_key(|entry| (entry.planned, entry.planned_order));
    jobs
}
