//! What must stand in a message for a wording to hold at all?
//!
//! Most wordings that may begin with any number or any kind go on with words of their own (`#money off`), and most
//! messages hold none of those words. What every way through a pattern passes is worked out when the pattern is compiled;
//! a message is looked through once for it, and only wordings that lack nothing are tried. It never decides a reading: a
//! wording that is left out here could not have matched.

use super::lexicon::{Class, Lexicon, WordId};
use super::pattern::{Dim, Node, Pattern};
use super::token::TokenKind;
use super::wordings::bits_of;
use super::words::Words;

/// Wordings that there can be.
const WORDINGS_MAX: usize = 1_024;

/// A set of wordings, by number.
#[derive(Debug, Clone, Copy)]
pub(super) struct Bits([u64; WORDINGS_MAX / 64]);

impl Default for Bits {
    fn default() -> Self {
        Bits([0; WORDINGS_MAX / 64])
    }
}

impl Bits {
    /// # Panics
    /// When the number is too large: the tables of wordings are part of the program.
    pub(super) fn add(&mut self, number: usize) {
        self.0[number / 64] |= 1 << (number % 64);
    }

    /// Whether a number is in the set.
    pub(super) fn has(&self, number: usize) -> bool {
        self.0[number / 64] & (1 << (number % 64)) != 0
    }

    /// Takes in another set.
    pub(super) fn join(&mut self, other: &Bits) {
        for (own, more) in self.0.iter_mut().zip(other.0) {
            *own |= more;
        }
    }

    /// Keeps what another set has too.
    pub(super) fn keep(&mut self, other: &Bits) {
        for (own, more) in self.0.iter_mut().zip(other.0) {
            *own &= more;
        }
    }

    /// Whether the sets have a number in common.
    pub(super) fn meets(&self, other: &Bits) -> bool {
        self.0.iter().zip(other.0).any(|(own, more)| own & more != 0)
    }

    /// The numbers in order.
    pub(super) fn numbers(self) -> impl Iterator<Item = usize> {
        self.0.into_iter().enumerate().flat_map(|(index, word)| {
            std::iter::successors(Some(word), |rest| Some(rest & rest.wrapping_sub(1)))
                .take_while(|rest| *rest != 0)
                .map(move |rest| index * 64 + rest.trailing_zeros() as usize)
        })
    }
}

/// One of these has to stand in the message.
#[derive(Debug, Clone, Default)]
struct Need {
    words: Vec<WordId>,
    signs: Vec<char>,
}

impl Need {
    fn of(nodes: &[usize], pattern: &Pattern, lexicon: &Lexicon) -> Need {
        let mut need = Need::default();
        for node in nodes {
            match pattern.node(*node) {
                Node::Words(words, _) => need.words.extend(words),
                Node::Class(class, _) => need.class(*class, lexicon),
                Node::Sign(sign, _) => need.signs.push(*sign),
                Node::Dim(dim, _) => need.dimension(*dim, lexicon),
                Node::Connector(_) | Node::Split(..) | Node::End => {}
            }
        }
        need.words.sort_unstable();
        need.words.dedup();
        need
    }

    /// What a value of a dimension cannot do without.
    fn dimension(&mut self, dim: Dim, lexicon: &Lexicon) {
        let Some((class, words, signs)) = without(dim) else {
            return;
        };
        self.class(class, lexicon);
        let known = |word: &&str| {
            lexicon
                .find(word)
                .expect("words that rules name are in the lexicon")
                .word
        };
        self.words.extend(words.iter().map(known));
        self.signs.extend(signs);
    }

    fn class(&mut self, class: Class, lexicon: &Lexicon) {
        self.words.extend(lexicon.words_of(class));
    }
}

/// Stands for a number with two decimals, which is how money is written.
const CENTS: char = '\0';

/// Words and signs of which a value of a dimension has at least one; `None` for a dimension that may do without.
fn without(dim: Dim) -> Option<(Class, &'static [&'static str], &'static [char])> {
    let timed = Class::HOUR.or(Class::MANHOUR);
    match dim {
        Dim::Dur => Some((
            timed.or(Class::MINUTE).or(Class::SECOND).or(Class::MANMINUTE),
            &["s"],
            &[],
        )),
        Dim::Dollars => Some((Class::DOLLAR.or(Class::BUCK).or(Class::CENT), &[], &['$', CENTS])),
        Dim::Pct => Some((Class::PERCENT, &[], &['%'])),
        Dim::Unit => Some((Class::UNIT, &[], &['\''])),
        Dim::PerHour => Some((timed, &["hourly"], &[])),
        Dim::EachUnit => Some((Class::EACH.or(Class::PER).or(Class::ARTICLE), &["every"], &['/'])),
        _ => None,
    }
}

