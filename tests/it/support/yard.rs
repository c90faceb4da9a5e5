//! A house under test, and the things a test says to it.

use std::{
    collections::VecDeque,
    path::PathBuf,
    sync::{
        Arc,
        atomic::{AtomicI64, AtomicU64, Ordering},
    },
};

use axum::{Router, body::Body, http::Request};
use http_body_util::BodyExt;
use rust_decimal::Decimal;
use serde_json::Value;
use standardwebhooks::Webhook;
use tallyhand::{
    channels::{Lines, signed::Secret},
    conversation::{self, Context, Inbound, Outcome},
    journal::State,
    runtime::Messengers,
    speech::Recogniser,
    store::{self, Options, Store, StoreHandle},
    units::{InboundId, MemberId, Timestamp},
    web::{self, Clock, Deps, Ids, MetricsFor, Watch},
};
use tempfile::TempDir;
use tower::ServiceExt;

/// The secret of the signed webhook in tests.
pub(crate) const SECRET: &str = "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw";

/// Monday 2026-01-12, nine in the morning in Chicago.
const START: &str = "2026-01-12T15:00:00Z";

/// A clock that stands until it is moved.
pub(crate) struct FakeClock(AtomicI64);

impl Clock for FakeClock {
    fn now(&self) -> Timestamp {
        Timestamp::from_unix_seconds(self.0.load(Ordering::SeqCst)).expect("a time")
    }
}

/// Ids and secrets that count up, so that a run can be repeated.
struct CountingIds(AtomicU64);

impl Ids for CountingIds {
    fn inbound(&self) -> InboundId {
        InboundId::new(format!("m_{}", self.0.fetch_add(1, Ordering::SeqCst)))
    }

    fn secret(&self) -> [u8; 32] {
        let mut secret = [7; 32];
        secret[..8].copy_from_slice(&self.0.fetch_add(1, Ordering::SeqCst).to_le_bytes());
        secret
    }
}

/// Secrets of links and codes in tests: each another, over all yards.
fn counted_secret() -> [u8; 32] {
    static NEXT: AtomicU64 = AtomicU64::new(1);
    let next = NEXT.fetch_add(1, Ordering::SeqCst);
    let mut secret = [0; 32];
    // Spread, so that neither half of two codes is the same.
    for (index, byte) in secret.iter_mut().enumerate() {
        *byte = (next.wrapping_mul(0x9E37_79B9_7F4A_7C15) >> (5 * (index % 12))).to_le_bytes()[0];
    }
    secret
}

/// What a request was given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Given {
    pub(crate) status: u16,
    pub(crate) headers: axum::http::HeaderMap,
    pub(crate) body: String,
}

impl Given {
    /// A header as text; empty when it is not there.
    pub(crate) fn header(&self, name: &str) -> &str {
        self.headers
            .get(name)
            .map_or("", |value| value.to_str().expect("headers are text"))
    }
}

/// A house under test.
#[must_use = "a yard checks its book and its answers when it is dropped at the end of the test"]
pub(crate) struct Yard {
    runtime: tokio::runtime::Runtime,
    app: Option<Router>,
    store: Option<Store>,
    clock: Arc<FakeClock>,
    ids: Arc<CountingIds>,
    deps: Option<Deps>,
    options: Options,
    book: PathBuf,
    sender_limit: u32,
    cookie: String,
    unread: VecDeque<Value>,
    lines: Arc<Lines>,
    _folder: TempDir,
}

impl Yard {
    /// A house with an empty book.
    pub(crate) fn new() -> Yard {
        Yard::handled_by(conversation::handle, false)
    }

    /// A house whose answers are also queued for another program.
    pub(crate) fn with_callback() -> Yard {
        Yard::handled_by(conversation::handle, true)
    }

    /// A house whose conversation is another function.
    pub(crate) fn handled_by(handle: fn(&State, &Inbound, &Context) -> Outcome, carry_answers: bool) -> Yard {
        Yard::with(handle, carry_answers, |_| Lines::default())
    }

    /// A house with messengers; the function may start their other sides.
    pub(crate) fn with_lines(lines: impl FnOnce(&tokio::runtime::Runtime) -> Lines) -> Yard {
        Yard::with(conversation::handle, false, lines)
    }

    /// A house with messengers whose answers are also queued for another program.
    pub(crate) fn with_lines_and_callback(lines: impl FnOnce(&tokio::runtime::Runtime) -> Lines) -> Yard {
        Yard::with(conversation::handle, true, lines)
    }

