//! Text messages by a gateway of one's own, in the way that Kannel calls and is called.
//!
//! Source: Kannel user's guide 1.4.5, chapters on the SMS service (`get-url`, `post-url`) and on `sendsms`. The gateway has no
//! signature: a key in the address that we give it is the secret, and its settings should allow our host alone. The body of our
//! answer to its call would go to the phone, so it is empty. A text comes percent-encoded in the charset that it names; the
//! bytes are decoded here, since a form's own rules would take them for UTF-8.

use encoding_rs::{Encoding, UTF_8, UTF_16BE, WINDOWS_1252};

use super::{
    Channel, Hidden, Incoming, MediaRef, Request, Response, Saying, Unsent, Verdict, gsm,
    lines::{Fetching, Line, MediaHost, Sending},
};
use crate::units::Timestamp;

/// Largest call taken, in bytes: a text in many parts, percent-encoded.
pub const BODY_BYTES_MAX: usize = 64 * 1024;

/// What to put into the gateway's settings, behind our address and key.
pub const QUERY: &str = "from=%p&to=%P&text=%a&id=%I&charset=%C&coding=%c&sent=%T";

/// What a gateway needs to know of us, and we of it.
#[derive(Debug, Clone)]
pub struct Gateway {
    /// The key that its calls carry.
    pub key: Hidden,
    /// Where it takes messages, `http://127.0.0.1:13013/cgi-bin/sendsms`.
    pub send_url: String,
    /// Its user for that.
    pub user: String,
    /// That user's password.
    pub password: Hidden,
    /// Our number.
    pub number: String,
}

/// Why a call is refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum Error {
    /// The key is missing or wrong.
    #[error("the key is missing or wrong")]
    Key,
    /// The call says nothing of a message.
    #[error("that is not a message")]
    NotAMessage,
}

/// Names and raw values of a query or a form; the values are still bytes.
type Fields = Vec<(String, Vec<u8>)>;

/// Reads a query or a form without taking its bytes for any charset.
fn read_fields(text: &str) -> Fields {
    text.split('&')
        .filter_map(|pair| pair.split_once('='))
        .map(|(name, value)| (String::from_utf8_lossy(&unescape(name)).into_owned(), unescape(value)))
        .collect()
}

fn unescape(text: &str) -> Vec<u8> {
    let plus: Vec<u8> = text.bytes().map(|b| if b == b'+' { b' ' } else { b }).collect();
    percent_encoding::percent_decode(&plus).collect()
}

/// Bytes of a charset as text; what does not decode is replaced, never refused. Names of charsets are those of the WHATWG
/// Encoding Standard, which take ISO-8859-1 for the Windows charset that senders mean by it.
fn decode(bytes: &[u8], charset: &str, coding: &str) -> String {
    let named = match charset.to_ascii_uppercase().as_str() {
        "" if coding == "2" => Some(UTF_16BE),
        // What comes without a mark of its order comes in that of the network (RFC 2781, 4.3; 3GPP TS 23.038, 6.2.3).
        "UTF-16" | "UCS-2" | "UCS2" | "ISO-10646-UCS-2" => Some(UTF_16BE),
        _ => Encoding::for_label(charset.as_bytes()),
    };
    match named.filter(|named| *named != UTF_8) {
        // A mark of the order of bytes counts before the name.
        Some(named) => named.decode(bytes).0.into_owned(),
        None => match std::str::from_utf8(bytes) {
            Ok(text) => text.trim_start_matches('\u{feff}').to_string(),
            // Not what it says it is; old gateways send the Western charset.
            Err(_) => WINDOWS_1252.decode_without_bom_handling(bytes).0.into_owned(),
        },
    }
}

