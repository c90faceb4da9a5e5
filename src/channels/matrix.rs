//! Matrix: the client-server API, asked by us, so that no public address is needed.
//!
//! Sources: spec.matrix.org, client-server API (read 2026-11); voice notes in the form that clients send today,
//! github.com/matrix-org/matrix-spec-proposals proposal 3245. Rooms have to be unencrypted. Sending carries a key of our own, so
//! that a second try is the same event. Invitations are followed only from people or servers that the settings name.

use http::Method;
use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, utf8_percent_encode};
use serde_json::{Value, json};

use super::{
    Body, Channel, Hidden, Incoming, MediaRef, Request, Response, Saying, Unsent, Verdict, kind_of_type,
    lines::{Fetching, Line, MediaHost, Sending},
};
use crate::{conversation::MediaKind, units::Timestamp};

/// How long one asking waits for news, in seconds.
pub const SYNC_WAIT_S: u32 = 30;

/// Messages of one room that come at once; what is between is asked for.
const TIMELINE_MAX: u32 = 50;

/// What stays as it is in a path.
const PATH: &AsciiSet = &NON_ALPHANUMERIC.remove(b'-').remove(b'.').remove(b'_').remove(b'~');

/// What the service needs to know of us.
#[derive(Debug, Clone)]
pub struct Matrix {
    /// Where the server is.
    pub server: String,
    /// The token that opens it.
    pub token: Hidden,
    /// Who we are there, `@yard:example.org`.
    pub user: String,
    /// Whose invitations are followed: people (`@ana:example.org`) or servers (`example.org`).
    pub invites: Vec<String>,
}

/// Why news could not be had.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Error {
    /// The token is not good.
    #[error(
        "the Matrix server does not know this token; log in anew and put the new one into matrix_token or its file"
    )]
    Token,
    /// The answer is not what it should be.
    #[error("the Matrix server's answer makes no sense")]
    NotNews,
    /// Not now.
    #[error("the Matrix server answered {status}")]
    Later {
        /// Its status.
        status: u16,
        /// The wait that it asks for, in seconds.
        asked_s: Option<i64>,
    },
}

/// News.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct News {
    /// Messages, in the order of each room.
    pub incoming: Vec<Incoming>,
    /// Rooms of which more happened than came: the room, and where what is missing ends.
    pub gaps: Vec<(String, String)>,
    /// Rooms to join.
    pub joins: Vec<String>,
    /// Where to go on.
    pub next: String,
}

fn encode(text: &str) -> String {
    utf8_percent_encode(text, PATH).to_string()
}

impl Matrix {
    fn request(&self, method: Method, what: &'static str, path: &str, body: Body) -> Request {
        Request {
            method,
            url: format!("{}/_matrix/{path}", self.server),
            headers: vec![("authorization", format!("Bearer {}", self.token.reveal()))],
            body,
            what,
        }
    }

    /// Asks for news after a place; without one, only where the end is.
    pub fn sync(&self, since: Option<&str>, wait_s: u32) -> Request {
        let filter = json!({
            "presence": { "types": [] }, "account_data": { "types": [] },
            "room": {
                "ephemeral": { "types": [] }, "account_data": { "types": [] }, "state": { "types": [] },
                "timeline": { "limit": TIMELINE_MAX, "types": ["m.room.message", "m.room.encrypted"] },
            },
        });
        let mut path = format!(
            "client/v3/sync?set_presence=offline&filter={}",
            encode(&filter.to_string())
        );
        if let Some(since) = since {
            path.push_str(&format!(
                "&timeout={}&since={}",
                u64::from(wait_s) * 1000,
                encode(since)
            ));
        }
        self.request(Method::GET, "sync", &path, Body::Empty)
    }

    /// Asks for what is missing of a room, backwards from a place and down to where news was taken.
    pub fn missing(&self, room: &str, from: &str, since: &str) -> Request {
        let path = format!(
            "client/v3/rooms/{}/messages?dir=b&limit=100&from={}&to={}",
            encode(room),
            encode(from),
            encode(since)
        );
        self.request(Method::GET, "messages", &path, Body::Empty)
    }

