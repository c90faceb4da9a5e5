//! Questions that work a price backwards, in words that no wording has: what is asked, and the one figure in it.
//!
//! There are more ways to ask `what do I make an hour at 250` than anybody writes down. When a message asks, counts
//! nothing and holds one figure, then what it asks for and what the figure is (dollars, an hourly rate, a time) settle the
//! question; and a message that asks is never taken for a change of the quote.

use rust_decimal::Decimal;

use super::chart::Chart;
use super::lexicon::Class;
use super::meaning::{Doubt, Meaning, MinutesSaid, Said, Solve};
use super::pattern::{Cap, Dim};
use super::rules::number::number;
use super::token::TokenKind;
use super::words::Words;

/// The one figure of a message.
enum Figure {
    Money { value: Decimal, each: bool, hourly: bool },
    Time { said: MinutesSaid, man: bool },
}

/// Puts the question in place of what was made of its words; false when it is none.
pub(super) fn settle(words: &Words<'_>, meanings: &mut Vec<Said>, doubts: &mut Vec<Doubt>) -> bool {
    let beside = |said: &Said| {
        matches!(
            said.meaning,
            Meaning::Revise { .. } | Meaning::Answer(_) | Meaning::Set(_)
        )
    };
    if !asks(words) || !meanings.iter().all(beside) {
        return false;
    }
    let chart = Chart::new(words);
    let Some((figure, crew)) = only_figure(words, &chart) else {
        return false;
    };
    let Some(solve) = solve(words, &figure, crew) else {
        return false;
    };
    *meanings = vec![Said {
        meaning: Meaning::Solve(solve),
        span: words.span(0, words.len()),
    }];
    doubts.clear();
    true
}

/// Somewhere a word asks, and no word supposes a change (`what if they take 7`).
fn asks(words: &Words<'_>) -> bool {
    let question = |at: usize| words.is(at, Class::ASKS);
    let supposes = |at: usize| {
        words.one_of(at, &["what", "how"]) && words.one_of(at + 1, &["if", "about"]) || words.spelled(at, "suppose")
    };
    (0..words.len()).any(question) && !(0..words.len()).any(supposes)
}

fn any(words: &Words<'_>, class: Class) -> bool {
    (0..words.len()).any(|at| words.is(at, class))
}

fn solve(words: &Words<'_>, figure: &Figure, crew: Option<u32>) -> Option<Solve> {
    let hour = matches!(figure, Figure::Money { .. }) && any(words, Class::HOUR);
    let pays = hour || any(words, Class::PAYS);
    match figure {
        Figure::Money {
            value, hourly: true, ..
        } if any(words, Class::LEAD) => Some(Solve::PriceForRate { rate: *value }),
        Figure::Money { value, each, .. } if any(words, Class::PACE) => Some(Solve::MinutesForPrice {
            price: *value,
            each: *each || any(words, Class::EACH),
            class: None,
        }),
        Figure::Money {
            value,
            each,
            hourly: false,
        } if pays && crew.is_none() => Some(Solve::RateAtPrice {
            price: *value,
            each: *each,
            class: None,
        }),
        Figure::Time { said, man } if pays => Some(Solve::RateIfTime {
            minutes: *said,
            each: false,
            man_minutes: *man,
            crew,
            class: None,
        }),
        _ => None,
    }
}

/// The only figure of a message, and people beside it; nothing when there are two, or when it counts something.
fn only_figure(words: &Words<'_>, chart: &Chart<'_, '_>) -> Option<(Figure, Option<u32>)> {
    let (mut found, mut crew) = (None, None);
    let mut at = 0;
    while at < words.len() {
        if let Some((end, Cap::Crew(people))) = chart.values(Dim::Crew, at).first() {
            crew = Some(*people);
            at = *end;
            continue;
        }
        let Some((figure, end)) = figure_at(words, chart, at) else {
            // A count or a percentage beside it: no such question.
            if number(words, at).is_some() {
                return None;
            }
            at += 1;
            continue;
        };
        if found.replace(figure).is_some() {
            return None;
        }
        at = end;
    }
    found.map(|figure| (figure, crew))
}

fn figure_at(words: &Words<'_>, chart: &Chart<'_, '_>, at: usize) -> Option<(Figure, usize)> {
    // "an hour" alone asks for a rate; "what if it takes an hour" has wordings of its own.
    let numbered = number(words, at).is_some() || words.sign(at, '$');
    if !numbered {
        let clock = matches!(words.get(at).map(|token| token.kind), Some(TokenKind::Clock(..)));
        return clock
            .then(|| chart.values(Dim::Mins, at).first())
            .flatten()
            .and_then(time);
    }
    if let Some(found) = chart.values(Dim::Dur, at).first().and_then(time) {
        return Some(found);
    }
    let (end, cap) = chart.values(Dim::Money, at).first()?;
    let Cap::Money(value, _) = cap else { return None };
    let counted = Class::SIZE.or(Class::UNIT).or(Class::GENERIC).or(Class::PERCENT);
    if words.is(*end, counted) || words.kinds(*end).iter().any(|hit| hit.whole) {
        return None;
    }
    let hourly = chart.values(Dim::PerHour, *end).first().map(|(end, _)| *end);
    let each = chart.values(Dim::EachUnit, *end).first().map(|(end, _)| *end);
    let figure = Figure::Money {
        value: *value,
        each: each.is_some(),
        hourly: hourly.is_some(),
    };
    Some((figure, hourly.or(each).unwrap_or(*end)))
}

fn time((end, cap): &(usize, Cap)) -> Option<(Figure, usize)> {
    match cap {
        Cap::Mins(said, man, true) => Some((Figure::Time { said: *said, man: *man }, *end)),
        _ => None,
    }
}
