//! The figures of the account and the price list, each with a line to change it.
//!
//! A line sends the very words that would be said in the chat (`rate 95`), so that a change here leaves the same facts
//! behind, is answered the same way and can be undone. Which words those are is decided here, from a fixed list: what is
//! typed is only the figure.

use askama::Template;

use super::{
    assets::{Links, links},
    figures::{class, number, per},
    nav::Place,
};
use crate::{
    journal::{Book, Service, Settings, data},
    pricing::{Basis, Step, Tax},
    units::Unit,
};

/// Longest figure or name that is taken, in letters.
const VALUE_CHARS_MAX: usize = 80;

/// Longest text for clients that is taken, in letters.
const TEXT_CHARS_MAX: usize = 1400;

/// Texts for clients, by the ids of their lines.
const TEXTS: [&str; 2] = ["terms", "not-included"];

/// Lines that can be emptied, and the words that say so.
const OFF: [(&str, &str); 9] = [
    ("minimum", "minimum 0"),
    ("set-up", "set-up 0"),
    ("haul", "haul 0"),
    ("drive", "drive 0"),
    ("dump-fee", "dump fee 0"),
    ("round", "round to 0"),
    ("tax", "tax 0%"),
    ("terms", "no terms"),
    ("not-included", "not included: nothing"),
];

/// A session, as listed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PhoneShown {
    /// Its number.
    pub id: i64,
    /// Whose.
    pub member: String,
    /// What it is.
    pub device: String,
    /// Since when.
    pub since: String,
    /// It is this one.
    pub own: bool,
}

/// An answer that did not arrive.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StuckShown {
    /// To whom; nobody when it was to be carried to another program.
    pub name: Option<String>,
    /// By which messenger, or `callback`.
    pub channel: String,
    /// How it begins.
    pub words: String,
    /// Since when.
    pub since: String,
    /// Why.
    pub why: String,
}

/// The page of settings.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SettingsPage {
    /// The reader is the owner, who alone changes figures.
    owner: bool,
    figures: Vec<Line>,
    own: Vec<Line>,
    guesses: Vec<Line>,
    stuck: Vec<StuckShown>,
    phones: Vec<PhoneShown>,
    form_token: String,
    key: String,
    news: Option<(String, String)>,
}

/// A figure with the line to change it.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Line {
    /// Names the words that are said.
    id: String,
    label: String,
    hint: String,
    value: String,
    /// Letters that fit.
    fits: usize,
    /// It is a text, which wants room.
    text: bool,
}

#[derive(Template)]
#[template(path = "settings.html", config = "src/pages/askama.toml")]
struct View<'a> {
    links: Links,
    place: Place,
    page: &'a SettingsPage,
}

/// A figure of the account: its id, its label, what goes with it, and the words that set it.
struct Figure(
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    fn(&Settings) -> Option<String>,
);

const FIGURES: [Figure; 21] = [
    Figure("rate", "Rate", "dollars per man-hour", "rate {}", |of| {
        of.rate.map(|rate| data::cents(rate.get()))
    }),
    Figure("minimum", "Minimum", "dollars a job", "minimum {}", |of| {
        of.minimum.map(|sum| data::cents(sum.get()))
    }),
    Figure("set-up", "Set-up", "minutes on every quote", "set-up {}", |of| {
        of.set_up.map(|time| number(time.get()))
    }),
    Figure("haul", "Haul", "minutes on every quote", "haul {}", |of| {
        of.haul.map(|time| number(time.get()))
    }),
    Figure("drive", "Drive", "minutes on every quote", "drive {}", |of| {
        of.drive.map(|time| number(time.get()))
    }),
    Figure("dump-fee", "Dump fee", "dollars on every quote", "dump fee {}", |of| {
        of.dump_fee.map(|sum| data::cents(sum.get()))
    }),
    Figure("crew", "Crew", "people", "crew {}", |of| {
        of.crew.map(|crew| crew.to_string())
    }),
    Figure("round", "Round to", "dollars, nearest", "round to {}", |of| {
        match of.step {
            Step::Nearest(step) => Some(data::plain(step.get())),
            Step::Up(_) | Step::None => None,
        }
    }),
    Figure("round-up", "Round up to", "dollars", "round up to {}", |of| {
        match of.step {
            Step::Up(step) => Some(data::plain(step.get())),
            Step::Nearest(_) | Step::None => None,
        }
    }),
    Figure("tax", "Tax", "percent on everything", "tax {}%", |of| match of.tax {
        Tax::All(percent) => Some(data::plain(percent.get())),
        Tax::Materials(_) | Tax::None => None,
    }),
    Figure("wage", "Wage", "dollars an hour", "wage {}", |of| {
        of.wage.map(|wage| data::cents(wage.get()))
    }),
    Figure("burden", "Burden", "percent on the wage", "burden {}%", |of| {
        of.burden.map(|percent| number(percent.get()))
    }),
    Figure("overhead", "Overhead", "dollars a month", "overhead {} a month", |of| {
        data::settings(of)
            .get("overhead_month")
            .and_then(|value| value.as_str())
            .map(str::to_string)
    }),
    Figure(
        "hours",
        "Billable hours",
        "man-hours a month",
        "{} billable hours a month",
        |of| {
            data::settings(of)
                .get("billable_hours_month")
                .and_then(|value| value.as_str())
                .map(str::to_string)
        },
    ),
    Figure("margin", "Margin", "percent of the price", "margin {}%", |of| {
        of.margin.map(|percent| number(percent.get()))
    }),
    Figure(
        "business",
        "Business name",
        "clients see it",
        "business name {}",
        |of| of.business_name.clone(),
    ),
    Figure(
        "good-for",
        "Quotes are good for",
        "days; clients see until when",
        "quotes good for {} days",
        |of| of.offer_days.map(|days| days.to_string()),
    ),
    Figure(
        "terms",
        "Terms",
        "in place of the usual ones on client pages; a semicolon begins a new line",
        "terms: {}",
        |of| of.client_terms.clone(),
    ),
    Figure(
        "not-included",
        "Not in the price",
        "beside the usual on client pages; a semicolon begins a new line",
        "not included: {}",
        |of| of.not_included.clone(),
    ),
    Figure(
        "recordings",
        "Keep recordings",
        "days; what was heard stays",
        "keep recordings {} days",
        |of| of.recording_days.map(|days| number(days.get())),
    ),
    Figure("zone", "Time zone", "such as America/Chicago", "time zone {}", |of| {
        of.time_zone.clone()
    }),
];