    /// Joins a room.
    pub fn join(&self, room: &str) -> Request {
        self.request(
            Method::POST,
            "join",
            &format!("client/v3/rooms/{}/join", encode(room)),
            Body::Json("{}".into()),
        )
    }

    /// What the answer to [`Matrix::join`] means. An invitation comes once, so news is not taken past it while joining it may
    /// still come about.
    pub fn judge_join(&self, response: &Response) -> Verdict {
        match response.status {
            200 => Verdict::Sent { outside_id: None },
            _ => self.judge(response),
        }
    }

    /// Reads an answer to [`Matrix::sync`]. The first one tells where the end is; what was said before we came is history.
    ///
    /// # Errors
    /// When the token is not good or the server is not well.
    pub fn read_news(&self, response: &Response, first: bool) -> Result<News, Error> {
        let body = self.checked(response)?;
        let mut news = News {
            next: body["next_batch"].as_str().ok_or(Error::NotNews)?.to_string(),
            ..News::default()
        };
        if let Some(rooms) = body["rooms"]["invite"].as_object() {
            let joins = rooms
                .iter()
                .filter(|(_, room)| self.inviter(room).is_some_and(|who| self.may_invite(who)));
            news.joins = joins.map(|(room, _)| room.clone()).collect();
        }
        if first {
            return Ok(news);
        }
        for (room, joined) in body["rooms"]["join"].as_object().into_iter().flatten() {
            let timeline = &joined["timeline"];
            if timeline["limited"] == true
                && let Some(before) = timeline["prev_batch"].as_str()
            {
                news.gaps.push((room.clone(), before.to_string()));
            }
            let events = timeline["events"].as_array().map_or(&[][..], Vec::as_slice);
            news.incoming
                .extend(events.iter().filter_map(|event| self.read_event(room, event)));
        }
        Ok(news)
    }

    /// Reads an answer to [`Matrix::missing`]: messages in the order in which they were said, and where more is missing.
    ///
    /// # Errors
    /// When the token is not good or the server is not well.
    pub fn read_missing(&self, room: &str, response: &Response) -> Result<(Vec<Incoming>, Option<String>), Error> {
        let body = self.checked(response)?;
        let events = body["chunk"].as_array().ok_or(Error::NotNews)?;
        let mut incoming: Vec<Incoming> = events.iter().filter_map(|event| self.read_event(room, event)).collect();
        incoming.reverse();
        let more = body["end"].as_str().filter(|_| !events.is_empty());
        Ok((incoming, more.map(str::to_string)))
    }

    fn checked(&self, response: &Response) -> Result<Value, Error> {
        let body = response.json().unwrap_or_default();
        match response.status {
            200 => Ok(body),
            401 => Err(Error::Token),
            status => Err(Error::Later {
                status,
                asked_s: asked(&body).or(response.retry_after_s),
            }),
        }
    }

    /// Who invites us to a room.
    fn inviter<'a>(&self, room: &'a Value) -> Option<&'a str> {
        let events = room["invite_state"]["events"].as_array()?;
        let ours = |event: &&Value| event["type"] == "m.room.member" && event["state_key"] == self.user.as_str();
        events.iter().find(ours)?["sender"].as_str()
    }

    fn may_invite(&self, who: &str) -> bool {
        let server = who.split_once(':').map_or("", |(_, server)| server);
        self.invites
            .iter()
            .any(|named| named == who || (!named.starts_with('@') && named == server))
    }

    fn read_event(&self, room: &str, event: &Value) -> Option<Incoming> {
        let (id, sender) = (event["event_id"].as_str()?, event["sender"].as_str()?);
        if sender == self.user {
            return None;
        }
        let content = &event["content"];
        let (saying, media) = if event["type"] == "m.room.encrypted" {
            // It cannot be read; the answer says what can.
            (Saying::Text(String::new()), Vec::new())
        } else if event["type"] == "m.room.message" {
            read_content(content)?
        } else {
            return None;
        };
        Some(Incoming {
            channel: Channel::Matrix,
            external_id: id.to_string(),
            address: sender.to_string(),
            room: room.to_string(),
            saying,
            media,
            sent_at: event["origin_server_ts"]
                .as_i64()
                .and_then(|ms| Timestamp::from_unix_seconds(ms.div_euclid(1000))),
        })
    }
}

