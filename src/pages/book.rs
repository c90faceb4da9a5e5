//! The book as a page: jobs by season, searched, newest first; and one job with everything that is known of it.
//!
//! A book may hold a hundred thousand jobs: their cards are looked through ([`Book::cards_newest_first`]), and only the few
//! that are shown are opened, priced and worded.

use std::collections::BTreeMap;

use askama::Template;
use chrono_tz::Tz;

use super::{
    assets::{Links, links},
    dates,
    entry::{Entry, FileShown, Speaker},
    figures::{money, number, work},
    nav::Place,
    quote_tag::QuoteTag,
    seasons::{Calendar, Season},
    sees::Sees,
};
use crate::{
    journal::{Book, Card, QuoteEntry, Status, data},
    pricing,
    units::{QuoteNo, Timestamp},
};

/// Jobs on one page.
const JOBS_MAX: usize = 50;

/// What of the book is asked for.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct BookAsked {
    /// A season, as in `spring-2026`.
    pub season: Option<String>,
    /// Words to look for.
    pub words: String,
    /// `open`, `won`, `done`, `owed` or `lost`.
    pub show: Option<String>,
    /// Only quotes before this number.
    pub before: Option<u32>,
}

/// The page of the book.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BookPage {
    words: String,
    season: Option<String>,
    show: Option<String>,
    seasons: Vec<Slip>,
    shows: Vec<Slip>,
    jobs: Vec<JobRow>,
    count: usize,
    older: Option<String>,
}

/// A slip that leads to a part of the book.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Slip {
    name: String,
    path: String,
    here: bool,
}

#[derive(Debug, Clone, PartialEq, Eq)]
struct JobRow {
    no: u32,
    place: String,
    work: String,
    day: String,
    status: &'static str,
    price: String,
    made: Option<String>,
}

#[derive(Template)]
#[template(path = "book.html", config = "src/pages/askama.toml")]
struct View<'a> {
    links: Links,
    place: Place,
    page: &'a BookPage,
}

/// Done and not paid.
const OWED: &str = "owed";

const SHOWS: [&str; 5] = ["open", "won", "done", OWED, "lost"];

impl BookPage {
    /// The part of the book that is asked for.
    pub fn of(book: &Book, asked: &BookAsked, sees: Sees, zone: Tz, now: Timestamp) -> BookPage {
        let season = asked.season.as_deref().and_then(Season::read);
        let show = asked
            .show
            .as_deref()
            .filter(|show| SHOWS.contains(show) && (sees.prices() || *show != OWED));
        let search = book.search(&asked.words);
        let calendar = calendar(book, zone, now);
        let mut counts: BTreeMap<Season, usize> = BTreeMap::new();
        let mut found: Vec<QuoteNo> = Vec::new();
        let mut count = 0;
        for (no, card) in book.cards_newest_first() {
            let of = calendar.season(card.day);
            if let Some(of) = of {
                *counts.entry(of).or_default() += 1;
            }
            let in_season = season.is_none() || of == season;
            if !(in_season && shown(card, show) && search.finds(no, card)) {
                continue;
            }
            count += 1;
            if found.len() <= JOBS_MAX && asked.before.is_none_or(|before| no.get() < before) {
                found.push(no);
            }
        }
        let more = found.len() > JOBS_MAX;
        found.truncate(JOBS_MAX);
        let here = Address {
            season: season.map(Season::slug),
            show: show.map(str::to_string),
            words: asked.words.trim().to_string(),
        };
        let older = found.last().filter(|_| more).map(|last| here.path(Some(last.get())));
        let jobs = found.iter().filter_map(|no| book.quote(*no));
        BookPage {
            words: here.words.clone(),
            season: here.season.clone(),
            show: here.show.clone(),
            seasons: season_slips(&counts, season, &here),
            shows: show_slips(show, sees, &here),
            jobs: jobs.map(|entry| row(entry, sees, zone, now)).collect(),
            count,
            older,
        }
    }

    /// The page.
    pub fn html(&self) -> String {
        View {
            links: links(),
            place: Place::Book,
            page: self,
        }
        .render()
        .expect("writing to a string does not fail")
    }
}

/// Where a part of the book is found.
#[derive(Clone)]
struct Address {
    season: Option<String>,
    show: Option<String>,
    words: String,
}

