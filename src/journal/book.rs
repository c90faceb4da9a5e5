//! The book of one account as it stands: figures, price list, quotes and jobs, places.
//!
//! Its maps share what did not change between one step and the next, so a copy costs next to nothing and the state
//! before a message can be kept. Every fact is taken in without failing: one that speaks of a quote that is not there
//! (its message was taken back) changes nothing.

use std::sync::Arc;

use imbl::{OrdMap, OrdSet, Vector};

use super::{
    course::{ClassName, CoursePoint},
    event::{Event, JobFinished, Recorded},
    learning,
    price_list::{Service, ServiceSet},
    quotes::{Client, ClientLink, Finish, Loss, Payment, QuoteEntry, Status},
    settings::{SettingSet, Settings},
    starter,
};
use crate::{
    pricing::Sheet,
    timing::model::TimeModel,
    units::{Crew, FileId, Money, QuoteNo, RatePerManHour, Timestamp, Unit},
};

/// The book of one account.
#[derive(Debug, Clone, PartialEq)]
pub struct Book {
    pub(super) settings: Arc<Settings>,
    /// Some figure was said, so there is a row of them from then on.
    pub(super) figures_said: bool,
    pub(super) services: OrdMap<String, Arc<Service>>,
    pub(super) quotes: OrdMap<QuoteNo, Arc<QuoteEntry>>,
    /// Those of them with a crew on the job, so that a finish need not look through all.
    on_job: OrdSet<QuoteNo>,
    pub(super) places: OrdMap<String, Arc<Place>>,
    /// Which quote each client link is of, by the hash of its secret.
    pub(super) client_links: OrdMap<String, QuoteNo>,
    pub(super) times: Arc<TimeModel>,
    /// How many jobs and sittings the time model has learned from.
    pub(super) taught: u32,
    /// What was measured of each class, oldest first.
    pub(super) courses: OrdMap<ClassName, Vector<CoursePoint>>,
}

/// A place where work is done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// As first written.
    pub name: String,
    /// Words kept with it.
    pub notes: Vec<String>,
    /// Photos and other files kept with it.
    pub files: Vec<FileId>,
}

/// What identifies a place: its name without regard to letter case.
pub(super) fn place_key(name: &str) -> String {
    name.to_lowercase()
}

impl Book {
    /// A book in which nothing was said yet: the starter price list.
    pub(super) fn new() -> Self {
        Book {
            settings: Arc::default(),
            figures_said: false,
            services: starter::services(),
            quotes: OrdMap::new(),
            on_job: OrdSet::new(),
            places: OrdMap::new(),
            client_links: OrdMap::new(),
            times: learning::new_model(),
            taught: 0,
            courses: OrdMap::new(),
        }
    }

    /// The figures of the account.
    pub fn settings(&self) -> &Settings {
        &self.settings
    }

    /// The rate that quotes use until something else is said: the owner's, else the starter rate.
    pub fn rate(&self) -> RatePerManHour {
        self.settings.rate.unwrap_or_else(starter::rate)
    }

    /// A kind of the price list.
    pub fn service(&self, name: &str) -> Option<&Service> {
        self.services.get(name).map(Arc::as_ref)
    }

    /// The price list in its own order.
    pub fn services(&self) -> Vec<&Service> {
        let mut list: Vec<&Service> = self.services.values().map(Arc::as_ref).collect();
        list.sort_by_key(|service| service.order);
        list
    }

    /// A quote.
    pub fn quote(&self, no: QuoteNo) -> Option<&QuoteEntry> {
        self.quotes.get(&no).map(Arc::as_ref)
    }

    /// The quotes, newest first.
    pub fn quotes_newest_first(&self) -> impl Iterator<Item = &QuoteEntry> {
        self.quotes.values().rev().map(Arc::as_ref)
    }

    /// The quotes with a crew on the job, at work or pausing, newest first.
    pub fn on_job(&self) -> impl Iterator<Item = &QuoteEntry> {
        self.on_job.iter().rev().filter_map(|no| self.quote(*no))
    }

    /// The number of the next quote.
    pub fn next_quote_no(&self) -> QuoteNo {
        QuoteNo::new(self.quotes.get_max().map_or(1, |(no, _)| no.get().saturating_add(1)))
    }

