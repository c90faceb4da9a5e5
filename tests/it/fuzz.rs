//! What strangers' bytes are read by, with bytes that are almost right: seeded mutations of good samples.
//!
//! Nothing may panic, hang or take back its word: what reads, reads the same again. A few thousand in every run;
//! `TALLYHAND_FUZZ_INPUTS=1000000 cargo test --release --test it fuzz` for more, `TALLYHAND_FUZZ_SEED` for others. For a
//! search guided by coverage, `cargo fuzz` can call the same functions; the samples here are its corpus.

use std::fmt::Debug;

use rand::{RngExt, SeedableRng, rngs::SmallRng, seq::IndexedRandom};
use tallyhand::{
    channels::{Hidden, Response, accept_text, media_type_of, signed, telegram::Telegram},
    speech,
};

use crate::{
    files::DOT,
    support::{SECRET, header_map, sign},
};

/// Mutations of each target when nothing else is asked for.
const INPUTS: u64 = 4000;

/// Bytes that mean something to somebody.
const SPICE: [&[u8]; 17] = [
    b"9223372036854775807",
    b"\"",
    b"{",
    b"}",
    b"[",
    b"]",
    b"\\u0000",
    b"\0",
    b"\xff",
    b"\xf0\x9f\x8c\xbf",
    b"-1",
    b"1e999",
    b"null",
    b"&",
    b"=",
    b"%00",
    b"\r\n",
];

fn number(name: &str, otherwise: u64) -> u64 {
    std::env::var(name).map_or(otherwise, |value| value.parse().expect("a number"))
}

/// A sample with a few changes: bytes flipped, cut, repeated, swapped with another sample's, spiced.
fn mutated(chance: &mut SmallRng, samples: &[&[u8]]) -> Vec<u8> {
    let mut bytes = samples.choose(chance).expect("there are samples").to_vec();
    for _ in 0..chance.random_range(1..6) {
        let at = chance.random_range(0..=bytes.len());
        match chance.random_range(0..7) {
            0 => bytes.truncate(at),
            1 if at < bytes.len() => bytes[at] ^= 1 << chance.random_range(0..8),
            2 if at < bytes.len() => bytes[at] = chance.random(),
            3 => {
                let spice = SPICE.choose(chance).expect("there is some");
                bytes.splice(at..at, spice.iter().copied());
            }
            4 => {
                let end = chance.random_range(at..=bytes.len());
                let again = bytes[at..end].repeat(chance.random_range(0..4));
                bytes.splice(at..end, again);
            }
            5 => {
                let other = samples.choose(chance).expect("there are samples");
                let from = chance.random_range(0..=other.len());
                bytes.truncate(at);
                bytes.extend_from_slice(&other[from..]);
            }
            _ if at < bytes.len() => {
                let end = chance.random_range(at..=bytes.len());
                bytes.drain(at..end);
            }
            _ => {}
        }
    }
    bytes.truncate(1 << 16);
    bytes
}

/// Throws mutations at something that reads bytes.
#[track_caller]
fn check<T: PartialEq + Debug>(name: &str, samples: &[&[u8]], read: impl Fn(&[u8]) -> T) {
    check_one_in(1, name, samples, read);
}

/// The same with one mutation in so many, for what is slow to read.
#[track_caller]
fn check_one_in<T: PartialEq + Debug>(fewer: u64, name: &str, samples: &[&[u8]], read: impl Fn(&[u8]) -> T) {
    let inputs = number("TALLYHAND_FUZZ_INPUTS", INPUTS) / fewer;
    let seed = number("TALLYHAND_FUZZ_SEED", 1);
    let mut chance = SmallRng::seed_from_u64(seed);
    for input in 0..inputs {
        let bytes = mutated(&mut chance, samples);
        let shown = || {
            format!(
                "{name}, seed {seed}, input {input}: {:?}",
                String::from_utf8_lossy(&bytes)
            )
        };
        let twice = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| (read(&bytes), read(&bytes))));
        let (first, second) = twice.unwrap_or_else(|_| panic!("it panicked on {}", shown()));
        assert_eq!(first, second, "read twice, {}", shown());
    }
}

#[test]
fn signed_bodies() {
    let samples: [&[u8]; 4] = [
        br#"{"type":"message.received","timestamp":"2026-01-12T15:04:05Z","data":{"text":"12 small crapes","from":"Wren"}}"#,
        br#"{"text":"12 small crapes"}"#,
        br#"{"text":"\u0031\u0032 sm\u00e4ll","from":null,"extra":[[[[]]]]}"#,
        b"{\"data\":{\"text\":\"\xf0\x9f\x8c\xbf 40 ft hedge\"}}",
    ];
    check("signed::read", &samples, signed::read);
}

