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
use super::chart::Chart;
use super::lexicon::{Lexicon, WordId};
use super::meaning::{
    Change, ClassSaid, Doubt, ExtraKind, Meaning, MinutesSaid, PlaceSaid, Setting, Span, Unit, WhenSaid,
};
use super::pattern::{Cap, Dim, Firsts, Pattern};
use super::rules::count::Counted;
use super::token::TokenKind;
use super::words::Words;

/// A part of a meaning.
#[derive(Debug, Clone)]
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
#[derive(Debug, Clone, PartialEq)]
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
pub(super) type Build = fn(&[Cap], &Words<'_>) -> Option<Phrase>;

/// A wording.
pub(super) struct Wording {
    /// The rule's name.
    pub(super) name: &'static str,
    /// Its pattern.
    pub(super) pattern: Pattern,
    /// What it makes.
    pub(super) build: Build,
    /// Points on top of the words that it covers.
    pub(super) bonus: i32,
}

/// All wordings, with an index by what they can begin with.
pub(super) struct Wordings {
    /// The list.
    pub(super) list: Vec<Wording>,
    /// Wordings that begin with nothing but words, by word.
    by_word: Vec<Vec<u16>>,
    /// The others.
    others: Others,
}

/// Wordings that begin with a value of a dimension, a sign or anything; each set has a bit for each of them.
#[derive(Default)]
struct Others {
    list: Vec<u16>,
    by_word: Vec<Bits>,
    by_dim: Vec<(Dim, Bits)>,
    by_sign: Vec<(char, Bits)>,
    anything: Bits,
}

/// A set of small numbers.
#[derive(Debug, Clone, Copy, Default)]
struct Bits([u64; 8]);

impl Bits {
    /// # Panics
    /// When the number is too large: the tables of wordings are part of the program.
    fn add(&mut self, number: usize) {
        self.0[number / 64] |= 1 << (number % 64);
    }

    fn join(&mut self, other: Bits) {
        for (own, more) in self.0.iter_mut().zip(other.0) {
            *own |= more;
        }
    }

    /// The numbers in order.
    fn numbers(self) -> impl Iterator<Item = usize> {
        self.0.into_iter().enumerate().flat_map(|(index, word)| {
            std::iter::successors(Some(word), |rest| Some(rest & rest.wrapping_sub(1)))
                .take_while(|rest| *rest != 0)
                .map(move |rest| index * 64 + rest.trailing_zeros() as usize)
        })
    }
}

impl Others {
    fn add(&mut self, wording: u16, firsts: &Firsts, words: &[WordId]) {
        let bit = self.list.len();
        self.list.push(wording);
        for word in words {
            self.by_word[word.index()].add(bit);
        }
        for dim in &firsts.dims {
            bits_of(&mut self.by_dim, *dim).add(bit);
        }
        for sign in &firsts.signs {
            bits_of(&mut self.by_sign, *sign).add(bit);
        }
        if firsts.anything {
            self.anything.add(bit);
        }
    }

    fn at(&self, words: &Words<'_>, at: usize, chart: &Chart<'_, '_>) -> Bits {
        let mut open = self.anything;
        if let Some(bits) = self.by_word.get(words.id(at).index()) {
            open.join(*bits);
        }
        for (dim, bits) in &self.by_dim {
            if !chart.values(*dim, at).is_empty() {
                open.join(*bits);
            }
        }
        for (sign, bits) in &self.by_sign {
            if words.sign(at, *sign) {
                open.join(*bits);
            }
        }
        open
    }
}

fn bits_of<Key: PartialEq + Copy>(sets: &mut Vec<(Key, Bits)>, key: Key) -> &mut Bits {
    let index = sets.iter().position(|(old, _)| *old == key).unwrap_or_else(|| {
        sets.push((key, Bits::default()));
        sets.len() - 1
    });
    &mut sets[index].1
}

pub(super) type Row = (&'static str, i32, &'static str, Build);

impl Wordings {
    /// Compiles every table.
    pub(super) fn compile(lexicon: &mut Lexicon) -> Wordings {
        let tables = [
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
        let mut list = Vec::new();
        for (name, bonus, pattern, build) in tables.iter().flat_map(|rows| rows.iter()) {
            let pattern = Pattern::compile(pattern, lexicon, name.starts_with("answer"));
            list.push(Wording {
                name,
                pattern,
                build: *build,
                bonus: *bonus,
            });
        }
        let mut by_word = vec![Vec::new(); lexicon.size()];
        let mut others = Others {
            by_word: vec![Bits::default(); lexicon.size()],
            ..Others::default()
        };
        for (index, wording) in list.iter().enumerate() {
            let index = u16::try_from(index).expect("fewer than 65,536 wordings");
            let firsts = wording.pattern.firsts();
            let mut words = firsts.words.clone();
            for class in &firsts.classes {
                words.extend(lexicon.words_of(*class));
            }
            words.sort_unstable();
            words.dedup();
            // Unknown words have one id between them, and no wording begins with that.
            words.retain(|word| *word != WordId::NONE);
            if firsts.anything || !firsts.dims.is_empty() || !firsts.signs.is_empty() {
                others.add(index, &firsts, &words);
                continue;
            }
            for word in words {
                by_word[word.index()].push(index);
            }
        }
        Wordings { list, by_word, others }
    }

    /// Wordings that may begin at a word.
    pub(super) fn at(&self, words: &Words<'_>, at: usize, chart: &Chart<'_, '_>) -> impl Iterator<Item = &Wording> {
        let by_word = self.by_word.get(words.id(at).index()).map_or(&[][..], Vec::as_slice);
        let others = self.others.at(words, at, chart).numbers();
        by_word
            .iter()
            .copied()
            .chain(others.map(|bit| self.others.list[bit]))
            .map(|index| &self.list[usize::from(index)])
    }
}

/// First capture of a kind, by position: helpers for builders.
pub(super) fn minutes(caps: &[Cap]) -> Option<MinutesSaid> {
    caps.iter().find_map(|cap| match cap {
        Cap::Mins(said, ..) => Some(*said),
        _ => None,
    })
}

pub(super) fn man(caps: &[Cap]) -> bool {
    caps.iter().any(|cap| matches!(cap, Cap::Mins(_, true, _)))
}

pub(super) fn timed(caps: &[Cap]) -> bool {
    caps.iter().any(|cap| matches!(cap, Cap::Mins(_, _, true)))
}

/// Whether a time like `12:30` stands in the message.
pub(super) fn clocked(words: &Words<'_>) -> bool {
    (0..words.len()).any(|at| {
        words
            .get(at)
            .is_some_and(|token| matches!(token.kind, TokenKind::Clock(..)))
    })
}

pub(super) fn money(caps: &[Cap]) -> Option<Decimal> {
    caps.iter().find_map(|cap| match cap {
        Cap::Money(dollars, _) => Some(*dollars),
        _ => None,
    })
}

pub(super) fn explicit(caps: &[Cap]) -> bool {
    caps.iter().any(|cap| matches!(cap, Cap::Money(_, true)))
}

pub(super) fn number(caps: &[Cap]) -> Option<Decimal> {
    numbers(caps).first().copied()
}

pub(super) fn numbers(caps: &[Cap]) -> Vec<Decimal> {
    let value = |cap: &Cap| match cap {
        Cap::Num(value) | Cap::Money(value, _) => Some(*value),
        _ => None,
    };
    caps.iter().filter_map(value).collect()
}

pub(super) fn percent(caps: &[Cap]) -> Option<Decimal> {
    caps.iter().find_map(|cap| match cap {
        Cap::Pct(value) => Some(*value),
        _ => None,
    })
}

pub(super) fn class(caps: &[Cap]) -> Option<ClassSaid> {
    caps.iter().find_map(|cap| match cap {
        Cap::Class(said) => Some(said.clone()),
        _ => None,
    })
}

pub(super) fn line(caps: &[Cap]) -> Option<Box<Counted>> {
    caps.iter().find_map(|cap| match cap {
        Cap::Line(line) => Some(line.clone()),
        _ => None,
    })
}

pub(super) fn unit(caps: &[Cap]) -> Option<Option<Unit>> {
    caps.iter().find_map(|cap| match cap {
        Cap::Unit(unit) => Some(*unit),
        _ => None,
    })
}

pub(super) fn place(caps: &[Cap]) -> Option<PlaceSaid> {
    caps.iter().find_map(|cap| match cap {
        Cap::Place(place) => Some(place.clone()),
        _ => None,
    })
}

pub(super) fn when(caps: &[Cap]) -> Option<WhenSaid> {
    caps.iter().find_map(|cap| match cap {
        Cap::When(when) => Some(*when),
        _ => None,
    })
}

pub(super) fn crew(caps: &[Cap]) -> Option<u32> {
    caps.iter().find_map(|cap| match cap {
        Cap::Crew(people) => Some(*people),
        _ => None,
    })
}

pub(super) fn text(caps: &[Cap], words: &Words<'_>) -> Option<String> {
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
