//! The state of an account: its book, what its members are talking about, and the way back.
//!
//! The state is a fold over the log and nothing else. A message can be taken back at any depth: the state remembers, for
//! the last messages, what the book looked like before each, and takes in again what was said since without the messages
//! taken back. That is exact, also when several members spoke in turn. A finish that is put right goes the same way. Beyond that window only a fold over the whole
//! log knows; [`State::needs_replay`] says so.

use std::{
    collections::{HashMap, HashSet},
    sync::{Arc, LazyLock, OnceLock},
};

use imbl::{OrdMap, Vector};

use super::{
    book::{Book, Place, Teaches},
    event::{Event, Recorded},
    price_list::{Service, ServiceSet},
    question::Pending,
    talk::{GuideTalk, Talk, WhatIf},
};
use crate::{
    language::{ServiceName, Vocabulary},
    units::{InboundId, MemberId, QuoteNo},
};

/// How many messages back the book is remembered, so that taking back needs no fold over the whole log.
const WINDOW_MESSAGES_MAX: usize = 64;

/// The state of one account.
#[derive(Debug, Clone)]
pub struct State {
    book: Book,
    talks: OrdMap<MemberId, Arc<Talk>>,
    steps: Vector<Arc<Step>>,
    window: Vector<Arc<Remembered>>,
    /// How often a day of a job was fixed and taken back.
    days_taken_back: OrdMap<QuoteNo, u32>,
    sequence: u64,
    stale: bool,
    vocabulary: OnceLock<Arc<Vocabulary>>,
}

/// A message that changed the book and can be taken back.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Step {
    /// The message.
    pub cause: InboundId,
    /// Who sent it.
    pub member: MemberId,
    /// Its words.
    pub text: String,
}

/// A message with the book before it and the facts, one at least, that it led to.
#[derive(Debug, Clone)]
struct Remembered {
    book: Book,
    vocabulary: OnceLock<Arc<Vocabulary>>,
    talks: OrdMap<MemberId, Arc<Talk>>,
    facts: Vec<Recorded>,
}

impl Remembered {
    fn cause(&self) -> &InboundId {
        &self.facts[0].cause
    }

    /// The jobs that it finished, with the fact's place in the log.
    fn finishes(&self) -> impl Iterator<Item = (QuoteNo, u64)> {
        self.facts.iter().filter_map(|fact| match &fact.event {
            Event::JobFinished(finished) => Some((finished.no, fact.sequence)),
            _ => None,
        })
    }
}

impl Default for State {
    fn default() -> Self {
        State::new()
    }
}

impl State {
    /// The state of an account in which nothing was said yet.
    pub fn new() -> Self {
        State {
            book: Book::new(),
            talks: OrdMap::new(),
            steps: Vector::new(),
            window: Vector::new(),
            days_taken_back: OrdMap::new(),
            sequence: 0,
            stale: false,
            vocabulary: OnceLock::new(),
        }
    }

    /// The book as it stands.
    pub fn book(&self) -> &Book {
        &self.book
    }

    /// What a member is talking about.
    pub fn talk(&self, member: MemberId) -> Talk {
        self.talks
            .get(&member)
            .map_or_else(Talk::default, |talk| Talk::clone(talk))
    }

    /// How often the day of a job was changed after it was first fixed. It only grows: a day that was fixed and taken back
    /// was changed twice.
    pub fn day_revision(&self, no: QuoteNo) -> u32 {
        let fixed = self.book.quote(no).map_or(0, |entry| entry.planned_times);
        let back = self.days_taken_back.get(&no).copied().unwrap_or_default();
        fixed.saturating_sub(1).saturating_add(back.saturating_mul(2))
    }

    /// Position of the last fact taken in; 0 for none.
    pub fn sequence(&self) -> u64 {
        self.sequence
    }

    /// The messages that changed the book, oldest first.
    pub fn steps(&self) -> impl DoubleEndedIterator<Item = &Step> {
        self.steps.iter().map(Arc::as_ref)
    }

    /// What a remembered message led to; empty for one that lies too far back.
    pub fn facts_of(&self, cause: &InboundId) -> Vec<Event> {
        let of_cause = |message: &&Arc<Remembered>| message.cause() == cause;
        let message = self.window.iter().find(of_cause);
        message.map_or_else(Vec::new, |message| {
            message.facts.iter().map(|fact| fact.event.clone()).collect()
        })
    }

