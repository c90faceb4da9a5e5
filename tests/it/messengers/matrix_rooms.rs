//! Matrix from outside: a stand-in for the server that is asked for news.

use std::{
    collections::VecDeque,
    sync::{Arc, Mutex},
};

use serde_json::{Value, json};
use tallyhand::{
    channels::{Channel, Hidden, Lines, matrix::Matrix},
    runtime::Round,
};

use super::{Scene, impatient};
use crate::support::{Said, Seen, said};

type News = Arc<Mutex<VecDeque<Value>>>;

fn scene() -> (Scene, News) {
    let news: News = Arc::default();
    let queue = Arc::clone(&news);
    let takes = move |seen: &Seen| -> Said {
        let path = seen.path.strip_prefix("/_matrix/client/").unwrap_or(&seen.path);
        if path.starts_with("v3/sync") {
            let next = queue.lock().expect("no test panics here").pop_front();
            return said(200, &next.unwrap_or_else(|| json!({ "next_batch": "end" })).to_string());
        }
        if path.starts_with("v3/rooms/%21r%3Aexample.org/messages") {
            let event = |id: &str, text: &str| event(id, text);
            return said(
                200,
                &json!({ "chunk": [event("$m2", "note two"), event("$m1", "note one")] }).to_string(),
            );
        }
        if path.contains("/send/m.room.message/") {
            return said(200, r#"{"event_id":"$out"}"#);
        }
        said(200, "{}")
    };
    let scene = Scene::new(takes, |server| Lines {
        matrix: Some(Matrix {
            server: server.into(),
            token: Hidden::new("syt_t"),
            user: "@yard:example.org".into(),
            invites: vec!["example.org".into()],
        }),
        ..Lines::default()
    });
    (scene, news)
}

fn event(id: &str, text: &str) -> Value {
    json!({ "type": "m.room.message", "event_id": id, "sender": "@ana:example.org",
        "content": { "msgtype": "m.text", "body": text } })
}

fn joined(next: &str, events: &[Value], limited: bool) -> Value {
    json!({ "next_batch": next, "rooms": { "join": { "!r:example.org": { "timeline": {
        "events": events, "limited": limited, "prev_batch": "before" } } } } })
}

fn sync(scene: &Scene) -> Round {
    let line = scene.messengers.lines.matrix.clone().expect("it is on");
    scene.yard().wait(scene.messengers.sync_matrix(&line, 0, 1))
}

fn sent(scene: &Scene) -> Vec<(String, String)> {
    let seen = scene.provider.seen("/_matrix/client/v3/rooms/%21r%3Aexample.org/send/");
    let body = |one: &Seen| one.json()["body"].as_str().unwrap_or_default().to_string();
    seen.iter()
        .map(|one| (one.path.rsplit('/').next().unwrap_or_default().to_string(), body(one)))
        .collect()
}

#[test]
fn news_is_asked_for_invitations_followed_gaps_filled_and_answers_keyed() {
    let (mut scene, news) = scene();
    let push = |value: Value| news.lock().expect("no test panics here").push_back(value);
    push(joined("s1", &[event("$old", "note history")], false));
    assert_eq!(
        sync(&scene),
        Round::Brought(0),
        "what was said before we came is left alone"
    );
    let invite = json!({ "events": [{ "type": "m.room.member", "state_key": "@yard:example.org",
        "sender": "@ana:example.org", "content": { "membership": "invite" } }] });
    push(json!({ "next_batch": "s2", "rooms": { "invite": { "!r:example.org": { "invite_state": invite } } } }));
    sync(&scene);
    assert_eq!(
        scene
            .provider
            .seen("/_matrix/client/v3/rooms/%21r%3Aexample.org/join")
            .len(),
        1
    );
    let code = scene.code("connect matrix");
    push(joined("s3", &[event("$1", &code)], false));
    push(joined("s4", &[event("$m3", "note three")], true));
    sync(&scene);
    assert_eq!(sync(&scene), Round::Brought(3));
    let asked = scene.provider.seen("/_matrix/client/v3/sync").pop().expect("it asked");
    assert!(asked.path.contains("since=s3"), "{}", asked.path);
    assert_eq!(asked.headers["authorization"], "Bearer syt_t");
    scene.round();
    let sent = sent(&scene);
    let words: Vec<&str> = sent.iter().map(|(_, words)| words.as_str()).collect();
    assert!(words[0].starts_with("You are in"), "{words:?}");
    assert_eq!(words[1..], ["Noted: one", "Noted: two", "Noted: three"]);
    let mut keys: Vec<&String> = sent.iter().map(|(key, _)| key).collect();
    keys.dedup();
    assert_eq!(keys.len(), 4, "each has a key of its own");
    assert_eq!(
        scene
            .yard()
            .wait(scene.yard().handle().cursor(Channel::Matrix))
            .expect("the book works")
            .as_deref(),
        Some("s4")
    );
}

#[test]
fn a_server_that_is_not_well_is_waited_for() {
    let (scene, _) = scene();
    scene
        .provider
        .answers(|_| said(429, r#"{"errcode":"M_LIMIT_EXCEEDED","retry_after_ms":7000}"#));
    assert_eq!(sync(&scene), Round::Wait(7));
    scene.provider.answers(|_| said(401, "{}"));
    assert_eq!(sync(&scene), Round::Wait(30));
    scene
        .provider
        .answers(|_| (200, Vec::new(), b"{\"next_batch\":".to_vec()));
    assert!(matches!(sync(&scene), Round::Wait(_)));
}

#[test]
fn a_server_that_never_answers_is_asked_again() {
    let (mut scene, _) = scene();
    scene.messengers.caller = impatient();
    for begun in [false, true] {
        scene.provider.hangs("/_matrix/client/v3/sync", begun);
        assert!(matches!(sync(&scene), Round::Wait(_)), "begun: {begun}");
    }
    scene.provider.hangs_no_more();
    assert_eq!(sync(&scene), Round::Brought(0));
}

/// An invitation comes once: while the server cannot have us join, news is not taken past it. One that is refused is noted.
#[test]
fn an_invitation_is_followed_when_the_server_is_well_again() {
    let (scene, news) = scene();
    let push = |value: Value| news.lock().expect("no test panics here").push_back(value);
    push(joined("s1", &[], false));
    sync(&scene);
    let invite = json!({ "events": [{ "type": "m.room.member", "state_key": "@yard:example.org",
        "sender": "@ana:example.org", "content": { "membership": "invite" } }] });
    let invited =
        json!({ "next_batch": "s2", "rooms": { "invite": { "!r:example.org": { "invite_state": invite } } } });
    for (status, brought) in [(503, None), (429, None), (403, Some(Round::Brought(0)))] {
        let sync_body = invited.to_string();
        scene.provider.answers(move |seen| match seen.path.contains("/join") {
            true => said(status, r#"{"errcode":"M_X","error":"not now"}"#),
            false => said(200, &sync_body),
        });
        let round = sync(&scene);
        assert_eq!(brought.is_none(), matches!(round, Round::Wait(_)), "{status}");
        let cursor = scene.yard().wait(scene.yard().handle().cursor(Channel::Matrix));
        let wanted = if brought.is_none() { "s1" } else { "s2" };
        assert_eq!(cursor.expect("the book works").as_deref(), Some(wanted), "{status}");
    }
    let state = scene.yard().wait(scene.yard().handle().channel_state(Channel::Matrix));
    let failure = state.expect("a state").failure.expect("a failure");
    assert!(failure.1.contains("403"), "{failure:?}");
}
