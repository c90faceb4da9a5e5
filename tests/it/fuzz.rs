//! What strangers' bytes are read by, with bytes that are almost right: seeded mutations of good samples.
//!
//! Nothing may panic, hang or take back its word: what reads, reads the same again. A few thousand in every run;
//! `TALLYHAND_FUZZ_INPUTS=1000000 cargo test --release --test it fuzz` for more, `TALLYHAND_FUZZ_SEED` for others. For a
//! search guided by coverage, `cargo fuzz` can call the same functions; the samples here are its corpus.

use std::fmt::Debug;

use rand::{RngExt, SeedableRng, rngs::SmallRng, seq::IndexedRandom};
use serde_json::{Value, json};
use tallyhand::{
    channels::{
        Hidden, Response, accept_text, gateway::Gateway, matrix::Matrix, media_type_of, signed, sms, sms::Sms,
        telegram::Telegram, whatsapp::Whatsapp,
    },
    speech, store,
};

use crate::{
    files::DOT,
    support::{SECRET, Yard, header_map, sign},
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

/// Calls of an SMS gateway, in whatever charset they say they are.
#[test]
fn gateway_calls() {
    let recorded = include_bytes!("../../fixtures/channels/gateway/calls.txt");
    let samples: Vec<&[u8]> = recorded
        .split(|byte| *byte == b'\n')
        .filter(|line| line.starts_with(b"key="))
        .collect();
    assert!(samples.len() > 3, "there are calls");
    let gateway = Gateway {
        send_url: "http://127.0.0.1:13013/cgi-bin/sendsms".into(),
        user: "tallyhand".into(),
        password: Hidden::new("secret"),
        key: Hidden::new("k3y"),
        number: "15550100".into(),
    };
    check("gateway read", &samples, |bytes| {
        let query = String::from_utf8_lossy(bytes);
        let (head, tail) = query.split_at(query.floor_char_boundary(query.len() / 2));
        let whole = gateway.read(&query, "").map_err(|error| error.to_string());
        (whole, gateway.read(head, tail).map_err(|error| error.to_string()))
    });
}

/// Forms of a provider of text messages, and the reports on those that we sent.
#[test]
fn sms_forms() {
    let recorded = include_bytes!("../../fixtures/channels/sms/message.form");
    let report = b"MessageSid=SM1&MessageStatus=undelivered&ErrorCode=21610&To=%2B15555550123&From=%2B15555550100";
    let provider = Sms {
        account: "AC00000000000000000000000000000000".into(),
        token: Hidden::new("token"),
        number: Some("+15555550100".into()),
        api: "https://api.example.com".into(),
        public_url: "https://yard.example.com".into(),
        in_response: false,
        media_hosts: Vec::new(),
    };
    check("sms read", &[recorded, report], |bytes| {
        let form = sms::read_form(bytes);
        (
            provider.read(&form).map_err(|error| error.to_string()),
            provider.read_report(&form).map_err(|error| error.to_string()),
        )
    });
}

/// Batches of WhatsApp's cloud, and its handshake.
#[test]
fn whatsapp_batches() {
    let samples: [&[u8]; 2] = [
        include_bytes!("../../fixtures/channels/whatsapp/batch.json"),
        include_bytes!("../../fixtures/channels/whatsapp/voice.json"),
    ];
    let line = Whatsapp {
        phone_id: "106540352242922".into(),
        token: Hidden::new("token"),
        app_secret: Hidden::new("app"),
        verify_token: Hidden::new("verify"),
        api: "https://graph.example.com".into(),
        template: None,
    };
    check("whatsapp read", &samples, |body| {
        line.read(body).map_err(|error| error.to_string())
    });
    let hands: [&[u8]; 1] = [b"hub.mode=subscribe&hub.verify_token=verify&hub.challenge=1158201444"];
    check("whatsapp handshake", &hands, |query| {
        let shaken = line.shake_hands(&String::from_utf8_lossy(query));
        if let Ok(challenge) = &shaken {
            assert!(!challenge.contains(['<', '&', '"']), "nothing that a page could run");
        }
        shaken.map_err(|error| error.to_string())
    });
}

/// News of a Matrix server, and what was missed of a room.
#[test]
fn matrix_news() {
    let sync: &[u8] = include_bytes!("../../fixtures/channels/matrix/sync.json");
    let missing: &[u8] = br#"{"chunk":[{"type":"m.room.message","event_id":"$1","sender":"@wren:example.com","content":{"msgtype":"m.text","body":"12 small crapes"},"origin_server_ts":1}],"end":"t1"}"#;
    let bot = Matrix {
        server: "https://matrix.example.org".into(),
        token: Hidden::new("token"),
        user: "@yard:example.org".into(),
        invites: vec!["@ana:example.org".into()],
    };
    let response = |body: &[u8]| Response {
        status: 200,
        retry_after_s: None,
        body: body.to_vec(),
    };
    check("matrix read_news", &[sync, missing], |body| {
        let told = |first| bot.read_news(&response(body), first).map_err(|error| error.to_string());
        let missed = bot.read_missing("!room:example.com", &response(body));
        (told(true), told(false), missed.map_err(|error| error.to_string()))
    });
}

/// A whole account from somewhere: it is refused and nothing has come in, or the book that it makes is sound and gives the
/// same account again.
#[test]
fn accounts_to_be_read_in() {
    let yard = Yard::new();
    for text in [
        "rate 120",
        "12 small crapes at Alder Ct",
        "won",
        "done 85 min with 2 guys",
        "undo",
        "owed",
    ] {
        yard.posts_signed(text, format!("{{\"text\":{text:?}}}").as_bytes());
    }
    let account = yard.owner().account;
    let whole = yard.wait(yard.handle().whole(account)).expect("an account").to_string();
    drop(yard);
    let (mut taken, mut refused) = (0, 0);
    let samples = [whole.as_bytes()];
    let mut chance = SmallRng::seed_from_u64(number("TALLYHAND_FUZZ_SEED", 1));
    for input in 0..number("TALLYHAND_FUZZ_INPUTS", INPUTS) / 40 {
        // Bytes almost never stay JSON, so values are changed too.
        let mut bytes = mutated(&mut chance, &samples);
        if input % 4 != 0 {
            let mut value = serde_json::from_str(&whole).expect("JSON");
            change_somewhere(&mut value, &mut chance);
            bytes = value.to_string().into_bytes();
        }
        let Ok(value) = serde_json::from_slice::<Value>(&bytes) else {
            continue;
        };
        let fresh = Yard::new();
        let read = fresh.wait(fresh.handle().read_whole(fresh.owner().account, value));
        match read {
            Ok(()) => taken += 1,
            Err(store::Error::NotAWhole { .. }) => {
                refused += 1;
                assert_eq!(
                    fresh.count("SELECT count(*) FROM message"),
                    0,
                    "input {input}: nothing came in"
                );
            }
            Err(other) => panic!("input {input}: {other:?}: {}", String::from_utf8_lossy(&bytes)),
        }
        // The yard looks its book over when it goes.
    }
    assert!(taken > 0 && refused > 0, "{taken} were taken, {refused} refused");
}

/// Changes one value somewhere in a file.
fn change_somewhere(value: &mut Value, chance: &mut SmallRng) {
    match value {
        Value::Object(fields) if !fields.is_empty() => {
            let at = chance.random_range(0..fields.len());
            let name = fields.keys().nth(at).expect("it is there").clone();
            if chance.random_range(0..20) == 0 {
                fields.remove(&name);
            } else if let Some(field) = fields.get_mut(&name) {
                change_somewhere(field, chance);
            }
        }
        Value::Array(items) if !items.is_empty() => {
            let at = chance.random_range(0..items.len());
            match chance.random_range(0..12) {
                0 => {
                    items.remove(at);
                }
                1 => items.push(items[at].clone()),
                2 => items.swap(at, 0),
                _ => change_somewhere(&mut items[at], chance),
            }
        }
        Value::String(text) => {
            *text = String::from_utf8_lossy(&mutated(chance, &[text.as_bytes()])).into_owned();
        }
        other => {
            let odd = [
                json!(-1),
                json!(0),
                json!(9_223_372_036_854_775_807_i64),
                json!(1.5),
                json!(null),
                json!("x"),
            ];
            *other = odd.choose(chance).expect("there are some").clone();
        }
    }
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
