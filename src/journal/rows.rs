//! The stored projection: a copy of the state as rows, so that a rebuild can be compared with it.
//!
//! Rows hold what was said, not the starter figures that every book begins with. A step tells which rows it can have
//! changed, from its facts and from what the two states do not share, so that writing them costs the same in any book.

use std::collections::BTreeSet;

use super::{
    book::place_key,
    course::ClassName,
    event::{Event, Recorded},
    state::State,
    stored::{
        calendar_row, client_link_row, place_row, quote_row, service_row, settings_row, sight_row, talk_row, times_row,
    },
};
use crate::units::{MemberId, QuoteNo};

/// A row of the stored projection.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct ProjectionRow {
    /// The part of the state.
    pub table: &'static str,
    /// Which one of it.
    pub key: String,
    /// What it holds, as JSON; the same text for the same state.
    pub json: String,
}

/// A row that may be another than before.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RowChange {
    /// The part of the state.
    pub table: &'static str,
    /// Which one of it.
    pub key: String,
    /// What it holds now, as JSON; `None` when it is gone.
    pub json: Option<String>,
}

/// A row by name.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
enum Key {
    Settings,
    Service(String),
    Place(String),
    Quote(QuoteNo),
    ClientLink(String),
    Calendar(String),
    Sight,
    Quoting,
    Talk(MemberId),
    Times(ClassName),
}

impl State {
    /// All rows, in a fixed order.
    pub fn rows(&self) -> Vec<ProjectionRow> {
        let book = self.book();
        let mut keys = BTreeSet::new();
        if book.figures_said {
            keys.insert(Key::Settings);
        }
        keys.extend(
            book.services
                .values()
                .filter(|service| service.touched)
                .map(|service| Key::Service(service.name.clone())),
        );
        keys.extend(book.places.keys().map(|key| Key::Place(key.clone())));
        keys.extend(book.quotes.keys().map(|no| Key::Quote(*no)));
        keys.extend(book.client_links.keys().map(|hash| Key::ClientLink(hash.clone())));
        keys.extend(book.calendars.keys().map(|hash| Key::Calendar(hash.clone())));
        if book.sight.said {
            keys.insert(Key::Sight);
        }
        if book.quoting.said {
            keys.insert(Key::Quoting);
        }
        keys.extend(self.talks().map(|(member, _)| Key::Talk(member)));
        keys.extend(book.courses.keys().cloned().map(Key::Times));
        self.rows_of(&keys)
    }

    /// The rows in which this state, which took in these facts, can differ from the one before them. `None` when only
    /// comparing all rows can tell: something was taken back that the state before did not remember.
    pub fn changes_since(&self, before: &State, recorded: &[Recorded]) -> Option<Vec<RowChange>> {
        let mut facts: Vec<&Recorded> = Vec::new();
        for fact in recorded {
            match &fact.event {
                Event::Undone { causes } if causes.is_empty() => {}
                Event::Undone { causes } => facts.extend(before.facts_since(causes)?),
                _ => facts.push(fact),
            }
        }
        let mut keys = BTreeSet::new();
        for fact in facts {
            touched(fact, &mut keys);
            // A new address of a member ends the earlier ones.
            let of = match fact.event {
                Event::CalendarOpened { .. } => Some(fact.member),
                Event::CalendarShut { member } => Some(member.unwrap_or(fact.member)),
                _ => None,
            };
            for book in [self.book(), before.book()] {
                let hashes = of.into_iter().flat_map(|member| book.calendars_of(member));
                keys.extend(hashes.cloned().map(Key::Calendar));
            }
        }
        // A figure or a job of one class can move the sums of others that were done with it.
        if !self.book().has_learned_the_same(before.book()) {
            for (one, other) in [(self.book(), before.book()), (before.book(), self.book())] {
                let moved = one.courses.keys().filter(|class| !one.same_statistics(other, class));
                keys.extend(moved.cloned().map(Key::Times));
            }
        }
        Some(keys.iter().map(|key| self.change(key)).collect())
    }

    fn change(&self, key: &Key) -> RowChange {
        let (table, name) = key.name();
        RowChange {
            table,
            key: name,
            json: self.json(key),
        }
    }

    fn rows_of(&self, keys: &BTreeSet<Key>) -> Vec<ProjectionRow> {
        let row = |key| {
            let (table, name) = Key::name(key);
            Some(ProjectionRow {
                table,
                key: name,
                json: self.json(key)?,
            })
        };
        keys.iter().filter_map(row).collect()
    }

