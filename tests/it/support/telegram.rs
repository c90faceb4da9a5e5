//! A stand-in for Telegram's Bot API on the loopback, as far as the program uses it.
//!
//! What it answers follows core.telegram.org/bots/api: updates are kept until an offset leaves them behind, two who ask at
//! once or a webhook that is set make a 409, arguments come as JSON, form or multipart. `tests/it/peers.rs` has a
//! client of somebody else talk to it, so that the program is not tested against our own mistakes.

use std::{
    collections::{BTreeMap, VecDeque},
    sync::{Arc, Mutex, MutexGuard},
    time::Duration,
};

use axum::{
    Router,
    body::Bytes,
    extract::{Path, State},
    http::{HeaderMap, StatusCode},
    response::{IntoResponse, Response},
    routing::any,
};
use serde_json::{Value, json};

/// The bot's token.
pub(crate) const TOKEN: &str = "123456:TESTTOKEN";

/// A call that the stand-in took.
#[derive(Debug, Clone)]
pub(crate) struct Call {
    pub(crate) method: String,
    pub(crate) arguments: Value,
    /// Whether the caller may not have learned that it was carried out.
    pub(crate) doubtful: bool,
}

#[derive(Default)]
struct Inner {
    updates: VecDeque<Value>,
    next_update: i64,
    next_message: i64,
    calls: Vec<Call>,
    /// Answers to give to the next calls of a method instead of doing them.
    refusals: BTreeMap<String, VecDeque<(u16, Value)>>,
    /// Methods whose next answer is lost after the call was carried out.
    lost: Vec<String>,
    /// A method whose calls are taken and never answered.
    hanging: Option<String>,
    files: BTreeMap<String, Vec<u8>>,
    webhook: String,
    polling: bool,
    /// Callers may be cut off in the middle of what they do now.
    doubting: bool,
}

/// The stand-in; cheap to clone.
#[derive(Clone)]
pub(crate) struct FakeTelegram {
    inner: Arc<Mutex<Inner>>,
    pub(crate) url: String,
}

impl FakeTelegram {
    /// Starts it in the runtime that this is called in.
    pub(crate) async fn start() -> FakeTelegram {
        let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.expect("a port");
        let address = listener.local_addr().expect("an address");
        let fake = FakeTelegram {
            inner: Arc::new(Mutex::new(Inner {
                next_update: 7001,
                next_message: 12,
                ..Inner::default()
            })),
            url: format!("http://{address}"),
        };
        let app = Router::new()
            .route("/file/{bot}/{*path}", any(file))
            .route("/{bot}/{method}", any(call))
            .with_state(fake.clone());
        tokio::spawn(async move { axum::serve(listener, app).await });
        fake
    }

    fn lock(&self) -> MutexGuard<'_, Inner> {
        self.inner.lock().expect("no test panics here")
    }

    /// Somebody says something in their private chat with the bot.
    pub(crate) fn says(&self, person: i64, text: &str) -> Value {
        self.message(person, json!({ "text": text }))
    }

    /// A message with fields of one's own.
    pub(crate) fn message(&self, person: i64, fields: Value) -> Value {
        let mut inner = self.lock();
        inner.next_message += 1;
        let mut message = json!({
            "message_id": inner.next_message, "date": 1_795_000_000,
            "from": { "id": person, "is_bot": false, "first_name": "Ana" },
            "chat": { "id": person, "type": "private", "first_name": "Ana" },
        });
        for (name, value) in fields.as_object().expect("fields") {
            message[name] = value.clone();
        }
        push(&mut inner, json!({ "message": message }))
    }

    /// Somebody presses a button.
    pub(crate) fn presses(&self, person: i64, data: &str) -> Value {
        let mut inner = self.lock();
        inner.next_message += 1;
        let id = format!("press{}", inner.next_message);
        push(
            &mut inner,
            json!({ "callback_query": {
                "id": id, "from": { "id": person, "is_bot": false, "first_name": "Ana" }, "chat_instance": "-91", "data": data,
                "message": { "message_id": 1, "date": 1, "chat": { "id": person, "type": "private" } },
            }}),
        )
    }

    /// An update as it is comes once more.
    pub(crate) fn again(&self, update: Value) {
        self.lock().updates.push_back(update);
    }

    /// Keeps a file to be fetched.
    pub(crate) fn keeps(&self, id: &str, bytes: &[u8]) {
        self.lock().files.insert(id.to_string(), bytes.to_vec());
    }

    /// The next calls of a method are refused so.
    pub(crate) fn refuses(&self, method: &str, status: u16, body: Value) {
        let mut inner = self.lock();
        inner
            .refusals
            .entry(method.to_string())
            .or_default()
            .push_back((status, body));
    }

    /// The next call of a method is carried out, and its answer is lost on the way.
    pub(crate) fn loses_answer(&self, method: &str) {
        self.lock().lost.push(method.to_string());
    }

    /// Calls of a method are taken and never answered; of none, when none is named.
    pub(crate) fn hangs(&self, method: Option<&str>) {
        self.lock().hanging = method.map(str::to_string);
    }

    /// Somebody has set a webhook for the bot.
    pub(crate) fn sets_webhook(&self, url: &str) {
        self.lock().webhook = url.to_string();
    }

    /// After so many calls of a method more, one is refused so.
    pub(crate) fn refuses_after(&self, method: &str, calls: usize, status: u16, body: Value) {
        let mut inner = self.lock();
        let queue = inner.refusals.entry(method.to_string()).or_default();
        queue.extend(std::iter::repeat_n((0, Value::Null), calls));
        queue.push_back((status, body));
    }

    /// Calls of a method so far.
    pub(crate) fn calls(&self, method: &str) -> Vec<Call> {
        self.lock()
            .calls
            .iter()
            .filter(|call| call.method == method)
            .cloned()
            .collect()
    }

    /// Words sent to a person so far, in order.
    pub(crate) fn told(&self, person: i64) -> Vec<String> {
        let to = |call: &Call| as_i64(&call.arguments["chat_id"]) == Some(person);
        let text = |call: Call| call.arguments["text"].as_str().unwrap_or_default().to_string();
        self.calls("sendMessage").into_iter().filter(to).map(text).collect()
    }

    /// Callers may be cut off in the middle from now on, or not any more.
    pub(crate) fn doubts(&self, doubting: bool) {
        self.lock().doubting = doubting;
    }

    /// No call is refused or lost any more.
    pub(crate) fn recovers(&self) {
        let mut inner = self.lock();
        inner.refusals.clear();
        inner.lost.clear();
    }

    /// Updates that were not left behind yet.
    pub(crate) fn pending(&self) -> usize {
        self.lock().updates.len()
    }
}

