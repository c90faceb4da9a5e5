//! The stored projection: a copy of the state as rows, so that a rebuild can be compared with it.
//!
//! Rows hold what was said, not the starter figures that every book begins with. A row is never taken away by a step;
//! only taking a message back does that, and then the whole projection is rebuilt.

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

    /// The rows that these facts, just taken in, can have changed. Facts that take others back are not among them: after
    /// those all rows are to be compared.
    pub fn rows_touched(&self, recorded: &[Recorded]) -> Vec<ProjectionRow> {
        let mut keys = BTreeSet::new();
        for recorded in recorded {
            touched(recorded, &mut keys);
            // A new address of a member ends the earlier ones.
            let of = match recorded.event {
                Event::CalendarOpened { .. } => Some(recorded.member),
                Event::CalendarShut { member } => Some(member.unwrap_or(recorded.member)),
                _ => None,
            };
            let hashes = of.into_iter().flat_map(|member| self.book().calendars_of(member));
            keys.extend(hashes.map(|hash| Key::Calendar(hash.clone())));
            let learns = matches!(
                recorded.event,
                Event::ServicePriced(_)
                    | Event::SettingGiven(_)
                    | Event::JobFinished(_)
                    | Event::UnitsTimed { .. }
                    | Event::MinutesKept { .. }
            );
            if learns {
                // What a job teaches of one class gives its kind a file, in which the sums of all its classes lie.
                keys.extend(self.book().courses.keys().cloned().map(Key::Times));
            }
        }
        self.rows_of(&keys)
    }

    fn rows_of(&self, keys: &BTreeSet<Key>) -> Vec<ProjectionRow> {
        keys.iter().filter_map(|key| self.row(key)).collect()
    }

    fn row(&self, key: &Key) -> Option<ProjectionRow> {
        let book = self.book();
        let (table, key, json) = match key {
            Key::Settings => ("settings", "account".to_string(), settings_row(&book.settings)),
            Key::Service(name) => ("services", name.clone(), service_row(book.services.get(name)?)),
            Key::Place(key) => ("places", key.clone(), place_row(book.places.get(key)?)),
            Key::Quote(no) => ("quotes", no.to_string(), quote_row(book.quotes.get(no)?)),
            Key::ClientLink(hash) => (
                "client_links",
                hash.clone(),
                client_link_row(*book.client_links.get(hash)?),
            ),
            Key::Calendar(hash) => ("calendars", hash.clone(), calendar_row(book.calendars.get(hash)?)),
            Key::Sight => ("settings", "sight".to_string(), sight_row(&book.sight)),
            Key::Quoting => ("settings", "quoting".to_string(), sight_row(&book.quoting)),
            Key::Times(class) => ("times", class_text(class), times_row(&book.statistics(class)?)),
            Key::Talk(member) => ("talks", member.get().to_string(), talk_row(self.talk_of(*member)?)),
        };
        Some(ProjectionRow { table, key, json })
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
