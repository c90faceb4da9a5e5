//! Listening on another machine: a server that speaks `POST /v1/audio/transcriptions`.
//!
//! The convention is a form with the audio, the name of a model and a few wishes; the answer is JSON with the text, and in
//! its longer form how likely each stretch of it was. The longer form is asked for; a server that does not know it is
//! asked for the short one from then on. The clip is decoded here first all the same: what is too long or broken never
//! leaves this machine, and what the convention does not list (AMR) is sent as WAV.

use std::time::Duration;

use reqwest::{
    StatusCode, Url,
    multipart::{Form, Part},
};
use serde::Deserialize;

use super::{
    Clip, Container, Error, Hints, Note, SAMPLES_PER_SECOND, Transcriber, decode, doubt, doubt::Doubts, prompt::prompt,
    slips::put_right,
};
use crate::conversation::{Unheard, Words};

/// How long a server may take for a note.
const ANSWER_WAIT: Duration = Duration::from_secs(120);

/// Longest answer that is read.
const ANSWER_BYTES_MAX: usize = 1_000_000;

/// Letters of an answer that are used: five minutes of fast talk.
const TEXT_LETTERS_MAX: usize = 8_000;

/// A key that opens a server; its text is never shown.
#[derive(Clone)]
pub struct Key(String);

impl Key {
    /// The key as set.
    pub fn new(text: &str) -> Key {
        Key(text.trim().to_string())
    }
}

impl std::fmt::Debug for Key {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Key(…)")
    }
}

/// Where notes are sent to be heard.
#[derive(Debug, Clone)]
pub struct Address {
    /// The whole address of the endpoint, `…/v1/audio/transcriptions`.
    pub url: Url,
    /// The key that opens it.
    pub key: Option<Key>,
    /// The model asked for.
    pub model: String,
}

/// A server that listens.
pub struct Server {
    address: Address,
    client: reqwest::Client,
    runtime: tokio::runtime::Runtime,
    long_form: bool,
}

/// The answer. Only the text is there in the short form.
#[derive(Deserialize)]
struct Answer {
    text: String,
    #[serde(default)]
    segments: Vec<Segment>,
}

/// A stretch of the answer.
#[derive(Deserialize)]
struct Segment {
    avg_logprob: Option<f32>,
    no_speech_prob: Option<f32>,
}

impl Server {
    /// A client of its own: no redirects, no proxy, a limit on the wait.
    pub fn new(address: Address) -> Result<Server, Error> {
        // Another part may have installed it already; any provider will do then.
        let _ = rustls::crypto::ring::default_provider().install_default();
        let client = reqwest::Client::builder()
            .timeout(ANSWER_WAIT)
            .redirect(reqwest::redirect::Policy::none())
            .no_proxy()
            .build()
            .map_err(Error::Server)?;
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .build()
            .map_err(Error::Runtime)?;
        Ok(Server {
            address,
            client,
            runtime,
            long_form: true,
        })
    }

    async fn ask(&self, note: &Note, clip: &Clip, said_before: &str) -> Result<(StatusCode, Vec<u8>), Error> {
        let form = Form::new()
            .text("model", self.address.model.clone())
            .text("language", "en")
            .text("prompt", said_before.to_string())
            .text("temperature", "0")
            .text("response_format", if self.long_form { "verbose_json" } else { "json" })
            .part("file", file(note, clip)?);
        let mut request = self.client.post(self.address.url.clone()).multipart(form);
        if let Some(Key(key)) = &self.address.key {
            request = request.bearer_auth(key);
        }
        let mut response = request
            .send()
            .await
            .map_err(|error| Error::Server(error.without_url()))?;
        let status = response.status();
        let mut body = Vec::new();
        while let Some(piece) = response
            .chunk()
            .await
            .map_err(|error| Error::Server(error.without_url()))?
        {
            if body.len() + piece.len() > ANSWER_BYTES_MAX {
                return Err(Error::ServerAnswer);
            }
            body.extend_from_slice(&piece);
        }
        Ok((status, body))
    }
}

impl Transcriber for Server {
    fn transcribe(&mut self, note: &Note, hints: &Hints) -> Result<Words, Error> {
        let clip = decode(&note.bytes).map_err(Error::Unheard)?;
        let said_before = prompt(hints);
        let (mut status, mut body) = self.runtime.block_on(self.ask(note, &clip, &said_before))?;
        if self.long_form && matches!(status, StatusCode::BAD_REQUEST | StatusCode::UNPROCESSABLE_ENTITY) {
            self.long_form = false;
            (status, body) = self.runtime.block_on(self.ask(note, &clip, &said_before))?;
        }
        if !status.is_success() {
            return Err(Error::ServerStatus(status.as_u16()));
        }
        words(&body)
    }
}