fn asked(body: &Value) -> Option<i64> {
    body["retry_after_ms"].as_i64().map(|ms| (ms + 999) / 1000)
}

/// What a message says and brings. Notices are for people to read, and are not answered: that is how programs that talk to each
/// other come to rest.
fn read_content(content: &Value) -> Option<(Saying, Vec<MediaRef>)> {
    let kind = content["msgtype"].as_str().unwrap_or_default();
    let body = content["body"].as_str().unwrap_or_default();
    if kind == "m.notice" || kind.is_empty() {
        return None;
    }
    if content["m.relates_to"]["rel_type"] == "m.replace" {
        let new = content["m.new_content"]["body"].as_str().unwrap_or(body);
        return Some((Saying::Edited(new.to_string()), Vec::new()));
    }
    if !matches!(kind, "m.audio" | "m.image" | "m.file" | "m.video") {
        return Some((Saying::Text(without_quote(body).to_string()), Vec::new()));
    }
    // Words beside a file are its caption when the file has a name of its own.
    let name = content["filename"].as_str().or(content["file"]["name"].as_str());
    let caption = name
        .filter(|name| *name != body && !is_voice(content))
        .map_or("", |_| body);
    let media_type = content["info"]["mimetype"]
        .as_str()
        .unwrap_or("application/octet-stream");
    let source = content["url"].as_str().filter(|url| media_path(url).is_some());
    let media = source.map(|source| MediaRef {
        kind: if kind == "m.audio" {
            MediaKind::Voice
        } else {
            kind_of_type(media_type)
        },
        media_type: media_type.to_string(),
        name: name.or((!body.is_empty()).then_some(body)).map(str::to_string),
        source: source.to_string(),
    });
    Some((Saying::Text(caption.to_string()), media.into_iter().collect()))
}

fn is_voice(content: &Value) -> bool {
    ["org.matrix.msc3245.voice", "org.matrix.msc2516.voice", "m.voice"]
        .iter()
        .any(|key| content.get(*key).is_some())
}

/// The words of a reply without the lines that quote what it replies to.
fn without_quote(body: &str) -> &str {
    if !body.starts_with("> ") {
        return body;
    }
    body.split_once("\n\n").map_or(body, |(_, said)| said)
}

/// Server and id out of `mxc://server/id`.
fn media_path(url: &str) -> Option<(&str, &str)> {
    let (server, id) = url.strip_prefix("mxc://")?.split_once('/')?;
    let plain = |text: &str, more: &[u8]| {
        !text.is_empty() && text.bytes().all(|b| b.is_ascii_alphanumeric() || more.contains(&b))
    };
    (plain(server, b".-:[]") && plain(id, b"-_")).then_some((server, id))
}

impl Line for Matrix {
    fn channel(&self) -> Channel {
        Channel::Matrix
    }

    fn send(&self, room: &str, unsent: &Unsent, key: &str) -> Sending {
        match unsent {
            Unsent::Text { text, .. } => {
                Sending::Once(self.event(room, key, &json!({ "msgtype": "m.notice", "body": text })))
            }
            Unsent::File {
                media_type,
                name,
                bytes,
            } => {
                let body = Body::Bytes {
                    media_type: media_type.clone(),
                    bytes: bytes.clone(),
                };
                let path = format!("media/v3/upload?filename={}", encode(name));
                Sending::Upload(self.request(Method::POST, "upload", &path, body))
            }
        }
    }

    fn after_upload(&self, room: &str, unsent: &Unsent, key: &str, uploaded: &Response) -> Result<Request, Verdict> {
        let answer = uploaded.json().unwrap_or_default();
        let (
            Some(url),
            Unsent::File {
                media_type,
                name,
                bytes,
            },
        ) = (answer["content_uri"].as_str(), unsent)
        else {
            return Err(self.judge(uploaded));
        };
        let kind = if media_type.starts_with("image/") && media_type != "image/svg+xml" {
            "m.image"
        } else {
            "m.file"
        };
        let content = json!({
            "msgtype": kind, "body": name, "filename": name, "url": url,
            "info": { "mimetype": media_type, "size": bytes.len() },
        });
        Ok(self.event(room, key, &content))
    }

