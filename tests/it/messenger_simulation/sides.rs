//! The other sides of every way in: one stand-in for all providers but Telegram, which has its own. It takes, refuses, loses and
//! cuts as it is told, and remembers what arrived at whom and whether whoever sent it can know.

use std::{
    collections::{BTreeMap, VecDeque},
    sync::{Arc, Mutex, MutexGuard},
};

use serde_json::{Value, json};
use tallyhand::channels::{
    Hidden, Lines,
    gateway::Gateway,
    matrix::Matrix,
    sms::{MEDIA_HOST, Sms},
    telegram::Telegram,
    whatsapp::Whatsapp,
};

use crate::support::{FakeProvider, FakeTelegram, Said, Seen, TOKEN, cut, said};

/// Where the house is reached.
pub(super) const PUBLIC_URL: &str = "https://yard.example.com";

/// The account with the provider of text messages.
pub(super) const ACCOUNT: &str = "AC00000000000000000000000000000000";

/// A photo, as far as anything looks at it.
const JPEG: &[u8] = b"\xff\xd8\xff\xe0\0\x10JFIF\0 a photo of a hedge";

/// Events of a room that the Matrix server gives at once; the rest has to be asked for.
const TIMELINE_MAX: usize = 3;

/// Events in one page of those.
const PAGE_MAX: usize = 2;

/// A way in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Way {
    Telegram,
    Sms,
    Whatsapp,
    Matrix,
    Gateway,
    Signed,
}

impl Way {
    pub(super) const ALL: [Way; 6] = [
        Way::Telegram,
        Way::Sms,
        Way::Whatsapp,
        Way::Matrix,
        Way::Gateway,
        Way::Signed,
    ];

    pub(super) fn code(self) -> &'static str {
        match self {
            Way::Telegram => "telegram",
            Way::Sms => "sms",
            Way::Whatsapp => "whatsapp",
            Way::Matrix => "matrix",
            Way::Gateway => "gateway",
            Way::Signed => "signed",
        }
    }
}

/// One of two people, by one way: the owner is 0, the crew 1, a stranger 2.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Who {
    pub(super) way: Way,
    pub(super) person: usize,
}

impl Who {
    /// What the provider calls them.
    pub(super) fn address(self) -> String {
        match self.way {
            Way::Telegram => format!("4{}", self.person),
            Way::Sms => format!("+1555555012{}", self.person),
            Way::Whatsapp | Way::Gateway => format!("1555555012{}", self.person),
            Way::Matrix => format!("@person{}:example.org", self.person),
            Way::Signed => ["owner", "Sam", "Zed"][self.person].to_string(),
        }
    }

    fn at(way: Way, address: &str) -> Who {
        let person = address
            .chars()
            .rfind(char::is_ascii_digit)
            .and_then(|digit| digit.to_digit(10));
        Who {
            way,
            person: person.map_or(9, |person| person as usize),
        }
    }
}

impl std::fmt::Display for Who {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}{}", self.way.code(), self.person)
    }
}

/// What becomes of the next thing that is sent to somebody.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Fault {
    /// It is not taken, with this status.
    Status(u16),
    /// It is not taken, and a pause is asked for.
    Busy,
    /// It is refused for good.
    Never,
    /// It is taken, and the answer is lost.
    Lost,
    /// It is taken, and the answer breaks off.
    Cut,
    /// It is taken or not, and there is no answer.
    Silent { taken: bool },
    /// It is taken, and the provider reports afterwards that it did not arrive.
    Bounced,
}

/// Something that arrived.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Arrived {
    pub(super) text: String,
    /// Who sent it may not know.
    pub(super) doubtful: bool,
    /// In the end it did not.
    pub(super) bounced: bool,
}

#[derive(Default)]
struct Inner {
    arrived: BTreeMap<Who, Vec<Arrived>>,
    faults: BTreeMap<Who, VecDeque<Fault>>,
    file_faults: VecDeque<u16>,
    sync_faults: VecDeque<Said>,
    doubting: bool,
    taken: usize,
    keys: BTreeMap<String, String>,
    events: Vec<(usize, Value)>,
    bounced: Vec<(Who, String)>,
    carried: BTreeMap<String, Vec<bool>>,
}

/// All other sides; cheap to clone.
#[derive(Clone)]
pub(super) struct Sides {
    inner: Arc<Mutex<Inner>>,
    pub(super) telegram: FakeTelegram,
    provider: FakeProvider,
    telegram_calls: bool,
}

