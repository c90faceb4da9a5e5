//! Where a message is worked on: a copy of the state that already knows what this message has done so far, the facts to
//! record, and the parts of the answer.

use super::{
    Context, Inbound,
    answer::{Part, Refused},
    ask::Ask,
};
use crate::{
    journal::{Book, Event, Fill, Hole, Item, QuoteEntry, Recorded, Settled, Slot, State, Talk},
    units::{QuoteNo, Timestamp},
};

/// The work on one message.
pub(super) struct Desk<'a> {
    pub(super) inbound: &'a Inbound,
    pub(super) ctx: &'a Context,
    said_at: Timestamp,
    state: State,
    events: Vec<Event>,
    parts: Vec<Part>,
    settled: Vec<Settled>,
    meaning: usize,
    heard: bool,
    odd: Option<Box<Ask>>,
}

/// Why a part of a message was not carried out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Stop {
    /// Something has to be asked first.
    Ask(Box<Ask>),
    /// It cannot be.
    Refused(Refused),
}

/// The outcome of working on a part of a message.
pub(super) type Worked<T = ()> = Result<T, Stop>;

/// How far the work has come, to go back to when a part of it stops half way.
pub(super) struct Mark {
    state: State,
    events: usize,
    parts: usize,
    heard: bool,
}

impl From<Box<Ask>> for Stop {
    fn from(ask: Box<Ask>) -> Self {
        Stop::Ask(ask)
    }
}

impl From<Refused> for Stop {
    fn from(refused: Refused) -> Self {
        Stop::Refused(refused)
    }
}

impl<'a> Desk<'a> {
    pub(super) fn new(state: &State, inbound: &'a Inbound, ctx: &'a Context) -> Self {
        Desk {
            inbound,
            ctx,
            said_at: inbound.at,
            state: state.clone(),
            events: Vec::new(),
            parts: Vec::new(),
            settled: Vec::new(),
            meaning: 0,
            heard: false,
            odd: None,
        }
    }

    /// When the words being worked on were said: a message that an answer settles is as old as it was.
    pub(super) fn said_at(&self) -> Timestamp {
        self.said_at
    }

    /// Turns to words that were said at a time.
    pub(super) fn turn_back_to(&mut self, said_at: Timestamp) {
        self.said_at = said_at;
    }

    /// Asks about a figure that was taken in, once all of the message is carried out; the first one only.
    pub(super) fn wonder(&mut self, ask: Box<Ask>) {
        self.odd.get_or_insert(ask);
    }

    /// The question about a figure that was taken in.
    pub(super) fn take_odd(&mut self) -> Option<Box<Ask>> {
        self.odd.take()
    }

    /// Turns to a meaning, with what was settled of the message it belongs to.
    pub(super) fn turn_to(&mut self, meaning: usize, settled: &[Settled]) {
        self.meaning = meaning;
        self.settled = settled.to_vec();
    }

    /// The book with everything that this message has done so far.
    pub(super) fn book(&self) -> &Book {
        self.state.book()
    }

    pub(super) fn state(&self) -> &State {
        &self.state
    }

    /// What the member who speaks is talking about.
    pub(super) fn talk(&self) -> Talk {
        self.state.talk(self.inbound.member)
    }

    /// The quote being talked about.
    pub(super) fn current_quote(&self) -> Option<&QuoteEntry> {
        self.talk().quote.and_then(|no| self.book().quote(no))
    }

    pub(super) fn quote(&self, no: QuoteNo) -> Option<&QuoteEntry> {
        self.book().quote(no)
    }

    /// Records a fact: the copy of the state knows it from here on. The first fact of a message is preceded by the
    /// message's own words.
    pub(super) fn record(&mut self, event: Event) {
        if !self.heard {
            self.heard = true;
            self.put(Event::MessageHeard {
                text: self.inbound.text.clone(),
            });
        }
        self.put(event);
    }

    /// Records that messages were taken back, and goes on with the state as if they had never been said.
    pub(super) fn take_back(&mut self, event: Event, state: Option<State>) {
        if let Some(state) = state {
            self.state = state;
        }
        self.events.push(event);
    }

    /// How far the work has come.
    pub(super) fn mark(&self) -> Mark {
        Mark {
            state: self.state.clone(),
            events: self.events.len(),
            parts: self.parts.len(),
            heard: self.heard,
        }
    }

    /// Goes back to how far the work had come.
    pub(super) fn back_to(&mut self, mark: Mark) {
        self.state = mark.state;
        self.events.truncate(mark.events);
        self.parts.truncate(mark.parts);
        self.heard = mark.heard;
    }

    /// Goes back to how far the work had come, but keeps what was said since.
    pub(super) fn back_to_but_say(&mut self, mark: Mark) {
        let said = self.parts.split_off(mark.parts);
        self.back_to(mark);
        self.parts.extend(said);
    }

    /// Another desk whose work is thrown away, on the same state or on one from before.
    pub(super) fn aside(&self, before: Option<&State>) -> Desk<'a> {
        let mut aside = Desk::new(before.unwrap_or(&self.state), self.inbound, self.ctx);
        aside.heard = true;
        aside
    }

    /// Forgets what this message has done so far.
    pub(super) fn start_over(&mut self, state: &State) {
        self.state = state.clone();
        self.events.clear();
        self.parts.clear();
        self.heard = false;
    }

    /// Whether this message has changed the book so far.
    pub(super) fn has_changed_book(&self) -> bool {
        self.events.iter().any(Event::changes_book)
    }

    /// Adds a part to the answer.
    pub(super) fn say(&mut self, part: Part) {
        self.parts.push(part);
    }

    /// Takes the cost build-up out of what was said so far: one that knows more figures follows.
    pub(super) fn leave_out_costs(&mut self) {
        for part in &mut self.parts {
            if let Part::Set(shown) = part {
                shown.costs = None;
            }
        }
    }

    /// Whether nothing was said yet.
    pub(super) fn has_nothing_to_say(&self) -> bool {
        self.parts.is_empty()
    }

    /// Whether the last thing said is that something is understood and not done.
    pub(super) fn says_not_yet(&self) -> bool {
        matches!(self.parts.last(), Some(Part::NotYet(_)))
    }

    /// A hole of the meaning being worked on.
    pub(super) fn slot(&self, item: Item, hole: Hole) -> Slot {
        Slot {
            meaning: self.meaning,
            item,
            hole,
        }
    }

    /// What an earlier answer filled a hole with.
    pub(super) fn filled(&self, slot: Slot) -> Option<Fill> {
        self.settled
            .iter()
            .rev()
            .find(|settled| settled.slot == slot)
            .map(|settled| settled.fill.clone())
    }

    pub(super) fn into_work(self) -> (Vec<Event>, Vec<Part>) {
        (self.events, self.parts)
    }

    fn put(&mut self, event: Event) {
        self.state.apply(&Recorded {
            sequence: self.state.sequence() + 1,
            at: self.inbound.at,
            cause: self.inbound.id.clone(),
            member: self.inbound.member,
            event: event.clone(),
        });
        self.events.push(event);
    }
}
