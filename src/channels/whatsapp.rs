//! WhatsApp Cloud: the handshake, signed batches, media, and the requests that answer.
//!
//! Sources: developers.facebook.com, WhatsApp Cloud API webhooks and messages (read 2026-11). A batch may hold many messages
//! of many people; statuses come by the same way. A person is known by their number where one is given, else by the id that
//! the service has for them. Free words go out for 24 hours after the person last wrote; later ones are held back until they
//! write again, and a template that the service has approved can ask them to.

use hmac::{Hmac, KeyInit, Mac};
use http::HeaderMap;
use serde_json::{Value, json};
use sha2::Sha256;
use subtle::ConstantTimeEq;

use super::{
    Body, Channel, Hidden, Incoming, MediaRef, Part, Request, Response, Saying, Tap, Unsent, Verdict, WHEN_THEY_WRITE,
    kind_of_type,
    lines::{Fetching, Line, MediaHost, Sending},
};
use crate::{conversation::MediaKind, units::Timestamp};

/// Where the service is, unless settings say otherwise; versions live for two years.
pub const API: &str = "https://graph.facebook.com/v26.0";

/// The header that carries the signature.
pub const SIGNATURE_HEADER: &str = "x-hub-signature-256";

/// Largest webhook body taken, in bytes, as documented for a batch.
pub const BODY_BYTES_MAX: usize = 3 * 1024 * 1024;

/// Longest challenge that is given back, in bytes.
const CHALLENGE_BYTES_MAX: usize = 128;

/// Buttons under a message; more of them are a list.
const BUTTONS_MAX: usize = 3;

/// The service's code for words that come too late.
const TOO_LATE: i64 = 131_047;

/// Seconds after a person wrote in which free words go out, less what a message may have been on its way.
const OPEN_S: i64 = 24 * 3600 - 60;

/// A message with fixed words that the service has approved.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Template {
    /// Its name there.
    pub name: String,
    /// The code of its language, such as `en_US`.
    pub language: String,
}

impl Template {
    /// Reads `yard_news en_US`.
    pub fn read(text: &str) -> Option<Template> {
        let (name, language) = text.trim().split_once(char::is_whitespace)?;
        let language = language.trim();
        let plain = |text: &str| {
            let fits = |b: u8| b.is_ascii_alphanumeric() || b == b'_';
            (1..=512).contains(&text.len()) && text.bytes().all(fits)
        };
        // A language and perhaps a country: `en`, `fil`, `en_US`.
        let (lower, upper) = language.split_once('_').unwrap_or((language, "US"));
        let is_language = (2..=3).contains(&lower.len())
            && lower.bytes().all(|b| b.is_ascii_lowercase())
            && upper.len() == 2
            && upper.bytes().all(|b| b.is_ascii_uppercase());
        (plain(name) && is_language).then(|| Template {
            name: name.to_string(),
            language: language.to_string(),
        })
    }
}

/// What the service needs to know of us.
#[derive(Debug, Clone)]
pub struct Whatsapp {
    /// The token that opens the service.
    pub token: Hidden,
    /// The app's secret: it keys the signature.
    pub app_secret: Hidden,
    /// What the handshake has to carry.
    pub verify_token: Hidden,
    /// The id of our number.
    pub phone_id: String,
    /// Where the service is, with its version.
    pub api: String,
    /// What asks a person to write when free words do not go out any more.
    pub template: Option<Template>,
}

/// Why a call is refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum Error {
    /// No signature, or one that does not fit; or a handshake without our token.
    #[error("the signature or token is missing or does not fit")]
    Signature,
    /// The body is no batch of this service.
    #[error("that is not a batch of messages")]
    NotABatch,
}

/// What became of a message that we sent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Status {
    /// The service's id of it.
    pub outside_id: String,
    /// Why it did not arrive.
    pub failure: String,
}

/// What a batch holds for us.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Batch {
    /// Messages, in order.
    pub incoming: Vec<Incoming>,
    /// Messages of ours that did not arrive.
    pub failed: Vec<Status>,
}

/// The signature of a body, in hexadecimal: HMAC-SHA256 under the app's secret.
pub fn signature(body: &[u8], app_secret: &Hidden) -> String {
    let mut mac = Hmac::<Sha256>::new_from_slice(app_secret.reveal().as_bytes()).expect("a key of any length will do");
    mac.update(body);
    mac.finalize()
        .into_bytes()
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect()
}

