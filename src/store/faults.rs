//! What if the store fails at its first operation, its second, its third, and so on?
//!
//! SQLite is stopped at the Nth step of its own machine, for every N until the message passes, and separately at every
//! commit. After each failure the message must not be there, in whole or in part; the same delivery then has to go through
//! as if nothing had been. Method: sqlite.org/testing.html, section 3, anomaly testing, with interrupts for the fault.

use std::{
    path::Path,
    sync::{
        Arc,
        atomic::{AtomicI64, Ordering},
    },
};

use rusqlite::Connection;
use tempfile::TempDir;

use super::{
    Answered, Delivery, Error, Options,
    chats::Codes,
    check,
    connection::{open_to_read, open_to_write},
    facts, migrate, people,
    step::States,
    writer::take_all,
};
use crate::{
    conversation::{self, Media, MediaKind},
    store::Enclosed,
    units::{FileId, InboundId, Timestamp},
};

/// Steps of SQLite's machine between one possible fault and the next; 1 with `TALLYHAND_EVERY_FAULT` set.
const STRIDE: i64 = 29;

/// Messages that write in every table: figures, quotes, a question, a photo, something taken back.
const SAYINGS: [&str; 6] = [
    "rate 120",
    "12 small 3 medium crapes at Alder Ct",
    "make that 14 small",
    "5 hollies",
    "2",
    "undo",
];

fn now() -> Timestamp {
    "2026-01-12T15:00:00Z".parse().expect("a time")
}

fn options() -> Options {
    Options {
        handle: conversation::handle,
        zone: chrono_tz::America::Chicago,
        public_url: None,
        carry_answers: true,
        owner: "owner".into(),
        secret: || [7; 32],
        channels: Vec::new(),
    }
}

/// A book with the connection that writes it, past the thread.
struct Bench {
    connection: Connection,
    states: States,
    owner: super::Member,
    /// Steps until the fault; below nothing: none comes.
    left: Arc<AtomicI64>,
}

impl Bench {
    fn open(book: &Path) -> Bench {
        let mut connection = open_to_write(book).expect("a book");
        migrate::bring_up_to_date(&mut connection, now()).expect("a new book");
        let owner = people::ensure_owner(&connection, "owner", now()).expect("an owner");
        let left = Arc::new(AtomicI64::new(-1));
        let counting = Arc::clone(&left);
        let fault_is_due = move || counting.load(Ordering::SeqCst) >= 0 && counting.fetch_sub(1, Ordering::SeqCst) == 0;
        connection.progress_handler(1, Some(fault_is_due)).expect("a handler");
        Bench {
            connection,
            states: States::with(Codes::default()),
            owner,
            left,
        }
    }

    fn delivery(&self, id: &str, text: &str) -> Delivery {
        let media = Media {
            id: FileId::new(format!("{id}_in1")),
            kind: MediaKind::Photo,
            media_type: "image/png".into(),
            name: "photo".into(),
        };
        Delivery {
            account: self.owner.account,
            member: self.owner.id,
            id: InboundId::new(id),
            channel: "test".into(),
            external_id: id.into(),
            text: text.into(),
            heard: None,
            answer_to: None,
            sent_at: None,
            media: vec![Enclosed {
                media,
                bytes: Some(vec![7; 9000]),
            }],
            at: now(),
        }
    }

    /// Takes a delivery as the writer does, with a fault after some steps, or none.
    fn take(&mut self, delivery: &Delivery, fault_after: i64) -> Result<Answered, Error> {
        self.left.store(fault_after, Ordering::SeqCst);
        let taken = take_all(
            &mut self.connection,
            &mut self.states,
            std::slice::from_ref(delivery),
            &options(),
        );
        self.left.store(-1, Ordering::SeqCst);
        match taken {
            Ok(mut results) => results.remove(0),
            Err(failure) => {
                self.states.forget_all();
                Err(failure)
            }
        }
    }

