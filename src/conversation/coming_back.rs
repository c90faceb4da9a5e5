//! What was done before and comes back: the last time at a place, who is due again, the same quote once more.

use chrono::{Days, Months, NaiveDate};

use super::{
    answer::{DueRow, DueShown, LastShown, Part, Refused},
    ask::{Ask, Question},
    days,
    desk::{Desk, Stop, Worked},
    kept, lines, look, places, quoting, reports,
    which::{self, Last, Sort},
};
use crate::{
    journal::{DoneLine, Event, Hole, Item, Period, QuoteEntry},
    language::{ClassSaid, Expecting, LineSaid, PeriodSaid, PlaceSaid, QuantitySaid},
    pricing,
    units::QuoteNo,
};

/// A job is due again from so many days before the day it was done last year to so many after.
const DUE_DAYS: u64 = 30;

/// Whoever was quoted or worked for in so many days before today is not due.
const SERVED_DAYS: u64 = 60;

/// The last job at a place, with today's price for the same counts.
pub(super) fn last_time(desk: &mut Desk<'_>, place: Option<&PlaceSaid>) -> Worked {
    let no = last_job(desk, place)?;
    desk.record(Event::QuoteShown { no });
    let Some(entry) = desk.quote(no).cloned() else {
        return Ok(());
    };
    let done = done_lines(&entry);
    let notes = entry.place.as_deref().and_then(|name| desk.book().place(name));
    let shown = LastShown {
        done: done.iter().map(|line| counted(desk, line)).collect(),
        today: today(desk, &done),
        notes: notes.map(|place| place.notes.clone()).unwrap_or_default(),
        files: entry
            .place
            .as_deref()
            .map_or(0, |name| kept::files_at(desk, name).len()),
        zone: days::zone(desk),
        prices: true,
        entry,
    };
    desk.say(Part::LastTime(Box::new(shown)));
    Ok(())
}

/// The counts of last time become a new quote at today's figures.
pub(super) fn again(desk: &mut Desk<'_>, place: Option<&PlaceSaid>) -> Worked {
    let no = last_job(desk, place)?;
    let Some(entry) = desk.quote(no).cloned() else {
        return Ok(());
    };
    let lines: Vec<LineSaid> = done_lines(&entry).iter().map(line_said).collect();
    let place = entry.place.as_deref().map(known_place);
    quoting::quote(desk, place.as_ref(), &lines, &[])
}

/// The job that was done last at a place; without a place, where the talk is.
fn last_job(desk: &Desk<'_>, place: Option<&PlaceSaid>) -> Worked<QuoteNo> {
    let slot = desk.slot(Item::Whole, Hole::Quote);
    if let Some(no) = place.and_then(|place| place.quote) {
        return which::numbered(desk, no);
    }
    let chosen = places::choose(desk, Item::Whole, place)?.map(|place| place.name);
    let here = chosen.or_else(|| desk.current_quote().and_then(|entry| entry.place.clone()));
    let Some(here) = here else {
        return which::job(desk, place, &[Sort::DONE], Last::Ask);
    };
    let done = desk.book().quotes_at(&here).filter_map(|entry| {
        let finish = entry.finish.as_ref()?;
        Some((finish.ended, entry.no))
    });
    match done.max() {
        Some((_, no)) => Ok(no),
        None => Err(Ask::value(slot, Question::NothingDoneAt(here), Expecting::Nothing).into()),
    }
}

/// Places where a job was done about this time last year, or about the time that was said, and nothing was quoted or done
/// since.
pub(super) fn due(desk: &mut Desk<'_>, said: Option<PeriodSaid>) -> Worked {
    let today = days::today(desk);
    let season = match said {
        Some(said) => Season::said(said, today).ok_or(Refused::NoSuchDay)?,
        None => Season::around(today),
    };
    let mut due = due_jobs(desk, &season);
    due.sort_by_key(|(date, entry)| (*date, entry.no));
    let rows: Vec<(NaiveDate, QuoteEntry)> = due
        .iter()
        .take(look::ROWS_MAX)
        .map(|(date, entry)| (*date, QuoteEntry::clone(entry)))
        .collect();
    let count = due.len();
    let row = |(date, entry): (NaiveDate, QuoteEntry)| DueRow {
        place: entry.place.clone().unwrap_or_default(),
        no: entry.no,
        date,
        price: entry.price(),
        today: self::today(desk, &done_lines(&entry)).map(|priced| priced.total),
    };
    let rows = rows.into_iter().map(row).collect();
    let time = said.map(|_| (season.from, season.to));
    desk.say(Part::Due(Box::new(DueShown { rows, count, time })));
    Ok(())
}