impl Whatsapp {
    /// The answer to the handshake: the challenge, when the token is ours.
    ///
    /// # Errors
    /// When it is not, or the challenge is not a plain one.
    pub fn shake_hands(&self, query: &str) -> Result<String, Error> {
        let fields: Vec<(String, String)> = form_urlencoded::parse(query.as_bytes()).into_owned().collect();
        let field = |name: &str| {
            fields
                .iter()
                .find(|(key, _)| key == name)
                .map_or("", |(_, value)| value.as_str())
        };
        let challenge = field("hub.challenge");
        let plain = (1..=CHALLENGE_BYTES_MAX).contains(&challenge.len())
            && challenge
                .bytes()
                .all(|b| b.is_ascii_alphanumeric() || b == b'_' || b == b'-');
        if self.verify_token.is(field("hub.verify_token")) && field("hub.mode") == "subscribe" && plain {
            Ok(challenge.to_string())
        } else {
            Err(Error::Signature)
        }
    }

    /// Checks a call, on the bytes as they came.
    ///
    /// # Errors
    /// When the signature is missing or does not fit.
    pub fn verify(&self, headers: &HeaderMap, body: &[u8]) -> Result<(), Error> {
        let given = headers.get(SIGNATURE_HEADER).and_then(|value| value.to_str().ok());
        let given = given
            .and_then(|given| given.strip_prefix("sha256="))
            .ok_or(Error::Signature)?;
        let wanted = signature(body, &self.app_secret);
        if bool::from(wanted.as_bytes().ct_eq(given.to_ascii_lowercase().as_bytes())) {
            Ok(())
        } else {
            Err(Error::Signature)
        }
    }

    /// Reads a body that was checked. What is of another kind, or for another number of the same app, is passed over.
    ///
    /// # Errors
    /// When it is no batch of this service.
    pub fn read(&self, body: &[u8]) -> Result<Batch, Error> {
        let body: Value = serde_json::from_slice(body).map_err(|_| Error::NotABatch)?;
        if body["object"] != "whatsapp_business_account" {
            return Err(Error::NotABatch);
        }
        let mut batch = Batch::default();
        for change in list(&body["entry"]).iter().flat_map(|entry| list(&entry["changes"])) {
            let value = &change["value"];
            let ours = value["metadata"]["phone_number_id"]
                .as_str()
                .is_none_or(|id| id == self.phone_id);
            if change["field"] != "messages" || !ours {
                continue;
            }
            let contacts = list(&value["contacts"]);
            batch.incoming.extend(
                list(&value["messages"])
                    .iter()
                    .filter_map(|message| read_message(message, contacts)),
            );
            batch
                .failed
                .extend(list(&value["statuses"]).iter().filter_map(read_status));
        }
        Ok(batch)
    }

    fn messages(&self, what: &'static str, room: &str, mut fields: Value) -> Request {
        fields["messaging_product"] = json!("whatsapp");
        fields["recipient_type"] = json!("individual");
        // A number, or the service's own id where a person shows none.
        let to = if room.bytes().all(|b| b.is_ascii_digit()) {
            "to"
        } else {
            "recipient"
        };
        fields[to] = json!(room);
        self.authorized(Request::post(
            what,
            format!("{}/{}/messages", self.api, self.phone_id),
            Body::Json(fields.to_string()),
        ))
    }

    fn authorized(&self, request: Request) -> Request {
        request.header("authorization", format!("Bearer {}", self.token.reveal()))
    }
}

fn list(value: &Value) -> &[Value] {
    value.as_array().map_or(&[], Vec::as_slice)
}

fn read_status(status: &Value) -> Option<Status> {
    if status["status"] != "failed" {
        return None;
    }
    let error = &status["errors"][0];
    let said = error["title"]
        .as_str()
        .or(error["message"].as_str())
        .unwrap_or("no reason given");
    Some(Status {
        outside_id: status["id"].as_str()?.to_string(),
        failure: match error["code"].as_i64() {
            Some(TOO_LATE) => WHEN_THEY_WRITE.to_string(),
            Some(code) => format!("WhatsApp {code}: {said}"),
            None => format!("WhatsApp: {said}"),
        },
    })
}