fn push(inner: &mut Inner, mut update: Value) -> Value {
    update["update_id"] = json!(inner.next_update);
    inner.next_update += 1;
    inner.updates.push_back(update.clone());
    update
}

fn as_i64(value: &Value) -> Option<i64> {
    value.as_i64().or_else(|| value.as_str()?.parse().ok())
}

async fn file(State(fake): State<FakeTelegram>, Path((bot, path)): Path<(String, String)>) -> Response {
    let id = path.rsplit('/').next().unwrap_or_default();
    match fake.lock().files.get(id) {
        Some(bytes) if bot == format!("bot{TOKEN}") => bytes.clone().into_response(),
        _ => StatusCode::NOT_FOUND.into_response(),
    }
}

async fn call(
    State(fake): State<FakeTelegram>,
    Path((bot, method)): Path<(String, String)>,
    headers: HeaderMap,
    body: Bytes,
) -> Response {
    if bot != format!("bot{TOKEN}") {
        return refusal(
            401,
            &json!({ "ok": false, "error_code": 401, "description": "Unauthorized" }),
        );
    }
    let arguments = arguments(&headers, &body);
    let hangs = fake.lock().hanging.as_ref() == Some(&method);
    if hangs {
        std::future::pending::<()>().await;
    }
    let lost;
    {
        let mut inner = fake.lock();
        match inner.refusals.get_mut(&method).and_then(VecDeque::pop_front) {
            // A call that goes through before one that does not.
            None | Some((0, _)) => {}
            Some((status, body)) => return refusal(status, &body),
        }
        let at = inner.lost.iter().position(|lost| *lost == method);
        lost = at.map(|at| inner.lost.remove(at)).is_some();
        let doubtful = lost || inner.doubting;
        inner.calls.push(Call {
            method: method.clone(),
            arguments: arguments.clone(),
            doubtful,
        });
    }
    if lost {
        return refusal(
            502,
            &json!({ "ok": false, "error_code": 502, "description": "Bad Gateway" }),
        );
    }
    match method.as_str() {
        "getUpdates" => get_updates(&fake, &arguments).await,
        _ => match result(&mut fake.lock(), &method, &arguments) {
            Some(Value::Null) => refusal(
                400,
                &json!({ "ok": false, "error_code": 400, "description": "Bad Request: invalid file_id" }),
            ),
            Some(result) => axum::Json(json!({ "ok": true, "result": result })).into_response(),
            None => refusal(
                404,
                &json!({ "ok": false, "error_code": 404, "description": "Not Found" }),
            ),
        },
    }
}

fn refusal(status: u16, body: &Value) -> Response {
    (
        StatusCode::from_u16(status).expect("a status"),
        axum::Json(body.clone()),
    )
        .into_response()
}

