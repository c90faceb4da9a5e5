//! The state of an account: its book, what its members are talking about, and the way back.
//!
//! The state is a fold over the log and nothing else. A message can be taken back at any depth: the state remembers, for
//! the last messages, what the book looked like before each, and takes in again what was said since without the messages
//! taken back. That is exact, also when several members spoke in turn. Beyond that window only a fold over the whole
//! log knows; [`State::needs_replay`] says so.

use std::{
    collections::{HashMap, HashSet},
    sync::{Arc, OnceLock},
};

use imbl::{OrdMap, Vector};

use super::{
    book::{Book, Teaches},
    event::{Event, Recorded},
    price_list::ServiceSet,
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

/// A message with the book before it and the facts that it led to.
#[derive(Debug, Clone)]
struct Remembered {
    book: Book,
    talks: OrdMap<MemberId, Arc<Talk>>,
    facts: Vec<Recorded>,
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
        let of_cause = |message: &&Arc<Remembered>| message.facts.first().is_some_and(|fact| fact.cause == *cause);
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
        self.remember(recorded);
        self.step(recorded);
        self.take_in(recorded, teaches);
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
        if let Event::JobFinished(finished) = &recorded.event {
            self.stale |= self.book.quote(finished.no).is_some_and(|entry| entry.finish.is_some());
        }
        if renames(&self.book, &recorded.event) {
            self.vocabulary = OnceLock::new();
        }
        self.book.apply(recorded, teaches);
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
                    talks: self.talks.clone(),
                    facts: vec![recorded.clone()],
                }));
            }
        }
    }

    /// Counts a message that changes the book among those that can be taken back.
    fn step(&mut self, recorded: &Recorded) {
        if !recorded.event.changes_book() || self.steps.back().is_some_and(|step| step.cause == recorded.cause) {
            return;
        }
        let said = self.window.back().and_then(|message| {
            message.facts.iter().find_map(|fact| match &fact.event {
                Event::MessageHeard { text } => Some(text.clone()),
                _ => None,
            })
        });
        self.steps.push_back(Arc::new(Step {
            cause: recorded.cause.clone(),
            member: recorded.member,
            text: said.unwrap_or_default(),
        }));
    }

    /// Goes back to before the earliest of the messages and takes in again what was said since by others.
    fn take_back(&mut self, causes: &[InboundId]) {
        let gone: HashSet<&InboundId> = causes.iter().collect();
        let is_gone = |message: &Arc<Remembered>| message.facts.first().is_some_and(|fact| gone.contains(&fact.cause));
        let found = self.window.iter().filter(|message| is_gone(message)).count();
        let Some(first) = self.window.iter().position(is_gone).filter(|_| found == gone.len()) else {
            self.stale = !gone.is_empty() || self.stale;
            return;
        };
        let later = self.window.split_off(first);
        self.steps.retain(|step| !gone.contains(&step.cause));
        self.vocabulary = OnceLock::new();
        if let Some(earliest) = later.front() {
            self.book = earliest.book.clone();
            self.talks = earliest.talks.clone();
        }
        // What an earlier finish of the same job taught is known only to a fold over the whole log.
        let gone_facts = later
            .iter()
            .filter(|message| is_gone(message))
            .flat_map(|message| &message.facts);
        for fact in gone_facts {
            note_day_taken_back(&mut self.days_taken_back, &fact.event);
            if let Event::JobFinished(finished) = &fact.event {
                self.stale |= self.book.quote(finished.no).is_some_and(|entry| entry.finish.is_some());
            }
        }
        for message in later.iter().filter(|message| !is_gone(message)) {
            for fact in &message.facts {
                self.remember(fact);
                self.take_in(fact, Teaches::Yes);
            }
        }
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
    for recorded in log {
        let taken_back = gone.contains(&recorded.cause);
        if taken_back {
            note_day_taken_back(&mut state.days_taken_back, &recorded.event);
        }
        if !taken_back && !matches!(recorded.event, Event::Undone { .. }) {
            let teaches = match &recorded.event {
                Event::JobFinished(finished) if last_finish.get(&finished.no) != Some(&recorded.sequence) => {
                    Teaches::No
                }
                _ => Teaches::Yes,
            };
            state.apply_fact(recorded, teaches);
        }
        state.sequence = recorded.sequence;
    }
    state.stale = false;
    state
}

fn note_day_taken_back(counts: &mut OrdMap<QuoteNo, u32>, event: &Event) {
    if let Event::JobPlanned { no, .. } = event {
        *counts.entry(*no).or_insert(0) += 1;
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

/// Whether a fact adds a name, a size or a material that reading should know.
fn renames(book: &Book, event: &Event) -> bool {
    match event {
        Event::ServicePriced(_) => true,
        Event::PlaceNamed { name } => book.place(name).is_none(),
        _ => false,
    }
}

fn names(book: &Book) -> Vocabulary {
    let services = book
        .services()
        .into_iter()
        .map(|service| ServiceName {
            name: service.name.clone(),
            aliases: service.said.clone(),
            unit: service.unit,
            sizes: service.classes.iter().filter_map(|class| class.size.clone()).collect(),
            has_material: service.takes_material || service.classes.iter().any(|class| class.material_each.is_some()),
        })
        .collect();
    Vocabulary::new(services, book.places().map(|place| place.name.clone()).collect())
}