impl Sides {
    /// Starts them in the runtime that this is called in. Telegram calls us, or is asked.
    pub(super) async fn start(telegram_calls: bool) -> Sides {
        let inner: Arc<Mutex<Inner>> = Arc::default();
        let own = Arc::clone(&inner);
        let provider = FakeProvider::start(move |seen| own.lock().expect("no test panics here").answer(seen)).await;
        let telegram = FakeTelegram::start().await;
        telegram.keeps("P1", JPEG);
        Sides {
            inner,
            telegram,
            provider,
            telegram_calls,
        }
    }

    /// The messengers that talk to them.
    pub(super) fn lines(&self) -> Lines {
        let at = |way: &str| format!("{}/{way}", self.provider.url);
        Lines {
            telegram: Some(Telegram::new(
                Hidden::new(TOKEN),
                Some(&self.telegram.url),
                self.telegram_calls.then(|| Hidden::new("k3y")),
            )),
            sms: Some(Sms {
                account: ACCOUNT.into(),
                token: Hidden::new("test-token"),
                number: Some("+15555550100".into()),
                api: at("sms"),
                public_url: PUBLIC_URL.into(),
                in_response: false,
                media_hosts: vec![MEDIA_HOST.into()],
            }),
            whatsapp: Some(Whatsapp {
                token: Hidden::new("EAAT"),
                app_secret: Hidden::new("app-secret"),
                verify_token: Hidden::new("vt"),
                phone_id: "106".into(),
                api: at("whatsapp/v26.0"),
                template: None,
            }),
            matrix: Some(Matrix {
                server: at("matrix"),
                token: Hidden::new("syt_t"),
                user: "@yard:example.org".into(),
                invites: vec!["example.org".into()],
            }),
            gateway: Some(Gateway {
                key: Hidden::new("k3y"),
                send_url: at("gateway/sendsms"),
                user: "tester".into(),
                password: Hidden::new("foobar"),
                number: "15550100".into(),
            }),
        }
    }

    /// Where answers are carried to.
    pub(super) fn callback_url(&self) -> String {
        format!("{}/callback", self.provider.url)
    }

    fn lock(&self) -> MutexGuard<'_, Inner> {
        self.inner.lock().expect("no test panics here")
    }

    /// What becomes of the next thing that is sent to somebody.
    pub(super) fn faults(&self, who: Who, fault: Fault) {
        if who.way != Way::Telegram {
            return self.lock().faults.entry(who).or_default().push_back(fault);
        }
        let refusal = |status: u16| json!({ "ok": false, "error_code": status, "parameters": { "retry_after": 3 } });
        match fault {
            Fault::Status(status) => self.telegram.refuses("sendMessage", status, json!({ "ok": false })),
            Fault::Busy => self.telegram.refuses("sendMessage", 429, refusal(429)),
            Fault::Never => {
                let blocked = json!({ "ok": false, "description": "Forbidden: bot was blocked by the user" });
                self.telegram.refuses("sendMessage", 403, blocked);
            }
            Fault::Lost | Fault::Cut | Fault::Bounced => self.telegram.loses_answer("sendMessage"),
            Fault::Silent { .. } => self.telegram.hangs(Some("sendMessage")),
        }
    }

    /// The next file that is asked for is not given, with this status.
    pub(super) fn gives_no_file(&self, status: u16) {
        self.lock().file_faults.push_back(status);
        self.telegram.refuses("getFile", status, json!({ "ok": false }));
    }

    /// The next asking for news goes wrong.
    pub(super) fn gives_no_news(&self, status: u16) {
        let busy = json!({ "ok": false, "error_code": status, "parameters": { "retry_after": 3 } });
        self.telegram.refuses("getUpdates", status, busy);
        let answer = match status {
            // Half an answer, which says that it is well.
            502 => said(200, "{\"next_batch\":\"s99\",\"rooms\":{"),
            _ => said(status, r#"{"errcode":"M_LIMIT_EXCEEDED","retry_after_ms":3000}"#),
        };
        self.lock().sync_faults.push_back(answer);
    }

    /// From now on whoever sends may be cut off in the middle, or not any more.
    pub(super) fn doubts(&self, doubting: bool) {
        self.lock().doubting = doubting;
        self.telegram.doubts(doubting);
    }

    /// Nobody is silent any more; what else was to go wrong still does.
    pub(super) fn speaks_again(&self) {
        for queue in self.lock().faults.values_mut() {
            queue.retain(|fault| !matches!(fault, Fault::Silent { .. }));
        }
        self.telegram.hangs(None);
    }

    /// Everything is well from now on.
    pub(super) fn recovers(&self) {
        let mut inner = self.lock();
        inner.faults.clear();
        inner.file_faults.clear();
        inner.sync_faults.clear();
        self.telegram.recovers();
    }

    /// Somebody says something in their room.
    pub(super) fn says_in_room(&self, person: usize, event: Value) {
        self.lock().events.push((person, event));
    }

    /// Whether nobody has to be asked for news any more.
    pub(super) fn has_told_all(&self, cursor: &str) -> bool {
        let told = cursor == format!("s{}", self.lock().events.len());
        told && (self.telegram_calls || self.telegram.pending() == 0)
    }

    /// Reports that have to be made, taken out.
    pub(super) fn bounces(&self) -> Vec<(Who, String)> {
        std::mem::take(&mut self.lock().bounced)
    }

    /// What arrived at somebody, in order.
    pub(super) fn arrived(&self, who: Who) -> Vec<Arrived> {
        if who.way != Way::Telegram {
            return self.lock().arrived.get(&who).cloned().unwrap_or_default();
        }
        let calls = self.telegram.calls("sendMessage").into_iter();
        calls
            .filter(|call| call.arguments["chat_id"].as_i64().map(|id| id.to_string()) == Some(who.address()))
            .map(|call| Arrived {
                text: call.arguments["text"].as_str().unwrap_or_default().to_string(),
                doubtful: call.doubtful,
                bounced: false,
            })
            .collect()
    }

    /// For each answer that was carried to the other program, whether each time was doubtful.
    pub(super) fn carried(&self) -> BTreeMap<String, Vec<bool>> {
        self.lock().carried.clone()
    }
}

