//! What is said by each way, as its provider brings it: signed, in its own form and charset, whole or spoilt.

use rand::{RngExt, rngs::SmallRng};
use serde_json::{Value, json};
use tallyhand::channels::{Hidden, sms, whatsapp};

use super::sides::{ACCOUNT, PUBLIC_URL, Sides, Way, Who};
use crate::support::{Given, Yard};

/// How a call arrives.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Manner {
    /// As it was sent.
    Whole,
    /// The line goes dead in the middle of it.
    Broken,
    /// Its end is missing, though the line does not say so; or it is not from where it says.
    Forged,
}

/// A call that brings a message, to be delivered as often as its provider likes.
#[derive(Debug, Clone)]
pub(super) struct Call {
    pub(super) who: Who,
    /// What the book should hold of it.
    pub(super) text: String,
    pub(super) id: String,
    pub(super) with_photo: bool,
    form: Form,
}

#[derive(Debug, Clone)]
enum Form {
    /// A body that is posted, with the header that vouches for it.
    Posted {
        path: &'static str,
        header: Option<(&'static str, String)>,
        body: Vec<u8>,
    },
    /// All of it is in the address.
    Got { query: String },
    /// Signed when it is sent, as the reference library does it.
    Signed { body: Vec<u8> },
}

impl Call {
    /// A provider that is asked has it once more.
    pub(super) fn again(&self, sides: &Sides) {
        let Form::Posted { body, .. } = &self.form else { return };
        let said: Value = serde_json::from_slice(body).expect("JSON");
        match self.who.way {
            Way::Telegram => sides.telegram.again(said),
            _ => sides.says_in_room(self.who.person, said),
        }
    }
}

/// Says something: providers that are asked have it at once, of others comes the call that they make.
pub(super) fn say(sides: &Sides, chance: &mut SmallRng, who: Who, id: &str, text: &str, with_photo: bool) -> Call {
    let mut call = Call {
        who,
        text: text.to_string(),
        id: id.to_string(),
        with_photo,
        form: Form::Got { query: String::new() },
    };
    call.form = match who.way {
        Way::Telegram => {
            let mut fields = json!({ "text": text });
            if with_photo {
                let photo = json!([{ "file_id": "P1", "file_unique_id": "u", "width": 9, "height": 9 }]);
                fields = json!({ "caption": text, "photo": photo });
            }
            let update = sides.telegram.message(who.address().parse().expect("a number"), fields);
            let header = Some(("x-telegram-bot-api-secret-token", "k3y".to_string()));
            posted("/hooks/telegram", header, update.to_string().into_bytes())
        }
        Way::Matrix => {
            let event = room_event(who, id, text, with_photo);
            sides.says_in_room(who.person, event.clone());
            posted("", None, event.to_string().into_bytes())
        }
        Way::Sms => text_message(chance, &mut call),
        Way::Whatsapp => batch(&call),
        Way::Gateway => gateway_call(chance, &call),
        Way::Signed => Form::Signed {
            body: json!({ "text": text, "from": who.address() }).to_string().into_bytes(),
        },
    };
    call
}

fn posted(path: &'static str, header: Option<(&'static str, String)>, body: Vec<u8>) -> Form {
    Form::Posted { path, header, body }
}

fn room_event(who: Who, id: &str, text: &str, with_photo: bool) -> Value {
    let content = if with_photo {
        json!({ "msgtype": "m.image", "body": text, "filename": "hedge.jpg", "url": "mxc://example.org/P1",
            "info": { "mimetype": "image/jpeg" } })
    } else {
        json!({ "msgtype": "m.text", "body": text })
    };
    json!({ "type": "m.room.message", "event_id": format!("${id}"), "sender": who.address(), "content": content })
}

/// A form, signed over what its fields say. Now and then the text is in another charset than it should be.
fn text_message(chance: &mut SmallRng, call: &mut Call) -> Form {
    let from = call.who.address();
    let media_url = format!("https://elsewhere.example/Accounts/{ACCOUNT}/Messages/MM1/Media/ME1");
    let mut fields = vec![
        ("MessageSid", call.id.as_str()),
        ("AccountSid", ACCOUNT),
        ("From", &from),
        ("Body", &call.text),
    ];
    if call.with_photo {
        fields.extend([
            ("NumMedia", "1"),
            ("MediaUrl0", &media_url),
            ("MediaContentType0", "image/jpeg"),
        ]);
    }
    let url = reqwest::Url::parse_with_params("http://form/", &fields).expect("fields fit in a form");
    let mut body = url.query().unwrap_or_default().to_string();
    if chance.random_range(0..4) == 0 {
        // Latin-1 where UTF-8 is meant: a letter is lost, the message is not.
        body = body.replace("%C3%A9", "%E9");
    }
    let form = sms::read_form(body.as_bytes());
    let said = form
        .iter()
        .find(|(name, _)| name == "Body")
        .map(|(_, value)| value.clone());
    call.text = said.unwrap_or_default();
    let signed = sms::signature(&format!("{PUBLIC_URL}/hooks/sms"), &form, &Hidden::new("test-token"));
    posted("/hooks/sms", Some((sms::SIGNATURE_HEADER, signed)), body.into_bytes())
}

