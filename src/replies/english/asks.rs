//! Questions and their choices.

use rust_decimal::Decimal;

use super::quote::extra_name;
use super::words::{by, capital, class, clock, money, number, plural, spoken, units};
use crate::{
    conversation::{Ask, CostFigure, Counted, Label, Question, TimeQuestion},
    language::ExtraKind,
    units::{Money, QuoteNo, Unit},
};

/// The question with its numbered choices, one a line.
pub(super) fn ask(ask: &Ask) -> String {
    let mut text = question(&ask.question);
    for (index, choice) in ask.choices.iter().enumerate() {
        text.push_str(&format!("\n{}. {}", index + 1, label(&choice.label)));
    }
    text
}

fn how_much_is(what: ExtraKind) -> String {
    let name = extra_name(what);
    match what {
        ExtraKind::Tax => "What percent is the tax?".to_string(),
        ExtraKind::DumpFee => format!("How much is the {name}?"),
        _ => format!("How many minutes is the {name}? A flat sum goes as a dump fee."),
    }
}

/// An answer that is none: it is to be said again, or does not fit the question.
pub(super) fn not_that(misfit: bool) -> &'static str {
    if misfit {
        "That does not answer what I asked."
    } else {
        "Then say it again, or type it."
    }
}

/// The question alone.
pub(in crate::replies) fn question(question: &Question) -> String {
    match question {
        Question::WhichKind(counted) if counted.size.is_some() || counted.quantity.is_some() => {
            format!("{} of what?", spoken(counted))
        }
        Question::WhichKind(_) | Question::OfWhat => "Of what?".to_string(),
        Question::WhichOfKinds(counted) => format!("Which do you mean by {}?", spoken(counted)),
        Question::WhichSize(counted) => format!("What size {} the {}?", is_or_are(counted), spoken(counted)),
        Question::SizeNotListed(counted) => format!(
            "Your list has no {} {}. Say its minutes, or which it is:",
            counted.size.as_deref().unwrap_or_default(),
            counted.service.as_deref().unwrap_or_default()
        ),
        Question::KindNotListed(counted) => format!(
            "{} {} not on your list. How many minutes each?",
            capital(&spoken(counted)),
            is_or_are(counted)
        ),
        Question::MinutesUnknown(counted) => format!("How many minutes each for the {}?", spoken(counted)),
        Question::HowMany(counted) => how_many(counted),
        Question::WhichPlace(words) => format!("Which place is \"{words}\"?"),
        Question::WhichQuote => "Which one?".to_string(),
        Question::NoQuote => "There is no quote to go with that yet. What did you count, and where?".to_string(),
        Question::NotPlanned(place) => not_planned(place),
        Question::NoQuoteAt(place) => format!("I have nothing open at {place}. Which place or quote do you mean?"),
        Question::NoSuchQuote(_)
        | Question::NotThatQuote(_)
        | Question::NothingDoneAt(_)
        | Question::PaidTooMuch { .. }
        | Question::DayGone(_)
        | Question::StillThere { .. } => of_the_season(question),
        Question::WhichLine(_) => "Which line?".to_string(),
        Question::NoSuchLine(counted) => format!("The quote has no line for {}. What should I do?", spoken(counted)),
        Question::NothingLeft => {
            "That would leave nothing on the quote. Say \"lost\" to close it, or what is on it instead?".to_string()
        }
        Question::FewerThanThat(counted) => {
            format!("The quote has only {}. How many should go?", spoken(counted))
        }
        Question::WhatIsNumber(number) => format!("What is the {number} for?"),
        Question::WhichReading(words) => format!("How do you mean \"{words}\"?"),
        Question::CountedTwice(counted, counts) => counted_twice(counted, counts),
        Question::WhichHeard(1) => "I could hardly hear that. Is it right?".to_string(),
        Question::WhichHeard(_) => "I am not sure I heard that right. Which is it?".to_string(),
        Question::OutOfRange { what, text } => format!("\"{text}\" cannot be a {what}. What should it be?"),
        Question::DollarsOrMinutes(value) => format!("Is {} dollars or minutes?", number(*value)),
        Question::PriceSaidBefore(price) => {
            format!(
                "You called it {} before the work changed. Keep that price?",
                money(*price)
            )
        }
        Question::PriceBeforeOrAfter(price) => format!("Is {} before or after what comes off?", money(*price)),
        Question::HowMuchIs(what) => how_much_is(*what),
        Question::HowLong => "How long did it take?".to_string(),
        Question::Time(question) => of_times(question),
        Question::NotOnJob => "I do not have you on a job. Where are you? Say \"here at\" and the place.".to_string(),
        Question::Region => ask_region().to_string(),
        Question::LastFrost => "When is your last frost? Say \"last frost march 15\"; I keep it.".to_string(),
        Question::CautionWhere => "For which place? Say \"heads up at\" the place, then what to tell.".to_string(),
        Question::NoWhatIf => "I have no \"what if\" to use. What should change?".to_string(),
        Question::NoExtra => "I see no extra work to bill. What should be added?".to_string(),
        Question::WhichMinutes => "That is one time for all of it. What was counted?".to_string(),
        Question::CostsMissing(missing) => costs_missing(missing),
        Question::SetWhichSize(counted) => format!("Which size of {}?", counted.service.as_deref().unwrap_or("it")),
        Question::WhichFigure(counted) => format!("How many minutes for {}?", spoken(counted)),
        Question::WhichDay => "Which day, and at what time?".to_string(),
    }
}