fn read_message(message: &Value, contacts: &[Value]) -> Option<Incoming> {
    let id = message["id"].as_str()?;
    // The number may be left out; then there is the service's own id.
    let address = match message["from"].as_str().filter(|from| !from.is_empty()) {
        Some(number) => number,
        None => message["from_user_id"]
            .as_str()
            .or_else(|| contacts.first()?["user_id"].as_str())?,
    };
    let kind = message["type"].as_str().unwrap_or_default();
    let media = read_media(kind, &message[kind]);
    let text = |text: &Value| Saying::Text(text.as_str().unwrap_or_default().to_string());
    let saying = match kind {
        "text" => text(&message["text"]["body"]),
        "interactive" => {
            let reply = &message["interactive"][message["interactive"]["type"].as_str().unwrap_or_default()];
            Saying::Pressed {
                data: reply["id"].as_str().unwrap_or_default().to_string(),
                callback: None,
            }
        }
        "contacts" => Saying::Text(card(&message["contacts"][0])),
        "location" => match (
            message["location"]["latitude"].as_f64(),
            message["location"]["longitude"].as_f64(),
        ) {
            (Some(latitude), Some(longitude)) => Saying::Text(format!("note location {latitude:.5}, {longitude:.5}")),
            _ => return None,
        },
        // A reaction says nothing that the book could use.
        "reaction" | "system" => return None,
        _ => text(&message[kind]["caption"]),
    };
    Some(Incoming {
        channel: Channel::Whatsapp,
        external_id: id.to_string(),
        address: address.to_string(),
        room: address.to_string(),
        saying,
        media,
        sent_at: message["timestamp"]
            .as_str()
            .and_then(|seconds| Timestamp::from_unix_seconds(seconds.parse().ok()?)),
    })
}

fn read_media(kind: &str, object: &Value) -> Vec<MediaRef> {
    if !matches!(kind, "audio" | "voice" | "image" | "document" | "video" | "sticker") {
        return Vec::new();
    }
    let media_type = object["mime_type"].as_str().unwrap_or("application/octet-stream");
    let plain = |id: &&str| {
        id.bytes()
            .all(|b| b.is_ascii_alphanumeric() || matches!(b, b'_' | b'-'))
            && !id.is_empty()
    };
    let Some(id) = object["id"].as_str().filter(plain) else {
        return Vec::new();
    };
    vec![MediaRef {
        kind: match kind {
            "audio" | "voice" => MediaKind::Voice,
            _ => kind_of_type(media_type),
        },
        media_type: media_type.to_string(),
        name: object["filename"].as_str().map(str::to_string),
        source: id.to_string(),
    }]
}

fn card(contact: &Value) -> String {
    let name = contact["name"]["formatted_name"].as_str().unwrap_or("without a name");
    let phone = contact["phones"][0]["phone"].as_str().unwrap_or_default();
    format!("note contact {name}, {phone}")
}

/// Words with buttons, or with a list when there are more.
fn with_taps(text: &str, taps: &[Tap]) -> Value {
    let action = if taps.len() <= BUTTONS_MAX {
        let button = |tap: &Tap| json!({ "type": "reply", "reply": { "id": tap.data, "title": tap.label } });
        json!({ "buttons": taps.iter().map(button).collect::<Vec<_>>() })
    } else {
        let row = |tap: &Tap| json!({ "id": tap.data, "title": tap.label });
        json!({ "button": "Choose", "sections": [{ "rows": taps.iter().map(row).collect::<Vec<_>>() }] })
    };
    let kind = if taps.len() <= BUTTONS_MAX { "button" } else { "list" };
    json!({ "type": "interactive", "interactive": { "type": kind, "body": { "text": text }, "action": action } })
}

impl Line for Whatsapp {
    fn channel(&self) -> Channel {
        Channel::Whatsapp
    }

