//! Everything that `symphonia` can open: Ogg, WebM, MP4, MP3, WAV and FLAC.

use std::io::Cursor;

use symphonia::core::{
    codecs::audio::{AudioCodecParameters, AudioDecoderOptions, well_known::CODEC_ID_OPUS},
    errors::Error,
    formats::{FormatOptions, FormatReader, TrackType, probe::Hint},
    io::{MediaSourceStream, MediaSourceStreamOptions},
    meta::MetadataOptions,
    packet::Packet,
};

use super::{Clip, Container, Sink, opus};
use crate::conversation::Unheard;

/// Most channels that are taken.
const CHANNELS_MAX: usize = 8;

/// Decodes one of the usual containers.
pub(super) fn decode(bytes: &[u8]) -> Result<Clip, Unheard> {
    let source = MediaSourceStream::new(
        Box::new(Cursor::new(bytes.to_vec())),
        MediaSourceStreamOptions::default(),
    );
    let mut media = symphonia::default::get_probe()
        .probe(
            &Hint::new(),
            source,
            FormatOptions::default(),
            MetadataOptions::default(),
        )
        .map_err(|error| match error {
            Error::Unsupported(_) => Unheard::UnknownKind,
            _ if looks_known(bytes) => Unheard::Broken,
            _ => Unheard::UnknownKind,
        })?;
    let container = match media.format_info().short_name {
        "ogg" => Container::Ogg,
        "matroska" | "webm" | "mkv" => Container::WebM,
        "isomp4" => Container::Mp4,
        "mp3" | "mp2" | "mp1" => Container::Mp3,
        "wave" | "wav" => Container::Wav,
        "flac" => Container::Flac,
        _ => Container::Other,
    };
    let track = media.default_track(TrackType::Audio).ok_or(Unheard::UnknownKind)?;
    let id = track.id;
    let codec = track.codec_params.as_ref().and_then(|params| params.audio());
    let codec = codec.ok_or(Unheard::UnknownKind)?.clone();
    let mut packets = Packets {
        media: media.as_mut(),
        track: id,
    };
    let samples = if codec.codec == CODEC_ID_OPUS {
        opus::decode(&mut packets, &codec, container)?
    } else {
        other(&mut packets, &codec)?
    };
    Ok(Clip { samples, container })
}

/// Whether the first bytes are those of a container that is read here, so that what is wrong is the rest.
fn looks_known(bytes: &[u8]) -> bool {
    const MAGIC: [&[u8]; 6] = [
        b"OggS",
        b"RIFF",
        b"fLaC",
        b"ID3",
        &[0x1a, 0x45, 0xdf, 0xa3],
        &[0xff, 0xfb],
    ];
    MAGIC.iter().any(|magic| bytes.starts_with(magic)) || bytes.get(4..8) == Some(b"ftyp")
}

/// The packets of one track.
pub(super) struct Packets<'a> {
    media: &'a mut dyn FormatReader,
    track: u32,
}

impl Packets<'_> {
    /// The next packet; `None` at the end.
    pub(super) fn next(&mut self) -> Result<Option<Packet>, Unheard> {
        loop {
            match self.media.next_packet() {
                Ok(Some(packet)) if packet.track_id == self.track => return Ok(Some(packet)),
                Ok(Some(_)) => {}
                Ok(None) => return Ok(None),
                Err(_) => return Err(Unheard::Broken),
            }
        }
    }
}

fn other(packets: &mut Packets<'_>, codec: &AudioCodecParameters) -> Result<Vec<f32>, Unheard> {
    let mut decoder = symphonia::default::get_codecs()
        .make_audio_decoder(codec, &AudioDecoderOptions::default())
        .map_err(|_| Unheard::UnknownKind)?;
    let mut sink: Option<(Sink, u32)> = None;
    let mut samples = Vec::new();
    let mut damaged_before = 0;
    while let Some(packet) = packets.next()? {
        let decoded = match decoder.decode(&packet) {
            Ok(decoded) => decoded,
            Err(Error::DecodeError(_)) => {
                match &mut sink {
                    Some((sink, _)) => sink.take_damaged()?,
                    None => damaged_before += 1,
                }
                continue;
            }
            Err(_) => return Err(Unheard::Broken),
        };
        let (rate_hz, channels) = (decoded.spec().rate(), decoded.spec().channels().count());
        if !(1..=CHANNELS_MAX).contains(&channels) {
            return Err(Unheard::UnknownKind);
        }
        samples.resize(decoded.samples_interleaved(), 0.0);
        decoded.copy_to_slice_interleaved(&mut samples);
        let (sink, rate_before) = match &mut sink {
            Some(sink) => sink,
            None => sink.insert((Sink::new(rate_hz)?, rate_hz)),
        };
        if *rate_before != rate_hz {
            return Err(Unheard::Broken);
        }
        sink.take(&samples, channels)?;
    }
    let (mut sink, _) = sink.ok_or(Unheard::Broken)?;
    sink.damaged += damaged_before;
    sink.finish(0, 0)
}
