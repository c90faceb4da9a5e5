//! How the house is, as a monitor sees it: health, numbers, the log, the doctor, and the limits that keep it well.

use std::{
    io::Read,
    process::{Command, Stdio},
};

use serde_json::Value;
use tempfile::TempDir;

use crate::support::{Output, Server, Yard, tallyhand};

#[test]
fn health_says_one_word_and_numbers_are_read_by_a_reference_parser() {
    let yard = Yard::new()
        .says("12 small crapes")
        .whatever()
        .says("note gate code 4411")
        .whatever();
    for (path, word) in [
        ("/health", "ready\n"),
        ("/health/ready", "ready\n"),
        ("/health/live", "live\n"),
    ] {
        let given = yard.gets(path, None);
        assert_eq!((given.status, given.body.as_str()), (200, word), "{path}");
    }
    let body = r#"{"text":"rate 120"}"#;
    assert_eq!(yard.posts_signed("msg_1", body.as_bytes()).status, 200);
    assert_eq!(yard.posts_signed("msg_1", body.as_bytes()).status, 200);
    let given = yard.gets("/metrics", None);
    assert_eq!(given.status, 200);
    // Crate prometheus-parse reads what Prometheus would.
    let lines = given.body.lines().map(|line| Ok(line.to_string()));
    let scrape = prometheus_parse::Scrape::parse(lines).expect("every line parses");
    let number = |name: &str| {
        let sample = scrape.samples.iter().find(|sample| sample.metric == name);
        match sample.unwrap_or_else(|| panic!("no {name} in\n{}", given.body)).value {
            prometheus_parse::Value::Counter(value)
            | prometheus_parse::Value::Gauge(value)
            | prometheus_parse::Value::Untyped(value) => value,
            ref other => panic!("{name} is {other:?}"),
        }
    };
    assert_eq!(number("tallyhand_book_messages_total"), 3.0);
    assert_eq!(number("tallyhand_book_again_total"), 1.0);
    assert_eq!(number("tallyhand_book_waiting"), 0.0);
    assert_eq!(number("tallyhand_book_failed_total"), 0.0);
    assert!(
        given
            .body
            .contains("tallyhand_requests_total{method=\"POST\",route=\"/hooks/signed\",status=\"200\"} 2")
    );
    assert!(given.body.ends_with("# EOF\n"), "OpenMetrics 1.0 ends with a mark");
    for secret in ["4411", "crape", "owner", "msg_1"] {
        assert!(!given.body.contains(secret), "{secret} is nobody's business");
    }
}

#[test]
fn numbers_behind_another_server_are_for_who_has_the_token() {
    let home = TempDir::new().expect("a folder");
    let token = "whsec_AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA";
    let get = |settings: &[(&str, &str)], bearer: Option<&str>| {
        let server = Server::start_with(home.path(), &home.path().join("book.sqlite"), settings);
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .build()
            .expect("a runtime");
        let _ = rustls::crypto::ring::default_provider().install_default();
        let client = reqwest::Client::builder().no_proxy().build().expect("a client");
        let mut call = client.get(format!("{}/metrics", server.address));
        if let Some(bearer) = bearer {
            call = call.bearer_auth(bearer);
        }
        runtime.block_on(call.send()).expect("it answers").status().as_u16()
    };
    let public = ("TALLYHAND_PUBLIC_URL", "https://yard.example.com");
    assert_eq!(get(&[], None), 200, "on this machine alone");
    assert_eq!(get(&[public], None), 404);
    assert_eq!(get(&[public, ("TALLYHAND_METRICS_TOKEN", token)], Some("whsec_B")), 404);
    assert_eq!(get(&[public, ("TALLYHAND_METRICS_TOKEN", token)], Some(token)), 200);
}

