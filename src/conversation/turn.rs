//! One message from words to outcome: is it an answer or something new, what does it mean, and what is left to ask.
//!
//! This file is long because every kind of meaning passes through the one place that carries it out.

use std::borrow::Cow;

use super::{
    Answer, Context, Heard, Inbound, Outcome,
    answer::{GuideSays, Kind, Part},
    ask::{Ask, fill_for, fill_in_words},
    calendar, client, clock, coming_back,
    desk::{Desk, Stop, Worked},
    doubts, finish, guide, hearing, house, jobs, look, media, minutes, ordering, paying, places, planning, quoting,
    reports, revising, roles, setting, solving, taking_back,
};
use crate::{
    journal::{Event, Fill, Hole, Item, OpenQuestion, Settled, Slot, State},
    language::{
        self, AnswerSaid, Change, ClassSaid, Doubt, Expecting, ExtraKind, GuideAbout, GuideSaid, LeftOver, LineSaid,
        Meaning, MembersSaid, PlaceSaid, QuantitySaid, Reading, Said, Setting, Span, Vocabulary,
    },
    units::{InboundId, Timestamp},
};

/// Reads a text; the language's own [`language::read`], or a test's.
pub(super) type Reader<'a> = &'a dyn Fn(&str, &Vocabulary, Expecting) -> Reading;

/// A stretch of work: a message, what was settled of it, and where to go on.
struct Work {
    text: String,
    read_as: Expecting,
    reading: Reading,
    start: usize,
    settled: Vec<Settled>,
    said_at: Timestamp,
}

/// What an open question makes of the message.
enum Taken {
    /// It answers the question: the work to go on with, and then the rest of the message.
    Answered(Box<Work>, Box<Work>),
    /// It says that none of the ways to hear the message was right.
    Declined(Box<Work>),
    /// It was meant as an answer and does not fit, or means nothing.
    Misfit(Box<Work>),
    /// It sets what was asked for, and the question is answered again with it.
    Told(Box<Work>, Box<Work>),
    /// It is something else.
    New(Box<Work>),
}

/// Handles a message. Total: nonsense gets a question back and changes nothing.
pub fn handle(state: &State, inbound: &Inbound, ctx: &Context) -> Outcome {
    handle_with(&language::read, state, inbound, ctx)
}

/// [`handle`] with a reader of one's own.
pub(super) fn handle_with(read: Reader<'_>, state: &State, inbound: &Inbound, ctx: &Context) -> Outcome {
    if inbound.channel == client::CLIENT_CHANNEL {
        return client::hear(state, inbound, ctx);
    }
    match &inbound.heard {
        Some(Heard::Words(words)) => hearing::settle(read, state, inbound, ctx, words),
        Some(Heard::Nothing(why)) if inbound.text.trim().is_empty() => hearing::nothing(*why),
        _ => handle_text(read, state, inbound, ctx),
    }
}

/// Handles the words of a message.
pub(super) fn handle_text(read: Reader<'_>, state: &State, inbound: &Inbound, ctx: &Context) -> Outcome {
    let mut turn = Turn {
        read,
        state,
        desk: Desk::new(state, inbound, ctx),
        understood: Vec::new(),
        saying: guide::Saying::default(),
        guessed: false,
    };
    let text = &inbound.text;
    if media::is_note(inbound) {
        return turn.keep_silent_photo();
    }
    let Some(pending) = state.talk(inbound.member).pending else {
        let work = turn.read_fresh(text);
        turn.work_on(&work);
        if takes_back(&work.reading) {
            turn.remind();
        }
        return turn.finish(&work);
    };
    let question = &pending.question;
    match turn.take(question, text) {
        Taken::Answered(open, rest) => {
            turn.go_on(&open, question, &rest);
            turn.finish(&rest)
        }
        Taken::Declined(rest) => {
            turn.desk.record(Event::QuestionClosed);
            turn.desk.say(Part::SayAgain);
            turn.understood.push(Kind::Unclear);
            turn.finish(&rest)
        }
        Taken::Misfit(work) => {
            turn.ask_again(question);
            turn.finish(&work)
        }
        Taken::Told(told, again) => {
            turn.desk.record(Event::QuestionClosed);
            if turn.work_on(&told) == Went::Through {
                turn.work_on(&again);
            }
            turn.finish(&told)
        }
        Taken::New(work) if asks_where(question) && declines(&work.reading) => {
            turn.desk.record(Event::QuestionClosed);
            guide::say(&mut turn.desk, GuideSays::NotNow);
            turn.understood = vec![Kind::Guide];
            turn.finish(&Work {
                reading: Reading::default(),
                ..*work
            })
        }
        Taken::New(work) if takes_back(&work.reading) || (only_looks(&work.reading) && !asks_where(question)) => {
            turn.work_on(&work);
            turn.remind();
            turn.finish(&work)
        }
        Taken::New(work) => {
            turn.desk.record(Event::QuestionClosed);
            if !asks_where(question) && question.slot.hole != Hole::Odd {
                turn.desk.say(Part::LetGo(question.text.clone()));
            }
            turn.work_on(&work);
            turn.finish(&work)
        }
    }
}