/// The words of an answer.
fn words(body: &[u8]) -> Result<Words, Error> {
    let answer: Answer = serde_json::from_slice(body).map_err(|_| Error::ServerAnswer)?;
    let text: String = answer.text.trim().chars().take(TEXT_LETTERS_MAX).collect();
    let silent = !answer.segments.is_empty()
        && answer.segments.iter().all(|segment| {
            segment
                .no_speech_prob
                .is_some_and(|no_speech| no_speech > doubt::NO_SPEECH_MAX)
        });
    if text.is_empty() || silent {
        return Err(Error::Unheard(Unheard::NoWords));
    }
    let doubtful = answer
        .segments
        .iter()
        .any(|segment| segment.avg_logprob.is_some_and(|ln| Doubts::default().is_doubtful(ln)));
    Ok(Words {
        text: put_right(&text),
        others: Vec::new(),
        doubtful,
    })
}

/// The audio as a part of the form, named by what it really is: servers go by the ending.
fn file(note: &Note, clip: &Clip) -> Result<Part, Error> {
    let (name, media_type) = match clip.container {
        Container::Ogg => ("note.ogg", "audio/ogg"),
        Container::WebM => ("note.webm", "audio/webm"),
        Container::Mp4 => ("note.m4a", "audio/mp4"),
        Container::Mp3 => ("note.mp3", "audio/mpeg"),
        Container::Flac => ("note.flac", "audio/flac"),
        Container::Wav | Container::Amr | Container::Other => ("note.wav", "audio/wav"),
    };
    let bytes = match clip.container {
        Container::Amr | Container::Other => wav(&clip.samples),
        _ => note.bytes.clone(),
    };
    Part::bytes(bytes)
        .file_name(name)
        .mime_str(media_type)
        .map_err(Error::Server)
}

/// Samples as a WAV file: mono, 16 bits, 16 kHz.
pub fn wav(samples: &[f32]) -> Vec<u8> {
    let rate_hz = u32::try_from(SAMPLES_PER_SECOND).expect("16,000 fits");
    let length = u32::try_from(samples.len() * 2).expect("five minutes fit");
    let mut file = Vec::with_capacity(44 + samples.len() * 2);
    file.extend_from_slice(b"RIFF");
    file.extend_from_slice(&(36 + length).to_le_bytes());
    file.extend_from_slice(b"WAVEfmt ");
    file.extend_from_slice(&16_u32.to_le_bytes());
    // PCM, one channel, its rate, bytes a second, bytes a sample, bits a sample.
    file.extend_from_slice(&[1, 0, 1, 0]);
    file.extend_from_slice(&rate_hz.to_le_bytes());
    file.extend_from_slice(&(rate_hz * 2).to_le_bytes());
    file.extend_from_slice(&[2, 0, 16, 0]);
    file.extend_from_slice(b"data");
    file.extend_from_slice(&length.to_le_bytes());
    for sample in samples {
        #[expect(clippy::cast_possible_truncation, reason = "clamped to what 16 bits hold")]
        let whole = (sample.clamp(-1.0, 1.0) * 32_767.0).round() as i16;
        file.extend_from_slice(&whole.to_le_bytes());
    }
    file
}

#[cfg(test)]
mod tests {
    use super::{wav, words};
    use crate::speech::{Container, decode};

    #[test]
    fn what_is_written_as_wav_is_read_back() {
        let samples: Vec<f32> = (0_u16..16_000).map(|at| (f32::from(at) / 20.0).sin() * 0.3).collect();
        let clip = decode(&wav(&samples)).expect("a note");
        assert_eq!(clip.container, Container::Wav);
        assert_eq!(clip.samples.len(), samples.len());
        let worst = samples
            .iter()
            .zip(&clip.samples)
            .map(|(a, b)| (a - b).abs())
            .fold(0.0, f32::max);
        assert!(worst < 1e-4, "{worst}");
    }

    #[test]
    fn both_forms_of_an_answer_are_read() {
        let short = words(br#"{"text": " rate one twenty "}"#).expect("words");
        assert_eq!((short.text.as_str(), short.doubtful), ("rate one twenty", false));
        let long = br#"{"text": "12 small", "segments": [{"id": 0, "avg_logprob": -1.4, "no_speech_prob": 0.1}]}"#;
        assert!(words(long).expect("words").doubtful);
        let silent = br#"{"text": "you", "segments": [{"avg_logprob": -0.4, "no_speech_prob": 0.9}]}"#;
        assert!(words(silent).is_err());
        assert!(words(b"<html>").is_err());
        assert!(words(br#"{"text": "  "}"#).is_err());
    }
}
