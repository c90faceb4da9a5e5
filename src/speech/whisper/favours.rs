//! Words that an account is likely to say, and what they gain while a sound is being made out.
//!
//! A small model knows crates and crimps better than crapes, and streets of its own better than the ones of a round. Here
//! the words of the price list, the places and the trade's small phrases are held as the pieces that they are spoken in.
//! A text that goes along one of them gains a little for every piece, but never more than the piece cost it, so that nothing
//! is worth saying for the gain alone; what it gained is taken back when the phrase is not said to its end. Figures are
//! never favoured: how many there are is for the sound alone to say.

use std::collections::HashMap;

use super::{Error, pieces::Pieces};
use crate::speech::Hints;

/// What a piece of an own word gains (natural logarithm).
pub(super) const OWN_GAIN: f32 = 1.5;

/// What a piece of the trade's small phrases gains.
pub(super) const TRADE_GAIN: f32 = 0.7;

/// Names and places that are favoured; the latest places first, the rest of a long list is left out.
const NAMES_MAX: usize = 400;

/// The trade's small phrases, whose words are swallowed when the sound is poor. They open or close what holds the figures.
const TRADE: [&str; 34] = [
    "a foot",
    "a yard",
    "a man-hour",
    "an hour",
    "an hour and a half",
    "minutes a foot",
    "minutes each",
    "minutes",
    "dollars each",
    "each",
    "guys",
    "with two guys",
    "with three guys",
    "feet of hedge",
    "yards of mulch",
    "done",
    "done in",
    "finished",
    "finished in",
    "percent off",
    "off",
    "they said yes",
    "won",
    "paid",
    "check",
    "cash",
    "rate",
    "minimum",
    "set-up",
    "dump fee",
    "make that",
    "call it",
    "took",
    "drop the",
];

/// The phrases, as a tree of pieces.
pub(super) struct Favours {
    nodes: Vec<Node>,
}

#[derive(Default)]
struct Node {
    next: HashMap<u32, usize>,
    gain: f32,
    ends: bool,
}

/// How far a text has come along a phrase, and what it gained so far.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct Favour {
    node: usize,
    pending: f32,
    kept: f32,
}

impl Favour {
    /// What was gained, what may yet be taken back included.
    pub(super) fn hoped(self) -> f32 {
        self.kept + self.pending
    }

    /// What was gained for good.
    pub(super) fn kept(self) -> f32 {
        self.kept
    }
}

impl Favours {
    /// The words of an account, and the trade's.
    pub(super) fn new(pieces: &Pieces, hints: &Hints) -> Result<Favours, Error> {
        let mut favours = Favours {
            nodes: vec![Node::default()],
        };
        let places = hints.places.iter().map(|place| format!("at {place}"));
        let own = hints.kinds.iter().chain(&hints.sizes).cloned().chain(places);
        for name in own.take(NAMES_MAX) {
            favours.add(pieces, &name, OWN_GAIN)?;
        }
        for phrase in TRADE {
            favours.add(pieces, phrase, TRADE_GAIN)?;
        }
        Ok(favours)
    }

    /// Adds a phrase as it stands in a text, as it opens one, and in small letters.
    fn add(&mut self, pieces: &Pieces, phrase: &str, gain: f32) -> Result<(), Error> {
        let small = phrase.to_lowercase();
        let opening: String = phrase
            .chars()
            .take(1)
            .flat_map(char::to_uppercase)
            .chain(phrase.chars().skip(1))
            .collect();
        let mut ways = vec![format!(" {phrase}"), format!(" {small}"), format!(" {opening}")];
        ways.dedup();
        for way in ways {
            let mut node = 0;
            for piece in pieces.of(&way)? {
                node = match self.nodes[node].next.get(&piece) {
                    Some(next) => *next,
                    None => {
                        self.nodes.push(Node::default());
                        let next = self.nodes.len() - 1;
                        self.nodes[node].next.insert(piece, next);
                        next
                    }
                };
                let node = &mut self.nodes[node];
                node.gain = node.gain.max(gain);
            }
            self.nodes[node].ends = true;
        }
        Ok(())
    }

    /// Goes on with a piece that is so likely.
    pub(super) fn step(&self, favour: Favour, piece: u32, ln: f32) -> Favour {
        let along = |node: usize| self.nodes[node].next.get(&piece).copied();
        let (node, before) = match along(favour.node) {
            Some(node) => (node, favour.pending),
            None => (along(0).unwrap_or(0), 0.0),
        };
        let Node { gain, ends, .. } = &self.nodes[node];
        let pending = if node == 0 { 0.0 } else { before + gain.min(-ln) };
        if *ends {
            Favour {
                node,
                pending: 0.0,
                kept: favour.kept + pending,
            }
        } else {
            Favour {
                node,
                pending,
                kept: favour.kept,
            }
        }
    }

    /// Pieces that would gain next.
    pub(super) fn next(&self, favour: Favour) -> impl Iterator<Item = u32> {
        let here = self.nodes[favour.node].next.keys();
        let anew = (favour.node != 0).then(|| self.nodes[0].next.keys());
        here.chain(anew.into_iter().flatten()).copied()
    }
}

#[cfg(test)]
mod tests {
    use std::collections::HashMap;

    use super::{Favour, Favours, Node};

    /// One phrase of the pieces 7, 8, 9, and one of 7 alone.
    fn favours() -> Favours {
        let node = |next: &[(u32, usize)], ends| Node {
            next: next.iter().copied().collect::<HashMap<_, _>>(),
            gain: 1.0,
            ends,
        };
        Favours {
            nodes: vec![
                node(&[(7, 1)], false),
                node(&[(8, 2)], true),
                node(&[(9, 3)], false),
                node(&[], true),
            ],
        }
    }

    #[track_caller]
    fn check(pieces: &[u32], hoped: f32, kept: f32) {
        let favours = favours();
        let favour = pieces
            .iter()
            .fold(Favour::default(), |favour, piece| favours.step(favour, *piece, -3.0));
        assert!(
            (favour.hoped() - hoped).abs() < 1e-6 && (favour.kept() - kept).abs() < 1e-6,
            "{favour:?}"
        );
    }

    #[test]
    fn a_phrase_gains_when_it_is_said_to_its_end_and_what_was_hoped_is_taken_back() {
        check(&[], 0.0, 0.0);
        check(&[7], 1.0, 1.0);
        check(&[7, 8], 2.0, 1.0);
        check(&[7, 8, 9], 3.0, 3.0);
        check(&[7, 8, 4], 1.0, 1.0);
        check(&[7, 8, 7], 2.0, 2.0);
        check(&[8, 9], 0.0, 0.0);
    }

    #[test]
    fn a_piece_gains_no_more_than_it_cost() {
        let favour = favours().step(Favour::default(), 7, -0.25);
        assert!((favour.kept() - 0.25).abs() < 1e-6, "{favour:?}");
    }
}
