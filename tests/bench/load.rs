//! How many signed messages does one machine take, and how long does each wait?
//!
//! Real sentences go over real connections to the router that production serves, at rising rates, and in turn the same requests
//! go to a bare handler that only inserts the raw body, with the same durability and the same sharing of commits. What the
//! house does with a message is the difference. Senders and house share the machine.
//!
//! `cargo bench --bench load`; `-- sign 50000` prints signed requests for a load tool of one's own (see `load.lua`).

use std::{
    net::SocketAddr,
    path::Path,
    sync::{
        Arc,
        atomic::{AtomicUsize, Ordering},
    },
    time::{Duration, Instant},
};

use axum::{Router, body::Bytes, extract::State, routing::post};
use rusqlite::Connection;
use tallyhand::{
    channels::signed::Secret,
    conversation,
    runtime::{RandomIds, SystemClock},
    speech::Recogniser,
    store::{Options, Store},
    web::{self, Clock, Deps, Listeners, MetricsFor, Watch},
};
use tokio::{
    io::{AsyncReadExt, AsyncWriteExt, BufStream},
    net::{TcpListener, TcpStream},
    sync::{mpsc, oneshot},
};

/// The secret of the bench; not one of anybody's.
const SECRET: &str = "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw";

/// Connections, from one to as many as are tried.
const CONNECTIONS: [usize; 5] = [1, 8, 32, 64, 128];

/// Messages sent at each step.
const MESSAGES: usize = 2000;

/// What is said: the demo season's own sentences.
const SEASON: &str = include_str!("../../fixtures/demo/season.jsonl");

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).filter(|word| word != "--bench").collect();
    if let [verb, count] = arguments.as_slice()
        && verb == "sign"
    {
        print_signed(count.parse().expect("how many"));
        return;
    }
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()
        .expect("a runtime");
    println!("| what | connections | messages a second | p50 ms | p99 ms |");
    println!("|---|---|---|---|---|");
    let folder = tempfile::TempDir::new().expect("a folder");
    let bare = runtime.block_on(serve_bare(&folder.path().join("bare.sqlite")));
    let (house, store) = runtime.block_on(serve_house(&folder.path().join("book.sqlite")));
    let (mut ceiling, mut most) = (0.0_f64, 0.0_f64);
    // In turn, so that whatever else the machine does meanwhile is shared fairly.
    for connections in CONNECTIONS {
        ceiling = ceiling.max(runtime.block_on(step("bare insert", bare, connections)));
        most = most.max(runtime.block_on(step("the house", house, connections)));
    }
    println!(
        "\nThe house takes {:.0}% of what the bare handler takes.",
        most / ceiling * 100.0
    );
    let (p50, p99) = runtime.block_on(steady(house, most / 2.0));
    println!(
        "At half its most, {:.0} a second: p50 {p50:.2} ms, p99 {p99:.2} ms.",
        most / 2.0
    );
    drop(runtime);
    store.close();
}

/// A request, ready to be sent, for a body under an id.
fn request(id: &str, text: &str) -> Vec<u8> {
    let body = serde_json::json!({ "text": text }).to_string();
    let secret = Secret::parse(SECRET).expect("a secret");
    let at = SystemClock.now().unix_seconds();
    let signature = secret.sign(id, at, body.as_bytes()).expect("a signature");
    format!(
        "POST /hooks/signed HTTP/1.1\r\nhost: bench\r\ncontent-length: {}\r\nwebhook-id: {id}\r\nwebhook-timestamp: {at}\r\nwebhook-signature: {signature}\r\n\r\n{body}",
        body.len()
    )
    .into_bytes()
}

fn sentences() -> Vec<String> {
    SEASON
        .lines()
        .filter_map(|line| {
            serde_json::from_str::<serde_json::Value>(line).ok()?["text"]
                .as_str()
                .map(str::to_string)
        })
        .collect()
}

fn requests(run: &str, count: usize) -> Vec<Vec<u8>> {
    let sentences = sentences();
    (0..count)
        .map(|number| request(&format!("{run}_{number}"), &sentences[number % sentences.len()]))
        .collect()
}

/// Tab-separated: id, time, signature, body.
fn print_signed(count: usize) {
    let (sentences, secret) = (sentences(), Secret::parse(SECRET).expect("a secret"));
    let at = SystemClock.now().unix_seconds();
    for number in 0..count {
        let (id, text) = (format!("load_{at}_{number}"), &sentences[number % sentences.len()]);
        let body = serde_json::json!({ "text": text }).to_string();
        let signature = secret.sign(&id, at, body.as_bytes()).expect("a signature");
        println!("{id}\t{at}\t{signature}\t{body}");
    }
}

async fn serve_house(book: &Path) -> (SocketAddr, Store) {
    let options = Options {
        handle: conversation::handle,
        zone: chrono_tz::America::Chicago,
        public_url: None,
        carry_answers: false,
        owner: "owner".into(),
        secret: || [7; 32],
        channels: Vec::new(),
    };
    let store = Store::open(book, options, SystemClock.now()).expect("a book");
    let deps = Deps {
        store: store.handle(),
        recogniser: Recogniser::deaf(),
        clock: Arc::new(SystemClock),
        ids: Arc::new(RandomIds),
        zone: chrono_tz::America::Chicago,
        https: false,
        signed_secrets: vec![Secret::parse(SECRET).expect("a secret")].into(),
        account: store.owner().account,
        owner: store.owner().id,
        guesses: Arc::default(),
        lines: Arc::default(),
        watch: Watch::new(store.handle().counts(), MetricsFor::Nobody, 0),
        listeners: Listeners::default(),
    };
    (listen(web::app(deps)).await, store)
}