fn not_planned(place: &str) -> String {
    format!("Nothing is planned at {place} that day. Say a day first, like \"{place} on friday\".")
}

/// A question about jobs, days and money that came in.
fn of_the_season(asked: &Question) -> String {
    match asked {
        Question::NoSuchQuote(no) => format!("There is no quote {no}. Which place or quote do you mean?"),
        Question::NotThatQuote(no) => format!("Quote {no} is not one that I can do that with. Which do you mean?"),
        Question::NothingDoneAt(place) => format!("No job was done at {place} yet. Which place do you mean?"),
        Question::PaidTooMuch {
            no,
            place,
            amount,
            owed,
        } => paid_too_much(*no, place.as_deref(), *amount, *owed),
        Question::DayGone(day) => format!("{} has gone by. Which day do you mean?", day.format("%a %b %-d %Y")),
        Question::StillThere { since, minutes } => format!(
            "By the clock you have been there since {}, {}. When was it done?",
            since.format("%a %-I:%M %p"),
            clock(*minutes)
        ),
        other => question(other),
    }
}

/// A choice.
pub(in crate::replies) fn label(label: &Label) -> String {
    match label {
        Label::Words(words) => words.clone(),
        Label::WithoutSize(service) => format!("{service}, no size"),
        Label::Both(counted) => format!("{} in all", spoken(counted)),
        Label::DollarsEach(value) => format!("${}", number(*value)),
        Label::MinutesEach(value) => format!("{} min", number(*value)),
        Label::Line(counted) => spoken(counted),
        Label::Quote { no, place, total } => {
            let place = place.as_ref().map(|place| format!(", {place}")).unwrap_or_default();
            let total = total.map(|total| format!(", {}", money(total))).unwrap_or_default();
            format!("quote {no}{place}{total}")
        }
        Label::AddAs(counted) => format!("add {}", spoken(counted)),
        Label::Instead(counted) => format!("instead of the {}", spoken(counted)),
        Label::All => "all of them".to_string(),
        Label::LeaveOut(number) => format!("leave the {number} out"),
        Label::Counts(counted) => spoken(counted),
        Label::KeepPrice(price) => format!("keep {}", money(*price)),
        Label::PriceAgain(price) => format!("price it again: {}", money(*price)),
        Label::InAll(price) => format!("{} in all", money(*price)),
        Label::LessOff { price, less } => format!("{} with that off: {}", money(*price), money(*less)),
        Label::Heard { text, total } => match total {
            Some(total) => format!("\"{text}\" ({})", money(*total)),
            None => format!("\"{text}\""),
        },
        Label::SayAgain => "neither, I will say it again".to_string(),
        Label::TakeAll(amount) => format!("yes, take {}", money(*amount)),
        Label::TakeOnly(amount) => format!("it was {}", money(*amount)),
        Label::LeaveIt => "leave it, nothing came".to_string(),
        Label::ThatLong(minutes) => format!("now, {} is right", clock(*minutes)),
        Label::Right(value) => format!("{} is right", number(*value)),
        Label::TakeOut => "leave it out".to_string(),
        Label::CorrectTo(value) => format!("it took {} min", number(*value)),
        Label::AnotherJob => "I mean another job".to_string(),
        Label::Yes => "yes".to_string(),
        Label::No => "no".to_string(),
    }
}