    fn with(
        handle: fn(&State, &Inbound, &Context) -> Outcome,
        carry_answers: bool,
        lines: impl FnOnce(&tokio::runtime::Runtime) -> Lines,
    ) -> Yard {
        let folder = TempDir::new().expect("a temporary folder");
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .build()
            .expect("a runtime");
        let lines = lines(&runtime);
        let start: Timestamp = START.parse().expect("a time");
        let mut yard = Yard {
            runtime,
            app: None,
            store: None,
            clock: Arc::new(FakeClock(AtomicI64::new(start.unix_seconds()))),
            ids: Arc::new(CountingIds(AtomicU64::new(1))),
            deps: None,
            options: Options {
                handle,
                zone: chrono_tz::America::Chicago,
                public_url: None,
                carry_answers,
                owner: "owner".into(),
                channels: lines.on(),
                secret: counted_secret,
            },
            book: folder.path().join("book.sqlite"),
            sender_limit: 0,
            cookie: String::new(),
            unread: VecDeque::new(),
            lines: Arc::new(lines),
            _folder: folder,
        };
        yard.open();
        yard.cookie = yard.sign_in(&yard.link());
        yard
    }

    fn open(&mut self) {
        let store = Store::open(&self.book, self.options.clone(), self.clock.now()).expect("a book");
        let deps = Deps {
            store: store.handle(),
            recogniser: Recogniser::deaf(),
            lines: Arc::clone(&self.lines),
            clock: Arc::<FakeClock>::clone(&self.clock),
            ids: Arc::<CountingIds>::clone(&self.ids),
            zone: self.options.zone,
            https: false,
            signed_secrets: vec![Secret::parse(SECRET).expect("a secret")].into(),
            account: store.owner().account,
            owner: store.owner().id,
            guesses: Arc::default(),
            watch: Watch::new(store.handle().counts(), MetricsFor::ThisMachine, self.sender_limit),
            listeners: web::Listeners::default(),
        };
        self.app = Some(web::app(deps.clone()));
        self.deps = Some(deps);
        self.store = Some(store);
    }

    fn shut(&mut self) {
        self.app = None;
        self.deps = None;
        if let Some(store) = self.store.take() {
            store.close();
        }
    }

    /// The same house with a limit on each sender, in messages a minute.
    pub(crate) fn with_sender_limit(mut self, limit: u32) -> Yard {
        self.sender_limit = limit;
        self.reopens()
    }

    /// Closes the book and opens it again, as a restart does.
    pub(crate) fn reopens(mut self) -> Yard {
        self.shut();
        self.open();
        self
    }

    /// The workers behind the messengers.
    pub(crate) fn messengers(&self) -> Messengers {
        let deps = self.deps.clone().expect("the house is open");
        Messengers::new(deps.store, deps.clock, deps.ids, deps.lines, deps.recogniser).expect("clients")
    }

    /// Posts a body to a path with headers as they are.
    pub(crate) fn posts(&self, path: &str, headers: &[(&str, &str)], body: &[u8]) -> Given {
        let mut request = Request::post(path);
        for (name, value) in headers {
            request = request.header(*name, *value);
        }
        self.send(request.body(Body::from(body.to_vec())).expect("a request"))
    }

    /// Posts a body that breaks off on its way.
    pub(crate) fn posts_broken(&self, path: &str, headers: &[(&str, &str)], begin: &[u8]) -> Given {
        let mut request = Request::post(path);
        for (name, value) in headers {
            request = request.header(*name, *value);
        }
        let parts = [
            Ok(axum::body::Bytes::copy_from_slice(begin)),
            Err(std::io::Error::other("the line went dead")),
        ];
        let body = Body::from_stream(futures_util::stream::iter(parts));
        self.send(request.body(body).expect("a request"))
    }

    /// The book file.
    pub(crate) fn book(&self) -> &std::path::Path {
        &self.book
    }

    /// The way to the book.
    pub(crate) fn handle(&self) -> StoreHandle {
        self.store.as_ref().expect("the house is open").handle()
    }

    /// The owner of the book.
    pub(crate) fn owner(&self) -> &store::Member {
        self.store.as_ref().expect("the house is open").owner()
    }

    /// The cookie of the signed-in owner.
    pub(crate) fn cookie(&self) -> &str {
        &self.cookie
    }

    /// What the handlers are given.
    pub(crate) fn deps(&self) -> &Deps {
        self.deps.as_ref().expect("the house is open")
    }

    /// The clock, for parts that take one.
    pub(crate) fn clock(&self) -> Arc<FakeClock> {
        Arc::clone(&self.clock)
    }

    /// Moves the clock on.
    pub(crate) fn later(self, minutes: i64) -> Yard {
        self.clock.0.fetch_add(minutes * 60, Ordering::SeqCst);
        self
    }

