//! The wordings of all meanings, with an index of where each may begin.
//!
//! A word is looked up, not compared with every wording: those that begin with words are listed by word, those that begin
//! with a value of a dimension are tried where such a value stands, and none is tried that lacks a word it goes on with.

use super::chart::Chart;
use super::lexicon::{Lexicon, WordId};
use super::needs::{Bits, Needs};
use super::pattern::{Dim, Firsts, Pattern};
use super::phrases::{Build, TABLES};
use super::stands::{Stands, stands};
use super::words::Words;

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
    /// Where it holds, when not everywhere.
    pub(super) stands: Option<Stands>,
}

/// All wordings, with an index by what they can begin with.
pub(super) struct Wordings {
    /// Those that can begin with a value, a sign or anything come first.
    list: Vec<Wording>,
    /// Wordings that begin with nothing but words, by word.
    by_word: Vec<Vec<u16>>,
    /// The others.
    others: Others,
    /// What has to stand in a message for them.
    needs: Needs,
}

/// Wordings that begin with a value of a dimension, a sign or anything.
#[derive(Default)]
struct Others {
    by_word: Vec<Vec<u16>>,
    by_dim: Vec<(Dim, Bits)>,
    by_sign: Vec<(char, Bits)>,
    anything: Bits,
}

impl Others {
    fn add(&mut self, wording: u16, firsts: &Firsts, words: &[WordId]) {
        let bit = usize::from(wording);
        for word in words {
            self.by_word[word.index()].push(wording);
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

    fn at(&self, words: &Words<'_>, at: usize, chart: &Chart<'_, '_>, met: &Bits) -> Bits {
        let mut open = self.anything;
        for wording in self.by_word.get(words.id(at).index()).into_iter().flatten() {
            open.add(usize::from(*wording));
        }
        for (dim, bits) in &self.by_dim {
            if bits.meets(met) && !chart.values(*dim, at).is_empty() {
                open.join(bits);
            }
        }
        for (sign, bits) in &self.by_sign {
            if words.sign(at, *sign) {
                open.join(bits);
            }
        }
        open.keep(met);
        open
    }
}

/// The set that belongs to a key, made when there is none.
pub(super) fn bits_of<Key: PartialEq + Copy>(sets: &mut Vec<(Key, Bits)>, key: Key) -> &mut Bits {
    let index = sets.iter().position(|(old, _)| *old == key).unwrap_or_else(|| {
        sets.push((key, Bits::default()));
        sets.len() - 1
    });
    &mut sets[index].1
}

impl Wordings {
    /// Compiles every table.
    pub(super) fn compile(lexicon: &mut Lexicon) -> Wordings {
        let mut list = Vec::new();
        for (name, bonus, pattern, build) in TABLES.iter().flat_map(|rows| rows.iter()) {
            let pattern = Pattern::compile(pattern, lexicon, name.starts_with("answer"));
            list.push(Wording {
                name,
                pattern,
                build: *build,
                bonus: *bonus,
                stands: stands(name),
            });
        }
        let words_alone = |wording: &Wording| {
            let firsts = wording.pattern.firsts();
            !firsts.anything && firsts.dims.is_empty() && firsts.signs.is_empty()
        };
        // Stable, so that of two wordings alike in gain the one that is written first stays first.
        list.sort_by_key(words_alone);
        let mut by_word = vec![Vec::new(); lexicon.size()];
        let mut others = Others {
            by_word: vec![Vec::new(); lexicon.size()],
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
            if !words_alone(wording) {
                others.add(index, &firsts, &words);
                continue;
            }
            for word in words {
                by_word[word.index()].push(index);
            }
        }
        let needs = Needs::of(list.iter().map(|wording| &wording.pattern), lexicon);
        Wordings {
            list,
            by_word,
            others,
            needs,
        }
    }

    /// The wordings that lack nothing in a message.
    pub(super) fn met(&self, words: &Words<'_>) -> Bits {
        self.needs.met(words)
    }

    /// Wordings of `met` that may begin at a word.
    pub(super) fn at<'w>(
        &'w self,
        words: &Words<'_>,
        at: usize,
        chart: &Chart<'_, '_>,
        met: &'w Bits,
    ) -> impl Iterator<Item = &'w Wording> {
        let by_word = self.by_word.get(words.id(at).index()).map_or(&[][..], Vec::as_slice);
        let by_word = by_word
            .iter()
            .map(|index| usize::from(*index))
            .filter(|index| met.has(*index));
        let others = self.others.at(words, at, chart, met).numbers();
        by_word.chain(others).map(|index| &self.list[index])
    }
}
