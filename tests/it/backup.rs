//! The drill: back up under load, restore elsewhere, compare. And everything that can be in the way of it.

use std::{
    path::{Path, PathBuf},
    sync::{
        Arc,
        atomic::{AtomicBool, Ordering},
    },
};

use age::secrecy::ExposeSecret;
use rusqlite::Connection;
use serde_json::Value;
use tallyhand::{
    runtime::{Schedule, when_due},
    store,
    units::Timestamp,
};
use tempfile::TempDir;

use crate::support::{Output, SECRET, Server, header_map, sign, tallyhand};

struct Place {
    home: TempDir,
}

impl Place {
    /// What was spoilt is refused, unless it stands where nothing is read from and the very same book unpacks: the
    /// checksum of what is in it has to hold, so there is nothing between the two.
    fn refuses_or_holds(&self, arguments: &[&str], expected: &str, at: usize) {
        let output = self.run("new.sqlite", arguments);
        if output.code == Some(0) {
            let book = self.run("new.sqlite", &["export", "--whole"]).stdout;
            assert_eq!(book, expected, "spoilt at {at}");
            for ending in ["", "-wal", "-shm"] {
                let _ = std::fs::remove_file(self.path(&format!("new.sqlite{ending}")));
            }
        } else {
            assert_eq!(output.code, Some(1), "spoilt at {at}: {output:?}");
        }
    }

    fn new() -> Place {
        Place {
            home: TempDir::new().expect("a folder"),
        }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.home.path().join(name)
    }

    /// Runs a command on a book in this place.
    fn run(&self, book: &str, arguments: &[&str]) -> Output {
        let (book, mut all) = (self.path(book), arguments.to_vec());
        all.extend(["--db", book.to_str().expect("a plain path")]);
        tallyhand(self.home.path(), &all, b"")
    }

    #[track_caller]
    fn works(&self, book: &str, arguments: &[&str]) -> String {
        let output = self.run(book, arguments);
        assert_eq!(output.code, Some(0), "{arguments:?}: {}", output.stderr);
        output.stdout
    }

    #[track_caller]
    fn refuses(&self, book: &str, arguments: &[&str], code: i32, words: &str) {
        let output = self.run(book, arguments);
        assert_eq!(output.code, Some(code), "{arguments:?}: {output:?}");
        assert!(output.stderr.contains(words), "{arguments:?}: {}", output.stderr);
    }

    fn text(&self, name: &str) -> String {
        self.path(name).to_str().expect("a plain path").to_string()
    }
}

fn messages(book: &Path) -> Vec<(String, String)> {
    let connection = Connection::open(book).expect("the book opens");
    let mut statement = connection
        .prepare("SELECT external_id, json FROM message JOIN reply ON message_position = position ORDER BY position")
        .expect("a statement");
    let rows = statement
        .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))
        .expect("rows");
    rows.collect::<Result<_, _>>().expect("text")
}

/// What was acknowledged before a backup began is in it, whatever goes on meanwhile; what is in it is in the book too, and
/// the restored book goes on from there.
#[test]
fn a_backup_made_under_load_restores_to_what_was_there() {
    let place = Place::new();
    let book = place.path("book.sqlite");
    let server = Server::start(place.home.path(), &book);
    let stop = Arc::new(AtomicBool::new(false));
    let pressing = {
        let (address, stop) = (server.address.clone(), Arc::clone(&stop));
        std::thread::spawn(move || press(&address, &stop))
    };
    while messages_so_far(&book) < 20 {
        std::thread::yield_now();
    }
    let mut drills = Vec::new();
    for (number, name) in ["plain.sqlite", "packed.sqlite.zst"].iter().enumerate() {
        let before = messages(&book);
        place.works("book.sqlite", &["backup", &place.text(name)]);
        drills.push((number, name, before));
    }
    stop.store(true, Ordering::SeqCst);
    let acknowledged = pressing.join().expect("the sender ends by itself");
    assert!(acknowledged > 20, "messages went on meanwhile");
    server.kill();
    let all = messages(&book);
    for (number, name, before) in drills {
        let restored = format!("restored{number}.sqlite");
        place.works(&restored, &["restore", &place.text(name)]);
        let kept = messages(&place.path(&restored));
        assert!(
            kept.starts_with(&before),
            "{name}: all that was acknowledged before is there"
        );
        assert!(all.starts_with(&kept), "{name}: and nothing that never was");
        assert_eq!(store::check(&place.path(&restored)).expect("it can be checked"), []);
        place.works(&restored, &["say", "rate 101"]);
        let export: Value = serde_json::from_str(&place.works(&restored, &["export", "--json"])).expect("JSON");
        assert_eq!(export["settings"]["rate"], "101.00");
    }
    let leftovers: Vec<_> = std::fs::read_dir(place.home.path())
        .expect("the folder")
        .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
        .filter(|name| name.contains(".part"))
        .collect();
    assert!(leftovers.is_empty(), "{leftovers:?}");
}