    fn judge(&self, response: &Response) -> Verdict {
        let body = response.json().unwrap_or_default();
        if response.status == 200 {
            return match body["event_id"].as_str() {
                Some(id) => Verdict::Sent {
                    outside_id: Some(id.to_string()),
                },
                None => Verdict::Never {
                    why: "the Matrix server took it and gave no id".into(),
                },
            };
        }
        let said = body["error"].as_str().unwrap_or("no reason given");
        let why = format!("Matrix {}: {said}", response.status);
        match response.status {
            429 => Verdict::Later {
                asked_s: asked(&body).or(response.retry_after_s),
                all: true,
                why,
            },
            401 => Verdict::Later {
                asked_s: None,
                all: true,
                why,
            },
            _ => Verdict::of_status(response, why),
        }
    }

    fn fetch(&self, media: &MediaRef) -> Fetching {
        let (server, id) = media_path(&media.source).unwrap_or_default();
        let path = format!("client/v1/media/download/{}/{}", encode(server), encode(id));
        Fetching::Get(self.request(Method::GET, "media file", &path, Body::Empty))
    }

    fn media_hosts(&self) -> Vec<MediaHost> {
        vec![MediaHost::chosen(&self.server)]
    }

    fn typing(&self, room: &str) -> Option<Request> {
        let path = format!("client/v3/rooms/{}/typing/{}", encode(room), encode(&self.user));
        let body = Body::Json(json!({ "typing": true, "timeout": 20_000 }).to_string());
        Some(self.request(Method::PUT, "typing", &path, body))
    }

    fn probe(&self) -> Request {
        self.request(Method::GET, "whoami", "client/v3/account/whoami", Body::Empty)
    }

    fn judge_probe(&self, response: &Response) -> Result<String, String> {
        let body = response.json().unwrap_or_default();
        match (response.status, body["user_id"].as_str()) {
            (200, Some(user)) if user == self.user => Ok(format!(
                "the token is good: we are {user}; invitations are followed from {}",
                self.invites.join(", ")
            )),
            (200, Some(user)) => Err(format!("the token is {user}'s, and matrix_user is {}", self.user)),
            (401, _) => Err(Error::Token.to_string()),
            (404, _) => Err("there is no Matrix server at matrix_server: it answered 404".to_string()),
            (status, _) => Err(format!("the Matrix server answered {status}")),
        }
    }
}

impl Matrix {
    fn event(&self, room: &str, key: &str, content: &Value) -> Request {
        let path = format!("client/v3/rooms/{}/send/m.room.message/{}", encode(room), encode(key));
        self.request(Method::PUT, "send Matrix", &path, Body::Json(content.to_string()))
    }
}

#[cfg(test)]
mod tests {
    use super::{Error, Matrix, media_path};
    use crate::{
        channels::{
            Hidden, Response, Saying, Unsent, Verdict,
            lines::{Fetching, Line, Sending},
        },
        conversation::MediaKind,
    };

    fn line() -> Matrix {
        Matrix {
            server: "https://matrix.example.org".into(),
            token: Hidden::new("syt_t"),
            user: "@yard:example.org".into(),
            invites: vec!["example.org".into(), "@wren:elsewhere.example".into()],
        }
    }

    fn answer(status: u16, body: &str) -> Response {
        Response {
            status,
            retry_after_s: None,
            body: body.as_bytes().to_vec(),
        }
    }