    fn send(&self, room: &str, unsent: &Unsent, _key: &str) -> Sending {
        match unsent {
            Unsent::Text { text, taps } if taps.is_empty() => {
                let fields = json!({ "type": "text", "text": { "preview_url": false, "body": text } });
                Sending::Once(self.messages("send WhatsApp", room, fields))
            }
            Unsent::Text { text, taps } => Sending::Once(self.messages("send WhatsApp", room, with_taps(text, taps))),
            Unsent::File {
                media_type,
                name,
                bytes,
            } => {
                let parts = vec![
                    Part::text("messaging_product", "whatsapp"),
                    Part::text("type", media_type.clone()),
                    Part {
                        field: "file",
                        file: Some((name.clone(), media_type.clone())),
                        bytes: bytes.clone(),
                    },
                ];
                let url = format!("{}/{}/media", self.api, self.phone_id);
                Sending::Upload(self.authorized(Request::post("upload", url, Body::Multipart(parts))))
            }
        }
    }

    fn after_upload(&self, room: &str, unsent: &Unsent, _key: &str, uploaded: &Response) -> Result<Request, Verdict> {
        let body = uploaded.json().unwrap_or_default();
        let (Some(id), Unsent::File { media_type, name, .. }) = (body["id"].as_str(), unsent) else {
            return Err(self.judge(uploaded));
        };
        let fields = if matches!(media_type.as_str(), "image/png" | "image/jpeg") {
            json!({ "type": "image", "image": { "id": id } })
        } else {
            json!({ "type": "document", "document": { "id": id, "filename": name } })
        };
        Ok(self.messages("send WhatsApp", room, fields))
    }

    fn judge(&self, response: &Response) -> Verdict {
        let body = response.json().unwrap_or_default();
        if (200..=299).contains(&response.status) {
            return match body["messages"][0]["id"].as_str() {
                Some(id) => Verdict::Sent {
                    outside_id: Some(id.to_string()),
                },
                None => Verdict::Never {
                    why: "WhatsApp took it and gave no id".into(),
                },
            };
        }
        let said = body["error"]["message"].as_str().unwrap_or("no reason given");
        let why = format!("WhatsApp {}: {said}", response.status);
        match (response.status, body["error"]["code"].as_i64()) {
            (_, Some(TOO_LATE)) => Verdict::WhenTheyWrite,
            // Rates of the app, the number, and the pair (codes 4, 80007, 130429, 131056 of the service's list of errors).
            (_, Some(4 | 80007 | 130_429)) => Verdict::Later {
                asked_s: response.retry_after_s,
                all: true,
                why,
            },
            (_, Some(131_056)) => Verdict::Later {
                asked_s: response.retry_after_s,
                all: false,
                why,
            },
            // The token ran out (code 190, whatever the status; from memory): the letters are good as soon as it is set anew.
            (401, _) | (_, Some(190)) => Verdict::Later {
                asked_s: None,
                all: true,
                why,
            },
            _ => Verdict::of_status(response, why),
        }
    }

    fn fetch(&self, media: &MediaRef) -> Fetching {
        let url = format!("{}/{}?phone_number_id={}", self.api, media.source, self.phone_id);
        Fetching::Ask(self.authorized(Request::get("media", url)))
    }

    fn located(&self, _media: &MediaRef, answer: &Response) -> Result<Request, Verdict> {
        let body = answer.json().unwrap_or_default();
        match body["url"].as_str() {
            Some(url) => Ok(self.authorized(Request::get("media file", url.to_string()))),
            None => Err(match self.judge(answer) {
                Verdict::Sent { .. } => Verdict::Never {
                    why: "WhatsApp names no file".into(),
                },
                verdict => verdict,
            }),
        }
    }

    fn media_hosts(&self) -> Vec<MediaHost> {
        if self.api.starts_with("https://graph.facebook.com/") {
            vec![
                MediaHost::public("graph.facebook.com"),
                MediaHost::public("lookaside.fbsbx.com"),
            ]
        } else {
            vec![MediaHost::chosen(&self.api)]
        }
    }

    fn open_s(&self) -> Option<i64> {
        Some(OPEN_S)
    }

    fn nudge(&self, room: &str) -> Option<Request> {
        let template = self.template.as_ref()?;
        let language = json!({ "code": template.language });
        let fields = json!({ "type": "template", "template": { "name": template.name, "language": language } });
        Some(self.messages("send WhatsApp template", room, fields))
    }

    fn probe(&self) -> Request {
        self.authorized(Request::get("number", format!("{}/{}", self.api, self.phone_id)))
    }

