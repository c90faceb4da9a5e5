//! The likeliest words of a sound, and the words that were nearly said instead.
//!
//! The likeliest piece is taken at each step. Where another piece was nearly as likely, the text forks: each of the
//! closest forks is followed to its own end, all side by side. A beam would spend its width on commas; forks where the
//! model hesitated are where a count or a price may have been another.

use super::{
    Error,
    model::{Memory, Model, Sound},
    pieces::{Pieces, log_softmax},
};

/// Forks that are followed.
const FORKS_MAX: usize = 6;

/// A piece less likely than this is no fork.
const FORK_LEAST_LN: f32 = -4.0;

/// Pieces of a text that a fork may differ at, of the same place.
const FORKS_AT_A_PLACE_MAX: usize = 3;

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
    /// The logarithm of how likely they are, given the sound.
    pub ln: f32,
    /// The mean of that for one piece.
    pub ln_mean: f32,
}

/// What came of listening to a stretch of sound.
#[derive(Debug, Clone, PartialEq)]
pub struct Listened {
    /// The words and their forks, likeliest first, each text once.
    pub guesses: Vec<Guess>,
    /// How likely it is that nobody spoke.
    pub no_speech: f32,
}

/// A place where the text may have gone on otherwise.
struct Fork {
    /// After so many pieces.
    at: usize,
    /// With this one.
    piece: u32,
    /// How much less likely that is than what was taken.
    behind: f32,
}

/// A text that grows.
#[derive(Clone, Default)]
struct Line {
    pieces: Vec<u32>,
    ln: f32,
    ended: bool,
}

impl Line {
    /// Takes in a piece; says whether the text goes on.
    fn take(&mut self, piece: u32, ln: f32, end: u32, pieces_max: usize) {
        self.ln += ln;
        if piece == end || self.pieces.len() >= pieces_max {
            self.ended = true;
            return;
        }
        self.pieces.push(piece);
        self.ended = unloop(&mut self.pieces);
    }

    fn guess(&self, pieces: &Pieces) -> Result<Guess, Error> {
        #[expect(clippy::cast_precision_loss, reason = "a few hundred pieces")]
        let count = (self.pieces.len() + 1) as f32;
        Ok(Guess {
            text: pieces.text(&self.pieces)?,
            ln: self.ln,
            ln_mean: self.ln / count,
        })
    }
}

/// Decodes a sound of so many seconds, with words that may have been said before it.
pub(super) fn decode(
    model: &Model,
    pieces: &Pieces,
    sound: &Sound,
    earlier: &str,
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
    let (line, forks) = likeliest(model, pieces, sound, (memory.clone(), first.clone()), most)?;
    let lines = follow(model, pieces, sound, (&memory, first), &line, &forks, most)?;
    let mut guesses: Vec<Guess> = Vec::new();
    let mut all = std::iter::once(&line)
        .chain(&lines)
        .map(|line| line.guess(pieces))
        .collect::<Result<Vec<_>, _>>()?;
    // Stable, so that the text of the likeliest pieces stays before its equals. A fork may well be likelier as a whole.
    all.sort_by(|a, b| b.ln.total_cmp(&a.ln));
    for guess in all {
        if guesses.iter().all(|known| known.text != guess.text) {
            guesses.push(guess);
        }
    }
    Ok(Listened { guesses, no_speech })
}

/// The text of the likeliest pieces, and where it may fork, closest first.
fn likeliest(
    model: &Model,
    pieces: &Pieces,
    sound: &Sound,
    (mut memory, mut row): (Memory, Vec<f32>),
    most: usize,
) -> Result<(Line, Vec<Fork>), Error> {
    let mut line = Line::default();
    let mut forks = Vec::new();
    loop {
        pieces.allow(&mut row, line.pieces.is_empty());
        let ranked = top(&row);
        let (best, ln) = ranked[0];
        let at = line.pieces.len();
        for (piece, other) in &ranked[1..] {
            if *other > FORK_LEAST_LN && pieces.differ(best, *piece) {
                forks.push(Fork {
                    at,
                    piece: *piece,
                    behind: ln - other,
                });
            }
        }
        line.take(best, ln, pieces.end, most);
        if line.ended {
            break;
        }
        row = model
            .say(sound, &mut memory, &[best], 1)?
            .pop()
            .expect("one row for one piece");
    }
    forks.retain(|fork| fork.at < line.pieces.len() + 1);
    forks.sort_by(|a, b| a.behind.total_cmp(&b.behind));
    forks.truncate(FORKS_MAX);
    Ok((line, forks))
}

/// Follows forks to their ends, side by side.
fn follow(
    model: &Model,
    pieces: &Pieces,
    sound: &Sound,
    (memory, first): (&Memory, Vec<f32>),
    line: &Line,
    forks: &[Fork],
    most: usize,
) -> Result<Vec<Line>, Error> {
    if forks.is_empty() {
        return Ok(Vec::new());
    }
    let mut memory = memory.copies(forks.len())?;
    let mut rows = vec![first; forks.len()];
    let mut lines = vec![Line::default(); forks.len()];
    loop {
        let mut next = Vec::with_capacity(forks.len());
        for ((fork, line_now), row) in forks.iter().zip(&mut lines).zip(&mut rows) {
            if line_now.ended {
                next.push(pieces.end);
                continue;
            }
            let at = line_now.pieces.len();
            pieces.allow(row, at == 0);
            let piece = match at.cmp(&fork.at) {
                std::cmp::Ordering::Less => line.pieces[at],
                std::cmp::Ordering::Equal => fork.piece,
                std::cmp::Ordering::Greater => top(row)[0].0,
            };
            line_now.take(piece, row[piece as usize], pieces.end, most);
            next.push(piece);
        }
        if lines.iter().all(|line| line.ended) {
            return Ok(lines);
        }
        rows = model.say(sound, &mut memory, &next, forks.len())?;
    }
}

/// The likeliest pieces of a row, likeliest first.
fn top(row: &[f32]) -> Vec<(u32, f32)> {
    let mut best: Vec<(u32, f32)> = Vec::with_capacity(FORKS_AT_A_PLACE_MAX + 1);
    for (piece, ln) in (0..).zip(row) {
        if best.len() < FORKS_AT_A_PLACE_MAX || best.last().is_some_and(|last| *ln > last.1) {
            let place = best.partition_point(|known| known.1 >= *ln);
            best.insert(place, (piece, *ln));
            best.truncate(FORKS_AT_A_PLACE_MAX);
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
    use super::{top, unloop};

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
        let row = [-3.0, -1.0, f32::NEG_INFINITY, -2.0, -1.5];
        assert_eq!(top(&row), [(1, -1.0), (4, -1.5), (3, -2.0)]);
    }
}