    /// Whether something was taken back that lies beyond the remembered messages, so that this state is not the fold of
    /// its log any more and has to be replayed.
    pub fn needs_replay(&self) -> bool {
        self.stale
    }

    /// The names of the account, for reading; made when first asked for after a name changed.
    pub fn vocabulary(&self) -> &Vocabulary {
        self.vocabulary.get_or_init(|| Arc::new(names(&self.book)))
    }

    /// Takes in the next fact of the log.
    pub fn apply(&mut self, recorded: &Recorded) {
        self.sequence = recorded.sequence;
        if let Event::Undone { causes } = &recorded.event {
            self.take_back(causes);
            return;
        }
        self.apply_fact(recorded, Teaches::Yes);
    }

    fn apply_fact(&mut self, recorded: &Recorded, teaches: Teaches) {
        let again = match &recorded.event {
            Event::JobFinished(finished) => self.is_finished(finished.no),
            _ => false,
        };
        self.remember(recorded);
        let last = self.window.back();
        let said = last.and_then(|message| message.facts.iter().find_map(|fact| said(&fact.event)));
        let said = said.unwrap_or_default().to_string();
        self.step(recorded, &said);
        if again && teaches == Teaches::Yes {
            // It teaches in the place of the finish before it, and of what that one has taught nothing must stay.
            self.go_over_again(self.window.len() - 1, &HashSet::new());
        } else {
            self.take_in(recorded, teaches);
        }
    }

    /// This state as if some messages had never been said; `None` when they lie beyond the remembered ones.
    pub fn without(&self, causes: &[InboundId]) -> Option<State> {
        let mut state = self.clone();
        state.take_back(causes);
        (!state.stale).then_some(state)
    }

    /// The message that finished a job and did nothing else to the book, with the state as if it had never been said;
    /// `None` when there is no such message among the remembered ones.
    pub fn finish_alone(&self, no: QuoteNo) -> Option<(InboundId, State)> {
        let finishes = |fact: &Recorded| matches!(&fact.event, Event::JobFinished(finished) if finished.no == no);
        let message = self
            .window
            .iter()
            .rev()
            .find(|message| message.facts.iter().any(finishes))?;
        let alone = message
            .facts
            .iter()
            .all(|fact| finishes(fact) || !fact.event.changes_book());
        let cause = message.facts.first().filter(|_| alone)?.cause.clone();
        let state = self.without(std::slice::from_ref(&cause))?;
        Some((cause, state))
    }

    /// A job that is finished again teaches its new time and not the old one too, which only a fold over the whole log
    /// can tell apart.
    fn take_in(&mut self, recorded: &Recorded, teaches: Teaches) {
        let named = named(&self.book, &recorded.event);
        self.book.apply(recorded, teaches);
        if let Some(names) = self.vocabulary.get() {
            let more = match named {
                Some(Named::Place(name)) => {
                    let mut more = Vocabulary::clone(names);
                    more.add_place(name);
                    Some(more)
                }
                Some(Named::Kind(name, before)) if self.book.service(name).map(kind) != before => {
                    Some(names.with_services(kinds(&self.book)))
                }
                _ => None,
            };
            if let Some(more) = more {
                self.vocabulary = OnceLock::from(Arc::new(more));
            }
        }
        self.follow(recorded);
    }

    /// Keeps the book as it was before the first fact of a message.
    fn remember(&mut self, recorded: &Recorded) {
        match self.window.back_mut() {
            Some(last) if last.facts.last().is_some_and(|fact| fact.cause == recorded.cause) => {
                Arc::make_mut(last).facts.push(recorded.clone());
            }
            _ => {
                if self.window.len() >= WINDOW_MESSAGES_MAX {
                    self.window.pop_front();
                }
                self.window.push_back(Arc::new(Remembered {
                    book: self.book.clone(),
                    vocabulary: self.vocabulary.clone(),
                    talks: self.talks.clone(),
                    facts: vec![recorded.clone()],
                }));
            }
        }
    }

