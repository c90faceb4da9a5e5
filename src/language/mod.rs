//! Text to meaning: what did the owner say?
//!
//! [`read`] turns a message into a [`Reading`]: typed meanings with units and spans, the words left over, and the doubts
//! that have to be asked about. It is a pure function of the text, the account's own names and the question that is open.
//! It never fails, never prices, never looks anything up outside its arguments.
//!
//! The way: `token` splits the text; `words` passes over fillers; `rules` find values of each dimension; `phrases` are
//! the wordings; `cover` finds the phrases that account best for the words; `section`, `lines` and `compose` put them
//! together.

mod accounted;
mod changes;
mod chart;
mod compose;
mod cover;
mod ending;
mod except;
mod explain;
mod figures;
mod grammar;
mod lexicon;
mod lines;
mod meaning;
mod measures;
mod names;
mod parts;
mod pattern;
mod phrases;
mod rows;
mod rules;
mod section;
mod token;
mod topics;
mod vocabulary;
mod words;

use grammar::Grammar;
use words::Words;

pub use meaning::{
    AnswerSaid, Change, ClassSaid, ClockSaid, DaySaid, Doubt, ExtraKind, FileOf, FileSaid, FinishSaid, GuideSaid,
    HouseSaid, LeftOver, LineSaid, Look, Meaning, MembersSaid, MinutesSaid, PeopleSaid, PeriodSaid, Piece, PlaceSaid,
    QuantitySaid, Reading, Said, Setting, Solve, Span, StopwatchSaid, TaxOn, Unit, WhenSaid, WorkedSaid,
};
pub use vocabulary::{ServiceName, Vocabulary};

/// Longest text that is read, in bytes; more than that is no message about a yard.
pub const TEXT_BYTES_MAX: usize = 4_000;

/// What the assistant asked last, as far as reading is concerned: it gives a bare number or word its role.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Expecting {
    /// No open question.
    #[default]
    Nothing,
    /// One of numbered choices (this many).
    Choice(usize),
    /// A count of something.
    Count,
    /// Minutes.
    Minutes,
    /// Dollars.
    Money,
    /// A place.
    Place,
    /// A time of day.
    Time,
}

/// Reads a message. Total: any text gives a reading, nonsense gives an empty one with everything left over.
pub fn read(text: &str, vocabulary: &Vocabulary, expecting: Expecting) -> Reading {
    if text.len() > TEXT_BYTES_MAX {
        return explain::too_long(text);
    }
    if !text.trim().is_empty() && text.trim().chars().all(|c| c == '?') {
        return explain::menu(text);
    }
    let grammar = Grammar::english();
    let tokens = token::tokenize(text, &grammar.lexicon);
    let words = Words::new(&tokens, &grammar.lexicon, vocabulary);
    let cover = cover::cover(&words, &grammar.wordings);
    let composed = compose::compose(&cover.placed, &cover.left, &words, expecting);
    explain::reading(&words, &cover, composed)
}
