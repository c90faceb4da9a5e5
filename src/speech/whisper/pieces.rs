//! Text as the word pieces that a model speaks in, and the pieces with a meaning of their own.

use std::path::Path;

use serde::Deserialize;
use tokenizers::Tokenizer;

use super::Error;

/// The pieces of a model.
pub(super) struct Pieces {
    tokenizer: Tokenizer,
    /// Ends a text.
    pub(super) end: u32,
    /// Comes before words said earlier.
    earlier: u32,
    /// What a text begins with.
    start: Vec<u32>,
    /// As likely as there is no speech at all.
    pub(super) no_speech: u32,
    /// The first piece that is a time.
    first_time: u32,
    /// Never said.
    never: Vec<u32>,
    /// Never said first.
    never_first: Vec<u32>,
}

/// What is read of `config.json`.
#[derive(Deserialize)]
struct Settings {
    suppress_ids: Vec<u32>,
    suppress_ids_begin: Vec<u32>,
}

impl Pieces {
    /// Reads `tokenizer.json` and `config.json`.
    pub(super) fn read(folder: &Path) -> Result<Pieces, Error> {
        let tokenizer = std::fs::read(folder.join("tokenizer.json")).map_err(Error::Read)?;
        let tokenizer = Tokenizer::from_bytes(tokenizer).map_err(|error| Error::Form(error.to_string()))?;
        let settings = std::fs::read(folder.join("config.json")).map_err(Error::Read)?;
        let settings: Settings = serde_json::from_slice(&settings).map_err(|error| Error::Form(error.to_string()))?;
        let find = |name: &str| tokenizer.token_to_id(name);
        let piece = |name: &str| find(name).ok_or_else(|| Error::Form(format!("no piece {name}")));
        let mut start = vec![piece("<|startoftranscript|>")?];
        // A model of many languages is told which one it is to write; an English one has a shorter list of pieces.
        let end = piece("<|endoftext|>")?;
        if end == 50_257 {
            start.extend([piece("<|en|>")?, piece("<|transcribe|>")?]);
        }
        let no_times = piece("<|notimestamps|>")?;
        start.push(no_times);
        Ok(Pieces {
            end,
            earlier: piece("<|startofprev|>")?,
            no_speech: find("<|nospeech|>").map_or_else(|| piece("<|nocaptions|>"), Ok)?,
            first_time: no_times + 1,
            start,
            never: settings.suppress_ids,
            never_first: settings.suppress_ids_begin,
            tokenizer,
        })
    }

    /// What the decoder is given before it begins: words that may have been said earlier, at most so many pieces of them,
    /// and the start. Also where in it the start is.
    pub(super) fn opening(&self, earlier: &str, earlier_max: usize) -> Result<(Vec<u32>, usize), Error> {
        let mut opening = Vec::new();
        if !earlier.trim().is_empty() {
            let words = self
                .tokenizer
                .encode(format!(" {}", earlier.trim()), false)
                .map_err(|error| Error::Form(error.to_string()))?;
            let words = words.get_ids();
            opening.push(self.earlier);
            opening.extend_from_slice(&words[words.len().saturating_sub(earlier_max)..]);
        }
        let start = opening.len();
        opening.extend_from_slice(&self.start);
        Ok((opening, start))
    }

    /// The text of pieces.
    pub(super) fn text(&self, pieces: &[u32]) -> Result<String, Error> {
        let text = self.tokenizer.decode(pieces, true);
        Ok(text.map_err(|error| Error::Form(error.to_string()))?.trim().to_string())
    }

    /// A piece as it is written.
    pub(super) fn written(&self, piece: u32) -> String {
        self.tokenizer.decode(&[piece], true).unwrap_or_default()
    }

    /// The pieces of a text.
    pub(super) fn of(&self, text: &str) -> Result<Vec<u32>, Error> {
        let pieces = self.tokenizer.encode(text, false);
        Ok(pieces
            .map_err(|error| Error::Form(error.to_string()))?
            .get_ids()
            .to_vec())
    }

    /// Turns a row of the network into logarithms of probabilities, with what may not be said now left out.
    pub(super) fn allow(&self, row: &mut [f32], is_first: bool) {
        for piece in &self.never {
            silence(row, *piece);
        }
        if is_first {
            for piece in &self.never_first {
                silence(row, *piece);
            }
        }
        let special = self.end as usize + 1..row.len();
        row[special].fill(f32::NEG_INFINITY);
        log_softmax(row);
    }

    /// Whether a model with so many pieces is the one that these belong to.
    pub(super) fn fit(&self, vocabulary: usize) -> bool {
        let all = [self.end, self.earlier, self.no_speech, self.first_time];
        all.iter().all(|piece| (*piece as usize) < vocabulary)
    }
}

fn silence(row: &mut [f32], piece: u32) {
    if let Some(value) = row.get_mut(piece as usize) {
        *value = f32::NEG_INFINITY;
    }
}

/// Logarithms of probabilities from unnormalised ones.
pub(super) fn log_softmax(row: &mut [f32]) {
    let largest = row.iter().copied().fold(f32::NEG_INFINITY, f32::max);
    let sum: f32 = row.iter().map(|value| (value - largest).exp()).sum();
    let all = largest + sum.ln();
    for value in row {
        *value -= all;
    }
}
