//! Answers carried to another program: signed, retried on the published schedule, at least once under one id.

use std::sync::{Arc, Mutex};

use axum::{
    Router,
    body::Bytes,
    extract::State,
    http::{HeaderMap, StatusCode},
    routing::post,
};
use standardwebhooks::Webhook;
use tallyhand::{
    channels::signed::Secret,
    runtime::{Carrier, deliver_due},
    web::Clock,
};

use crate::support::{SECRET, Yard};

/// What the other side was sent, and what it says to each call in turn.
#[derive(Clone, Default)]
struct OtherSide {
    calls: Arc<Mutex<Vec<(HeaderMap, Bytes)>>>,
    statuses: Arc<Mutex<Vec<u16>>>,
}

async fn receive(State(side): State<OtherSide>, headers: HeaderMap, body: Bytes) -> StatusCode {
    side.calls.lock().expect("no test panics here").push((headers, body));
    let mut statuses = side.statuses.lock().expect("no test panics here");
    let status = if statuses.is_empty() { 204 } else { statuses.remove(0) };
    StatusCode::from_u16(status).expect("a status")
}

/// Starts the other side on the loopback and gives a carrier to it.
fn carrier(yard: &Yard, side: &OtherSide) -> Carrier {
    let app = Router::new().route("/", post(receive)).with_state(side.clone());
    let address = yard.wait(async {
        let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.expect("a port");
        let address = listener.local_addr().expect("an address");
        tokio::spawn(async move { axum::serve(listener, app).await });
        address
    });
    let url = format!("http://{address}/").parse().expect("an address");
    let secrets = vec![Secret::parse(SECRET).expect("a secret")];
    Carrier::new(yard.handle(), yard.clock(), Arc::clone(&yard.deps().ids), url, secrets).expect("a client")
}

fn calls(side: &OtherSide) -> usize {
    side.calls.lock().expect("no test panics here").len()
}

#[track_caller]
fn round(yard: &Yard, carrier: &Carrier, wanted: usize) {
    assert_eq!(yard.wait(deliver_due(carrier)).expect("the outbox can be read"), wanted);
}

#[test]
fn every_answer_is_carried_once_and_signed() {
    let side = OtherSide::default();
    let mut yard = Yard::with_callback().says("note gate code 4411");
    let answer = yard.next_answer();
    let carrier = carrier(&yard, &side);
    round(&yard, &carrier, 1);
    round(&yard, &carrier, 0);
    let calls = side.calls.lock().expect("no test panics here");
    let (headers, body) = calls.first().expect("one call");
    assert_eq!(calls.len(), 1);
    // The reference library checks the window against the real clock, so only its signature is used here.
    let id = headers["webhook-id"].to_str().expect("text");
    let at = headers["webhook-timestamp"]
        .to_str()
        .expect("text")
        .parse()
        .expect("seconds");
    let wanted = Webhook::new(SECRET)
        .and_then(|webhook| webhook.sign(id, at, body))
        .expect("a signature");
    assert_eq!(headers["webhook-signature"], wanted);
    assert_eq!(at, yard.clock().now().unix_seconds());
    let sent: serde_json::Value = serde_json::from_slice(body).expect("JSON");
    assert_eq!(
        (sent["type"].as_str(), &sent["data"]),
        (Some("message.answered"), &answer)
    );
    assert_eq!(yard.count("SELECT count(*) FROM outbox WHERE state = 'sent'"), 1);
}

#[test]
fn what_is_not_taken_is_tried_again_later_under_the_same_id() {
    let side = OtherSide {
        statuses: Arc::new(Mutex::new(vec![500, 302, 429])),
        ..OtherSide::default()
    };
    let mut yard = Yard::with_callback().says("note gate code 4411").whatever();
    let carrier = carrier(&yard, &side);
    round(&yard, &carrier, 1);
    round(&yard, &carrier, 0);
    // 5 s, 5 min, 30 min by the published schedule, each with up to a tenth more.
    for (minutes, wanted) in [(1, 1), (4, 0), (2, 1), (28, 0), (6, 1), (24 * 60, 0)] {
        yard = yard.later(minutes);
        round(&yard, &carrier, wanted);
    }
    let calls = side.calls.lock().expect("no test panics here");
    assert!(
        calls
            .iter()
            .all(|(headers, _)| headers["webhook-id"] == calls[0].0["webhook-id"])
    );
    assert_eq!(yard.count("SELECT attempts FROM outbox WHERE state = 'sent'"), 4);
}

#[test]
fn gone_means_no_more() {
    let side = OtherSide {
        statuses: Arc::new(Mutex::new(vec![410])),
        ..OtherSide::default()
    };
    let yard = Yard::with_callback().says("note gate code 4411").whatever();
    let carrier = carrier(&yard, &side);
    round(&yard, &carrier, 1);
    let yard = yard.later(48 * 60);
    round(&yard, &carrier, 0);
    assert_eq!(calls(&side), 1);
    assert_eq!(yard.count("SELECT count(*) FROM outbox WHERE state = 'given up'"), 1);
    // The owner sees it and can have it carried again.
    let yard = yard
        .says("undelivered")
        .replies("1. the other program by callback: \"Noted: gate code 4411\" (status 410)");
    let settings = yard.gets("/settings", Some(yard.cookie())).body;
    assert!(settings.contains("the other program by callback"), "{settings}");
    let yard = yard.says("send again").replies("Sending it again");
    round(&yard, &carrier, 3);
    assert_eq!(yard.count("SELECT count(*) FROM outbox WHERE state = 'sent'"), 3);
}