fn batch(call: &Call) -> Form {
    let kind = if call.with_photo {
        json!({ "type": "image", "image": { "id": "P1", "mime_type": "image/jpeg", "caption": call.text } })
    } else {
        json!({ "type": "text", "text": { "body": call.text } })
    };
    let mut message = json!({ "from": call.who.address(), "id": call.id, "timestamp": "1" });
    for (name, value) in kind.as_object().expect("fields") {
        message[name] = value.clone();
    }
    signed_batch(&json!({ "messages": [message] }))
}

fn signed_batch(fields: &Value) -> Form {
    let mut value = json!({ "messaging_product": "whatsapp", "metadata": { "phone_number_id": "106" } });
    for (name, field) in fields.as_object().expect("fields") {
        value[name] = field.clone();
    }
    let body = json!({ "object": "whatsapp_business_account", "entry": [{ "id": "1", "changes": [{ "field": "messages",
        "value": value }] }] })
    .to_string();
    let signed = whatsapp::signature(body.as_bytes(), &Hidden::new("app-secret"));
    posted(
        "/hooks/whatsapp",
        Some((whatsapp::SIGNATURE_HEADER, format!("sha256={signed}"))),
        body.into_bytes(),
    )
}

/// A call of the gateway in one of the charsets that it may come in, one of which lies.
fn gateway_call(chance: &mut SmallRng, call: &Call) -> Form {
    let text = call.text.as_str();
    let wide: Vec<u8> = text.encode_utf16().flat_map(u16::to_be_bytes).collect();
    let narrow: Vec<u8> = text
        .chars()
        .map(|letter| u8::try_from(u32::from(letter)).unwrap_or(b'?'))
        .collect();
    let fits = text.chars().all(|letter| u32::from(letter) < 256);
    let (bytes, charset) = match chance.random_range(0..4) {
        0 => (wide, "coding=2&charset=UTF-16BE"),
        1 if fits => (narrow, "coding=0&charset=ISO-8859-1"),
        2 if fits => (narrow, "coding=0&charset=UTF-8"),
        _ => (text.as_bytes().to_vec(), "coding=0&charset=UTF-8"),
    };
    let text: String = bytes.iter().map(|byte| format!("%{byte:02X}")).collect();
    let fields = format!("from={}&id={}&{charset}&text={text}", call.who.address(), call.id);
    if chance.random_range(0..2) == 0 {
        return posted("/hooks/gateway?key=k3y", None, fields.into_bytes());
    }
    Form::Got {
        query: format!("key=k3y&{fields}"),
    }
}

/// A report of the provider that something did not arrive.
pub(super) fn report(yard: &Yard, way: Way, outside_id: &str) -> Given {
    let form = if way == Way::Sms {
        let fields = [
            ("MessageSid", outside_id),
            ("MessageStatus", "undelivered"),
            ("ErrorCode", "30005"),
        ];
        let url = reqwest::Url::parse_with_params("http://form/", fields).expect("fields fit in a form");
        let body = url.query().unwrap_or_default().as_bytes().to_vec();
        let url = format!("{PUBLIC_URL}/hooks/sms/status");
        let signed = sms::signature(&url, &sms::read_form(&body), &Hidden::new("test-token"));
        posted("/hooks/sms/status", Some((sms::SIGNATURE_HEADER, signed)), body)
    } else {
        let failed =
            json!({ "id": outside_id, "status": "failed", "errors": [{ "code": 131_026, "title": "Undeliverable" }] });
        signed_batch(&json!({ "statuses": [failed] }))
    };
    deliver_form(yard, &form, outside_id, Manner::Whole)
}

/// Delivers a call.
pub(super) fn deliver(yard: &Yard, call: &Call, manner: Manner) -> Given {
    deliver_form(yard, &call.form, &call.id, manner)
}

fn deliver_form(yard: &Yard, form: &Form, id: &str, manner: Manner) -> Given {
    match form {
        Form::Signed { body } => match manner {
            Manner::Whole => yard.posts_signed(id, body),
            Manner::Broken => yard.posts_broken("/hooks/signed", &[], &body[..body.len() / 2]),
            Manner::Forged => {
                let at = tallyhand::web::Clock::now(&*yard.clock()).unix_seconds();
                let headers = crate::support::sign(crate::support::SECRET, id, at, body);
                yard.posts_hook(&headers, &body[..body.len() - 2])
            }
        },
        Form::Got { query } => {
            let query = match manner {
                Manner::Whole => query.clone(),
                Manner::Broken | Manner::Forged => query.replace("k3y", "k3z"),
            };
            yard.gets(&format!("/hooks/gateway?{query}"), None)
        }
        Form::Posted { path, header, body } => {
            let kind = ("content-type", "application/x-www-form-urlencoded");
            let mut headers: Vec<(&str, &str)> = header.iter().map(|(name, value)| (*name, value.as_str())).collect();
            headers.push(kind);
            match manner {
                Manner::Whole => yard.posts(path, &headers, body),
                Manner::Broken => yard.posts_broken(path, &headers, &body[..body.len() / 2]),
                // Telegram vouches with a word and not for the bytes; the gateway's word is in the address.
                Manner::Forged if path.starts_with("/hooks/telegram") => yard.posts(path, &[], body),
                Manner::Forged if path.starts_with("/hooks/gateway") => yard.posts("/hooks/gateway", &headers, body),
                Manner::Forged => yard.posts(path, &headers, &body[..body.len() - 1]),
            }
        }
    }
}