    /// Counts a message that changes the book among those that can be taken back.
    fn step(&mut self, recorded: &Recorded, said: &str) {
        if !recorded.event.changes_book() || self.steps.back().is_some_and(|step| step.cause == recorded.cause) {
            return;
        }
        self.steps.push_back(Arc::new(Step {
            cause: recorded.cause.clone(),
            member: recorded.member,
            text: said.to_string(),
        }));
    }

    /// Goes back to before the earliest of the messages and takes in again what was said since by others.
    fn take_back(&mut self, causes: &[InboundId]) {
        let gone: HashSet<&InboundId> = causes.iter().collect();
        let is_gone = |message: &Arc<Remembered>| gone.contains(message.cause());
        let found = self.window.iter().filter(|message| is_gone(message)).count();
        match self.window.iter().position(is_gone) {
            Some(first) if found == gone.len() => self.go_over_again(first, &gone),
            _ => self.stale |= !gone.is_empty(),
        }
    }

    /// Goes back to before a remembered message and takes in again what was said since, without the messages taken back.
    /// Of several finishes of a job the last one teaches, so if one of them is gone over again, all are.
    fn go_over_again(&mut self, first: usize, gone: &HashSet<&InboundId>) {
        let later = self.window.split_off(self.reaching_finishes(first));
        // No more messages changed the book than are remembered, so no step further back is one of those.
        let steps = self
            .steps
            .split_off(self.steps.len().saturating_sub(WINDOW_MESSAGES_MAX));
        self.steps
            .extend(steps.into_iter().filter(|step| !gone.contains(&step.cause)));
        if let Some(earliest) = later.front() {
            self.book = earliest.book.clone();
            self.vocabulary = earliest.vocabulary.clone();
            self.talks = earliest.talks.clone();
        }
        let gone_facts = later.iter().filter(|message| gone.contains(message.cause()));
        for fact in gone_facts.flat_map(|message| &message.facts) {
            note_day_taken_back(&mut self.days_taken_back, &fact.event);
        }
        // What a finish further back has taught is known only to a fold over the whole log.
        let finished = later.iter().flat_map(|message| message.finishes());
        self.stale |= finished.into_iter().any(|(no, _)| self.is_finished(no));
        let kept = || later.iter().filter(|message| !gone.contains(message.cause()));
        let last: HashMap<QuoteNo, u64> = kept().flat_map(|message| message.finishes()).collect();
        for fact in kept().flat_map(|message| &message.facts) {
            let teaches = match &fact.event {
                Event::JobFinished(finished) if last.get(&finished.no) != Some(&fact.sequence) => Teaches::No,
                _ => Teaches::Yes,
            };
            self.remember(fact);
            self.take_in(fact, teaches);
        }
    }

    /// The first remembered message with a finish of a job that is finished in this one or later; else this one.
    fn reaching_finishes(&self, mut first: usize) -> usize {
        loop {
            let later = self.window.iter().skip(first);
            let jobs: HashSet<QuoteNo> = later.flat_map(|message| message.finishes()).map(|(no, _)| no).collect();
            let of_those = |message: &Arc<Remembered>| message.finishes().any(|(no, _)| jobs.contains(&no));
            match self.window.iter().take(first).position(of_those) {
                Some(earlier) => first = earlier,
                None => return first,
            }
        }
    }

    fn is_finished(&self, no: QuoteNo) -> bool {
        self.book.quote(no).is_some_and(|entry| entry.finish.is_some())
    }

    /// The facts of the remembered messages from the earliest of some on; `None` when they are not all remembered.
    pub(super) fn facts_since(&self, causes: &[InboundId]) -> Option<impl Iterator<Item = &Recorded>> {
        let of_those = |message: &&Arc<Remembered>| causes.contains(message.cause());
        if self.window.iter().filter(of_those).count() < causes.len() {
            return None;
        }
        let first = self.window.iter().position(|message| of_those(&message))?;
        let later = self.window.iter().skip(self.reaching_finishes(first));
        Some(later.flat_map(|message| &message.facts))
    }

