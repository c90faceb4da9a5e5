//! Phrases: stretches of words that are a part of a meaning, one table of wordings for each meaning.
//!
//! A wording is a pattern with a name and a builder. The name shows in explanations; the builder turns what the pattern
//! captured into a [`Phrase`]. Which phrases hold is decided by the cover, what they add up to by the composition.

mod again;
mod client;
mod clock;
mod costs;
mod extras;
mod guide;
mod house;
mod look;
mod plant_words;
mod price;
mod quote;
pub(super) mod recount;
mod remarks;
mod season;
mod set;
mod solve;
mod yard;

use rust_decimal::Decimal;

pub(super) use self::{plant_words::hinted, yard::state_in};
use super::asked::GuideSaid;
use super::meaning::{
    Change, ClassSaid, Doubt, ExtraKind, Meaning, MinutesSaid, PlaceSaid, Setting, Span, Unit, WhenSaid,
};
use super::pattern::Cap;
use super::rules::count::Counted;
use super::words::Words;

/// A part of a meaning.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Phrase {
    /// A counted thing.
    Line(Box<Counted>),
    /// A kind or size without a count.
    Class(ClassSaid),
    /// Minutes for each unit; `each` when that was said.
    Minutes {
        class: Option<ClassSaid>,
        said: MinutesSaid,
        each: bool,
        unit: Option<Unit>,
    },
    /// A figure for each unit: dollars when `dollars`, else it could be minutes.
    PriceEach {
        class: Option<ClassSaid>,
        value: Decimal,
        dollars: bool,
        unit: Option<Unit>,
    },
    /// `at 110 an hour`.
    Rate(Decimal),
    /// A time worked; `man`: man-minutes.
    Time { said: MinutesSaid, man: bool },
    /// People; `named` when it was `crew …`.
    Crew(u32, bool),
    /// A place.
    Place(PlaceSaid),
    /// A day or time.
    When(WhenSaid),
    /// Minutes of set-up and the like, or a fee; `None` clears it.
    Extra(ExtraKind, Option<Decimal>),
    /// A sum with a sign, alone.
    Money(Decimal),
    /// A number that nothing around it explains.
    Bare(Decimal),
    /// `1:20`, not led by `at`.
    Clock(u32, u32),
    /// `one twenty`, spoken as two numbers that nothing around explains.
    Pair(u32, u32),
    /// `here at Alder`.
    HereAt(PlaceSaid),
    /// A figure of the account.
    Set(Box<Setting>),
    /// Changes of a quote.
    Change(Vec<Change>),
    /// A whole meaning.
    Whole(Box<Meaning>),
    /// A remark made in passing (`wires over it`): whatever is around it goes on.
    Heard(Box<GuideSaid>),
    /// A word that says what the rest is.
    Cue(Cue),
    /// `no wait`.
    Correct,
    /// A stop: true for one that ends a thought.
    Stop(bool),
    /// Words that ask for a price, or carry nothing.
    Lead,
    /// Words that can be read in several ways.
    Unsure(Box<Doubt>),
    /// A figure that prices nothing (`3 ft tall`): it is told as not used.
    Aside,
}

/// What the words around are about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Cue {
    /// `done`.
    Done,
    /// `did`: what follows was really done.
    Did,
    /// `took 85`: a time of the work or of single units.
    Took,
    /// `won`.
    Won(Option<Decimal>),
    /// `lost`, with the reason's words.
    Lost(Option<String>),
    /// `here`.
    Here,
    /// `push`, `move`.
    Push,
    /// `plan`, `schedule`.
    Plan,
    /// `paid`.
    Paid(Option<Decimal>, Option<String>),
    /// `add`.
    Add,
    /// `drop`.
    Drop,
    /// `except`, `but not`: what follows is not part of what was counted.
    Except,
    /// `make that`.
    Make,
    /// `what if`.
    WhatIf,
    /// `each` for a crew: every one of them so long.
    EachPerson,
    /// `on this one`: a figure of this quote, not of the account.
    ThisOne,
    /// Something of the season that has a place, a time or people around it.
    About(Topic),
    /// `rate` before its figure was understood otherwise.
    New,
}

/// What a stretch about the season is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Topic {
    /// `Sam left`.
    Left,
    /// `Sam showed up`.
    Came,
    /// `that settles it`.
    Settled,
    /// `again`, `same as last time`.
    Again,
    /// `Sam can see prices`; false: cannot.
    Sees(bool),
    /// `Sam can quote`; false: cannot.
    Quotes(bool),
    /// `payment reminder`.
    Reminder,
}