/// How a provider says yes, later, and no.
struct Words {
    yes: fn(&str) -> Said,
    busy: fn() -> Said,
    no: fn() -> Said,
}

fn words(way: Way) -> Words {
    match way {
        Way::Sms => Words {
            yes: |id| said(201, &json!({ "sid": id }).to_string()),
            busy: || {
                (
                    429,
                    vec![("retry-after", "3".to_string())],
                    b"{\"code\":20429}".to_vec(),
                )
            },
            no: || {
                said(
                    400,
                    r#"{"code":21211,"message":"The 'To' number is not a valid phone number."}"#,
                )
            },
        },
        Way::Whatsapp => Words {
            yes: |id| said(200, &json!({ "messages": [{ "id": id }] }).to_string()),
            busy: || said(400, r#"{"error":{"code":130429,"message":"Rate limit hit"}}"#),
            no: || said(400, r#"{"error":{"code":131026,"message":"Message undeliverable"}}"#),
        },
        Way::Matrix => Words {
            yes: |id| said(200, &json!({ "event_id": id }).to_string()),
            busy: || said(429, r#"{"errcode":"M_LIMIT_EXCEEDED","retry_after_ms":3000}"#),
            no: || said(403, r#"{"errcode":"M_FORBIDDEN","error":"not in the room"}"#),
        },
        Way::Gateway | Way::Telegram | Way::Signed => Words {
            yes: |_| said(202, "0: Accepted for delivery"),
            busy: || {
                (
                    503,
                    vec![("retry-after", "3".to_string())],
                    b"Temporal failure".to_vec(),
                )
            },
            no: || said(400, "Bad request"),
        },
    }
}

impl Inner {
    fn answer(&mut self, seen: &Seen) -> Said {
        let path = seen.path.clone();
        let rest = |way: &str| path.strip_prefix(way).map(str::to_string);
        if let Some(path) = rest("/sms") {
            if path.contains("/Media/") {
                return self.file();
            }
            let to = seen.field("To").unwrap_or_default();
            return self.take(Who::at(Way::Sms, &to), &seen.field("Body").unwrap_or_default(), None);
        }
        if let Some(path) = rest("/whatsapp") {
            if path == "/v26.0/106/messages" {
                let body = seen.json();
                let to = body["to"].as_str().unwrap_or_default();
                let text = body["text"]["body"].as_str().unwrap_or_default();
                return self.take(Who::at(Way::Whatsapp, to), text, None);
            }
            if path.starts_with("/file/") {
                return self.file();
            }
            let host = seen.headers["host"].to_str().expect("text");
            return said(
                200,
                &json!({ "url": format!("http://{host}/whatsapp/file/P1") }).to_string(),
            );
        }
        if let Some(path) = rest("/matrix/_matrix/client/") {
            return self.answer_matrix(&path, seen);
        }
        if rest("/gateway").is_some() {
            let to = seen.field("to").unwrap_or_default();
            return self.take(
                Who::at(Way::Gateway, &to),
                &seen.field("text").unwrap_or_default(),
                None,
            );
        }
        let id = seen.headers["webhook-id"].to_str().expect("text").to_string();
        self.take(
            Who {
                way: Way::Signed,
                person: 0,
            },
            "",
            Some(id),
        )
    }

    /// Takes something for somebody, or does with it what was asked for. What has a key counts once.
    fn take(&mut self, who: Who, text: &str, key: Option<String>) -> Said {
        let fault = self.faults.get_mut(&who).and_then(VecDeque::pop_front);
        let words = words(who.way);
        self.taken += 1;
        let id = format!("out{}", self.taken);
        let arrives = |inner: &mut Inner, doubtful: bool, bounced: bool| {
            let doubtful = doubtful || inner.doubting;
            if who.way == Way::Signed {
                inner
                    .carried
                    .entry(key.clone().unwrap_or_default())
                    .or_default()
                    .push(doubtful);
                return id.clone();
            }
            if let Some(known) = key.as_ref().and_then(|key| inner.keys.get(key)) {
                return known.clone();
            }
            inner.keys.extend(key.clone().map(|key| (key, id.clone())));
            let text = text.to_string();
            inner.arrived.entry(who).or_default().push(Arrived {
                text,
                doubtful,
                bounced,
            });
            id.clone()
        };
        match fault {
            None => (words.yes)(&arrives(self, false, false)),
            Some(Fault::Status(status)) => said(status, "{}"),
            Some(Fault::Busy) => (words.busy)(),
            Some(Fault::Never) if who.way == Way::Signed => said(500, ""),
            Some(Fault::Never) => (words.no)(),
            Some(Fault::Lost) => {
                arrives(self, true, false);
                said(502, "{}")
            }
            Some(Fault::Cut) => cut((words.yes)(&arrives(self, true, false))),
            Some(Fault::Silent { taken }) => {
                if taken {
                    arrives(self, true, false);
                }
                (0, Vec::new(), Vec::new())
            }
            Some(Fault::Bounced) => {
                let reports = matches!(who.way, Way::Sms | Way::Whatsapp);
                let id = arrives(self, false, reports);
                if reports {
                    self.bounced.push((who, id.clone()));
                }
                (words.yes)(&id)
            }
        }
    }

    fn file(&mut self) -> Said {
        match self.file_faults.pop_front() {
            Some(status) => said(status, ""),
            None => (200, Vec::new(), JPEG.to_vec()),
        }
    }

    fn answer_matrix(&mut self, path: &str, seen: &Seen) -> Said {
        if path.starts_with("v3/sync") {
            return self.sync_faults.pop_front().unwrap_or_else(|| self.sync(seen));
        }
        if path.starts_with("v1/media/download/") {
            return self.file();
        }
        let room = path
            .split("%21room")
            .nth(1)
            .and_then(|rest| rest[..1].parse().ok())
            .unwrap_or(9);
        if let Some((_, key)) = path.split_once("/send/m.room.message/") {
            let body = seen.json();
            let who = Who {
                way: Way::Matrix,
                person: room,
            };
            return self.take(who, body["body"].as_str().unwrap_or_default(), Some(key.to_string()));
        }
        if path.contains("/messages?") {
            return self.page(room, seen);
        }
        said(200, "{}")
    }

    /// News after a place: the last few events of each room, and where what is missing ends.
    fn sync(&self, seen: &Seen) -> Said {
        let next = format!("s{}", self.events.len());
        let Some(since) = place(seen, "since") else {
            return said(200, &json!({ "next_batch": next }).to_string());
        };
        let mut rooms = json!({});
        for room in 0..3 {
            let new: Vec<usize> = (since..self.events.len())
                .filter(|at| self.events[*at].0 == room)
                .collect();
            let shown = &new[new.len().saturating_sub(TIMELINE_MAX)..];
            if let Some(first) = shown.first() {
                rooms[format!("!room{room}:example.org")] = json!({ "timeline": {
                    "events": shown.iter().map(|at| &self.events[*at].1).collect::<Vec<_>>(),
                    "limited": shown.len() < new.len(), "prev_batch": format!("b{first}"),
                } });
            }
        }
        said(
            200,
            &json!({ "next_batch": next, "rooms": { "join": rooms } }).to_string(),
        )
    }

    /// A page of what is missing of a room, backwards.
    fn page(&self, room: usize, seen: &Seen) -> Said {
        let (from, to) = (
            place(seen, "from").unwrap_or_default(),
            place(seen, "to").unwrap_or_default(),
        );
        let missing: Vec<usize> = (to..from).rev().filter(|at| self.events[*at].0 == room).collect();
        let shown = &missing[..missing.len().min(PAGE_MAX)];
        let chunk: Vec<&Value> = shown.iter().map(|at| &self.events[*at].1).collect();
        let mut answer = json!({ "chunk": chunk });
        if let (Some(last), true) = (shown.last(), shown.len() < missing.len()) {
            answer["end"] = json!(format!("b{last}"));
        }
        said(200, &answer.to_string())
    }
}

/// A place in the stream of events: `s12`, or `b12` for the one before that event.
fn place(seen: &Seen, name: &str) -> Option<usize> {
    seen.field(name)?.get(1..)?.parse().ok()
}
