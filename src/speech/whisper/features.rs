//! Samples to what the encoder looks at: the logarithm of the power in 80 bands, every 10 ms.
//!
//! As in Radford et al., "Robust Speech Recognition via Large-Scale Weak Supervision" (2022), section 2.2: 25 ms windows
//! every 10 ms, 80 mel bands, scaled to about -1 to 1. The mel scale is Slaney's (Auditory Toolbox, 1998): linear to
//! 1,000 Hz, logarithmic above, each triangle of equal area.

use std::f64::consts::PI;

use realfft::RealFftPlanner;

/// Samples of a window: 25 ms.
const WINDOW: usize = 400;

/// Samples from one window to the next: 10 ms.
pub(super) const HOP: usize = 160;

/// Bands.
pub(super) const BANDS: usize = 80;

/// Frequencies of a window.
const BINS: usize = WINDOW / 2 + 1;

/// Above this, the mel scale is logarithmic.
const KNEE_HZ: f64 = 1_000.0;

/// Mels at the knee.
const KNEE_MEL: f64 = 15.0;

/// Mels for a factor of 6.4 above the knee.
const STEP_MEL: f64 = 27.0;

fn mel(hz: f64) -> f64 {
    if hz < KNEE_HZ {
        hz * KNEE_MEL / KNEE_HZ
    } else {
        KNEE_MEL + (hz / KNEE_HZ).ln() * STEP_MEL / 6.4_f64.ln()
    }
}

fn hz(mel: f64) -> f64 {
    if mel < KNEE_MEL {
        mel * KNEE_HZ / KNEE_MEL
    } else {
        KNEE_HZ * ((mel - KNEE_MEL) * 6.4_f64.ln() / STEP_MEL).exp()
    }
}

/// A band: its first frequency, and the weight of that and the following ones.
struct Band {
    first: usize,
    weights: Vec<f32>,
}

/// Makes features; holds the tables that every clip needs.
pub(super) struct Features {
    window: Vec<f32>,
    bands: Vec<Band>,
}

impl Features {
    #[expect(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        reason = "small whole numbers, and weights that are single precision"
    )]
    pub(super) fn new() -> Features {
        let window = (0..WINDOW)
            .map(|at| (0.5 - 0.5 * (2.0 * PI * at as f64 / WINDOW as f64).cos()) as f32)
            .collect();
        let top = mel(8_000.0);
        let edge = |at: usize| hz(top * at as f64 / (BANDS + 1) as f64);
        let bands = (0..BANDS)
            .map(|band| {
                let (low, middle, high) = (edge(band), edge(band + 1), edge(band + 2));
                let weights: Vec<f32> = (0..BINS)
                    .map(|bin| {
                        let hz = bin as f64 * 16_000.0 / WINDOW as f64;
                        let up = (hz - low) / (middle - low);
                        let down = (high - hz) / (high - middle);
                        (up.min(down).max(0.0) * 2.0 / (high - low)) as f32
                    })
                    .collect();
                let first = weights.iter().position(|weight| *weight > 0.0).unwrap_or(0);
                let last = weights.iter().rposition(|weight| *weight > 0.0).unwrap_or(first);
                Band {
                    first,
                    weights: weights[first..=last].to_vec(),
                }
            })
            .collect();
        Features { window, bands }
    }

    /// The features of a clip, band after band, over so many frames of 10 ms; what the clip does not fill is silence.
    pub(super) fn of(&self, samples: &[f32], frames: usize) -> Vec<f32> {
        let fft = RealFftPlanner::<f32>::new().plan_fft_forward(WINDOW);
        let (mut wave, mut spectrum) = (fft.make_input_vec(), fft.make_output_vec());
        let mut scratch = fft.make_scratch_vec();
        let mut features = vec![-10.0_f32; BANDS * frames];
        // Windows that lie wholly after the clip hold nothing; their power is the floor already.
        let filled = frames.min((samples.len() + WINDOW / 2).div_ceil(HOP));
        for frame in 0..filled {
            let start = frame * HOP;
            for (at, (value, weight)) in wave.iter_mut().zip(&self.window).enumerate() {
                // Centred on the frame; before the start the clip is mirrored.
                let place = (start + at).abs_diff(WINDOW / 2);
                *value = samples.get(place).copied().unwrap_or(0.0) * weight;
            }
            fft.process_with_scratch(&mut wave, &mut spectrum, &mut scratch)
                .expect("the buffers were made for this length");
            for (band, features) in self.bands.iter().zip(features.chunks_exact_mut(frames)) {
                let power: f32 = band
                    .weights
                    .iter()
                    .zip(&spectrum[band.first..])
                    .map(|(weight, bin)| weight * bin.norm_sqr())
                    .sum();
                features[frame] = power.max(1e-10).log10();
            }
        }
        let floor = features.iter().copied().fold(f32::MIN, f32::max) - 8.0;
        for value in &mut features {
            *value = (value.max(floor) + 4.0) / 4.0;
        }
        features
    }
}