/// Builds a phrase from captures; `None` when they do not fit together.
pub(super) type Build = fn(&[&Cap], &Words<'_>) -> Option<Phrase>;

/// A row of a table: name, points on top of the words that it covers, pattern, builder.
pub(super) type Row = (&'static str, i32, &'static str, Build);

/// All tables.
pub(super) const TABLES: &[&[Row]] = &[
    set::ROWS,
    costs::ROWS,
    client::ROWS,
    extras::ROWS,
    quote::ROWS,
    price::ROWS,
    recount::ROWS,
    again::ROWS,
    solve::ROWS,
    clock::ROWS,
    season::ROWS,
    look::ROWS,
    house::ROWS,
    guide::ROWS,
    remarks::ROWS,
    yard::ROWS,
];

/// First capture of a kind, by position: helpers for builders.
pub(super) fn minutes(caps: &[&Cap]) -> Option<MinutesSaid> {
    caps.iter().find_map(|cap| match cap {
        Cap::Mins(said, ..) => Some(*said),
        _ => None,
    })
}

pub(super) fn man(caps: &[&Cap]) -> bool {
    caps.iter().any(|cap| matches!(cap, Cap::Mins(_, true, _)))
}

pub(super) fn timed(caps: &[&Cap]) -> bool {
    caps.iter().any(|cap| matches!(cap, Cap::Mins(_, _, true)))
}

pub(super) fn money(caps: &[&Cap]) -> Option<Decimal> {
    caps.iter().find_map(|cap| match cap {
        Cap::Money(dollars, _) => Some(*dollars),
        _ => None,
    })
}

pub(super) fn explicit(caps: &[&Cap]) -> bool {
    caps.iter().any(|cap| matches!(cap, Cap::Money(_, true)))
}

pub(super) fn number(caps: &[&Cap]) -> Option<Decimal> {
    numbers(caps).first().copied()
}

pub(super) fn numbers(caps: &[&Cap]) -> Vec<Decimal> {
    let value = |cap: &&Cap| match cap {
        Cap::Num(value) | Cap::Money(value, _) => Some(*value),
        _ => None,
    };
    caps.iter().filter_map(value).collect()
}

pub(super) fn percent(caps: &[&Cap]) -> Option<Decimal> {
    caps.iter().find_map(|cap| match cap {
        Cap::Pct(value) => Some(*value),
        _ => None,
    })
}

pub(super) fn class(caps: &[&Cap]) -> Option<ClassSaid> {
    caps.iter().find_map(|cap| match cap {
        Cap::Class(said) => Some(said.clone()),
        _ => None,
    })
}

pub(super) fn line(caps: &[&Cap]) -> Option<Box<Counted>> {
    caps.iter().find_map(|cap| match cap {
        Cap::Line(line) => Some(line.clone()),
        _ => None,
    })
}

pub(super) fn unit(caps: &[&Cap]) -> Option<Option<Unit>> {
    caps.iter().find_map(|cap| match cap {
        Cap::Unit(unit) => Some(*unit),
        _ => None,
    })
}

pub(super) fn place(caps: &[&Cap]) -> Option<PlaceSaid> {
    caps.iter().find_map(|cap| match cap {
        Cap::Place(place) => Some(place.clone()),
        _ => None,
    })
}

pub(super) fn when(caps: &[&Cap]) -> Option<WhenSaid> {
    caps.iter().find_map(|cap| match cap {
        Cap::When(when) => Some(*when),
        _ => None,
    })
}

pub(super) fn crew(caps: &[&Cap]) -> Option<u32> {
    caps.iter().find_map(|cap| match cap {
        Cap::Crew(people) => Some(*people),
        _ => None,
    })
}

pub(super) fn text(caps: &[&Cap], words: &Words<'_>) -> Option<String> {
    caps.iter().find_map(|cap| match cap {
        Cap::Text(from, to) if to > from => Some(words.text(*from, *to).trim().to_string()),
        _ => None,
    })
}

pub(super) fn whole(meaning: Meaning) -> Option<Phrase> {
    Some(Phrase::Whole(Box::new(meaning)))
}

pub(super) fn set(setting: Setting) -> Option<Phrase> {
    Some(Phrase::Set(Box::new(setting)))
}

/// Words that could be meant in several ways: what they are about is asked.
pub(super) fn unsure(about: &str) -> Option<Phrase> {
    Some(Phrase::Unsure(Box::new(Doubt::Either {
        words: about.to_string(),
        choices: Vec::new(),
        span: Span::default(),
    })))
}

/// A placed phrase of the cover.
#[derive(Debug, Clone)]
pub(super) struct Placed {
    /// One past the last word.
    pub(super) to: usize,
    /// The rule's name.
    pub(super) rule: &'static str,
    /// The phrase.
    pub(super) phrase: Phrase,
    /// Where.
    pub(super) span: Span,
}