/// How far the work on a message went.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Went {
    /// All of it was carried out.
    Through,
    /// Something was asked; the rest waits for the answer.
    Asked,
    /// Something in it cannot be.
    Refused,
}

/// The work on one message, with what it was understood as.
struct Turn<'a> {
    read: Reader<'a>,
    state: &'a State,
    desk: Desk<'a>,
    understood: Vec<Kind>,
    saying: guide::Saying,
    /// What was asked of a plant was told by single words, so none of them is left over.
    guessed: bool,
}

impl Turn<'_> {
    /// The message read with no question in mind.
    fn read_fresh(&self, text: &str) -> Work {
        let reading = (self.read)(text, self.state.vocabulary(), Expecting::Nothing);
        self.work(text, Expecting::Nothing, reading)
    }

    fn work(&self, text: &str, read_as: Expecting, reading: Reading) -> Work {
        Work::new(text, read_as, reading, self.desk.inbound.at)
    }

    /// What the message is to an open question. Read with the question in mind it may be the answer; if it is not, it is
    /// read again without, so that the question puts nothing into it.
    fn take(&self, question: &OpenQuestion, text: &str) -> Taken {
        if asks_where(question) {
            return self.take_where(question, text);
        }
        let reading = (self.read)(text, self.state.vocabulary(), question.expecting);
        let fill = match reading.meanings.first().map(|said| &said.meaning) {
            Some(Meaning::Answer(AnswerSaid::Class(class))) if question.slot.hole == Hole::Target => {
                self.line_named(question, class)
            }
            Some(Meaning::Answer(answer)) => fill_for(question, answer),
            None => fill_in_words(question, text),
            Some(Meaning::Quote { .. }) => self.answer_in_a_count(question, &reading),
            Some(Meaning::Revise {
                changes, place: None, ..
            }) => answer_in_a_change(question, changes),
            _ => None,
        };
        if let Some(fill) = fill {
            let rest = Work {
                start: 1,
                ..self.work(text, question.expecting, reading)
            };
            if fill == Fill::No && question.slot.hole == Hole::Reading {
                return Taken::Declined(Box::new(rest));
            }
            return Taken::Answered(Box::new(self.reopen(question, Some(fill))), Box::new(rest));
        }
        let work = Box::new(self.read_fresh(text));
        let only_numbers = |doubt: &Doubt| matches!(doubt, Doubt::NumberWithoutRole { .. });
        match work.reading.meanings.first().map(|said| &said.meaning) {
            Some(Meaning::Answer(_)) => Taken::Misfit(work),
            None if work.reading.doubts.iter().all(only_numbers) => Taken::Misfit(work),
            // The beginning of a job whose end came first.
            Some(_) if self.is_of_before(question, &work) => Taken::Told(work, Box::new(self.reopen(question, None))),
            _ => Taken::New(work),
        }
    }

    /// Whether a message tells of the clock and was said before the finish that waits for its time, though it came later.
    fn is_of_before(&self, question: &OpenQuestion, work: &Work) -> bool {
        let of_clock = |said: &Said| {
            matches!(
                said.meaning,
                Meaning::Here { .. } | Meaning::Pause { .. } | Meaning::Resume { .. } | Meaning::Clock(_)
            )
        };
        let before = question.said_at.is_some_and(|finished| work.said_at < finished);
        before && question.slot.hole == Hole::Worked && work.reading.meanings.iter().all(of_clock)
    }

    /// `texas`, `zone 8a` or a bare `8a`, said when it was asked where the account works.
    fn take_where(&self, question: &OpenQuestion, text: &str) -> Taken {
        let as_zone = format!("zone {}", text.trim());
        let told = [text, as_zone.as_str()]
            .into_iter()
            .map(|text| self.read_fresh(text))
            .find(|work| sets_where(&work.reading));
        match told {
            Some(work) => Taken::Told(Box::new(work), Box::new(self.reopen(question, None))),
            None => Taken::New(Box::new(self.read_fresh(text))),
        }
    }

    /// `the small ones`, said when it was asked which line: the only one of those offered that fits.
    fn line_named(&self, question: &OpenQuestion, class: &ClassSaid) -> Option<Fill> {
        let sheet = &self.desk.current_quote()?.sheet;
        let mut fitting = revising::matching(sheet, class).into_iter().map(Fill::Line);
        let offered = |fill: &Fill| question.choices.contains(fill);
        let only = fitting.by_ref().find(offered);
        only.filter(|_| !fitting.any(|fill| offered(&fill)))
    }

    /// `5 large hollies`, said when the size of 5 hollies was asked, is the answer and not a new quote.
    fn answer_in_a_count(&self, question: &OpenQuestion, reading: &Reading) -> Option<Fill> {
        let [
            Said {
                meaning:
                    Meaning::Quote {
                        place: None,
                        lines,
                        changes,
                    },
                ..
            },
        ] = reading.meanings.as_slice()
        else {
            return None;
        };
        if let ([line], [], true) = (lines.as_slice(), changes.as_slice(), reading.doubts.is_empty())
            && let Some(fill) = how_many(question, line)
        {
            return Some(fill);
        }
        let (true, Item::Line(asked)) = (changes.is_empty() && reading.doubts.is_empty(), question.slot.item) else {
            return None;
        };
        if !matches!(question.slot.hole, Hole::Kind | Hole::Size) {
            return None;
        }
        let half = (self.read)(&question.text, self.state.vocabulary(), question.read_as);
        let Meaning::Quote { lines: half_lines, .. } = &half.meanings.get(question.slot.meaning)?.meaning else {
            return None;
        };
        let open = half_lines.get(asked)?;
        let [line] = lines.as_slice() else {
            let last = asked + 1 == half_lines.len();
            return adds_up(open, lines)
                .filter(|_| last)
                .map(|parts| Fill::Say(format!("{}, {parts}", question.text)));
        };
        let same_count = line.quantity == open.quantity || line.quantity == QuantitySaid::Unsaid;
        let same_kind =
            open.class.service.is_none() || line.class.service.is_none() || line.class.service == open.class.service;
        let same_size = open.class.size.is_none() || line.class.size.is_none() || line.class.size == open.class.size;
        (same_count && same_kind && same_size)
            .then(|| fill_for(question, &AnswerSaid::Class(line.class.clone())))
            .flatten()
    }

    /// The half-understood message with one more hole filled, understood again from its own words.
    fn reopen(&self, question: &OpenQuestion, fill: Option<Fill>) -> Work {
        let said_at = question.said_at.unwrap_or(self.desk.inbound.at);
        let said = match (&fill, question.slot) {
            (Some(Fill::Say(text)), _) => Some(text.clone()),
            (
                Some(Fill::Number(number)),
                Slot {
                    item: Item::Words(start, end),
                    ..
                },
            ) => replace(&question.text, start, end, &number.normalize().to_string()),
            _ => None,
        };
        if let Some(text) = said {
            let reading = (self.read)(&text, self.state.vocabulary(), Expecting::Nothing);
            return Work::new(&text, Expecting::Nothing, reading, said_at);
        }
        let mut settled = question.settled.clone();
        settled.extend(fill.map(|fill| Settled {
            slot: question.slot,
            fill,
        }));
        Work {
            text: question.text.clone(),
            read_as: question.read_as,
            reading: (self.read)(&question.text, self.state.vocabulary(), question.read_as),
            start: question.start,
            settled,
            said_at,
        }
    }

    /// Goes on with a message whose question was answered, then with the rest of the message that answered it. An answer
    /// that cannot be leaves the question open.
    fn go_on(&mut self, open: &Work, question: &OpenQuestion, answer: &Work) {
        if question.slot.hole == Hole::Odd {
            self.settle_odd(open, answer);
            return;
        }
        let before = self.desk.mark();
        self.desk.record(Event::QuestionClosed);
        match self.work_on(open) {
            Went::Through => {
                self.work_on(answer);
            }
            Went::Asked => {}
            Went::Refused => {
                self.desk.back_to_but_say(before);
                self.show_question(question);
            }
        }
    }

    /// A figure that was asked about after it was taken in stands, or its message is taken back and carried out again with
    /// what was said instead.
    fn settle_odd(&mut self, open: &Work, answer: &Work) {
        self.understood
            .extend(open.reading.meanings.first().map(|said| Kind::of(&said.meaning)));
        let fill = open.settled.last().map(|settled| settled.fill.clone());
        let cause = self.desk.talk().pending.map(|pending| pending.cause);
        let without = |cause: &InboundId| self.desk.state().without(std::slice::from_ref(cause));
        let before = cause.as_ref().and_then(|cause| Some((without(cause)?, cause.clone())));
        match (fill, before) {
            (Some(Fill::Number(_) | Fill::No), Some((state, cause))) => {
                self.desk.take_back(Event::Undone { causes: vec![cause] }, Some(state));
                if self.desk.talk().pending.is_some() {
                    self.desk.record(Event::QuestionClosed);
                }
                self.work_on(open);
            }
            // Too far back for this state to say what the book would be without it: it goes, and has to be said again.
            (Some(fill @ (Fill::Number(_) | Fill::No)), None) if cause.is_some() => {
                self.desk.record(Event::QuestionClosed);
                let causes = cause.into_iter().collect();
                self.desk.take_back(Event::Undone { causes }, None);
                self.desk.say(Part::OddTakenOut {
                    say_again: fill != Fill::No,
                });
            }
            _ => {
                self.desk.record(Event::QuestionClosed);
                self.desk.say(Part::OddKept);
                let settled = open.reading.meanings.iter().map(|said| Kind::of(&said.meaning));
                self.understood.extend(settled);
            }
        }
        self.work_on(answer);
    }

    /// Carries out the meanings of a message in order; stops at the first that has to ask.
    fn work_on(&mut self, work: &Work) -> Went {
        self.desk.turn_back_to(work.said_at);
        if let Some(ask) = doubts::first(&work.reading, &work.text, self.desk.book()) {
            self.understood
                .extend(work.reading.meanings.iter().map(|said| Kind::of(&said.meaning)));
            self.put_question(&ask, work, 0);
            return Went::Asked;
        }
        let mut went = Went::Through;
        for (index, said) in work.reading.meanings.iter().enumerate().skip(work.start) {
            if is_in_a_question(&said.meaning, &work.reading) {
                continue;
            }
            let meaning = in_hand(&self.desk, &said.meaning);
            if self.understood.is_empty() || !is_remark(&meaning) {
                self.understood.push(Kind::of(&meaning));
            }
            self.desk.turn_to(index, &work.settled);
            let before = self.desk.mark();
            if !roles::may_say(roles::role(&self.desk), &meaning) {
                self.understood.pop();
                self.understood.push(Kind::Unclear);
                self.desk.say(Part::OwnersOnly);
                continue;
            }
            match carry_out(&mut self.desk, self.state, &meaning) {
                Ok(()) if self.desk.says_not_yet() => {
                    self.understood.pop();
                    self.understood.push(Kind::Unclear);
                }
                Ok(()) => self.heard(work, &meaning),
                Err(Stop::Ask(ask)) => {
                    self.desk.back_to(before);
                    self.put_question(&ask, work, index);
                    return Went::Asked;
                }
                Err(Stop::Refused(refused)) => {
                    self.desk.back_to(before);
                    self.desk.say(Part::Refused(refused));
                    went = Went::Refused;
                }
            }
        }
        if let Some(odd) = self.desk.take_odd() {
            self.put_question(&odd, work, work.start);
        }
        went
    }

    /// Keeps what of a meaning that was carried out matters for the cautions.
    fn heard(&mut self, work: &Work, meaning: &Meaning) {
        match meaning {
            Meaning::Quote { .. } | Meaning::Revise { what_if: false, .. } => self.saying.priced = true,
            Meaning::Guide(said) => self.saying.guide.push(said.about.clone()),
            Meaning::Plan { .. } => self.saying.planned = true,
            Meaning::Here { .. } => self.saying.here = true,
            Meaning::Note { .. } | Meaning::Revise { .. } => {}
            _ => return,
        }
        if !self.saying.texts.contains(&work.text) {
            self.saying.texts.push(work.text.clone());
        }
    }

    /// A message of which nothing was understood but that asks something of a plant is a question for the guide.
    fn hear_question(&mut self, work: &Work) {
        let unread = self.understood.is_empty()
            && work.reading.meanings.is_empty()
            && work.reading.doubts.is_empty()
            && self.desk.has_nothing_to_say();
        let Some(asked) = guide::guess(&self.desk, &work.text).filter(|_| unread) else {
            return;
        };
        if guide::answer(&mut self.desk, &asked).is_ok() {
            self.guessed = true;
            self.understood.push(Kind::Guide);
            self.heard(work, &Meaning::Guide(asked));
        }
    }

    /// A message of which nothing was understood but a word that a caution hears is a remark.
    fn hear_remark(&mut self, work: &Work) {
        let remark = self.understood.is_empty()
            && work.reading.meanings.is_empty()
            && work.reading.doubts.is_empty()
            && self.desk.has_nothing_to_say()
            && guide::calls_up_a_caution(&work.text);
        if remark {
            self.understood.push(Kind::Guide);
            self.saying.texts.push(work.text.clone());
        }
    }

    /// Asks; a question that can be answered in a word or two is kept open.
    fn put_question(&mut self, ask: &Ask, work: &Work, start: usize) {
        if ask.expecting != Expecting::Nothing {
            let open = ask.to_open(&work.text, work.said_at, work.read_as, start, work.settled.clone());
            self.desk.record(Event::QuestionAsked(open));
        } else if guide::calls_up_a_caution(&work.text) {
            // Nothing of the message waits for an answer, so what it told is heard now.
            self.saying.texts.push(work.text.clone());
        }
        self.desk.say(Part::Ask(Box::new(ask.clone())));
    }

    /// Says that an answer did not fit and asks the same again; nothing is recorded.
    fn ask_again(&mut self, question: &OpenQuestion) {
        self.desk.say(Part::Misfit);
        self.show_question(question);
        self.understood = vec![Kind::Unclear];
    }

    /// After a look at something, repeats the question that is still open.
    fn remind(&mut self) {
        if let Some(open) = self.desk.talk().pending {
            self.show_question(&open.question);
        }
    }

    fn show_question(&mut self, question: &OpenQuestion) {
        let work = self.reopen(question, None);
        // What was asked about after it was taken in is asked again as if it had not been.
        let asked_after = self.desk.talk().pending.filter(|_| question.slot.hole == Hole::Odd);
        let before = asked_after.and_then(|pending| self.desk.state().without(&[pending.cause]));
        let mut aside = Turn {
            read: self.read,
            state: self.state,
            desk: self.desk.aside(before.as_ref()),
            understood: Vec::new(),
            saying: guide::Saying::default(),
            guessed: false,
        };
        aside.work_on(&work);
        let (_, parts) = aside.desk.into_work();
        for part in parts.into_iter().filter(|part| matches!(part, Part::Ask(_))) {
            self.desk.say(part);
        }
    }

    /// A photo without words: it is kept, and a question that is open stays open.
    fn keep_silent_photo(mut self) -> Outcome {
        media::keep(&mut self.desk);
        self.understood.push(Kind::Note);
        self.outcome()
    }

    fn finish(mut self, work: &Work) -> Outcome {
        let is_caption = self.desk.has_nothing_to_say() && media::has_something(self.desk.inbound);
        if is_caption && media::caption(&mut self.desk).is_ok() {
            self.understood = vec![Kind::Note];
            self.saying.texts.push(work.text.clone());
        }
        self.hear_question(work);
        self.hear_remark(work);
        if work.reading.meanings.is_empty() && self.understood.is_empty() {
            self.understood.push(Kind::Unclear);
        }
        guide::warn(&mut self.desk, &self.saying);
        if !self.desk.has_nothing_to_say() {
            let words = if self.guessed {
                Vec::new()
            } else {
                not_used(work, !self.saying.texts.is_empty())
            };
            if !words.is_empty() {
                self.desk.say(Part::NotUsed(words));
            }
        } else if self.understood.contains(&Kind::Guide) {
            guide::say(&mut self.desk, guide::nothing_new(&self.saying));
        } else {
            self.desk.say(Part::Unclear(work.text.clone()));
        }
        media::keep(&mut self.desk);
        self.outcome()
    }

    fn outcome(mut self) -> Outcome {
        self.understood.dedup();
        let of_clock = [
            Kind::Here,
            Kind::Pause,
            Kind::Resume,
            Kind::Finish,
            Kind::Undo,
            Kind::Unclear,
        ];
        if !self.understood.iter().any(|kind| of_clock.contains(kind)) {
            clock::say_forgotten(&mut self.desk);
        }
        let role = roles::role(&self.desk);
        let (events, parts) = self.desk.into_work();
        let parts = roles::shown_to(role, parts);
        Outcome {
            events,
            answer: Answer {
                understood: self.understood,
                parts,
            },
        }
    }
}

