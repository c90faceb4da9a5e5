//! The book of one account as it stands: figures, price list, quotes and jobs, places.
//!
//! Its maps share what did not change between one step and the next, so a copy costs next to nothing and the state
//! before a message can be kept. Every fact is taken in without failing: one that speaks of a quote that is not there
//! (its message was taken back) changes nothing.

use std::sync::{Arc, LazyLock};

use imbl::{OrdMap, OrdSet, Vector};

use super::{
    cards::{self, Card, Copied},
    clock::Told,
    course::{ClassName, CoursePoint},
    diary::{Diary, Moments},
    event::{Event, JobFinished, Recorded},
    index::{Index, Marks, Within},
    learning,
    names::Names,
    price_list::{Service, ServiceSet},
    question::Hole,
    quotes::{Client, ClientLink, Finish, Loss, Payment, QuoteEntry, Status, Worth},
    readers::{CalendarLink, Sight},
    settings::{SettingSet, Settings},
    shares::Share,
    starter,
};
use crate::{
    pricing::Sheet,
    timing::model::TimeModel,
    units::{FileId, MemberId, Money, QuoteNo, RatePerManHour, Timestamp, Unit},
};

/// The book of one account.
#[derive(Debug, Clone, PartialEq)]
pub struct Book {
    pub(super) settings: Arc<Settings>,
    /// Some figure was said, so there is a row of them from then on.
    pub(super) figures_said: bool,
    pub(super) services: OrdMap<String, Arc<Service>>,
    pub(super) quotes: OrdMap<QuoteNo, Arc<QuoteEntry>>,
    /// The same by what they are looked for by.
    pub(super) index: Index,
    /// What happened to them when, for reports.
    pub(super) diary: Diary,
    /// What is looked at when all are looked through.
    pub(super) cards: OrdMap<QuoteNo, Card>,
    /// The names on both.
    pub(super) names: Names,
    pub(super) places: OrdMap<String, Arc<Place>>,
    /// Which quote each client link is of, by the hash of its secret.
    pub(super) client_links: OrdMap<String, QuoteNo>,
    /// Private addresses of the calendar, by the hash of their secret.
    pub(super) calendars: OrdMap<String, CalendarLink>,
    /// Who of the crew sees prices.
    pub(super) sight: Arc<Sight>,
    pub(super) quoting: Arc<Sight>,
    pub(super) times: Arc<TimeModel>,
    /// How many jobs and sittings the time model has learned from.
    pub(super) taught: u32,
    /// Cautions given: for which job, to whom, which.
    pub(super) cautions: OrdSet<(QuoteNo, MemberId, String)>,
    /// State and zone were asked for.
    pub(super) region_asked: bool,
    /// The last frost was asked for.
    pub(super) frost_asked: bool,
    /// What was measured of each class, oldest first.
    pub(super) courses: OrdMap<ClassName, Vector<CoursePoint>>,
}

/// A place where work is done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// As first written.
    pub name: String,
    /// How many places were named before it.
    pub(super) order: usize,
    /// Words kept with it.
    pub notes: Vec<String>,
    /// Photos and other files kept with it.
    pub files: Vec<FileId>,
    /// What whoever comes here is to be told, in the owner's words.
    pub cautions: Vec<String>,
}

/// Whether a finish teaches the time model.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Teaches {
    /// It does.
    Yes,
    /// Its time was put right later.
    No,
}

/// What identifies a place: its name without regard to letter case.
pub(super) fn place_key(name: &str) -> String {
    name.to_lowercase()
}

impl Book {
    /// A book in which nothing was said yet: the starter price list.
    pub(super) fn new() -> Self {
        // Every account begins with the same list, and shares it until it says something else.
        static BLANK: LazyLock<Book> = LazyLock::new(Book::blank);
        BLANK.clone()
    }

