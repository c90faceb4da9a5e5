//! The program from a shell: what it prints, and with which code it ends.

use serde_json::Value;
use tempfile::TempDir;

use crate::support::{Server, tallyhand};

fn home() -> TempDir {
    TempDir::new().expect("a folder")
}

#[test]
fn a_fresh_user_gets_a_book_in_the_data_folder() {
    let home = home();
    let output = tallyhand(home.path(), &["say", "note gate code 4411"], b"");
    assert_eq!((output.code, output.stderr.as_str()), (Some(0), ""));
    assert!(output.stdout.contains("gate code 4411"), "{}", output.stdout);
    assert!(home.path().join("data/tallyhand/book.sqlite").exists());
    assert_eq!(tallyhand(home.path(), &["check"], b"").code, Some(0));
}

#[test]
fn an_answer_as_json_is_one_object_on_one_line() {
    let home = home();
    let output = tallyhand(
        home.path(),
        &["say", "--json", "note gate", "--at", "2026-01-12T15:04:05Z"],
        b"",
    );
    assert_eq!(output.stdout.lines().count(), 1);
    let answer: Value = serde_json::from_str(&output.stdout).expect("JSON");
    assert_eq!(answer["at"], "2026-01-12T15:04:05Z");
    assert_eq!(answer["understood"][0], "note");
    assert!(answer["id"].is_string() && answer["text"].is_string());
}

#[test]
fn chat_answers_every_line_even_the_bad_ones() {
    let home = home();
    let long = "a".repeat(10 * 1024 * 1024);
    let digits = "9".repeat(40);
    let mut input = format!("note one\n\n{long}\n🌿🌿\n{digits}\nnote a\0b\n").into_bytes();
    input.extend_from_slice(b"\xff\xfe broken\nnote last without a line end");
    let output = tallyhand(home.path(), &["chat", "--json"], &input);
    assert_eq!(output.code, Some(0), "{}", output.stderr);
    let answers: Vec<Value> = output
        .stdout
        .lines()
        .map(|line| serde_json::from_str(line).expect("JSON on every line"))
        .collect();
    assert_eq!(answers.len(), 8);
    assert!(
        answers
            .iter()
            .all(|answer| answer["text"].as_str().is_some_and(|text| !text.is_empty()))
    );
    assert!(
        answers[2]["text"]
            .as_str()
            .is_some_and(|text| text.contains("send it in parts"))
    );
    assert!(
        answers[7]["text"]
            .as_str()
            .is_some_and(|text| text.contains("last without a line end"))
    );
    assert_eq!(tallyhand(home.path(), &["check"], b"").code, Some(0));
}

#[test]
fn chat_in_words_is_the_same_conversation() {
    let home = home();
    let output = tallyhand(
        home.path(),
        &["chat"],
        b"note gate code 4411\n\nnote the dog is friendly\n",
    );
    assert!(output.stdout.contains("gate code 4411") && output.stdout.contains("the dog is friendly"));
}

#[test]
fn reading_touches_no_book() {
    let home = home();
    let output = tallyhand(home.path(), &["read", "12 small 3 medium crapes at Alder Ct"], b"");
    assert_eq!(output.code, Some(0));
    for part in ["pieces", "meanings", "left over", "doubts"] {
        assert!(output.stdout.contains(part), "{}", output.stdout);
    }
    assert!(!home.path().join("data").exists(), "no folder was made");
}

#[test]
fn export_is_one_object() {
    let home = home();
    tallyhand(home.path(), &["say", "note gate code 4411"], b"");
    let output = tallyhand(home.path(), &["export", "--json"], b"");
    let account: Value = serde_json::from_str(&output.stdout).expect("JSON");
    assert!(account.is_object());
}

#[track_caller]
fn check_complains(arguments: &[&str], code: i32, words: &str) {
    let home = home();
    let output = tallyhand(home.path(), arguments, b"");
    assert_eq!(output.code, Some(code), "{output:?}");
    assert!(output.stderr.contains(words), "{}", output.stderr);
    assert!(output.stdout.is_empty(), "{}", output.stdout);
}

#[test]
fn complaints_are_one_sentence_and_a_code() {
    check_complains(&["check"], 1, "there is no book at");
    check_complains(
        &["say", "--as", "Zed", "won"],
        2,
        "nobody in this book is called \"Zed\"",
    );
    check_complains(&["say", "--at", "noon", "won"], 2, "2026-01-12T15:04:05Z");
    check_complains(&["say", "--db", "/dev/null/book", "won"], 1, "cannot be made");
    check_complains(
        &["say", "--db", env!("CARGO_BIN_EXE_tallyhand"), "won"],
        1,
        "not a Tallyhand book",
    );
    check_complains(&["say", "--config", "/nonexistent.toml", "won"], 2, "cannot be read");
    check_complains(&["serve", "--listen", "8484"], 2, "an address and a port");
    check_complains(&["say", "won", "--json", "--at", "noon"], 2, "--at is");
    check_complains(&["sing"], 2, "unrecognized subcommand");
    check_complains(&["export"], 2, "--json");
}

