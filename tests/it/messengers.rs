//! Text messages, WhatsApp, Matrix and a gateway from outside, each with a stand-in for its provider.
//!
//! This file is long because all of them share one scene.

use std::sync::{Arc, Mutex};

use serde_json::{Value, json};
use tallyhand::{
    channels::{
        Channel, Hidden, Lines,
        gateway::Gateway,
        matrix::Matrix,
        sms::{self, Sms},
        whatsapp::{self, Whatsapp},
    },
    runtime::{Caller, Messengers, Round, Waits},
};

use crate::support::{FakeProvider, Given, Said, Seen, Yard, said};

const PUBLIC_URL: &str = "https://yard.example.com";
const ACCOUNT: &str = "AC00000000000000000000000000000000";
const ANA: &str = "+15555550123";

/// A yard with one messenger, and its provider.
struct Scene {
    yard: Option<Yard>,
    provider: FakeProvider,
    messengers: Messengers,
}

impl Scene {
    fn new(answers: impl FnMut(&Seen) -> Said + Send + 'static, lines: impl FnOnce(&str) -> Lines) -> Scene {
        let mut provider = None;
        let yard = Yard::with_lines(|runtime| {
            let started = runtime.block_on(FakeProvider::start(answers));
            let lines = lines(&started.url);
            provider = Some(started);
            lines
        });
        let messengers = yard.messengers();
        Scene {
            yard: Some(yard),
            provider: provider.expect("it was started"),
            messengers,
        }
    }

    fn yard(&self) -> &Yard {
        self.yard.as_ref().expect("it is open")
    }

    fn then(&mut self, what: impl FnOnce(Yard) -> Yard) {
        self.yard = self.yard.take().map(what);
    }

    fn code(&mut self, text: &str) -> String {
        self.then(|yard| yard.says(text));
        let answer = self.yard.as_mut().expect("it is open").next_answer();
        let words = answer["text"].as_str().expect("words");
        let line = words.lines().find(|line| line.len() == 14);
        line.unwrap_or_else(|| panic!("a line with the code: {words}"))
            .to_string()
    }

    /// Worked off and sent, until nothing happens any more.
    fn round(&self) {
        self.yard().wait(async {
            loop {
                let worked = self.messengers.work_off_inbox().await.expect("the book works");
                let sent = self.messengers.send_letters().await.expect("the book works");
                if worked + sent == 0 {
                    break;
                }
            }
        });
    }
}

/// A caller that waits for less long than production does.
fn impatient() -> Caller {
    let wait = std::time::Duration::from_millis(300);
    Caller::new(Waits {
        connect: wait,
        answer: wait,
        fetch: wait,
    })
    .expect("a client")
}

fn bodies(seen: &[Seen]) -> Vec<String> {
    seen.iter().filter_map(|one| one.field("Body")).collect()
}

mod text_messages {
    use super::{ACCOUNT, ANA, Given, Hidden, Lines, PUBLIC_URL, Said, Scene, Seen, Sms, bodies, said, sms};

    const SENDING: &str = "/2010-04-01/Accounts/AC00000000000000000000000000000000/Messages.json";

    fn line(api: &str, in_response: bool) -> Lines {
        Lines {
            sms: Some(Sms {
                account: ACCOUNT.into(),
                token: Hidden::new("test-token"),
                number: Some("+15555550100".into()),
                api: api.into(),
                public_url: PUBLIC_URL.into(),
                in_response,
                media_hosts: vec![sms::MEDIA_HOST.into()],
            }),
            ..Lines::default()
        }
    }

