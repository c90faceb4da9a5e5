//! How long does the house take over a page when the book holds 100,000 jobs? The whole way: session, state, page.
//!
//! The book is written past the house, with the events that a season of jobs leaves behind, and folded once at the start
//! as after a restart. The aim is under 50 ms a page.

use std::{hint::black_box, path::Path, sync::Arc};

use axum::{body::Body, http::Request};
use criterion::{Criterion, criterion_group, criterion_main};
use http_body_util::BodyExt;
use rusqlite::{Connection, params};
use tallyhand::{
    conversation,
    journal::{DoneLine, Event, JobFinished, encode},
    pricing::{self, Basis, Discount, Effort, Sheet, SheetLine, Step, Tax},
    speech::Recogniser,
    store::{Options, Store},
    units::{Crew, InboundId, ManMinutes, Money, Percent, Quantity, QuoteNo, RatePerManHour, Timestamp, Unit},
    web::{self, Clock, Deps, Ids, Listeners, MetricsFor, Watch},
};
use tower::ServiceExt;

/// Jobs in the book.
const JOBS: u32 = 100_000;

/// Distinct places.
const PLACES: u32 = 5_000;

struct Standing(Timestamp);

impl Clock for Standing {
    fn now(&self) -> Timestamp {
        self.0
    }

    fn monotonic(&self) -> std::time::Duration {
        std::time::Duration::ZERO
    }
}

struct Same;

impl Ids for Same {
    fn inbound(&self) -> InboundId {
        InboundId::new("m_page")
    }

    fn secret(&self) -> [u8; 32] {
        [7; 32]
    }
}

fn sheet(count: u32) -> Sheet {
    let line = |service: &str, size: &str, count: u32, minutes: i64| SheetLine {
        service: service.to_string(),
        size: Some(size.to_string()),
        unit: Unit::Each,
        quantity: Quantity::new(count.into()).expect("a count"),
        effort: Effort::Each(ManMinutes::new(minutes.into()).expect("minutes")),
        rate: None,
        material_each: None,
        price_each: None,
        basis: Basis::Set,
    };
    Sheet {
        lines: vec![line("crape myrtle", "small", count, 6), line("holly", "large", 2, 12)],
        rate: RatePerManHour::new(95.into()).expect("a rate"),
        rate_said: None,
        crew: Crew::new(2).expect("people"),
        set_up: None,
        set_up_learned: false,
        haul: None,
        drive: None,
        fees: Vec::new(),
        minimum: None,
        step: Step::None,
        discount: Discount::None,
        more_off: Vec::new(),
        price_said: None,
        tax: Tax::None,
        markup: Percent::new(0.into()).expect("a percentage"),
    }
}

fn events(no: u32, at: Timestamp) -> Vec<Event> {
    let sheet = sheet(3 + no % 17);
    let total: Money = pricing::quote(&sheet).expect("a price").total;
    let place = format!("{} Alder Ct", no % PLACES);
    let done = sheet.lines.iter().map(DoneLine::from).collect();
    let no = QuoteNo::new(no);
    let mut events = vec![
        Event::PlaceNamed { name: place.clone() },
        Event::QuoteGiven {
            no,
            place: Some(place),
            sheet,
            total,
        },
        Event::QuoteWon { no, agreed: total },
        Event::JobPlanned { no, start: at },
    ];
    // The newest fifty are still to be done.
    if no.get() <= JOBS - 50 {
        events.push(Event::JobFinished(JobFinished {
            no,
            ended: at,
            crew: Crew::new(2).expect("people"),
            man_minutes: ManMinutes::new(90.into()).expect("minutes"),
            range: None,
            done,
            agreed: total,
            extra: Money::ZERO,
        }));
        events.push(Event::PaymentTaken {
            no,
            amount: total,
            method: None,
        });
    }
    events
}

