//! A Whisper model, run here: one load, two threads, one note at a time.
//!
//! The encoder looks at the clip and ten seconds of silence after it, at most thirty seconds in all: with less, short
//! clips come out twice; with more, they only take longer. A longer note is cut at its quietest places into stretches
//! that are heard one after the other, each with the words before it in mind.

mod decoding;
mod favours;
mod features;
mod model;
mod pieces;
mod spoken;
mod weights;

use std::{
    fs::File,
    io::BufReader,
    path::{Path, PathBuf},
};

use super::{
    Clip, Error as SpeechError, Hints, Note, SAMPLES_PER_SECOND, Transcriber, decode, doubt, doubt::Doubts, models,
    prompt::prompt,
};
use crate::conversation::{Unheard, Words};
pub use decoding::{Guess, Listened};
use favours::Favours;
use features::{Features, HOP};
use model::Model;
use pieces::Pieces;
use weights::Weights;

/// Threads that a model runs on.
const THREADS: usize = 2;

/// Silence that the encoder looks at after the clip.
const SILENCE_SECONDS: usize = 10;

/// Longest stretch that is heard in one go; the model was trained on thirty seconds.
const STRETCH_SECONDS: usize = 28;

/// A long note is cut at the quietest place within so many seconds before the longest stretch ends.
const CUT_WITHIN_SECONDS: usize = 8;

/// The length over which loudness is compared for a cut.
const CUT_SAMPLES: usize = SAMPLES_PER_SECOND / 5;

