//! AMR narrow band: phones send it in picture messages, as a file of its own or inside 3GP.
//!
//! Frame sizes and the file header are those of RFC 4867, section 5. Inside 3GP the frames of the one track lie in the
//! `mdat` box without gaps, which is how phones write it; anything else is refused.

use codec_core::codecs::amr::nb::decoder::Decoder;

use super::Sink;
use crate::conversation::Unheard;

/// First bytes of an AMR-NB file (RFC 4867, 5.1).
const MAGIC: &[u8] = b"#!AMR\n";

/// Speech bytes in a frame of each mode (RFC 4867, table 1, with bits rounded up to bytes).
const FRAME_BYTES: [usize; 8] = [12, 13, 15, 17, 19, 20, 26, 31];

/// Bytes of a frame of comfort noise.
const NOISE_BYTES: usize = 5;

/// Samples in a second.
const RATE_HZ: u32 = 8_000;

/// The samples of AMR-NB; `None` when it is something else.
pub(super) fn decode(bytes: &[u8]) -> Option<Result<Vec<f32>, Unheard>> {
    if let Some(frames) = bytes.strip_prefix(MAGIC) {
        return Some(speech(frames));
    }
    if bytes.get(4..8)? != b"ftyp" || find(bytes, b"samr").is_none() {
        return None;
    }
    Some(media_box(bytes).ok_or(Unheard::Broken).and_then(speech))
}

fn find(bytes: &[u8], what: &[u8; 4]) -> Option<usize> {
    bytes.windows(4).position(|window| window == what)
}

/// What the top-level `mdat` box holds.
fn media_box(bytes: &[u8]) -> Option<&[u8]> {
    let mut rest = bytes;
    loop {
        let length = u32::from_be_bytes(rest.get(..4)?.try_into().ok()?) as usize;
        let (kind, body) = (rest.get(4..8)?, rest.get(8..length)?);
        if kind == b"mdat" {
            return Some(body);
        }
        rest = rest.get(length..)?;
    }
}

fn speech(mut rest: &[u8]) -> Result<Vec<f32>, Unheard> {
    let mut decoder = Decoder::new();
    let mut sink = Sink::new(RATE_HZ)?;
    while let Some((head, after)) = rest.split_first() {
        let mode = (head >> 3) & 0x0f;
        let length = match mode {
            0..=7 => FRAME_BYTES[usize::from(mode)],
            8 => NOISE_BYTES,
            15 => 0,
            _ => return Err(Unheard::Broken),
        };
        let frame = after.get(..length).ok_or(Unheard::Broken)?;
        rest = &after[length..];
        if mode >= 8 {
            sink.take(&[0.0; 160], 1)?;
            continue;
        }
        match decoder.decode(mode, frame) {
            Some(samples) => sink.take(&samples.map(|sample| f32::from(sample) / 32_768.0), 1)?,
            None => sink.take_damaged()?,
        }
    }
    sink.finish(0, 0)
}