/// Writes the jobs, an hour apart.
fn fill(connection: &mut Connection, account: i64, member: i64, start: i64) {
    let transaction = connection.transaction().expect("a transaction");
    let mut sequence = 0_i64;
    for no in 1..=JOBS {
        let at = Timestamp::from_unix_seconds(start + i64::from(no) * 3600).expect("a time");
        let id = format!("m_{no}");
        transaction
            .prepare_cached("INSERT INTO message (inbound_id, account_id, member_id, channel, external_id, text, received_at) VALUES (?1, ?2, ?3, 'bench', ?1, ?4, ?5)")
            .and_then(|mut add| add.execute(params![id, account, member, format!("job {no} at Alder Ct"), at.to_string()]))
            .expect("a message");
        transaction
            .prepare_cached("INSERT INTO reply (message_position, text, json) VALUES (?1, 'Done.', '{}')")
            .and_then(|mut add| add.execute([transaction.last_insert_rowid()]))
            .expect("a reply");
        for event in events(no, at) {
            sequence += 1;
            let (kind, version, payload) = encode(&event);
            transaction
                .prepare_cached("INSERT INTO event (account_id, sequence, kind, version, recorded_at, cause, member_id, payload) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)")
                .and_then(|mut add| add.execute(params![account, sequence, kind, version, at.to_string(), id, member, payload]))
                .expect("an event");
        }
    }
    transaction.commit().expect("a commit");
}

/// What is opened.
const OPENED: [(&str, &str); 10] = [
    ("talk", "/"),
    ("book", "/book"),
    ("book, a word", "/book?q=4999+alder"),
    ("book, a word that is nowhere", "/book?q=zzzz"),
    ("book, a season", "/book?season=spring-2022"),
    ("book, the oldest", "/book?before=60"),
    ("job", "/book/50000"),
    ("times", "/times"),
    ("week", "/week"),
    ("settings", "/settings"),
];

/// A house over a full book.
fn house(path: &Path) -> (Store, Deps) {
    let start = 1_500_000_000;
    let now = Timestamp::from_unix_seconds(start + i64::from(JOBS) * 3600).expect("a time");
    let options = Options {
        handle: conversation::handle,
        zone: chrono_tz::America::Chicago,
        public_url: None,
        carry_answers: false,
        owner: "owner".into(),
        secret: || [7; 32],
        channels: Vec::new(),
    };
    let store = Store::open(path, options, now).expect("a book");
    let owner = store.owner().clone();
    let mut past = Connection::open(path).expect("the book opens");
    fill(&mut past, owner.account.get(), owner.id.get(), start);
    let deps = Deps {
        store: store.handle(),
        clock: Arc::new(Standing(now)),
        ids: Arc::new(Same),
        zone: chrono_tz::America::Chicago,
        https: false,
        signed_secrets: Vec::new().into(),
        account: owner.account,
        owner: owner.id,
        guesses: Arc::default(),
        listeners: Listeners::default(),
        lines: Arc::default(),
        watch: Watch::new(store.handle().counts(), MetricsFor::Nobody, 0),
        recogniser: Recogniser::deaf(),
    };
    (store, deps)
}

fn pages(criterion: &mut Criterion) {
    let folder = tempfile::TempDir::new().expect("a folder");
    let (store, deps) = house(&folder.path().join("book.sqlite"));
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .expect("a runtime");
    let app = web::app(deps.clone());
    let get = |path: &str, cookie: &str| {
        let request = Request::get(path)
            .header("cookie", cookie)
            .body(Body::empty())
            .expect("a request");
        runtime.block_on(async {
            let response = app.clone().oneshot(request).await.expect("an answer");
            let (parts, body) = response.into_parts();
            (parts, body.collect().await.expect("a body").to_bytes())
        })
    };
    let link = runtime.block_on(web::new_link(&deps, deps.owner)).expect("a link");
    let (parts, _) = get(&link, "");
    let cookie = parts.headers["set-cookie"].to_str().expect("text");
    let cookie = cookie.split(';').next().unwrap_or_default().to_string();
    let mut group = criterion.benchmark_group("page over 100,000 jobs");
    group.sample_size(20);
    for (name, path) in OPENED {
        let (parts, body) = get(path, &cookie);
        assert!(parts.status.is_success(), "{path}: {}", parts.status);
        assert!(body.len() > 1000, "{path}");
        group.bench_function(name, |bench| bench.iter(|| black_box(get(path, &cookie))));
    }
    group.finish();
    drop(app);
    drop(deps);
    store.close();
}

criterion_group!(benches, pages);
criterion_main!(benches);
