//! Telegram's Bot API: long polling or webhook, and the requests that answer.
//!
//! Sources: core.telegram.org/bots/api (read 2026-11), and for delivery rules of webhooks the published server,
//! github.com/tdlib/telegram-bot-api. Only private chats are heard. Words go out without `parse_mode`, so that nothing in
//! them can be taken for markup. An update that makes no sense is passed over: refusing it would hold back that chat.

use http::HeaderMap;
use serde::Deserialize;
use serde_json::{Value, json};

use super::{
    Body, Channel, Hidden, Incoming, MEDIA_BYTES_MAX, MediaRef, Part, Request, Response, Saying, Tap, Unsent, Verdict,
    kind_of_type,
    lines::{Fetching, Line, MediaHost, Sending},
};
use crate::{conversation::MediaKind, units::Timestamp};

/// Where the service is, unless settings say otherwise.
pub const API: &str = "https://api.telegram.org";

/// The header that a webhook's calls carry.
pub const SECRET_HEADER: &str = "x-telegram-bot-api-secret-token";

/// Largest webhook body taken, in bytes.
pub const BODY_BYTES_MAX: usize = 1024 * 1024;

/// How long one poll waits for news, in seconds.
pub const POLL_WAIT_S: u32 = 50;

/// What is asked for; everything else stays there.
const UPDATES: [&str; 3] = ["message", "edited_message", "callback_query"];

/// Buttons side by side when their labels are short.
const TAPS_A_ROW: usize = 3;

/// Letters on a button that may stand beside others.
const SHORT_LABEL: usize = 12;

/// A bot.
#[derive(Debug, Clone)]
pub struct Telegram {
    token: Hidden,
    api: String,
    webhook: Option<Hidden>,
}

/// Why updates could not be had or read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Error {
    /// A webhook call without our secret.
    #[error("the secret token is missing or wrong")]
    Secret,
    /// The bytes are not an update.
    #[error("that is not an update")]
    NotAnUpdate,
    /// Somebody else is fetching this bot's updates, or a webhook is set.
    #[error("{0}")]
    Conflict(String),
    /// The token is not good.
    #[error("Telegram does not know this token; get it from @BotFather and put it into telegram_token or its file")]
    Token,
    /// Not now.
    #[error("Telegram answered {status}")]
    Later {
        /// Its status.
        status: u16,
        /// The wait that it asks for, in seconds.
        asked_s: Option<i64>,
    },
}

/// What a poll brought.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Updates {
    /// Messages, in order, each with the offset that leaves it behind.
    pub incoming: Vec<(i64, Incoming)>,
    /// The offset that leaves all of them behind.
    pub next: Option<i64>,
}

impl Telegram {
    /// A bot by its token; with a webhook secret, Telegram calls us, without one we ask.
    pub fn new(token: Hidden, api: Option<&str>, webhook: Option<Hidden>) -> Telegram {
        Telegram {
            token,
            api: api.unwrap_or(API).trim_end_matches('/').to_string(),
            webhook,
        }
    }

    /// Whether a secret is one that Telegram takes: 1 to 256 of letters, digits, `_` and `-`.
    pub fn is_webhook_secret(secret: &str) -> bool {
        (1..=256).contains(&secret.len())
            && secret
                .bytes()
                .all(|b| b.is_ascii_alphanumeric() || b == b'_' || b == b'-')
    }

    /// Whether a text has the form of a token: a number, a colon, and the secret part.
    pub fn is_token(token: &str) -> bool {
        token.split_once(':').is_some_and(|(bot, secret)| {
            !bot.is_empty()
                && bot.bytes().all(|b| b.is_ascii_digit())
                && !secret.is_empty()
                && secret
                    .bytes()
                    .all(|b| b.is_ascii_alphanumeric() || b == b'_' || b == b'-')
        })
    }

    /// Whether Telegram calls us.
    pub fn is_webhook(&self) -> bool {
        self.webhook.is_some()
    }

    /// The bot's own number: message numbers are counted for each bot.
    fn bot(&self) -> &str {
        self.token.reveal().split(':').next().unwrap_or_default()
    }

    fn call(&self, method: &'static str, arguments: &Value) -> Request {
        Request::post(method, self.url(method), Body::Json(arguments.to_string()))
    }

    fn url(&self, method: &str) -> String {
        format!("{}/bot{}/{method}", self.api, self.token.reveal())
    }

