//! Jobs: won, lost, planned, paid, and the rate made.

use rust_decimal::Decimal;

use super::{
    lists,
    quote::range,
    words::{clock, dollars, joined, money, number, plural, rate, rate_made, spoken},
};
use crate::{
    conversation::{Counted, FinishCause, FinishNews, JobNews, JobShown},
    journal::{Finish, Status},
    units::{Money, RateMade, Timestamp},
};

/// A job.
pub(super) fn job(shown: &JobShown) -> String {
    let name = match &shown.entry.place {
        Some(place) => format!("Quote {}, {place}", shown.entry.no),
        None => format!("Quote {}", shown.entry.no),
    };
    match &shown.news {
        JobNews::Won => format!("Won: {name}, {}.{}", money(shown.entry.price()), planned(shown)),
        JobNews::Lost { reason, price } => {
            let at = price.map(|price| format!(" at {}", money(price))).unwrap_or_default();
            let reason = reason.as_ref().map(|reason| format!(" ({reason})")).unwrap_or_default();
            format!("Lost: {name}{at}{reason}.")
        }
        JobNews::Planned { time_said, later } => {
            let hint = if *time_said { "" } else { " Say a time to change it." };
            let by = later
                .map(|days| format!("{}, now ", later_by(days)))
                .unwrap_or_default();
            format!("{name}: {by}{}{hint}", planned(shown).trim_start())
        }
        JobNews::Paid { amount, method } => paid(shown, &name, *amount, method.as_deref()),
        JobNews::Settled(amount) if amount.is_zero() => format!("{name}: nothing was open."),
        JobNews::Settled(amount) => format!("Settled: {name}, the {} still open is let go.", money(*amount)),
        JobNews::Crew { at, before } => format!(
            "{name}: {} from{} It was {}.",
            people(shown.entry.crew().get()),
            local(shown, *at),
            before.get()
        ),
        JobNews::StillRunning => {
            let since = shown.entry.clock.as_ref().and_then(|clock| clock.running_since());
            let since = since
                .map(|since| format!(" since{}", local(shown, since)))
                .unwrap_or_default();
            format!("{name} is still on the clock{since} Say \"done\" with its place when it is.")
        }
        JobNews::Started(since) => {
            let crew = people(shown.entry.crew().get());
            format!("On it: {name}, {crew}, since{}", local(shown, *since))
        }
        JobNews::Paused(minutes) => format!("Clock stopped: {name}, {} so far.", clock(*minutes)),
        JobNews::Resumed(minutes) => format!("Clock on again: {name}, {} so far.", clock(*minutes)),
        JobNews::Finished(news) if !shown.prices => finished_for_crew(shown, &name, news),
        JobNews::Finished(news) => finished(shown, &name, news),
        JobNews::Shown if !shown.prices => format!("{name}.{}", planned(shown)),
        JobNews::ExtraBilled(amount) => {
            format!(
                "Billed the extra {}: {name} comes to {}.",
                money(*amount),
                money(shown.entry.price())
            )
        }
        JobNews::Shown => standing(shown, &name),
    }
}

fn people(crew: u32) -> String {
    match crew {
        1 => "1 person".to_string(),
        people => format!("{people} people"),
    }
}

/// `2 days later`, `a week earlier`.
fn later_by(days: i32) -> String {
    let (count, unit) = match days.unsigned_abs() {
        days if days % 7 == 0 => (days / 7, "week"),
        days => (days, "day"),
    };
    let way = if days < 0 { "earlier" } else { "later" };
    match count {
        1 => format!("a {unit} {way}"),
        count => format!("{count} {unit}s {way}"),
    }
}

fn planned(shown: &JobShown) -> String {
    shown.entry.planned.map(|at| local(shown, at)).unwrap_or_default()
}

fn local(shown: &JobShown, at: Timestamp) -> String {
    format!(
        " {}.",
        at.utc().with_timezone(&shown.zone).format("%a %b %-d, %-I:%M %p")
    )
}

fn paid(shown: &JobShown, name: &str, amount: Money, method: Option<&str>) -> String {
    let method = method.map(|method| format!(" {method}")).unwrap_or_default();
    if amount.is_zero() {
        return format!("{name} is paid already: {}.", money(shown.entry.paid()));
    }
    let asked = shown.entry.price().checked_sub(shown.entry.let_go);
    let left = asked
        .and_then(|asked| asked.checked_sub(shown.entry.paid()))
        .unwrap_or(Money::ZERO);
    let stands = if left.is_zero() {
        "paid in full".to_string()
    } else if left.is_negative() {
        let over = shown
            .entry
            .paid()
            .checked_sub(shown.entry.price())
            .unwrap_or(Money::ZERO);
        format!("{} more than the {} asked", money(over), money(shown.entry.price()))
    } else {
        format!("{} still to come", money(left))
    };
    let part = if left > Money::ZERO && shown.entry.status == Status::Done {
        " If that is all, say \"that settles it\"."
    } else {
        ""
    };
    format!("Paid {}{method}: {name}, {stands}.{part}", money(amount))
}