#[test]
fn signed_headers() {
    let body = br#"{"text":"12 small crapes"}"#;
    let now = "2026-01-12T15:04:05Z"
        .parse::<tallyhand::units::Timestamp>()
        .expect("a time");
    let good = sign(SECRET, "msg_1", now.unix_seconds(), body);
    let secrets = [signed::Secret::parse(SECRET).expect("a secret")];
    let signature = good[2].1.clone();
    assert!(signed::verify(&header_map(&good), body, &secrets, now).is_ok());
    for (place, header) in good.iter().enumerate() {
        let others = ["v1,", "v1a,AAAA", " v1,AAAA v1,BBBB", "9223372036854775808", "-1", ""];
        let mut samples: Vec<&[u8]> = others.iter().map(|text| text.as_bytes()).collect();
        samples.push(header.1.as_bytes());
        samples.push(signature.as_bytes());
        check(header.0, &samples, |bytes| {
            let mut headers = header_map(&good);
            let Ok(value) = reqwest::header::HeaderValue::from_bytes(bytes) else {
                return None;
            };
            headers.insert(good[place].0, value);
            let verified = signed::verify(&headers, body, &secrets, now);
            // What is not exactly what was signed never gets in. Only the list of signatures may hold others besides.
            assert!(
                verified.is_err() || bytes == header.1.as_bytes() || place == 2,
                "{} {:?} was let in",
                good[place].0,
                String::from_utf8_lossy(bytes)
            );
            Some(verified)
        });
    }
}

#[test]
fn texts() {
    let samples: [&[u8]; 3] = [
        b"12 small 3 medium crapes\r\nat Alder Ct",
        "🌿 ½ yard – “mulch”".as_bytes(),
        b"\0\x1b[31m",
    ];
    check("accept_text", &samples, |bytes| {
        let accepted = accept_text(&String::from_utf8_lossy(bytes));
        if let Ok(text) = &accepted {
            assert_eq!(
                accept_text(text).as_ref(),
                Ok(text),
                "what is taken once is taken as it is"
            );
            assert!(!text.chars().any(|letter| letter.is_control() && letter != '\n'));
        }
        accepted
    });
}

#[test]
fn files() {
    let samples: [&[u8]; 5] = [
        DOT,
        b"\xff\xd8\xff\xe0\0\x10JFIF\0\x01\x01\0\0\x01\0\x01\0\0",
        b"OggS\0\x02\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\x13OpusHead\x01\x01",
        b"RIFF\x24\0\0\0WAVEfmt \x10\0\0\0\x01\0\x01\0",
        b"PK\x03\x04\x14\0\0\0\x08\0[Content_Types].xml",
    ];
    check("media_type_of", &samples, |bytes| {
        media_type_of(bytes, Some("text/csv")).to_string()
    });
}

/// Updates as Telegram sends them, and what an attacker would make of them.
#[test]
fn telegram_updates() {
    let recorded = include_bytes!("../../fixtures/channels/telegram/updates.jsonl");
    let samples: Vec<&[u8]> = recorded
        .split(|byte| *byte == b'\n')
        .filter(|line| line.len() > 2)
        .collect();
    assert!(samples.len() > 5, "there are updates");
    let bot = Telegram::new(Hidden::new("123456:ABC"), None, Some(Hidden::new("hook-secret")));
    check("telegram read_call", &samples, |body| {
        bot.read_call(body).map_err(|error| error.to_string())
    });
    let polls: Vec<Vec<u8>> = samples
        .iter()
        .map(|update| [&b"{\"ok\":true,\"result\":["[..], update, b"]}"].concat())
        .collect();
    let polls: Vec<&[u8]> = polls.iter().map(Vec::as_slice).collect();
    check("telegram read_updates", &polls, |body| {
        let response = Response {
            status: 200,
            retry_after_s: None,
            body: body.to_vec(),
        };
        bot.read_updates(&response).map_err(|error| error.to_string())
    });
    check("telegram secret", &[b"hook-secret", b"hook", b""], |bytes| {
        let Ok(value) = reqwest::header::HeaderValue::from_bytes(bytes) else {
            return;
        };
        let mut headers = reqwest::header::HeaderMap::new();
        headers.insert("x-telegram-bot-api-secret-token", value);
        assert!(
            bot.verify(&headers).is_err() || bytes == b"hook-secret",
            "only the secret lets in"
        );
    });
}

/// Voice notes, of every kind that a messenger sends: damaged ones are refused or shorter, never a panic or a flood.
#[test]
fn voice_notes() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/speech/clips");
    let mut clips: Vec<Vec<u8>> = std::fs::read_dir(folder)
        .expect("there are clips")
        .map(|entry| std::fs::read(entry.expect("an entry").path()).expect("a clip"))
        .collect();
    clips.sort();
    assert!(clips.len() > 3, "there are clips");
    let samples: Vec<&[u8]> = clips.iter().map(|clip| &clip[..clip.len().min(16 * 1024)]).collect();
    check_one_in(40, "speech::decode", &samples, |bytes| {
        speech::decode(bytes).map(|clip| (clip.container, clip.samples.len()))
    });
}
