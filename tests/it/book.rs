//! The book itself: undo and rebuild (P6), other processes, panics, damage that `check` has to find.

use std::path::Path;

use rusqlite::Connection;
use tallyhand::{
    conversation::{self, Context, Inbound, Outcome},
    journal::State,
    store,
};

use crate::support::{Yard, tallyhand};

/// P6: whatever is said and taken back, in any order, the stored projection equals a fresh fold.
#[test]
fn the_book_can_be_rebuilt_after_any_taking_back() {
    // A fixed multiplicative generator (Knuth's MMIX constants): the same sequences on every run.
    let mut seed: u64 = 2026;
    let mut below = |limit: u64| {
        seed = seed
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (seed >> 33) % limit
    };
    let said = [
        "note gate code 4411",
        "rate 120",
        "crape myrtle small 6 min",
        "12 small crapes at Alder Ct",
        "won",
        "done 85 min with 2 guys",
        "undo",
        "undo",
        "scratch that",
        "paid 250 check",
    ];
    for _ in 0..6 {
        let mut yard = Yard::new();
        for _ in 0..25 {
            let text = said[usize::try_from(below(said.len() as u64)).expect("small")];
            yard = yard.says(text).whatever().later(7);
            let faults = store::check(yard.book()).expect("it can be checked");
            assert!(faults.is_empty(), "after {text:?}: {faults:#?}");
        }
    }
}

fn fragile(state: &State, inbound: &Inbound, context: &Context) -> Outcome {
    assert!(inbound.text != "boom", "the conversation went off");
    conversation::handle(state, inbound, context)
}

#[test]
fn a_panic_costs_one_message() {
    let yard = Yard::handled_by(fragile, false)
        .says("note one")
        .whatever()
        .says("boom");
    let events = yard.count("SELECT count(*) FROM event");
    let yard = yard.whatever().says("note two").replies("two");
    assert!(
        yard.count("SELECT count(*) FROM event") > events,
        "the next one is handled"
    );
    assert_eq!(yard.count("SELECT count(*) FROM message"), 3, "the words are kept");
    assert_eq!(
        yard.count("SELECT count(*) FROM failure WHERE detail LIKE '%went off%'"),
        1
    );
}

#[test]
fn nothing_that_was_said_can_be_changed_or_removed() {
    let yard = Yard::new().says("note one").whatever();
    let connection = Connection::open(yard.book()).expect("the book opens");
    for table in ["message", "event", "reply"] {
        for sql in [
            format!("DELETE FROM {table}"),
            format!("UPDATE {table} SET rowid = rowid"),
        ] {
            assert!(connection.execute(&sql, []).is_err(), "{sql}");
        }
    }
}

/// A message from the terminal while the page is served: neither loses the other's.
#[test]
fn two_processes_may_write_in_one_book() {
    let mut yard = Yard::new();
    let home = tempfile::TempDir::new().expect("a folder");
    for round in 0..4 {
        yard = yard.says(&format!("note from the page {round}")).whatever();
        let book = yard.book().to_str().expect("a plain path").to_string();
        let output = tallyhand(
            home.path(),
            &["say", "--db", &book, &format!("note from the terminal {round}")],
            b"",
        );
        assert_eq!(output.code, Some(0), "{}", output.stderr);
        let undone = tallyhand(home.path(), &["say", "--db", &book, "undo"], b"");
        assert_eq!(undone.code, Some(0), "{}", undone.stderr);
    }
    assert_eq!(yard.count("SELECT count(*) FROM message"), 12);
    assert_eq!(yard.count("SELECT count(*) - max(sequence) FROM event"), 0);
}

