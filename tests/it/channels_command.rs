//! `tallyhand channels` and `tallyhand channels test …`, as whoever sets a messenger up uses them: the real program, and
//! stand-ins for the providers.

#![allow(clippy::disallowed_methods, reason = "another process is waited for in real time")]

use std::time::{Duration, Instant};

use serde_json::json;
use tempfile::TempDir;
use tokio::runtime::Runtime;

use crate::support::{FakeProvider, FakeTelegram, Output, SECRET, Server, TOKEN, said, tallyhand_with};

/// A home of one's own and the settings to run the program with.
struct Desk {
    runtime: Runtime,
    home: TempDir,
    settings: Vec<(&'static str, String)>,
}

impl Desk {
    fn new() -> Desk {
        Desk {
            runtime: tokio::runtime::Builder::new_multi_thread()
                .worker_threads(1)
                .enable_all()
                .build()
                .expect("a runtime"),
            home: TempDir::new().expect("a folder"),
            settings: Vec::new(),
        }
    }

    /// A desk with a token in a file, as the README has it, and a stand-in for Telegram.
    fn with_telegram() -> (Desk, FakeTelegram) {
        let mut desk = Desk::new();
        let fake = desk.runtime.block_on(FakeTelegram::start());
        let token = desk.home.path().join("token");
        std::fs::write(&token, format!("{TOKEN}\n")).expect("a file");
        desk.set("TALLYHAND_TELEGRAM_TOKEN_FILE", &token.display().to_string());
        desk.set("TALLYHAND_TELEGRAM_API", &fake.url);
        (desk, fake)
    }

    fn with_provider(name: &'static str, status: u16, body: &'static str) -> (Desk, FakeProvider) {
        let mut desk = Desk::new();
        let provider = desk.runtime.block_on(FakeProvider::start(move |_| said(status, body)));
        let url = provider.url.clone();
        desk.set(name, &url);
        (desk, provider)
    }

    fn set(&mut self, name: &'static str, value: &str) {
        self.settings.retain(|(known, _)| *known != name);
        self.settings.push((name, value.to_string()));
    }

    fn settings(&self) -> Vec<(&str, &str)> {
        self.settings
            .iter()
            .map(|(name, value)| (*name, value.as_str()))
            .collect()
    }

    fn runs(&self, arguments: &[&str]) -> Output {
        let book = self.home.path().join("book.sqlite");
        let db = ["--db", book.to_str().expect("a plain path")];
        tallyhand_with(self.home.path(), &self.settings(), &[&db, arguments].concat(), b"")
    }

