//! The reading as it is handed on: pieces with rule and canonical value, words left over, figures out of range.

use rust_decimal::Decimal;

use super::accounted::numbers_without_role;
use super::compose::Composed;
use super::cover::Cover;
use super::lexicon::Class;
use super::lines::line_text;
use super::meaning::{
    Change, ClassSaid, Doubt, LeftOver, LineSaid, Meaning, MinutesSaid, Piece, QuantitySaid, Reading, Said, Setting,
    Span,
};
use super::phrases::recount::{GONE, OF_THEM};
use super::phrases::{Cue, Phrase, Placed};
use super::token::{TOO_LARGE, TokenKind};
use super::words::Words;

/// Most of anything that can be counted.
const COUNT_MAX: i64 = 100_000;
/// Highest rate, dollars per man-hour.
const RATE_MAX: i64 = 10_000;
/// Longest time, minutes: a hundred thousand is more than two months without sleep.
const MINUTES_MAX: i64 = 100_000;
/// Highest sum, dollars.
const MONEY_MAX: i64 = 10_000_000;

/// The reading of a text that is too long to be one.
pub(super) fn too_long(text: &str) -> Reading {
    let mut end = 60.min(text.len());
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    let span = Span {
        start: 0,
        end: text.len(),
    };
    Reading {
        left_over: vec![LeftOver {
            text: format!("{}…", &text[..end]),
            span,
        }],
        ..Reading::default()
    }
}

/// A question mark alone asks what can be said.
pub(super) fn menu(text: &str) -> Reading {
    let span = Span {
        start: 0,
        end: text.len(),
    };
    Reading {
        meanings: vec![Said {
            meaning: Meaning::Menu,
            span,
        }],
        ..Reading::default()
    }
}

/// Puts the reading together.
pub(super) fn reading(words: &Words<'_>, cover: Cover, composed: Composed) -> Reading {
    let mut reading = Reading {
        left_over: left_over(words, &cover, &composed.named)
            .into_iter()
            .chain(asides(words, &cover, &composed.sums))
            .collect(),
        meanings: composed.meanings,
        pieces: Vec::new(),
        doubts: composed.doubts,
    };
    out_of_range(&mut reading);
    if !composed.asked {
        numbers_left(words, &cover, &mut reading);
        numbers_without_role(words, &cover, &composed.sums, &mut reading);
    }
    let said = cover
        .placed
        .into_iter()
        .filter(|p| !matches!(p.phrase, Phrase::Stop(_)));
    reading.pieces = said
        .map(|placed| Piece {
            span: placed.span,
            rule: placed.rule,
            phrase: placed.phrase,
        })
        .collect();
    reading
}

impl Piece {
    /// Its value in canonical text (`number 12`, `time 45 min`, `kind crape myrtle small`).
    pub fn value(&self) -> String {
        canonical(&self.phrase)
    }
}

fn left_over(words: &Words<'_>, cover: &Cover, named: &[Span]) -> Vec<LeftOver> {
    let mut found: Vec<LeftOver> = Vec::new();
    let mut last = usize::MAX;
    for at in &cover.left {
        let quiet = Class::CONTEXT
            .or(Class::LEAD)
            .or(Class::FILLER)
            .or(Class::ONES)
            .or(Class::ARTICLE);
        let token = words.get(*at).expect("left words are words");
        if named
            .iter()
            .any(|name| name.start <= token.span.start && token.span.end <= name.end)
        {
            continue;
        }
        if !token.is_word() || token.class.any(quiet) || (token.class.any(Class::RULE) && !token.class.any(Class::SIZE))
        {
            continue;
        }
        if last != usize::MAX
            && last + 1 == *at
            && let Some(group) = found.last_mut()
        {
            group.span.end = token.span.end;
            group.text = words.tokens.text[group.span.start..group.span.end].to_string();
            last = *at;
            continue;
        }
        found.push(LeftOver {
            text: words.text(*at, *at + 1).to_string(),
            span: token.span,
        });
        last = *at;
    }
    found
}

/// Figures that price nothing: how tall a plant is, the parts of a count.
fn asides<'a>(words: &'a Words<'_>, cover: &'a Cover, sums: &'a [Span]) -> impl Iterator<Item = LeftOver> + 'a {
    let in_sum = move |span: Span| sums.iter().any(|sum| sum.start <= span.start && span.end <= sum.end);
    let told = move |piece: &&Placed| match piece.phrase {
        Phrase::Aside => true,
        Phrase::Bare(_) => in_sum(piece.span),
        Phrase::Line(ref counted) => [OF_THEM, GONE].contains(&counted.rule) && in_sum(piece.span),
        _ => false,
    };
    cover.placed.iter().filter(told).map(|piece| LeftOver {
        text: words.tokens.text[piece.span.start..piece.span.end].to_string(),
        span: piece.span,
    })
}

/// A number that the cover left over has no role (P1).
fn numbers_left(words: &Words<'_>, cover: &Cover, reading: &mut Reading) {
    for at in &cover.left {
        let token = words.get(*at).expect("left words are words");
        let value = match token.kind {
            TokenKind::Number(value) => value,
            TokenKind::Clock(hours, minutes) => Decimal::from(hours * 100 + minutes),
            TokenKind::Word if words.is(*at, Class::UNITS) && !words.is(*at, Class::ONES) => {
                words.value(*at, Class::UNITS).unwrap_or_default().into()
            }
            TokenKind::Word if words.is(*at, Class::TENS) => words.value(*at, Class::TENS).unwrap_or_default().into(),
            _ => continue,
        };
        let text = words.text(*at, *at + 1).to_string();
        reading.doubts.push(Doubt::NumberWithoutRole {
            text,
            value,
            span: token.span,
        });
    }
}

