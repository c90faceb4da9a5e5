//! The season in words: what is planned, owed and due, what jobs came to, what was taken back.

use chrono::NaiveDate;
use rust_decimal::Decimal;

use super::words::{class, clipped, clock, joined, money, number, rate_made, spoken, sum};
use crate::{
    conversation::{
        DaysShown, DueShown, ForgottenShown, KeptShown, LastShown, PaysShown, Reason, ReminderShown, ReportShown,
        ShiftShown, Verdict, WinShown,
    },
    journal::{Event, Level, QuoteEntry, Slice, Status, Sums},
    pricing,
    units::RoundingPolicy,
};

/// Rows of each cut of a report that go into a message.
const SLICES_MAX: usize = 6;

/// A day with its year.
pub(super) fn date(day: NaiveDate) -> String {
    day.format("%a %b %-d %Y").to_string()
}

/// A day without its year.
fn day_of(day: NaiveDate) -> String {
    day.format("%a %b %-d").to_string()
}

fn named(no: impl std::fmt::Display, place: Option<&str>) -> String {
    match place {
        Some(place) => format!("quote {no}, {place}"),
        None => format!("quote {no}"),
    }
}

/// The last job at a place, and the same today.
pub(super) fn last_time(shown: &LastShown) -> String {
    let entry = &shown.entry;
    let place = entry.place.as_deref().unwrap_or("that place");
    let when = entry.finish.as_ref().map(|finish| {
        let ended = finish.ended.utc().with_timezone(&shown.zone).date_naive();
        format!("{}, ", date(ended))
    });
    let mut lines = vec![format!(
        "Last time at {place}: {}quote {}.",
        when.unwrap_or_default(),
        entry.no
    )];
    if shown.prices {
        lines.push(format!("{}: {}.", things(&shown.done), money(entry.price())));
    } else {
        lines.push(format!("{}.", things(&shown.done)));
    }
    if let Some(finish) = &entry.finish {
        let work = number(finish.man_minutes.get());
        let made = entry
            .rate_made()
            .map(|made| format!(", made {} an hour", rate_made(made.to_cents())));
        let made = made.filter(|_| shown.prices);
        lines.push(format!("{work} man-min{}.", made.unwrap_or_default()));
    }
    lines.extend(shown.prices.then(|| match &shown.today {
        Some(priced) => format!("The same today: {} ({}).", money(priced.total), sum_of(priced)),
        None => "I have no price for the same today: not all of it is on your list.".to_string(),
    }));
    if !shown.notes.is_empty() {
        let notes: Vec<String> = shown.notes.iter().map(|note| clipped(note)).collect();
        lines.push(format!("Notes: {}.", notes.join("; ")));
    }
    if shown.files > 0 {
        lines.push(format!("{} kept: say \"photos at {place}\".", photos(shown.files)));
    }
    lines.join("\n")
}

fn photos(count: usize) -> String {
    if count == 1 {
        "1 photo or file".to_string()
    } else {
        format!("{count} photos and files")
    }
}

/// Photos and files kept with a place.
pub(super) fn kept(shown: &KeptShown) -> String {
    let place = shown.place.as_deref().map(|place| format!(" at {place}"));
    let place = place.unwrap_or_default();
    match (shown.count, shown.files.len()) {
        (0, _) => format!("No photo or file is kept{place}. Send one, and it is."),
        (count, sent) if sent < count => format!("{} kept{place}; here are the last {sent}.", photos(count)),
        (count, _) => format!("{} kept{place}.", photos(count)),
    }
}

fn sum_of(priced: &pricing::Quote) -> String {
    format!(
        "{} man-min at {} an hour",
        number(priced.man_minutes.get()),
        sum(priced.rate.get())
    )
}

fn things(done: &[crate::conversation::Counted]) -> String {
    joined(&done.iter().map(spoken).collect::<Vec<_>>())
}

/// Places that are due again.
pub(super) fn due(shown: &DueShown) -> String {
    let (when, year_before) = match shown.time {
        Some((from, to)) => (format!(" {} to {}", date(from), date(to)), "that time"),
        None => (String::new(), "about this time"),
    };
    if shown.count == 0 {
        return format!("Nobody is due{when}: no job of {year_before} last year is without a newer quote.");
    }
    let mut lines = vec![format!("{} due{when}, done {year_before} last year:", shown.count)];
    for row in &shown.rows {
        let today = match row.today {
            Some(today) => format!("today {}", money(today)),
            None => "no price today".to_string(),
        };
        lines.push(format!(
            "{}: {}, {}; {today}",
            row.place,
            date(row.date),
            money(row.price)
        ));
    }
    more(&mut lines, shown.count, shown.rows.len());
    if let Some(first) = shown.rows.first() {
        lines.push(format!("Say \"quote {} again\" for a new quote.", first.place));
    }
    lines.join("\n")
}

