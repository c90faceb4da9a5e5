//! The likeliest words of a sound, and the words that were nearly said instead.
//!
//! Several texts grow side by side, the likeliest few of each step. Texts that are the same when they are read out (a
//! capital, a comma, `2` for `two`) are one text, and how likely they are is added up: otherwise commas would take all the
//! room, and how likely a count is would be split over its spellings. Words of the account gain a little ([`Favours`]).

use super::{
    Error,
    favours::{Favour, Favours},
    model::{Memory, Model, Sound},
    pieces::{Pieces, log_softmax},
    spoken::as_spoken,
};

/// Texts that grow side by side.
const TEXTS_MAX: usize = 8;

/// Texts that are given in the end.
const GUESSES_MAX: usize = 12;

/// Pieces that a text may go on with, besides those that are favoured.
const BRANCHES: usize = 5;

/// A piece less likely than this is not tried, however favoured.
const LEAST_LN: f32 = -9.0;

/// A text so much less likely than the best is given up.
const BEHIND_MAX: f32 = 7.0;

/// Pieces for a second of sound, more than anyone can say.
const PIECES_A_SECOND: f64 = 8.0;

/// Pieces allowed whatever the length.
const PIECES_SPARE: usize = 24;

/// Pieces that a text repeats before it counts as stuck.
const LOOP_PIECES_MIN: usize = 5;

/// Words that may have been said.
#[derive(Debug, Clone, PartialEq)]
pub struct Guess {
    /// The words.
    pub text: String,
    /// The logarithm of how likely they are, given the sound; all spellings together.
    pub ln: f32,
    /// What they gain because the account is likely to say them.
    pub gain: f32,
    /// The mean logarithm of one piece, for the spelling that is given.
    pub ln_mean: f32,
}

impl Guess {
    /// How they stand against other guesses.
    pub fn standing(&self) -> f32 {
        self.ln + self.gain
    }
}

/// What came of listening to a stretch of sound.
#[derive(Debug, Clone, PartialEq)]
pub struct Listened {
    /// The words and what may have been said instead, likeliest first, each once.
    pub guesses: Vec<Guess>,
    /// How likely it is that nobody spoke.
    pub no_speech: f32,
}

/// A text that grows.
#[derive(Clone, Default)]
struct Text {
    pieces: Vec<u32>,
    /// As it is written.
    written: String,
    /// How likely this spelling is.
    ln: f32,
    /// How much likelier all spellings are together; no less than nothing.
    more: f32,
    favour: Favour,
    ended: bool,
    /// Which of the texts of the step before it goes on from.
    from: usize,
}

impl Text {
    /// How this spelling stands; never above nothing, and never rising as the text grows.
    fn standing(&self) -> f32 {
        self.ln
            + if self.ended {
                self.favour.kept()
            } else {
                self.favour.hoped()
            }
    }

    /// This text and one piece more.
    fn with(&self, from: usize, piece: u32, ln: f32, favours: &Favours, pieces: &Pieces, pieces_max: usize) -> Text {
        let mut text = Text {
            from,
            ln: self.ln + ln,
            ..self.clone()
        };
        if piece == pieces.end || text.pieces.len() >= pieces_max {
            text.ended = true;
            return text;
        }
        text.pieces.push(piece);
        text.written.push_str(&pieces.written(piece));
        text.favour = favours.step(self.favour, piece, ln);
        text.ended = unloop(&mut text.pieces);
        if text.ended {
            text.written = text.pieces.iter().map(|piece| pieces.written(*piece)).collect();
        }
        text
    }

    fn guess(&self, pieces: &Pieces) -> Result<Guess, Error> {
        #[expect(clippy::cast_precision_loss, reason = "a few hundred pieces")]
        let count = (self.pieces.len() + 1) as f32;
        Ok(Guess {
            text: pieces.text(&self.pieces)?,
            ln: self.ln + self.more,
            gain: self.favour.kept(),
            ln_mean: self.ln / count,
        })
    }
}

/// Decodes a sound of so many seconds, with words that may have been said before it.
pub(super) fn decode(
    model: &Model,
    pieces: &Pieces,
    sound: &Sound,
    (earlier, favours): (&str, &Favours),
    seconds: f64,
) -> Result<Listened, Error> {
    let (opening, start) = pieces.opening(earlier, model.pieces_max() / 2 - 8)?;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "at most thirty seconds"
    )]
    let most = (seconds * PIECES_A_SECOND) as usize + PIECES_SPARE;
    let most = most.min(model.pieces_max() - opening.len() - 1);
    let mut memory = model.memory();
    let mut rows = model.say(sound, &mut memory, &opening, 1)?;
    let mut quiet = rows[start].clone();
    log_softmax(&mut quiet);
    let no_speech = quiet[pieces.no_speech as usize].exp();
    let first = rows.pop().expect("the opening has pieces");
    let mut guesses: Vec<Guess> = grow(model, pieces, sound, favours, (memory, first), most)?
        .iter()
        .map(|text| text.guess(pieces))
        .collect::<Result<_, _>>()?;
    guesses.sort_by(|a, b| b.standing().total_cmp(&a.standing()));
    guesses.truncate(GUESSES_MAX);
    Ok(Listened { guesses, no_speech })
}