/// A time of the year in which jobs come back.
struct Season {
    /// Its first day this time.
    from: NaiveDate,
    /// Its last day.
    to: NaiveDate,
    /// Whoever was quoted or worked for from here on is not due.
    served: NaiveDate,
}

impl Season {
    fn around(today: NaiveDate) -> Season {
        Season {
            from: today.checked_sub_days(Days::new(DUE_DAYS)).unwrap_or(today),
            to: today.checked_add_days(Days::new(DUE_DAYS)).unwrap_or(today),
            served: today.checked_sub_days(Days::new(SERVED_DAYS)).unwrap_or(today),
        }
    }

    /// The coming time of that name, or the one that goes on.
    fn said(said: PeriodSaid, today: NaiveDate) -> Option<Season> {
        let (mut from, mut to) = reports::dates(said, today)?;
        if to < today && matches!(said, PeriodSaid::Month(_, None)) {
            from = from.checked_add_months(Months::new(12))?;
            to = to.succ_opt()?.checked_add_months(Months::new(12))?.pred_opt()?;
        }
        let served = from.checked_sub_days(Days::new(SERVED_DAYS))?;
        Some(Season { from, to, served })
    }
}

fn due_jobs<'d>(desk: &'d Desk<'_>, season: &Season) -> Vec<(NaiveDate, &'d QuoteEntry)> {
    let year_before = |day: NaiveDate| day.checked_sub_months(Months::new(12)).unwrap_or(day);
    // The last day of a month stays one: the day before the first of the next.
    let after = season.to.succ_opt().map_or(season.to, year_before);
    let zone = days::zone(desk);
    let starts = [year_before(season.from), after, season.served].map(|day| days::start_of(zone, day));
    let [Some(from), Some(after), Some(served)] = starts else {
        return Vec::new();
    };
    let done = Period { from, until: after };
    let due = desk.book().last_at_places(done, served).into_iter();
    due.map(|(ended, entry)| (days::local(desk, ended).date_naive(), entry))
        .collect()
}

/// The same counts at today's minutes and rate; `None` when the price list does not know all of them.
fn today(desk: &Desk<'_>, done: &[DoneLine]) -> Option<pricing::Quote> {
    let mut sheet = quoting::blank_sheet(desk);
    for (index, line) in done.iter().enumerate() {
        let line = lines::resolve(desk, Item::Line(index), &line_said(line), &[]);
        match line {
            Ok(line) => sheet.lines.push(line),
            Err(Stop::Ask(_) | Stop::Refused(_)) => return None,
        }
    }
    pricing::quote(&sheet).ok()
}

/// What was really done, or else what was counted.
fn done_lines(entry: &QuoteEntry) -> Vec<DoneLine> {
    match &entry.finish {
        Some(finish) if !finish.done.is_empty() => finish.done.clone(),
        _ => entry.sheet.lines.iter().map(DoneLine::from).collect(),
    }
}

fn counted(desk: &Desk<'_>, line: &DoneLine) -> super::Counted {
    super::Counted {
        quantity: Some(line.quantity.get()),
        unit: desk.book().service(&line.service).map(|service| service.unit),
        service: Some(line.service.clone()),
        size: line.size.clone(),
    }
}

/// A line as it would have been said.
fn line_said(line: &DoneLine) -> LineSaid {
    LineSaid {
        quantity: QuantitySaid::Exact(line.quantity.get()),
        class: ClassSaid {
            service: Some(line.service.clone()),
            size: line.size.clone(),
            ..ClassSaid::default()
        },
        unit: None,
        minutes_each: None,
        price_each: None,
        material_each: None,
        more: false,
        span: crate::language::Span::default(),
    }
}

fn known_place(name: &str) -> PlaceSaid {
    PlaceSaid {
        name: name.to_string(),
        known: true,
        rivals: Vec::new(),
        quote: None,
        span: crate::language::Span::default(),
    }
}
