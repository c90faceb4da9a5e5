//! Files that come with messages and go out with answers: kept with the words, given to nobody else.

use axum::{body::Body, http::Request};
use serde_json::Value;
use tallyhand::{
    channels::media_of,
    store::{Delivery, Enclosed},
    units::{AccountId, FileId, InboundId},
    web,
};
use tempfile::TempDir;

use crate::support::{Yard, tallyhand};

/// A picture of one dot: the smallest PNG there is (W3C PNG, section 5: signature, IHDR, IDAT, IEND).
pub(crate) const DOT: &[u8] = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\0\x01\0\0\0\x01\x08\0\0\0\0:~\x9bU\0\0\0\nIDATx\x9cc`\0\0\0\x02\0\x01H\xaf\xa4q\0\0\0\0IEND\xaeB`\x82";

/// Says something with a photo, as a messenger would hand it in.
fn sends_photo(yard: &Yard, id: &str, text: &str) -> Value {
    let message = InboundId::new(id);
    let delivery = Delivery {
        account: yard.owner().account,
        member: yard.owner().id,
        id: message.clone(),
        channel: "test".into(),
        external_id: id.into(),
        text: text.into(),
        heard: None,
        answer_to: None,
        sent_at: None,
        media: vec![Enclosed {
            media: media_of(&message, 1, DOT, Some("image/jpeg"), None),
            bytes: Some(DOT.to_vec()),
        }],
        at: web::Clock::now(yard.clock().as_ref()),
    };
    let answered = yard.wait(yard.handle().take(delivery)).expect("it is taken");
    serde_json::from_str(&answered.json).expect("JSON")
}

#[test]
fn a_photo_alone_is_a_note_and_is_kept_with_the_job_in_hand() {
    let yard = Yard::new().says("12 small crapes at Alder Ct").whatever();
    let answer = sends_photo(&yard, "p1", "");
    assert_eq!(answer["understood"], serde_json::json!(["note"]));
    assert_eq!(answer["text"], "Photo kept with quote 1, Alder Ct.");
    let yard = yard.has_event("file_kept").reopens();
    assert_eq!(
        yard.count("SELECT count(*) FROM file WHERE message_position IS NOT NULL"),
        1
    );
    let given = yard.gets("/files/p1_in1", Some(yard.cookie()));
    assert_eq!((given.status, given.header("content-type")), (200, "image/png"));
    // Taken back, the job has no photo any more; the words and the file stay.
    let _ = yard.says("undo").whatever().says("undo").whatever();
}

#[test]
fn words_under_a_photo_are_read_and_the_photo_goes_with_what_they_led_to() {
    let yard = Yard::new();
    let answer = sends_photo(&yard, "p1", "12 small crapes at Alder Ct");
    assert_eq!(answer["quote"]["place"], "Alder Ct");
    assert!(
        answer["text"]
            .as_str()
            .is_some_and(|text| text.ends_with("Photo kept with quote 1, Alder Ct.")),
        "{answer:#}"
    );
    let answer = sends_photo(&yard, "p2", "blorf wuzzle");
    assert_eq!(answer["understood"], serde_json::json!(["note"]), "{answer:#}");
    assert_eq!(yard.count("SELECT count(*) FROM file"), 2);
}

#[test]
fn a_second_delivery_keeps_no_second_photo() {
    let yard = Yard::new();
    assert_eq!(sends_photo(&yard, "p1", ""), sends_photo(&yard, "p1", ""));
    assert_eq!(yard.count("SELECT count(*) FROM file"), 1);
}

#[test]
fn nobody_else_sees_a_file() {
    let yard = Yard::new();
    sends_photo(&yard, "p1", "");
    for path in ["/files/p1_in1", "/files/p1_in2", "/f/p1_in1", "/f/0000"] {
        assert!(
            matches!(yard.gets(path, None).status, 401 | 404),
            "{path} without a session"
        );
    }
    let other = AccountId::new(yard.owner().account.get() + 1);
    let found = yard.wait(yard.handle().file(other, FileId::new("p1_in1")));
    assert_eq!(found.expect("it can be asked"), None, "another account");
    let made = yard.wait(web::new_file_link(yard.deps(), other, FileId::new("p1_in1")));
    assert_eq!(made.expect("it can be asked"), None, "another account makes no link");
    let link = yard.wait(web::new_file_link(
        yard.deps(),
        yard.owner().account,
        FileId::new("p1_in1"),
    ));
    let link = link.expect("it can be asked").expect("it is there");
    assert_eq!(yard.gets(&link, None).status, 200);
    let yard = yard.later(31 * 24 * 60);
    assert_eq!(yard.gets(&link, None).status, 404, "a month later the link is spent");
}

