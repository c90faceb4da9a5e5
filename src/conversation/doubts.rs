//! What reading was unsure of, as questions.
//!
//! A doubt about the words comes before anything that they might mean: its choices are messages said plainly, and the one
//! chosen is read in place of the message.

use super::{
    ask::{Ask, Choice, Counted, Label, Question},
    turn::replace,
};
use crate::{
    journal::{Book, Fill, Hole, Item, Slot},
    language::{Doubt, Expecting, LineSaid, Meaning, QuantitySaid, Reading, Span},
};
use rust_decimal::Decimal;

/// The first doubt of a reading that has to be asked about. A thing counted twice is asked about when the lines are
/// resolved, since only then is it known what each line counts.
pub(super) fn first(reading: &Reading, text: &str, book: &Book) -> Option<Box<Ask>> {
    reading.doubts.iter().find_map(|doubt| match doubt {
        Doubt::NumberWithoutRole {
            text: number,
            value,
            span,
        } => Some(number_without_role(reading, text, book, number, *value, *span)),
        Doubt::Either { words, choices, span } => Some(either(words, choices, *span)),
        Doubt::OutOfRange {
            what,
            text: figure,
            span,
        } => Some(out_of_range(what, figure, *span)),
        Doubt::DollarsOrMinutes { value, span, .. } => Some(dollars_or_minutes(text, *value, *span)),
        Doubt::CountedTwice { .. } => None,
    })
}

fn slot(span: Span) -> Slot {
    Slot {
        meaning: 0,
        item: Item::Words(span.start, span.end),
        hole: Hole::Reading,
    }
}

fn say(label: Label, text: Option<String>) -> Option<Choice> {
    Some(Choice {
        label,
        fill: Fill::Say(text?),
    })
}

fn either(words: &str, choices: &[String], span: Span) -> Box<Ask> {
    let question = Question::WhichReading(words.to_string());
    if choices.is_empty() {
        return Ask::value(slot(span), question, Expecting::Nothing);
    }
    let choices = choices
        .iter()
        .filter_map(|choice| say(Label::Words(choice.clone()), Some(choice.clone())))
        .collect();
    Ask::choice(slot(span), question, choices)
}

fn out_of_range(what: &str, figure: &str, span: Span) -> Box<Ask> {
    let expecting = match what {
        "minutes" | "set-up" | "haul" | "drive" => Expecting::Minutes,
        "rate" | "price" | "money" | "material" | "fee" | "minimum" => Expecting::Money,
        _ => Expecting::Count,
    };
    let question = Question::OutOfRange {
        what: what.to_string(),
        text: figure.to_string(),
    };
    Ask::value(slot(span), question, expecting)
}

fn dollars_or_minutes(text: &str, value: Decimal, span: Span) -> Box<Ask> {
    let each = if text
        .get(span.start..span.end)
        .is_some_and(|words| words.to_lowercase().contains("each"))
    {
        " each"
    } else {
        ""
    };
    let value = value.normalize();
    let choices = [
        say(
            Label::DollarsEach(value),
            replace(text, span.start, span.end, &format!("${value}{each}")),
        ),
        say(
            Label::MinutesEach(value),
            replace(text, span.start, span.end, &format!("{value} min{each}")),
        ),
    ];
    Ask::choice(
        slot(span),
        Question::DollarsOrMinutes(value),
        choices.into_iter().flatten().collect(),
    )
}

/// `12 small 3`: it could count one of the sizes that were not counted, or be left out.
fn number_without_role(
    reading: &Reading,
    text: &str,
    book: &Book,
    number: &str,
    value: Decimal,
    span: Span,
) -> Box<Ask> {
    let mut choices: Vec<Choice> = sizes_not_counted(reading, book, span)
        .into_iter()
        .filter_map(|(service, size)| {
            let counted = Counted {
                quantity: Some(value),
                unit: None,
                service: Some(service),
                size: Some(size.clone()),
            };
            say(
                Label::Counts(counted),
                replace(text, span.start, span.end, &format!("{number} {size}")),
            )
        })
        .collect();
    choices.extend(say(
        Label::LeaveOut(number.to_string()),
        replace(text, span.start, span.end, ""),
    ));
    Ask::choice(slot(span), Question::WhatIsNumber(number.to_string()), choices)
}

/// The sizes that a number next to counted lines of one kind could be meant for.
fn sizes_not_counted(reading: &Reading, book: &Book, span: Span) -> Vec<(String, String)> {
    let lines: Vec<&LineSaid> = reading
        .meanings
        .iter()
        .filter(|said| said.span.start <= span.end && span.start <= said.span.end)
        .filter_map(|said| match &said.meaning {
            Meaning::Quote { lines, .. } => Some(lines),
            _ => None,
        })
        .flatten()
        .collect();
    let Some(service) = lines
        .iter()
        .rev()
        .find_map(|line| line.class.service.as_deref())
        .and_then(|name| book.service(name))
    else {
        return Vec::new();
    };
    let counted = |size: &str| {
        lines
            .iter()
            .any(|line| line.class.size.as_deref() == Some(size) && line.quantity != QuantitySaid::Unsaid)
    };
    service
        .classes_offered()
        .into_iter()
        .filter_map(|class| class.size.clone())
        .filter(|size| !counted(size))
        .map(|size| (service.name.clone(), size))
        .collect()
}