fn conflict(why: &str) -> Response {
    refusal(
        409,
        &json!({ "ok": false, "error_code": 409, "description": format!("Conflict: {why}") }),
    )
}

async fn get_updates(fake: &FakeTelegram, arguments: &Value) -> Response {
    {
        let mut inner = fake.lock();
        if !inner.webhook.is_empty() {
            return conflict(
                "can't use getUpdates method while webhook is active; use deleteWebhook to delete the webhook first",
            );
        }
        if inner.polling {
            return conflict("terminated by other getUpdates request; make sure that only one bot instance is running");
        }
        inner.polling = true;
        if let Some(offset) = as_i64(&arguments["offset"]) {
            inner
                .updates
                .retain(|update| update["update_id"].as_i64().is_some_and(|id| id >= offset));
        }
    }
    let wait = as_i64(&arguments["timeout"]).unwrap_or(0).clamp(0, 60);
    for _ in 0..wait * 50 {
        if !fake.lock().updates.is_empty() {
            break;
        }
        tokio::time::sleep(Duration::from_millis(20)).await;
    }
    let mut inner = fake.lock();
    inner.polling = false;
    let limit = as_i64(&arguments["limit"]).unwrap_or(100).clamp(1, 100);
    let list: Vec<Value> = inner
        .updates
        .iter()
        .take(usize::try_from(limit).expect("small"))
        .cloned()
        .collect();
    axum::Json(json!({ "ok": true, "result": list })).into_response()
}

fn result(inner: &mut Inner, method: &str, arguments: &Value) -> Option<Value> {
    Some(match method {
        "getMe" => json!({
            "id": 123_456, "is_bot": true, "first_name": "Yard", "username": "yard_bot", "can_join_groups": false,
            "can_read_all_group_messages": false, "supports_inline_queries": false,
        }),
        "setWebhook" => {
            inner.webhook = arguments["url"].as_str().unwrap_or_default().to_string();
            json!(true)
        }
        "deleteWebhook" => {
            inner.webhook.clear();
            json!(true)
        }
        "getWebhookInfo" => json!({
            "url": inner.webhook, "has_custom_certificate": false, "pending_update_count": inner.updates.len(),
        }),
        "getFile" => {
            let id = arguments["file_id"].as_str().unwrap_or_default().to_string();
            let Some(size) = inner.files.get(&id).map(Vec::len) else {
                return Some(Value::Null);
            };
            json!({ "file_id": id, "file_unique_id": format!("u{id}"), "file_size": size, "file_path": format!("voice/{id}") })
        }
        "sendMessage" | "sendPhoto" | "sendDocument" => {
            inner.next_message += 1;
            let chat = as_i64(&arguments["chat_id"])?;
            json!({
                "message_id": inner.next_message, "date": 1_795_000_000, "chat": { "id": chat, "type": "private" },
                "text": arguments["text"].as_str().unwrap_or_default(),
                "from": { "id": 123_456, "is_bot": true, "first_name": "Yard", "username": "yard_bot" },
            })
        }
        "sendChatAction" | "answerCallbackQuery" => json!(true),
        _ => return None,
    })
}

/// The arguments of a call, in whatever way they came.
fn arguments(headers: &HeaderMap, body: &[u8]) -> Value {
    let kind = headers
        .get("content-type")
        .and_then(|kind| kind.to_str().ok())
        .unwrap_or_default();
    if kind.starts_with("application/json") {
        return serde_json::from_slice(body).unwrap_or_default();
    }
    let mut arguments = json!({});
    if let Some(boundary) = kind.split("boundary=").nth(1) {
        for (name, value) in parts(boundary.trim_matches('"'), body) {
            arguments[name] = json!(value);
        }
        return arguments;
    }
    let query = String::from_utf8_lossy(body);
    let url: Option<reqwest::Url> = format!("http://form/?{query}").parse().ok();
    for (name, value) in url.iter().flat_map(reqwest::Url::query_pairs) {
        arguments[name.as_ref()] = json!(value);
    }
    arguments
}

/// Name and text of each part; of a file, its length.
fn parts(boundary: &str, body: &[u8]) -> Vec<(String, String)> {
    let text = String::from_utf8_lossy(body).into_owned();
    text.split(&format!("--{boundary}"))
        .filter_map(|part| {
            let (head, value) = part.split_once("\r\n\r\n")?;
            let name = head.split("name=\"").nth(1)?.split('"').next()?.to_string();
            let value = value.strip_suffix("\r\n").unwrap_or(value);
            let is_file = head.contains("filename=");
            Some((
                name,
                if is_file {
                    format!("file of {} letters", value.chars().count())
                } else {
                    value.to_string()
                },
            ))
        })
        .collect()
}