impl Address {
    fn path(&self, before: Option<u32>) -> String {
        let mut query = Vec::new();
        query.extend(self.season.iter().map(|season| format!("season={season}")));
        query.extend(self.show.iter().map(|show| format!("show={show}")));
        if !self.words.is_empty() {
            query.push(format!("q={}", escaped(&self.words)));
        }
        query.extend(before.map(|before| format!("before={before}")));
        if query.is_empty() {
            "/book".to_string()
        } else {
            format!("/book?{}", query.join("&"))
        }
    }
}

/// A text as a value in an address.
fn escaped(text: &str) -> String {
    text.bytes()
        .map(|byte| match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'_' | b'.' => char::from(byte).to_string(),
            other => format!("%{other:02X}"),
        })
        .collect()
}

fn season_slips(counts: &BTreeMap<Season, usize>, here: Option<Season>, address: &Address) -> Vec<Slip> {
    let all = Address {
        season: None,
        ..address.clone()
    };
    let mut slips = vec![Slip {
        name: "All".to_string(),
        path: all.path(None),
        here: here.is_none(),
    }];
    slips.extend(counts.iter().rev().map(|(season, count)| {
        Slip {
            name: format!("{}: {count}", season.name()),
            path: Address {
                season: Some(season.slug()),
                ..address.clone()
            }
            .path(None),
            here: here == Some(*season),
        }
    }));
    slips
}

fn show_slips(here: Option<&str>, sees: Sees, address: &Address) -> Vec<Slip> {
    let slip = |name: &str, show: Option<&str>| Slip {
        name: name.to_string(),
        path: Address {
            show: show.map(str::to_string),
            ..address.clone()
        }
        .path(None),
        here: here == show,
    };
    let mut slips = vec![slip("Any", None)];
    let shows = SHOWS.iter().filter(|show| sees.prices() || **show != OWED);
    slips.extend(shows.map(|show| slip(show, Some(show))));
    slips
}

fn calendar(book: &Book, zone: Tz, now: Timestamp) -> Calendar {
    let (mut first, mut last) = (now, now);
    for (_, card) in book.cards_newest_first() {
        first = first.min(card.day);
        last = last.max(card.day);
    }
    Calendar::between(first, last, zone)
}

fn shown(card: &Card, show: Option<&str>) -> bool {
    match show {
        None => true,
        Some("open") => card.status == Status::Open,
        Some("won") => matches!(card.status, Status::Won | Status::Here | Status::Paused),
        Some("done") => card.status == Status::Done,
        Some(OWED) => card.owed,
        Some(_) => card.status == Status::Lost,
    }
}

fn row(entry: &QuoteEntry, sees: Sees, zone: Tz, now: Timestamp) -> JobRow {
    let made = entry.rate_made().filter(|_| sees.prices());
    JobRow {
        no: entry.no.get(),
        place: place(entry),
        work: work(entry),
        day: dates::short_day(entry.day(), now, zone),
        status: status(entry, sees),
        price: if sees.prices() {
            money(entry.price())
        } else {
            String::new()
        },
        made: made.map(|made| format!("${} an hour", data::cents(made.to_cents().get()))),
    }
}

fn place(entry: &QuoteEntry) -> String {
    entry.place.clone().unwrap_or_else(|| format!("Quote {}", entry.no))
}

fn status(entry: &QuoteEntry, sees: Sees) -> &'static str {
    match entry.status {
        Status::Open => "open",
        Status::Won => "won",
        Status::Here | Status::Paused => "on it",
        Status::Done if !sees.prices() => "done",
        Status::Done if entry.owed().is_zero() => "done, paid",
        Status::Done => "done, owed",
        Status::Lost => "lost",
    }
}

/// One job, with all that is known of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JobPage {
    sees: Sees,
    no: u32,
    place: String,
    facts: Vec<(&'static str, String)>,
    tag: Option<QuoteTag>,
    notes: Vec<String>,
    photos: Vec<FileShown>,
    talk: Vec<TalkLine>,
}

/// A message of the job's conversation.
#[derive(Debug, Clone, PartialEq, Eq)]
struct TalkLine {
    time: String,
    entry: Entry,
}

#[derive(Template)]
#[template(path = "job.html", config = "src/pages/askama.toml")]
struct JobView<'a> {
    links: Links,
    place: Place,
    page: &'a JobPage,
}