    /// Asks for news after an offset.
    pub fn get_updates(&self, offset: Option<i64>, wait_s: u32) -> Request {
        let mut arguments = json!({ "timeout": wait_s, "allowed_updates": UPDATES });
        if let Some(offset) = offset {
            arguments["offset"] = json!(offset);
        }
        self.call("getUpdates", &arguments)
    }

    /// Has Telegram call an address from now on.
    pub fn set_webhook(&self, url: &str) -> Option<Request> {
        let secret = self.webhook.as_ref()?;
        Some(self.call(
            "setWebhook",
            &json!({
                "url": url, "secret_token": secret.reveal(), "max_connections": 4, "allowed_updates": UPDATES,
                "drop_pending_updates": false,
            }),
        ))
    }

    /// Has Telegram call no address, so that news can be asked for; what waits stays.
    pub fn delete_webhook(&self) -> Request {
        self.call("deleteWebhook", &json!({ "drop_pending_updates": false }))
    }

    /// Asks what Telegram has as webhook, and how it fares.
    pub fn webhook_info(&self) -> Request {
        self.call("getWebhookInfo", &json!({}))
    }

    /// The news in an answer to [`Telegram::get_updates`].
    ///
    /// # Errors
    /// When there is somebody else, the token is not good, or the service is not well.
    pub fn read_updates(&self, response: &Response) -> Result<Updates, Error> {
        if response.status != 200 {
            return Err(poll_error(response));
        }
        let body = response.json().ok_or(Error::NotAnUpdate)?;
        let list = body["result"].as_array().ok_or(Error::NotAnUpdate)?;
        let mut updates = Updates::default();
        for update in list {
            let Some(id) = update["update_id"].as_i64() else {
                continue;
            };
            updates.next = Some(
                updates
                    .next
                    .map_or(id.saturating_add(1), |next| next.max(id.saturating_add(1))),
            );
            if let Some(incoming) = self.read(update) {
                updates.incoming.push((id.saturating_add(1), incoming));
            }
        }
        Ok(updates)
    }

    /// Checks a webhook call, before its body is looked at.
    ///
    /// # Errors
    /// When the secret is missing or wrong, or no webhook is wanted.
    pub fn verify(&self, headers: &HeaderMap) -> Result<(), Error> {
        let given = headers.get(SECRET_HEADER).and_then(|value| value.to_str().ok());
        match (&self.webhook, given) {
            (Some(secret), Some(given)) if secret.is(given) => Ok(()),
            _ => Err(Error::Secret),
        }
    }

    /// Reads the body of a call that was checked; `None` for what concerns nobody.
    ///
    /// # Errors
    /// When it is no update.
    pub fn read_call(&self, body: &[u8]) -> Result<Option<Incoming>, Error> {
        let update: Value = serde_json::from_slice(body).map_err(|_| Error::NotAnUpdate)?;
        update["update_id"].as_i64().ok_or(Error::NotAnUpdate)?;
        Ok(self.read(&update))
    }

    fn read(&self, update: &Value) -> Option<Incoming> {
        if let Some(press) = update.get("callback_query") {
            return self.read_press(press);
        }
        let (message, edited) = match (update.get("message"), update.get("edited_message")) {
            (Some(message), _) => (message, false),
            (None, Some(message)) => (message, true),
            (None, None) => return None,
        };
        let message: Message = serde_json::from_value(message.clone()).ok()?;
        let from = message.from.as_ref().filter(|from| !from.is_bot)?;
        if message.chat.kind != "private" {
            return None;
        }
        let id = format!("{}/{}/{}", self.bot(), message.chat.id, message.message_id);
        let text = message.words();
        let (external_id, saying) = if edited {
            let at = message.edit_date.unwrap_or_default();
            (format!("{id}/{at}"), Saying::Edited(text))
        } else {
            (id, Saying::Text(text))
        };
        Some(Incoming {
            channel: Channel::Telegram,
            external_id,
            address: from.id.to_string(),
            room: message.chat.id.to_string(),
            saying,
            media: message.media(),
            sent_at: message.date.and_then(Timestamp::from_unix_seconds),
        })
    }

    fn read_press(&self, press: &Value) -> Option<Incoming> {
        let press: Press = serde_json::from_value(press.clone()).ok()?;
        let chat = press.message.map_or(press.from.id, |message| message.chat.id);
        Some(Incoming {
            channel: Channel::Telegram,
            external_id: format!("{}/q/{}", self.bot(), press.id),
            address: press.from.id.to_string(),
            room: chat.to_string(),
            saying: Saying::Pressed {
                data: press.data.unwrap_or_default(),
                callback: Some(press.id),
            },
            media: Vec::new(),
            // Of a press only the message under which the button stands has a time.
            sent_at: None,
        })
    }
}

