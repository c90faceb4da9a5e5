//! Recordings as phones and messengers make them, decoded: nothing lost, nothing believed, nothing that can hurt.
//!
//! The recordings in `fixtures/speech/clips` are one sentence of a synthetic voice (flite, `slt`), encoded by libraries
//! that are not ours: libopus, the AAC, MP3 and FLAC encoders of ffmpeg 7, and the AMR encoder of opencore. The plain WAV
//! is what the others are compared with.

#![allow(clippy::unwrap_used, reason = "a test may panic")]

use std::path::Path;

use rand::{RngExt, SeedableRng, rngs::StdRng};
use tallyhand::{
    conversation::Unheard,
    speech::{Container, decode, wav},
};

/// Every kind of recording, with what it is and how much of the WAV's loudness it has to follow: phones cut AMR to a
/// fifth of what Opus keeps.
const CLIPS: [(&str, Container, f32); 11] = [
    ("opus.ogg", Container::Ogg, 0.95),
    ("opus.webm", Container::WebM, 0.95),
    ("opus.mp4", Container::Mp4, 0.95),
    ("aac.m4a", Container::Mp4, 0.9),
    // In fragments, as the recorders of browsers write them.
    ("aac_fragments.mp4", Container::Mp4, 0.9),
    ("opus_fragments.mp4", Container::Mp4, 0.95),
    ("sound.mp3", Container::Mp3, 0.9),
    ("sound.flac", Container::Flac, 0.99),
    ("pcm.wav", Container::Wav, 0.99),
    ("phone.amr", Container::Amr, 0.8),
    ("phone.3gp", Container::Amr, 0.8),
];

/// Changed recordings of each kind.
const CHANGED: usize = 150;

fn clip(name: &str) -> Vec<u8> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("fixtures/speech/clips")
        .join(name);
    std::fs::read(path).expect("a fixture")
}

/// Loudness in steps of 10 ms.
fn envelope(samples: &[f32]) -> Vec<f32> {
    let loudness = |step: &[f32]| (step.iter().map(|sample| sample * sample).sum::<f32>() / 160.0).sqrt();
    samples.chunks(160).map(loudness).collect()
}

/// How alike two loudness curves are (Pearson), at the best shift of up to 60 ms.
fn likeness(one: &[f32], other: &[f32]) -> f32 {
    let at = |shift: usize, a: &[f32], b: &[f32]| {
        let pairs: Vec<(f32, f32)> = a[shift..].iter().copied().zip(b.iter().copied()).collect();
        #[expect(clippy::cast_precision_loss, reason = "a few hundred steps")]
        let count = pairs.len() as f32;
        let mean_a = pairs.iter().map(|pair| pair.0).sum::<f32>() / count;
        let mean_b = pairs.iter().map(|pair| pair.1).sum::<f32>() / count;
        let product = |f: &dyn Fn(&(f32, f32)) -> f32| pairs.iter().map(f).sum::<f32>();
        let both = product(&|pair| (pair.0 - mean_a) * (pair.1 - mean_b));
        let a = product(&|pair| (pair.0 - mean_a).powi(2));
        let b = product(&|pair| (pair.1 - mean_b).powi(2));
        both / (a * b).sqrt()
    };
    (0..=6)
        .map(|shift| at(shift, one, other).max(at(shift, other, one)))
        .fold(-1.0, f32::max)
}

#[test]
fn every_kind_of_recording_sounds_as_it_was_said() {
    let plain = decode(&clip("pcm.wav")).expect("a note");
    for (name, container, least) in CLIPS {
        let heard = decode(&clip(name)).unwrap_or_else(|why| panic!("{name}: {why:?}"));
        assert_eq!(heard.container, container, "{name}");
        let apart = (heard.seconds() - plain.seconds()).abs();
        assert!(apart < 0.15, "{name} is {apart} s longer or shorter than the WAV");
        let alike = likeness(&envelope(&plain.samples), &envelope(&heard.samples));
        assert!(alike > least, "{name} is only {alike} like the WAV");
    }
}

#[test]
fn a_recording_that_ends_inside_a_packet_is_refused_or_shorter_and_never_longer() {
    for (name, ..) in CLIPS {
        let whole = clip(name);
        let seconds = decode(&whole).expect("a note").seconds();
        for tenth in 1..10 {
            if let Ok(cut) = decode(&whole[..whole.len() * tenth / 10]) {
                assert!(cut.seconds() <= seconds + 0.03, "{name} cut to {tenth} tenths");
            }
        }
    }
}

#[test]
fn what_is_no_recording_is_told_apart_from_a_damaged_one() {
    assert_eq!(decode(b"").unwrap_err(), Unheard::UnknownKind);
    assert_eq!(decode(b"12 small 3 medium crapes").unwrap_err(), Unheard::UnknownKind);
    assert_eq!(decode(&[0; 10_000]).unwrap_err(), Unheard::UnknownKind);
    assert_eq!(decode(&clip("opus.ogg")[..40]).unwrap_err(), Unheard::Broken);
    assert_eq!(decode(b"#!AMR\n\x04\x01\x02").unwrap_err(), Unheard::Broken);
    assert_eq!(decode(b"#!AMR\n").unwrap_err(), Unheard::Broken);
}

#[test]
fn more_than_five_minutes_are_refused_and_five_are_not() {
    let minutes = |minutes: usize| decode(&wav(&vec![0.1; minutes * 60 * 16_000]));
    assert!(minutes(5).is_ok());
    assert_eq!(minutes(6).unwrap_err(), Unheard::TooLong { minutes_max: 5 });
}

/// A header may claim any rate, length and number of channels; a file may be changed anywhere. Seeded, so that a failure
/// can be had again.
#[test]
fn changed_recordings_cost_nothing() {
    let mut random = StdRng::seed_from_u64(7);
    let mut below = |limit: usize| random.random_range(0..limit);
    for (name, ..) in CLIPS {
        let whole = clip(name);
        for number in 0..CHANGED {
            let mut changed = whole.clone();
            for _ in 0..=below(12) {
                // Headers are short and say most: half of the changes go there.
                let place = if below(2) == 0 {
                    below(changed.len().min(120))
                } else {
                    below(changed.len())
                };
                changed[place] = u8::try_from(below(256)).expect("a byte");
            }
            if below(4) == 0 {
                changed.truncate(1 + below(changed.len()));
            }
            if let Ok(clip) = decode(&changed) {
                assert!(clip.samples.len() <= 5 * 60 * 16_000, "{name}, change {number}");
                assert!(
                    clip.samples.iter().all(|sample| sample.abs() <= 4.0),
                    "{name}, change {number}"
                );
            }
        }
    }
}
