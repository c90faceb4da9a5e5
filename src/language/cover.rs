//! The best cover: which phrases, side by side, account for the words of a message with least left over?
//!
//! Every wording is tried at every word; a shortest-path search over positions then picks the set of phrases that does not
//! overlap and earns most. A word in a phrase earns, a word left over costs, a number left over costs most: a reading that
//! uses every number beats one that does not (P1).

use super::chart::Chart;
use super::lexicon::Class;
use super::meaning::{Change, Meaning};
use super::needs::Bits;
use super::pattern::Cap;
use super::phrases::{Cue, Phrase, Placed};
use super::rules::number;
use super::stands::{Stretch, stop};
use super::token::TokenKind;
use super::wordings::Wordings;
use super::words::Words;

/// Points for each word in a phrase.
const WORD_GAIN: i32 = 6;
/// Points off for each phrase, so that one phrase beats two.
const PHRASE_COST: i32 = 10;
/// Points off for a number left over.
const NUMBER_LEFT_COST: i32 = 24;
/// Points off for a word left over that nothing knows.
const UNKNOWN_LEFT_COST: i32 = 4;
/// Points off for a known word left over.
const KNOWN_LEFT_COST: i32 = 2;

/// The cover: phrases and skipped words in order.
pub(super) struct Cover {
    /// The phrases, in order; stops among them.
    pub(super) placed: Vec<Placed>,
    /// Words that no phrase took.
    pub(super) left: Vec<usize>,
}

#[derive(Clone, Copy)]
struct Step {
    score: i32,
    from: usize,
    /// The phrase that was taken, by its number among those that begin there.
    phrase: Option<usize>,
}

/// Finds the best cover.
pub(super) fn cover(words: &Words<'_>, wordings: &Wordings) -> Cover {
    let chart = Chart::new(words);
    let met = wordings.met(words);
    let mut caps = Vec::new();
    let start = |score| Step {
        score,
        from: 0,
        phrase: None,
    };
    let mut best = vec![start(i32::MIN); words.len() + 1];
    best[0] = start(0);
    let mut all = Vec::with_capacity(words.len());
    for at in 0..words.len() {
        let here = best[at].score;
        let mut reach = |to: usize, score: i32, phrase: Option<usize>| {
            if score > best[to].score {
                best[to] = Step {
                    score,
                    from: at,
                    phrase,
                };
            }
        };
        reach(at + 1, here - left_cost(words, at), None);
        let found = candidates(words, wordings, (&chart, &met), (at, &mut caps));
        for (index, candidate) in found.iter().enumerate() {
            reach(candidate.placed.to, here + candidate.gain, Some(index));
        }
        all.push(found);
    }
    trace(words, &best, &all)
}

fn trace(words: &Words<'_>, best: &[Step], all: &[Vec<Candidate>]) -> Cover {
    let mut placed = Vec::new();
    let mut left = Vec::new();
    let mut at = words.len();
    while at > 0 {
        let step = best[at];
        match step.phrase {
            Some(index) => placed.push(all[step.from][index].placed.clone()),
            None => match stop(words, step.from) {
                Some(strong) => placed.push(Placed {
                    to: at,
                    rule: "stop",
                    phrase: Phrase::Stop(strong),
                    span: words.span(step.from, at),
                }),
                None => left.push(step.from),
            },
        }
        at = step.from;
    }
    placed.reverse();
    left.reverse();
    Cover { placed, left }
}

fn left_cost(words: &Words<'_>, at: usize) -> i32 {
    let Some(token) = words.get(at) else { return 0 };
    match token.kind {
        TokenKind::Sign(_) | TokenKind::Break => 0,
        TokenKind::Number(_) | TokenKind::Clock(..) => NUMBER_LEFT_COST,
        TokenKind::Word if words.is(at, Class::CONTEXT) && listed(words, at) => 8,
        TokenKind::Word if words.is(at, Class::CONTEXT.or(Class::LEAD).or(Class::FILLER)) => 1,
        TokenKind::Word if words.is(at, Class::UNITS.or(Class::TENS)) && !words.is(at, Class::ONES) => NUMBER_LEFT_COST,
        TokenKind::Word if words.is(at, Class::SIZE) || words.kinds(at).iter().any(|hit| hit.whole) => 8,
        TokenKind::Word if token.class == Class::NONE => UNKNOWN_LEFT_COST,
        TokenKind::Word => KNOWN_LEFT_COST,
    }
}

/// A common word that is a kind too counts as one where a list would have it (`mow and edge`).
fn listed(words: &Words<'_>, at: usize) -> bool {
    let opens = at == 0 || stop(words, at - 1).is_some();
    let closes = at + 1 == words.len() || stop(words, at + 1).is_some() || words.one_of(at + 1, &["at", "for"]);
    opens && closes && words.kinds(at).iter().any(|hit| hit.whole)
}

