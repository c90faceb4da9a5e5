//! Any rate to 16 kHz, chunk by chunk, with `rubato`'s FFT resampler.

use rubato::{Fft, FixedSync, Indexing, Resampler, audioadapter_buffers::direct::InterleavedSlice};

use super::SAMPLES_PER_SECOND;
use crate::conversation::Unheard;

/// Slowest rate that is taken.
const RATE_HZ_MIN: u32 = 8_000;

/// Fastest rate that is taken.
const RATE_HZ_MAX: u32 = 192_000;

/// Samples that are resampled at a time.
const CHUNK: usize = 1_024;

/// Brings mono samples to 16 kHz.
pub(super) struct Downsampler {
    rate_hz: usize,
    fft: Option<Fft<f32>>,
    waiting: Vec<f32>,
    chunk_out: Vec<f32>,
    out: Vec<f32>,
    taken: usize,
}

impl Downsampler {
    pub(super) fn new(rate_hz: u32) -> Result<Downsampler, Unheard> {
        if !(RATE_HZ_MIN..=RATE_HZ_MAX).contains(&rate_hz) {
            return Err(Unheard::UnknownKind);
        }
        let rate_hz = rate_hz as usize;
        let fft = if rate_hz == SAMPLES_PER_SECOND {
            None
        } else {
            let fft =
                Fft::new(rate_hz, SAMPLES_PER_SECOND, CHUNK, 1, FixedSync::Input).map_err(|_| Unheard::UnknownKind)?;
            Some(fft)
        };
        let chunk_out = vec![0.0; fft.as_ref().map_or(0, Resampler::output_frames_max)];
        Ok(Downsampler {
            rate_hz,
            fft,
            waiting: Vec::new(),
            chunk_out,
            out: Vec::new(),
            taken: 0,
        })
    }

    /// How many samples at 16 kHz were taken in so far.
    pub(super) fn taken(&self) -> usize {
        self.scaled(self.taken)
    }

    /// A count of samples at the rate that comes in, as one at 16 kHz.
    pub(super) fn scaled(&self, samples: usize) -> usize {
        samples * SAMPLES_PER_SECOND / self.rate_hz
    }

    /// Takes samples of all channels in turn; their mean is kept. Whatever is no number is silence.
    pub(super) fn push(&mut self, interleaved: &[f32], channels: usize) {
        #[expect(clippy::cast_precision_loss, reason = "a handful of channels")]
        let share = 1.0 / channels as f32;
        let mono = interleaved.chunks_exact(channels).map(|frame| {
            let mean = frame.iter().sum::<f32>() * share;
            if mean.is_finite() { mean.clamp(-1.0, 1.0) } else { 0.0 }
        });
        self.taken += interleaved.len() / channels;
        if self.fft.is_none() {
            self.out.extend(mono);
            return;
        }
        self.waiting.extend(mono);
        self.work_off();
    }

    fn work_off(&mut self) {
        let Some(fft) = &mut self.fft else { return };
        let mut from = 0;
        while self.waiting.len() - from >= fft.input_frames_next() {
            let frames = fft.input_frames_next();
            let written = process(fft, &self.waiting[from..from + frames], &mut self.chunk_out, None);
            self.out.extend_from_slice(&self.chunk_out[..written]);
            from += frames;
        }
        self.waiting.drain(..from);
    }

    /// All samples at 16 kHz. The resampler's own delay is taken off the start.
    pub(super) fn finish(mut self) -> Vec<f32> {
        let wanted = self.scaled(self.taken);
        let Some(mut fft) = self.fft.take() else {
            return self.out;
        };
        let delay = fft.output_delay();
        let mut partial = self.waiting.len();
        self.waiting.resize(fft.input_frames_max(), 0.0);
        while self.out.len() < wanted + delay {
            let written = process(&mut fft, &self.waiting, &mut self.chunk_out, Some(partial));
            if written == 0 {
                break;
            }
            self.out.extend_from_slice(&self.chunk_out[..written]);
            partial = 0;
        }
        self.out.drain(..delay.min(self.out.len()));
        self.out.truncate(wanted);
        self.out
    }
}

/// Resamples one chunk; gives how many samples came out.
fn process(fft: &mut Fft<f32>, chunk: &[f32], out: &mut [f32], partial: Option<usize>) -> usize {
    let mut indexing = Indexing::new();
    if let Some(frames) = partial {
        indexing = indexing.partial_len(frames);
    }
    let frames_out = out.len();
    let input = InterleavedSlice::new(chunk, 1, chunk.len()).expect("one channel is as long as its slice");
    let mut output = InterleavedSlice::new_mut(out, 1, frames_out).expect("one channel is as long as its slice");
    let (_, written) = fft
        .process_into_buffer(&input, &mut output, Some(&indexing))
        .expect("the buffers are as long as the resampler says");
    written
}

#[cfg(test)]
mod tests {
    use super::Downsampler;

    /// A tone of 440 Hz keeps its pitch, its level and its length, whatever rate it comes at.
    #[track_caller]
    fn check(rate_hz: u32, channels: usize) {
        let frames = rate_hz as usize + 77;
        let tone: Vec<f32> = (0..frames)
            .flat_map(|at| {
                #[expect(clippy::cast_precision_loss, reason = "a second of samples")]
                let turns = at as f32 * 440.0 / rate_hz as f32;
                vec![0.5 * (turns * std::f32::consts::TAU).sin(); channels]
            })
            .collect();
        let mut to = Downsampler::new(rate_hz).expect("a rate that is taken");
        for piece in tone.chunks(channels * 960) {
            to.push(piece, channels);
        }
        let out = to.finish();
        assert_eq!(out.len(), frames * 16_000 / rate_hz as usize, "{rate_hz} Hz");
        let middle = &out[2_000..14_000];
        let crossings = middle.windows(2).filter(|pair| pair[0] < 0.0 && pair[1] >= 0.0).count();
        assert!((329..=331).contains(&crossings), "{crossings} turns at {rate_hz} Hz");
        let loudest = middle.iter().copied().fold(0.0_f32, f32::max);
        assert!((0.48..0.52).contains(&loudest), "{loudest} at {rate_hz} Hz");
        // The first turn starts where it started: no delay is left in.
        let peak = out[..40]
            .iter()
            .enumerate()
            .max_by(|a, b| a.1.total_cmp(b.1))
            .map(|found| found.0);
        assert!(
            peak.is_some_and(|at| (7..=12).contains(&at)),
            "peak at {peak:?}, {rate_hz} Hz"
        );
    }

    #[test]
    fn tones_survive_every_usual_rate() {
        check(8_000, 1);
        check(16_000, 2);
        check(22_050, 1);
        check(44_100, 2);
        check(48_000, 1);
        check(96_000, 2);
    }

    #[test]
    fn rates_that_no_phone_makes_are_refused() {
        assert!(Downsampler::new(0).is_err());
        assert!(Downsampler::new(7_999).is_err());
        assert!(Downsampler::new(655_350).is_err());
    }
}