fn finished(shown: &JobShown, name: &str, news: &FinishNews) -> String {
    let mut lines = Vec::new();
    let won = if news.counted_as_won { " (counted as won)" } else { "" };
    lines.push(format!("Done: {name}, {}{won}.", money(shown.entry.price())));
    if let Some(finish) = &shown.entry.finish {
        lines.push(time(shown, finish, news));
        lines.push(made(shown));
        lines.push(against_quote(shown, finish, news.cause.as_ref()));
    }
    if let Some(ended) = news.ended {
        lines.push(format!("Ended{}", local(shown, ended)));
    }
    if let Some(ends) = news.range.as_ref().and_then(range) {
        lines.push(ends);
    }
    for row in &news.learned {
        lines.push(format!("Next time {}", lists::time(row)));
        lines.extend(row.trend.as_ref().map(|trend| lists::trend(row, trend)));
    }
    if !news.did.is_empty() {
        lines.push(format!("Did {}.", list(&news.did)));
    }
    if !news.more.is_empty() {
        lines.push(format!(
            "Extra: {}, worth {}. Say \"bill the extra\" to add it.",
            list(&news.more),
            money(news.extra)
        ));
    }
    if !news.fewer.is_empty() {
        lines.push(format!("Not done: {}, worth {}.", list(&news.fewer), money(news.short)));
    }
    lines.join("\n")
}

/// A finish without money.
fn finished_for_crew(shown: &JobShown, name: &str, news: &FinishNews) -> String {
    let mut lines = vec![format!("Done: {name}.")];
    if let Some(finish) = &shown.entry.finish {
        lines.push(time(shown, finish, news));
        lines.push(against_quote(shown, finish, None));
    }
    if !news.more.is_empty() {
        lines.push(format!("Extra: {}.", list(&news.more)));
    }
    if !news.fewer.is_empty() {
        lines.push(format!("Not done: {}.", list(&news.fewer)));
    }
    lines.join("\n")
}

fn time(shown: &JobShown, finish: &Finish, news: &FinishNews) -> String {
    let whole = number(finish.man_minutes.get());
    let people = shown.entry.crew().get();
    let by_clock = if news.by_clock { " by the clock" } else { "" };
    if !news.stretches.is_empty() {
        let stretch = |(minutes, people): &(Decimal, u32)| format!("{} x {people}", clock(*minutes));
        let stretches: Vec<String> = news.stretches.iter().map(stretch).collect();
        return format!("{} by the clock = {whole} man-min.", stretches.join(" + "));
    }
    match news.elapsed {
        Some(elapsed) if people > 1 => {
            let of_job = if news.crew_of_job { " (the job's crew)" } else { "" };
            format!(
                "{}{by_clock} x {people} people{of_job} = {whole} man-min.",
                clock(elapsed)
            )
        }
        Some(elapsed) => {
            let of_job = if news.crew_of_job { " (the job's crew)" } else { "" };
            format!("{}{by_clock}, 1 person{of_job}: {whole} man-min.", clock(elapsed))
        }
        None => format!("{whole} man-min, crew {people}."),
    }
}

/// The rate made against the rate aimed at. This and the next line fit the width of a phone.
fn made(shown: &JobShown) -> String {
    let quoted = shown.entry.sheet.quote_rate();
    let Some(made) = shown.entry.rate_made() else {
        return "No rate: no time was worked.".to_string();
    };
    let made = made.to_cents();
    let difference = made.get() - RateMade::from(quoted).to_cents().get();
    let stands = match difference.cmp(&Decimal::ZERO) {
        std::cmp::Ordering::Less => format!("{} under {}", dollars(difference), rate(quoted)),
        std::cmp::Ordering::Equal => format!("just your {}", rate(quoted)),
        std::cmp::Ordering::Greater => format!("{} over {}", dollars(difference), rate(quoted)),
    };
    format!("Made {} an hour, {stands}.", rate_made(made))
}

/// The time against the quote's, with the likely reason.
fn against_quote(shown: &JobShown, finish: &Finish, cause: Option<&FinishCause>) -> String {
    let quoted = shown.entry.quoted_man_minutes().get();
    let difference = finish.man_minutes.get() - quoted;
    if difference.is_zero() {
        return format!("Right on the {} man-min quoted.", number(quoted));
    }
    let word = if difference.is_sign_negative() { "under" } else { "over" };
    let text = format!("{} {word} the {} quoted", number(difference.abs()), number(quoted));
    match cause {
        Some(FinishCause::AsQuoted) => format!("{text}: about as quoted."),
        Some(FinishCause::Usual) => format!("{text}, as such jobs vary."),
        Some(FinishCause::Class {
            counted,
            one_kind,
            each,
            quoted,
        }) => {
            let name = match (&counted.size, *one_kind) {
                (Some(size), true) => plural(size),
                _ => spoken(counted),
            };
            format!("{text}: {name} ran {}, not {}.", number(*each), number(*quoted))
        }
        None => format!("{text} man-min."),
    }
}

fn list(counted: &[Counted]) -> String {
    joined(&counted.iter().map(spoken).collect::<Vec<_>>())
}

/// A job as it stands.
fn standing(shown: &JobShown, name: &str) -> String {
    let status = match shown.entry.status {
        Status::Open => "open",
        Status::Won => "won",
        Status::Here => "on it",
        Status::Paused => "paused",
        Status::Done => "done",
        Status::Lost => "lost",
    };
    let mut text = format!("{name}: {status}, {}.{}", money(shown.entry.price()), planned(shown));
    if let Some(finish) = &shown.entry.finish {
        text.push_str(&format!(
            "\n{} man-min. {}",
            number(finish.man_minutes.get()),
            made(shown)
        ));
    }
    if !shown.entry.paid().is_zero() {
        text.push_str(&format!("\nPaid {}.", money(shown.entry.paid())));
    }
    text
}