    #[track_caller]
    fn says(&self, arguments: &[&str], code: i32, wanted: &[&str]) {
        let output = self.runs(arguments);
        let all = format!("{}{}", output.stdout, output.stderr);
        for words in wanted {
            assert!(all.contains(words), "{arguments:?}: no {words:?} in\n{all}");
        }
        assert_eq!(output.code, Some(code), "{arguments:?}:\n{all}");
        assert!(!all.contains("TESTTOKEN"), "a secret is shown:\n{all}");
    }
}

#[test]
fn what_is_off_says_so() {
    let desk = Desk::new();
    desk.says(
        &["channels"],
        0,
        &[
            "telegram  off",
            "sms       off",
            "whatsapp  off",
            "matrix    off",
            "gateway   off",
            "signed    off",
        ],
    );
    desk.says(&["channels", "test", "telegram"], 1, &["switched off", "README"]);
    desk.says(&["channels", "test", "pigeon"], 1, &["no channel", "telegram, sms"]);
}

#[test]
fn a_token_is_tried_before_anything_is_sent() {
    let (mut desk, fake) = Desk::with_telegram();
    let test = ["channels", "test", "telegram"];
    desk.says(
        &test,
        0,
        &[
            "the token is good: this is @yard_bot",
            "no webhook is set",
            "messages waiting there: 0",
        ],
    );
    fake.says(42, "hello");
    fake.sets_webhook("https://elsewhere.example.org/bot");
    desk.says(
        &test,
        0,
        &["a webhook is set; `serve` takes it away", "messages waiting there: 1"],
    );
    assert!(fake.calls("getUpdates").is_empty(), "a test takes nobody's news away");
    desk.set("TALLYHAND_TELEGRAM_WEBHOOK_SECRET", "abc");
    desk.says(&test, 2, &["telegram_webhook_secret needs public_url"]);
    desk.set("TALLYHAND_PUBLIC_URL", "https://yard.example.com");
    desk.says(
        &test,
        0,
        &["the webhook is https://elsewhere.example.org/bot, which is not this house"],
    );
    fake.sets_webhook("https://yard.example.com/hooks/telegram");
    desk.says(&test, 0, &["/hooks/telegram, as it should be"]);
    desk.settings
        .retain(|(name, _)| *name != "TALLYHAND_TELEGRAM_TOKEN_FILE");
    desk.set("TALLYHAND_TELEGRAM_TOKEN", "123456:WRONGTESTTOKEN");
    desk.says(&test, 1, &["token"]);
    desk.set("TALLYHAND_TELEGRAM_API", "http://127.0.0.1:9");
    desk.says(&test, 1, &["no connection"]);
}

/// Two programs with one token: the second is told so, and whoever asks sees it.
#[test]
fn a_second_program_with_the_same_token_is_seen() {
    let (desk, fake) = Desk::with_telegram();
    for _ in 0..3 {
        let conflict = json!({ "ok": false, "error_code": 409,
            "description": "Conflict: terminated by other getUpdates request; make sure that only one bot instance is running" });
        fake.refuses("getUpdates", 409, conflict);
    }
    let server = Server::start_with(
        desk.home.path(),
        &desk.home.path().join("book.sqlite"),
        &desk.settings(),
    );
    let shown = until(|| {
        let shown = desk.runs(&["channels"]).stdout;
        shown.contains("last failure").then_some(shown)
    });
    assert!(shown.contains("other getUpdates request"), "{shown}");
    desk.says(
        &["channels", "test", "telegram"],
        0,
        &["the token is good", "its last failure here", "other getUpdates request"],
    );
    server.kill();
}

/// The README's four steps, up to what needs the provider: a token in a file, the test, `serve`, and a code from the page.
#[test]
fn telegram_is_set_up_from_nothing() {
    let (desk, fake) = Desk::with_telegram();
    let book = desk.home.path().join("book.sqlite");
    desk.says(&["channels", "test", "telegram"], 0, &["the token is good"]);
    let server = Server::start_with(desk.home.path(), &book, &desk.settings());
    let code = on_the_page(&desk, &server, "connect telegram");
    fake.says(42, &code);
    until(|| {
        fake.told(42)
            .last()
            .filter(|words| words.starts_with("You are in"))
            .cloned()
    });
    fake.says(42, "rate 95");
    fake.says(42, "12 small crapes at Alder Ct");
    let price = until(|| fake.told(42).last().filter(|words| words.contains("Total")).cloned());
    assert!(price.contains("Total $114.00"), "{price}");
    desk.says(
        &["channels"],
        0,
        &["telegram  on; people 1", "telegram  owner (42), last heard"],
    );
    server.kill();
}

/// Says something on the page as a browser without script does, and gives the code in the answer.
fn on_the_page(desk: &Desk, server: &Server, text: &str) -> String {
    // The client for commands wants one, though nothing here is encrypted; another test may have been first.
    let _ = rustls::crypto::ring::default_provider().install_default();
    desk.runtime.block_on(async {
        let client = reqwest::Client::builder()
            .redirect(reqwest::redirect::Policy::none())
            .build()
            .expect("a client");
        let given = client.get(&server.link).send().await.expect("it answers");
        let cookie = given.headers()["set-cookie"].to_str().expect("text");
        let cookie = cookie.split(';').next().unwrap_or_default().to_string();
        let page = |client: reqwest::Client| {
            let ask = client.get(format!("{}/", server.address)).header("cookie", &cookie);
            async move { ask.send().await.expect("it answers").text().await.expect("text") }
        };
        let html = page(client.clone()).await;
        let field = |name: &str| {
            let mark = format!("name=\"{name}\" value=\"");
            let value = html.split(&mark).nth(1).and_then(|rest| rest.split('"').next());
            value.expect("a field").to_string()
        };
        let fields = [
            ("form", field("form")),
            ("key", field("key")),
            ("text", text.to_string()),
        ];
        let form = reqwest::Url::parse_with_params("http://form/", &fields).expect("fields fit in a form");
        let said = client
            .post(format!("{}/say", server.address))
            .header("cookie", &cookie)
            .header("content-type", "application/x-www-form-urlencoded")
            .body(form.query().unwrap_or_default().to_string())
            .send()
            .await
            .expect("it answers");
        assert_eq!(said.status(), 303);
        let html = page(client).await;
        let is_code = |line: &&str| line.len() == 14 && line.matches('-').count() == 2;
        let code = html.lines().map(str::trim).find(is_code);
        code.unwrap_or_else(|| panic!("no code on the page:\n{html}"))
            .to_string()
    })
}

/// Waits in real time until something is there.
#[track_caller]
fn until<T>(mut there: impl FnMut() -> Option<T>) -> T {
    let began = Instant::now();
    loop {
        if let Some(found) = there() {
            return found;
        }
        assert!(began.elapsed() < Duration::from_secs(60), "it did not come about");
        std::thread::sleep(Duration::from_millis(100));
    }
}

#[test]
fn the_other_messengers_are_tried_too() {
    let (mut desk, _sms) = Desk::with_provider("TALLYHAND_SMS_API", 200, r#"{"status":"active"}"#);
    desk.set("TALLYHAND_SMS_ACCOUNT", "AC00000000000000000000000000000000");
    desk.set("TALLYHAND_SMS_TOKEN", "TESTTOKEN");
    let test = ["channels", "test", "sms"];
    desk.says(&test, 2, &["sms_account needs sms_number"]);
    desk.set("TALLYHAND_SMS_NUMBER", "+15555550100");
    desk.says(&test, 2, &["sms_account needs public_url"]);
    desk.set("TALLYHAND_PUBLIC_URL", "https://yard.example.com");
    desk.says(
        &test,
        0,
        &[
            "the account is good: active",
            "https://yard.example.com/hooks/sms (POST)",
        ],
    );

    let (mut desk, _whatsapp) = Desk::with_provider(
        "TALLYHAND_WHATSAPP_API",
        200,
        r#"{"display_phone_number":"+1 555-555-0100"}"#,
    );
    for (name, value) in [
        ("TALLYHAND_WHATSAPP_TOKEN", "TESTTOKEN"),
        ("TALLYHAND_WHATSAPP_APP_SECRET", "s"),
        ("TALLYHAND_WHATSAPP_VERIFY_TOKEN", "v"),
        ("TALLYHAND_WHATSAPP_PHONE_ID", "106"),
    ] {
        desk.set(name, value);
    }
    let test = ["channels", "test", "whatsapp"];
    desk.says(&test, 1, &["our number is +1 555-555-0100", "needs public_url"]);
    desk.set("TALLYHAND_PUBLIC_URL", "http://yard.example.com");
    desk.says(&test, 1, &["https:// alone, and public_url is http://yard.example.com"]);
    desk.set("TALLYHAND_PUBLIC_URL", "https://yard.example.com");
    desk.says(
        &test,
        0,
        &["set its webhook to https://yard.example.com/hooks/whatsapp"],
    );
    desk.set("TALLYHAND_WHATSAPP_TEMPLATE", "news");
    desk.says(&test, 2, &["a template's name and its language"]);

    let (mut desk, _matrix) = Desk::with_provider("TALLYHAND_MATRIX_SERVER", 200, r#"{"user_id":"@yard:example.org"}"#);
    desk.set("TALLYHAND_MATRIX_TOKEN", "TESTTOKEN");
    desk.set("TALLYHAND_MATRIX_USER", "@yard:example.org");
    let test = ["channels", "test", "matrix"];
    desk.says(&test, 0, &["we are @yard:example.org"]);
    desk.set("TALLYHAND_MATRIX_USER", "@other:example.org");
    desk.says(&test, 1, &["the token is @yard:example.org's"]);
}

#[test]
fn a_gateway_is_tried_too_and_told_where_to_call() {
    let (mut desk, gateway) = Desk::with_provider("TALLYHAND_GATEWAY_URL", 403, "Authorization failed");
    for (name, value) in [
        ("TALLYHAND_GATEWAY_KEY", "k"),
        ("TALLYHAND_GATEWAY_USER", "tester"),
        ("TALLYHAND_GATEWAY_PASSWORD", "TESTTOKEN"),
        ("TALLYHAND_GATEWAY_NUMBER", "15550100"),
    ] {
        desk.set(name, value);
    }
    let test = ["channels", "test", "gateway"];
    desk.says(&test, 1, &["refuses user and password"]);
    desk.set("TALLYHAND_PUBLIC_URL", "https://yard.example.com");
    gateway.answers(|_| said(400, "Missing receiver"));
    desk.says(
        &test,
        0,
        &[
            "takes user and password",
            "https://yard.example.com/hooks/gateway?key=KEY&from=%p",
        ],
    );
}

type Settings = &'static [(&'static str, &'static str)];

/// Messengers that are asked: the name, settings that are good, and the setting that says where.
const ASKED: [(&str, Settings, &str); 4] = [
    (
        "sms",
        &[
            ("TALLYHAND_SMS_ACCOUNT", "AC0"),
            ("TALLYHAND_SMS_TOKEN", "TESTTOKEN"),
            ("TALLYHAND_SMS_NUMBER", "+15555550100"),
        ],
        "TALLYHAND_SMS_API",
    ),
    (
        "whatsapp",
        &[
            ("TALLYHAND_WHATSAPP_TOKEN", "TESTTOKEN"),
            ("TALLYHAND_WHATSAPP_APP_SECRET", "s"),
            ("TALLYHAND_WHATSAPP_VERIFY_TOKEN", "v"),
            ("TALLYHAND_WHATSAPP_PHONE_ID", "106"),
        ],
        "TALLYHAND_WHATSAPP_API",
    ),
    (
        "matrix",
        &[
            ("TALLYHAND_MATRIX_TOKEN", "TESTTOKEN"),
            ("TALLYHAND_MATRIX_USER", "@yard:example.org"),
        ],
        "TALLYHAND_MATRIX_SERVER",
    ),
    (
        "gateway",
        &[
            ("TALLYHAND_GATEWAY_KEY", "k"),
            ("TALLYHAND_GATEWAY_USER", "tester"),
            ("TALLYHAND_GATEWAY_PASSWORD", "TESTTOKEN"),
            ("TALLYHAND_GATEWAY_NUMBER", "15550100"),
        ],
        "TALLYHAND_GATEWAY_URL",
    ),
];

/// A provider that does not know us, has nothing there, is not well or cannot be reached: one sentence each, and the setting that
/// it is about.
#[test]
fn a_provider_that_says_no_is_told_in_one_sentence() {
    for (name, settings, at) in ASKED {
        let (mut desk, provider) = Desk::with_provider(at, 401, "{}");
        desk.set("TALLYHAND_PUBLIC_URL", "https://yard.example.com");
        for (setting, value) in settings {
            desk.set(setting, value);
        }
        let test = ["channels", "test", name];
        for (status, words) in [(401, ["know", "refuses"]), (404, ["404", "404"]), (500, ["500", "500"])] {
            provider.answers(move |_| said(status, "{}"));
            let output = desk.runs(&test);
            assert_eq!(
                (output.code, output.stderr.lines().count()),
                (Some(1), 1),
                "{}",
                output.stderr
            );
            assert!(
                words.iter().any(|words| output.stderr.contains(words)),
                "{status}: {}",
                output.stderr
            );
        }
        desk.set(at, "http://127.0.0.1:9");
        desk.says(
            &test,
            1,
            &["gave no answer", "no connection", "its address in the settings"],
        );
    }
}

/// Of the signed webhook nobody can be asked; its address is what its callers need.
#[test]
fn the_signed_webhook_says_where_it_is() {
    let mut desk = Desk::new();
    let test = ["channels", "test", "signed"];
    desk.says(&test, 1, &["signed is switched off", "README"]);
    desk.set("TALLYHAND_SIGNED_SECRET", "whsec_c2hvcnQ=");
    desk.says(&test, 2, &["a signing secret is `whsec_`"]);
    desk.set("TALLYHAND_SIGNED_SECRET", SECRET);
    desk.says(&test, 0, &["taken at http://127.0.0.1:8484/hooks/signed"]);
    desk.set("TALLYHAND_PUBLIC_URL", "https://yard.example.com");
    desk.set("TALLYHAND_CALLBACK_URL", "https://hub.example.org/in?key=TESTTOKEN");
    desk.says(
        &test,
        0,
        &[
            "taken at https://yard.example.com/hooks/signed",
            "carried to hub.example.org",
        ],
    );
    desk.says(
        &["channels"],
        0,
        &["signed    on at https://yard.example.com/hooks/signed; answers are carried to hub.example.org, to go out 0"],
    );
}