#[test]
fn one_sender_cannot_crowd_out_the_others() {
    let yard = Yard::new().with_sender_limit(10);
    let send = |id: &str| yard.posts_signed(id, br#"{"text":"note gate"}"#);
    for number in 0..10 {
        assert_eq!(send(&format!("msg_{number}")).status, 200);
    }
    let refused = send("msg_10");
    assert_eq!(
        (refused.status, refused.header("retry-after")),
        (429, "7"),
        "{}",
        refused.body
    );
    assert_eq!(send("msg_3").status, 200, "what was taken before is answered again");
    assert_eq!(
        yard.count("SELECT count(*) FROM message"),
        10,
        "and what was refused left nothing"
    );
    let yard = yard.later(1);
    assert_eq!(yard.posts_signed("msg_10", br#"{"text":"note gate"}"#).status, 200);
}

/// All that can be logged, of a book whose owner has a name to look for.
const LOGGED: [(&str, &str); 3] = [
    ("TALLYHAND_LOG", "debug"),
    ("TALLYHAND_LOG_FORMAT", "json"),
    ("TALLYHAND_OWNER", "Quillback"),
];

/// The log says what was done and how long it took, as an object a line, and never who said what.
#[test]
fn the_log_is_structured_and_holds_nothing_personal() {
    let home = TempDir::new().expect("a folder");
    let book = home.path().join("book.sqlite");
    let mut server = Server::start_logged(home.path(), &book, &LOGGED);
    let link = server.link.clone();
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .expect("a runtime");
    let _ = rustls::crypto::ring::default_provider().install_default();
    let client = reqwest::Client::builder().no_proxy().build().expect("a client");
    runtime.block_on(async {
        client.get(&link).send().await.expect("it answers");
        let texts = [
            "note gate code 4411 at Quillback Hollow",
            "12 small crapes at Quillback Hollow",
            "calendar",
            "ana may see prices",
            "paid 31337.42 check",
            "5 hollies",
            "call Tansy on 555 0142 777",
            "undo",
        ];
        let at = tallyhand::web::Clock::now(&tallyhand::runtime::SystemClock).unix_seconds();
        for (number, text) in texts.iter().enumerate() {
            let body = serde_json::json!({ "text": text, "from": "Quillback" }).to_string();
            let sign = |body: &str| {
                let id = format!("msg_secret{number}");
                crate::support::header_map(&crate::support::sign(crate::support::SECRET, &id, at, body.as_bytes()))
            };
            let much = "Quillback 4411 ".repeat(5000);
            for (signed, body, status) in [(&body, &body, 200), (&much, &body, 401), (&much, &much, 413)] {
                let call = client
                    .post(format!("{}/hooks/signed", server.address))
                    .headers(sign(signed));
                let given = call.body(body.clone()).send().await.expect("it answers");
                assert_eq!(given.status().as_u16(), status, "{text:?}");
            }
        }
    });
    let log = server.ends_and_gives_log();
    let mut routes = Vec::new();
    for line in log.lines() {
        let entry: Value = serde_json::from_str(line).unwrap_or_else(|_| panic!("not an object: {line}"));
        if let Some(route) = entry["route"].as_str() {
            assert!(entry["status"].is_u64() && entry["milliseconds"].is_u64(), "{line}");
            routes.push(route.to_string());
        }
    }
    assert!(
        routes.contains(&"/in/{token}".to_string()) && routes.contains(&"/hooks/signed".to_string()),
        "{log}"
    );
    let token = link.rsplit('/').next().unwrap_or_default();
    let said = [
        "4411",
        "Quillback",
        "gate code",
        "Tansy",
        "0142",
        "31337",
        "crape",
        "hollies",
    ];
    for secret in [token, "whsec_", "msg_secret", "owner"].iter().chain(&said) {
        assert!(!log.contains(secret), "{secret} is in the log:\n{log}");
    }
}

fn doctor(home: &TempDir, settings: &[&str]) -> Output {
    let book = home.path().join("book.sqlite");
    let mut arguments = vec!["doctor", "--db", book.to_str().expect("a plain path")];
    arguments.extend(settings);
    tallyhand(home.path(), &arguments, b"")
}

#[test]
fn the_doctor_says_what_is_wrong_and_what_to_do() {
    let home = TempDir::new().expect("a folder");
    let book = home.path().join("book.sqlite");
    let well = doctor(&home, &[]);
    assert_eq!(well.code, Some(0), "{well:?}");
    assert!(well.stdout.contains("there is no book yet") && well.stdout.contains("no backups are scheduled"));
    assert!(!book.exists(), "it only looks");
    let db = book.to_str().expect("a plain path");
    let said = tallyhand(
        home.path(),
        &["say", "rate 90", "--db", db, "--at", "2120-01-01T00:00:00Z"],
        b"",
    );
    assert_eq!(said.code, Some(0));
    let wrong = doctor(&home, &[]);
    assert_eq!(wrong.code, Some(3), "{wrong:?}");
    assert!(
        wrong
            .stdout
            .contains("ahead of this machine's clock: set the clock right"),
        "{}",
        wrong.stdout
    );
    let connection = rusqlite::Connection::open(&book).expect("the book opens");
    connection
        .execute("DELETE FROM projection", [])
        .expect("it can be spoilt");
    drop(connection);
    let wrong = doctor(&home, &[]);
    assert!(wrong.stdout.contains("the book is not sound") && wrong.stdout.contains("tallyhand restore"));
    std::fs::write(&book, "Dear Wren, this is no book at all").expect("a file");
    let wrong = doctor(&home, &[]);
    assert_eq!(wrong.code, Some(3));
    assert!(wrong.stdout.contains("not a Tallyhand book"), "{}", wrong.stdout);
}

/// Asked to end, the house finishes what it has taken in: whoever was promised an answer gets it.
#[cfg(unix)]
#[test]
fn asked_to_end_it_finishes_what_it_acknowledged() {
    let home = TempDir::new().expect("a folder");
    let book = home.path().join("book.sqlite");
    for round in 0..4 {
        let server = Server::start(home.path(), &book);
        let (address, process) = (server.address.clone(), server.id());
        let runtime = tokio::runtime::Builder::new_multi_thread()
            .worker_threads(2)
            .enable_all()
            .build()
            .expect("a runtime");
        let answers = runtime.block_on(crate::crash::press_until_gone(&address, round, 30 + 40 * round, || {
            let told = Command::new("kill").args(["-TERM", &process.to_string()]).status();
            assert!(told.expect("kill runs").success());
        }));
        assert_eq!(server.ends(), Some(0), "it ends by itself");
        assert!(answers.len() >= 30 + 40 * round);
        crate::crash::check_book(&book, &answers);
    }
}

/// Reads all of a stream; for logs of a process that has ended.
pub(crate) fn all_of(mut stream: impl Read) -> String {
    let mut text = String::new();
    stream.read_to_string(&mut text).expect("UTF-8");
    text
}

/// A folder in which nothing may be written, or a book that may only be read, is a clear sentence and changes nothing.
#[cfg(unix)]
#[test]
fn a_folder_that_may_only_be_read_is_a_clear_sentence() {
    use std::os::unix::{
        fs::{MetadataExt, PermissionsExt},
        process::CommandExt,
    };
    let home = TempDir::new().expect("a folder");
    let book = home.path().join("book.sqlite");
    let db = book.to_str().expect("a plain path");
    assert_eq!(
        tallyhand(home.path(), &["say", "rate 90", "--db", db], b"").code,
        Some(0)
    );
    let mode = |path: &std::path::Path, bits| {
        std::fs::set_permissions(path, std::fs::Permissions::from_mode(bits)).expect("it is ours");
    };
    mode(&book, 0o444);
    mode(home.path(), 0o555);
    let mut command = Command::new(env!("CARGO_BIN_EXE_tallyhand"));
    command.args(["say", "rate 95", "--db", db]).stdin(Stdio::null());
    // To root nothing is forbidden, so root asks as nobody.
    if std::fs::metadata("/proc/self").is_ok_and(|own| own.uid() == 0) {
        command.uid(65_534).gid(65_534);
    }
    let output = command.output();
    mode(home.path(), 0o755);
    mode(&book, 0o644);
    let output = match output {
        Ok(output) => output,
        Err(failure) => {
            eprintln!("skipped: another user may not run the program here ({failure})");
            return;
        }
    };
    let words = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(1), "{words}");
    assert!(
        words.contains("may only be read") || words.contains("cannot be opened"),
        "{words}"
    );
    let export = tallyhand(home.path(), &["export", "--json", "--db", db], b"");
    let export: Value = serde_json::from_str(&export.stdout).expect("JSON");
    assert_eq!(export["settings"]["rate"], "90.00", "nothing was changed");
}
