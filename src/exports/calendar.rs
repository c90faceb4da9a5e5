//! What is planned as a calendar to subscribe to, as RFC 5545 has it.
//!
//! A job is an event from its start for as long as the crew is expected to need, in UTC, so that no time zone has to be
//! described in the file. The ids of events stay the same and their revisions only grow, so that a calendar moves a job
//! that moved and drops one that was lost. Prices are in it only for who may see them. What lies more than a year back is
//! left out: a phone fetches all of it every time.

use chrono::{DateTime, TimeDelta, Utc};
use icalendar::{Calendar, Component, Event, EventLike, EventStatus, Property};
use rust_decimal::prelude::ToPrimitive;

use crate::{
    journal::{QuoteEntry, State, Status},
    pricing,
    units::{Timestamp, Unit},
};

/// Shortest event, in minutes: what is shorter cannot be tapped.
const SHORTEST_MIN: i64 = 15;

/// Seconds back from now that events are shown.
const BACK_S: i64 = 366 * 24 * 3600;

/// Whether the reader may see prices.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Prices {
    /// They may.
    Shown,
    /// They may not.
    Hidden,
}

/// The calendar of a book. `owner` is a word that no other book has, for the ids of the events.
pub fn calendar(state: &State, owner: &str, prices: Prices, now: Timestamp) -> String {
    let book = state.book();
    let mut calendar = Calendar::empty();
    calendar.append_property(("VERSION", "2.0"));
    calendar.append_property(("PRODID", "-//Tallyhand//yard jobs//EN"));
    calendar.append_property(("CALSCALE", "GREGORIAN"));
    calendar.append_property(("METHOD", "PUBLISH"));
    let name = book.settings().business_name.as_deref().unwrap_or("Yard jobs");
    calendar.name(name);
    // How often to look again: RFC 7986, section 5.7, and the older property that phones know.
    let mut every = Property::new("REFRESH-INTERVAL", "PT30M");
    every.add_parameter("VALUE", "DURATION");
    calendar.append_property(every);
    calendar.append_property(("X-PUBLISHED-TTL", "PT30M"));
    let shown = |at: Timestamp| now.unix_seconds() - at.unix_seconds() <= BACK_S;
    let mut planned: Vec<&QuoteEntry> = book
        .quotes_newest_first()
        .filter(|entry| entry.planned.is_some_and(shown) && entry.status != Status::Lost)
        .collect();
    planned.sort_by_key(|entry| (entry.planned, entry.planned_order));
    for entry in planned {
        if let Some(event) = event(entry, state.day_revision(entry.no), owner, prices) {
            calendar.push(event);
        }
    }
    calendar.to_string()
}

fn event(entry: &QuoteEntry, revision: u32, owner: &str, prices: Prices) -> Option<Event> {
    let start: DateTime<Utc> = entry.planned?.utc();
    let priced = pricing::quote(&entry.sheet).ok()?;
    let minutes = priced.elapsed_minutes.get().ceil().to_i64().unwrap_or(SHORTEST_MIN);
    let work: Vec<String> = priced.lines.iter().map(counted).collect();
    let place = entry.place.clone().unwrap_or_else(|| format!("quote {}", entry.no));
    let mut told = vec![work.join(", "), format!("crew {}", entry.crew().get())];
    told.extend(entry.notes.iter().cloned());
    if prices == Prices::Shown {
        told.push(format!("${}", entry.price().get()));
    }
    let mut event = Event::new();
    event
        .uid(&format!("quote-{}-{}@{owner}", entry.no, entry.given_at.unix_seconds()))
        .timestamp(entry.planned_at.unwrap_or(entry.priced_at).max(entry.priced_at).utc())
        .sequence(revision)
        .summary(&format!("{place}: {}", work.join(", ")))
        .description(&told.join("\n"))
        .starts(start)
        .ends(start + TimeDelta::minutes(minutes.max(SHORTEST_MIN)));
    if let Some(place) = &entry.place {
        event.location(place);
    }
    event.status(match entry.status {
        Status::Open => EventStatus::Tentative,
        _ => EventStatus::Confirmed,
    });
    Some(event.done())
}

fn counted(line: &pricing::QuoteLine) -> String {
    let size = line.size.as_ref().map(|size| format!(" {size}")).unwrap_or_default();
    let quantity = line.quantity.get().normalize();
    match line.unit {
        Unit::Job => line.service.clone(),
        Unit::Each => format!("{quantity} {}{size}", line.service),
        unit => format!("{quantity} {} {}{size}", unit.name(), line.service),
    }
}
