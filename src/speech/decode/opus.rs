//! Opus, which is what most messengers send, decoded straight to 16 kHz.

use ropus::{Channels, DecodeMode, Decoder};
use symphonia::core::codecs::audio::AudioCodecParameters;

use super::{Container, SAMPLES_PER_SECOND, Sink, media::Packets};
use crate::conversation::Unheard;

/// Opus counts in its own full rate, whatever it is decoded to (RFC 7845, 4).
const FULL_RATE_OVER_OURS: usize = 48_000 / SAMPLES_PER_SECOND;

/// Most samples of a channel in one packet at 16 kHz: 120 ms (RFC 6716, 3.2.5).
const PACKET_SAMPLES_MAX: usize = SAMPLES_PER_SECOND * 120 / 1_000;

pub(super) fn decode(
    packets: &mut Packets<'_>,
    codec: &AudioCodecParameters,
    container: Container,
) -> Result<Vec<f32>, Unheard> {
    let head = Head::of(codec, container)?;
    let channels = head.channels;
    let layout = if channels == 2 {
        Channels::Stereo
    } else {
        Channels::Mono
    };
    let rate_hz = u32::try_from(SAMPLES_PER_SECOND).expect("16,000 fits");
    let mut decoder = Decoder::new(rate_hz, layout).map_err(|_| Unheard::UnknownKind)?;
    let mut sink = Sink::new(rate_hz)?;
    let mut samples = vec![0.0; PACKET_SAMPLES_MAX * channels];
    let mut trimmed = 0;
    while let Some(packet) = packets.next()? {
        match decoder.decode_float(&packet.data, &mut samples, DecodeMode::Normal) {
            Ok(frames) => sink.take(&samples[..frames * channels], channels)?,
            Err(_) => sink.take_damaged()?,
        }
        trimmed += usize::try_from(packet.trim_end.get()).unwrap_or(usize::MAX) / FULL_RATE_OVER_OURS;
    }
    sink.finish(head.skip, trimmed)
}

/// What the `OpusHead` says.
struct Head {
    channels: usize,
    /// Samples at 16 kHz that the encoder put before the sound.
    skip: usize,
}

impl Head {
    /// RFC 7845, 5.1: magic, version, channels, then the samples to skip, low byte first. In MP4 the same head comes
    /// with its high bytes first.
    fn of(codec: &AudioCodecParameters, container: Container) -> Result<Head, Unheard> {
        let bytes = codec.extra_data.as_deref().unwrap_or_default();
        let Some([channels, low, high]) = bytes.get(9..12) else {
            return Ok(Head { channels: 1, skip: 0 });
        };
        let skip = if container == Container::Mp4 {
            u16::from_be_bytes([*low, *high])
        } else {
            u16::from_le_bytes([*low, *high])
        };
        match channels {
            1 | 2 => Ok(Head {
                channels: usize::from(*channels),
                skip: usize::from(skip) / FULL_RATE_OVER_OURS,
            }),
            _ => Err(Unheard::UnknownKind),
        }
    }
}