    /// The quote that a client link is of, by the hash of its secret; `None` when it is unknown or was shut.
    pub fn quote_of_client_link(&self, hash: &str) -> Option<(&QuoteEntry, &ClientLink)> {
        let entry = self.quote(*self.client_links.get(hash)?)?;
        let link = entry.client.links.iter().find(|link| link.hash == hash)?;
        (!link.shut).then_some((entry, link))
    }

    /// A place by its name.
    pub fn place(&self, name: &str) -> Option<&Place> {
        self.places.get(&place_key(name)).map(Arc::as_ref)
    }

    /// The places by name.
    pub fn places(&self) -> impl Iterator<Item = &Place> {
        self.places.values().map(Arc::as_ref)
    }

    /// Takes in a fact.
    pub(super) fn apply(&mut self, recorded: &Recorded) {
        match &recorded.event {
            Event::SettingGiven(figure) => self.set_figure(figure),
            Event::ServicePriced(said) => self.set_service(said),
            Event::PlaceNamed { name } => self.name_place(name),
            Event::QuoteGiven {
                no,
                place,
                sheet,
                total,
            } => {
                let entry = QuoteEntry::given(recorded, *no, place.clone(), sheet.clone(), *total);
                self.quotes.insert(*no, Arc::new(entry));
            }
            Event::QuoteRevised {
                no,
                place,
                sheet,
                total,
            } => self.change(*no, |quote| {
                quote.revise(place.clone(), sheet.clone(), *total);
            }),
            Event::QuoteWon { no, agreed } => self.change(*no, |quote| quote.win(*agreed)),
            Event::QuoteLost { no, reason, price } => self.change(*no, |quote| {
                quote.status = Status::Lost;
                quote.lost = Some(Loss {
                    reason: reason.clone(),
                    price: *price,
                });
            }),
            Event::JobPlanned { no, start } => self.change(*no, |quote| quote.planned = Some(*start)),
            Event::PaymentTaken { no, amount, method } => self.change(*no, |quote| {
                quote.payments.push(Payment {
                    amount: *amount,
                    method: method.clone(),
                    at: recorded.at,
                });
            }),
            Event::WorkStarted { no, at, crew } => self.change(*no, |quote| quote.start_clock(*at, *crew)),
            Event::WorkPaused { no, at } => self.change(*no, |quote| quote.pause_clock(*at)),
            Event::WorkResumed { no, at } => self.change(*no, |quote| quote.start_clock(*at, None)),
            Event::JobFinished(finished) => self.finish_job(finished, recorded.at),
            Event::ExtraBilled { no, amount, agreed } => self.change(*no, |quote| quote.bill_extra(*amount, *agreed)),
            Event::NoteKept { no, place, text } => self.keep_note(*no, place.as_deref(), text),
            Event::FileKept { no, place, file, .. } => self.keep_file(*no, place.as_deref(), file),
            Event::ClientLinkGiven { no, .. }
            | Event::ClientLinksShut { no }
            | Event::ClientAccepted { no, .. }
            | Event::ClientAsked { no, .. } => self.hear_client(*no, recorded),
            Event::UnitsTimed {
                service,
                size,
                readings,
            } => self.teach_readings(service, size.as_deref(), readings, recorded.at),
            Event::MinutesKept { service, size, keep } => self.keep_minutes(service, size.as_deref(), *keep),
            Event::MessageHeard { .. }
            | Event::WhatIfShown { .. }
            | Event::QuestionAsked(_)
            | Event::QuestionClosed
            | Event::ServiceMentioned { .. }
            | Event::QuoteShown { .. }
            | Event::Undone { .. }
            | Event::Unknown { .. } => {}
        }
    }

    /// What goes between us and the client of a quote.
    fn hear_client(&mut self, no: QuoteNo, recorded: &Recorded) {
        if let Event::ClientLinkGiven { hash, .. } = &recorded.event {
            self.client_links.insert(hash.clone(), no);
        }
        self.change(no, |quote| quote.hear_client(recorded));
    }

    fn finish_job(&mut self, finished: &JobFinished, at: Timestamp) {
        self.change(finished.no, |quote| quote.finish(finished));
        self.teach_job(finished, at);
    }

    fn set_figure(&mut self, figure: &SettingSet) {
        self.figures_said = true;
        Arc::make_mut(&mut self.settings).set(figure);
        if matches!(figure, SettingSet::SetUp(_)) {
            self.settle_set_up();
        }
    }