/// Reads the book while it is being made, so a file that is not ready yet counts as empty.
fn messages_so_far(book: &Path) -> i64 {
    let connection = Connection::open(book).expect("the book opens");
    connection
        .query_row("SELECT count(*) FROM message", [], |row| row.get(0))
        .unwrap_or_default()
}

/// Sends messages until told to stop, and gives how many were acknowledged.
fn press(address: &str, stop: &AtomicBool) -> usize {
    let _ = rustls::crypto::ring::default_provider().install_default();
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .expect("a runtime");
    let client = reqwest::Client::builder().no_proxy().build().expect("a client");
    let mut acknowledged = 0;
    while !stop.load(Ordering::SeqCst) {
        let id = format!("msg_{acknowledged}");
        let body = format!("{{\"text\":\"{} small crapes at Alder Ct\"}}", acknowledged % 90 + 1);
        let at = tallyhand::web::Clock::now(&tallyhand::runtime::SystemClock).unix_seconds();
        let call = client
            .post(format!("{address}/hooks/signed"))
            .headers(header_map(&sign(SECRET, &id, at, body.as_bytes())))
            .body(body);
        let status = runtime.block_on(call.send()).expect("it answers").status();
        assert_eq!(status.as_u16(), 200);
        acknowledged += 1;
    }
    acknowledged
}

#[test]
fn restoring_never_overwrites_and_never_takes_what_is_not_sound() {
    let place = Place::new();
    place.works("book.sqlite", &["say", "rate 90"]);
    place.works("book.sqlite", &["backup", "--zstd", &place.text("good")]);
    place.works("book.sqlite", &["say", "rate 95"]);
    place.refuses(
        "book.sqlite",
        &["backup", &place.text("good")],
        1,
        "is there already and is left alone",
    );
    place.refuses("none.sqlite", &["backup", &place.text("x")], 1, "there is no book at");
    place.refuses(
        "book.sqlite",
        &["restore", &place.text("good")],
        1,
        "with --replace it is moved aside first",
    );
    std::fs::write(place.path("letter"), "Dear Wren").expect("a file");
    place.refuses(
        "new.sqlite",
        &["restore", &place.text("letter")],
        1,
        "is not a backup of a book",
    );
    place.refuses(
        "new.sqlite",
        &["restore", &place.text("nowhere")],
        1,
        "cannot be read or written",
    );
    let whole = std::fs::read(place.path("good")).expect("the backup");
    for cut in [9, whole.len() / 2, whole.len() - 1] {
        std::fs::write(place.path("cut"), &whole[..cut]).expect("a file");
        let output = place.run("new.sqlite", &["restore", &place.text("cut")]);
        assert_eq!(output.code, Some(1), "cut at {cut}: {output:?}");
    }
    place.run("whole.sqlite", &["restore", &place.text("good")]);
    let restored = place.run("whole.sqlite", &["export", "--whole"]).stdout;
    for at in (20..whole.len() - 1).step_by(whole.len() / 25 + 1) {
        let mut spoilt = whole.clone();
        spoilt[at] ^= 0x55;
        std::fs::write(place.path("spoilt"), &spoilt).expect("a file");
        place.refuses_or_holds(&["restore", &place.text("spoilt")], &restored, at);
    }
    assert!(
        !place.path("new.sqlite").exists(),
        "nothing unsound took the place of a book"
    );
    let said = place.works("book.sqlite", &["restore", "--replace", &place.text("good")]);
    let aside = said
        .lines()
        .find_map(|line| line.strip_prefix("The book that was there is now "))
        .expect("it says where the old one is");
    let rate = |book: &str| {
        let export = tallyhand(place.home.path(), &["export", "--json", "--db", book], b"").stdout;
        serde_json::from_str::<Value>(&export).expect("JSON")["settings"]["rate"].clone()
    };
    assert_eq!(
        (rate(&place.text("book.sqlite")), rate(aside)),
        ("90.00".into(), "95.00".into())
    );
}