#[test]
fn the_owner_is_found_by_name_in_any_case() {
    let home = home();
    let output = tallyhand(home.path(), &["say", "--as", "OWNER", "note gate"], b"");
    assert_eq!(output.code, Some(0), "{}", output.stderr);
}

/// Each member has a conversation of their own in the one book.
#[test]
fn a_member_speaks_for_the_same_book() {
    let home = home();
    let added = tallyhand(home.path(), &["member", "Ana"], b"");
    assert_eq!(added.code, Some(0), "{}", added.stderr);
    tallyhand(home.path(), &["say", "rate 120"], b"");
    let asked = tallyhand(home.path(), &["say", "--as", "ana", "5 hollies"], b"");
    assert_eq!(asked.code, Some(0), "{}", asked.stderr);
    let export = tallyhand(home.path(), &["export", "--json", "--as", "Ana"], b"").stdout;
    assert!(export.contains("120"), "{export}");
    let link = tallyhand(home.path(), &["link", "--as", "Ana"], b"").stdout;
    assert!(link.contains("/in/"), "{link}");
    let nobody = tallyhand(home.path(), &["member", " "], b"");
    assert_eq!(nobody.code, Some(1));
    assert_eq!(tallyhand(home.path(), &["check"], b"").code, Some(0));
}

#[test]
fn settings_come_from_a_file_too() {
    let home = home();
    let file = home.path().join("t.toml");
    let book = home.path().join("elsewhere.sqlite");
    std::fs::write(&file, format!("db = {:?}\nowner = \"Wren\"\n", book.display())).expect("a file");
    let file = file.to_str().expect("a plain path");
    let output = tallyhand(
        home.path(),
        &["say", "--config", file, "--as", "wren", "note gate"],
        b"",
    );
    assert_eq!(output.code, Some(0), "{}", output.stderr);
    assert!(book.exists());
    std::fs::write(file, "colour = \"green\"\n").expect("a file");
    let output = tallyhand(home.path(), &["say", "--config", file, "note gate"], b"");
    assert_eq!(output.code, Some(2));
    assert!(output.stderr.contains("no setting"), "{}", output.stderr);
}

#[test]
fn help_shows_every_command_and_the_codes() {
    let home = home();
    let help = tallyhand(home.path(), &["--help"], b"").stdout;
    for word in [
        "serve",
        "chat",
        "say",
        "read",
        "export",
        "check",
        "--db",
        "--as",
        "--at",
        "Exit codes",
    ] {
        assert!(help.contains(word), "{word} is not in the help:\n{help}");
    }
}

#[test]
fn serving_prints_a_link_that_lets_in() {
    let home = home();
    let server = Server::start(home.path(), &home.path().join("book.sqlite"));
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .expect("a runtime");
    let _ = rustls::crypto::ring::default_provider().install_default();
    let client = reqwest::Client::builder()
        .no_proxy()
        .redirect(reqwest::redirect::Policy::none())
        .build();
    let given = runtime
        .block_on(client.expect("a client").get(&server.link).send())
        .expect("it answers");
    assert_eq!(given.status(), 303);
    assert!(
        given.headers()["set-cookie"]
            .to_str()
            .expect("text")
            .contains("HttpOnly")
    );
    server.kill();
}

/// The demo has a book of its own and never writes in a real one.
#[test]
fn the_demo_keeps_to_its_own_book() {
    let home = home();
    tallyhand(home.path(), &["say", "note gate code 4411"], b"");
    let real = home.path().join("data/tallyhand/book.sqlite");
    for _ in 0..2 {
        let output = tallyhand(home.path(), &["chat", "--demo"], b"?\n");
        assert_eq!(output.code, Some(0), "{}", output.stderr);
    }
    let demo = home.path().join("data/tallyhand/demo.sqlite");
    let count = |book: &std::path::Path, sql: &str| -> i64 {
        rusqlite::Connection::open(book)
            .and_then(|connection| connection.query_row(sql, [], |row| row.get(0)))
            .expect("a number")
    };
    assert_eq!(count(&real, "SELECT count(*) FROM message"), 1);
    let season = include_str!("../../fixtures/demo/season.jsonl").lines().count();
    let said = count(&demo, "SELECT count(*) FROM message WHERE channel = 'demo'");
    assert_eq!(
        usize::try_from(said).ok(),
        Some(season),
        "filled once, though started twice"
    );
    let real = real.to_str().expect("a plain path");
    let output = tallyhand(home.path(), &["chat", "--demo", "--db", real], b"?\n");
    assert_eq!(output.code, Some(1));
    assert!(output.stderr.contains("is a real book"), "{}", output.stderr);
}
