//! The clock of a job: the crew comes, stops for a while, goes on. A finish without a time takes it from here.

use rust_decimal::Decimal;

use super::{
    answer::JobNews,
    ask::{Ask, Question},
    days,
    desk::{Desk, Stop, Worked},
    figures, jobs, places,
};
use crate::{
    journal::{Event, Fill, Hole, Item, QuoteEntry, Status},
    language::{Expecting, PlaceSaid, WhenSaid},
    units::{QuoteNo, Timestamp},
};

/// The crew is there.
pub(super) fn here(desk: &mut Desk<'_>, place: Option<&PlaceSaid>, crew: Option<u32>, at: Option<WhenSaid>) -> Worked {
    let no = places::quote_meant(desk, place, places::is_active)?;
    let crew = crew.map(figures::crew).transpose()?;
    let at = match at {
        Some(when) => days::instant(desk, when, Some(desk.inbound.at))?,
        None => desk.inbound.at,
    };
    desk.record(Event::WorkStarted { no, at, crew });
    let since = desk
        .quote(no)
        .and_then(|entry| entry.clock.as_ref()?.stretches.last().map(|stretch| stretch.from));
    jobs::show(desk, no, JobNews::Started(since.unwrap_or(at)));
    Ok(())
}

/// The crew stops for a while.
pub(super) fn pause(desk: &mut Desk<'_>) -> Worked {
    let no = clock_of(desk, Status::Here)?;
    let at = desk.inbound.at;
    desk.record(Event::WorkPaused { no, at });
    let minutes = minutes(desk, no, at);
    jobs::show(desk, no, JobNews::Paused(minutes));
    Ok(())
}

/// The crew goes on.
pub(super) fn resume(desk: &mut Desk<'_>) -> Worked {
    let no = clock_of(desk, Status::Paused)?;
    let at = desk.inbound.at;
    desk.record(Event::WorkResumed { no, at });
    let minutes = minutes(desk, no, at);
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

fn minutes(desk: &Desk<'_>, no: QuoteNo, until: Timestamp) -> Decimal {
    let clock = desk.quote(no).and_then(|entry| entry.clock.as_ref());
    clock.map_or(Decimal::ZERO, |clock| clock.minutes(until))
}

/// The job in hand with its clock in this state, or the only one; several are asked about.
fn clock_of(desk: &Desk<'_>, status: Status) -> Worked<QuoteNo> {
    let slot = desk.slot(Item::Whole, Hole::Quote);
    let fits = |entry: &QuoteEntry| entry.status == status;
    let mut all = desk.book().on_job().filter(|entry| fits(entry));
    match (all.next(), all.next()) {
        (None, _) => Err(Stop::from(Ask::value(slot, Question::NotOnJob, Expecting::Nothing))),
        (Some(only), None) if !matches!(desk.filled(slot), Some(Fill::Quote(_))) => Ok(only.no),
        _ => places::quote_meant(desk, None, fits),
    }
}