#[test]
fn a_book_in_use_is_not_replaced() {
    let place = Place::new();
    let book = place.path("book.sqlite");
    let server = Server::start(place.home.path(), &book);
    place.works("book.sqlite", &["backup", &place.text("copy.sqlite")]);
    place.refuses(
        "book.sqlite",
        &["restore", "--replace", &place.text("copy.sqlite")],
        1,
        "another tallyhand has the book",
    );
    server.kill();
    place.works("book.sqlite", &["restore", "--replace", &place.text("copy.sqlite")]);
}

#[test]
fn an_unsound_book_makes_no_backup() {
    let place = Place::new();
    place.works("book.sqlite", &["say", "rate 90"]);
    let connection = Connection::open(place.path("book.sqlite")).expect("the book opens");
    connection
        .execute_batch("UPDATE projection SET json = '{}' WHERE table_name = 'settings'")
        .expect("it can be spoilt");
    drop(connection);
    place.refuses(
        "book.sqlite",
        &["backup", &place.text("copy")],
        1,
        "is not sound and was thrown away",
    );
    assert!(!place.path("copy").exists());
}

#[test]
fn scheduled_backups_come_when_due_and_the_oldest_go() {
    let place = Place::new();
    place.works("book.sqlite", &["say", "rate 90"]);
    let (book, folder) = (place.path("book.sqlite"), place.path("backups"));
    let schedule = Schedule {
        folder: folder.clone(),
        hours: 24,
        keep: 3,
        recipients: None,
    };
    let start: Timestamp = "2026-03-01T12:00:00Z".parse().expect("a time");
    let at = |hours: i64| Timestamp::from_unix_seconds(start.unix_seconds() + hours * 3600).expect("a time");
    let due = |hours| {
        when_due(&book, &schedule, at(hours))
            .expect("it works")
            .expect("there is one")
    };
    let names = || {
        let mut names: Vec<String> = std::fs::read_dir(&folder)
            .expect("the folder")
            .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    };
    assert_eq!(due(0), at(0));
    assert_eq!(due(23), at(0), "not before it is due");
    assert_eq!(due(24), at(24));
    std::fs::write(folder.join("holiday.jpg"), "not ours").expect("a file");
    for day in 2..6 {
        assert_eq!(due(day * 24), at(day * 24));
    }
    let wanted = [
        "book-2026-03-04T120000Z.sqlite.zst",
        "book-2026-03-05T120000Z.sqlite.zst",
        "book-2026-03-06T120000Z.sqlite.zst",
        "holiday.jpg",
    ];
    assert_eq!(names(), wanted);
    // The clock goes back a week, and then right again: none of the good ones is lost to it.
    assert_eq!(due(-48), at(-48));
    assert!(names().contains(&wanted[2].to_string()), "{:?}", names());
}

/// Sealed for a public key: nothing of it can be read without the secret one, and nothing of it can be changed. Both sides
/// are checked against crate age itself, whose format others read too (age-encryption.org/v1).
#[test]
fn a_sealed_backup_opens_with_its_key_alone() {
    let place = Place::new();
    place.works("book.sqlite", &["say", "note gate code 4411 at Quillback Hollow"]);
    let keys = [1, 2].map(|_| age::x25519::Identity::generate());
    for (name, key) in ["ours", "theirs"].iter().zip(&keys) {
        let text = format!("# made by age-keygen\n{}\n", key.to_string().expose_secret());
        std::fs::write(place.path(name), text).expect("a file");
    }
    let recipient = keys[0].to_public().to_string();
    let sealed = place.text("book.age");
    place.works("book.sqlite", &["backup", &sealed, "--recipient", &recipient]);
    let bytes = std::fs::read(place.path("book.age")).expect("the backup");
    let opened = age::decrypt(&keys[0], &bytes).expect("crate age opens it");
    let book = zstd::decode_all(&opened[..]).expect("it is packed");
    assert!(book.starts_with(b"SQLite format 3\0") && contains(&book, b"Quillback Hollow"));
    assert!(!contains(&bytes, b"SQLite") && !contains(&bytes, b"Quillback"));

    place.refuses("new.sqlite", &["restore", &sealed], 1, "is encrypted; give the key");
    let with = |key: &str| ["restore", &sealed, "--identity-file", key].map(str::to_string);
    let restore = |key: &str| {
        let arguments = with(&place.text(key));
        place.run("new.sqlite", &arguments.each_ref().map(String::as_str))
    };
    let wrong = restore("theirs");
    assert_eq!(wrong.code, Some(1));
    assert!(wrong.stderr.contains("does not open with that key"), "{}", wrong.stderr);
    let none = restore("nowhere");
    assert_eq!(none.code, Some(2), "{none:?}");
    for at in (0..bytes.len()).step_by(bytes.len() / 40 + 1) {
        let mut spoilt = bytes.clone();
        spoilt[at] ^= 1;
        std::fs::write(place.path("book.age"), &spoilt).expect("a file");
        assert_eq!(restore("ours").code, Some(1), "spoilt at {at}");
        std::fs::write(place.path("book.age"), &bytes[..at]).expect("a file");
        assert_eq!(restore("ours").code, Some(1), "cut at {at}");
    }
    assert!(!place.path("new.sqlite").exists());
    std::fs::write(place.path("book.age"), &bytes).expect("a file");
    assert_eq!(restore("ours").code, Some(0));
    let whole = |book| place.works(book, &["export", "--whole"]);
    assert_eq!(whole("new.sqlite"), whole("book.sqlite"));
    let left: Vec<_> = std::fs::read_dir(place.home.path())
        .expect("the folder")
        .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
        .filter(|name| name.contains("part"))
        .collect();
    assert!(left.is_empty(), "{left:?}");
}