impl SettingsPage {
    /// The page for a book. Figures are for its owner alone: they say what the business lives on.
    pub fn of(
        book: &Book,
        owner: bool,
        stuck: Vec<StuckShown>,
        phones: Vec<PhoneShown>,
        form_token: String,
        key: String,
        news: Option<(String, String)>,
    ) -> SettingsPage {
        let settings = book.settings();
        let figure = |Figure(id, label, hint, _, of): &Figure| Line {
            id: (*id).to_string(),
            label: (*label).to_string(),
            hint: (*hint).to_string(),
            value: of(settings).unwrap_or_default(),
            fits: fits(id),
            text: TEXTS.contains(id),
        };
        let services = book.services();
        let lines = |own: bool| -> Vec<Line> {
            let all = services.iter().enumerate();
            all.filter(|(_, service)| service.is_own() == own)
                .flat_map(|(index, service)| class_lines(index, service))
                .collect()
        };
        SettingsPage {
            owner,
            figures: FIGURES.iter().filter(|_| owner).map(figure).collect(),
            own: if owner { lines(true) } else { Vec::new() },
            guesses: if owner { lines(false) } else { Vec::new() },
            stuck,
            phones,
            form_token,
            key,
            news,
        }
    }

    /// The page.
    pub fn html(&self) -> String {
        View {
            links: links(),
            place: Place::Settings,
            page: self,
        }
        .render()
        .expect("writing to a string does not fail")
    }

    /// The words that a line of the page says with what was typed into it; `None` for a line that is not there, or for
    /// nothing typed.
    pub fn words(book: &Book, id: &str, value: &str) -> Option<String> {
        let value: String = value.trim().chars().take(fits(id)).collect();
        let value = match TEXTS.contains(&id) {
            true => value.as_str(),
            false => value.trim_start_matches('$').trim_end_matches('%').trim(),
        };
        if value.is_empty() {
            return emptied(book, id);
        }
        if value.contains(char::is_control) {
            return None;
        }
        if let Some(Figure(_, _, _, words, _)) = FIGURES.iter().find(|Figure(known, ..)| *known == id) {
            return Some(words.replace("{}", value));
        }
        if id == "new" {
            return Some(format!("new service {value}"));
        }
        let (index, place) = id.strip_prefix("class-")?.split_once('-')?;
        let services = book.services();
        let service = services.get(index.parse::<usize>().ok()?)?;
        let size = service.classes.get(place.parse::<usize>().ok()?)?.size.as_deref();
        let name = class(&service.name, size);
        Some(match service.unit {
            Unit::Each | Unit::Job => format!("{name} {value} min"),
            unit => format!("{name} {value} min {}", per(unit)),
        })
    }
}

/// Letters that fit on a line of the page.
fn fits(id: &str) -> usize {
    if TEXTS.contains(&id) {
        TEXT_CHARS_MAX
    } else {
        VALUE_CHARS_MAX
    }
}

/// The words that switch a figure off which is on and was emptied.
fn emptied(book: &Book, id: &str) -> Option<String> {
    let Figure(.., of) = FIGURES.iter().find(|Figure(known, ..)| *known == id)?;
    of(book.settings())?;
    let (_, words) = OFF.iter().find(|(known, _)| *known == id)?;
    Some((*words).to_string())
}

fn class_lines(index: usize, service: &Service) -> Vec<Line> {
    let classes = service.classes.iter().enumerate();
    classes
        .map(|(place, class_of)| {
            let fixed = class_of
                .price_each
                .map(|price| format!("; ${} {}", data::cents(price.get()), per(service.unit)));
            let material = class_of
                .material_each
                .map(|price| format!("; material ${}", data::cents(price.get())));
            let from = match class_of.basis {
                Basis::Starter => ", starter guess",
                _ => "",
            };
            Line {
                id: format!("class-{index}-{place}"),
                label: class(&service.name, class_of.size.as_deref()),
                hint: format!(
                    "man-minutes {}{from}{}{}",
                    per(service.unit),
                    fixed.unwrap_or_default(),
                    material.unwrap_or_default()
                ),
                value: class_of.minutes_each.map(|time| number(time.get())).unwrap_or_default(),
                fits: VALUE_CHARS_MAX,
                text: false,
            }
        })
        .collect()
}