fn more(lines: &mut Vec<String>, count: usize, shown: usize) {
    if count > shown {
        lines.push(format!("and {} more.", count - shown));
    }
}

/// What is planned.
pub(super) fn days(shown: &DaysShown) -> String {
    let span = if shown.from == shown.to {
        day_of(shown.from)
    } else {
        format!("{} to {}", day_of(shown.from), day_of(shown.to))
    };
    if shown.jobs.is_empty() {
        let what = if shown.left { "left" } else { "planned" };
        return format!("Nothing is {what} for {span}.");
    }
    let total: Decimal = shown.jobs.iter().map(|entry| entry.price().get()).sum();
    let jobs = match shown.jobs.len() {
        1 => "1 job".to_string(),
        several => format!("{several} jobs"),
    };
    let left = if shown.left { " left" } else { "" };
    let mut lines = vec![if shown.prices {
        format!("{span}: {jobs}{left}, {}.", sum(total))
    } else {
        format!("{span}: {jobs}{left}.")
    }];
    let mut last = None;
    for (index, entry) in shown.jobs.iter().enumerate() {
        let Some(planned) = entry.planned else { continue };
        let local = planned.utc().with_timezone(&shown.zone);
        if shown.from != shown.to && last != Some(local.date_naive()) {
            lines.push(format!("{}:", day_of(local.date_naive())));
        }
        last = Some(local.date_naive());
        lines.push(format!("{}. {} {}", index + 1, local.format("%-I:%M %p"), stop(entry)));
    }
    lines.join("\n")
}

/// A job of a day, on one line.
fn stop(entry: &QuoteEntry) -> String {
    let counted: Vec<String> = entry
        .sheet
        .lines
        .iter()
        .map(|line| super::words::count(line.quantity.get(), line.unit, &line.service, line.size.as_deref()))
        .collect();
    let crew = Decimal::from(entry.crew().get());
    let time = clock(RoundingPolicy::HalfUp.places(entry.quoted_man_minutes().get() / crew, 0));
    let state = match entry.status {
        Status::Open => " (not won yet)",
        Status::Done => " (done)",
        Status::Here | Status::Paused => " (on it)",
        Status::Won | Status::Lost => "",
    };
    let place = entry.place.as_deref().unwrap_or("no place");
    format!("{place}, quote {}: {}, {time}{state}", entry.no, joined(&counted))
}

/// A day's jobs went to another day.
pub(super) fn shifted(shown: &ShiftShown) -> String {
    if shown.jobs.is_empty() {
        return format!("Nothing is planned for {}, so nothing moved.", day_of(shown.from));
    }
    let names: Vec<String> = shown
        .jobs
        .iter()
        .map(|entry| named(entry.no, entry.place.as_deref()))
        .collect();
    format!(
        "Moved from {} to {}: {}.",
        day_of(shown.from),
        day_of(shown.to),
        names.join("; ")
    )
}

/// What a stretch of time came to.
pub(super) fn report(shown: &ReportShown) -> String {
    let report = &shown.report;
    let all = &report.all;
    let span = if shown.from == shown.to {
        date(shown.from)
    } else {
        format!("{} to {}", date(shown.from), date(shown.to))
    };
    let answers = format!("{} quoted, {} won, {} lost", report.quoted, report.won, report.lost);
    if all.jobs == 0 {
        let paid = if report.paid.is_zero() {
            String::new()
        } else {
            format!(" Paid in {}.", sum(report.paid))
        };
        return format!("{span}: no job was finished; {answers}.{paid}");
    }
    let jobs = if all.jobs == 1 { "job" } else { "jobs" };
    let mut lines = vec![
        format!("{span}: {} {jobs}, {} before tax.", all.jobs, sum(all.revenue)),
        format!("{} man-hours{}.", hours(all.man_minutes), made(all, shown.rate)),
        format!(
            "Paid in {}; {} of these jobs still owed. {answers}.",
            sum(report.paid),
            sum(report.owed)
        ),
    ];
    let class_rows = report.by_class.iter().map(|slice| (class_name(slice), &slice.sums));
    cut(&mut lines, "By work", class_rows);
    let place_rows = report.by_place.iter().map(|slice| {
        let place = slice.key.clone().unwrap_or_else(|| "no place".to_string());
        (place, &slice.sums)
    });
    cut(&mut lines, "By place", place_rows);
    if report.by_crew.len() > 1 {
        let crews = report.by_crew.iter().map(|slice| (people(slice.key), &slice.sums));
        cut(&mut lines, "By crew", crews);
    }
    lines.join("\n")
}

