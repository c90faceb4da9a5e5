//! What is planned, a week on a page; and what was won and has no day yet.

use askama::Template;
use chrono::{Datelike, Days, NaiveDate};
use chrono_tz::Tz;

use super::{
    assets::{Links, links},
    dates,
    figures::{money, number, work},
    nav::Place,
    sees::Sees,
};
use crate::{
    journal::{Book, QuoteEntry, Status, Within},
    units::Timestamp,
};

/// Jobs without a day that are listed.
const LOOSE_MAX: usize = 30;

/// The page of a week.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WeekPage {
    title: String,
    before: String,
    after: String,
    is_this: bool,
    days: Vec<Day>,
    loose: Vec<Job>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
struct Day {
    name: String,
    date: String,
    today: bool,
    jobs: Vec<Job>,
    /// How much is planned, when anything is.
    sum: String,
}

#[derive(Debug, Clone, PartialEq, Eq)]
struct Job {
    no: u32,
    time: String,
    place: String,
    work: String,
    takes: String,
    status: &'static str,
}

#[derive(Template)]
#[template(path = "week.html", config = "src/pages/askama.toml")]
struct View<'a> {
    links: Links,
    place: Place,
    page: &'a WeekPage,
}

impl WeekPage {
    /// The week that a day (`2026-01-14`) lies in; this week when none is given or it is no day.
    pub fn of(book: &Book, from: Option<&str>, sees: Sees, zone: Tz, now: Timestamp) -> WeekPage {
        let today = now.utc().with_timezone(&zone).date_naive();
        let asked = from.and_then(|day| NaiveDate::parse_from_str(day, "%Y-%m-%d").ok());
        let monday = monday_of(asked.unwrap_or(today));
        let last = monday + Days::new(6);
        let in_week = |entry: &&QuoteEntry| {
            let day = entry.planned.map(|at| day(at, zone));
            entry.status != Status::Lost && day.is_some_and(|day| (monday..=last).contains(&day))
        };
        let about = book.within(Within::planned_about(monday, last)).filter(in_week);
        let mut planned: Vec<(Timestamp, &QuoteEntry)> =
            about.filter_map(|entry| Some((entry.planned?, entry))).collect();
        planned.sort_by_key(|(at, entry)| (*at, entry.no));
        let won = book.within(Within::Of(&[Status::Won]));
        let loose = won.filter(|entry| entry.planned.is_none()).take(LOOSE_MAX);
        let loose = loose.map(|entry| job(entry, None, sees, zone)).collect();
        WeekPage {
            title: match monday.month() == last.month() {
                true => format!("{} to {}", monday.format("%B %-d"), last.format("%-d, %Y")),
                false => format!("{} to {}", monday.format("%B %-d"), last.format("%B %-d, %Y")),
            },
            before: format!("/week?from={}", monday - Days::new(7)),
            after: format!("/week?from={}", monday + Days::new(7)),
            is_this: monday == monday_of(today),
            days: (0..7)
                .map(|offset| of_day(monday + Days::new(offset), today, &planned, sees, zone))
                .collect(),
            loose,
        }
    }

    /// The page.
    pub fn html(&self) -> String {
        View {
            links: links(),
            place: Place::Week,
            page: self,
        }
        .render()
        .expect("writing to a string does not fail")
    }
}

fn monday_of(day: NaiveDate) -> NaiveDate {
    // Far from the ends of the calendar, where a day has no Monday before it.
    let day = day.clamp(
        NaiveDate::from_ymd_opt(1970, 1, 12).expect("a day"),
        NaiveDate::from_ymd_opt(9999, 1, 1).expect("a day"),
    );
    day - Days::new(u64::from(day.weekday().num_days_from_monday()))
}

fn day(at: Timestamp, zone: Tz) -> NaiveDate {
    at.utc().with_timezone(&zone).date_naive()
}

fn of_day(date: NaiveDate, today: NaiveDate, planned: &[(Timestamp, &QuoteEntry)], sees: Sees, zone: Tz) -> Day {
    let of: Vec<&(Timestamp, &QuoteEntry)> = planned.iter().filter(|(at, _)| day(*at, zone) == date).collect();
    let minutes: rust_decimal::Decimal = of.iter().map(|(_, entry)| entry.quoted_man_minutes().get()).sum();
    let jobs: Vec<Job> = of.iter().map(|(at, entry)| job(entry, Some(*at), sees, zone)).collect();
    let sum = match jobs.len() {
        0 => String::new(),
        1 => format!("1 job, {} man-min", number(minutes)),
        many => format!("{many} jobs, {} man-min", number(minutes)),
    };
    Day {
        name: date.format("%a").to_string(),
        date: date.format("%b %-d").to_string(),
        today: date == today,
        jobs,
        sum,
    }
}

fn job(entry: &QuoteEntry, at: Option<Timestamp>, sees: Sees, zone: Tz) -> Job {
    let mut takes = vec![
        format!("{} man-min", number(entry.quoted_man_minutes().get())),
        match entry.crew().get() {
            1 => "1 person".to_string(),
            people => format!("{people} people"),
        },
    ];
    if sees.prices() {
        takes.push(money(entry.price()));
    }
    Job {
        no: entry.no.get(),
        time: at.map(|at| dates::time_of_day(at, zone)).unwrap_or_default(),
        place: entry.place.clone().unwrap_or_else(|| format!("Quote {}", entry.no)),
        work: work(entry),
        takes: takes.join(", "),
        status: match entry.status {
            Status::Done => "done",
            Status::Here | Status::Paused => "on it",
            Status::Open => "not won yet",
            Status::Won | Status::Lost => "",
        },
    }
}