/// The texts that were said to their end.
fn grow(
    model: &Model,
    pieces: &Pieces,
    sound: &Sound,
    favours: &Favours,
    (mut memory, first): (Memory, Vec<f32>),
    most: usize,
) -> Result<Vec<Text>, Error> {
    let mut texts = vec![Text::default()];
    let mut rows = vec![first];
    let mut done: Vec<Text> = Vec::new();
    loop {
        let mut next = Vec::new();
        for ((at, text), row) in texts.iter().enumerate().zip(&mut rows) {
            pieces.allow(row, text.pieces.is_empty());
            for (piece, ln) in branches(row, favours, text.favour) {
                next.push(text.with(at, piece, ln, favours, pieces, most));
            }
        }
        let mut next = joined(next);
        next.append(&mut done);
        let mut next = joined(next);
        next.sort_by(|a, b| b.standing().total_cmp(&a.standing()));
        let least = next.first().map_or(0.0, Text::standing) - BEHIND_MAX;
        next.retain(|text| text.standing() >= least);
        (done, texts) = next.into_iter().partition(|text| text.ended);
        done.truncate(GUESSES_MAX);
        texts.truncate(TEXTS_MAX);
        if texts.is_empty() {
            return Ok(done);
        }
        let from: Vec<usize> = texts.iter().map(|text| text.from).collect();
        memory = memory.of_texts(&from)?;
        let last: Vec<u32> = texts
            .iter()
            .map(|text| *text.pieces.last().expect("a text that goes on has pieces"))
            .collect();
        rows = model.say(sound, &mut memory, &last, texts.len())?;
    }
}

/// Texts that read alike made one: the spelling that stands best stands for all, and all count.
fn joined(mut texts: Vec<Text>) -> Vec<Text> {
    texts.sort_by(|a, b| b.standing().total_cmp(&a.standing()));
    let mut keys: Vec<(bool, String)> = Vec::with_capacity(texts.len());
    let mut apart: Vec<Text> = Vec::with_capacity(texts.len());
    for text in texts {
        let key = (text.ended, as_spoken(&text.written));
        match keys.iter().position(|known| *known == key) {
            Some(at) => {
                let one = &mut apart[at];
                let behind = text.standing() + text.more - one.standing();
                one.more = (one.more.exp() + behind.exp()).ln();
            }
            None => {
                keys.push(key);
                apart.push(text);
            }
        }
    }
    apart
}

/// What a text may go on with: the likeliest pieces, and those that are favoured and not out of the question.
fn branches(row: &[f32], favours: &Favours, favour: Favour) -> Vec<(u32, f32)> {
    let mut branches = top(row);
    for piece in favours.next(favour) {
        let ln = row[piece as usize];
        if ln > LEAST_LN && branches.iter().all(|(known, _)| *known != piece) {
            branches.push((piece, ln));
        }
    }
    branches.retain(|(_, ln)| *ln > LEAST_LN);
    branches
}

/// The likeliest pieces of a row, likeliest first.
fn top(row: &[f32]) -> Vec<(u32, f32)> {
    let mut best: Vec<(u32, f32)> = Vec::with_capacity(BRANCHES + 1);
    for (piece, ln) in (0..).zip(row) {
        if best.len() < BRANCHES || best.last().is_some_and(|last| *ln > last.1) {
            let place = best.partition_point(|known| known.1 >= *ln);
            best.insert(place, (piece, *ln));
            best.truncate(BRANCHES);
        }
    }
    best
}

/// Cuts off a block of pieces that a text has begun to repeat: said three times, or twice when it is most of the text.
fn unloop(pieces: &mut Vec<u32>) -> bool {
    let count = pieces.len();
    let block = |from: usize, length: usize| &pieces[from..from + length];
    for length in LOOP_PIECES_MIN..=count / 2 {
        if block(count - length, length) != block(count - 2 * length, length) {
            continue;
        }
        let thrice = count >= 3 * length && block(count - length, length) == block(count - 3 * length, length);
        if thrice || count < 2 * length + 2 {
            pieces.truncate(count - length * if thrice { 2 } else { 1 });
            return true;
        }
    }
    false
}

#[cfg(test)]
mod tests {
    use super::{Text, joined, top, unloop};

    #[track_caller]
    fn check(pieces: &[u32], kept: Option<usize>) {
        let mut text = pieces.to_vec();
        assert_eq!(unloop(&mut text), kept.is_some());
        assert_eq!(text, pieces[..kept.unwrap_or(pieces.len())]);
    }

    #[test]
    fn a_text_that_is_stuck_is_cut_and_one_that_only_counts_is_not() {
        check(&[1, 2, 3, 4, 5, 1, 2, 3, 4, 5], Some(5));
        check(&[9, 8, 7, 1, 2, 3, 4, 5, 1, 2, 3, 4, 5], None);
        check(&[9, 8, 7, 1, 2, 3, 4, 5, 1, 2, 3, 4, 5, 1, 2, 3, 4, 5], Some(8));
        check(&[4, 4, 4, 4, 4, 4], None);
        check(&[], None);
    }

    #[test]
    fn the_likeliest_come_first() {
        let row = [-3.0, -1.0, f32::NEG_INFINITY, -2.0, -1.5, -7.0];
        assert_eq!(top(&row), [(1, -1.0), (4, -1.5), (3, -2.0), (0, -3.0), (5, -7.0)]);
    }

    #[test]
    fn spellings_of_one_text_count_together() {
        let text = |written: &str, share: f32| Text {
            written: written.to_string(),
            ln: share.ln(),
            ..Text::default()
        };
        let apart = joined(vec![
            text(" 12 small", 0.2),
            text(" Twelve, small.", 0.4),
            text(" ten small", 0.3),
        ]);
        let shares: Vec<(&str, f32)> = apart
            .iter()
            .map(|text| (text.written.as_str(), (text.ln + text.more).exp()))
            .collect();
        assert_eq!(shares.len(), 2);
        assert_eq!(shares[0].0, " Twelve, small.");
        assert!((shares[0].1 - 0.6).abs() < 1e-5, "{shares:?}");
    }
}