async fn listen(app: Router) -> SocketAddr {
    let listener = TcpListener::bind("127.0.0.1:0").await.expect("a port");
    let address = listener.local_addr().expect("an address");
    tokio::spawn(async move { axum::serve(listener, app).await });
    address
}

type Insert = (Bytes, oneshot::Sender<()>);

/// The bare handler: a body goes to a thread that inserts what has queued up and commits it with `synchronous=FULL`.
async fn serve_bare(file: &Path) -> SocketAddr {
    let (inserts, mut waiting) = mpsc::channel::<Insert>(1024);
    let mut connection = Connection::open(file).expect("a file");
    connection
        .execute_batch("PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; CREATE TABLE raw (body BLOB NOT NULL)")
        .expect("a table");
    std::thread::spawn(move || {
        while let Some(first) = waiting.blocking_recv() {
            let mut batch = vec![first];
            while let Ok(next) = waiting.try_recv() {
                batch.push(next);
            }
            let transaction = connection.transaction().expect("a transaction");
            for (body, _) in &batch {
                transaction
                    .prepare_cached("INSERT INTO raw (body) VALUES (?1)")
                    .expect("a statement")
                    .execute([&body[..]])
                    .expect("it is inserted");
            }
            transaction.commit().expect("it is kept");
            for (_, done) in batch {
                let _ = done.send(());
            }
        }
    });
    let insert = |State(inserts): State<mpsc::Sender<Insert>>, body: Bytes| async move {
        let (done, kept) = oneshot::channel();
        inserts.send((body, done)).await.expect("the thread lives");
        kept.await.expect("the thread lives");
        "kept"
    };
    listen(Router::new().route("/hooks/signed", post(insert)).with_state(inserts)).await
}

/// Some connections, each sending as fast as it is answered; gives the rate.
async fn step(what: &str, address: SocketAddr, connections: usize) -> f64 {
    let requests: Arc<[Vec<u8>]> = requests(&format!("c{connections}"), MESSAGES).into();
    let next = Arc::new(AtomicUsize::new(0));
    let began = clock();
    let mut senders = tokio::task::JoinSet::new();
    for _ in 0..connections {
        let (requests, next) = (Arc::clone(&requests), Arc::clone(&next));
        senders.spawn(async move {
            let mut stream = connect(address).await;
            let mut took = Vec::new();
            while let Some(request) = requests.get(next.fetch_add(1, Ordering::Relaxed)) {
                let began = clock();
                exchange(&mut stream, request).await;
                took.push(began.elapsed());
            }
            took
        });
    }
    let took: Vec<Duration> = senders.join_all().await.into_iter().flatten().collect();
    let rate = took.len() as f64 / began.elapsed().as_secs_f64();
    let (p50, p99) = percentiles(took);
    println!("| {what} | {connections} | {rate:.0} | {p50:.2} | {p99:.2} |");
    rate
}

/// Messages by the clock, at a rate, whether earlier ones were answered or not; times count from when each was due.
async fn steady(address: SocketAddr, rate: f64) -> (f64, f64) {
    let connections = 64;
    let requests: Arc<[Vec<u8>]> = requests("steady", MESSAGES).into();
    let began = clock();
    let mut senders = tokio::task::JoinSet::new();
    for own in 0..connections {
        let requests = Arc::clone(&requests);
        senders.spawn(async move {
            let mut stream = connect(address).await;
            let mut took = Vec::new();
            for number in (own..requests.len()).step_by(connections) {
                let due = Duration::from_secs_f64(number as f64 / rate);
                tokio::time::sleep(due.saturating_sub(began.elapsed())).await;
                exchange(&mut stream, &requests[number]).await;
                took.push(began.elapsed().saturating_sub(due));
            }
            took
        });
    }
    percentiles(senders.join_all().await.into_iter().flatten().collect())
}

async fn connect(address: SocketAddr) -> BufStream<TcpStream> {
    let stream = TcpStream::connect(address).await.expect("it listens");
    stream.set_nodelay(true).expect("a socket");
    BufStream::new(stream)
}

/// Sends a request and reads its answer whole.
async fn exchange(stream: &mut BufStream<TcpStream>, request: &[u8]) {
    stream.write_all(request).await.expect("it takes requests");
    stream.flush().await.expect("it takes requests");
    let (mut head, mut length) = (Vec::new(), None);
    loop {
        let byte = stream.read_u8().await.expect("it answers");
        head.push(byte);
        if head.ends_with(b"\r\n\r\n") {
            break;
        }
    }
    let head = String::from_utf8_lossy(&head).to_lowercase();
    assert!(head.starts_with("http/1.1 200"), "{head}");
    for line in head.lines() {
        if let Some(value) = line.strip_prefix("content-length:") {
            length = value.trim().parse::<usize>().ok();
        }
    }
    let mut body = vec![0; length.expect("a length")];
    stream.read_exact(&mut body).await.expect("a body");
}

/// The middle one and the one in a hundred, in ms.
fn percentiles(mut took: Vec<Duration>) -> (f64, f64) {
    took.sort();
    let at = |share: usize| took[(took.len() - 1) * share / 100].as_secs_f64() * 1e3;
    (at(50), at(99))
}

#[expect(clippy::disallowed_methods, reason = "a bench measures time")]
fn clock() -> Instant {
    Instant::now()
}
