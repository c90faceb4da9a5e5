//! Recorded updates and answers, and what they are read as.

use http::{HeaderMap, HeaderValue};

use super::{Error, Telegram};
use crate::{
    channels::{
        Body, Hidden, Incoming, MediaRef, Response, Saying, Tap, Unsent, Verdict,
        lines::{Fetching, Line, MediaHost, Sending},
    },
    conversation::MediaKind,
};

fn bot() -> Telegram {
    Telegram::new(
        Hidden::new("123456:TESTTOKEN"),
        None,
        Some(Hidden::new("k3y_Only-Url-Safe_1")),
    )
}

fn answer(status: u16, body: &str) -> Response {
    Response {
        status,
        retry_after_s: None,
        body: body.as_bytes().to_vec(),
    }
}

fn read(update: &str) -> Option<Incoming> {
    bot().read_call(update.as_bytes()).expect("an update")
}

/// Recorded updates, one a line, and what each is read as.
#[test]
fn recorded_updates_are_read() {
    let lines: Vec<&str> = include_str!("../../../fixtures/channels/telegram/updates.jsonl")
        .lines()
        .collect();
    let said: Vec<Option<Incoming>> = lines.iter().map(|line| read(line)).collect();
    let of = |index: usize| said[index].clone().expect("something was said");
    let voice = of(0);
    assert_eq!((voice.address.as_str(), voice.room.as_str()), ("42", "42"));
    assert_eq!(voice.external_id, "123456/42/12");
    assert_eq!(voice.sent_at.map(|at| at.unix_seconds()), Some(1_795_000_000));
    assert_eq!(voice.saying, Saying::Text(String::new()));
    assert_eq!(
        voice.media,
        [MediaRef {
            kind: MediaKind::Voice,
            media_type: "audio/ogg".into(),
            name: None,
            source: "AwACAgEAAxkB".into()
        }]
    );
    assert_eq!(
        of(1).saying,
        Saying::Text("12 small 3 medium crapes at Alder Ct".into())
    );
    assert_eq!(
        of(2).saying,
        Saying::Pressed {
            data: "17:2".into(),
            callback: Some("4382".into())
        }
    );
    let photo = of(3);
    assert_eq!(photo.saying, Saying::Text("gate at Alder Ct".into()));
    assert_eq!((photo.media.len(), photo.media[0].source.as_str()), (1, "PHOTO_LARGE"));
    assert_eq!(
        of(4).saying,
        Saying::Text("note contact Wren Calder, +15555550123".into())
    );
    assert_eq!(of(5).saying, Saying::Edited("14 small crapes".into()));
    assert_eq!(of(5).external_id, "123456/42/13/1795000099");
    assert_eq!(of(6).media[0].kind, MediaKind::Voice);
    assert_eq!(of(7).saying, Saying::Text("note location 38.62701, -90.19941".into()));
    assert_eq!(said[8], None, "a group is not heard");
    assert_eq!(said[9], None, "a bot is not heard");
    assert_eq!(said[10], None, "what is not asked for is passed over");
    assert_eq!(said.len(), 11);
}

#[test]
fn a_poll_gives_messages_in_order_and_where_to_go_on() {
    let list: Vec<&str> = include_str!("../../../fixtures/channels/telegram/updates.jsonl")
        .lines()
        .collect();
    let body = format!("{{\"ok\":true,\"result\":[{}]}}", list.join(","));
    let updates = bot().read_updates(&answer(200, &body)).expect("updates");
    assert_eq!((updates.incoming.len(), updates.next), (8, Some(7012)));
    assert!(updates.incoming.is_sorted_by_key(|(after, _)| *after));
    let conflict = r#"{"ok":false,"error_code":409,"description":"Conflict: terminated by other getUpdates request; make sure that only one bot instance is running"}"#;
    assert!(matches!(
        bot().read_updates(&answer(409, conflict)),
        Err(Error::Conflict(_))
    ));
    assert_eq!(bot().read_updates(&answer(401, "{}")), Err(Error::Token));
    let busy = r#"{"ok":false,"error_code":429,"description":"Too Many Requests: retry after 7","parameters":{"retry_after":7}}"#;
    assert_eq!(
        bot().read_updates(&answer(429, busy)),
        Err(Error::Later {
            status: 429,
            asked_s: Some(7)
        })
    );
    assert_eq!(bot().read_updates(&answer(200, "oops")), Err(Error::NotAnUpdate));
}

