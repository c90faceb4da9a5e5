//! P5: an acknowledged message is never lost and never counted twice, whatever moment the power goes.
//!
//! The real program is killed without warning while several senders press messages on it, started again on the same book,
//! and asked for everything that it had acknowledged. A few kills in every run; `TALLYHAND_CRASH_KILLS=200 cargo test
//! --test it crash` for as many as one likes, at other instants with another `TALLYHAND_CRASH_SEED`.

use std::{
    collections::BTreeMap,
    path::Path,
    sync::{
        Arc,
        atomic::{AtomicUsize, Ordering},
    },
    time::Duration,
};

use rand::{RngExt, SeedableRng, rngs::SmallRng};
use rusqlite::Connection;
use tallyhand::{runtime::SystemClock, store, web::Clock};
use tokio::sync::mpsc;

use crate::support::{SECRET, Server, header_map, sign};

/// Senders at once.
const SENDERS: usize = 8;

/// Kills when nothing else is asked for.
const KILLS: u64 = 5;

/// Kills survived by one book before the next begins.
const KILLS_OF_A_BOOK: u64 = 20;

/// Most acknowledgements before a kill.
const ACKNOWLEDGED_MAX: usize = 120;

/// What is said; each message has its own number in it.
const SAYINGS: [&str; 6] = [
    "note number {}",
    "{} small crapes at Alder Ct",
    "make that {} small",
    "rate 1{}",
    "undo",
    "won",
];

/// The answers that were acknowledged, by the sender's id.
pub(crate) type Acknowledged = BTreeMap<String, String>;

fn number(name: &str, otherwise: u64) -> u64 {
    std::env::var(name).map_or(otherwise, |value| value.parse().expect("a number"))
}

#[test]
fn kill_at_any_moment_loses_nothing_acknowledged() {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()
        .expect("a runtime");
    let (kills, seed) = (
        number("TALLYHAND_CRASH_KILLS", KILLS),
        number("TALLYHAND_CRASH_SEED", 1),
    );
    let mut chance = SmallRng::seed_from_u64(seed);
    let (mut done, mut kept) = (0, 0);
    while done < kills {
        let of_this_book = KILLS_OF_A_BOOK.min(kills - done);
        kept += one_book(&runtime, of_this_book, &mut chance);
        done += of_this_book;
    }
    eprintln!("{done} kills, seed {seed}: {kept} acknowledged messages, all there once");
}

fn one_book(runtime: &tokio::runtime::Runtime, kills: u64, chance: &mut SmallRng) -> usize {
    let home = tempfile::TempDir::new().expect("a folder");
    let book = home.path().join("book.sqlite");
    let mut acknowledged = Acknowledged::new();
    for round in 0..kills {
        let server = Server::start(home.path(), &book);
        let limit = chance.random_range(0..ACKNOWLEDGED_MAX);
        let (answers, mut more) = runtime.block_on(press(&server.address, round, limit));
        // At any instant between two answers, not only right after one.
        std::thread::sleep(Duration::from_micros(chance.random_range(0..20_000)));
        server.kill();
        acknowledged.extend(answers);
        while let Ok((id, answer)) = more.try_recv() {
            acknowledged.insert(id, answer);
        }
        check_book(&book, &acknowledged);
    }
    let server = Server::start(home.path(), &book);
    let before = count(&book, "SELECT count(*) FROM event");
    let client = client();
    for (id, answer) in &acknowledged {
        let (status, again) = runtime
            .block_on(post(&client, &server.address, id))
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
    acknowledged.len()
}

/// Sends until `limit` messages were acknowledged, and gives what each acknowledged one was answered, with where the
/// answers go on to come. Messages that are under way by then are caught by the kill in every state.
async fn press(address: &str, round: u64, limit: usize) -> (Acknowledged, mpsc::Receiver<(String, String)>) {
    let (mut senders, mut answers) = send(address, round);
    let mut acknowledged = Acknowledged::new();
    while acknowledged.len() < limit {
        let (id, answer) = answers
            .recv()
            .await
            .expect("the senders are alive until the power goes");
        acknowledged.insert(id, answer);
    }
    senders.detach_all();
    (acknowledged, answers)
}

/// Sends until `limit` messages were acknowledged, does something that ends the program, and goes on until nothing is
/// taken any more; gives what each acknowledged message was answered.
pub(crate) async fn press_until_gone(address: &str, round: usize, limit: usize, end: impl FnOnce()) -> Acknowledged {
    let (mut senders, mut answers) = send(address, round as u64);
    let mut acknowledged = Acknowledged::new();
    let mut end = Some(end);
    while let Some((id, answer)) = answers.recv().await {
        acknowledged.insert(id, answer);
        if acknowledged.len() >= limit
            && let Some(end) = end.take()
        {
            end();
        }
    }
    while let Some(sender) = senders.join_next().await {
        sender.expect("a sender ends by itself");
    }
    acknowledged
}

/// Starts the senders; each ends when it is not answered any more.
fn send(address: &str, round: u64) -> (tokio::task::JoinSet<()>, mpsc::Receiver<(String, String)>) {
    let (answered, answers) = mpsc::channel(1024);
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
    (senders, answers)
}

fn client() -> reqwest::Client {
    // Fails when it is installed already, which is as good.
    let _ = rustls::crypto::ring::default_provider().install_default();
    reqwest::Client::builder().no_proxy().build().expect("a client")
}

async fn post(client: &reqwest::Client, address: &str, id: &str) -> Option<(u16, String)> {
    let number: usize = id.rsplit('_').next()?.parse().ok()?;
    let text = SAYINGS[number % SAYINGS.len()].replace("{}", &(number % 90 + 1).to_string());
    let body = serde_json::json!({ "text": text }).to_string();
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

/// The book is sound, and every acknowledged message is in it once with the answer that was given.
#[track_caller]
pub(crate) fn check_book(book: &Path, acknowledged: &Acknowledged) {
    let faults = store::check(book).expect("the book can be checked");
    assert!(faults.is_empty(), "{faults:#?}");
    let connection = Connection::open(book).expect("the book opens");
    let mut statement = connection
        .prepare("SELECT external_id, json FROM message JOIN reply ON message_position = position")
        .expect("a statement");
    let rows = statement
        .query_map([], |row| Ok((row.get::<_, String>(0)?, row.get::<_, String>(1)?)))
        .expect("rows")
        .map(|row| row.expect("text"));
    let mut kept = Acknowledged::new();
    for (id, json) in rows {
        assert_eq!(kept.insert(id.clone(), json), None, "{id} is there twice");
    }
    for (id, answer) in acknowledged {
        assert_eq!(kept.get(id), Some(answer), "{id} was acknowledged");
    }
}

fn count(book: &Path, sql: &str) -> i64 {
    let connection = Connection::open(book).expect("the book opens");
    connection.query_row(sql, [], |row| row.get(0)).expect("a number")
}