    fn blank() -> Self {
        Book {
            settings: Arc::default(),
            figures_said: false,
            services: starter::services(),
            quotes: OrdMap::new(),
            index: Index::default(),
            diary: Diary::default(),
            cards: OrdMap::new(),
            names: Names::default(),
            places: OrdMap::new(),
            client_links: OrdMap::new(),
            calendars: OrdMap::new(),
            sight: Arc::default(),
            quoting: Arc::default(),
            times: learning::new_model(),
            taught: 0,
            cautions: OrdSet::new(),
            region_asked: false,
            frost_asked: false,
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
        self.within(Within::Of(&[Status::Here, Status::Paused]))
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

    /// Whether a caution was given to a member for a job.
    pub fn was_cautioned(&self, no: QuoteNo, member: MemberId, code: &str) -> bool {
        self.cautions.contains(&(no, member, code.to_string()))
    }

    /// The cautions given for a job, to whomever.
    pub fn cautions_of(&self, no: QuoteNo) -> impl Iterator<Item = &str> {
        let of_job = self.cautions.iter().filter(move |(job, ..)| *job == no);
        of_job.map(|(_, _, code)| code.as_str())
    }

    /// Whether state and zone were asked for.
    pub fn asked_region(&self) -> bool {
        self.region_asked
    }

    /// Whether the last frost was asked for.
    pub fn asked_frost(&self) -> bool {
        self.frost_asked
    }

    /// Takes in a fact.
    pub(super) fn apply(&mut self, recorded: &Recorded, teaches: Teaches) {
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
                self.put(QuoteEntry::given(recorded, *no, place.clone(), sheet.clone(), *total));
            }
            Event::QuoteRevised {
                no,
                place,
                sheet,
                total,
            } => self.change(*no, |quote| {
                quote.priced_at = recorded.at;
                quote.revise(place.clone(), sheet.clone(), *total);
            }),
            Event::QuoteWon { no, .. } | Event::QuoteLost { no, .. } => {
                self.change(*no, |quote| quote.decide(recorded));
            }
            Event::JobPlanned { no, start } => self.change(*no, |quote| quote.plan(*start, recorded)),
            Event::PaymentTaken { no, amount, method } => {
                let (amount, method, at) = (*amount, method.clone(), recorded.at);
                self.change(*no, |quote| quote.payments.push(Payment { amount, method, at }));
            }
            Event::CalendarOpened { .. }
            | Event::CalendarShut { .. }
            | Event::PricesShown { .. }
            | Event::QuotingAllowed { .. } => self.hear_of_readers(recorded),
            Event::RestLetGo { no, amount } => self.change(*no, |quote| quote.let_go_of(*amount)),
            Event::WorkStarted { no, .. }
            | Event::WorkPaused { no, .. }
            | Event::WorkResumed { no, .. }
            | Event::CrewChanged { no, .. }
            | Event::ClockCorrected { no, .. } => self.change(*no, |quote| quote.take_clock(recorded)),
            Event::JobFinished(finished) => self.finish_job(finished, recorded.at, teaches),
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
            Event::PlaceCautionKept { .. } | Event::CautionGiven { .. } | Event::QuestionAsked(_) => {
                self.hear_of_cautions(recorded);
            }
            Event::MessageHeard { .. }
            | Event::WhatIfShown { .. }
            | Event::GuideShown { .. }
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

    fn finish_job(&mut self, finished: &JobFinished, told: Timestamp, teaches: Teaches) {
        self.change(finished.no, |quote| {
            quote.decided_at.get_or_insert(told);
            quote.finish(finished);
        });
        if teaches == Teaches::Yes {
            self.teach_job(finished, told);
        }
    }

    /// Keeps who may see what from outside the talk.
    fn hear_of_readers(&mut self, recorded: &Recorded) {
        match &recorded.event {
            Event::CalendarOpened { hash } => self.open_calendar(recorded.member, hash),
            Event::CalendarShut { member } => self.shut_calendar(member.unwrap_or(recorded.member)),
            Event::PricesShown { name, show } => Arc::make_mut(&mut self.sight).say(name.as_deref(), *show),
            Event::QuotingAllowed { name, allow } => Arc::make_mut(&mut self.quoting).say(name.as_deref(), *allow),
            _ => {}
        }
    }

    /// Keeps what belongs to cautions: those given, the owner's own, and what was asked for the guide's sake.
    fn hear_of_cautions(&mut self, recorded: &Recorded) {
        match &recorded.event {
            Event::PlaceCautionKept { place, text } => {
                if let Some(place) = self.places.get_mut(&place_key(place)) {
                    Arc::make_mut(place).cautions.push(text.clone());
                }
            }
            Event::CautionGiven { no, code, .. } => {
                self.cautions.extend(no.map(|no| (no, recorded.member, code.clone())));
            }
            Event::QuestionAsked(question) => {
                self.region_asked |= question.slot.hole == Hole::Region;
                self.frost_asked |= question.slot.hole == Hole::LastFrost;
            }
            _ => {}
        }
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
        let order = self.places.len();
        self.places.entry(place_key(name)).or_insert_with(|| {
            Arc::new(Place {
                name: name.to_string(),
                order,
                notes: Vec::new(),
                files: Vec::new(),
                cautions: Vec::new(),
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

    fn put(&mut self, entry: QuoteEntry) {
        let no = entry.no;
        let before = self.quotes.insert(no, Arc::new(entry));
        let moments = before.as_ref().map(|entry| Moments::of(entry));
        let before = before.map(|entry| Marks::of(&entry));
        self.moved(no, before.as_ref(), moments.as_ref(), None);
    }

    fn change(&mut self, no: QuoteNo, change: impl FnOnce(&mut QuoteEntry)) {
        if let Some(quote) = self.quotes.get_mut(&no) {
            let before = (Marks::of(quote), Moments::of(quote), Copied::of(quote));
            change(Arc::make_mut(quote));
            self.moved(no, Some(&before.0), Some(&before.1), Some(&before.2));
        }
    }

    /// Takes in that an entry is new, or another than it was, wherever quotes are kept by something.
    fn moved(&mut self, no: QuoteNo, marks: Option<&Marks>, moments: Option<&Moments>, copied: Option<&Copied>) {
        let Some(entry) = self.quotes.get(&no) else { return };
        self.index.moved(no, marks, &Marks::of(entry));
        self.diary.moved(&mut self.names, moments, entry);
        cards::moved(&mut self.cards, &mut self.names, copied, entry);
    }
}

impl QuoteEntry {
    fn plan(&mut self, start: Timestamp, recorded: &Recorded) {
        self.planned = Some(start);
        self.planned_order = recorded.sequence;
        self.planned_at = Some(recorded.at);
        self.planned_times += 1;
    }

    fn given(recorded: &Recorded, no: QuoteNo, place: Option<String>, sheet: Sheet, total: Money) -> Self {
        QuoteEntry {
            no,
            place,
            given_at: recorded.at,
            given_by: recorded.member,
            worth: Worth::of(&sheet),
            shares: Arc::from([]),
            sheet,
            total,
            status: Status::Open,
            agreed: None,
            priced_at: recorded.at,
            decided_at: None,
            planned: None,
            planned_order: 0,
            planned_at: None,
            planned_times: 0,
            clocked_by: None,
            let_go: Money::ZERO,
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
        self.worth = Worth::of(&sheet);
        self.sheet = sheet;
        self.total = total;
        self.shares = Share::of(self).into();
    }

    pub(super) fn win(&mut self, agreed: Money) {
        if matches!(self.status, Status::Open | Status::Lost) {
            self.status = Status::Won;
        }
        self.lost = None;
        self.agreed = Some(agreed);
    }

    fn lose(&mut self, loss: Loss, told: Timestamp) {
        self.status = Status::Lost;
        self.decided_at = Some(told);
        self.lost = Some(loss);
    }

    /// Takes in the client's decision.
    fn decide(&mut self, recorded: &Recorded) {
        match &recorded.event {
            Event::QuoteWon { agreed, .. } => {
                self.decided_at = Some(recorded.at);
                self.win(*agreed);
            }
            Event::QuoteLost { reason, price, .. } => {
                let (reason, price) = (reason.clone(), *price);
                self.lose(Loss { reason, price }, recorded.at);
            }
            _ => {}
        }
    }

    fn let_go_of(&mut self, amount: Money) {
        self.let_go = self.let_go.checked_add(amount).unwrap_or(self.let_go);
    }

    /// Takes in what was told of the clock.
    fn take_clock(&mut self, told: &Recorded) {
        match &told.event {
            Event::WorkStarted { at, crew, .. } => {
                self.clocked_by = Some(told.member);
                self.mark_clock(*at, Told::On(*crew));
            }
            Event::WorkPaused { at, .. } => self.mark_clock(*at, Told::Off),
            Event::WorkResumed { at, .. } => self.mark_clock(*at, Told::On(None)),
            Event::CrewChanged { at, crew, .. } => self.mark_clock(*at, Told::People(*crew)),
            Event::ClockCorrected { was, is, .. } => self.correct_clock(*was, *is),
            _ => {}
        }
    }

    /// Takes a mark on the clock; the job stands as its clock then does, unless it is done.
    fn mark_clock(&mut self, at: Timestamp, what: Told) {
        self.clock.get_or_insert_default().put(at, what);
        self.follow_clock();
    }

    fn correct_clock(&mut self, was: Timestamp, is: Timestamp) {
        if let Some(clock) = &mut self.clock {
            clock.correct(was, is);
            self.follow_clock();
        }
    }

    fn follow_clock(&mut self) {
        let Some(clock) = self.clock.as_ref().filter(|_| self.status != Status::Done) else {
            return;
        };
        self.status = if clock.is_running() {
            Status::Here
        } else {
            Status::Paused
        };
    }

    fn finish(&mut self, finished: &JobFinished) {
        if let Some(clock) = &mut self.clock {
            clock.put(finished.ended, Told::End);
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
        self.shares = Share::of(self).into();
    }

    fn bill_extra(&mut self, amount: Money, agreed: Money) {
        let Some(finish) = &mut self.finish else { return };
        finish.extra = Money::ZERO;
        finish.billed = amount;
        self.agreed = Some(agreed);
        self.shares = Share::of(self).into();
    }
}