impl Work {
    fn new(text: &str, read_as: Expecting, reading: Reading, said_at: Timestamp) -> Self {
        Work {
            text: text.to_string(),
            read_as,
            reading,
            start: 0,
            settled: Vec::new(),
            said_at,
        }
    }
}

/// Changes of the quote in hand.
fn revision(changes: Vec<Change>) -> Meaning {
    Meaning::Revise {
        changes,
        what_if: false,
        place: None,
    }
}

/// What a meaning is with the quote in hand: `2 more small`, said while one is, adds to it; a correction without one is a
/// count like any other; and minutes of a kind that is not on it are figures of the price list.
fn in_hand<'m>(desk: &Desk<'_>, meaning: &'m Meaning) -> Cow<'m, Meaning> {
    let current = desk.current_quote().filter(|quote| places::is_active(quote));
    match meaning {
        // `mediums at 8 min`, `$15 each for the smalls`: the kind is that of the quote in hand, and so is the figure.
        Meaning::Set(Setting::Service {
            class,
            new: false,
            minutes_each,
            material_each: None,
            price_each,
            ..
        }) if class.service.is_none()
            && class.unknown.is_none()
            && minutes_each.is_some() != price_each.is_some()
            && current.is_some_and(|quote| !revising::matching(&quote.sheet, class).is_empty()) =>
        {
            let minutes = minutes_each.map(|minutes| Change::Minutes(class.clone(), minutes));
            let price = price_each.map(|price| Change::PriceEach(class.clone(), price));
            Cow::Owned(revision(minutes.into_iter().chain(price).collect()))
        }
        // `Alder Ct`, said when the quote in hand has no place yet.
        Meaning::Answer(AnswerSaid::Place(place))
            if place.quote.is_none() && current.is_some_and(|quote| quote.place.is_none()) =>
        {
            Cow::Owned(revision(vec![Change::Place(place.clone())]))
        }
        Meaning::Quote { place, lines, changes }
            if lines.first().is_some_and(|line| line.more)
                && match place {
                    None => current.is_some(),
                    Some(place) => places::has_active(desk, place),
                } =>
        {
            let added = lines.iter().cloned().map(Change::Add);
            Cow::Owned(Meaning::Revise {
                changes: added.chain(changes.iter().cloned()).collect(),
                what_if: false,
                place: place.clone(),
            })
        }
        // "what's it run for fifteen boxwoods", with nothing in hand: a price asked for.
        Meaning::Revise {
            changes,
            what_if: true,
            place: None,
        } if current.is_none() => without_a_quote(desk, changes).map_or(Cow::Borrowed(meaning), Cow::Owned),
        Meaning::Revise {
            changes,
            what_if: false,
            place: None,
        } => match changes.as_slice() {
            [Change::Minutes(class, minutes)]
                if class.service.is_some()
                    && current.is_none_or(|quote| revising::matching(&quote.sheet, class).is_empty()) =>
            {
                Cow::Owned(Meaning::Set(Setting::Service {
                    class: class.clone(),
                    new: false,
                    unit: None,
                    minutes_each: Some(*minutes),
                    material_each: None,
                    price_each: None,
                }))
            }
            _ if current.is_none() => without_a_quote(desk, changes).map_or(Cow::Borrowed(meaning), Cow::Owned),
            _ => Cow::Borrowed(meaning),
        },
        _ => as_remark(desk, meaning),
    }
}