/// A phrase that could stand, and what it earns.
struct Candidate {
    gain: i32,
    placed: Placed,
}

/// The phrases that begin at a word: of those that end together only the best, of equals the first.
fn candidates<'c>(
    words: &Words<'_>,
    wordings: &Wordings,
    (chart, met): (&'c Chart<'_, '_>, &Bits),
    (at, caps): (usize, &mut Vec<&'c Cap>),
) -> Vec<Candidate> {
    let mut found: Vec<Candidate> = Vec::new();
    let mut push = |gain: i32, to: usize, rule: &'static str, phrase: Phrase| {
        let span = words.span(at, to);
        let placed = Placed { to, rule, phrase, span };
        match found.iter_mut().find(|other| other.placed.to == to) {
            Some(other) if other.gain >= gain => {}
            Some(other) => *other = Candidate { gain, placed },
            None => found.push(Candidate { gain, placed }),
        }
    };
    for wording in wordings.at(words, at, chart, met) {
        wording.pattern.matches(words, at, chart, caps, |end, caps| {
            let here = Stretch {
                words,
                from: at,
                to: end,
            };
            if end == at || wording.stands.is_some_and(|stands| !stands(here)) {
                return;
            }
            if let Some(phrase) = (wording.build)(caps, words).filter(|phrase| !counts_more(words, end, phrase)) {
                push(gain(words, at, end, wording.bonus, &phrase), end, wording.name, phrase);
            }
        });
    }
    match words.get(at).map(|t| t.kind) {
        Some(TokenKind::Clock(hours, minutes)) => push(2, at + 1, "clock", Phrase::Clock(hours, minutes)),
        _ => {
            if let Some(n) = number::number(words, at) {
                push(-6, n.end, "number alone", Phrase::Bare(n.value));
            }
            if let Some(end) = number::aloud(words, at) {
                push(WORD_GAIN, end, "counting aloud", Phrase::Aside);
            }
            if let Some((left, right, end)) = number::pair(words, at) {
                push(-6, end, "two numbers", Phrase::Pair(left, right));
            }
        }
    }
    found
}

/// `might do 3 small hollies`: the number that would be a price counts what follows it.
fn counts_more(words: &Words<'_>, end: usize, phrase: &Phrase) -> bool {
    let priced = match phrase {
        Phrase::Change(changes) => matches!(
            changes.as_slice(),
            [Change::Price(_) | Change::DiscountMoney(_) | Change::MoreOffMoney(_)]
        ),
        Phrase::Cue(Cue::Won(price) | Cue::Paid(price, _)) => price.is_some(),
        // "what would I charge for a dozen large crapes".
        Phrase::Whole(meaning) => matches!(**meaning, Meaning::Solve(_)),
        _ => false,
    };
    let numbered = |at: usize| {
        matches!(words.get(at).map(|t| t.kind), Some(TokenKind::Number(_)))
            || words.is(
                at,
                Class::UNITS
                    .or(Class::TENS)
                    .or(Class::DOZEN)
                    .or(Class::COUPLE)
                    .or(Class::HUNDRED),
            )
    };
    let counted = Class::SIZE
        .or(Class::UNIT)
        .or(Class::PEOPLE)
        .or(Class::MINUTE)
        .or(Class::HOUR)
        .or(Class::GENERIC);
    priced && numbered(end - 1) && (words.is(end, counted) || words.kinds(end).iter().any(|hit| hit.whole))
}

fn gain(words: &Words<'_>, from: usize, to: usize, bonus: i32, phrase: &Phrase) -> i32 {
    let said = (from..to)
        .filter(|at| words.get(*at).is_some_and(|t| !matches!(t.kind, TokenKind::Sign(_))))
        .count();
    let said = i32::try_from(said).unwrap_or(i32::MAX / 64);
    let more = match phrase {
        Phrase::Class(_) => -3,
        Phrase::When(when) => 10 * i32::from(when.day.is_some()),
        Phrase::Line(line) => 4 - 2 * line.cost + 2 * i32::from(line.line.class.service.is_some()),
        Phrase::Place(place) => {
            let numbered = matches!(words.get(from).map(|t| t.kind), Some(TokenKind::Number(_)));
            // "13 Hedge Row" as it is on a sign.
            let signed = numbered && (from + 1..to).all(|at| words.get(at).is_some_and(|t| t.capital));
            6 * i32::from(place.known) + 4 * i32::from(numbered) + 6 * i32::from(signed)
        }
        Phrase::Whole(meaning) => match &**meaning {
            Meaning::PlaceCaution { place: Some(place), .. } => 6 * i32::from(place.known),
            _ => 0,
        },
        Phrase::Lead | Phrase::Cue(Cue::New) => -2,
        _ => 0,
    };
    WORD_GAIN * said + 2 * bonus + more - PHRASE_COST
}
