//! A message from another program, or an answer to one, signed the way Standard Webhooks 1.0 says.
//!
//! Scheme: headers `webhook-id`, `webhook-timestamp` (unix seconds of the attempt) and `webhook-signature` (a list of
//! `v1,<base64>`), where the signature is HMAC-SHA256 over `id.timestamp.body`, on the bytes as they came. The time window
//! is five minutes both ways, as in the reference libraries. Source: github.com/standard-webhooks/standard-webhooks,
//! `spec/standard-webhooks.md`, read at commit 03f5f8c.
//!
//! The HMAC comes from the `standardwebhooks` crate. Its own `verify` reads the system clock, so the window is checked
//! here against the time passed in, and the comparison is constant-time over every secret that is valid.

use std::fmt;

use base64::{Engine, engine::general_purpose::STANDARD};
use http::HeaderMap;
use serde::{Deserialize, Serialize};
use standardwebhooks::{HEADER_WEBHOOK_ID, HEADER_WEBHOOK_SIGNATURE, HEADER_WEBHOOK_TIMESTAMP, Webhook};
use subtle::ConstantTimeEq;

use super::{TextRefused, accept_text};
use crate::units::Timestamp;

/// Largest body taken, in bytes.
pub const BODY_BYTES_MAX: usize = 64 * 1024;

/// How far the sender's clock may be off, either way, in seconds.
pub const TOLERANCE_S: i64 = 5 * 60;

/// Longest `webhook-id` taken, in bytes.
const ID_BYTES_MAX: usize = 256;

/// Shortest secret taken, in bytes of key; the specification asks for 24 to 64.
const KEY_BYTES_MIN: usize = 24;

/// Why a call is refused.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Error {
    /// A header is missing or unusable.
    #[error("the header {0} is missing or not usable")]
    Header(&'static str),
    /// The time of the attempt is too far from ours.
    #[error("webhook-timestamp is more than five minutes off; sign again with the present time")]
    OutOfWindow,
    /// No secret gives this signature.
    #[error("the signature does not fit the body")]
    Signature,
    /// The body is not JSON.
    #[error("the body is not JSON; send {{\"type\":\"message.received\",\"data\":{{\"text\":\"12 small crapes\"}}}}")]
    NotJson,
    /// The body is JSON, but not a message.
    #[error(
        "the body holds no message; send {{\"type\":\"message.received\",\"data\":{{\"text\":\"12 small crapes\"}}}}"
    )]
    NoMessage,
    /// The body is of a type that is not a message.
    #[error("only the type message.received is understood here")]
    OtherType,
    /// The text is not taken.
    #[error(transparent)]
    Text(#[from] TextRefused),
}

/// A secret that signs. Its `Debug` shows nothing.
#[derive(Clone)]
pub struct Secret {
    key: Vec<u8>,
}

/// Why a secret is not usable.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("a signing secret is `whsec_` and the base64 of at least {KEY_BYTES_MIN} random bytes")]
pub struct BadSecret;

impl Secret {
    /// Reads `whsec_` and base64, with or without its padding.
    pub fn parse(text: &str) -> Result<Self, BadSecret> {
        let encoded = text
            .trim()
            .strip_prefix("whsec_")
            .ok_or(BadSecret)?
            .trim_end_matches('=');
        let padding = "=".repeat((4 - encoded.len() % 4) % 4);
        let key = STANDARD.decode(format!("{encoded}{padding}")).map_err(|_| BadSecret)?;
        if key.len() < KEY_BYTES_MIN {
            Err(BadSecret)
        } else {
            Ok(Secret { key })
        }
    }

    /// Whether a text is this secret, as it is written down; in constant time.
    pub fn is(&self, text: &str) -> bool {
        Secret::parse(text).is_ok_and(|given| given.key.ct_eq(&self.key).into())
    }

    /// The signature of a body under an id at a time, as the header carries it.
    pub fn sign(&self, id: &str, at_unix_s: i64, body: &[u8]) -> Result<String, Error> {
        Webhook::from_bytes(self.key.clone())
            .and_then(|webhook| webhook.sign(id, at_unix_s, body))
            .map_err(|_| Error::Signature)
    }
}

impl fmt::Debug for Secret {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Secret(…)")
    }
}