/// What changes mean when there is no quote that they could change: a figure of the account, the temperature, or counts.
fn without_a_quote(desk: &Desk<'_>, changes: &[Change]) -> Option<Meaning> {
    if changes == [Change::No(ExtraKind::Markup)] {
        return Some(Meaning::Set(Setting::Markup(rust_decimal::Decimal::ZERO)));
    }
    if let [Change::Quantity(line)] = changes
        && let Some(air) = guide::as_air(&desk.inbound.text, line)
    {
        return Some(Meaning::Guide(air));
    }
    counted_anew(changes).map(|lines| Meaning::Quote {
        place: None,
        lines,
        changes: Vec::new(),
    })
}

/// `seven of them`, said when it was asked how many.
fn how_many(question: &OpenQuestion, line: &LineSaid) -> Option<Fill> {
    let nameless = line.class.service.is_none() && line.class.unknown.is_none() && line.class.size.is_none();
    match line.quantity {
        QuantitySaid::Exact(count) if nameless && question.expecting == Expecting::Count => Some(Fill::Number(count)),
        _ => None,
    }
}

/// `4 small 2 large`, said when the size of six was asked: the parts as they can be said behind the count.
fn adds_up(asked: &LineSaid, parts: &[LineSaid]) -> Option<String> {
    let exact = |line: &LineSaid| match line.quantity {
        QuantitySaid::Exact(count) => Some(count),
        _ => None,
    };
    let sum: Option<rust_decimal::Decimal> = parts.iter().map(exact).sum();
    if sum.is_none() || sum != exact(asked) || parts.iter().any(|part| part.class.size.is_none()) {
        return None;
    }
    let said = parts
        .iter()
        .filter_map(|part| Some(format!("{} {}", exact(part)?.normalize(), part.class.size.as_deref()?)));
    Some(said.collect::<Vec<_>>().join(" and "))
}