#[test]
fn a_book_kept_locked_is_a_clear_sentence() {
    let yard = Yard::new().says("note one").whatever();
    let home = tempfile::TempDir::new().expect("a folder");
    let connection = Connection::open(yard.book()).expect("the book opens");
    connection.execute_batch("BEGIN IMMEDIATE").expect("the lock is free");
    let book = yard.book().to_str().expect("a plain path").to_string();
    let output = tallyhand(home.path(), &["say", "--db", &book, "note two"], b"");
    assert_eq!(output.code, Some(1));
    assert!(
        output.stderr.contains("another tallyhand is busy with this book"),
        "{}",
        output.stderr
    );
    connection.execute_batch("ROLLBACK").expect("it was begun");
    assert_eq!(yard.count("SELECT count(*) FROM message"), 1);
}

/// Copies a sound book, spoils the copy, and expects `check` to name what is wrong.
#[track_caller]
fn check_finds(spoil: &str, words: &str) {
    let home = tempfile::TempDir::new().expect("a folder");
    let copy = home.path().join("copy.sqlite");
    {
        let yard = Yard::new()
            .says("note one")
            .says("rate 120")
            .says("note three")
            .whatever();
        let connection = Connection::open(yard.book()).expect("the book opens");
        connection.execute("VACUUM INTO ?1", [copy.to_str()]).expect("a copy");
    }
    let sound = tallyhand(
        home.path(),
        &["check", "--db", copy.to_str().expect("a plain path")],
        b"",
    );
    assert_eq!(
        (sound.code, sound.stdout.as_str(), sound.stderr.as_str()),
        (Some(0), "", "")
    );
    spoil_copy(&copy, spoil);
    let output = tallyhand(
        home.path(),
        &["check", "--db", copy.to_str().expect("a plain path")],
        b"",
    );
    assert_eq!(output.code, Some(3), "{spoil}: {output:?}");
    assert!(output.stdout.contains(words), "{spoil}: {}", output.stdout);
}

fn spoil_copy(copy: &Path, sql: &str) {
    let connection = Connection::open(copy).expect("the copy opens");
    let triggers: Vec<String> = connection
        .prepare("SELECT name FROM sqlite_schema WHERE type = 'trigger'")
        .and_then(|mut statement| statement.query_map([], |row| row.get(0))?.collect())
        .expect("names");
    connection
        .execute_batch("PRAGMA foreign_keys = OFF")
        .expect("a setting");
    for trigger in triggers {
        connection
            .execute_batch(&format!("DROP TRIGGER {trigger}"))
            .expect("it was there");
    }
    connection.execute_batch(sql).expect("it can be spoilt");
}

#[test]
fn check_names_every_fault() {
    check_finds("DELETE FROM event WHERE sequence = 1", "some are missing");
    check_finds("UPDATE event SET payload = '[]' WHERE sequence = 1", "does not decode");
    check_finds(
        "UPDATE event SET kind = 'flown' WHERE sequence = 1",
        "which this version does not know",
    );
    check_finds(
        "UPDATE event SET recorded_at = 'noon' WHERE sequence = 1",
        "which cannot be",
    );
    check_finds("UPDATE projection SET json = '{}'", "is not what the events add up to");
    check_finds("DELETE FROM projection", "is not what the events add up to");
    check_finds("UPDATE projection_seen SET sequence = 0", "has seen event 0 of");
    check_finds("DELETE FROM reply WHERE message_position = 1", "has no answer");
    check_finds("UPDATE event SET member_id = 99 WHERE sequence = 1", "points at a row");
    check_finds(
        "INSERT INTO account VALUES (2, 'x'); INSERT INTO member VALUES (9, 2, 'Zed', 'owner', 'x'); \
         UPDATE message SET member_id = 9 WHERE position = 1",
        "of another account",
    );
}

