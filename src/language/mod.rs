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
mod alone;
mod asked;
mod changes;
mod chart;
mod compose;
mod cover;
mod ending;
mod except;
mod explain;
mod figures;
mod glued;
mod grammar;
mod lexicon;
mod lines;
mod meaning;
mod measures;
mod names;
mod needs;
mod parts;
mod pattern;
mod phrases;
mod places;
mod questions;
mod rows;
mod rules;
mod section;
mod stands;
mod token;
mod topics;
mod vocabulary;
mod wordings;
mod words;

use grammar::Grammar;
use words::Words;

pub use asked::{GuideAbout, GuideSaid};
pub use meaning::{
    AnswerSaid, Change, ClassSaid, ClockSaid, DaySaid, Doubt, ExtraKind, FileOf, FileSaid, FinishSaid, HouseSaid,
    LeftOver, LineSaid, Look, Meaning, MembersSaid, MinutesSaid, PeopleSaid, PeriodSaid, Piece, PlaceSaid,
    QuantitySaid, Reading, Said, Setting, Solve, Span, StopwatchSaid, TaxOn, Turn, Unit, WhenSaid, WorkedSaid,
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

/// Names of a vocabulary that a text says, and words that nothing knows.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct NamesSaid {
    /// The kinds named, in order.
    pub names: Vec<String>,
    /// Words that neither the language nor the vocabulary knows.
    pub unknown: Vec<String>,
    /// `it`, `them`, `this`: something named before is meant.
    pub points: bool,
}

/// Names of a vocabulary in a text, matched by spelling and sound as kinds of the price list are.
pub fn names_in(text: &str, vocabulary: &Vocabulary) -> NamesSaid {
    let text = if text.len() > TEXT_BYTES_MAX { "" } else { text };
    let grammar = Grammar::english();
    let tokens = token::tokenize(text, &grammar.lexicon);
    let words = Words::new(&tokens, &grammar.lexicon, vocabulary);
    let mut found = NamesSaid::default();
    let mut at = 0;
    while at < words.len() {
        if let Some(hit) = words.kinds(at).iter().find(|hit| hit.whole) {
            found.names.push(vocabulary.services()[hit.service].name.clone());
            at += hit.words;
            continue;
        }
        if words.unknown(at) && words.lower(at).chars().count() > 2 {
            found.unknown.push(words.stem_singular(at));
        }
        found.points |= words.one_of(at, &["it", "them", "this", "these", "those", "one", "ones", "that"]);
        at += 1;
    }
    found
}

/// What a sentence asks of the plant that it names, by its words alone: for messages that [`read`] makes nothing of.
pub fn asked_of_a_plant(text: &str) -> Option<GuideAbout> {
    let text = if text.len() > TEXT_BYTES_MAX { "" } else { text };
    let grammar = Grammar::english();
    let tokens = token::tokenize(text, &grammar.lexicon);
    let vocabulary = Vocabulary::new(Vec::new(), Vec::new());
    phrases::hinted(&Words::new(&tokens, &grammar.lexicon, &vocabulary))
}

/// The two letters of the state that a question names (`can I cut oaks in texas`).
pub fn state_asked_of(text: &str) -> Option<&'static str> {
    phrases::state_in(text)
}

/// A word for a whole number below a hundred, in lower case, as the lexicon has it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NumberWord {
    /// One that ends a number (`seven`, `seventeen`).
    Units(i64),
    /// One that a unit may follow (`twenty`).
    Tens(i64),
}

/// What number a word is, when it is one.
pub fn number_word(word: &str) -> Option<NumberWord> {
    let lexicon = &Grammar::english().lexicon;
    let known = lexicon.find(word)?.word;
    let value = |class| lexicon.number(known, class);
    let tens = value(lexicon::Class::TENS).map(NumberWord::Tens);
    tens.or_else(|| value(lexicon::Class::UNITS).map(NumberWord::Units))
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
    let mut tokens = token::tokenize(text, &grammar.lexicon);
    glued::part(&mut tokens, &grammar.lexicon, vocabulary);
    let words = Words::new(&tokens, &grammar.lexicon, vocabulary);
    let cover = cover::cover(&words, &grammar.wordings);
    let composed = compose::compose(&cover.placed, &cover.left, &words, expecting);
    explain::reading(&words, cover, composed)
}