/// `they're large`, said when a size was asked, is the answer.
fn answer_in_a_change(question: &OpenQuestion, changes: &[Change]) -> Option<Fill> {
    match changes {
        [Change::Recount { from, to }]
            if from.quantity == QuantitySaid::Unsaid && matches!(question.slot.hole, Hole::Kind | Hole::Size) =>
        {
            fill_for(question, &AnswerSaid::Class(to.clone()))
        }
        [Change::Quantity(line)] => how_many(question, line),
        _ => None,
    }
}

/// Changes that are nothing but counts of named kinds, as counts.
fn counted_anew(changes: &[Change]) -> Option<Vec<LineSaid>> {
    changes
        .iter()
        .map(|change| match change {
            Change::Quantity(line) if line.class.service.is_some() => Some(line.clone()),
            _ => None,
        })
        .collect()
}

/// Whether a message only asks to be shown something, so that an open question can stay open.
fn only_looks(reading: &Reading) -> bool {
    !reading.meanings.is_empty()
        && reading.doubts.is_empty()
        && reading.meanings.iter().all(|said| {
            matches!(
                said.meaning,
                Meaning::Look(_) | Meaning::Menu | Meaning::Guide(_) | Meaning::House(_)
            )
        })
}

/// A kind or a place alone that no question asked for is a question for the guide, when its words ask one, or a remark,
/// when a caution hears it.
fn as_remark<'m>(desk: &Desk<'_>, meaning: &'m Meaning) -> Cow<'m, Meaning> {
    let alone = matches!(meaning, Meaning::Answer(AnswerSaid::Class(_) | AnswerSaid::Place(_)));
    if let Some(asked) = guide::guess(desk, &desk.inbound.text).filter(|_| alone) {
        return Cow::Owned(Meaning::Guide(asked));
    }
    if !alone || !guide::calls_up_a_caution(&desk.inbound.text) {
        return Cow::Borrowed(meaning);
    }
    Cow::Owned(Meaning::Guide(GuideSaid {
        words: desk.inbound.text.clone(),
        ..GuideSaid::default()
    }))
}