    fn judge_probe(&self, response: &Response) -> Result<String, String> {
        let body = response.json().unwrap_or_default();
        match (response.status, body["display_phone_number"].as_str()) {
            (200, Some(number)) => Ok(format!("the token is good: our number is {number}")),
            (400 | 401 | 403, _) => Err(format!(
                "WhatsApp refuses whatsapp_token or whatsapp_phone_id: {}",
                body["error"]["message"].as_str().unwrap_or("no reason given")
            )),
            (404, _) => Err(
                "there is nothing at whatsapp_api: it answered 404; it ends in a version, such as /v26.0".to_string(),
            ),
            (status, _) => Err(format!("WhatsApp answered {status}")),
        }
    }
}

#[cfg(test)]
mod tests {
    use http::{HeaderMap, HeaderValue};

    use super::{Batch, Error, Whatsapp, signature};
    use crate::{
        channels::{
            Body, Hidden, Response, Saying, Tap, Unsent, Verdict,
            lines::{Line, Sending},
        },
        conversation::MediaKind,
    };

    fn line() -> Whatsapp {
        Whatsapp {
            token: Hidden::new("EAAT"),
            app_secret: Hidden::new("app-secret"),
            verify_token: Hidden::new("vt"),
            phone_id: "106540352242922".into(),
            api: super::API.into(),
            template: super::Template::read("yard_news en_US"),
        }
    }

    fn read(name: &str) -> Batch {
        let body = match name {
            "voice" => include_str!("../../fixtures/channels/whatsapp/voice.json"),
            "batch" => include_str!("../../fixtures/channels/whatsapp/batch.json"),
            other => panic!("no fixture {other}"),
        };
        line().read(body.as_bytes()).expect("a batch")
    }

    /// The documented pair of the same scheme (docs.github.com, Validating webhook deliveries), and one that PyPI pywa 4.5.0
    /// accepts (run 2026-11-25).
    #[test]
    fn published_signatures_hold() {
        assert_eq!(
            signature(b"Hello, World!", &Hidden::new("It's a Secret to Everybody")),
            "757107ea0eb2509fc211221cce984b8a37570b6d7586c22c46f4379c8b043e17"
        );
        let body = br#"{"object":"whatsapp_business_account"}"#;
        let wanted = "0bf7374433906636bed1653bc7c64affb42fa5da9a39e251ab95c2e3a9c06923";
        assert_eq!(signature(body, &Hidden::new("app-secret")), wanted);
        let mut headers = HeaderMap::new();
        assert_eq!(line().verify(&headers, body), Err(Error::Signature));
        headers.insert(
            super::SIGNATURE_HEADER,
            HeaderValue::from_str(&format!("sha256={wanted}")).expect("a header value"),
        );
        assert_eq!(line().verify(&headers, body), Ok(()));
        let longer = [body.as_slice(), b" "].concat();
        assert_eq!(line().verify(&headers, &longer), Err(Error::Signature), "a space more");
    }

    #[test]
    fn the_handshake_gives_the_challenge_back() {
        let query = "hub.mode=subscribe&hub.challenge=1158201444&hub.verify_token=";
        assert_eq!(line().shake_hands(&format!("{query}vt")).as_deref(), Ok("1158201444"));
        for wrong in [
            format!("{query}vT"),
            query.to_string(),
            "hub.mode=unsubscribe&hub.challenge=1&hub.verify_token=vt".to_string(),
            "hub.mode=subscribe&hub.challenge=%3Cscript%3E&hub.verify_token=vt".to_string(),
            "hub.mode=subscribe&hub.verify_token=vt".to_string(),
            String::new(),
        ] {
            assert_eq!(line().shake_hands(&wrong), Err(Error::Signature), "{wrong}");
        }
    }

