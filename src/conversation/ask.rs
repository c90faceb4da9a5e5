//! Questions: what is asked, which answers are offered, and what each of them settles.

use chrono::NaiveDateTime;
use rust_decimal::Decimal;

use crate::{
    journal::{Fill, Hole, OpenQuestion, Settled, Slot},
    language::{AnswerSaid, Expecting, ExtraKind},
    units::{Money, QuoteNo, Timestamp, Unit},
};

/// A question with the hole that its answer fills.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ask {
    /// What is missing.
    pub slot: Slot,
    /// The question.
    pub question: Question,
    /// The numbered choices; empty when a value is asked for.
    pub choices: Vec<Choice>,
    /// What an answer without words of its own is taken for.
    pub expecting: Expecting,
}

/// One numbered choice.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Choice {
    /// What it says.
    pub label: Label,
    /// What it settles.
    pub fill: Fill,
}

/// What a choice says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Label {
    /// A name or words of the account's own, or a message as it could have been said.
    Words(String),
    /// The class of a kind that has no size of its own.
    WithoutSize(String),
    /// Two counts together.
    Both(Counted),
    /// Dollars for each unit.
    DollarsEach(Decimal),
    /// Minutes for each unit.
    MinutesEach(Decimal),
    /// A line of a quote.
    Line(Counted),
    /// A quote.
    Quote {
        /// Its number.
        no: QuoteNo,
        /// Where.
        place: Option<String>,
        /// Its total, for who may see prices.
        total: Option<Money>,
    },
    /// As a line of its own.
    AddAs(Counted),
    /// In place of a line.
    Instead(Counted),
    /// Every line that fits.
    All,
    /// This number is left out.
    LeaveOut(String),
    /// The number counts this size.
    Counts(Counted),
    /// The price said before stays.
    KeepPrice(Money),
    /// The work is priced again.
    PriceAgain(Money),
    /// A price for all of it.
    InAll(Money),
    /// A price with something off.
    LessOff {
        /// The price.
        price: Money,
        /// What is left of it.
        less: Money,
    },
    /// Words that may have been heard.
    Heard {
        /// The words.
        text: String,
        /// The total that they make.
        total: Option<Money>,
    },
    /// None of that: it will be said again.
    SayAgain,
    /// Money is taken as it came.
    TakeAll(Money),
    /// Only what is owed is taken.
    TakeOnly(Money),
    /// Nothing is put down.
    LeaveIt,
    /// The time on the clock is right.
    ThatLong(Decimal),
    /// A figure is right as it was said, minutes.
    Right(Decimal),
    /// A reading is taken out again.
    TakeOut,
    /// A finish is corrected to this time, minutes.
    CorrectTo(Decimal),
    /// Another job was meant.
    AnotherJob,
    /// Yes.
    Yes,
    /// No.
    No,
}

/// A counted thing as it is spoken of.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Counted {
    /// How many, when known.
    pub quantity: Option<Decimal>,
    /// What is counted.
    pub unit: Option<Unit>,
    /// The kind, or the words said for it.
    pub service: Option<String>,
    /// The size.
    pub size: Option<String>,
}