/// Whether a kind that stands by itself belongs to a question for the guide in the same message (`she wants the azaleas cut
/// now, will they bloom`).
fn is_in_a_question(meaning: &Meaning, reading: &Reading) -> bool {
    let Meaning::Answer(AnswerSaid::Class(class)) = meaning else {
        return false;
    };
    let asks_of_it = |said: &Said| matches!(&said.meaning, Meaning::Guide(asked) if asked.plant == class.service);
    class.service.is_some() && reading.meanings.iter().any(asks_of_it)
}

/// Whether a meaning is a remark, which beside anything else is only for the cautions to hear.
fn is_remark(meaning: &Meaning) -> bool {
    matches!(meaning, Meaning::Guide(said) if matches!(said.about, GuideAbout::Remark | GuideAbout::Tall(_)))
}

/// Whether it was asked where the account works.
fn asks_where(question: &OpenQuestion) -> bool {
    matches!(question.slot.hole, Hole::Region | Hole::LastFrost)
}

/// Whether a message says where the account works, and nothing else.
fn sets_where(reading: &Reading) -> bool {
    let place = |said: &Said| {
        matches!(
            said.meaning,
            Meaning::Set(Setting::State(_) | Setting::HardinessZone(_) | Setting::LastFrost(..))
        )
    };
    !reading.meanings.is_empty() && reading.doubts.is_empty() && reading.meanings.iter().all(place)
}