fn out_of_range(reading: &mut Reading) {
    let mut doubts = Vec::new();
    for said in &reading.meanings {
        for line in lines_of(&said.meaning) {
            check_line(line, &mut doubts);
        }
        match &said.meaning {
            Meaning::Set(Setting::Rate { rate, .. }) => check("rate", *rate, RATE_MAX, said.span, &mut doubts),
            Meaning::Set(Setting::Service {
                minutes_each: Some(m), ..
            }) => minutes(*m, said.span, &mut doubts),
            Meaning::Quote { changes, .. } | Meaning::Revise { changes, .. } => {
                changes
                    .iter()
                    .for_each(|change| check_change(change, said.span, &mut doubts));
            }
            _ => {}
        }
    }
    reading.doubts.extend(doubts);
}

fn check_line(line: &LineSaid, doubts: &mut Vec<Doubt>) {
    if let QuantitySaid::Exact(count) = line.quantity {
        check("count", count, COUNT_MAX, line.span, doubts);
    }
    if let Some(said) = line.minutes_each {
        minutes(said, line.span, doubts);
    }
}

fn check_change(change: &Change, span: Span, doubts: &mut Vec<Doubt>) {
    match change {
        Change::Rate(rate) => check("rate", *rate, RATE_MAX, span, doubts),
        Change::Minutes(_, said) => minutes(*said, span, doubts),
        Change::Price(money) | Change::DiscountMoney(money) | Change::MoreOffMoney(money) => {
            check("price", *money, MONEY_MAX, span, doubts)
        }
        Change::Crew(0) => {
            doubts.push(Doubt::OutOfRange {
                what: "crew",
                text: "0".to_string(),
                span,
            });
        }
        _ => {}
    }
}

fn minutes(said: MinutesSaid, span: Span, doubts: &mut Vec<Doubt>) {
    check("minutes", said.minutes, MINUTES_MAX, span, doubts);
}

fn check(what: &'static str, value: Decimal, most: i64, span: Span, doubts: &mut Vec<Doubt>) {
    if value <= Decimal::ZERO || value > Decimal::from(most) {
        let text = if value.abs() >= TOO_LARGE {
            "that number".to_string()
        } else {
            value.normalize().to_string()
        };
        doubts.push(Doubt::OutOfRange { what, text, span });
    }
}

fn class_text(class: &ClassSaid) -> String {
    let kind = class.service.as_deref().or(class.unknown.as_deref());
    [kind, class.size.as_deref()]
        .into_iter()
        .flatten()
        .collect::<Vec<_>>()
        .join(" ")
}

fn minutes_text(said: &MinutesSaid) -> String {
    match said.range {
        Some((low, high)) => format!("{} min ({low}-{high})", said.minutes.normalize()),
        None => format!("{} min", said.minutes.normalize()),
    }
}

/// The canonical text of a phrase.
fn canonical(phrase: &Phrase) -> String {
    match phrase {
        Phrase::Line(line) => format!("count {}", line_text(&line.line)),
        Phrase::Class(class) => format!("kind {}", class_text(class)),
        Phrase::Minutes { class, said, .. } => {
            format!(
                "minutes each {} {}",
                class.as_ref().map(class_text).unwrap_or_default(),
                minutes_text(said)
            )
        }
        Phrase::PriceEach { value, unit, .. } => format!("each ${value} {unit:?}"),
        Phrase::Rate(rate) => format!("rate ${rate}"),
        Phrase::Time { said, man, .. } => {
            format!("{} {}", if *man { "man-time" } else { "time" }, minutes_text(said))
        }
        Phrase::Crew(people, _) => format!("crew {people}"),
        Phrase::Place(place) => format!("place {}", place.name),
        Phrase::When(when) => format!("day {when:?}"),
        Phrase::Extra(kind, Some(value)) => format!("extra {kind:?} {value}"),
        Phrase::Extra(kind, None) => format!("no {kind:?}"),
        Phrase::Money(money) => format!("money ${money}"),
        Phrase::Bare(value) => format!("number {value}"),
        Phrase::Clock(left, right) => format!("clock {left}:{right:02}"),
        Phrase::Pair(left, right) => format!("two numbers {left} {right}"),
        Phrase::HereAt(place) => format!("here at {}", place.name),
        Phrase::Set(setting) => format!("set {setting:?}"),
        Phrase::Change(changes) => format!("change {changes:?}"),
        Phrase::Whole(meaning) => format!("{meaning:?}"),
        Phrase::Heard(said) => format!("heard {:?}", said.about),
        Phrase::Cue(cue) => match cue {
            Cue::Won(_) => "won".to_string(),
            Cue::Lost(_) => "lost".to_string(),
            Cue::Paid(..) => "paid".to_string(),
            other => format!("{other:?}").to_lowercase(),
        },
        Phrase::Correct => "correction".to_string(),
        Phrase::Lead => "asks for a price".to_string(),
        Phrase::Aside => "not used".to_string(),
        Phrase::Unsure(doubt) => format!("{doubt:?}"),
        Phrase::Stop(_) => "stop".to_string(),
    }
}

/// The counted things of a meaning.
fn lines_of(meaning: &Meaning) -> Vec<&LineSaid> {
    match meaning {
        Meaning::Quote { lines, .. } => lines.iter().collect(),
        Meaning::Finish(finish) => finish.done.iter().collect(),
        Meaning::Revise { changes, .. } => changes
            .iter()
            .filter_map(|change| match change {
                Change::Quantity(line) | Change::Add(line) | Change::Drop(line) => Some(line),
                _ => None,
            })
            .collect(),
        _ => Vec::new(),
    }
}