    #[test]
    fn recorded_batches_are_read_whole() {
        let voice = &read("voice").incoming[0];
        assert_eq!(voice.external_id, "wamid.HBgLMTU1NTU1NTAxMjM=");
        assert_eq!(voice.address, "15555550123");
        assert_eq!(voice.sent_at.map(|at| at.unix_seconds()), Some(1_795_000_000));
        assert_eq!(
            (voice.media[0].kind, voice.media[0].source.as_str()),
            (MediaKind::Voice, "1908647269898587")
        );
        let batch = read("batch");
        let said: Vec<&Saying> = batch.incoming.iter().map(|one| &one.saying).collect();
        let text = |text: &str| Saying::Text(text.into());
        assert_eq!(
            said,
            [
                &text("12 small crapes"),
                &Saying::Pressed {
                    data: "17:2".into(),
                    callback: None
                },
                &Saying::Pressed {
                    data: "17:4".into(),
                    callback: None
                },
                &text("gate at Alder Ct"),
                &text("note contact Wren Calder, +15555550124"),
                &text("note location 38.62701, -90.19941"),
                &text(""),
                &text("done 85 min"),
            ]
        );
        assert_eq!(batch.incoming[3].media[0].kind, MediaKind::Photo);
        assert_eq!(batch.incoming[7].address, "US.1234567890", "who shows no number");
        assert_eq!(batch.failed.len(), 1);
        assert!(batch.failed[0].failure == super::WHEN_THEY_WRITE);
        for nonsense in ["", "[]", "{}", "{\"object\":\"page\"}", "null"] {
            assert_eq!(line().read(nonsense.as_bytes()), Err(Error::NotABatch), "{nonsense}");
        }
    }

    #[test]
    fn three_choices_are_buttons_and_more_are_a_list() {
        let tap = |n: usize| Tap {
            label: format!("size {n}"),
            data: format!("17:{n}"),
        };
        let body = |count: usize, room: &str| {
            let unsent = Unsent::Text {
                text: "What size?".into(),
                taps: (1..=count).map(tap).collect(),
            };
            let Sending::Once(request) = line().send(room, &unsent, "k") else {
                panic!("words need no upload")
            };
            let Body::Json(body) = request.body else { panic!("JSON") };
            serde_json::from_str::<serde_json::Value>(&body).expect("JSON")
        };
        let three = body(3, "15555550123");
        assert_eq!(three["interactive"]["action"]["buttons"][2]["reply"]["id"], "17:3");
        assert_eq!(
            (&three["to"], three["interactive"]["type"].as_str()),
            (&"15555550123".into(), Some("button"))
        );
        let five = body(5, "US.1234567890");
        assert_eq!(five["interactive"]["action"]["sections"][0]["rows"][4]["id"], "17:5");
        assert_eq!(five["recipient"], "US.1234567890");
        assert_eq!(body(0, "15555550123")["text"]["body"], "What size?");
    }

    /// As the service's reference shows a template without parameters.
    #[test]
    fn a_template_asks_a_person_to_write() {
        let request = line().nudge("15555550123").expect("one is set");
        let Body::Json(body) = request.body else { panic!("JSON") };
        let body: serde_json::Value = serde_json::from_str(&body).expect("JSON");
        assert_eq!(
            body,
            serde_json::json!({"messaging_product": "whatsapp", "recipient_type": "individual", "to": "15555550123",
                "type": "template", "template": {"name": "yard_news", "language": {"code": "en_US"}}})
        );
        for wrong in ["", "yard_news", "yard news en_US", "yard news", "a/b en", "x e"] {
            assert_eq!(super::Template::read(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn answers_are_told_apart() {
        let judge = |status: u16, body: &str| {
            line().judge(&Response {
                status,
                retry_after_s: None,
                body: body.as_bytes().to_vec(),
            })
        };
        assert!(
            matches!(judge(200, r#"{"messages":[{"id":"wamid.1"}]}"#), Verdict::Sent { outside_id: Some(id) } if id == "wamid.1")
        );
        assert!(matches!(
            judge(400, r#"{"error":{"code":131047}}"#),
            Verdict::WhenTheyWrite
        ));
        assert!(matches!(
            judge(400, r#"{"error":{"code":130429}}"#),
            Verdict::Later { all: true, .. }
        ));
        assert!(matches!(
            judge(400, r#"{"error":{"code":131056}}"#),
            Verdict::Later { all: false, .. }
        ));
        assert!(matches!(judge(401, "{}"), Verdict::Later { all: true, .. }));
        assert!(matches!(judge(400, "{}"), Verdict::Never { .. }));
        assert!(matches!(judge(500, ""), Verdict::Later { .. }));
    }
}