/// Whether a message declines to say.
fn declines(reading: &Reading) -> bool {
    matches!(
        reading.meanings.as_slice(),
        [Said {
            meaning: Meaning::Answer(AnswerSaid::No),
            ..
        }]
    )
}

/// The left-over words that nothing heard.
fn not_used(work: &Work, cautions_heard: bool) -> Vec<String> {
    let clause = |span: Span| {
        let stop = |c: char| matches!(c, ',' | '.' | ';' | '!' | '?' | '\n');
        let from = work.text[..span.start].rfind(stop).map_or(0, |at| at + 1);
        let to = work.text[span.end..]
            .find(stop)
            .map_or(work.text.len(), |at| span.end + at);
        &work.text[from..to]
    };
    let heard = |words: &&LeftOver| cautions_heard && guide::is_heard(&words.text, clause(words.span));
    let left = work.reading.left_over.iter().filter(|words| !heard(words));
    left.map(|words| words.text.clone()).collect()
}

/// Whether a message begins by taking something back: an open question is the first thing to go.
fn takes_back(reading: &Reading) -> bool {
    matches!(
        reading.meanings.first(),
        Some(Said {
            meaning: Meaning::Undo { .. },
            ..
        })
    )
}

/// The text with a stretch of it replaced; `None` when the stretch is not one of it.
pub(super) fn replace(text: &str, start: usize, end: usize, with: &str) -> Option<String> {
    Some(format!("{}{with}{}", text.get(..start)?, text.get(end..)?))
}