/// Why a model could not be used.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// A file of it cannot be read.
    #[error("a file of the speech model cannot be read")]
    Read(#[source] std::io::Error),
    /// A file of it is not what it should be.
    #[error("the speech model is not usable: {0}")]
    Form(String),
    /// The arithmetic failed.
    #[error("the speech model failed")]
    Arithmetic(#[from] candle_core::Error),
    /// No threads for it.
    #[error("the speech model gets no threads")]
    Threads(#[source] rayon::ThreadPoolBuildError),
}

/// A model that listens.
pub struct Whisper {
    model: Model,
    pieces: Pieces,
    features: Features,
    threads: rayon::ThreadPool,
}

impl Whisper {
    /// Loads the model in a folder: `model.bin`, `tokenizer.json`, `config.json`.
    pub fn load(folder: &Path) -> Result<Whisper, Error> {
        let threads = rayon::ThreadPoolBuilder::new()
            .num_threads(THREADS)
            .thread_name(|at| format!("voice-{at}"))
            .build()
            .map_err(Error::Threads)?;
        let file = File::open(folder.join("model.bin")).map_err(Error::Read)?;
        let model = threads.install(|| Model::new(&Weights::read(BufReader::new(file))?))?;
        let pieces = Pieces::read(folder)?;
        if !pieces.fit(model.vocabulary()) {
            return Err(Error::Form("its words are those of another model".to_string()));
        }
        Ok(Whisper {
            model,
            pieces,
            features: Features::new(),
            threads,
        })
    }

    /// The words of a clip.
    pub fn hear(&self, clip: &Clip, hints: &Hints) -> Result<Words, SpeechError> {
        let mut words: Option<Words> = None;
        for listened in self.listen_to(clip, hints)? {
            if listened.no_speech > doubt::NO_SPEECH_MAX {
                continue;
            }
            let heard = Doubts::default().weigh(&listened.guesses);
            words = Some(match words {
                Some(before) => doubt::join(&before, &heard),
                None => heard,
            });
        }
        words
            .filter(|words| !words.text.is_empty())
            .ok_or(SpeechError::Unheard(Unheard::NoWords))
    }

    /// All that is made out in a clip, stretch by stretch.
    pub fn listen_to(&self, clip: &Clip, hints: &Hints) -> Result<Vec<Listened>, Error> {
        let prompt = prompt(hints);
        let favours = Favours::new(&self.pieces, hints)?;
        let mut all: Vec<Listened> = Vec::new();
        for stretch in stretches(&clip.samples) {
            let mut earlier = prompt.clone();
            for before in all.iter().filter(|before| before.no_speech <= doubt::NO_SPEECH_MAX) {
                earlier.push(' ');
                earlier.push_str(&before.guesses[0].text);
            }
            all.push(self.threads.install(|| self.listen(stretch, &earlier, &favours))?);
        }
        Ok(all)
    }

    fn listen(&self, samples: &[f32], earlier: &str, favours: &Favours) -> Result<Listened, Error> {
        let filled = samples.len().div_ceil(HOP) + SILENCE_SECONDS * SAMPLES_PER_SECOND / HOP;
        let frames = filled.next_multiple_of(2).min(self.model.frames_max());
        let sound = self.model.listen(self.features.of(samples, frames), frames)?;
        #[expect(clippy::cast_precision_loss, reason = "at most thirty seconds")]
        let seconds = samples.len() as f64 / SAMPLES_PER_SECOND as f64;
        decoding::decode(&self.model, &self.pieces, &sound, (earlier, favours), seconds)
    }
}

/// A model that is loaded when the first note comes, so that a program without voice notes does not carry it.
pub struct Installed {
    folder: PathBuf,
    loaded: Option<Whisper>,
}

impl Installed {
    /// The model in a folder.
    pub fn new(folder: PathBuf) -> Installed {
        Installed { folder, loaded: None }
    }
}

impl Transcriber for Installed {
    fn transcribe(&mut self, note: &Note, hints: &Hints) -> Result<Words, SpeechError> {
        let clip = decode(&note.bytes).map_err(SpeechError::Unheard)?;
        let whisper = match &mut self.loaded {
            Some(whisper) => whisper,
            None if !models::is_installed(&self.folder) => return Err(SpeechError::Unheard(Unheard::NoModel)),
            None => self.loaded.insert(Whisper::load(&self.folder)?),
        };
        whisper.hear(&clip, hints)
    }
}

/// Cuts samples at quiet places into stretches that a model can hear in one go.
fn stretches(samples: &[f32]) -> Vec<&[f32]> {
    let (longest, within) = (
        STRETCH_SECONDS * SAMPLES_PER_SECOND,
        CUT_WITHIN_SECONDS * SAMPLES_PER_SECOND,
    );
    let mut stretches = Vec::new();
    let mut rest = samples;
    while rest.len() > longest {
        let from = longest - within;
        let quietest = rest[from..longest]
            .windows(CUT_SAMPLES)
            .step_by(CUT_SAMPLES / 8)
            .map(|window| window.iter().map(|sample| sample * sample).sum::<f32>())
            .enumerate()
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .map_or(0, |found| found.0);
        let (stretch, after) = rest.split_at(from + quietest * (CUT_SAMPLES / 8) + CUT_SAMPLES / 2);
        stretches.push(stretch);
        rest = after;
    }
    stretches.push(rest);
    stretches
}

#[cfg(test)]
mod tests {
    use super::{SAMPLES_PER_SECOND, stretches};

    #[test]
    fn long_notes_are_cut_where_they_are_quiet_and_nothing_is_lost() {
        let mut samples = vec![0.5_f32; 70 * SAMPLES_PER_SECOND];
        samples[24 * SAMPLES_PER_SECOND..24 * SAMPLES_PER_SECOND + 4_000].fill(0.0);
        let pieces = stretches(&samples);
        assert_eq!(pieces.concat(), samples);
        assert!(pieces.iter().all(|piece| piece.len() <= 28 * SAMPLES_PER_SECOND));
        let cut = pieces[0].len();
        assert!((24 * SAMPLES_PER_SECOND..=24 * SAMPLES_PER_SECOND + 4_000).contains(&cut));
    }

    #[test]
    fn short_notes_are_left_whole() {
        assert_eq!(stretches(&[0.1; 1_000]).len(), 1);
    }
}