/// Checks a call and gives its id, the same on every delivery of one message.
///
/// Any one of the secrets will do, so that a secret can be changed without losing calls that are under way.
pub fn verify(headers: &HeaderMap, body: &[u8], secrets: &[Secret], now: Timestamp) -> Result<String, Error> {
    let id = header(headers, HEADER_WEBHOOK_ID)?;
    if id.is_empty() || id.len() > ID_BYTES_MAX || id.contains('.') {
        return Err(Error::Header(HEADER_WEBHOOK_ID));
    }
    let stamp = header(headers, HEADER_WEBHOOK_TIMESTAMP)?;
    let at: i64 = stamp.parse().map_err(|_| Error::Header(HEADER_WEBHOOK_TIMESTAMP))?;
    let given = header(headers, HEADER_WEBHOOK_SIGNATURE)?;
    let mut fits = subtle::Choice::from(0);
    for secret in secrets {
        let wanted = secret.sign(id, at, body)?;
        for one in given.split(' ') {
            fits |= one.as_bytes().ct_eq(wanted.as_bytes());
        }
    }
    if !bool::from(fits) {
        return Err(Error::Signature);
    }
    // After the signature: whether a clock is off is nobody's business who cannot sign.
    if now.unix_seconds().abs_diff(at) > TOLERANCE_S.unsigned_abs() {
        return Err(Error::OutOfWindow);
    }
    Ok(id.to_string())
}

fn header<'a>(headers: &'a HeaderMap, name: &'static str) -> Result<&'a str, Error> {
    headers
        .get(name)
        .and_then(|value| value.to_str().ok())
        .ok_or(Error::Header(name))
}

/// What a verified call says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Call {
    /// The message.
    pub text: String,
    /// Who speaks, by the name in the book; the owner when absent.
    pub from: Option<String>,
    /// When it was said, by the sender's clock.
    pub sent_at: Option<Timestamp>,
}

#[derive(Deserialize)]
struct Body {
    #[serde(rename = "type")]
    kind: Option<String>,
    timestamp: Option<serde_json::Value>,
    data: Option<BodyMessage>,
    #[serde(flatten)]
    plain: BodyMessage,
}

#[derive(Deserialize)]
struct BodyMessage {
    text: Option<String>,
    from: Option<String>,
}

/// Reads a verified body: `{"type":"message.received","data":{"text":…,"from":…}}`, or plainly `{"text":…}`.
pub fn read(body: &[u8]) -> Result<Call, Error> {
    let value: serde_json::Value = serde_json::from_slice(body).map_err(|_| Error::NotJson)?;
    let body: Body = serde_json::from_value(value).map_err(|_| Error::NoMessage)?;
    if body.kind.is_some_and(|kind| kind != "message.received") {
        return Err(Error::OtherType);
    }
    let message = body.data.unwrap_or(body.plain);
    let text = accept_text(&message.text.ok_or(Error::NoMessage)?)?;
    Ok(Call {
        text,
        from: message.from,
        sent_at: body
            .timestamp
            .as_ref()
            .and_then(|at| at.as_str())
            .and_then(|at| at.parse().ok()),
    })
}

/// An answer as a request to another program.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Request {
    /// Headers by name.
    pub headers: Vec<(&'static str, String)>,
    /// The body, signed as it stands.
    pub body: String,
}

#[derive(Serialize)]
struct Answered<'a> {
    #[serde(rename = "type")]
    kind: &'static str,
    timestamp: String,
    data: &'a serde_json::value::RawValue,
}

/// Makes the request that carries an answer (its JSON as stored) under a key that stays the same on every try.
pub fn encode(key: &str, answer_json: &str, secrets: &[Secret], now: Timestamp) -> Result<Request, Error> {
    let data: &serde_json::value::RawValue = serde_json::from_str(answer_json).map_err(|_| Error::NotJson)?;
    let answered = Answered {
        kind: "message.answered",
        timestamp: now.to_string(),
        data,
    };
    let body = serde_json::to_string(&answered).map_err(|_| Error::NotJson)?;
    let at = now.unix_seconds();
    let signatures: Vec<String> = secrets
        .iter()
        .map(|secret| secret.sign(key, at, body.as_bytes()))
        .collect::<Result<_, _>>()?;
    let headers = vec![
        ("content-type", "application/json".to_string()),
        (HEADER_WEBHOOK_ID, key.to_string()),
        (HEADER_WEBHOOK_TIMESTAMP, at.to_string()),
        (HEADER_WEBHOOK_SIGNATURE, signatures.join(" ")),
    ];
    Ok(Request { headers, body })
}

/// What to do after a try to carry an answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum After {
    /// It was taken.
    Sent,
    /// Try again after this many seconds.
    Wait(i64),
    /// Do not try again.
    Stop,
}

/// Waits between tries, in seconds; the schedule that the specification recommends.
const WAITS_S: [i64; 9] = [
    5,
    5 * 60,
    30 * 60,
    2 * 3600,
    5 * 3600,
    10 * 3600,
    14 * 3600,
    20 * 3600,
    24 * 3600,
];

/// Longest wait that the other side may ask for, in seconds.
const RETRY_AFTER_S_MAX: i64 = 24 * 3600;