fn people(crew: u32) -> String {
    if crew == 1 {
        "1 person".to_string()
    } else {
        format!("{crew} people")
    }
}

fn class_name(slice: &Slice<(String, Option<String>)>) -> String {
    class(&slice.key.0, slice.key.1.as_deref())
}

/// Hours to the tenth.
fn hours(man_minutes: Decimal) -> String {
    number(RoundingPolicy::HalfUp.places(man_minutes / Decimal::from(60), 1))
}

fn made(sums: &Sums, aim: Decimal) -> String {
    match sums.rate() {
        Some(rate) => format!(", made {} an hour ({} is your rate)", sum(rate), sum(aim)),
        None => String::new(),
    }
}

/// One cut of a report, the best first.
fn cut<'r>(lines: &mut Vec<String>, head: &str, rows: impl ExactSizeIterator<Item = (String, &'r Sums)>) {
    let count = rows.len();
    lines.push(format!("{head}:"));
    for (name, sums) in rows.take(SLICES_MAX) {
        let rate = sums.rate().map(|rate| format!("{} an hour", sum(rate)));
        let jobs = if sums.jobs == 1 { "job" } else { "jobs" };
        lines.push(format!(
            "- {name}: {}, {} {jobs}, {} h",
            rate.unwrap_or_else(|| "no time".to_string()),
            sums.jobs,
            hours(sums.man_minutes)
        ));
    }
    more(lines, count, count.min(SLICES_MAX));
}

/// Which work pays.
pub(super) fn pays(shown: &PaysShown) -> String {
    let report = &shown.report;
    if report.all.jobs == 0 {
        return "No job was finished in the last twelve months, so I cannot say which work pays.".to_string();
    }
    let mut lines = vec![format!(
        "Since {}: {} jobs{}.",
        date(shown.from),
        report.all.jobs,
        made(&report.all, shown.rate)
    )];
    if let Some(best) = &shown.best {
        lines.push(format!("Best: {}", verdict(best)));
    }
    if let Some(worst) = &shown.worst {
        lines.push(format!("Worst: {}", verdict(worst)));
    }
    if shown.best.is_none() {
        lines.push("Too few jobs of more than one kind to call a best and a worst.".to_string());
    }
    let class_rows = report.by_class.iter().map(|slice| (class_name(slice), &slice.sums));
    cut(&mut lines, "By work", class_rows);
    if report.by_crew.len() > 1 {
        let crews = report.by_crew.iter().map(|slice| (people(slice.key), &slice.sums));
        cut(&mut lines, "By crew", crews);
    }
    lines.join("\n")
}

fn verdict(verdict: &Verdict) -> String {
    let name = class(&verdict.service, verdict.size.as_deref());
    let rate = verdict.sums.rate().map(sum).unwrap_or_default();
    let reason = match verdict.reason {
        Reason::TookLonger(percent) => format!("it took {}% more time than quoted", number(percent)),
        Reason::TookLess(percent) => format!("it took {}% less time than quoted", number(percent)),
        Reason::PricedAbove(percent) => format!("it was priced {}% above its rate", number(percent)),
        Reason::PricedBelow(percent) => format!("it was priced {}% below its rate", number(percent)),
        Reason::AsQuoted => "it went as quoted".to_string(),
    };
    format!("{name}, {rate} an hour on {} jobs: {reason}.", verdict.sums.jobs)
}

/// How often quotes are won.
pub(super) fn win_share(shown: &WinShown) -> String {
    let share = &shown.share;
    if share.answered < shown.enough {
        return format!(
            "{} of {} answered quotes were won. From {} answers on I can say how that goes with the price.",
            share.won, share.answered, shown.enough
        );
    }
    let mut lines = vec![format!(
        "{} of {} answered quotes were won ({}%).",
        share.won,
        share.answered,
        percent(share.won, share.answered)
    )];
    if let Some(usual) = share.usual_rate {
        let usual = sum(RoundingPolicy::HalfUp.places(usual, 2));
        lines.push(format!("Your usual price makes {usual} an hour. Won:"));
    }
    let names = ["over 10% below it", "about that", "over 10% above it"];
    for (name, level) in names.into_iter().zip(share.levels) {
        lines.push(format!("- {name}: {}", level_text(level, shown.enough)));
    }
    lines.join("\n")
}

fn level_text(level: Level, enough: u32) -> String {
    let counts = format!("{} of {}", level.won, level.answered);
    if level.answered < enough / 2 {
        return format!("{counts}, too few to say");
    }
    format!("{counts} ({}%)", percent(level.won, level.answered))
}

fn percent(part: u32, whole: u32) -> String {
    let share = Decimal::from(part) * Decimal::ONE_HUNDRED;
    let share = share.checked_div(Decimal::from(whole)).unwrap_or_default();
    number(RoundingPolicy::HalfUp.places(share, 0))
}