    /// Everything that a message can leave behind, and what the projection holds.
    fn contents(&self) -> (Vec<i64>, String) {
        let counted = self
            .connection
            .query_row(include_str!("sql/fault_counts.sql"), [], |row| {
                (0..7).map(|column| row.get(column)).collect::<Result<_, _>>()
            });
        let rows = facts::stored_rows(&self.connection, self.owner.account).expect("rows");
        (counted.expect("numbers"), format!("{rows:?}"))
    }
}

#[track_caller]
fn check_sound(book: &Path) {
    assert_eq!(check::check(book).expect("it can be checked"), []);
}

#[test]
fn a_fault_at_any_step_leaves_nothing_behind_and_the_next_try_goes_through() {
    let stride = if std::env::var_os("TALLYHAND_EVERY_FAULT").is_some() {
        1
    } else {
        STRIDE
    };
    let folder = TempDir::new().expect("a folder");
    let (book, calm) = (folder.path().join("book.sqlite"), folder.path().join("calm.sqlite"));
    let (mut bench, mut without) = (Bench::open(&book), Bench::open(&calm));
    for (number, text) in SAYINGS.iter().enumerate() {
        let delivery = bench.delivery(&format!("m{number}"), text);
        let before = bench.contents();
        let mut faults = 0;
        let answered = loop {
            match bench.take(&delivery, faults * stride) {
                Err(_) => {
                    assert_eq!(
                        bench.contents(),
                        before,
                        "{text:?} after a fault at step {}",
                        faults * stride
                    );
                    faults += 1;
                }
                Ok(answered) => break answered,
            }
        };
        assert!(faults > 3, "{text:?} was stopped {faults} times only");
        check_sound(&book);
        let undisturbed = without.take(&delivery, -1).expect("nothing disturbs it");
        assert_eq!(answered, undisturbed, "{text:?} is answered as if nothing had been");
        assert_eq!(bench.contents(), without.contents(), "{text:?} left the same behind");
        let again = bench.take(&delivery, -1).expect("it is answered again");
        assert!(again.again && again.json == answered.json, "{text:?} is counted once");
    }
}

#[test]
fn a_commit_that_fails_takes_all_of_its_messages_back_and_no_others() {
    let folder = TempDir::new().expect("a folder");
    let book = folder.path().join("book.sqlite");
    let mut bench = Bench::open(&book);
    for number in 0..20 {
        let delivery = bench.delivery(&format!("m{number}"), "12 small crapes at Alder Ct");
        let before = bench.contents();
        bench.connection.commit_hook(Some(|| true)).expect("a hook");
        bench.take(&delivery, -1).expect_err("the commit is refused");
        bench.connection.commit_hook(None::<fn() -> bool>).expect("no hook");
        assert_eq!(bench.contents(), before);
        let answered = bench.take(&delivery, -1).expect("nothing disturbs it");
        assert!(!answered.again, "the first try left no answer behind");
    }
    check_sound(&book);
}

#[test]
fn a_fault_while_the_book_is_made_leaves_a_file_that_can_be_made_again() {
    let folder = TempDir::new().expect("a folder");
    let mut faults = 0;
    loop {
        let book = folder.path().join(format!("book{faults}.sqlite"));
        let mut connection = open_to_write(&book).expect("a file");
        let left = AtomicI64::new(faults * STRIDE);
        connection
            .progress_handler(1, Some(move || left.fetch_sub(1, Ordering::SeqCst) == 0))
            .expect("a handler");
        let made = migrate::bring_up_to_date(&mut connection, now());
        connection
            .progress_handler(0, None::<fn() -> bool>)
            .expect("no handler");
        if made.is_ok() {
            break;
        }
        migrate::bring_up_to_date(&mut connection, now()).expect("the next try makes it");
        people::ensure_owner(&connection, "owner", now()).expect("an owner");
        drop(connection);
        open_to_read(&book).expect("it opens");
        check_sound(&book);
        faults += 1;
    }
    assert!(faults > 10, "it was stopped {faults} times only");
}