impl JobPage {
    /// A job of the book, with its conversation; `None` when there is no such number. Without prices the conversation is
    /// left out, since the answers in it name them.
    pub fn of(book: &Book, no: u32, talk: Vec<Entry>, sees: Sees, zone: Tz, now: Timestamp) -> Option<JobPage> {
        let entry = book.quote(QuoteNo::new(no))?;
        let priced = pricing::quote(&entry.sheet).ok().filter(|_| sees.prices());
        let tag = priced.and_then(|priced| {
            let object = data::quote(entry.no, entry.place.as_deref(), entry.status, &priced);
            serde_json::from_value(serde_json::Value::Object(object)).ok()
        });
        let brought = talk.iter().flat_map(|said| said.brought.iter());
        let photos: Vec<FileShown> = brought.filter(|file| file.is_picture()).cloned().collect();
        Some(JobPage {
            sees,
            no,
            place: place(entry),
            facts: facts(entry, sees, zone, now),
            tag,
            notes: entry.notes.clone(),
            photos,
            talk: talk
                .into_iter()
                .filter(|_| sees.prices())
                .map(|entry| TalkLine {
                    time: dates::short_day(entry.at, now, zone),
                    entry,
                })
                .collect(),
        })
    }

    /// The page.
    pub fn html(&self) -> String {
        JobView {
            links: links(),
            place: Place::Book,
            page: self,
        }
        .render()
        .expect("writing to a string does not fail")
    }
}

/// What is known of a job, name by name; without prices only what the crew works by.
fn facts(entry: &QuoteEntry, sees: Sees, zone: Tz, now: Timestamp) -> Vec<(&'static str, String)> {
    let mut facts = work_facts(entry, sees, zone, now);
    if sees.prices() {
        facts.extend(money_facts(entry, zone, now));
    }
    facts
}

fn work_facts(entry: &QuoteEntry, sees: Sees, zone: Tz, now: Timestamp) -> Vec<(&'static str, String)> {
    let day = |at: Timestamp| dates::short_day(at, now, zone);
    let mut facts = vec![
        ("How it stands", status(entry, sees).to_string()),
        ("Work", work(entry)),
        ("Quoted", day(entry.given_at)),
    ];
    if let Some(planned) = entry.planned {
        facts.push((
            "Planned",
            format!("{}, {}", day(planned), dates::time_of_day(planned, zone)),
        ));
    }
    if let Some(finish) = &entry.finish {
        facts.push(("Done", day(finish.ended)));
        let quoted = number(entry.quoted_man_minutes().get());
        facts.push((
            "Man-minutes",
            format!("{}, quoted {quoted}", number(finish.man_minutes.get())),
        ));
        facts.push(("Crew", finish.crew.to_string()));
    }
    facts
}

fn money_facts(entry: &QuoteEntry, zone: Tz, now: Timestamp) -> Vec<(&'static str, String)> {
    let day = |at: Timestamp| dates::short_day(at, now, zone);
    let mut facts = Vec::new();
    if let Some(made) = entry.rate_made() {
        facts.push(("Rate made", format!("${} an hour", data::cents(made.to_cents().get()))));
    }
    facts.push(("Price", money(entry.price())));
    for payment in &entry.payments {
        let how = payment
            .method
            .as_ref()
            .map(|method| format!(", {method}"))
            .unwrap_or_default();
        facts.push(("Paid", format!("{} on {}{how}", money(payment.amount), day(payment.at))));
    }
    if entry.status == Status::Done && !entry.owed().is_zero() {
        facts.push(("Still owed", money(entry.owed())));
    }
    if let Some(lost) = &entry.lost {
        facts.push((
            "Lost",
            lost.reason.clone().unwrap_or_else(|| "no reason said".to_string()),
        ));
    }
    let open = entry.client.links.iter().filter(|link| !link.shut).count();
    if open > 0 {
        facts.push(("Client page", format!("{open} open; “take the link back” shuts it")));
    }
    if let Some(yes) = &entry.client.accepted {
        facts.push(("Accepted by", format!("{}, {}", yes.name, day(yes.at))));
    }
    facts.extend(
        entry
            .client
            .asked
            .iter()
            .map(|asked| ("Client asked", format!("{}: {}", asked.name, asked.words))),
    );
    facts
}
