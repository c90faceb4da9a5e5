//! A disk that fills up, at every point at which it can: what was acknowledged stays, what was not is not half there.
//!
//! The system's own limit on the size of a file stands for the disk. It is raised step by step until the whole
//! conversation fits, so that the first write that fails is once each of those that the conversation needs. Method:
//! sqlite.org/testing.html, section 3.2, I/O error testing.
#![cfg(unix)]

use std::{
    path::Path,
    process::{Command, Stdio},
};

use rusqlite::Connection;
use serde_json::Value;
use tallyhand::store;

/// Messages of the conversation.
const MESSAGES: usize = 12;

/// By how much the limit is raised, in blocks of 512 bytes: one page of the file.
const STEP_BLOCKS: usize = 8;

/// A limit at which everything is sure to fit, in blocks of 512 bytes.
const ENOUGH_BLOCKS: usize = 4000;

#[test]
fn a_full_disk_loses_nothing_acknowledged() {
    for (failed, limit) in (STEP_BLOCKS..ENOUGH_BLOCKS).step_by(STEP_BLOCKS).enumerate() {
        let home = tempfile::TempDir::new().expect("a folder");
        let book = home.path().join("book.sqlite");
        let acknowledged = converse(&book, limit);
        check_kept(&book, &acknowledged);
        if acknowledged.len() == MESSAGES {
            assert!(failed > 0, "the first limits were too small for the book");
            return;
        }
    }
    panic!("the conversation never fitted");
}

/// Says the messages with a limit on the size of files, and gives the ids that were answered.
fn converse(book: &Path, limit_blocks: usize) -> Vec<String> {
    let input = home_file(book, "input");
    let lines: Vec<String> = (0..MESSAGES).map(|index| format!("note number {index}")).collect();
    std::fs::write(&input, lines.join("\n")).expect("a file");
    // Ignoring the signal makes a write over the limit fail, as on a full disk; both outlast the exec.
    let script = format!("trap '' XFSZ; ulimit -f {limit_blocks}; exec \"$0\" chat --json --db \"$1\" < \"$2\"");
    let output = Command::new("sh")
        .args(["-c", &script, env!("CARGO_BIN_EXE_tallyhand")])
        .arg(book)
        .arg(&input)
        .stdin(Stdio::null())
        .output()
        .expect("a shell");
    let stdout = String::from_utf8(output.stdout).expect("it prints UTF-8");
    let ids: Vec<String> = stdout
        .lines()
        .map(|line| {
            serde_json::from_str::<Value>(line).expect("JSON")["id"]
                .as_str()
                .expect("an id")
                .to_string()
        })
        .collect();
    if ids.len() < MESSAGES {
        assert_eq!(output.status.code(), Some(1), "a failure has its code");
        let words = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(words.contains("tallyhand: "), "and its sentence: {words}");
    }
    ids
}

fn home_file(book: &Path, name: &str) -> std::path::PathBuf {
    book.with_file_name(name)
}

#[track_caller]
fn check_kept(book: &Path, acknowledged: &[String]) {
    if acknowledged.is_empty() {
        return;
    }
    let faults = store::check(book).expect("the book can be checked");
    assert!(faults.is_empty(), "{faults:#?}");
    let connection = Connection::open(book).expect("the book opens");
    let mut statement = connection
        .prepare("SELECT inbound_id FROM message ORDER BY position")
        .expect("a statement");
    let kept = statement.query_map([], |row| row.get::<_, String>(0)).expect("rows");
    let kept: Vec<String> = kept.collect::<Result<_, _>>().expect("ids are text");
    assert!(
        kept.starts_with(acknowledged),
        "kept {kept:?}, acknowledged {acknowledged:?}"
    );
}
