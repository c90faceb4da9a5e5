//! Clients and libraries that others wrote, on the loopback: they call us as a provider does, or check what we made.
//!
//! `tests/peers/install.sh` installs them into `target/peers`; where that was not done, each test says so and passes. What
//! needs a whole server (Matrix Synapse, Kannel) is in `tests/peers/heavy.sh`.

use std::{
    io::Write,
    path::{Path, PathBuf},
    process::{Command, Stdio},
};

use rand::{RngExt, SeedableRng, rngs::SmallRng};
use serde_json::{Value, json};
use tallyhand::{
    channels::{Hidden, signed, sms, whatsapp},
    runtime::SystemClock,
    web::Clock,
};

use crate::support::{FakeTelegram, SECRET, Server, TOKEN};

/// The interpreter that knows the peers.
pub(crate) fn interpreter() -> Option<PathBuf> {
    let folder = std::env::var_os("TALLYHAND_PEERS").map_or_else(
        || Path::new(env!("CARGO_MANIFEST_DIR")).join("target/peers"),
        PathBuf::from,
    );
    let python = folder.join("bin/python");
    if python.exists() {
        return Some(python);
    }
    eprintln!(
        "SKIPPED: no peers in {}; tests/peers/install.sh installs them",
        folder.display()
    );
    None
}

/// Runs a peer with arguments and a case on its standard input; it has to end well.
#[track_caller]
pub(crate) fn run(python: &Path, script: &str, arguments: &[&str], case: &Value) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/peers").join(script);
    let mut child = Command::new(python)
        .arg(path)
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the peer starts");
    let mut input = child.stdin.take().expect("it reads");
    input
        .write_all(case.to_string().as_bytes())
        .expect("it reads all of it");
    drop(input);
    let output = child.wait_with_output().expect("the peer ends");
    let (out, err) = (
        String::from_utf8_lossy(&output.stdout),
        String::from_utf8_lossy(&output.stderr),
    );
    assert!(output.status.success(), "{script}:\n{out}\n{err}");
}

/// The stand-in that our own tests talk to is what python-telegram-bot (22.8) takes for the Bot API.
#[test]
fn the_stand_in_for_telegram_is_what_a_client_of_others_expects() {
    let Some(python) = interpreter() else { return };
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(1)
        .enable_all()
        .build()
        .expect("a runtime");
    let fake = runtime.block_on(FakeTelegram::start());
    fake.keeps("V1", b"OggS voice");
    fake.message(
        42,
        json!({ "voice": { "file_id": "V1", "file_unique_id": "u", "duration": 3 } }),
    );
    fake.says(42, "12 small crapes");
    fake.presses(42, "17:2");
    let busy = json!({ "ok": false, "error_code": 429, "description": "Too Many Requests: retry after 7", "parameters": { "retry_after": 7 } });
    fake.refuses_after("sendMessage", 1, 429, busy);
    run(&python, "telegram_client.py", &[&fake.url, TOKEN], &Value::Null);
}

/// Random addresses and forms, signed by us and by the provider's own library (twilio 9.13.0); answers read by another
/// XML reader.
#[test]
fn signatures_of_text_messages_are_those_of_the_providers_library() {
    let Some(python) = interpreter() else { return };
    let mut chance = SmallRng::seed_from_u64(7);
    let words = [
        "",
        "a",
        "12 small + 3",
        "é",
        "🌿",
        "It's",
        "a&b=c",
        "%2B",
        "\n",
        "Body",
        "Z",
        "z",
        "0",
    ];
    let mut word = move || words[chance.random_range(0..words.len())].to_string();
    let signed: Vec<Value> = (0..300)
        .map(|index| {
            let form: Vec<(String, String)> = (0..index % 9)
                .map(|n| (format!("{}{}", word(), n / 2), word()))
                .collect();
            let form: Vec<(String, String)> = form.into_iter().filter(|(name, _)| !name.is_empty()).collect();
            let url = format!("https://yard.example.com/hooks/sms?n={index}&foo=1");
            let signature = sms::signature(&url, &form, &Hidden::new("test-token"));
            json!({ "url": url, "token": "test-token", "form": form, "signature": signature })
        })
        .collect();
    let answered: Vec<Value> = [
        vec![],
        vec!["Tom & \"Ann\" <3 > ]]>"],
        vec!["12 small\n$114.00", "é 🌿 {€}"],
    ]
    .into_iter()
    .map(|messages| {
        let messages: Vec<String> = messages.into_iter().map(str::to_string).collect();
        json!({ "xml": sms::response_xml(&messages), "messages": messages })
    })
    .collect();
    run(
        &python,
        "sms_library.py",
        &[],
        &json!({ "signed": signed, "answered": answered }),
    );
}

/// pywa 4.5.0 takes our signatures and reads our recorded batches.
#[test]
fn recorded_batches_are_what_a_library_of_others_reads() {
    let Some(python) = interpreter() else { return };
    let batches: Vec<Value> = [
        include_str!("../../fixtures/channels/whatsapp/voice.json"),
        include_str!("../../fixtures/channels/whatsapp/batch.json"),
    ]
    .into_iter()
    .map(|body| json!({ "body": body, "signature": whatsapp::signature(body.as_bytes(), &Hidden::new("app-secret")) }))
    .collect();
    let case = json!({ "batches": batches, "app_secret": "app-secret", "phone_id": "106540352242922" });
    run(&python, "whatsapp_library.py", &[], &case);
}

/// The Python library of Standard Webhooks (1.1.0) calls the real program, and takes what we send for signed.
#[test]
fn the_signed_webhook_works_with_a_second_language_both_ways() {
    let Some(python) = interpreter() else { return };
    let home = tempfile::TempDir::new().expect("a folder");
    let server = Server::start(home.path(), &home.path().join("book.sqlite"));
    let secrets = [signed::Secret::parse(SECRET).expect("a secret")];
    let sent = signed::encode(
        "answer_1",
        r#"{"total":"253.00","é":"🌿"}"#,
        &secrets,
        SystemClock.now(),
    )
    .expect("a request");
    let headers: serde_json::Map<String, Value> = sent
        .headers
        .iter()
        .map(|(name, value)| (name.to_string(), json!(value)))
        .collect();
    let case = json!({
        "address": server.address, "secret": SECRET, "sent": { "body": sent.body, "headers": headers },
    });
    run(&python, "signed_library.py", &[], &case);
    server.kill();
}
