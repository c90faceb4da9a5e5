//! What a voice note comes to, when it may have been heard in more than one way.
//!
//! Every way that it may have been heard is handled on the same state, which costs next to nothing because handling is
//! pure. Where those that mean something come to the same facts, nothing is asked, however the words differ: a comma, a
//! spelling of a street. Where they come to different money it is asked, with what each would make beside it (P2). A way
//! that means nothing does not count against one that does: people speak sense, recognisers slip.

use super::{
    Context, Inbound, Outcome, Unheard, Words,
    answer::{Answer, Kind, Part},
    ask::{Ask, Choice, Label, Question},
    turn::{Reader, handle_text},
};
use crate::{
    journal::{Event, Fill, Hole, Item, Slot, State},
    language::Expecting,
    units::{Money, Timestamp},
};

/// Ways that are offered in a question.
const WAYS_OFFERED_MAX: usize = 4;

/// One way to hear a note, and what it comes to.
struct Way {
    text: String,
    outcome: Outcome,
}

/// Handles a note with its words and the other ways to hear it.
pub(super) fn settle(read: Reader<'_>, state: &State, inbound: &Inbound, ctx: &Context, words: &Words) -> Outcome {
    let ways = ways(read, state, inbound, ctx, words);
    let mut apart: Vec<&Way> = Vec::new();
    for way in sensible(&ways) {
        if apart.iter().all(|known| !same_money(&known.outcome, &way.outcome)) {
            apart.push(way);
        }
    }
    apart.truncate(WAYS_OFFERED_MAX);
    let asks = match apart.as_slice() {
        [] => false,
        [only] => (words.doubtful || leaves_words(&only.outcome)) && has_money(&only.outcome),
        _ => true,
    };
    let chosen = apart.first().copied().unwrap_or(&ways[0]);
    let mut outcome = if !asks {
        chosen.outcome.clone()
    } else if state.talk(inbound.member).pending.is_some() {
        // A question is open, and "2" must go on meaning what it means there.
        not_sure(&apart)
    } else {
        ask(&apart, inbound.at)
    };
    outcome.answer.parts.insert(0, Part::Heard(chosen.text.clone()));
    outcome
}

/// What is said of a note that gave no words. Nothing is recorded, and a question that is open stays open.
pub(super) fn nothing(why: Unheard) -> Outcome {
    Outcome {
        events: Vec::new(),
        answer: Answer {
            understood: vec![Kind::Unclear],
            parts: vec![Part::Unheard(why)],
        },
    }
}

/// Whether two outcomes record the same facts and work out the same figures, whatever the names of places are.
pub fn same_money(one: &Outcome, other: &Outcome) -> bool {
    facts(one) == facts(other) && sums(one) == sums(other)
}

/// Whether an outcome says and changes what it should, with nothing to be asked first.
pub fn settles(outcome: &Outcome) -> bool {
    !outcome.answer.parts.iter().any(|part| {
        matches!(
            part,
            Part::Ask(_) | Part::Unclear(_) | Part::Misfit | Part::Refused(_) | Part::NotYet(_)
        )
    })
}

fn ways(read: Reader<'_>, state: &State, inbound: &Inbound, ctx: &Context, words: &Words) -> Vec<Way> {
    let mut ways: Vec<Way> = Vec::new();
    // Words that were written with the note come before those that were said.
    let written = inbound.text.strip_suffix(words.text.as_str()).unwrap_or_default();
    for text in std::iter::once(&words.text).chain(&words.others) {
        if ways.iter().any(|way| way.text == *text) {
            continue;
        }
        let spoken = Inbound {
            text: format!("{written}{text}"),
            heard: None,
            ..inbound.clone()
        };
        ways.push(Way {
            text: text.clone(),
            outcome: handle_text(read, state, &spoken, ctx),
        });
    }
    ways
}

