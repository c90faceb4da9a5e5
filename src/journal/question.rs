//! A question that was asked and is still open, kept so that the answer settles what was half understood.
//!
//! What is kept is the message as it was said, what its holes were filled with so far, and what each numbered choice
//! would fill in. The answer fills one more hole and the message is understood again from its own words; so a question
//! survives a restart without a stored form for every shape of meaning, and "2" means what it meant when it was shown.

use rust_decimal::Decimal;

use crate::{
    language::Expecting,
    units::{InboundId, QuoteNo, Timestamp},
};

/// An open question.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OpenQuestion {
    /// The message that is half understood, as said.
    pub text: String,
    /// What was expected when it was read the first time.
    pub read_as: Expecting,
    /// How many of its meanings were carried out before the one that asks.
    pub start: usize,
    /// What was settled by earlier answers.
    pub settled: Vec<Settled>,
    /// What is asked for.
    pub slot: Slot,
    /// What each numbered choice fills in, in the order shown; empty when a value is asked for.
    pub choices: Vec<Fill>,
    /// What an answer without words of its own is taken for.
    pub expecting: Expecting,
    /// When the message was said; questions of old do not know.
    pub said_at: Option<Timestamp>,
}

/// An open question with the message that led to it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pending {
    /// The message after which it was asked.
    pub cause: InboundId,
    /// The question.
    pub question: OpenQuestion,
}

/// One hole of a message and what it was filled with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Settled {
    /// Which.
    pub slot: Slot,
    /// With what.
    pub fill: Fill,
}

/// Where in a message something is missing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Slot {
    /// The meaning, from 0.
    pub meaning: usize,
    /// The part of it.
    pub item: Item,
    /// What is missing there.
    pub hole: Hole,
}

/// A part of a meaning.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Item {
    /// The meaning as a whole.
    Whole,
    /// A counted line, a series or a done line, from 0.
    Line(usize),
    /// A change, from 0.
    Change(usize),
    /// A stretch of the message's text, in bytes, half open.
    Words(usize, usize),
}

/// What can be missing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Hole {
    /// The message itself can be read in several ways.
    Reading,
    /// Which kind.
    Kind,
    /// Which size.
    Size,
    /// How many.
    Quantity,
    /// How many minutes each.
    Minutes,
    /// How long the work took.
    Worked,
    /// When the work ended.
    Ended,
    /// How much money.
    Money,
    /// Which place.
    Place,
    /// Which quote.
    Quote,
    /// Which line of the quote.
    Target,
    /// Whether a thing counted twice is one or two.
    Twice,
    /// Whether a price said before still holds.
    PriceSaid,
    /// In which state and zone the account works.
    Region,
    /// When its last frost is.
    LastFrost,
    /// Whether a figure far out was meant; it was taken in, and the answer may put another in its place.
    Odd,
    /// Whether a job that was finished before took another time.
    Again,
}

/// What a hole is filled with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Fill {
    /// Read this message in place of what was said.
    Say(String),
    /// A kind of the price list.
    Kind(String),
    /// A size; `None` is the class without a size.
    Size(Option<String>),
    /// A figure: a count, minutes or dollars, as the hole says.
    Number(Decimal),
    /// A place by name.
    Place(String),
    /// A quote.
    Quote(QuoteNo),
    /// A line of the quote, from 0.
    Line(usize),
    /// Every line that fits.
    All,
    /// Yes: go on with what was proposed.
    Yes,
    /// No: leave it as it is.
    No,
}