fn poll_error(response: &Response) -> Error {
    let body = response.json().unwrap_or_default();
    match response.status {
        401 | 404 => Error::Token,
        409 => Error::Conflict(body["description"].as_str().unwrap_or("Conflict").to_string()),
        status => Error::Later {
            status,
            asked_s: asked(&body).or(response.retry_after_s),
        },
    }
}

fn asked(body: &Value) -> Option<i64> {
    body["parameters"]["retry_after"].as_i64()
}

#[derive(Deserialize)]
struct Message {
    message_id: i64,
    from: Option<User>,
    chat: Chat,
    date: Option<i64>,
    edit_date: Option<i64>,
    text: Option<String>,
    caption: Option<String>,
    voice: Option<File>,
    audio: Option<File>,
    video_note: Option<File>,
    document: Option<File>,
    #[serde(default)]
    photo: Vec<File>,
    contact: Option<Contact>,
    location: Option<Location>,
}

#[derive(Deserialize)]
struct User {
    id: i64,
    #[serde(default)]
    is_bot: bool,
}

#[derive(Deserialize)]
struct Chat {
    id: i64,
    #[serde(rename = "type")]
    kind: String,
}

#[derive(Deserialize)]
struct File {
    file_id: String,
    mime_type: Option<String>,
    file_name: Option<String>,
    file_size: Option<i64>,
}

#[derive(Deserialize)]
struct Contact {
    phone_number: String,
    first_name: String,
    last_name: Option<String>,
}

#[derive(Deserialize)]
struct Location {
    latitude: f64,
    longitude: f64,
}

#[derive(Deserialize)]
struct Press {
    id: String,
    from: User,
    message: Option<PressedMessage>,
    data: Option<String>,
}

#[derive(Deserialize)]
struct PressedMessage {
    chat: PressedChat,
}

#[derive(Deserialize)]
struct PressedChat {
    id: i64,
}

impl Message {
    /// The words. A card or a place that is sent becomes a note, as if it had been typed.
    fn words(&self) -> String {
        if let Some(text) = self.text.as_ref().or(self.caption.as_ref()) {
            return text.clone();
        }
        if let Some(contact) = &self.contact {
            let name = [Some(&contact.first_name), contact.last_name.as_ref()];
            let name: Vec<&str> = name.into_iter().flatten().map(String::as_str).collect();
            return format!("note contact {}, {}", name.join(" "), contact.phone_number);
        }
        self.location.as_ref().map_or_else(String::new, |at| {
            format!("note location {:.5}, {:.5}", at.latitude, at.longitude)
        })
    }

    fn media(&self) -> Vec<MediaRef> {
        let mut media = Vec::new();
        for file in [&self.voice, &self.audio, &self.video_note].into_iter().flatten() {
            media.push(file.media(MediaKind::Voice, "audio/ogg"));
        }
        // The sizes of one picture: the largest that can be had.
        let fits = |file: &&File| {
            file.file_size
                .is_none_or(|size| size <= i64::try_from(MEDIA_BYTES_MAX).unwrap_or(i64::MAX))
        };
        if let Some(file) = self.photo.iter().filter(fits).max_by_key(|file| file.file_size) {
            media.push(file.media(MediaKind::Photo, "image/jpeg"));
        }
        if let Some(file) = &self.document {
            let media_type = file.mime_type.as_deref().unwrap_or("application/octet-stream");
            media.push(file.media(kind_of_type(media_type), media_type));
        }
        media
    }
}

impl File {
    fn media(&self, kind: MediaKind, otherwise: &str) -> MediaRef {
        MediaRef {
            kind,
            media_type: self.mime_type.as_deref().unwrap_or(otherwise).to_string(),
            name: self.file_name.clone(),
            source: self.file_id.clone(),
        }
    }
}

impl Line for Telegram {
    fn channel(&self) -> Channel {
        Channel::Telegram
    }

    fn send(&self, room: &str, unsent: &Unsent, _key: &str) -> Sending {
        Sending::Once(match unsent {
            Unsent::Text { text, taps } => {
                let mut arguments = json!({
                    "chat_id": chat_id(room), "text": text, "link_preview_options": { "is_disabled": true },
                });
                if !taps.is_empty() {
                    arguments["reply_markup"] = json!({ "inline_keyboard": keyboard(taps) });
                }
                self.call("sendMessage", &arguments)
            }
            Unsent::File {
                media_type,
                name,
                bytes,
            } => {
                // A photo is scaled down for the phone; what is no photo, or too large for one, goes as it is.
                let photo = matches!(media_type.as_str(), "image/png" | "image/jpeg") && bytes.len() < 10_000_000;
                let (method, field) = if photo {
                    ("sendPhoto", "photo")
                } else {
                    ("sendDocument", "document")
                };
                let parts = vec![
                    Part::text("chat_id", room),
                    Part {
                        field,
                        file: Some((name.clone(), media_type.clone())),
                        bytes: bytes.clone(),
                    },
                ];
                Request::post(method, self.url(method), Body::Multipart(parts))
            }
        })
    }