/// Polite words about an open amount, to be forwarded.
pub(super) fn reminder(shown: &ReminderShown) -> String {
    format!("To forward:\n{}", reminder_text(shown))
}

/// The words alone.
pub(in crate::replies) fn reminder_text(shown: &ReminderShown) -> String {
    let from = shown
        .business
        .as_ref()
        .map(|name| format!(" from {name}"))
        .unwrap_or_default();
    let place = shown
        .place
        .as_ref()
        .map(|place| format!(" at {place}"))
        .unwrap_or_default();
    let when = shown
        .done_on
        .map(|day| format!(" on {}", day.format("%B %-d")))
        .unwrap_or_default();
    let part = if shown.paid.is_zero() {
        String::new()
    } else {
        format!(" Thank you for the {} so far.", money(shown.paid))
    };
    format!(
        "Hello{from}! We finished the work{place}{when}.{part}\n{} is still open. Could you send it when it suits you?\n\
         If it is on its way already, thank you and never mind this note.",
        money(shown.owed)
    )
}

/// A clock that has run for too long.
pub(in crate::replies) fn forgotten(shown: &ForgottenShown) -> String {
    let place = shown
        .place
        .as_deref()
        .map(|place| format!(" at {place}"))
        .unwrap_or_else(|| " on the job".to_string());
    format!(
        "By the clock you have been{place} since {}, {}. If not, say when it was done, like \"done at 4:30\".",
        shown.since.format("%a %-I:%M %p"),
        clock(shown.minutes)
    )
}

/// What a message had done that was taken back; empty when the words say it all.
pub(super) fn undone(facts: &[Event]) -> String {
    // A clock put right works its finish out again: without that the job is done all the same.
    let corrected = facts.iter().any(|event| matches!(event, Event::ClockCorrected { .. }));
    let told: Vec<String> = facts
        .iter()
        .filter(|event| !(corrected && matches!(event, Event::JobFinished(_))))
        .filter_map(fact)
        .collect();
    if told.is_empty() {
        String::new()
    } else {
        format!(" ({})", joined(&told))
    }
}

fn fact(event: &Event) -> Option<String> {
    Some(match event {
        Event::QuoteGiven { no, .. } => format!("quote {no} is gone"),
        Event::QuoteRevised { no, .. } => format!("quote {no} is as it was before"),
        Event::QuoteWon { no, .. } => format!("the yes to quote {no} is gone"),
        Event::QuoteLost { no, .. } => format!("the no to quote {no} is gone"),
        Event::JobPlanned { no, .. } => format!("the day of quote {no} is as before"),
        Event::PaymentTaken { no, amount, .. } => format!("{} paid for quote {no} is gone", money(*amount)),
        Event::RestLetGo { no, amount } => format!("{} of quote {no} is owed again", money(*amount)),
        Event::WorkStarted { no, .. } => format!("the start at quote {no} is gone"),
        Event::WorkPaused { no, .. } => format!("the stop at quote {no} is gone"),
        Event::WorkResumed { no, .. } => format!("going on at quote {no} is gone"),
        Event::CrewChanged { no, .. } => format!("the crew of quote {no} is as before"),
        Event::ClockCorrected { no, .. } => format!("the clock of quote {no} is as before"),
        Event::JobFinished(finished) => format!("quote {} is not done", finished.no),
        Event::ExtraBilled { no, .. } => format!("the extra of quote {no} is not billed"),
        Event::NoteKept { .. } => "the note is gone".to_string(),
        Event::FileKept { .. } => "the photo is not kept there any more".to_string(),
        Event::PlaceCautionKept { .. } => "the heads-up is gone".to_string(),
        Event::PricesShown { .. } => "who sees prices is as before".to_string(),
        Event::QuotingAllowed { .. } => "who quotes is as before".to_string(),
        Event::CalendarOpened { .. } => "that calendar address is shut".to_string(),
        Event::CalendarShut { .. } => "the calendar address is open again".to_string(),
        Event::ClientLinkGiven { no, .. } => format!("the client's page of quote {no} is shut"),
        Event::UnitsTimed { .. } => "those readings are gone".to_string(),
        _ => return None,
    })
}

/// A private address of the calendar.
pub(super) fn calendar(path: Option<&str>, base: Option<&str>) -> String {
    let Some(path) = path else {
        return "Your calendar address is shut. Say \"calendar\" for a new one.".to_string();
    };
    let hint = "Add it to your phone's calendar as a subscription. It is yours alone; \"no calendar\" shuts it.";
    match base {
        Some(base) => format!("Your calendar: {}{path}\n{hint}", base.trim_end_matches('/')),
        None => format!("Your calendar, on this server: {path}\n{hint}"),
    }
}