#[test]
fn only_the_secret_opens_the_webhook() {
    let with = |value: &str| {
        let mut headers = HeaderMap::new();
        headers.insert(
            super::SECRET_HEADER,
            HeaderValue::from_str(value).expect("a header value"),
        );
        headers
    };
    assert_eq!(bot().verify(&with("k3y_Only-Url-Safe_1")), Ok(()));
    assert_eq!(bot().verify(&with("k3y_Only-Url-Safe_2")), Err(Error::Secret));
    assert_eq!(bot().verify(&HeaderMap::new()), Err(Error::Secret));
    let polling = Telegram::new(Hidden::new("123456:TESTTOKEN"), None, None);
    assert_eq!(polling.verify(&with("")), Err(Error::Secret));
    for body in ["", "{", "[]", "{}", "{\"update_id\":\"x\"}", "\u{0}"] {
        assert_eq!(bot().read_call(body.as_bytes()), Err(Error::NotAnUpdate), "{body:?}");
    }
}

#[test]
fn words_go_out_plain_with_buttons_under_them() {
    let taps = vec![
        Tap {
            label: "small".into(),
            data: "17:1".into(),
        },
        Tap {
            label: "large".into(),
            data: "17:2".into(),
        },
    ];
    let text = "a_b *c* <d> & [e](f)".to_string();
    let Sending::Once(request) = bot().send(
        "42",
        &Unsent::Text {
            text: text.clone(),
            taps,
        },
        "k",
    ) else {
        panic!("words need no upload")
    };
    assert!(request.url.ends_with("/bot123456:TESTTOKEN/sendMessage"));
    let Body::Json(body) = request.body else { panic!("JSON") };
    let body: serde_json::Value = serde_json::from_str(&body).expect("JSON");
    assert_eq!(
        (&body["chat_id"], body["text"].as_str()),
        (&42.into(), Some(text.as_str()))
    );
    assert_eq!(body.get("parse_mode"), None);
    assert_eq!(body["reply_markup"]["inline_keyboard"][0][1]["callback_data"], "17:2");
}

#[test]
fn answers_to_a_sending_are_told_apart() {
    let judge = |status: u16, body: &str| bot().judge(&answer(status, body));
    assert_eq!(
        judge(200, r#"{"ok":true,"result":{"message_id":101}}"#),
        Verdict::Sent {
            outside_id: Some("101".into())
        }
    );
    let busy = r#"{"ok":false,"error_code":429,"description":"Too Many Requests","parameters":{"retry_after":7}}"#;
    assert!(matches!(
        judge(429, busy),
        Verdict::Later {
            asked_s: Some(7),
            all: true,
            ..
        }
    ));
    let blocked = r#"{"ok":false,"error_code":403,"description":"Forbidden: bot was blocked by the user"}"#;
    assert!(matches!(judge(403, blocked), Verdict::Never { why } if why.contains("blocked")));
    assert!(matches!(judge(400, "{}"), Verdict::Never { .. }));
    assert!(matches!(judge(502, "<html>"), Verdict::Later { all: false, .. }));
    let moved = r#"{"ok":false,"error_code":400,"description":"x","parameters":{"migrate_to_chat_id":-1009}}"#;
    assert_eq!(judge(400, moved), Verdict::Moved { room: "-1009".into() });
}

#[test]
fn a_file_is_fetched_from_telegram_alone() {
    let media = MediaRef {
        kind: MediaKind::Voice,
        media_type: "audio/ogg".into(),
        name: None,
        source: "AwAC".into(),
    };
    let Fetching::Ask(ask) = bot().fetch(&media) else {
        panic!("it asks first")
    };
    assert!(ask.url.ends_with("/getFile"));
    let found = answer(
        200,
        r#"{"ok":true,"result":{"file_id":"AwAC","file_path":"voice/file_1.oga"}}"#,
    );
    let request = bot().located(&media, &found).expect("a request");
    assert_eq!(
        request.url,
        "https://api.telegram.org/file/bot123456:TESTTOKEN/voice/file_1.oga"
    );
    for path in ["../x", "http://10.0.0.1/x", "//x", "a/../b", "", "a b", "a?b", "a@b"] {
        let body = format!("{{\"ok\":true,\"result\":{{\"file_path\":\"{path}\"}}}}");
        assert!(bot().located(&media, &answer(200, &body)).is_err(), "{path}");
    }
    assert_eq!(bot().media_hosts(), [MediaHost::public("api.telegram.org")]);
}

#[test]
fn tokens_and_secrets_have_a_form() {
    assert!(Telegram::is_token("123456:AAF-x_9"));
    for wrong in ["", "123456", "abc:def", "123456:", "123456:a b", "12/3:abc"] {
        assert!(!Telegram::is_token(wrong), "{wrong}");
    }
    assert!(Telegram::is_webhook_secret("k3y_Only-Url-Safe_1"));
    assert!(!Telegram::is_webhook_secret("no spaces") && !Telegram::is_webhook_secret(""));
    assert!(!format!("{:?}", bot()).contains("TESTTOKEN"));
}
