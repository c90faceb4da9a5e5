//! Which of several guesses is worth a question?

use super::{slips::put_right, whisper::Guess};
use crate::conversation::Words;

/// More likely than this that nobody spoke, and nothing was said.
pub(super) const NO_SPEECH_MAX: f32 = 0.5;

/// Most other readings that are passed on.
const OTHERS_MAX: usize = 5;

/// Where doubt begins. The values of `default` come from the measurements in DEVELOPERS.md.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Doubts {
    /// A guess this much less likely than the best (natural logarithm) is not worth a question.
    pub other_ln_min: f32,
    /// Below this mean likelihood of a piece (natural logarithm), figures are not taken unasked.
    pub doubtful_ln_mean: f32,
}

impl Default for Doubts {
    fn default() -> Self {
        Doubts {
            other_ln_min: -3.0,
            doubtful_ln_mean: -0.6,
        }
    }
}

impl Doubts {
    /// Whether words of this mean likelihood are too doubtful to price from.
    pub(super) fn is_doubtful(self, ln_mean: f32) -> bool {
        ln_mean < self.doubtful_ln_mean
    }

    /// The likeliest words with the readings that have to be looked at; guesses come likeliest first.
    pub fn weigh(self, guesses: &[Guess]) -> Words {
        let Some((best, others)) = guesses.split_first() else {
            return Words::default();
        };
        Words {
            text: put_right(&best.text),
            others: others
                .iter()
                .filter(|guess| guess.standing() - best.standing() > self.other_ln_min)
                .take(OTHERS_MAX)
                .map(|guess| put_right(&guess.text))
                .collect(),
            doubtful: self.is_doubtful(best.ln_mean),
        }
    }
}

/// Words after words: another reading of either part is one of the whole.
pub(super) fn join(before: &Words, after: &Words) -> Words {
    let both = |first: &str, second: &str| format!("{first} {second}").trim().to_string();
    let early = before.others.iter().map(|other| both(other, &after.text));
    let late = after.others.iter().map(|other| both(&before.text, other));
    Words {
        text: both(&before.text, &after.text),
        others: early.chain(late).collect(),
        doubtful: before.doubtful || after.doubtful,
    }
}