    fn set_service(&mut self, said: &ServiceSet) {
        let order = self.services.len();
        let entry = self.services.entry(said.service.clone()).or_insert_with(|| {
            Arc::new(Service {
                name: said.service.clone(),
                said: Vec::new(),
                unit: Unit::Each,
                rate: None,
                classes: Vec::new(),
                takes_material: false,
                order,
                touched: true,
            })
        });
        Arc::make_mut(entry).set(said);
        self.teach_figure(said);
    }

    fn name_place(&mut self, name: &str) {
        self.places.entry(place_key(name)).or_insert_with(|| {
            Arc::new(Place {
                name: name.to_string(),
                notes: Vec::new(),
                files: Vec::new(),
            })
        });
    }

    fn keep_note(&mut self, no: Option<QuoteNo>, place: Option<&str>, text: &str) {
        if let Some(no) = no {
            self.change(no, |quote| quote.notes.push(text.to_string()));
        }
        if let Some(place) = place.and_then(|name| self.places.get_mut(&place_key(name))) {
            Arc::make_mut(place).notes.push(text.to_string());
        }
    }

    fn keep_file(&mut self, no: Option<QuoteNo>, place: Option<&str>, file: &FileId) {
        if let Some(no) = no {
            self.change(no, |quote| quote.files.push(file.clone()));
        }
        if let Some(place) = place.and_then(|name| self.places.get_mut(&place_key(name))) {
            Arc::make_mut(place).files.push(file.clone());
        }
    }

    fn change(&mut self, no: QuoteNo, change: impl FnOnce(&mut QuoteEntry)) {
        if let Some(quote) = self.quotes.get_mut(&no) {
            change(Arc::make_mut(quote));
            if quote.status.is_running() {
                self.on_job.insert(no);
            } else {
                self.on_job.remove(&no);
            }
        }
    }
}

impl QuoteEntry {
    fn given(recorded: &Recorded, no: QuoteNo, place: Option<String>, sheet: Sheet, total: Money) -> Self {
        QuoteEntry {
            no,
            place,
            given_at: recorded.at,
            given_by: recorded.member,
            sheet,
            total,
            status: Status::Open,
            agreed: None,
            planned: None,
            clock: None,
            payments: Vec::new(),
            finish: None,
            lost: None,
            notes: Vec::new(),
            files: Vec::new(),
            client: Client::default(),
        }
    }

    /// A price agreed goes with the quote; extra work that was billed on top of it stays on top.
    fn revise(&mut self, place: Option<String>, sheet: Sheet, total: Money) {
        let on_top = self.agreed.and_then(|agreed| agreed.checked_sub(self.total).ok());
        self.agreed = on_top.map(|on_top| total.checked_add(on_top).unwrap_or(total));
        self.place = place;
        self.sheet = sheet;
        self.total = total;
    }

    pub(super) fn win(&mut self, agreed: Money) {
        if matches!(self.status, Status::Open | Status::Lost) {
            self.status = Status::Won;
        }
        self.lost = None;
        self.agreed = Some(agreed);
    }

    fn start_clock(&mut self, at: Timestamp, crew: Option<Crew>) {
        self.status = Status::Here;
        let clock = self.clock.get_or_insert_default();
        clock.crew = crew.or(clock.crew);
        clock.start(at);
    }

    fn pause_clock(&mut self, at: Timestamp) {
        self.status = Status::Paused;
        self.clock.get_or_insert_default().stop(at);
    }

    fn finish(&mut self, finished: &JobFinished) {
        if let Some(clock) = &mut self.clock {
            clock.stop(finished.ended);
        }
        self.status = Status::Done;
        self.agreed = Some(finished.agreed);
        self.finish = Some(Finish {
            ended: finished.ended,
            crew: finished.crew,
            man_minutes: finished.man_minutes,
            range: finished.range,
            done: finished.done.clone(),
            extra: finished.extra,
            billed: Money::ZERO,
        });
    }

    fn bill_extra(&mut self, amount: Money, agreed: Money) {
        let Some(finish) = &mut self.finish else { return };
        finish.extra = Money::ZERO;
        finish.billed = amount;
        self.agreed = Some(agreed);
    }
}