#[test]
fn check_names_damage() {
    let home = tempfile::TempDir::new().expect("a folder");
    let copy = home.path().join("copy.sqlite");
    {
        let yard = Yard::new().says("note one").whatever();
        let connection = Connection::open(yard.book()).expect("the book opens");
        connection.execute("VACUUM INTO ?1", [copy.to_str()]).expect("a copy");
    }
    let mut bytes = std::fs::read(&copy).expect("the copy");
    // The index over messages of a member lies late in the file; its last page is overwritten.
    let page = bytes.len() - 4096;
    bytes[page..page + 64].fill(0xff);
    std::fs::write(&copy, bytes).expect("it is spoilt");
    let output = tallyhand(
        home.path(),
        &["check", "--db", copy.to_str().expect("a plain path")],
        b"",
    );
    assert_ne!(output.code, Some(0), "{output:?}");
    assert!(!output.stdout.is_empty() || !output.stderr.is_empty());
}

#[test]
fn a_book_from_a_newer_version_is_refused_unchanged() {
    let home = tempfile::TempDir::new().expect("a folder");
    let copy = home.path().join("copy.sqlite");
    {
        let yard = Yard::new().says("note one").whatever();
        let connection = Connection::open(yard.book()).expect("the book opens");
        connection.execute("VACUUM INTO ?1", [copy.to_str()]).expect("a copy");
    }
    spoil_copy(
        &copy,
        "INSERT INTO migration VALUES (999, '0999_later.sql', 'x', '2030-01-01T00:00:00Z')",
    );
    for command in [&["say", "note two"][..], &["check"], &["export", "--json"]] {
        let arguments = [command, &["--db", copy.to_str().expect("a plain path")]].concat();
        let output = tallyhand(home.path(), &arguments, b"");
        assert_eq!(output.code, Some(1), "{output:?}");
        assert!(
            output.stderr.contains("written by a newer Tallyhand"),
            "{}",
            output.stderr
        );
    }
    spoil_copy(
        &copy,
        "DELETE FROM migration WHERE number = 999; UPDATE migration SET sha256 = 'x'",
    );
    let output = tallyhand(
        home.path(),
        &["say", "note two", "--db", copy.to_str().expect("a plain path")],
        b"",
    );
    assert!(
        output.stderr.contains("migration 1 in the book is not the one"),
        "{}",
        output.stderr
    );
}

/// Whatever page goes bad, the program says so in a sentence, with its exit code, and changes nothing.
#[test]
fn a_bad_page_is_a_sentence_wherever_it_lies() {
    let home = tempfile::TempDir::new().expect("a folder");
    let whole = home.path().join("whole.sqlite");
    {
        let yard = Yard::new()
            .says("12 small 3 medium crapes at Alder Ct")
            .whatever()
            .says("won")
            .whatever()
            .says("note gate code 4411")
            .whatever();
        let connection = Connection::open(yard.book()).expect("the book opens");
        connection.execute("VACUUM INTO ?1", [whole.to_str()]).expect("a copy");
    }
    let bytes = std::fs::read(&whole).expect("the copy");
    let pages = bytes.len() / 4096;
    assert!(pages > 20, "{pages} pages");
    for page in 0..pages {
        let bad = home.path().join(format!("bad{page}.sqlite"));
        let mut spoilt = bytes.clone();
        // The header of the page: its kind, its free space, its count of cells, where its content begins.
        let header = if page == 0 { 100 } else { page * 4096 };
        spoilt[header..header + 8].fill(0xff);
        std::fs::write(&bad, &spoilt).expect("it is spoilt");
        match store::check(&bad) {
            Ok(faults) => assert!(!faults.is_empty(), "page {page} is bad and nothing was found"),
            Err(failure) => assert!(!failure.to_string().is_empty(), "page {page}"),
        }
        if page % 8 == 0 {
            let db = bad.to_str().expect("a plain path");
            let (checked, said) = (
                tallyhand(home.path(), &["check", "--db", db], b""),
                tallyhand(home.path(), &["export", "--json", "--db", db], b""),
            );
            assert!(matches!(checked.code, Some(1 | 3)), "page {page}: {checked:?}");
            assert!(matches!(said.code, Some(0 | 1)), "page {page}: {said:?}");
            assert!(!said.stderr.contains("panicked"), "page {page}: {}", said.stderr);
        }
    }
}
