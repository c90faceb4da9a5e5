//! WhatsApp from outside: the handshake, signed batches, and a stand-in for the service.

use serde_json::{Value, json};
use tallyhand::channels::{
    Channel, Hidden, Lines,
    whatsapp::{self, Whatsapp},
};

use super::{Scene, impatient};
use crate::support::{Said, Seen, said};

const SENDING: &str = "/v26.0/106/messages";

fn takes(seen: &Seen) -> Said {
    match seen.path.as_str() {
        SENDING => said(
            200,
            r#"{"messaging_product":"whatsapp","messages":[{"id":"wamid.out"}]}"#,
        ),
        "/v26.0/106/media" => said(200, r#"{"id":"UP1"}"#),
        path if path.starts_with("/v26.0/V1") => {
            let host = seen.headers["host"].to_str().expect("text");
            said(
                200,
                &format!(r#"{{"url":"http://{host}/file/V1","mime_type":"audio/ogg"}}"#),
            )
        }
        "/file/V1"
            if seen
                .headers
                .get("authorization")
                .is_some_and(|value| value == "Bearer EAAT") =>
        {
            (
                200,
                Vec::new(),
                b"OggS\0\x02\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0OpusHead".to_vec(),
            )
        }
        path if path.starts_with("/v26.0/V2") => said(200, r#"{"url":"https://evil.example/file"}"#),
        _ => said(404, "{}"),
    }
}

fn scene() -> Scene {
    Scene::new(takes, |api| Lines {
        whatsapp: Some(Whatsapp {
            token: Hidden::new("EAAT"),
            app_secret: Hidden::new("app-secret"),
            verify_token: Hidden::new("vt"),
            phone_id: "106".into(),
            api: format!("{api}/v26.0"),
            template: whatsapp::Template::read("yard_news en_US"),
        }),
        ..Lines::default()
    })
}

fn post(scene: &Scene, messages: &Value) -> u16 {
    let body = json!({ "object": "whatsapp_business_account", "entry": [{ "id": "1", "changes": [{ "field": "messages",
        "value": { "messaging_product": "whatsapp", "metadata": { "phone_number_id": "106" }, "messages": messages } }] }] });
    post_body(scene, &body)
}

fn post_body(scene: &Scene, body: &Value) -> u16 {
    let body = body.to_string();
    let signed = format!(
        "sha256={}",
        whatsapp::signature(body.as_bytes(), &Hidden::new("app-secret"))
    );
    let given = scene
        .yard()
        .posts("/hooks/whatsapp", &[("x-hub-signature-256", &signed)], body.as_bytes());
    given.status
}

fn text(id: &str, text: &str) -> Value {
    json!({ "from": "15555550123", "id": id, "timestamp": "1795000000", "type": "text", "text": { "body": text } })
}

fn sent(scene: &Scene) -> Vec<Value> {
    scene.provider.seen(SENDING).iter().map(Seen::json).collect()
}

#[test]
fn the_handshake_is_shaken_with_our_word_only() {
    let scene = scene();
    let path = "/hooks/whatsapp?hub.mode=subscribe&hub.challenge=1158201444&hub.verify_token=";
    let given = scene.yard().gets(&format!("{path}vt"), None);
    assert_eq!((given.status, given.body.as_str()), (200, "1158201444"));
    assert_eq!(scene.failure(Channel::Whatsapp), "");
    assert_eq!(scene.yard().gets(&format!("{path}no"), None).status, 403);
    assert!(
        scene
            .failure(Channel::Whatsapp)
            .contains("another word than whatsapp_verify_token")
    );
    let other = scene
        .yard()
        .posts("/hooks/whatsapp", &[("x-hub-signature-256", "sha256=00")], b"{}");
    assert_eq!(other.status, 404);
}

#[test]
fn a_batch_is_taken_whole_and_once_and_buttons_work() {
    let mut scene = scene();
    let code = scene.code("connect whatsapp");
    assert_eq!(
        post(
            &scene,
            &json!([
                text("wamid.1", &code),
                text("wamid.2", "5 hollies"),
                text("wamid.2", "5 hollies")
            ])
        ),
        200
    );
    assert_eq!(post(&scene, &json!([text("wamid.2", "5 hollies")])), 200);
    scene.round();
    let asked = sent(&scene);
    assert_eq!(asked.len(), 2, "{asked:#?}");
    let buttons = &asked[1]["interactive"]["action"]["buttons"];
    assert_eq!(buttons[1]["reply"]["title"], "medium");
    let press = json!([{ "from": "15555550123", "id": "wamid.3", "timestamp": "1", "type": "interactive",
        "interactive": { "type": "button_reply", "button_reply": buttons[1]["reply"] } }]);
    assert_eq!(post(&scene, &press), 200);
    scene.round();
    let answer = sent(&scene).pop().expect("an answer");
    assert!(
        answer["text"]["body"]
            .as_str()
            .is_some_and(|text| text.contains("5 holly medium")),
        "{answer}"
    );
    assert_eq!(answer["to"], "15555550123");
}

#[test]
fn a_voice_note_is_fetched_with_the_token_and_from_nowhere_else() {
    let mut scene = scene();
    let code = scene.code("connect whatsapp");
    let voice = |id: &str, media: &str| {
        json!({ "from": "15555550123", "id": id, "timestamp": "1", "type": "audio",
        "audio": { "id": media, "mime_type": "audio/ogg; codecs=opus", "voice": true, "url": "https://evil.example/x" } })
    };
    post(
        &scene,
        &json!([text("wamid.1", &code), voice("wamid.2", "V1"), voice("wamid.3", "V2")]),
    );
    scene.round();
    assert_eq!(
        scene
            .yard()
            .count("SELECT count(*) FROM file WHERE media_type LIKE 'audio/%'"),
        1
    );
    let told: Vec<String> = sent(&scene).iter().map(|one| one["text"]["body"].to_string()).collect();
    assert!(told[2].contains("could not get what you sent"), "{told:?}");
}

/// A body that was cut on its way does not fit its signature; one that was signed so is acknowledged, or it would come for days.
#[test]
fn a_batch_that_was_cut_changes_nothing() {
    let mut scene = scene();
    let code = scene.code("connect whatsapp");
    let body = json!({ "object": "whatsapp_business_account", "entry": [{ "id": "1", "changes": [{ "field": "messages",
        "value": { "messages": [text("wamid.1", &code)] } }] }] })
    .to_string();
    let sign = |body: &str| {
        format!(
            "sha256={}",
            whatsapp::signature(body.as_bytes(), &Hidden::new("app-secret"))
        )
    };
    let cut = &body[..body.len() - 3];
    let posts = |signature: &str, body: &str| {
        let headers = [("x-hub-signature-256", signature)];
        scene.yard().posts("/hooks/whatsapp", &headers, body.as_bytes()).status
    };
    assert_eq!(posts(&sign(&body), cut), 404);
    assert_eq!(posts(&sign(cut), cut), 200);
    assert_eq!(scene.yard().count("SELECT count(*) FROM waiting"), 0);
    assert_eq!(
        posts(&sign(&body), &body),
        200,
        "the whole one is taken when it comes again"
    );
    assert_eq!(scene.yard().count("SELECT count(*) FROM waiting"), 1);
}

/// What a client says to the owner is news that nobody wrote for.
fn client_asks(scene: &mut Scene, words: &[&str]) {
    scene.then(|yard| yard.says("12 small crapes at Alder Ct").whatever().says("send it"));
    let answer = scene.yard.as_mut().expect("it is open").next_answer();
    let path = answer["client"]["path"].as_str().expect("a page").to_string();
    scene.then(|yard| yard.later(25 * 60));
    for words in words {
        let fields = [("name", "Wren"), ("words", words)];
        let form = reqwest::Url::parse_with_params("http://form/", fields).expect("fields fit in a form");
        let body = form.query().unwrap_or_default().as_bytes();
        let kind = [("content-type", "application/x-www-form-urlencoded")];
        assert_eq!(scene.yard().posts(&format!("{path}/ask"), &kind, body).status, 303);
    }
}

/// Free words go out for 24 hours after a person wrote. News that come later wait, the person is asked once to write, and
/// when they do all of it goes out in order.
#[test]
fn news_that_come_too_late_wait_until_the_person_writes() {
    let mut scene = scene();
    let code = scene.code("connect whatsapp");
    post(&scene, &json!([text("wamid.1", &code)]));
    scene.round();
    client_asks(&mut scene, &["When do you come?", "Do you rake?"]);
    scene.round();
    let asked = sent(&scene).split_off(1);
    assert_eq!(asked.len(), 1, "asked once: {asked:#?}");
    assert_eq!(asked[0]["template"]["name"], "yard_news");
    scene.then(|yard| yard.says("undelivered").replies("goes by itself when they write"));
    post(&scene, &json!([text("wamid.2", "note gate code 4411")]));
    scene.round();
    let words: Vec<String> = sent(&scene)
        .iter()
        .skip(2)
        .map(|one| one["text"]["body"].to_string())
        .collect();
    assert_eq!(words.len(), 3, "{words:?}");
    for (words, wanted) in words
        .iter()
        .zip(["When do you come?", "Do you rake?", "gate code 4411"])
    {
        assert!(words.contains(wanted), "{words}");
    }
    scene.then(|yard| yard.says("undelivered").replies("Nothing got stuck"));
}

/// The service's clock counts, at once or in a report afterwards; a template that it refuses is a failure to be seen.
#[test]
fn words_that_the_service_finds_too_late_wait_too() {
    let mut scene = scene();
    let code = scene.code("connect whatsapp");
    scene
        .provider
        .answers(|_| said(400, r#"{"error":{"message":"Re-engagement message","code":131047}}"#));
    post(&scene, &json!([text("wamid.1", &code)]));
    scene.round();
    let state = scene
        .yard()
        .wait(scene.yard().handle().channel_state(Channel::Whatsapp));
    let state = state.expect("a state");
    assert_eq!((state.queued, state.given_up), (0, 1));
    assert!(state.failure.is_some_and(|(_, why)| why.contains("template")));
    scene.provider.answers(takes);
    post(&scene, &json!([text("wamid.2", "note one")]));
    scene.round();
    let status = json!({ "object": "whatsapp_business_account", "entry": [{ "id": "1", "changes": [{ "field": "messages",
        "value": { "messaging_product": "whatsapp", "metadata": { "phone_number_id": "106" }, "statuses": [
            { "id": "wamid.out", "status": "failed", "recipient_id": "15555550123",
              "errors": [{ "code": 131_047, "title": "Re-engagement message" }] }] } }] }] });
    let before = sent(&scene).len();
    post_body(&scene, &status);
    post(&scene, &json!([text("wamid.3", "note two")]));
    scene.round();
    let words: Vec<String> = sent(&scene)
        .iter()
        .skip(before)
        .map(|one| one["text"]["body"].to_string())
        .collect();
    assert!(
        words.len() >= 2
            && words[words.len() - 1].contains("Noted: two")
            && words[words.len() - 2].contains("Noted: one"),
        "what was reported goes again, before the answer: {words:?}"
    );
}

/// A file that never comes holds up its own message and nobody else.
#[test]
fn a_file_that_never_comes_is_given_a_while_and_no_more() {
    let mut scene = scene();
    scene.messengers.caller = impatient();
    let code = scene.code("connect whatsapp");
    post(&scene, &json!([text("wamid.1", &code)]));
    scene.round();
    let voice = json!({ "from": "15555550123", "id": "wamid.2", "timestamp": "1", "type": "audio",
        "audio": { "id": "V1", "mime_type": "audio/ogg; codecs=opus", "voice": true } });
    for (hanging, begun) in [("/v26.0/V1", false), ("/file/V1", false), ("/file/V1", true)] {
        scene.provider.hangs(hanging, begun);
        post(&scene, &json!([voice]));
        scene.round();
        assert_eq!(
            scene
                .yard()
                .count("SELECT count(*) FROM waiting WHERE state = 'waiting'"),
            1
        );
        let why = "SELECT count(*) FROM waiting WHERE last_failure LIKE '%took too long'";
        assert_eq!(scene.yard().count(why), 1, "{hanging}");
        scene.then(|yard| yard.later(3));
    }
    scene.provider.hangs_no_more();
    scene.round();
    assert_eq!(
        scene
            .yard()
            .count("SELECT count(*) FROM file WHERE media_type LIKE 'audio/%'"),
        1
    );
    assert_eq!(
        scene
            .yard()
            .count("SELECT count(*) FROM waiting WHERE state = 'waiting'"),
        0
    );
}

/// A picture that cannot be had takes the words beside it along nowhere: they are answered, and it is said to be missing.
#[test]
fn words_beside_a_picture_that_is_missing_are_taken() {
    let mut scene = scene();
    let code = scene.code("connect whatsapp");
    let photo = json!({ "from": "15555550123", "id": "wamid.2", "timestamp": "1", "type": "image",
        "image": { "id": "V2", "mime_type": "image/jpeg", "caption": "note gate code 4411" } });
    post(&scene, &json!([text("wamid.1", &code), photo]));
    scene.round();
    let told: Vec<String> = sent(&scene).iter().map(|one| one["text"]["body"].to_string()).collect();
    assert_eq!(told.len(), 3, "{told:?}");
    assert!(told[1].contains("Noted: gate code 4411"), "{told:?}");
    assert!(told[2].contains("could not get all of what you sent"), "{told:?}");
}