/// What is asked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Question {
    /// A count without a kind.
    WhichKind(Counted),
    /// A word that could be several kinds.
    WhichOfKinds(Counted),
    /// A count without a size.
    WhichSize(Counted),
    /// A size that the kind does not have.
    SizeNotListed(Counted),
    /// A kind that is not on the price list.
    KindNotListed(Counted),
    /// A kind of the list for which no minutes are known.
    MinutesUnknown(Counted),
    /// Nothing, or nothing exact, was said of how many.
    HowMany(Counted),
    /// A word that could be several places.
    WhichPlace(String),
    /// Several quotes would fit.
    WhichQuote,
    /// There is no quote that this could be about.
    NoQuote,
    /// There is no such quote at a place.
    NoQuoteAt(String),
    /// Nothing is planned at the place for that day.
    NotPlanned(String),
    /// No quote has this number.
    NoSuchQuote(u32),
    /// The quote of this number is not one that this can be said of.
    NotThatQuote(QuoteNo),
    /// No job was done at a place yet.
    NothingDoneAt(String),
    /// More money came than is owed.
    PaidTooMuch {
        /// For which quote.
        no: QuoteNo,
        /// Where.
        place: Option<String>,
        /// How much came.
        amount: Money,
        /// How much is owed.
        owed: Money,
    },
    /// A day that has gone by.
    DayGone(NaiveDateTime),
    /// The clock has run for so long that it was likely forgotten.
    StillThere {
        /// Since when, in the account's own time.
        since: NaiveDateTime,
        /// Minutes on the clock.
        minutes: Decimal,
    },
    /// Several lines of the quote would fit.
    WhichLine(Counted),
    /// No line of the quote fits.
    NoSuchLine(Counted),
    /// The quote would have nothing left on it.
    NothingLeft,
    /// More would be dropped than was counted.
    FewerThanThat(Counted),
    /// A number without a role.
    WhatIsNumber(String),
    /// Words that could be read in several ways.
    WhichReading(String),
    /// A voice note that may have been heard in so many ways; with one, whether it was that.
    WhichHeard(usize),
    /// The same thing was counted twice; what it could come to.
    CountedTwice(Counted, Vec<Decimal>),
    /// A figure that cannot be.
    OutOfRange {
        /// What it was taken for.
        what: String,
        /// As written.
        text: String,
    },
    /// Dollars or minutes.
    DollarsOrMinutes(Decimal),
    /// The work changed after a price was said.
    PriceSaidBefore(Money),
    /// A price and something off it were said together.
    PriceBeforeOrAfter(Money),
    /// Something about times measured.
    Time(TimeQuestion),
    /// What a part of the price comes to, for which the account has no figure.
    HowMuchIs(ExtraKind),
    /// How long the work took.
    HowLong,
    /// No job's clock runs, or none stands.
    NotOnJob,
    /// There is no change that `use that` could mean.
    NoWhatIf,
    /// There is no extra work to bill.
    NoExtra,
    /// Work that was given one time for all of it has no line to put it on.
    WhichMinutes,
    /// Figures of the cost build-up that are missing.
    CostsMissing(Vec<CostFigure>),
    /// A kind to work with.
    OfWhat,
    /// A size of which the owner gave minutes already; which one is it now?
    SetWhichSize(Counted),
    /// What to set, when no figure was said.
    WhichFigure(Counted),
    /// A day.
    WhichDay,
    /// In which state and zone the account works.
    Region,
    /// When its last frost is.
    LastFrost,
    /// The place that a caution is for.
    CautionWhere,
}

/// What is asked about times that were measured.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum TimeQuestion {
    /// Nothing was done or timed yet of a class that is to be drawn.
    NothingTimed(Counted),
    /// A reading is far out.
    OddReading {
        /// Of what.
        counted: Counted,
        /// Minutes as said.
        said: Decimal,
        /// Minutes that may have been meant.
        meant: Option<Decimal>,
        /// Man-minutes to be expected.
        expected: Decimal,
    },
    /// The time of a finish is far out.
    OddFinish {
        /// Minutes as said.
        said: Decimal,
        /// Minutes that may have been meant.
        meant: Option<Decimal>,
        /// Man-minutes to be expected.
        expected: Decimal,
    },
    /// A job that was finished before is finished again.
    FinishedBefore {
        /// Which.
        no: QuoteNo,
        /// Where.
        place: Option<String>,
        /// Man-minutes of the first time.
        took: Decimal,
    },
}

/// A figure of the cost build-up.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CostFigure {
    /// Wage for an hour.
    Wage,
    /// Overhead.
    Overhead,
    /// Billable hours.
    BillableHours,
}

impl Ask {
    /// A question for a value.
    pub(super) fn value(slot: Slot, question: Question, expecting: Expecting) -> Box<Ask> {
        Box::new(Ask {
            slot,
            question,
            choices: Vec::new(),
            expecting,
        })
    }

    /// A question with numbered choices.
    pub(super) fn choice(slot: Slot, question: Question, choices: Vec<Choice>) -> Box<Ask> {
        let expecting = Expecting::Choice(choices.len());
        Box::new(Ask {
            slot,
            question,
            choices,
            expecting,
        })
    }

    /// The question as it is kept, about a message that was said at a time.
    pub(super) fn to_open(
        &self,
        text: &str,
        said_at: Timestamp,
        read_as: Expecting,
        start: usize,
        settled: Vec<Settled>,
    ) -> OpenQuestion {
        OpenQuestion {
            text: text.to_string(),
            read_as,
            start,
            settled,
            slot: self.slot,
            choices: self.choices.iter().map(|choice| choice.fill.clone()).collect(),
            expecting: self.expecting,
            said_at: Some(said_at),
        }
    }
}

impl Choice {
    /// A choice that says the words that it settles.
    pub(super) fn kind(name: &str) -> Choice {
        Choice {
            label: Label::Words(name.to_string()),
            fill: Fill::Kind(name.to_string()),
        }
    }

    /// A choice of a size.
    pub(super) fn size(service: &str, size: Option<&str>) -> Choice {
        Choice {
            label: size.map_or_else(
                || Label::WithoutSize(service.to_string()),
                |size| Label::Words(size.to_string()),
            ),
            fill: Fill::Size(size.map(str::to_string)),
        }
    }
}