    #[test]
    fn a_recorded_sync_is_read() {
        let response = answer(200, include_str!("../../fixtures/channels/matrix/sync.json"));
        let news = line().read_news(&response, false).expect("news");
        assert_eq!(news.next, "s72595_4483_1934");
        assert_eq!(
            news.joins,
            ["!invited:example.org", "!wren:elsewhere.example"],
            "not the stranger's"
        );
        assert_eq!(news.gaps, [("!yard:example.org".to_string(), "t44-23_0".to_string())]);
        let said: Vec<&Saying> = news.incoming.iter().map(|one| &one.saying).collect();
        let text = |text: &str| Saying::Text(text.into());
        assert_eq!(
            said,
            [
                &text("12 small crapes at Alder Ct"),
                &text(""),
                &text("gate at Alder Ct"),
                &Saying::Edited("14 small crapes".into()),
                &text("make that 13"),
                &text(""),
            ]
        );
        let sent = news.incoming[0].sent_at.map(|at| at.unix_seconds());
        assert_eq!(sent, Some(1_795_000_000), "origin_server_ts is in milliseconds");
        let voice = &news.incoming[1];
        assert_eq!(
            (voice.address.as_str(), voice.room.as_str()),
            ("@ana:example.org", "!yard:example.org")
        );
        assert_eq!(voice.media[0].kind, MediaKind::Voice);
        assert_eq!(voice.media[0].source, "mxc://example.org/issysmEaHpQG");
        let Fetching::Get(request) = line().fetch(&voice.media[0]) else {
            panic!("it is fetched at once")
        };
        assert_eq!(
            request.url,
            "https://matrix.example.org/_matrix/client/v1/media/download/example.org/issysmEaHpQG"
        );
        assert_eq!(news.incoming[2].media[0].kind, MediaKind::Photo);
        let first = line().read_news(&response, true).expect("news");
        assert!(
            first.incoming.is_empty() && first.joins.len() == 2,
            "history is left alone"
        );
    }

    #[test]
    fn what_is_missing_comes_in_the_order_in_which_it_was_said() {
        let event = |id: &str, body: &str| {
            format!(
                r#"{{"type":"m.room.message","event_id":"{id}","sender":"@ana:example.org","content":{{"msgtype":"m.text","body":"{body}"}}}}"#
            )
        };
        let body = format!(
            r#"{{"chunk":[{},{}],"end":"t1"}}"#,
            event("$2", "two"),
            event("$1", "one")
        );
        let (incoming, more) = line()
            .read_missing("!r:example.org", &answer(200, &body))
            .expect("messages");
        assert_eq!(incoming[0].external_id, "$1");
        assert_eq!(more.as_deref(), Some("t1"));
        let (none, more) = line()
            .read_missing("!r:example.org", &answer(200, r#"{"chunk":[],"end":"t0"}"#))
            .expect("none");
        assert!(none.is_empty() && more.is_none());
    }

    #[test]
    fn what_is_sent_has_a_key_and_what_comes_back_is_told_apart() {
        let unsent = Unsent::Text {
            text: "Quote 1".into(),
            taps: Vec::new(),
        };
        let Sending::Once(request) = line().send("!yard:example.org", &unsent, "letter_m_1_1_0") else {
            panic!("at once")
        };
        assert_eq!(
            request.url,
            "https://matrix.example.org/_matrix/client/v3/rooms/%21yard%3Aexample.org/send/m.room.message/letter_m_1_1_0"
        );
        let judge = |status: u16, body: &str| line().judge(&answer(status, body));
        assert!(matches!(
            judge(200, r#"{"event_id":"$1"}"#),
            Verdict::Sent { outside_id: Some(_) }
        ));
        let busy = r#"{"errcode":"M_LIMIT_EXCEEDED","retry_after_ms":1500}"#;
        assert!(matches!(
            judge(429, busy),
            Verdict::Later {
                asked_s: Some(2),
                all: true,
                ..
            }
        ));
        assert!(matches!(
            judge(403, r#"{"errcode":"M_FORBIDDEN","error":"not in the room"}"#),
            Verdict::Never { .. }
        ));
        assert!(matches!(judge(401, "{}"), Verdict::Later { .. }));
        assert_eq!(line().read_news(&answer(401, "{}"), false), Err(Error::Token));
        assert_eq!(line().read_news(&answer(200, "{}"), false), Err(Error::NotNews));
    }

    #[test]
    fn media_names_are_plain() {
        assert_eq!(
            media_path("mxc://example.org:8448/abc-_1"),
            Some(("example.org:8448", "abc-_1"))
        );
        for wrong in [
            "",
            "https://x/y",
            "mxc://",
            "mxc://x",
            "mxc://x/",
            "mxc://x/../y",
            "mxc://x/a?b",
            "mxc:///a",
        ] {
            assert_eq!(media_path(wrong), None, "{wrong}");
        }
    }
}
