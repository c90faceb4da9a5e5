//! The bytes of a voice note to samples: whatever a messenger sends, mono at 16 kHz, or a word why not.
//!
//! What the bytes are is read from the bytes; names and media types that come with them are not believed. Samples are
//! brought to 16 kHz while they are decoded, so that what is held never exceeds the samples that are kept. Everything is
//! bounded: bytes, minutes of sound, packets, and the rates and channels that a header may claim. A note that ends
//! inside a packet is refused as damaged: half a count would price, and wrongly.
//!
//! AMR-NB, which phones still send in picture messages, is decoded by a small crate of one author; its version is pinned
//! and, like every decoder here, it may panic at the cost of the note alone.

mod amr;
mod downsample;
mod media;
mod opus;

use std::panic::catch_unwind;

use super::{AUDIO_BYTES_MAX, AUDIO_MINUTES_MAX};
use crate::conversation::Unheard;
use downsample::Downsampler;

/// Samples in a second of a [`Clip`].
pub const SAMPLES_PER_SECOND: usize = 16_000;

/// Most samples of a clip.
const SAMPLES_MAX: usize = SAMPLES_PER_SECOND * 60 * AUDIO_MINUTES_MAX as usize;

/// Most packets that are looked at; a note of the longest kind in the shortest packets has 120,000.
const PACKETS_MAX: usize = 200_000;

/// One packet in so many may be undecodable before the note counts as damaged.
const DAMAGED_ONE_IN: usize = 20;

/// What a note came in, as far as it matters for sending it on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Container {
    /// Ogg.
    Ogg,
    /// WebM or Matroska.
    WebM,
    /// MP4, M4A.
    Mp4,
    /// MP3.
    Mp3,
    /// WAV.
    Wav,
    /// FLAC.
    Flac,
    /// AMR-NB, in its own file or in 3GP.
    Amr,
    /// Another that could be read.
    Other,
}

/// A note as samples.
#[derive(Debug, Clone, PartialEq)]
pub struct Clip {
    /// Mono, 16 kHz, between -1 and 1.
    pub samples: Vec<f32>,
    /// What it came in.
    pub container: Container,
}

impl Clip {
    /// How long it is.
    pub fn seconds(&self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "at most five million samples")]
        let samples = self.samples.len() as f64;
        samples / 16_000.0
    }
}

/// Decodes a note.
pub fn decode(bytes: &[u8]) -> Result<Clip, Unheard> {
    if bytes.len() > AUDIO_BYTES_MAX {
        return Err(Unheard::TooLarge {
            megabytes_max: super::MEGABYTES_MAX,
        });
    }
    let decoded = catch_unwind(|| {
        if let Some(samples) = amr::decode(bytes) {
            return samples.map(|samples| Clip {
                samples,
                container: Container::Amr,
            });
        }
        media::decode(bytes)
    });
    let clip = decoded.unwrap_or(Err(Unheard::Broken))?;
    if clip.samples.is_empty() {
        return Err(Unheard::Broken);
    }
    Ok(clip)
}

/// Where decoded sound goes: brought to 16 kHz mono, and refused past the longest note.
struct Sink {
    to: Downsampler,
    packets: usize,
    damaged: usize,
}

impl Sink {
    fn new(rate_hz: u32) -> Result<Sink, Unheard> {
        Ok(Sink {
            to: Downsampler::new(rate_hz)?,
            packets: 0,
            damaged: 0,
        })
    }

    /// Takes the next samples of all channels, interleaved.
    fn take(&mut self, interleaved: &[f32], channels: usize) -> Result<(), Unheard> {
        self.count_packet()?;
        self.to.push(interleaved, channels);
        if self.to.taken() > SAMPLES_MAX {
            return Err(Unheard::TooLong {
                minutes_max: AUDIO_MINUTES_MAX,
            });
        }
        Ok(())
    }

    /// Notes a packet that could not be decoded.
    fn take_damaged(&mut self) -> Result<(), Unheard> {
        self.damaged += 1;
        self.count_packet()
    }

    fn count_packet(&mut self) -> Result<(), Unheard> {
        self.packets += 1;
        if self.packets > PACKETS_MAX {
            return Err(Unheard::Broken);
        }
        Ok(())
    }

    /// All samples, without those that the encoder added at the ends (counted at the rate of the sound that came in).
    fn finish(self, skip_start: usize, skip_end: usize) -> Result<Vec<f32>, Unheard> {
        if self.damaged * DAMAGED_ONE_IN > self.packets {
            return Err(Unheard::Broken);
        }
        let (start, end) = (self.to.scaled(skip_start), self.to.scaled(skip_end));
        let mut samples = self.to.finish();
        samples.truncate(samples.len().saturating_sub(end));
        samples.drain(..start.min(samples.len()));
        Ok(samples)
    }
}