    fn judge(&self, response: &Response) -> Verdict {
        let body = response.json().unwrap_or_default();
        if response.status == 200 && body["ok"] == json!(true) {
            return Verdict::Sent {
                outside_id: body["result"]["message_id"].as_i64().map(|id| id.to_string()),
            };
        }
        if let Some(room) = body["parameters"]["migrate_to_chat_id"].as_i64() {
            return Verdict::Moved { room: room.to_string() };
        }
        let said = body["description"].as_str().unwrap_or("no reason given");
        let why = format!("Telegram {}: {said}", response.status);
        match response.status {
            // The bot's own queue is meant, not this chat alone.
            429 => Verdict::Later {
                asked_s: asked(&body).or(response.retry_after_s),
                all: true,
                why,
            },
            // The token may have been changed; the letters are good as soon as it is set again.
            401 | 404 => Verdict::Later {
                asked_s: None,
                all: true,
                why,
            },
            200 => Verdict::Later {
                asked_s: None,
                all: false,
                why,
            },
            _ => Verdict::of_status(response, why),
        }
    }

    fn fetch(&self, media: &MediaRef) -> Fetching {
        Fetching::Ask(self.call("getFile", &json!({ "file_id": media.source })))
    }

    fn located(&self, _media: &MediaRef, answer: &Response) -> Result<Request, Verdict> {
        let body = answer.json().unwrap_or_default();
        let path = body["result"]["file_path"].as_str();
        match path.filter(|path| is_plain_path(path)) {
            Some(path) => Ok(Request::get(
                "file",
                format!("{}/file/bot{}/{path}", self.api, self.token.reveal()),
            )),
            None => Err(match self.judge(answer) {
                Verdict::Sent { .. } => Verdict::Never {
                    why: "Telegram names no file".into(),
                },
                verdict => verdict,
            }),
        }
    }

    fn media_hosts(&self) -> Vec<MediaHost> {
        vec![if self.api == API {
            MediaHost::public("api.telegram.org")
        } else {
            MediaHost::chosen(&self.api)
        }]
    }

    fn typing(&self, room: &str) -> Option<Request> {
        Some(self.call(
            "sendChatAction",
            &json!({ "chat_id": chat_id(room), "action": "typing" }),
        ))
    }

    fn pressed(&self, callback: &str) -> Option<Request> {
        Some(self.call("answerCallbackQuery", &json!({ "callback_query_id": callback })))
    }

    fn probe(&self) -> Request {
        self.call("getMe", &json!({}))
    }

    fn judge_probe(&self, response: &Response) -> Result<String, String> {
        let body = response.json().unwrap_or_default();
        match (response.status, body["result"]["username"].as_str()) {
            (200, Some(name)) => Ok(format!("the token is good: this is @{name}")),
            (401 | 404, _) => Err(Error::Token.to_string()),
            (status, _) => Err(format!("Telegram answered {status}")),
        }
    }
}

/// A chat's number as a number, which is what the service documents.
fn chat_id(room: &str) -> Value {
    room.parse::<i64>().map_or_else(|_| json!(room), |id| json!(id))
}

fn keyboard(taps: &[Tap]) -> Vec<Vec<Value>> {
    let short = taps.iter().all(|tap| tap.label.chars().count() <= SHORT_LABEL);
    let a_row = if short { TAPS_A_ROW } else { 1 };
    let button = |tap: &Tap| json!({ "text": tap.label, "callback_data": tap.data });
    taps.chunks(a_row).map(|row| row.iter().map(button).collect()).collect()
}

/// Whether a path stays inside the folder that it is put behind.
fn is_plain_path(path: &str) -> bool {
    !path.is_empty()
        && !path
            .split('/')
            .any(|step| step.is_empty() || step == "." || step == "..")
        && path
            .bytes()
            .all(|b| b.is_ascii_alphanumeric() || matches!(b, b'/' | b'.' | b'_' | b'-'))
}

#[cfg(test)]
mod tests;