/// Decides from the status of a try (`None`: no answer at all), its `Retry-After` in seconds, and how many tries there
/// were with this one. The jitter, 0 to 1000, spreads tries that failed together over a tenth of the wait.
pub fn after_try(status: Option<u16>, retry_after_s: Option<i64>, tries: u32, jitter_per_mille: u32) -> After {
    match status {
        Some(200..=299) => return After::Sent,
        // Gone: the other side asks for no more.
        Some(410) => return After::Stop,
        _ => {}
    }
    let index = usize::try_from(tries.saturating_sub(1)).unwrap_or(usize::MAX);
    let Some(wait) = WAITS_S.get(index) else {
        return After::Stop;
    };
    let asked = retry_after_s.unwrap_or(0).clamp(0, RETRY_AFTER_S_MAX);
    let spread = *wait * i64::from(jitter_per_mille.min(1000)) / 10_000;
    After::Wait((*wait).max(asked) + spread)
}

#[cfg(test)]
mod tests {
    use http::{HeaderMap, HeaderValue};

    use super::{After, Call, Error, Secret, TOLERANCE_S, after_try, encode, read, verify};
    use crate::units::Timestamp;

    /// Both published vectors: the worked example of the Standard Webhooks specification
    /// (github.com/standard-webhooks/standard-webhooks, spec/standard-webhooks.md) and the test of the MIT-licensed Rust
    /// reference library (crate standardwebhooks 1.0.1, src/lib.rs).
    const PUBLISHED: [(&str, &str, i64, &str, &str); 2] = [
        (
            "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw",
            "msg_p5jXN8AQM9LWM0D4loKWxJek",
            1_614_265_330,
            r#"{"test": 2432232314}"#,
            "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE=",
        ),
        (
            "whsec_C2FVsBQIhrscChlQIMV+b5sSYspob7oD",
            "msg_27UH4WbU6Z5A5EzD8u03UvzRbpk",
            1_649_367_553,
            r#"{"email":"test@example.com","username":"test_user"}"#,
            "v1,tZ1I4/hDygAJgO5TYxiSd6Sd0kDW6hPenDe+bTa3Kkw=",
        ),
    ];

    fn headers(id: &str, at: i64, signature: &str) -> HeaderMap {
        let mut headers = HeaderMap::new();
        for (name, value) in [
            ("webhook-id", id.to_string()),
            ("webhook-timestamp", at.to_string()),
            ("webhook-signature", signature.into()),
        ] {
            headers.insert(name, HeaderValue::from_str(&value).expect("a header value"));
        }
        headers
    }

    fn at(unix_s: i64) -> Timestamp {
        Timestamp::from_unix_seconds(unix_s).expect("a time")
    }

    #[test]
    fn published_vectors_hold() {
        for (secret, id, time, body, signature) in PUBLISHED {
            let secret = Secret::parse(secret).expect("a secret");
            assert_eq!(secret.sign(id, time, body.as_bytes()).as_deref(), Ok(signature));
            let given = headers(id, time, signature);
            assert_eq!(verify(&given, body.as_bytes(), &[secret], at(time)).as_deref(), Ok(id));
        }
    }

    #[test]
    fn one_byte_off_anywhere_is_refused() {
        let (secret, id, time, body, signature) = PUBLISHED[0];
        let secrets = [Secret::parse(secret).expect("a secret")];
        let good = headers(id, time, signature);
        let mut bytes = body.as_bytes().to_vec();
        for index in 0..bytes.len() {
            bytes[index] ^= 1;
            assert_eq!(verify(&good, &bytes, &secrets, at(time)), Err(Error::Signature));
            bytes[index] ^= 1;
        }
        let other_id = headers("msg_p5jXN8AQM9LWM0D4loKWxJel", time, signature);
        assert_eq!(
            verify(&other_id, body.as_bytes(), &secrets, at(time)),
            Err(Error::Signature)
        );
        let other_time = headers(id, time + 1, signature);
        assert_eq!(
            verify(&other_time, body.as_bytes(), &secrets, at(time)),
            Err(Error::Signature)
        );
        let unsigned = headers(id, time, "v1,");
        assert_eq!(
            verify(&unsigned, body.as_bytes(), &secrets, at(time)),
            Err(Error::Signature)
        );
        assert_eq!(verify(&good, body.as_bytes(), &[], at(time)), Err(Error::Signature));
        let without = HeaderMap::new();
        assert_eq!(
            verify(&without, body.as_bytes(), &secrets, at(time)),
            Err(Error::Header("webhook-id"))
        );
    }