fn paid_too_much(no: QuoteNo, place: Option<&str>, amount: Money, owed: Money) -> String {
    let place = place.map(|place| format!(", {place}")).unwrap_or_default();
    let over = amount.checked_sub(owed).unwrap_or(amount);
    if owed.is_zero() {
        return format!("Quote {no}{place} is paid in full. Another {}?", money(amount));
    }
    format!(
        "Quote {no}{place} has {} open; that is {} more. Take all of it?",
        money(owed),
        money(over)
    )
}

fn counted_twice(counted: &Counted, counts: &[Decimal]) -> String {
    let counts: Vec<String> = counts.iter().map(|count| number(*count)).collect();
    format!(
        "I heard {} twice. How many in all: {}?",
        thing(counted),
        either(&counts)
    )
}

fn ask_region() -> &'static str {
    "Where do you work? Say your state (\"texas\") and USDA zone (\"zone 8a\"); I keep them."
}

/// A question about times that were measured.
fn of_times(question: &TimeQuestion) -> String {
    match question {
        TimeQuestion::NothingTimed(counted) => format!(
            "I have no jobs or readings of {} yet. Finish one, or say readings like \"smalls took 5, 6 and 7\".",
            spoken(counted)
        ),
        TimeQuestion::OddReading {
            counted,
            said,
            meant,
            expected,
        } => {
            let one = spoken(&Counted {
                quantity: Some(Decimal::ONE),
                ..counted.clone()
            });
            format!(
                "{} min for {one}?{} I kept it for now.",
                number(*said),
                instead(*meant, *expected)
            )
        }
        TimeQuestion::OddFinish { said, meant, expected } => {
            format!(
                "{} min for that job?{} I kept it for now.",
                number(*said),
                instead(*meant, *expected)
            )
        }
        TimeQuestion::FinishedBefore { no, place, took } => {
            let place = place.as_ref().map(|place| format!(", {place}")).unwrap_or_default();
            format!(
                "Quote {no}{place} is done already, in {} man-min. Which is it?",
                number(*took)
            )
        }
    }
}

/// What may have been meant, or what was to be expected.
fn instead(meant: Option<Decimal>, expected: Decimal) -> String {
    match meant {
        Some(meant) => format!(" {}?", number(meant)),
        None => format!(" About {} is usual.", number(expected)),
    }
}

fn how_many(counted: &Counted) -> String {
    let unit = counted.unit.unwrap_or(Unit::Each);
    match (&counted.service, unit) {
        (Some(service), Unit::Each) => {
            let size = counted.size.as_ref().map(|size| format!("{size} ")).unwrap_or_default();
            format!("How many {size}{}?", plural(service))
        }
        (Some(service), unit) => {
            let name = class(service, counted.size.as_deref());
            match unit {
                Unit::Job => format!(
                    "How many times? On your list {name} is one price for the whole job; say \"{name} 0.05 min a sq ft\" to \
                     price it by size."
                ),
                unit => format!(
                    "How many {} of {name}? On your list it goes by{}.",
                    units(unit),
                    by(unit)
                ),
            }
        }
        (None, _) => match &counted.size {
            Some(size) => format!("How many {size}, and of what?"),
            None => "What did you count, and how many?".to_string(),
        },
    }
}

fn thing(counted: &Counted) -> String {
    spoken(&Counted {
        quantity: None,
        ..counted.clone()
    })
}

/// Names as alternatives: `a`, `a or b`, `a, b or c`.
fn either(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [only] => only.clone(),
        [first @ .., last] => format!("{} or {last}", first.join(", ")),
    }
}

fn is_or_are(counted: &Counted) -> &'static str {
    let one = counted.quantity == Some(Decimal::ONE);
    if one { "is" } else { "are" }
}

fn costs_missing(missing: &[CostFigure]) -> String {
    let names: Vec<String> = missing
        .iter()
        .map(|figure| {
            match figure {
                CostFigure::Wage => "your wage (\"wage 22\")",
                CostFigure::Overhead => "your overhead (\"overhead 1400 a month\")",
                CostFigure::BillableHours => "your billable hours (\"110 billable hours\")",
            }
            .to_string()
        })
        .collect();
    format!("For that I need {}. What is it?", super::words::joined(&names))
}