    /// Moves the thread of the member who spoke.
    fn follow(&mut self, recorded: &Recorded) {
        let mut talk = self.talk(recorded.member);
        match &recorded.event {
            Event::QuoteGiven { no, sheet, .. } | Event::QuoteRevised { no, sheet, .. } => {
                talk.guide = GuideTalk::default();
                talk.quote = Some(*no);
                talk.speak_of(sheet.lines.iter().map(|line| line.service.as_str()));
                talk.what_if = None;
            }
            Event::WhatIfShown { no, sheet } => {
                talk.quote = Some(*no);
                talk.what_if = Some(WhatIf {
                    no: *no,
                    sheet: sheet.clone(),
                });
            }
            Event::QuoteWon { no, .. }
            | Event::QuoteLost { no, .. }
            | Event::JobPlanned { no, .. }
            | Event::PaymentTaken { no, .. }
            | Event::RestLetGo { no, .. }
            | Event::CrewChanged { no, .. }
            | Event::ClockCorrected { no, .. }
            | Event::WorkStarted { no, .. }
            | Event::WorkPaused { no, .. }
            | Event::WorkResumed { no, .. }
            | Event::ClientLinkGiven { no, .. }
            | Event::ClientLinksShut { no }
            | Event::QuoteShown { no } => talk.turn_to(*no),
            Event::JobFinished(finished) => talk.turn_to(finished.no),
            Event::ServicePriced(ServiceSet { service, .. }) | Event::ServiceMentioned { service } => {
                talk.name_also(service, &recorded.cause);
            }
            Event::QuestionAsked(question) => {
                talk.pending = Some(Pending {
                    cause: recorded.cause.clone(),
                    question: question.clone(),
                });
            }
            Event::QuestionClosed => talk.pending = None,
            Event::CautionGiven { source, .. } => talk.guide.name_source(source),
            Event::GuideShown { plant, sources } => {
                talk.guide.plant = plant.clone().or(talk.guide.plant);
                talk.guide.sources.clone_from(sources);
                talk.guide.spoke_last = true;
            }
            Event::MessageHeard { .. }
            | Event::SettingGiven(_)
            | Event::PlaceNamed { .. }
            | Event::ExtraBilled { .. }
            | Event::NoteKept { .. }
            | Event::FileKept { .. }
            | Event::MinutesKept { .. }
            | Event::PlaceCautionKept { .. }
            | Event::UnitsTimed { .. }
            | Event::ClientAccepted { .. }
            | Event::ClientAsked { .. }
            | Event::CalendarOpened { .. }
            | Event::CalendarShut { .. }
            | Event::PricesShown { .. }
            | Event::QuotingAllowed { .. }
            | Event::Undone { .. }
            | Event::Unknown { .. } => return,
        }
        self.talks.insert(recorded.member, Arc::new(talk));
    }

    pub(super) fn talk_of(&self, member: MemberId) -> Option<&Talk> {
        self.talks.get(&member).map(Arc::as_ref)
    }

    pub(super) fn talks(&self) -> impl Iterator<Item = (MemberId, &Talk)> {
        self.talks.iter().map(|(member, talk)| (*member, talk.as_ref()))
    }
}

impl Talk {
    /// These kinds are talked about now, and no others.
    fn speak_of<'a>(&mut self, services: impl Iterator<Item = &'a str>) {
        self.services.clear();
        self.services_from = None;
        for service in services {
            if !self.services.iter().any(|known| known == service) {
                self.services.push(service.to_string());
            }
        }
    }

    /// This kind is talked about now, beside those that the same message named before it.
    fn name_also(&mut self, service: &str, cause: &InboundId) {
        if self.services_from.as_ref() != Some(cause) {
            self.services.clear();
            self.services_from = Some(cause.clone());
        }
        if !self.services.iter().any(|known| known == service) {
            self.services.push(service.to_string());
        }
    }

    fn turn_to(&mut self, no: QuoteNo) {
        if self.quote != Some(no) {
            self.what_if = None;
        }
        self.guide = GuideTalk::default();
        self.quote = Some(no);
    }
}