    /// Says something on the page, and keeps the answer to be looked at.
    #[track_caller]
    pub(crate) fn says(mut self, text: &str) -> Yard {
        let form = self.form_token();
        let id = self.ids.inbound();
        let given = self.posts_form(&[("text", text), ("key", id.as_str()), ("form", &form)]);
        assert_eq!(given.status, 200, "{text:?} was not taken: {}", given.body);
        self.unread
            .push_back(serde_json::from_str(&given.body).expect("an answer is JSON"));
        self
    }

    /// The next unread answer holds these words.
    #[track_caller]
    pub(crate) fn replies(mut self, words: &str) -> Yard {
        let answer = self.next_answer();
        let text = answer["text"].as_str().unwrap_or_default();
        assert!(text.contains(words), "{words:?} is not in the answer:\n{answer:#}");
        self
    }

    /// The next unread answer has these values at dotted paths (`quote.lines.0.price`); decimals compare as numbers.
    #[track_caller]
    pub(crate) fn answers(mut self, wanted: &[(&str, &str)]) -> Yard {
        let answer = self.next_answer();
        for (path, wanted) in wanted {
            let found = answer.pointer(&format!("/{}", path.replace('.', "/")));
            let is_same = found.is_some_and(|found| same(found, wanted));
            assert!(is_same, "{path} is {found:?}, not {wanted:?}:\n{answer:#}");
        }
        self
    }

    /// The answers so far need no look.
    pub(crate) fn whatever(mut self) -> Yard {
        self.unread.clear();
        self
    }

    /// The next unread answer.
    #[track_caller]
    pub(crate) fn next_answer(&mut self) -> Value {
        self.unread.pop_front().expect("every answer so far was looked at")
    }

    /// The book holds an event of this kind.
    #[track_caller]
    pub(crate) fn has_event(self, kind: &str) -> Yard {
        let kinds = self.event_kinds();
        assert!(kinds.iter().any(|found| found == kind), "no {kind} among {kinds:?}");
        self
    }

    /// The account as it stands.
    pub(crate) fn export(&self) -> Value {
        let account = self.store.as_ref().expect("the house is open").owner().account;
        self.wait(self.handle().export(account, chrono_tz::America::Chicago))
            .expect("it can be exported")
    }

    /// Kinds of all events, in order, read past the house.
    pub(crate) fn event_kinds(&self) -> Vec<String> {
        let connection = rusqlite::Connection::open(&self.book).expect("the book opens");
        let mut statement = connection
            .prepare("SELECT kind FROM event ORDER BY position")
            .expect("a statement");
        let kinds = statement.query_map([], |row| row.get(0)).expect("rows");
        kinds.collect::<Result<_, _>>().expect("kinds are text")
    }

    /// Texts asked of the book, past the house.
    pub(crate) fn texts(&self, sql: &str) -> Vec<String> {
        let connection = rusqlite::Connection::open(&self.book).expect("the book opens");
        let mut statement = connection.prepare(sql).expect("a statement");
        let texts = statement.query_map([], |row| row.get(0)).expect("rows");
        texts.collect::<Result<_, _>>().expect("texts are text")
    }

    /// A number asked of the book, past the house.
    pub(crate) fn count(&self, sql: &str) -> i64 {
        let connection = rusqlite::Connection::open(&self.book).expect("the book opens");
        connection.query_row(sql, [], |row| row.get(0)).expect("a number")
    }

    /// Changes the book, past the house.
    pub(crate) fn changes_past_the_house(&self, sql: &str) {
        let connection = rusqlite::Connection::open(&self.book).expect("the book opens");
        connection.execute_batch(sql).expect("it is changed");
    }

    /// A fresh sign-in link for the owner.
    pub(crate) fn link(&self) -> String {
        self.link_for(self.deps.as_ref().expect("the house is open").owner)
    }

    /// A fresh sign-in link for a member.
    pub(crate) fn link_for(&self, member: MemberId) -> String {
        let deps = self.deps.as_ref().expect("the house is open");
        self.runtime.block_on(web::new_link(deps, member)).expect("a link")
    }

    /// Opens a link and gives the cookie.
    #[track_caller]
    pub(crate) fn sign_in(&self, link: &str) -> String {
        let given = self.send(Request::get(link).body(Body::empty()).expect("a request"));
        assert_eq!(given.status, 303, "{}", given.body);
        let cookie = given.headers["set-cookie"].to_str().expect("a cookie is text");
        cookie.split(';').next().unwrap_or_default().to_string()
    }

    /// The page as the signed-in person sees it.
    #[track_caller]
    pub(crate) fn page(&self) -> String {
        let given = self.gets("/", Some(&self.cookie));
        assert_eq!(given.status, 200);
        given.body
    }

    /// The token that this session's forms carry, as the page shows it.
    pub(crate) fn form_token(&self) -> String {
        let page = self.page();
        let start = page.find("name=\"form\" value=\"").expect("the page has a form") + "name=\"form\" value=\"".len();
        page[start..].split('"').next().unwrap_or_default().to_string()
    }