fn carry_out(desk: &mut Desk<'_>, before: &State, meaning: &Meaning) -> Worked {
    match meaning {
        Meaning::Set(figure) => setting::set(desk, figure),
        Meaning::Quote {
            place: None,
            lines,
            changes,
        } if changes.is_empty() && quoting::could_join(desk, lines) => Err(quoting::ask_to_join(desk, lines).into()),
        Meaning::Quote { place, lines, changes } => quoting::quote(desk, place.as_ref(), lines, changes),
        Meaning::Revise {
            changes,
            what_if,
            place,
        } => revising::revise(desk, changes, *what_if, place.as_ref()),
        Meaning::Solve(solve) => solving::solve(desk, solve),
        Meaning::Finish(said) => finish::finish(desk, said),
        Meaning::Won { place, price } => jobs::won(desk, place.as_ref(), *price),
        Meaning::Lost { place, reason, price } => jobs::lost(desk, place.as_ref(), reason.as_deref(), *price),
        Meaning::Plan { place, when, moved } => planning::plan(desk, place.as_ref(), *when, *moved),
        Meaning::Shift { from, to } => planning::shift(desk, *from, *to),
        Meaning::Order { places, turn, day } => ordering::order(desk, places, *turn, *day),
        Meaning::Settled { place } => paying::settled(desk, place.as_ref()),
        Meaning::Again { place } => coming_back::again(desk, place.as_ref()),
        Meaning::Clock(said) => clock::told(desk, said),
        Meaning::Paid { place, amount, method } => paying::paid(desk, place.as_ref(), *amount, method.as_deref()),
        Meaning::Look(what) => look::look(desk, what),
        Meaning::Undo { steps } => taking_back::undo(desk, before, *steps),
        Meaning::Note { place, text } => jobs::note(desk, place.as_ref(), text),
        Meaning::Menu => {
            desk.say(Part::Menu);
            Ok(())
        }
        Meaning::House(said) => house::house(desk, said),
        Meaning::Here { place, crew, at } => clock::here(desk, place.as_ref(), *crew, *at),
        Meaning::Pause { at } => clock::pause(desk, *at),
        Meaning::Resume { at } => clock::resume(desk, *at),
        Meaning::Time(series) => minutes::time(desk, series),
        Meaning::Members(MembersSaid::Calendar) => calendar::open(desk),
        Meaning::Members(MembersSaid::NoCalendar) => calendar::shut(desk),
        Meaning::Members(MembersSaid::Prices { name, show }) => roles::prices(desk, name.as_deref(), *show),
        Meaning::Members(MembersSaid::Quoting { name, allow }) => roles::quoting(desk, name.as_deref(), *allow),
        Meaning::Answer(AnswerSaid::Place(PlaceSaid { quote: Some(no), .. })) => reports::show_numbered(desk, *no),
        Meaning::Guide(said) => guide::answer(desk, said),
        Meaning::PlaceCaution { place, text } => guide::place_caution(desk, place.as_ref(), text),
        Meaning::Answer(_) => {
            desk.say(Part::Unclear(desk.inbound.text.clone()));
            Ok(())
        }
    }
}
