//! The signed webhook, from outside. Signatures are made by the reference library (crate standardwebhooks 1.0.1).

use crate::support::{SECRET, Yard, sign};

const NOTE: &[u8] =
    br#"{"type":"message.received","timestamp":"2026-01-12T15:00:00Z","data":{"text":"note gate code 4411"}}"#;

/// Unix seconds of the yard's clock at the start.
const NOW: i64 = 1_768_230_000;

#[test]
fn a_signed_message_gets_the_answer_as_json() {
    let yard = Yard::new();
    let given = yard.posts_signed("msg_1", NOTE);
    assert_eq!((given.status, given.header("content-type")), (200, "application/json"));
    let answer: serde_json::Value = serde_json::from_str(&given.body).expect("JSON");
    assert_eq!(answer["at"], "2026-01-12T15:00:00Z");
    assert!(
        answer["text"]
            .as_str()
            .is_some_and(|text| text.contains("gate code 4411")),
        "{answer}"
    );
    assert!(
        yard.page().contains("note gate code 4411"),
        "it is the owner's own conversation"
    );
    let plain = yard.posts_signed("msg_2", br#"{"text":"note the dog is friendly"}"#);
    assert_eq!(plain.status, 200);
}

/// P5, counted once: the first answer again, byte for byte, whatever the second delivery says.
#[test]
fn a_second_delivery_gets_the_first_answer_and_is_counted_once() {
    let yard = Yard::new();
    let first = yard.posts_signed("msg_1", NOTE);
    let events = yard.count("SELECT count(*) FROM event");
    let yard = yard.later(3);
    let bodies: [&[u8]; 5] = [
        NOTE,
        br#"{"text":"note something else"}"#,
        b"no JSON",
        b"{}",
        br#"{"text":"x","from":"Zed"}"#,
    ];
    for body in bodies {
        let again = yard.posts_signed("msg_1", body);
        assert_eq!(
            (again.status, &again.body),
            (200, &first.body),
            "{}",
            String::from_utf8_lossy(body)
        );
    }
    assert_eq!(yard.count("SELECT count(*) FROM message"), 1);
    assert_eq!(yard.count("SELECT count(*) FROM event"), events);
}

#[test]
fn the_same_id_at_once_from_many_is_one_message() {
    let yard = Yard::new();
    let handle = yard.handle();
    let answers = yard.wait(async {
        let mut waiting = Vec::new();
        for index in 0..50 {
            waiting.push(
                handle
                    .enqueue(tallyhand::store::Delivery {
                        account: tallyhand::units::AccountId::new(1),
                        member: tallyhand::units::MemberId::new(1),
                        id: tallyhand::units::InboundId::new(format!("try_{index}")),
                        channel: "signed".into(),
                        external_id: "msg_1".into(),
                        text: "note gate code 4411".into(),
                        heard: None,
                        answer_to: None,
                        sent_at: None,
                        media: Vec::new(),
                        at: "2026-01-12T15:00:00Z".parse().expect("a time"),
                    })
                    .expect("there is room"),
            );
        }
        let mut answers = Vec::new();
        for answer in waiting {
            answers.push(answer.await.expect("an answer comes").expect("it was taken"));
        }
        answers
    });
    assert_eq!(answers.iter().filter(|answer| !answer.again).count(), 1);
    assert!(answers.iter().all(|answer| answer.json == answers[0].json));
    assert_eq!(yard.count("SELECT count(*) FROM message"), 1);
}

#[track_caller]
fn check_refused(headers: &[(&str, String)], body: &[u8], status: u16) {
    let yard = Yard::new();
    let given = yard.posts_hook(headers, body);
    assert_eq!(given.status, status, "{}", given.body);
    assert_eq!(given.body.lines().count(), 1, "one line: {:?}", given.body);
    assert_eq!(yard.count("SELECT count(*) FROM message"), 0);
}

/// P7: whoever cannot sign sees nothing and writes nothing.
#[test]
fn unsigned_and_wrongly_signed_calls_are_refused() {
    let good = sign(SECRET, "msg_1", NOW, NOTE);
    check_refused(&[], NOTE, 401);
    for missing in 0..3 {
        let mut headers = good.clone();
        headers.remove(missing);
        check_refused(&headers, NOTE, 401);
    }
    check_refused(&good, br#"{"text":"undo"}"#, 401);
    check_refused(
        &sign("whsec_C2FVsBQIhrscChlQIMV+b5sSYspob7oD", "msg_1", NOW, NOTE),
        NOTE,
        401,
    );
    check_refused(&sign(SECRET, "msg_1", NOW - 301, NOTE), NOTE, 401);
    check_refused(&sign(SECRET, "msg_1", NOW + 301, NOTE), NOTE, 401);
    // The whole body again, with a space more: re-serialised bodies do not pass.
    check_refused(&good, &[NOTE, b" "].concat(), 401);
}

#[test]
fn signed_nonsense_is_refused_in_one_line() {
    let check = |body: &[u8], status: u16| check_refused(&sign(SECRET, "msg_1", NOW, body), body, status);
    check(b"12 small", 400);
    check(b"{\"text\":", 400);
    check(br#"{"type":"invoice.paid","data":{"text":"x"}}"#, 422);
    check(br#"{"data":{}}"#, 422);
    check(br#"{"text":12}"#, 422);
    check(br#"{"text":"  "}"#, 422);
    check(format!("{{\"text\":\"{}\"}}", "a".repeat(17_000)).as_bytes(), 413);
    check(format!("{{\"text\":\"{}\"}}", "a".repeat(65_536)).as_bytes(), 413);
    check(br#"{"text":"note x","from":"Zed"}"#, 403);
}

#[test]
fn a_message_may_name_who_speaks() {
    let yard = Yard::new();
    let given = yard.posts_signed("msg_1", br#"{"text":"note gate code 4411","from":"Owner"}"#);
    assert_eq!(given.status, 200, "{}", given.body);
}

#[test]
fn ten_megabytes_are_refused_in_one_line() {
    let body = vec![b'a'; 10 * 1024 * 1024];
    check_refused(&sign(SECRET, "msg_1", NOW, b"{}"), &body, 413);
}