    /// The reference libraries accept -299 s and +299 s and refuse 302 s both ways (PyPI standardwebhooks 1.1.0, run
    /// 2026-11-25; TOLERANCE_IN_SECONDS of the crate).
    #[test]
    fn the_window_is_five_minutes_both_ways() {
        let (secret, id, time, body, signature) = PUBLISHED[0];
        let secrets = [Secret::parse(secret).expect("a secret")];
        let given = headers(id, time, signature);
        for off in [-TOLERANCE_S, -299, 0, 299, TOLERANCE_S] {
            assert!(
                verify(&given, body.as_bytes(), &secrets, at(time + off)).is_ok(),
                "{off} s"
            );
        }
        for off in [-302, -TOLERANCE_S - 1, TOLERANCE_S + 1, 302] {
            assert_eq!(
                verify(&given, body.as_bytes(), &secrets, at(time + off)),
                Err(Error::OutOfWindow),
                "{off} s"
            );
        }
    }

    #[test]
    fn either_secret_and_any_of_several_signatures_will_do() {
        let (secret, id, time, body, signature) = PUBLISHED[0];
        let old = Secret::parse(secret).expect("a secret");
        let new = Secret::parse(PUBLISHED[1].0).expect("a secret");
        let several = headers(id, time, &format!("v1a,AAAA v1,AAAA {signature}"));
        assert!(verify(&several, body.as_bytes(), &[new, old], at(time)).is_ok());
    }

    #[test]
    fn secrets_show_nothing_and_short_ones_are_refused() {
        let secret = Secret::parse(PUBLISHED[0].0).expect("a secret");
        assert_eq!(format!("{secret:?}"), "Secret(…)");
        assert!(Secret::parse("whsec_c2hvcnQ=").is_err());
        assert!(Secret::parse("MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw").is_err());
        assert!(Secret::parse("whsec_not base64 at all, not at all").is_err());
        // 25 bytes need padding, which the reference library for Python supplies itself.
        let unpadded = Secret::parse("whsec_AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA").expect("a secret");
        let padded = Secret::parse("whsec_AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA==").expect("a secret");
        assert_eq!(unpadded.sign("a", 1, b"b"), padded.sign("a", 1, b"b"));
    }

    #[test]
    fn bodies_are_read_both_ways_and_others_are_named() {
        let call = |text: &str, from: Option<&str>, sent: Option<&str>| {
            Ok(Call {
                text: text.into(),
                from: from.map(Into::into),
                sent_at: sent.map(|sent| sent.parse().expect("a time")),
            })
        };
        assert_eq!(
            read(br#"{"type":"message.received","timestamp":"2026-01-12T15:04:05Z","data":{"text":"done","from":"Ana"}}"#),
            call("done", Some("Ana"), Some("2026-01-12T15:04:05Z"))
        );
        assert_eq!(read(br#"{"text":"done"}"#), call("done", None, None));
        assert_eq!(read(b"done"), Err(Error::NotJson));
        assert_eq!(read(b"[1]"), Err(Error::NoMessage));
        assert_eq!(read(br#"{"data":{"words":"done"}}"#), Err(Error::NoMessage));
        assert_eq!(
            read(br#"{"type":"user.created","data":{"text":"done"}}"#),
            Err(Error::OtherType)
        );
        assert!(matches!(read(br#"{"text":" "}"#), Err(Error::Text(_))));
    }

    #[test]
    fn an_answer_is_signed_as_it_is_verified() {
        let secrets = [Secret::parse(PUBLISHED[0].0).expect("a secret")];
        let request = encode("answer_1", r#"{"total":"253.00"}"#, &secrets, at(1_614_265_330)).expect("a request");
        let mut given = HeaderMap::new();
        for (name, value) in &request.headers {
            given.insert(*name, HeaderValue::from_str(value).expect("a header value"));
        }
        assert_eq!(
            verify(&given, request.body.as_bytes(), &secrets, at(1_614_265_330)).as_deref(),
            Ok("answer_1")
        );
        assert!(request.body.contains(r#""data":{"total":"253.00"}"#));
    }

    /// The schedule of the specification: 0 s, 5 s, 5 min, 30 min, 2 h, 5 h, 10 h, 14 h, 20 h, 24 h.
    #[test]
    fn tries_follow_the_published_schedule() {
        let waits: Vec<After> = (1..=10).map(|tries| after_try(Some(500), None, tries, 0)).collect();
        let hours = |h: i64| After::Wait(h * 3600);
        assert_eq!(
            waits,
            [
                After::Wait(5),
                After::Wait(300),
                After::Wait(1800),
                hours(2),
                hours(5),
                hours(10),
                hours(14),
                hours(20),
                hours(24),
                After::Stop
            ]
        );
        assert_eq!(after_try(Some(204), None, 1, 0), After::Sent);
        assert_eq!(after_try(Some(410), None, 1, 0), After::Stop);
        assert_eq!(after_try(Some(302), None, 1, 0), After::Wait(5));
        assert_eq!(after_try(Some(429), Some(90), 1, 0), After::Wait(90));
        assert_eq!(after_try(None, None, 1, 1000), After::Wait(5));
        assert_eq!(after_try(None, None, 2, 1000), After::Wait(330));
    }
}
