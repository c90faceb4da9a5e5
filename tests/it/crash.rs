//! P5: an acknowledged message is never lost and never counted twice, whatever moment the power goes.
//!
//! The real program is killed without warning while several senders press messages on it, started again on the same book,
//! and asked for everything that it had acknowledged.

use std::{
    collections::BTreeMap,
    path::Path,
    sync::{
        Arc,
        atomic::{AtomicUsize, Ordering},
    },
};

use rusqlite::Connection;
use tallyhand::{runtime::SystemClock, store, web::Clock};
use tokio::sync::mpsc;

use crate::support::{SECRET, Server, header_map, sign};

/// Senders at once.
const SENDERS: usize = 8;

/// Acknowledgements after which the power goes, one round for each.
const KILL_AFTER: [usize; 4] = [1, 20, 75, 150];

#[test]
fn kill_at_any_moment_loses_nothing_acknowledged() {
    let home = tempfile::TempDir::new().expect("a folder");
    let book = home.path().join("book.sqlite");
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build();
    let runtime = runtime.expect("a runtime");
    let mut acknowledged = BTreeMap::new();
    for (round, limit) in KILL_AFTER.into_iter().enumerate() {
        let server = Server::start(home.path(), &book);
        let answers = runtime.block_on(press(&server.address, round, limit));
        server.kill();
        assert!(answers.len() >= limit, "the round went on until the power went");
        acknowledged.extend(answers);
        check_book(&book, &acknowledged);
    }
    let server = Server::start(home.path(), &book);
    let before = count(&book, "SELECT count(*) FROM event");
    for (id, answer) in &acknowledged {
        let (status, again) = runtime
            .block_on(post(&client(), &server.address, id))
            .expect("it answers");
        assert_eq!((status, &again), (200, answer), "{id}: the first answer again");
    }
    assert_eq!(
        count(&book, "SELECT count(*) FROM event"),
        before,
        "no delivery was counted twice"
    );
    server.kill();
    check_book(&book, &acknowledged);
}

/// Sends until `limit` messages were acknowledged, and gives what each acknowledged one was answered. Messages that are
/// under way by then are left hanging, to be caught by the kill in every state.
async fn press(address: &str, round: usize, limit: usize) -> BTreeMap<String, String> {
    let (answered, mut answers) = mpsc::channel(1024);
    let next = Arc::new(AtomicUsize::new(0));
    let mut senders = tokio::task::JoinSet::new();
    for _ in 0..SENDERS {
        let (next, answered, address, client) = (Arc::clone(&next), answered.clone(), address.to_string(), client());
        senders.spawn(async move {
            loop {
                let id = format!("msg_{round}_{}", next.fetch_add(1, Ordering::SeqCst));
                let Some((status, answer)) = post(&client, &address, &id).await else {
                    return;
                };
                assert_eq!(status, 200, "{answer}");
                if answered.send((id, answer)).await.is_err() {
                    return;
                }
            }
        });
    }
    drop(answered);
    let mut acknowledged = BTreeMap::new();
    while acknowledged.len() < limit {
        let (id, answer) = answers
            .recv()
            .await
            .expect("the senders are alive until the power goes");
        acknowledged.insert(id, answer);
    }
    senders.detach_all();
    acknowledged
}

fn client() -> reqwest::Client {
    // Fails when it is installed already, which is as good.
    let _ = rustls::crypto::ring::default_provider().install_default();
    reqwest::Client::builder().no_proxy().build().expect("a client")
}

async fn post(client: &reqwest::Client, address: &str, id: &str) -> Option<(u16, String)> {
    let body = format!("{{\"text\":\"note number {id}\"}}");
    let headers = header_map(&sign(SECRET, id, SystemClock.now().unix_seconds(), body.as_bytes()));
    let response = client
        .post(format!("{address}/hooks/signed"))
        .headers(headers)
        .body(body)
        .send()
        .await
        .ok()?;
    Some((response.status().as_u16(), response.text().await.ok()?))
}

#[track_caller]
fn check_book(book: &Path, acknowledged: &BTreeMap<String, String>) {
    let faults = store::check(book).expect("the book can be checked");
    assert!(faults.is_empty(), "{faults:#?}");
    for (id, answer) in acknowledged {
        let connection = Connection::open(book).expect("the book opens");
        let found: (i64, String) = connection
            .query_row(
                "SELECT count(*), json FROM message JOIN reply ON message_position = position WHERE external_id = ?1",
                [id],
                |row| Ok((row.get(0)?, row.get(1)?)),
            )
            .expect("a row");
        assert_eq!(found, (1, answer.clone()), "{id} was acknowledged");
    }
    // Every message made exactly one fact here, so a message half kept or counted twice shows as a difference.
    assert_eq!(
        count(book, "SELECT count(*) FROM message"),
        count(book, "SELECT count(DISTINCT cause) FROM event"),
        "messages and facts come and go together"
    );
}

fn count(book: &Path, sql: &str) -> i64 {
    let connection = Connection::open(book).expect("the book opens");
    connection.query_row(sql, [], |row| row.get(0)).expect("a number")
}
