//! Does a message cost the same in a book of a thousand messages and of a million, and with one business and ten thousand?
//!
//! Not a statistical bench but a table: the book is filled through the front of the store, and at each size a stretch of
//! messages is timed. `cargo bench --bench growth` fills a hundred thousand; `-- 1000000` as many as one likes; `-- account
//! 64000` fills one business alone and tells what each saying costs in its grown book.

use std::{
    path::Path,
    time::{Duration, Instant},
};

use tallyhand::{
    conversation,
    store::{Delivery, Member, Options, Store, StoreHandle},
    units::{InboundId, Timestamp},
};

/// Messages that wait at once.
const WAITING_MAX: usize = 256;

/// Messages that are timed at each size.
const TIMED: usize = 4096;

/// Businesses over which a growing book is spread.
const BUSINESSES: usize = 1000;

/// What is said, in turn.
const SAYINGS: [&str; 8] = [
    "{} small 3 medium crapes at {} Alder Ct",
    "make that {} small",
    "won",
    "done {} min with 2 guys",
    "paid",
    "note gate code {}",
    "what do I make an hour at 2{}",
    "owed",
];

fn main() {
    let said: Vec<String> = std::env::args().skip(1).filter(|word| word != "--bench").collect();
    let most = said.iter().find_map(|argument| argument.parse().ok());
    if said.iter().any(|word| word == "account") {
        return one_account(most.unwrap_or(16_000));
    }
    let most: usize = most.unwrap_or(100_000);
    println!(
        "| messages in the book | businesses | µs a message, in bursts | ms alone | start, ms | first answer after it, ms | MB in memory | MB on disk |"
    );
    println!("|---|---|---|---|---|---|---|---|");
    let mut size = 1000;
    let mut book = Filled::new(BUSINESSES);
    while size <= most {
        book.fill(size);
        book.report();
        size *= 10;
    }
    for businesses in [1, 10, 100, 1000, 10_000] {
        let mut book = Filled::new(businesses);
        book.fill((businesses * 8).max(8000));
        book.report();
    }
}

/// One business whose book grows: what each saying costs, and what the first message after a start waits for.
fn one_account(most: usize) {
    let names = SAYINGS.map(|saying| format!(" {} |", saying.replace(" {}", " …").replace("{} ", "")));
    println!(
        "| messages in its book | µs each |{} first after a start, ms |",
        names.concat()
    );
    println!("|---|---|{}---|", "---|".repeat(SAYINGS.len()));
    let mut book = Filled::new(1);
    let mut size = 1000;
    while size <= most {
        book.fill(size);
        let each: Vec<f64> = book.burst_each();
        let mean = each.iter().sum::<f64>() / each.len() as f64;
        let each: Vec<String> = each.iter().map(|micros| format!(" {micros:.0} |")).collect();
        let (_, first) = book.start_again();
        println!(
            "| {size} | {mean:.0} |{} {:.1} |",
            each.concat(),
            first.as_secs_f64() * 1e3
        );
        size *= 4;
    }
}

struct Filled {
    folder: tempfile::TempDir,
    store: Option<Store>,
    owners: Vec<Member>,
    said: usize,
    runtime: tokio::runtime::Runtime,
}

fn now() -> Timestamp {
    "2026-01-12T15:00:00Z".parse().expect("a time")
}

fn open(book: &Path) -> Store {
    let options = Options {
        handle: conversation::handle,
        zone: chrono_tz::America::Chicago,
        public_url: None,
        carry_answers: false,
        owner: "owner".into(),
        secret: || [7; 32],
        channels: Vec::new(),
    };
    Store::open(book, options, now()).expect("a book")
}

impl Filled {
    fn new(businesses: usize) -> Filled {
        let folder = tempfile::TempDir::new().expect("a folder");
        let store = open(&folder.path().join("book.sqlite"));
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .build()
            .expect("a runtime");
        let (handle, mut owners) = (store.handle(), vec![store.owner().clone()]);
        for number in 1..businesses {
            let added = runtime.block_on(handle.add_account(format!("Owner{number}"), now()));
            owners.push(added.expect("an account"));
        }
        Filled {
            folder,
            store: Some(store),
            owners,
            said: 0,
            runtime,
        }
    }