/// The ways that say what they should. Where one of them makes use of all its words, those with words left over do not
/// count against it: a slip leaves words behind, and what was really said seldom does.
fn sensible(ways: &[Way]) -> Vec<&Way> {
    let settled: Vec<&Way> = ways.iter().filter(|way| settles(&way.outcome)).collect();
    let whole = |way: &Way| has_money(&way.outcome) && !leaves_words(&way.outcome);
    if settled.iter().copied().any(whole) {
        settled.into_iter().filter(|way| !leaves_words(&way.outcome)).collect()
    } else {
        settled
    }
}

fn has_money(outcome: &Outcome) -> bool {
    !facts(outcome).is_empty() || !sums(outcome).is_empty()
}

/// Whether words were not used. Typed, they are beside the point; heard, they are what a slip leaves behind.
fn leaves_words(outcome: &Outcome) -> bool {
    outcome.answer.parts.iter().any(|part| matches!(part, Part::NotUsed(_)))
}

/// The facts, without what was said and where.
fn facts(outcome: &Outcome) -> Vec<Event> {
    let stripped = |event: &Event| match event {
        Event::MessageHeard { .. }
        | Event::PlaceNamed { .. }
        | Event::NoteKept { .. }
        | Event::QuestionAsked(_)
        | Event::QuestionClosed
        | Event::ServiceMentioned { .. }
        | Event::QuoteShown { .. } => None,
        Event::QuoteGiven { no, sheet, total, .. } => Some(Event::QuoteGiven {
            no: *no,
            place: None,
            sheet: sheet.clone(),
            total: *total,
        }),
        Event::QuoteRevised { no, sheet, total, .. } => Some(Event::QuoteRevised {
            no: *no,
            place: None,
            sheet: sheet.clone(),
            total: *total,
        }),
        other => Some(other.clone()),
    };
    outcome.events.iter().filter_map(stripped).collect()
}

/// Figures that were worked out and not recorded.
fn sums(outcome: &Outcome) -> Vec<&Part> {
    let worked_out = |part: &&Part| matches!(part, Part::Solved(_));
    outcome.answer.parts.iter().filter(worked_out).collect()
}

/// What a way would make, where it makes a quote or an agreed price.
fn total(outcome: &Outcome) -> Option<Money> {
    outcome.events.iter().rev().find_map(|event| match event {
        Event::QuoteGiven { total, .. } | Event::QuoteRevised { total, .. } => Some(*total),
        _ => None,
    })
}

/// Asks which of several ways it was; with one way, whether it was that.
fn ask(apart: &[&Way], said_at: Timestamp) -> Outcome {
    let slot = Slot {
        meaning: 0,
        item: Item::Whole,
        hole: Hole::Reading,
    };
    let mut choices: Vec<Choice> = apart
        .iter()
        .map(|way| Choice {
            label: Label::Heard {
                text: way.text.clone(),
                total: total(&way.outcome),
            },
            fill: Fill::Say(way.text.clone()),
        })
        .collect();
    choices.push(Choice {
        label: Label::SayAgain,
        fill: Fill::No,
    });
    let ask = Ask::choice(slot, Question::WhichHeard(apart.len()), choices);
    let text = apart.first().map(|way| way.text.clone()).unwrap_or_default();
    let open = ask.to_open(&text, said_at, Expecting::Nothing, 0, Vec::new());
    let mut understood: Vec<Kind> = apart
        .iter()
        .flat_map(|way| way.outcome.answer.understood.clone())
        .collect();
    understood.dedup();
    Outcome {
        events: vec![Event::MessageHeard { text }, Event::QuestionAsked(open)],
        answer: Answer {
            understood,
            parts: vec![Part::Ask(ask)],
        },
    }
}

/// Says that it could have been several things, while a question is open; nothing is recorded.
fn not_sure(apart: &[&Way]) -> Outcome {
    Outcome {
        events: Vec::new(),
        answer: Answer {
            understood: vec![Kind::Unclear],
            parts: vec![Part::HeardSeveral(apart.iter().map(|way| way.text.clone()).collect())],
        },
    }
}