/// Whether a value of a dimension can stand in a message, as far as that is known beforehand.
pub(super) fn possible(dim: Dim, words: &Words<'_>) -> bool {
    let Some((class, spelled, signs)) = without(dim) else {
        return true;
    };
    let cents =
        |at: usize| matches!(words.get(at).map(|t| t.kind), Some(TokenKind::Number(value)) if value.scale() == 2);
    (0..words.len()).any(|at| {
        let signed = signs.iter().any(|sign| words.sign(at, *sign));
        words.is(at, class) || words.one_of(at, spelled) || signed || signs.contains(&CENTS) && cents(at)
    })
}

/// Nodes of a pattern of which every way through it passes one, and about how many words they let through.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Passed {
    breadth: usize,
    nodes: Vec<usize>,
}

/// About how many words are of a class.
const CLASS_BREADTH: usize = 16;

/// All such sets of nodes.
fn passed(pattern: &Pattern) -> Vec<Passed> {
    let mut of_node: Vec<Vec<Passed>> = Vec::with_capacity(pattern.len());
    let narrowest = |sets: &[Passed], other: &[Passed]| {
        let own = sets.iter().filter(|set| !other.contains(set));
        own.min_by_key(|set| set.breadth).cloned()
    };
    // A node is made after those that follow it.
    for index in 0..pattern.len() {
        let (next, breadth) = match pattern.node(index) {
            Node::End => (None, None),
            Node::Words(words, next) => (Some(next), Some(words.len())),
            Node::Class(_, next) => (Some(next), Some(CLASS_BREADTH)),
            Node::Sign(_, next) => (Some(next), Some(1)),
            Node::Dim(dim, next) => (Some(next), without(*dim).map(|_| CLASS_BREADTH)),
            Node::Connector(next) => (Some(next), None),
            Node::Split(a, b) => {
                let (a, b) = (&of_node[*a], &of_node[*b]);
                let mut sets: Vec<Passed> = a.iter().filter(|set| b.contains(set)).cloned().collect();
                if let (Some(one), Some(other)) = (narrowest(a, b), narrowest(b, a)) {
                    sets.push(Passed {
                        breadth: one.breadth + other.breadth,
                        nodes: [one.nodes, other.nodes].concat(),
                    });
                }
                of_node.push(sets);
                continue;
            }
        };
        let mut sets = next.map(|next| of_node[*next].clone()).unwrap_or_default();
        sets.extend(breadth.map(|breadth| Passed {
            breadth,
            nodes: vec![index],
        }));
        of_node.push(sets);
    }
    of_node.swap_remove(pattern.start())
}

/// One need of each wording.
#[derive(Debug, Clone, Default)]
struct Layer {
    by_word: Vec<Vec<u16>>,
    by_sign: Vec<(char, Bits)>,
    /// Wordings that need nothing here.
    free: Bits,
}

/// What the wordings need, the narrowest needs of each.
#[derive(Debug, Default)]
pub(super) struct Needs {
    layers: [Layer; 3],
}

impl Needs {
    /// The needs of these wordings, which bear their numbers in order.
    pub(super) fn of<'p>(patterns: impl Iterator<Item = &'p Pattern>, lexicon: &Lexicon) -> Needs {
        let mut needs = Needs::default();
        for layer in &mut needs.layers {
            layer.by_word = vec![Vec::new(); lexicon.size()];
        }
        for (number, pattern) in patterns.enumerate() {
            let wording = u16::try_from(number).expect("fewer than 65,536 wordings");
            let mut sets = passed(pattern);
            sets.sort_by_key(|set| set.breadth);
            let mut sets = sets.iter();
            for layer in &mut needs.layers {
                let Some(set) = sets.next() else {
                    layer.free.add(number);
                    continue;
                };
                let need = Need::of(&set.nodes, pattern, lexicon);
                for word in need.words {
                    layer.by_word[word.index()].push(wording);
                }
                for sign in need.signs {
                    bits_of(&mut layer.by_sign, sign).add(number);
                }
            }
        }
        needs
    }

    /// The wordings that lack nothing in a message.
    pub(super) fn met(&self, words: &Words<'_>) -> Bits {
        let mut met = Bits([u64::MAX; WORDINGS_MAX / 64]);
        for layer in &self.layers {
            let mut here = layer.free;
            for at in 0..words.len() {
                let of_word = layer.by_word.get(words.id(at).index());
                for wording in of_word.into_iter().flatten() {
                    here.add(usize::from(*wording));
                }
                let sign = match words.get(at).map(|token| token.kind) {
                    Some(TokenKind::Sign(sign)) => sign,
                    Some(TokenKind::Number(value)) if value.scale() == 2 => CENTS,
                    _ => continue,
                };
                if let Some((_, bits)) = layer.by_sign.iter().find(|(own, _)| *own == sign) {
                    here.join(bits);
                }
            }
            met.keep(&here);
        }
        met
    }
}