    fn handle(&self) -> StoreHandle {
        self.store.as_ref().expect("it is open").handle()
    }

    /// The next message: each business says the whole round of sayings in turn.
    fn next(&mut self) -> Delivery {
        let owner = &self.owners[self.said % self.owners.len()];
        let round = self.said / self.owners.len();
        let number = (round * 7 + self.said) % 89 + 1;
        // Some forty places to a business, visited again and again.
        let text = SAYINGS[round % SAYINGS.len()].replacen("{}", &number.to_string(), 1);
        let text = text.replace("{}", &(round / SAYINGS.len() % 40 + 1).to_string());
        self.said += 1;
        Delivery {
            account: owner.account,
            member: owner.id,
            id: InboundId::new(format!("m_{}", self.said)),
            channel: "bench".into(),
            external_id: self.said.to_string(),
            text,
            heard: None,
            answer_to: None,
            sent_at: None,
            media: Vec::new(),
            at: now(),
        }
    }

    fn burst(&mut self, messages: usize) -> Duration {
        let handle = self.handle();
        let mut took = Duration::ZERO;
        let mut left = messages;
        while left > 0 {
            let deliveries: Vec<Delivery> = (0..left.min(WAITING_MAX)).map(|_| self.next()).collect();
            left -= deliveries.len();
            let began = clock();
            let waiting: Vec<_> = deliveries
                .into_iter()
                .map(|delivery| handle.enqueue(delivery).expect("there is room"))
                .collect();
            self.runtime.block_on(async {
                for answer in waiting {
                    answer.await.expect("an answer comes").expect("it is taken");
                }
            });
            took += began.elapsed();
        }
        took
    }

    /// What each saying costs said alone, in µs, its commit included.
    fn burst_each(&mut self) -> Vec<f64> {
        let rounds = 64;
        let mut took = vec![Duration::ZERO; SAYINGS.len()];
        // From the first saying of a round on.
        while !self.said.is_multiple_of(SAYINGS.len()) {
            self.burst(1);
        }
        for _ in 0..rounds {
            for each in &mut took {
                *each += self.burst(1);
            }
        }
        took.iter()
            .map(|took| took.as_secs_f64() * 1e6 / f64::from(rounds))
            .collect()
    }

    /// Closes the book and opens it again: how long that takes, and the first message after it.
    fn start_again(&mut self) -> (Duration, Duration) {
        self.store.take().expect("it is open").close();
        let began = clock();
        self.store = Some(open(&self.folder.path().join("book.sqlite")));
        let start = began.elapsed();
        (start, self.burst(1))
    }

    fn fill(&mut self, size: usize) {
        let left = size.saturating_sub(self.said);
        self.burst(left);
    }

    fn report(&mut self) {
        let size = self.said;
        let in_bursts = self.burst(TIMED).as_secs_f64() * 1e6 / TIMED as f64;
        let mut alone: Vec<Duration> = (0..64).map(|_| self.burst(1)).collect();
        alone.sort();
        let memory = resident_mb();
        let disk = size_of(&self.folder.path().join("book.sqlite"));
        let (start, first) = self.start_again();
        println!(
            "| {size} | {} | {in_bursts:.0} | {:.2} | {:.1} | {:.1} | {memory} | {disk} |",
            self.owners.len(),
            alone[alone.len() / 2].as_secs_f64() * 1e3,
            start.as_secs_f64() * 1e3,
            first.as_secs_f64() * 1e3,
        );
    }
}

#[expect(clippy::disallowed_methods, reason = "a bench measures time")]
fn clock() -> Instant {
    Instant::now()
}

/// Memory of this process, as Linux tells it; 0 elsewhere.
fn resident_mb() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status
        .lines()
        .find(|line| line.starts_with("VmRSS:"))
        .unwrap_or_default();
    line.split_whitespace()
        .nth(1)
        .and_then(|kb| kb.parse::<u64>().ok())
        .unwrap_or(0)
        / 1024
}

fn size_of(book: &Path) -> u64 {
    std::fs::metadata(book).map_or(0, |file| file.len()) / 1_000_000
}