    fn takes(seen: &Seen) -> Said {
        match seen.path.as_str() {
            SENDING => said(201, r#"{"sid":"SM9","status":"queued"}"#),
            _ => said(404, "{}"),
        }
    }

    fn post(scene: &Scene, path: &str, fields: &[(&str, &str)]) -> Given {
        let url = reqwest::Url::parse_with_params("http://form/", fields).expect("fields fit in a form");
        let body = url.query().unwrap_or_default().as_bytes();
        let form: Vec<(String, String)> = fields
            .iter()
            .map(|(name, value)| (name.to_string(), value.to_string()))
            .collect();
        let signed = sms::signature(&format!("{PUBLIC_URL}{path}"), &form, &Hidden::new("test-token"));
        let headers = [
            ("x-twilio-signature", signed.as_str()),
            ("content-type", "application/x-www-form-urlencoded"),
            // What a stranger could set does not matter.
            ("host", "evil.example"),
        ];
        scene.yard().posts(path, &headers, body)
    }

    fn says(scene: &Scene, id: &str, from: &str, text: &str) -> Given {
        let fields = [
            ("MessageSid", id),
            ("AccountSid", ACCOUNT),
            ("From", from),
            ("To", "+15555550100"),
            ("Body", text),
            ("NumMedia", "0"),
        ];
        post(scene, "/hooks/sms", &fields)
    }

    fn connected(in_response: bool) -> Scene {
        let mut scene = Scene::new(takes, |api| line(api, in_response));
        let code = scene.code("connect my phone");
        let given = says(&scene, "SM0", ANA, &code);
        assert_eq!((given.status, given.header("content-type")), (200, "text/xml"));
        scene
    }

    #[test]
    fn a_text_is_acknowledged_with_empty_xml_and_answered_by_rest() {
        let scene = connected(false);
        let given = says(&scene, "SM1", ANA, "12 small 3 medium crapes at Alder Ct");
        assert!(given.body.ends_with("<Response></Response>"), "{}", given.body);
        assert_eq!(
            says(&scene, "SM1", ANA, "12 small 3 medium crapes at Alder Ct").status,
            200,
            "again"
        );
        scene.round();
        let sent = scene.provider.seen(SENDING);
        assert_eq!(sent.len(), 2, "{:?}", bodies(&sent));
        assert_eq!(sent[1].method, "POST");
        assert!(bodies(&sent)[1].contains("Total $216.00"), "{:?}", bodies(&sent));
        assert_eq!(sent[1].field("To").as_deref(), Some(ANA));
        assert!(
            sent[1].headers["authorization"]
                .to_str()
                .expect("text")
                .starts_with("Basic ")
        );
        assert_eq!(
            sent[1].field("StatusCallback").as_deref(),
            Some("https://yard.example.com/hooks/sms/status")
        );
        assert!(
            tallyhand::channels::gsm::is_gsm(&bodies(&sent)[1]),
            "it goes out in the cheap alphabet"
        );
    }

    /// Calls that come twice, mixed up or cut short: each message counts once, in the order in which they first came whole.
    #[test]
    fn calls_that_come_twice_mixed_up_or_cut_count_once() {
        let scene = connected(false);
        for id in ["SM2", "SM1", "SM2", "SM3", "SM1", "SM3"] {
            assert_eq!(says(&scene, id, ANA, &format!("note number {id}")).status, 200);
        }
        let whole = [("Body", "note cut off"), ("From", ANA), ("MessageSid", "SM4")];
        let form: Vec<(String, String)> = whole.map(|(name, value)| (name.to_string(), value.to_string())).into();
        let signed = sms::signature(&format!("{PUBLIC_URL}/hooks/sms"), &form, &Hidden::new("test-token"));
        let headers = [
            ("x-twilio-signature", signed.as_str()),
            ("content-type", "application/x-www-form-urlencoded"),
        ];
        for cut in [
            "Body=note+cut+off&From=%2B15555550123&MessageS",
            "Body=%FF%FE&From=%2B1555%",
            "",
        ] {
            assert_eq!(
                scene.yard().posts("/hooks/sms", &headers, cut.as_bytes()).status,
                404,
                "{cut}"
            );
        }
        scene.round();
        let sent = bodies(&scene.provider.seen(SENDING));
        assert_eq!(
            sent[1..],
            ["Noted: number SM2", "Noted: number SM1", "Noted: number SM3"]
        );
        assert_eq!(
            scene
                .yard()
                .count("SELECT count(*) FROM message WHERE text LIKE 'note%'"),
            3
        );
    }

    /// Bytes of another charset under a good signature: something readable is taken, and nothing falls over.
    #[test]
    fn a_text_in_another_charset_is_taken_as_far_as_it_goes() {
        let scene = connected(false);
        let form = [("Body", "note caf\u{FFFD}"), ("From", ANA), ("MessageSid", "SM5")];
        let form: Vec<(String, String)> = form.map(|(name, value)| (name.to_string(), value.to_string())).into();
        let signed = sms::signature(&format!("{PUBLIC_URL}/hooks/sms"), &form, &Hidden::new("test-token"));
        let headers = [
            ("x-twilio-signature", signed.as_str()),
            ("content-type", "application/x-www-form-urlencoded; charset=ISO-8859-1"),
        ];
        let body = b"Body=note+caf%E9&From=%2B15555550123&MessageSid=SM5";
        assert_eq!(scene.yard().posts("/hooks/sms", &headers, body).status, 200);
        scene.round();
        assert_eq!(
            scene
                .yard()
                .count("SELECT count(*) FROM message WHERE text LIKE 'note caf%'"),
            1
        );
    }

    #[test]
    fn unsigned_and_strangers_calls_leave_nothing() {
        let scene = connected(false);
        let body = b"MessageSid=SM5&From=%2B15555550123&Body=undo";
        for headers in [vec![], vec![("x-twilio-signature", "AAAA")]] {
            assert_eq!(scene.yard().posts("/hooks/sms", &headers, body).status, 404);
            assert_eq!(scene.yard().posts("/hooks/sms/status", &headers, body).status, 404);
        }
        assert_eq!(says(&scene, "SM6", "+15555550999", "12 small crapes").status, 200);
        scene.round();
        assert_eq!(scene.provider.seen(SENDING).len(), 1);
        assert_eq!(scene.yard().count("SELECT count(*) FROM waiting"), 1);
    }

    /// The carriers' words: silence after STOP, answers again after START; what was said is kept all the same.
    #[test]
    fn stop_and_start_are_heeded() {
        let scene = connected(false);
        scene.round();
        says(&scene, "SM1", ANA, "Stop");
        says(&scene, "SM2", ANA, "note gate code 4411");
        scene.round();
        assert_eq!(
            scene.provider.seen(SENDING).len(),
            1,
            "nothing after STOP, not even a goodbye of ours"
        );
        assert_eq!(
            scene
                .yard()
                .count("SELECT count(*) FROM message WHERE text LIKE '%4411'"),
            1
        );
        says(&scene, "SM3", ANA, "START");
        says(&scene, "SM4", ANA, "note the dog bites");
        scene.round();
        let sent = bodies(&scene.provider.seen(SENDING));
        assert_eq!(sent.len(), 3, "{sent:?}");
        assert!(sent[1].contains("again") && sent[2].contains("dog"));
    }

    /// A list that is too long for a message comes as a file, and a file as a link that only who has it can open.
    #[test]
    fn files_go_as_links() {
        let mut scene = connected(false);
        scene.messengers.public_url = Some(PUBLIC_URL.into());
        for number in 1..=14 {
            says(
                &scene,
                &format!("SM{number}"),
                ANA,
                &format!("12 small crapes at {number} Alder Ct"),
            );
        }
        says(&scene, "SM20", ANA, "open quotes");
        scene.round();
        let sent = bodies(&scene.provider.seen(SENDING)).join("\n");
        let (_, link) = sent
            .split_once("https://yard.example.com/f/")
            .unwrap_or_else(|| panic!("a link in {sent}"));
        let secret = link.lines().next().unwrap_or_default().trim();
        assert_eq!(scene.yard().gets(&format!("/f/{secret}"), None).status, 200);
        assert_eq!(scene.yard().gets("/f/0000", None).status, 404);
    }

    #[test]
    fn a_report_of_the_carrier_makes_a_dead_letter() {
        let mut scene = connected(false);
        says(&scene, "SM1", ANA, "note gate code 4411");
        scene.round();
        let report = |status: &str, code: &str| {
            post(
                &scene,
                "/hooks/sms/status",
                &[("MessageSid", "SM9"), ("MessageStatus", status), ("ErrorCode", code)],
            )
            .status
        };
        assert_eq!(
            (
                report("delivered", ""),
                report("undelivered", "30005"),
                report("undelivered", "30005")
            ),
            (204, 204, 204)
        );
        scene.then(|yard| {
            yard.says("undelivered")
                .replies("the carrier reports undelivered (30005)")
                .says("send again")
                .replies("again")
        });
        scene.round();
        let sent = bodies(&scene.provider.seen(SENDING));
        assert_eq!(
            sent.iter().filter(|text| text.contains("gate code 4411")).count(),
            2,
            "from its beginning: {sent:?}"
        );
    }

    #[test]
    fn answers_go_into_the_response_where_that_is_wanted() {
        let scene = connected(true);
        // The worker runs beside the calls, as it does in `serve`.
        let worker = scene.messengers.clone();
        scene.yard().wait(async move {
            drop(tokio::spawn(async move {
                loop {
                    worker.work_off_inbox().await.expect("the book works");
                    worker.send_letters().await.expect("the book works");
                    tokio::time::sleep(std::time::Duration::from_millis(20)).await;
                }
            }));
        });
        let given = says(&scene, "SM1", ANA, "note gate <code> 4411");
        assert!(
            given.body.contains("<Message>Noted: gate &lt;code&gt; 4411</Message>"),
            "{}",
            given.body
        );
        let given = says(&scene, "SM1", ANA, "note gate <code> 4411");
        assert!(given.body.ends_with("<Response></Response>"), "{}", given.body);
        assert!(scene.provider.seen(SENDING).is_empty(), "nothing goes by REST");
    }

    /// A picture is fetched by its ids from the provider, with our secret to the first host only.
    #[test]
    fn what_is_sent_along_is_fetched_from_the_provider_alone() {
        let scene = connected(false);
        let jpeg = [b"\xff\xd8\xff\xe0\0\x10JFIF\0".as_slice(), &[1; 500]].concat();
        scene.provider.answers(move |seen| match seen.path.as_str() {
            SENDING => said(201, r#"{"sid":"SM9"}"#),
            path if path.ends_with("/Messages/MM1/Media/ME1") => (200, Vec::new(), jpeg.clone()),
            // To a machine in the house, to a name that ends alike, and round in a circle.
            path if path.ends_with("/ME2") => (
                307,
                vec![("location", "http://127.0.0.1:1/secret".to_string())],
                Vec::new(),
            ),
            path if path.ends_with("/ME3") => (
                307,
                vec![("location", "https://mms.twiliocdn.com.evil.example/".to_string())],
                Vec::new(),
            ),
            path => (307, vec![("location", path.to_string())], Vec::new()),
        });
        for (index, media) in ["ME1", "ME2", "ME3", "ME4"].into_iter().enumerate() {
            let url = format!("https://169.254.169.254/2010-04-01/Accounts/{ACCOUNT}/Messages/MM1/Media/{media}");
            let id = format!("MM{index}");
            let fields = [
                ("MessageSid", id.as_str()),
                ("AccountSid", ACCOUNT),
                ("From", ANA),
                ("Body", ""),
                ("NumMedia", "1"),
                ("MediaUrl0", &url),
                ("MediaContentType0", "image/jpeg"),
            ];
            assert_eq!(post(&scene, "/hooks/sms", &fields).status, 200);
        }
        scene.round();
        assert_eq!(
            scene
                .yard()
                .count("SELECT count(*) FROM file WHERE media_type = 'image/jpeg' AND length(bytes) = 511"),
            1
        );
        let sent = bodies(&scene.provider.seen(SENDING));
        let refused = sent
            .iter()
            .filter(|text| text.contains("could not get what you sent"))
            .count();
        assert_eq!(refused, 2, "{sent:?}");
    }
}

mod whatsapp_cloud {
    use serde_json::{Value, json};

    use super::{Hidden, Lines, Said, Scene, Seen, Whatsapp, said, whatsapp};

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
        assert_eq!(scene.yard().gets(&format!("{path}no"), None).status, 403);
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
        let body =
            json!({ "object": "whatsapp_business_account", "entry": [{ "id": "1", "changes": [{ "field": "messages",
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
            .wait(scene.yard().handle().channel_state(super::Channel::Whatsapp));
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
        scene.messengers.caller = super::impatient();
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
}

mod matrix_rooms {
    use std::collections::VecDeque;

    use super::{Arc, Channel, Hidden, Lines, Matrix, Mutex, Round, Said, Scene, Seen, Value, json, said};

    type News = Arc<Mutex<VecDeque<Value>>>;

    fn scene() -> (Scene, News) {
        let news: News = Arc::default();
        let queue = Arc::clone(&news);
        let takes = move |seen: &Seen| -> Said {
            let path = seen.path.strip_prefix("/_matrix/client/").unwrap_or(&seen.path);
            if path.starts_with("v3/sync") {
                let next = queue.lock().expect("no test panics here").pop_front();
                return said(200, &next.unwrap_or_else(|| json!({ "next_batch": "end" })).to_string());
            }
            if path.starts_with("v3/rooms/%21r%3Aexample.org/messages") {
                let event = |id: &str, text: &str| event(id, text);
                return said(
                    200,
                    &json!({ "chunk": [event("$m2", "note two"), event("$m1", "note one")] }).to_string(),
                );
            }
            if path.contains("/send/m.room.message/") {
                return said(200, r#"{"event_id":"$out"}"#);
            }
            said(200, "{}")
        };
        let scene = Scene::new(takes, |server| Lines {
            matrix: Some(Matrix {
                server: server.into(),
                token: Hidden::new("syt_t"),
                user: "@yard:example.org".into(),
                invites: vec!["example.org".into()],
            }),
            ..Lines::default()
        });
        (scene, news)
    }

    fn event(id: &str, text: &str) -> Value {
        json!({ "type": "m.room.message", "event_id": id, "sender": "@ana:example.org",
            "content": { "msgtype": "m.text", "body": text } })
    }

    fn joined(next: &str, events: &[Value], limited: bool) -> Value {
        json!({ "next_batch": next, "rooms": { "join": { "!r:example.org": { "timeline": {
            "events": events, "limited": limited, "prev_batch": "before" } } } } })
    }

    fn sync(scene: &Scene) -> Round {
        let line = scene.messengers.lines.matrix.clone().expect("it is on");
        scene.yard().wait(scene.messengers.sync_matrix(&line, 0, 1))
    }

    fn sent(scene: &Scene) -> Vec<(String, String)> {
        let seen = scene.provider.seen("/_matrix/client/v3/rooms/%21r%3Aexample.org/send/");
        let body = |one: &Seen| one.json()["body"].as_str().unwrap_or_default().to_string();
        seen.iter()
            .map(|one| (one.path.rsplit('/').next().unwrap_or_default().to_string(), body(one)))
            .collect()
    }

    #[test]
    fn news_is_asked_for_invitations_followed_gaps_filled_and_answers_keyed() {
        let (mut scene, news) = scene();
        let push = |value: Value| news.lock().expect("no test panics here").push_back(value);
        push(joined("s1", &[event("$old", "note history")], false));
        assert_eq!(
            sync(&scene),
            Round::Brought(0),
            "what was said before we came is left alone"
        );
        let invite = json!({ "events": [{ "type": "m.room.member", "state_key": "@yard:example.org",
            "sender": "@ana:example.org", "content": { "membership": "invite" } }] });
        push(json!({ "next_batch": "s2", "rooms": { "invite": { "!r:example.org": { "invite_state": invite } } } }));
        sync(&scene);
        assert_eq!(
            scene
                .provider
                .seen("/_matrix/client/v3/rooms/%21r%3Aexample.org/join")
                .len(),
            1
        );
        let code = scene.code("connect matrix");
        push(joined("s3", &[event("$1", &code)], false));
        push(joined("s4", &[event("$m3", "note three")], true));
        sync(&scene);
        assert_eq!(sync(&scene), Round::Brought(3));
        let asked = scene.provider.seen("/_matrix/client/v3/sync").pop().expect("it asked");
        assert!(asked.path.contains("since=s3"), "{}", asked.path);
        assert_eq!(asked.headers["authorization"], "Bearer syt_t");
        scene.round();
        let sent = sent(&scene);
        let words: Vec<&str> = sent.iter().map(|(_, words)| words.as_str()).collect();
        assert!(words[0].starts_with("You are in"), "{words:?}");
        assert_eq!(words[1..], ["Noted: one", "Noted: two", "Noted: three"]);
        let mut keys: Vec<&String> = sent.iter().map(|(key, _)| key).collect();
        keys.dedup();
        assert_eq!(keys.len(), 4, "each has a key of its own");
        assert_eq!(
            scene
                .yard()
                .wait(scene.yard().handle().cursor(Channel::Matrix))
                .expect("the book works")
                .as_deref(),
            Some("s4")
        );
    }

    #[test]
    fn a_server_that_is_not_well_is_waited_for() {
        let (scene, _) = scene();
        scene
            .provider
            .answers(|_| said(429, r#"{"errcode":"M_LIMIT_EXCEEDED","retry_after_ms":7000}"#));
        assert_eq!(sync(&scene), Round::Wait(7));
        scene.provider.answers(|_| said(401, "{}"));
        assert_eq!(sync(&scene), Round::Wait(30));
        scene
            .provider
            .answers(|_| (200, Vec::new(), b"{\"next_batch\":".to_vec()));
        assert!(matches!(sync(&scene), Round::Wait(_)));
    }

    #[test]
    fn a_server_that_never_answers_is_asked_again() {
        let (mut scene, _) = scene();
        scene.messengers.caller = super::impatient();
        for begun in [false, true] {
            scene.provider.hangs("/_matrix/client/v3/sync", begun);
            assert!(matches!(sync(&scene), Round::Wait(_)), "begun: {begun}");
        }
        scene.provider.hangs_no_more();
        assert_eq!(sync(&scene), Round::Brought(0));
    }
}

mod gateways {
    use super::{Gateway, Hidden, Lines, Said, Scene, Seen};

    fn scene() -> Scene {
        let takes = |_: &Seen| -> Said { (202, Vec::new(), b"0: Accepted for delivery".to_vec()) };
        Scene::new(takes, |url| Lines {
            gateway: Some(Gateway {
                key: Hidden::new("k3y"),
                send_url: format!("{url}/cgi-bin/sendsms"),
                user: "tester".into(),
                password: Hidden::new("foobar"),
                number: "15550100".into(),
            }),
            ..Lines::default()
        })
    }

    #[test]
    fn a_text_comes_by_get_and_is_answered_by_get() {
        let mut scene = scene();
        let code = scene.code("connect gateway");
        let get = |scene: &Scene, query: &str| scene.yard().gets(&format!("/hooks/gateway?{query}"), None);
        let given = get(&scene, &format!("key=k3y&from=15550123&id=1&text={code}"));
        assert_eq!(
            (given.status, given.body.as_str()),
            (200, ""),
            "a body would go to the phone"
        );
        for _ in 0..3 {
            get(
                &scene,
                "key=k3y&from=15550123&id=2&text=note+gate+code+4411&charset=UTF-8",
            );
        }
        assert_eq!(get(&scene, "key=no&from=15550123&id=3&text=undo").status, 404);
        assert_eq!(
            get(&scene, "key=k3y&from=15550999&id=4&text=12+small+crapes").status,
            200
        );
        scene.round();
        let texts: Vec<Option<String>> = scene
            .provider
            .seen("/cgi-bin/sendsms")
            .iter()
            .map(|one| one.field("text"))
            .collect();
        assert_eq!(texts.len(), 2, "{texts:?}");
        assert_eq!(texts[1].as_deref(), Some("Noted: gate code 4411"));
        // Nobody else says goodbye for a gateway of one's own.
        get(&scene, "key=k3y&from=15550123&id=5&text=STOP");
        get(&scene, "key=k3y&from=15550123&id=6&text=note+x");
        scene.round();
        let seen = scene.provider.seen("/cgi-bin/sendsms");
        assert_eq!(seen.len(), 3);
        assert!(
            seen[2]
                .field("text")
                .is_some_and(|text| text.contains("START brings them back"))
        );
    }

    /// A provider that takes a letter and never says so: the letter stays queued, and chats of other people go on.
    #[test]
    fn a_gateway_that_never_answers_is_given_a_while_and_no_more() {
        let mut scene = scene();
        scene.messengers.caller = super::impatient();
        let code = scene.code("connect gateway");
        let get = |scene: &Scene, query: &str| scene.yard().gets(&format!("/hooks/gateway?{query}"), None).status;
        get(&scene, &format!("key=k3y&from=15550123&id=1&text={code}"));
        for begun in [false, true] {
            scene.provider.hangs("/cgi-bin/sendsms", begun);
            scene.round();
            let state = scene
                .yard()
                .wait(scene.yard().handle().channel_state(super::Channel::Gateway))
                .expect("a state");
            assert_eq!((state.queued, state.given_up), (1, 0));
            assert!(
                state.failure.is_some_and(|(_, why)| why.contains("took too long")),
                "begun: {begun}"
            );
            scene.then(|yard| yard.later(15));
        }
        scene.provider.hangs_no_more();
        scene.round();
        let state = scene
            .yard()
            .wait(scene.yard().handle().channel_state(super::Channel::Gateway));
        assert_eq!(state.expect("a state").queued, 0);
    }

    /// A provider that is down, slow to come back or cuts its answers short costs time and nothing else.
    #[test]
    fn a_gateway_that_is_down_is_waited_for() {
        let mut scene = scene();
        let code = scene.code("connect gateway");
        let get = |scene: &Scene, query: &str| scene.yard().gets(&format!("/hooks/gateway?{query}"), None).status;
        get(&scene, &format!("key=k3y&from=15550123&id=1&text={code}"));
        for status in [500, 503, 429] {
            scene.provider.answers(move |_| (status, Vec::new(), Vec::new()));
            scene.round();
            scene.then(|yard| yard.later(15));
        }
        // An answer that ends before it should: it may have been taken or not, so it is tried again.
        scene
            .provider
            .answers(|_| (202, vec![("content-length", "500".to_string())], b"0: Acc".to_vec()));
        scene.round();
        scene.then(|yard| yard.later(15));
        let state = scene
            .yard()
            .wait(scene.yard().handle().channel_state(super::Channel::Gateway))
            .expect("a state");
        assert_eq!((state.queued, state.given_up), (1, 0));
        assert!(state.failure.is_some());
        scene
            .provider
            .answers(|_| (202, Vec::new(), b"0: Accepted for delivery".to_vec()));
        scene.round();
        let state = scene
            .yard()
            .wait(scene.yard().handle().channel_state(super::Channel::Gateway))
            .expect("a state");
        assert_eq!((state.queued, state.given_up), (0, 0));
    }
}
