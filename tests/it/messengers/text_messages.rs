//! Text messages from outside: calls that are signed as the provider signs them, and a stand-in for its REST service.

use tallyhand::channels::{
    Channel, Hidden, Lines, MEDIA_BYTES_MAX,
    sms::{self, Sms},
};

use super::{ANA, Scene, bodies};
use crate::support::{Given, Said, Seen, said};

const PUBLIC_URL: &str = "https://yard.example.com";
const ACCOUNT: &str = "AC00000000000000000000000000000000";

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
    for (headers, noted) in [(vec![], false), (vec![("x-twilio-signature", "AAAA")], true)] {
        assert_eq!(scene.yard().posts("/hooks/sms", &headers, body).status, 404);
        assert_eq!(scene.yard().posts("/hooks/sms/status", &headers, body).status, 404);
        // Who has the address or the token wrong has nowhere else to see it.
        assert_eq!(scene.failure(Channel::Sms).contains("public_url and sms_token"), noted);
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
    let again = says(&scene, "SM1", ANA, "note gate <code> 4411");
    assert_eq!(again.body, given.body, "who calls again did not get the response");
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
        // A byte more than is taken, of a length that it does not say.
        path if path.ends_with("/ME5") => (200, Vec::new(), vec![1; MEDIA_BYTES_MAX + 1]),
        path => (307, vec![("location", path.to_string())], Vec::new()),
    });
    for (index, media) in ["ME1", "ME2", "ME3", "ME5", "ME4"].into_iter().enumerate() {
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
    let large = sent.iter().filter(|text| text.contains("too large")).count();
    assert_eq!(large, 1, "{sent:?}");
}

/// What was queued before STOP does not go out after it, not even when the owner sends it again; after START it does.
#[test]
fn stop_holds_back_what_is_queued_already() {
    let mut scene = connected(false);
    scene.round();
    scene.provider.answers(|_| said(503, "{}"));
    says(&scene, "SM1", ANA, "note gate code 4411");
    scene.round();
    scene.provider.answers(takes);
    let before = scene.provider.seen(SENDING).len();
    says(&scene, "SM2", ANA, "STOP");
    scene.then(|yard| yard.later(30));
    scene.round();
    scene.then(|yard| {
        yard.says("undelivered")
            .replies("they wrote STOP")
            .says("send again")
            .whatever()
    });
    scene.round();
    assert_eq!(scene.provider.seen(SENDING).len(), before, "nothing after STOP");
    says(&scene, "SM3", ANA, "START");
    scene.then(|yard| yard.says("send again").replies("Sending"));
    scene.round();
    let sent = bodies(&scene.provider.seen(SENDING));
    assert_eq!(
        sent.iter().filter(|text| text.contains("4411")).count(),
        2,
        "the first was not taken: {sent:?}"
    );
}

/// An answer in two pieces, of which the carrier loses the first, before the second has gone out or after.
#[test]
fn a_report_on_any_piece_is_one_on_the_letter() {
    for late in [false, true] {
        let mut scene = connected(false);
        scene.round();
        let mut number = 0;
        scene.provider.answers(move |_| {
            number += 1;
            // The second piece has to wait for a while.
            if number == 2 && !late {
                return said(503, "{}");
            }
            said(201, &format!(r#"{{"sid":"OUT{number}"}}"#))
        });
        says(&scene, "SM1", ANA, "price list");
        scene.round();
        let fields = [
            ("MessageSid", "OUT1"),
            ("MessageStatus", "undelivered"),
            ("ErrorCode", "30005"),
        ];
        assert_eq!(post(&scene, "/hooks/sms/status", &fields).status, 204);
        assert_eq!(post(&scene, "/hooks/sms/status", &fields).status, 204);
        scene.then(|yard| yard.later(30));
        scene.round();
        scene.then(|yard| {
            yard.says("undelivered")
                .replies("the carrier reports undelivered (30005)")
        });
        let before = scene.provider.seen(SENDING).len();
        scene.then(|yard| yard.says("send again").replies("Sending"));
        scene.round();
        assert_eq!(scene.provider.seen(SENDING).len(), before + 2, "from its beginning");
        assert_eq!(post(&scene, "/hooks/sms/status", &fields).status, 204);
        scene.then(|yard| yard.says("undelivered").replies("Nothing got stuck"));
    }
}