/// A list that is too long for a message goes out whole as a file: on the page behind the session, in the terminal as a
/// file beside the book.
#[test]
fn a_long_list_goes_out_as_a_file() {
    let home = TempDir::new().expect("a folder");
    let book = home.path().join("book.sqlite");
    let db = book.to_str().expect("a path");
    let quotes: Vec<String> = (1..=14)
        .map(|number| format!("12 small crapes at {number} Alder Ct"))
        .collect();
    let said = tallyhand(
        home.path(),
        &["chat", "--json", "--db", db],
        quotes.join("\n").as_bytes(),
    );
    assert_eq!(said.code, Some(0), "{}", said.stderr);
    let said = tallyhand(home.path(), &["say", "--json", "--db", db, "open quotes"], b"");
    let answer: Value = serde_json::from_str(&said.stdout).expect("JSON");
    let file = &answer["attachments"][0];
    assert_eq!(
        (&file["kind"], &file["name"]),
        (&"text/csv".into(), &"open quotes.csv".into()),
        "{answer:#}"
    );
    let path = std::path::PathBuf::from(file["path"].as_str().expect("a path"));
    assert!(path.is_absolute(), "{}", path.display());
    let mut reader = csv::Reader::from_path(&path).expect("the file is there");
    let rows: Vec<csv::StringRecord> = reader.records().collect::<Result<_, _>>().expect("every row reads");
    assert_eq!(rows.len(), 14);
    let kept: String = rusqlite::Connection::open(&book)
        .expect("the book opens")
        .query_row(
            "SELECT json FROM reply ORDER BY message_position DESC LIMIT 1",
            [],
            |row| row.get(0),
        )
        .expect("an answer");
    assert!(
        kept.contains("\"path\":\"/files/"),
        "the book keeps the path on the server: {kept}"
    );
}

#[test]
fn a_photo_can_be_said_in_the_terminal_and_a_file_that_is_not_there_is_a_sentence() {
    let home = TempDir::new().expect("a folder");
    let photo = home.path().join("gate.png");
    std::fs::write(&photo, DOT).expect("a file");
    let photo = photo.to_str().expect("a path");
    let said = tallyhand(
        home.path(),
        &["say", "--json", "--photo", photo, "note gate is left"],
        b"",
    );
    let answer: Value = serde_json::from_str(&said.stdout).expect(&said.stderr);
    assert_eq!(answer["text"], "Noted: gate is left\nPhoto kept.");
    let said = tallyhand(home.path(), &["say", "--photo", "nowhere.png"], b"");
    assert_eq!(said.code, Some(1));
    assert!(said.stderr.contains("nowhere.png cannot be read"), "{}", said.stderr);
}

#[test]
fn a_file_whose_content_changed_is_found_by_the_check() {
    let yard = Yard::new();
    sends_photo(&yard, "p1", "");
    let yard = yard.reopens();
    let copy = TempDir::new().expect("a folder");
    let copy = copy.path().join("copy.sqlite");
    let connection = rusqlite::Connection::open(yard.book()).expect("the book opens");
    connection.execute("VACUUM INTO ?1", [copy.to_str()]).expect("a copy");
    let connection = rusqlite::Connection::open(&copy).expect("the copy opens");
    connection
        .execute_batch("DROP TRIGGER file_stays; UPDATE file SET bytes = x'00'")
        .expect("it can be spoilt");
    let faults = tallyhand::store::check(&copy).expect("it can be checked");
    assert_eq!(faults, [tallyhand::store::Fault::Spoilt("p1_in1".into())]);
    let _ = yard.send(Request::get("/").body(Body::empty()).expect("a request"));
}

#[test]
fn files_and_pictures_of_a_time_go_with_the_answer() {
    let mut yard = Yard::new();
    for text in [
        "rate 120",
        "mow 30 min",
        "mow at Alder Ct",
        "done 30 min",
        "paid 60 check",
    ] {
        yard = yard.says(text).whatever();
    }
    let sheet = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet";
    for (text, kind, holds) in [
        (
            "payments csv for january",
            "text/csv",
            "2026-01-12,1,Alder Ct,60.00,check",
        ),
        (
            "payments csv for december",
            "text/csv",
            "date,quote,place,amount,method\r\n",
        ),
        ("jobs csv for this month", "text/csv", ",1,Alder Ct,done,mow,"),
        ("prices csv", "text/csv", "rate,120"),
        ("jobs file for january", sheet, "PK"),
        ("payments file", sheet, "PK"),
        ("price list file", sheet, "PK"),
        ("picture of january", "image/png", "PNG"),
    ] {
        yard = yard.says(text);
        let answer = yard.next_answer();
        let file = &answer["attachments"][0];
        assert_eq!(file["kind"], kind, "{text}: {answer:#}");
        let given = yard.gets(file["path"].as_str().expect("a path"), Some(yard.cookie()));
        assert_eq!(given.status, 200, "{text}");
        assert!(given.body.contains(holds), "{text}: {}", given.body);
        assert!(!given.body.contains("Alder") || text != "payments csv for december");
    }
}

#[test]
fn photos_kept_with_a_place_are_told_and_given_out_again() {
    let mut yard = Yard::new().says("mow at Alder Ct").whatever();
    sends_photo(&yard, "p1", "");
    sends_photo(&yard, "p2", "note gate is left");
    yard = yard.says("done 30 min").whatever().says("last time at Alder");
    let last = yard.next_answer();
    assert_eq!(
        (&last["files"], &last["notes"][0]),
        (&2.into(), &"gate is left".into()),
        "{last:#}"
    );
    assert!(
        last["text"]
            .as_str()
            .is_some_and(|text| text.contains("2 photos and files kept")),
        "{last:#}"
    );
    yard = yard.says("photos at Alder");
    let photos = yard.next_answer();
    let files = photos["attachments"].as_array().expect("files");
    assert_eq!(files.len(), 2, "{photos:#}");
    for file in files {
        assert_eq!(file["kind"], "image/png");
        let given = yard.gets(file["path"].as_str().expect("a path"), Some(yard.cookie()));
        assert_eq!((given.status, given.header("content-type")), (200, "image/png"));
    }
    let _ = yard.says("photos at Birch Rd").replies("No photo or file is kept");
}