impl Gateway {
    /// Reads a call: its query, and its body when it was posted as a form.
    ///
    /// # Errors
    /// When the key is wrong, which is looked at first; or when nobody says anything.
    pub fn read(&self, query: &str, body: &str) -> Result<Incoming, Error> {
        let mut fields = read_fields(query);
        let key = |fields: &Fields| {
            fields
                .iter()
                .any(|(name, value)| name == "key" && self.key.is(&String::from_utf8_lossy(value)))
        };
        if !key(&fields) {
            return Err(Error::Key);
        }
        fields.extend(read_fields(body));
        let field = |name: &str| {
            fields
                .iter()
                .find(|(key, _)| key == name)
                .map(|(_, value)| value.as_slice())
        };
        let plain = |name: &str| {
            String::from_utf8_lossy(field(name).unwrap_or_default())
                .trim()
                .to_string()
        };
        let (from, id) = (plain("from"), plain("id"));
        if from.is_empty() || id.is_empty() || id.len() > 200 || from.len() > 40 {
            return Err(Error::NotAMessage);
        }
        let text = decode(field("text").unwrap_or_default(), &plain("charset"), &plain("coding"));
        Ok(Incoming {
            channel: Channel::Gateway,
            external_id: id,
            address: from.clone(),
            room: from,
            saying: Saying::Text(text),
            media: Vec::new(),
            sent_at: plain("sent").parse().ok().and_then(Timestamp::from_unix_seconds),
        })
    }

    fn call(&self, room: &str, text: &str) -> Request {
        let coding = if gsm::is_gsm(text) { "0" } else { "2" };
        let mut query = form_urlencoded::Serializer::new(String::new());
        query
            .append_pair("username", &self.user)
            .append_pair("password", self.password.reveal())
            .append_pair("from", &self.number)
            .append_pair("to", room)
            .append_pair("coding", coding)
            .append_pair("charset", "UTF-8")
            .append_pair("text", text);
        Request::get("send by gateway", format!("{}?{}", self.send_url, query.finish()))
    }
}

impl Line for Gateway {
    fn channel(&self) -> Channel {
        Channel::Gateway
    }

    fn send(&self, room: &str, unsent: &Unsent, _key: &str) -> Sending {
        let text = match unsent {
            Unsent::Text { text, .. } => text,
            // Files are links in the words here.
            Unsent::File { name, .. } => name,
        };
        Sending::Once(self.call(room, text))
    }

    fn judge(&self, response: &Response) -> Verdict {
        let said = String::from_utf8_lossy(&response.body);
        let first = said.lines().next().unwrap_or_default().trim();
        let why = format!("gateway {}: {first}", response.status);
        match response.status {
            // `0: Accepted for delivery` and `3: Queued for later delivery`.
            200..=299 => Verdict::Sent { outside_id: None },
            // The password may be set right again.
            401 | 403 => Verdict::Later {
                asked_s: None,
                all: true,
                why,
            },
            _ => Verdict::of_status(response, why),
        }
    }

    fn fetch(&self, _media: &MediaRef) -> Fetching {
        Fetching::Get(Request::get("nothing", String::new()))
    }

    fn media_hosts(&self) -> Vec<MediaHost> {
        Vec::new()
    }

    fn probe(&self) -> Request {
        // Without a number to send to it says what is wrong: the password, or only that.
        let mut query = form_urlencoded::Serializer::new(String::new());
        query
            .append_pair("username", &self.user)
            .append_pair("password", self.password.reveal())
            .append_pair("from", &self.number);
        Request::get("ask gateway", format!("{}?{}", self.send_url, query.finish()))
    }