/// The state that a whole log adds up to. Messages that were taken back count as never said.
pub fn replay(log: &[Recorded]) -> State {
    let gone: HashSet<&InboundId> = log
        .iter()
        .filter_map(|recorded| match &recorded.event {
            Event::Undone { causes } => Some(causes),
            _ => None,
        })
        .flatten()
        .collect();
    let mut state = State::new();
    let last_finish = last_finishes(log, &gone);
    let taken_back = log.iter().filter(|recorded| gone.contains(&recorded.cause));
    for recorded in taken_back {
        note_day_taken_back(&mut state.days_taken_back, &recorded.event);
    }
    let counts =
        |recorded: &&Recorded| !gone.contains(&recorded.cause) && !matches!(recorded.event, Event::Undone { .. });
    let facts: Vec<&Recorded> = log.iter().filter(counts).collect();
    let remembered_from = window_start(&facts);
    let mut heard = "";
    for (index, recorded) in facts.iter().enumerate() {
        let teaches = match &recorded.event {
            Event::JobFinished(finished) if last_finish.get(&finished.no) != Some(&recorded.sequence) => Teaches::No,
            _ => Teaches::Yes,
        };
        if index >= remembered_from {
            state.apply_fact(recorded, teaches);
        } else {
            // What lies beyond the messages remembered changes the one book in place: no copy of it is kept.
            if index == 0 || facts[index - 1].cause != recorded.cause {
                heard = "";
            }
            heard = said(&recorded.event).unwrap_or(heard);
            state.step(recorded, heard);
            state.take_in(recorded, teaches);
        }
    }
    state.sequence = log.last().map_or(0, |recorded| recorded.sequence);
    state.stale = false;
    state
}

fn note_day_taken_back(counts: &mut OrdMap<QuoteNo, u32>, event: &Event) {
    if let Event::JobPlanned { no, .. } = event {
        *counts.entry(*no).or_insert(0) += 1;
    }
}

/// The first fact of the last messages that are remembered.
fn window_start(facts: &[&Recorded]) -> usize {
    let begins = |at: usize| at == 0 || facts[at - 1].cause != facts[at].cause;
    let mut starts = (0..facts.len()).rev().filter(|at| begins(*at));
    starts.nth(WINDOW_MESSAGES_MAX - 1).unwrap_or(0)
}

/// The words of a message, if this is the fact that it was heard.
fn said(event: &Event) -> Option<&str> {
    match event {
        Event::MessageHeard { text } => Some(text),
        _ => None,
    }
}

/// The last finish of each job, of those that were not taken back.
fn last_finishes(log: &[Recorded], gone: &HashSet<&InboundId>) -> HashMap<QuoteNo, u64> {
    let mut last = HashMap::new();
    for recorded in log.iter().filter(|recorded| !gone.contains(&recorded.cause)) {
        if let Event::JobFinished(finished) = &recorded.event {
            last.insert(finished.no, recorded.sequence);
        }
    }
    last
}

/// What a fact says that reading should know.
enum Named<'f> {
    /// A place that was not named before.
    Place(&'f str),
    /// A kind, with how it was known before.
    Kind(&'f str, Option<ServiceName>),
}

fn named<'f>(book: &Book, event: &'f Event) -> Option<Named<'f>> {
    match event {
        Event::ServicePriced(said) => Some(Named::Kind(&said.service, book.service(&said.service).map(kind))),
        Event::PlaceNamed { name } if book.place(name).is_none() => Some(Named::Place(name)),
        _ => None,
    }
}

/// The kinds that every book begins with; most accounts add figures to them and no names, and share this.
static STARTER: LazyLock<Vocabulary> = LazyLock::new(|| Vocabulary::new(kinds(&Book::new()), Vec::new()));

fn names(book: &Book) -> Vocabulary {
    let mut places: Vec<&Place> = book.places().collect();
    places.sort_by_key(|place| place.order);
    let services = kinds(book);
    let mut names = match services == STARTER.services() {
        true => STARTER.clone(),
        false => Vocabulary::new(services, Vec::new()),
    };
    places.into_iter().for_each(|place| names.add_place(&place.name));
    names
}

fn kinds(book: &Book) -> Vec<ServiceName> {
    book.services().into_iter().map(kind).collect()
}

fn kind(service: &Service) -> ServiceName {
    ServiceName {
        name: service.name.clone(),
        aliases: service.said.clone(),
        unit: service.unit,
        sizes: service.classes.iter().filter_map(|class| class.size.clone()).collect(),
        has_material: service.takes_material || service.classes.iter().any(|class| class.material_each.is_some()),
    }
}