    /// Asks for a page with a cookie, or without.
    pub(crate) fn gets(&self, path: &str, cookie: Option<&str>) -> Given {
        let mut request = Request::get(path);
        if let Some(cookie) = cookie {
            request = request.header("cookie", cookie);
        }
        self.send(request.body(Body::empty()).expect("a request"))
    }

    /// Posts a form to `/say` in this session and asks for JSON.
    pub(crate) fn posts_form(&self, fields: &[(&str, &str)]) -> Given {
        let body = reqwest::Url::parse_with_params("http://x/", fields).expect("fields fit in a form");
        let request = Request::post("/say")
            .header("cookie", &self.cookie)
            .header("accept", "application/json")
            .header("content-type", "application/x-www-form-urlencoded")
            .body(Body::from(body.query().unwrap_or_default().to_string()));
        self.send(request.expect("a request"))
    }

    /// Posts a body to the signed webhook, signed for now.
    pub(crate) fn posts_signed(&self, id: &str, body: &[u8]) -> Given {
        self.posts_hook(&sign(SECRET, id, self.clock.now().unix_seconds(), body), body)
    }

    /// Posts a body to the signed webhook of the house as it serves another account.
    pub(crate) fn posts_signed_to(&self, owner: &store::Member, id: &str, body: &[u8]) -> Given {
        let app = web::app(Deps {
            account: owner.account,
            owner: owner.id,
            ..self.deps().clone()
        });
        let mut request = Request::post("/hooks/signed");
        for (name, value) in sign(SECRET, id, self.clock.now().unix_seconds(), body) {
            request = request.header(name, value);
        }
        self.send_to(app, request.body(Body::from(body.to_vec())).expect("a request"))
    }

    /// A new account in the same book.
    pub(crate) fn new_account(&self, owner: &str) -> store::Member {
        self.wait(self.handle().add_account(owner.to_string(), self.clock.now()))
            .expect("an account")
    }

    /// Posts a body to the signed webhook with headers as they are.
    pub(crate) fn posts_hook(&self, headers: &[(&str, String)], body: &[u8]) -> Given {
        let mut request = Request::post("/hooks/signed");
        for (name, value) in headers {
            request = request.header(*name, value);
        }
        self.send(request.body(Body::from(body.to_vec())).expect("a request"))
    }

    /// Sends a request to the house.
    pub(crate) fn send(&self, request: Request<Body>) -> Given {
        self.send_to(self.app.clone().expect("the house is open"), request)
    }

    fn send_to(&self, app: Router, request: Request<Body>) -> Given {
        self.runtime.block_on(async {
            let response = app.oneshot(request).await.expect("the router never fails");
            let (parts, body) = response.into_parts();
            let body = body.collect().await.expect("a body").to_bytes();
            Given {
                status: parts.status.as_u16(),
                headers: parts.headers,
                body: String::from_utf8_lossy(&body).into_owned(),
            }
        })
    }

    /// Runs something that waits.
    pub(crate) fn wait<T>(&self, work: impl Future<Output = T>) -> T {
        self.runtime.block_on(work)
    }
}

impl Drop for Yard {
    fn drop(&mut self) {
        self.shut();
        if std::thread::panicking() {
            return;
        }
        assert!(
            self.unread.is_empty(),
            "answers that nobody looked at: {:#?}",
            self.unread
        );
        let faults = store::check(&self.book).expect("the book can be checked");
        assert!(faults.is_empty(), "the book is not sound: {faults:#?}");
    }
}

fn same(found: &Value, wanted: &str) -> bool {
    let text = match found {
        Value::String(text) => text.clone(),
        other => other.to_string(),
    };
    match (text.parse::<Decimal>(), wanted.parse::<Decimal>()) {
        (Ok(found), Ok(wanted)) => found == wanted,
        _ => text == wanted,
    }
}

/// Headers of a signed call, made by the reference library (crate standardwebhooks), not by the code under test.
pub(crate) fn sign(secret: &str, id: &str, at_unix_s: i64, body: &[u8]) -> Vec<(&'static str, String)> {
    let signature = Webhook::new(secret)
        .and_then(|webhook| webhook.sign(id, at_unix_s, body))
        .expect("a signature");
    vec![
        ("webhook-id", id.to_string()),
        ("webhook-timestamp", at_unix_s.to_string()),
        ("webhook-signature", signature),
    ]
}

/// The same as a map.
pub(crate) fn header_map(headers: &[(&'static str, String)]) -> reqwest::header::HeaderMap {
    headers
        .iter()
        .map(|(name, value)| ((*name).parse().expect("a name"), value.parse().expect("a value")))
        .collect()
}