    fn judge_probe(&self, response: &Response) -> Result<String, String> {
        let said = String::from_utf8_lossy(&response.body);
        let first = said.lines().next().unwrap_or_default().trim().to_string();
        match response.status {
            401 | 403 => Err(format!("the gateway refuses user and password: {first}")),
            // It misses whom to send to.
            200..=299 | 400 => Ok("the gateway is there and takes user and password".to_string()),
            404 => Err("there is no gateway at gateway_url: it answered 404".to_string()),
            status => Err(format!("the gateway answered {status}: {first}")),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Error, Gateway};
    use crate::channels::{
        Hidden, Response, Saying, Unsent, Verdict,
        lines::{Line, Sending},
    };

    fn line() -> Gateway {
        Gateway {
            key: Hidden::new("k3y"),
            send_url: "http://127.0.0.1:13013/cgi-bin/sendsms".into(),
            user: "tester".into(),
            password: Hidden::new("foobar"),
            number: "15550100".into(),
        }
    }

    /// Calls as Kannel 1.4.5 made them (run 2026-11-25): a plain text, one in UTF-16BE, one in Latin-1.
    #[test]
    fn recorded_calls_are_read() {
        let said: Vec<String> = include_str!("../../fixtures/channels/gateway/calls.txt")
            .lines()
            .filter(|line| !line.starts_with('#'))
            .map(|query| match line().read(query, "").expect("a message").saying {
                Saying::Text(text) => text,
                other => panic!("{other:?}"),
            })
            .collect();
        assert_eq!(
            said,
            [
                "Mow the Hendersons tomorrow",
                "12 small € {crapes}",
                "б🌿",
                "façade, 2 guys"
            ]
        );
    }

    #[test]
    fn the_key_comes_first_and_nonsense_is_refused() {
        assert_eq!(line().read("from=1&id=1&text=x", ""), Err(Error::Key));
        assert_eq!(line().read("key=K3y&from=1&id=1&text=x", ""), Err(Error::Key));
        assert_eq!(
            line().read("from=1&id=1&text=x", "key=k3y"),
            Err(Error::Key),
            "the key is in the address"
        );
        assert_eq!(line().read("key=k3y&text=x", ""), Err(Error::NotAMessage));
        assert_eq!(line().read("key=k3y&from=1&text=x", ""), Err(Error::NotAMessage));
        let posted = line()
            .read("key=k3y", "from=%2B1555&id=7&text=a+b%0Ac")
            .expect("a message");
        assert_eq!(
            (posted.room.as_str(), posted.saying),
            ("+1555", Saying::Text("a b\nc".into()))
        );
        let sent = |query: &str| line().read(query, "").expect("a message").sent_at;
        let at = sent("key=k3y&from=1&id=8&text=x&sent=1768230000").map(|at| at.to_string());
        assert_eq!(at.as_deref(), Some("2026-01-12T15:00:00Z"));
        assert_eq!(sent("key=k3y&from=1&id=8&text=x&sent=%25T"), None);
        let said = |fields: &str| match line().read(&format!("key=k3y&from=1&id=9&{fields}"), "") {
            Ok(message) => message.saying,
            Err(failure) => panic!("{fields}: {failure}"),
        };
        // A curly quote in the Windows charset, under its own name and the one that is used for it; marks of the order of bytes
        // (WHATWG Encoding Standard, index of windows-1252; RFC 2781, 3.2).
        for fields in [
            "charset=WINDOWS-1252&text=it%92s",
            "charset=ISO-8859-1&text=it%92s",
            "charset=UTF-8&text=it%92s",
            "charset=UTF-8&text=%EF%BB%BFit%E2%80%99s",
            "coding=2&text=%00i%00t%20%19%00s",
            "charset=UTF-16&text=%FE%FF%00i%00t%20%19%00s",
            "charset=UTF-16&text=%FF%FEi%00t%00%19%20s%00",
            "charset=UTF-16LE&text=i%00t%00%19%20s%00",
        ] {
            assert_eq!(said(fields), Saying::Text("it\u{2019}s".into()), "{fields}");
        }
        // A charset that lies, half a unit, a broken escape: something readable, never a refusal.
        for text in ["%ff%fe", "%04", "%zz", "%"] {
            assert!(
                line()
                    .read(&format!("key=k3y&from=1&id=1&charset=UTF-8&text={text}"), "")
                    .is_ok()
            );
            assert!(
                line()
                    .read(
                        &format!("key=k3y&from=1&id=1&charset=UTF-16BE&coding=2&text={text}"),
                        ""
                    )
                    .is_ok()
            );
        }
    }

    #[test]
    fn words_go_out_in_the_cheap_alphabet_when_they_fit() {
        let url = |text: &str| {
            let unsent = Unsent::Text {
                text: text.into(),
                taps: Vec::new(),
            };
            let Sending::Once(request) = line().send("15550123", &unsent, "k") else {
                panic!("at once")
            };
            request.url
        };
        assert!(
            url("Job saved & done")
                .ends_with("from=15550100&to=15550123&coding=0&charset=UTF-8&text=Job+saved+%26+done")
        );
        assert!(url("б").contains("coding=2"));
        let judge = |status: u16, body: &str| {
            line().judge(&Response {
                status,
                retry_after_s: None,
                body: body.as_bytes().to_vec(),
            })
        };
        assert_eq!(
            judge(202, "0: Accepted for delivery"),
            Verdict::Sent { outside_id: None }
        );
        assert!(matches!(
            judge(403, "Authorization failed for sendsms"),
            Verdict::Later { all: true, .. }
        ));
        assert!(matches!(judge(400, "Bad request"), Verdict::Never { .. }));
        assert!(matches!(
            judge(503, "Temporal failure, try again later."),
            Verdict::Later { .. }
        ));
    }
}