#[test]
fn a_sealed_backup_opens_with_its_passphrase_alone() {
    let place = Place::new();
    place.works("book.sqlite", &["say", "rate 90"]);
    for (name, words) in [
        ("short", "hunter2\n"),
        ("words", "twine ledger stake pencil\n"),
        ("other", "twine ledger stake\n"),
    ] {
        std::fs::write(place.path(name), words).expect("a file");
    }
    let (sealed, words) = (place.text("book.age"), place.text("words"));
    let backup = |file: &str| place.run("book.sqlite", &["backup", &sealed, "--passphrase-file", file]);
    let short = backup(&place.text("short"));
    assert_eq!(short.code, Some(2), "{short:?}");
    assert!(short.stderr.contains("too short"), "{}", short.stderr);
    assert_eq!(backup(&words).code, Some(0));
    let other = place.text("other");
    place.refuses(
        "new.sqlite",
        &["restore", &sealed, "--passphrase-file", &other],
        1,
        "does not open",
    );
    place.works("new.sqlite", &["restore", &sealed, "--passphrase-file", &words]);
    let export: Value = serde_json::from_str(&place.works("new.sqlite", &["export", "--json"])).expect("JSON");
    assert_eq!(export["settings"]["rate"], "90.00");
    // What is asked for and what is not keyed right is said before anything is made.
    for (arguments, words) in [
        (vec!["backup", "x.age"], "add --recipient or --passphrase-file"),
        (vec!["backup", "x", "--recipient", "age1mum"], "is not a public key"),
    ] {
        place.refuses("book.sqlite", &arguments, 2, words);
    }
}

#[test]
fn scheduled_backups_are_sealed_for_who_is_set() {
    let place = Place::new();
    place.works("book.sqlite", &["say", "rate 90"]);
    let key = age::x25519::Identity::generate();
    let folder = place.path("backups");
    let schedule = |keys: Option<&str>| Schedule {
        folder: folder.clone(),
        hours: 24,
        keep: 2,
        recipients: keys.map(|keys| store::Recipients::parse(keys).expect("a key")),
    };
    let at = |day: u32| -> Timestamp { format!("2026-03-0{day}T12:00:00Z").parse().expect("a time") };
    let public = key.to_public().to_string();
    when_due(&place.path("book.sqlite"), &schedule(None), at(1)).expect("it works");
    when_due(&place.path("book.sqlite"), &schedule(Some(&public)), at(2)).expect("it works");
    when_due(&place.path("book.sqlite"), &schedule(Some(&public)), at(3)).expect("it works");
    let mut names: Vec<String> = std::fs::read_dir(&folder)
        .expect("the folder")
        .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    let wanted = [
        "book-2026-03-02T120000Z.sqlite.zst.age",
        "book-2026-03-03T120000Z.sqlite.zst.age",
    ];
    assert_eq!(names, wanted, "the oldest goes, sealed or not");
    let bytes = std::fs::read(folder.join(wanted[1])).expect("the backup");
    assert!(age::decrypt(&key, &bytes).is_ok());
}

fn contains(bytes: &[u8], words: &[u8]) -> bool {
    bytes.windows(words.len()).any(|window| window == words)
}