    /// What a row holds; `None` when there is none.
    fn json(&self, key: &Key) -> Option<String> {
        let book = self.book();
        Some(match key {
            Key::Settings => settings_row(book.figures_said.then_some(&book.settings)?),
            Key::Service(name) => service_row(book.services.get(name).filter(|service| service.touched)?),
            Key::Place(key) => place_row(book.places.get(key)?),
            Key::Quote(no) => quote_row(book.quotes.get(no)?),
            Key::ClientLink(hash) => client_link_row(*book.client_links.get(hash)?),
            Key::Calendar(hash) => calendar_row(book.calendars.get(hash)?),
            Key::Sight => sight_row(book.sight.said.then_some(&book.sight)?),
            Key::Quoting => sight_row(book.quoting.said.then_some(&book.quoting)?),
            Key::Times(class) => {
                book.courses.get(class)?;
                times_row(&book.statistics(class)?)
            }
            Key::Talk(member) => talk_row(self.talk_of(*member)?),
        })
    }
}

impl Key {
    /// The part of the state, and which one of it.
    fn name(&self) -> (&'static str, String) {
        match self {
            Key::Settings => ("settings", "account".to_string()),
            Key::Sight => ("settings", "sight".to_string()),
            Key::Quoting => ("settings", "quoting".to_string()),
            Key::Service(name) => ("services", name.clone()),
            Key::Place(key) => ("places", key.clone()),
            Key::Quote(no) => ("quotes", no.to_string()),
            Key::ClientLink(hash) => ("client_links", hash.clone()),
            Key::Calendar(hash) => ("calendars", hash.clone()),
            Key::Times(class) => ("times", class_text(class)),
            Key::Talk(member) => ("talks", member.get().to_string()),
        }
    }
}

/// A class as a key: the kind, and the size after a comma.
fn class_text((service, size): &ClassName) -> String {
    match size {
        Some(size) => format!("{service}, {size}"),
        None => service.clone(),
    }
}

fn touched(recorded: &Recorded, keys: &mut BTreeSet<Key>) {
    match &recorded.event {
        Event::SettingGiven(_) => {
            keys.insert(Key::Settings);
        }
        Event::ServicePriced(said) => {
            keys.insert(Key::Service(said.service.clone()));
        }
        Event::PlaceNamed { name } => {
            keys.insert(Key::Place(place_key(name)));
        }
        Event::QuoteGiven { no, .. }
        | Event::QuoteRevised { no, .. }
        | Event::QuoteWon { no, .. }
        | Event::QuoteLost { no, .. }
        | Event::JobPlanned { no, .. }
        | Event::PaymentTaken { no, .. }
        | Event::RestLetGo { no, .. }
        | Event::CrewChanged { no, .. }
        | Event::ClockCorrected { no, .. }
        | Event::WorkStarted { no, .. }
        | Event::WorkPaused { no, .. }
        | Event::WorkResumed { no, .. }
        | Event::ExtraBilled { no, .. }
        | Event::ClientLinksShut { no }
        | Event::ClientAccepted { no, .. }
        | Event::ClientAsked { no, .. } => {
            keys.insert(Key::Quote(*no));
        }
        Event::ClientLinkGiven { no, hash, .. } => {
            keys.insert(Key::Quote(*no));
            keys.insert(Key::ClientLink(hash.clone()));
        }
        Event::JobFinished(finished) => {
            keys.insert(Key::Quote(finished.no));
            keys.extend(
                finished
                    .done
                    .iter()
                    .map(|line| Key::Times((line.service.clone(), line.size.clone()))),
            );
        }
        Event::UnitsTimed { service, size, .. } | Event::MinutesKept { service, size, .. } => {
            keys.insert(Key::Times((service.clone(), size.clone())));
        }
        Event::NoteKept { no, place, .. } | Event::FileKept { no, place, .. } => {
            keys.extend(no.map(Key::Quote));
            keys.extend(place.as_deref().map(|name| Key::Place(place_key(name))));
        }
        Event::PricesShown { .. } => _ = keys.insert(Key::Sight),
        Event::QuotingAllowed { .. } => _ = keys.insert(Key::Quoting),
        Event::PlaceCautionKept { place, .. } => {
            keys.insert(Key::Place(place_key(place)));
        }
        Event::CalendarOpened { .. }
        | Event::CalendarShut { .. }
        | Event::CautionGiven { .. }
        | Event::GuideShown { .. }
        | Event::MessageHeard { .. }
        | Event::WhatIfShown { .. }
        | Event::QuestionAsked(_)
        | Event::QuestionClosed
        | Event::ServiceMentioned { .. }
        | Event::QuoteShown { .. }
        | Event::Undone { .. }
        | Event::Unknown { .. } => {}
    }
    keys.insert(Key::Talk(recorded.member));
}