/// What an answer in words fills into an open question; `None` when it does not fit the question.
pub(super) fn fill_for(question: &OpenQuestion, said: &AnswerSaid) -> Option<Fill> {
    let choices = &question.choices;
    let word_choice = |wanted: &Fill| choices.iter().find(|choice| *choice == wanted).cloned();
    match said {
        AnswerSaid::Number(number) if !choices.is_empty() => {
            // A number too large or too fine to be one of the choices is the figure itself.
            let is_figure = *number > Decimal::TEN || !number.fract().is_zero();
            let figure = || (question.slot.hole == Hole::Odd && is_figure).then_some(Fill::Number(*number));
            chosen(choices, *number)
                .or_else(figure)
                .or_else(|| hour(question.expecting, *number))
        }
        AnswerSaid::Time(minute) if question.expecting == Expecting::Time => Some(Fill::Number(Decimal::from(*minute))),
        AnswerSaid::Time(_) => None,
        AnswerSaid::Number(number) | AnswerSaid::Money(number) => number_fill(question.expecting, *number),
        AnswerSaid::Minutes(minutes) => takes_minutes(question)
            .then_some(Fill::Number(minutes.minutes))
            .or_else(|| {
                choices
                    .iter()
                    .find(|fill| matches!(fill, Fill::Number(n) if *n == minutes.minutes))
                    .cloned()
            }),
        AnswerSaid::Yes => word_choice(&Fill::Yes).or_else(|| only_way(choices)),
        AnswerSaid::No => word_choice(&Fill::No),
        AnswerSaid::Class(class) => choices
            .iter()
            .find(|fill| match fill {
                Fill::Kind(name) => class.service.as_ref() == Some(name),
                Fill::Size(Some(size)) => class.size.as_ref() == Some(size),
                _ => false,
            })
            .cloned(),
        AnswerSaid::Place(place) => match question.expecting {
            Expecting::Place => Some(Fill::Place(place.name.clone())),
            _ => choices
                .iter()
                .find(|fill| matches!(fill, Fill::Place(name) if *name == place.name))
                .cloned(),
        },
        AnswerSaid::Word(word) => match word.as_str() {
            "both" | "all" => word_choice(&Fill::All),
            "none" | "neither" => word_choice(&Fill::No),
            "dollars" => choices
                .iter()
                .find(|fill| matches!(fill, Fill::Say(text) if text.contains('$')))
                .cloned(),
            "minutes" => choices
                .iter()
                .find(|fill| matches!(fill, Fill::Say(text) if text.contains(" min")))
                .cloned(),
            _ => None,
        },
    }
}

/// What was heard, when only one way was offered: `yes` means it.
fn only_way(choices: &[Fill]) -> Option<Fill> {
    let mut ways = choices.iter().filter(|fill| matches!(fill, Fill::Say(_)));
    ways.next().filter(|_| ways.next().is_none()).cloned()
}

/// What a word that is no answer by itself fills in: `dollars` or `minutes`, when it was asked which of the two.
pub(super) fn fill_in_words(question: &OpenQuestion, text: &str) -> Option<Fill> {
    let word = text.trim().trim_end_matches(['.', '!']).to_lowercase();
    let mark = match word.as_str() {
        "dollars" | "dollar" | "bucks" | "money" => "$",
        "minutes" | "minute" | "mins" | "min" => " min",
        _ => return None,
    };
    let says = |fill: &&Fill| matches!(fill, Fill::Say(text) if text.contains(mark));
    let mut fitting = question.choices.iter().filter(says);
    let only = fitting.next().cloned();
    only.filter(|_| fitting.next().is_none())
}

/// The choice with this number, or, when no choice has it, the choice that is this number (`12` for "12 or 14").
fn chosen(choices: &[Fill], number: Decimal) -> Option<Fill> {
    let by_position = usize::try_from(number)
        .ok()
        .filter(|_| number.fract().is_zero())
        .and_then(|position| position.checked_sub(1))
        .and_then(|index| choices.get(index));
    let by_value = || {
        choices
            .iter()
            .find(|fill| matches!(fill, Fill::Number(value) if *value == number))
    };
    by_position.or_else(by_value).cloned()
}

/// A bare hour, said when a time was asked: minutes after midnight, 7 to 11 in the morning, else after noon.
fn hour(expecting: Expecting, number: Decimal) -> Option<Fill> {
    let asked = expecting == Expecting::Time && number >= Decimal::TWO && number <= Decimal::from(12);
    let afternoon = number < Decimal::from(7);
    let hour = if afternoon { number + Decimal::from(12) } else { number };
    (asked && number.fract().is_zero()).then(|| Fill::Number(hour * Decimal::from(60)))
}

/// Minutes answer a question for minutes; asked about a size that is not listed, they are those of that size.
fn takes_minutes(question: &OpenQuestion) -> bool {
    question.expecting == Expecting::Minutes || matches!(question.slot.hole, Hole::Size | Hole::Odd)
}

fn number_fill(expecting: Expecting, number: Decimal) -> Option<Fill> {
    matches!(expecting, Expecting::Count | Expecting::Minutes | Expecting::Money).then_some(Fill::Number(number))
}
