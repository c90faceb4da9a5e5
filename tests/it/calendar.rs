//! The calendar that a phone subscribes to: what is in it, who may open it, and what a second implementation reads.
//!
//! `tests/peers/install.sh` installs the Python library `icalendar`; where that was not done, the tests that need it say
//! so and pass.

use serde_json::{Value, json};
use tallyhand::{
    store::{Delivery, Member},
    units::InboundId,
    web,
};

use crate::{
    peers,
    support::{Yard, tallyhand},
};

/// Says something as a member, and gives the answer.
fn says(yard: &Yard, member: &Member, text: &str) -> Value {
    let count = yard.count("SELECT count(*) FROM message");
    let id = format!("c{count}");
    let delivery = Delivery {
        account: member.account,
        member: member.id,
        id: InboundId::new(&id),
        channel: "test".into(),
        external_id: id,
        text: text.into(),
        heard: None,
        media: Vec::new(),
        answer_to: None,
        sent_at: None,
        at: web::Clock::now(yard.clock().as_ref()),
    };
    let answered = yard.wait(yard.handle().take(delivery)).expect("it is taken");
    serde_json::from_str(&answered.json).expect("JSON")
}

/// The address that an answer gives, as a path.
fn path_in(answer: &Value) -> String {
    let text = answer["text"].as_str().expect("words");
    let start = text
        .find("/calendar/")
        .unwrap_or_else(|| panic!("no address in {text}"));
    let path = &text[start..];
    path[..path.find(".ics").expect("an ending") + 4].to_string()
}

fn feed(yard: &Yard, path: &str) -> String {
    let given = yard.gets(path, None);
    assert_eq!(given.status, 200, "{path}");
    assert_eq!(given.header("content-type"), "text/calendar; charset=utf-8");
    given.body
}

/// The value of a property in the only event of a feed, its folded lines joined.
fn property(feed: &str, name: &str) -> String {
    let joined = feed.replace("\r\n ", "");
    let mut lines = joined.lines().skip_while(|line| *line != "BEGIN:VEVENT");
    let line = lines.find(|line| line.starts_with(&format!("{name}:")));
    line.unwrap_or_else(|| panic!("no {name} in {joined}"))[name.len() + 1..].to_string()
}

fn planned() -> Yard {
    let yard = Yard::new();
    let owner = yard.owner().clone();
    for text in [
        "time zone America/Chicago",
        "rate 120",
        "crape myrtle small 6 min",
        "12 small crapes at Alder Ct",
        "note gate code 4411; dog, friendly",
        "won tuesday 8am",
    ] {
        says(&yard, &owner, text);
    }
    yard
}

#[test]
fn a_job_that_moves_keeps_its_id_and_grows_in_revision() {
    let yard = planned();
    let owner = yard.owner().clone();
    let path = path_in(&says(&yard, &owner, "calendar"));
    let first = feed(&yard, &path);
    // Tuesday 2026-01-13 at 8:00 in Chicago, which is UTC-6 then.
    assert_eq!(property(&first, "DTSTART"), "20260113T140000Z");
    assert_eq!(property(&first, "SEQUENCE"), "0");
    says(&yard, &owner, "push Alder to thursday at 10");
    let moved = feed(&yard, &path);
    assert_eq!(property(&moved, "UID"), property(&first, "UID"));
    assert_eq!(
        (
            property(&moved, "DTSTART").as_str(),
            property(&moved, "SEQUENCE").as_str()
        ),
        ("20260115T160000Z", "1")
    );
    // Taken back, it is a newer word than the one taken back.
    says(&yard, &owner, "undo");
    let back = feed(&yard, &path);
    assert_eq!(
        (
            property(&back, "DTSTART").as_str(),
            property(&back, "SEQUENCE").as_str()
        ),
        ("20260113T140000Z", "2")
    );
    let yard = yard.reopens();
    assert_eq!(feed(&yard, &path), back, "a fold of the log gives the same");
    says(&yard, &owner, "lost, too high");
    assert!(
        !feed(&yard, &path).contains("BEGIN:VEVENT"),
        "what was lost is not in it"
    );
}

#[test]
fn an_address_is_its_members_alone_and_can_be_shut() {
    let yard = planned();
    let owner = yard.owner().clone();
    let first = path_in(&says(&yard, &owner, "calendar"));
    assert!(
        property(&feed(&yard, &first), "DESCRIPTION").contains("$144.00"),
        "the owner sees prices"
    );
    // A new address ends the one before.
    let second = path_in(&says(&yard, &owner, "calendar"));
    assert_ne!(first, second);
    assert_eq!(yard.gets(&first, None).status, 404);
    assert_eq!(yard.gets(&second, None).status, 200);
    let home = tempfile::TempDir::new().expect("a folder");
    let book = yard.book().to_str().expect("a path");
    let added = tallyhand(home.path(), &["member", "Ana", "--db", book], b"");
    assert_eq!(added.code, Some(0), "{}", added.stderr);
    let members = yard.wait(yard.handle().members(owner.account)).expect("members");
    let ana = members
        .into_iter()
        .find(|member| member.name == "Ana")
        .expect("Ana is there");
    let hers = path_in(&says(&yard, &ana, "calendar"));
    assert!(!feed(&yard, &hers).contains('$'), "the crew sees no prices");
    says(&yard, &owner, "show prices to Ana");
    assert!(feed(&yard, &hers).contains("$144.00"));
    says(&yard, &owner, "no calendar");
    assert_eq!(yard.gets(&second, None).status, 404);
    assert_eq!(yard.gets(&hers, None).status, 200, "hers goes on");
    says(&yard, &owner, "put out Ana");
    assert_eq!(yard.gets(&hers, None).status, 404, "who was put out sees nothing");
    for guess in ["/calendar/.ics", "/calendar/x.ics", "/calendar/..%2fx.ics"] {
        assert_eq!(yard.gets(guess, None).status, 404, "{guess}");
    }
}

/// Two jobs, one of them moved, in a zone with summer time, read by the Python library `icalendar`.
#[test]
fn a_second_implementation_reads_the_same() {
    let Some(python) = peers::interpreter() else { return };
    let yard = planned();
    let owner = yard.owner().clone();
    // Central time goes to summer time on 2026-03-08: eight in the morning is 13:00 UTC from then on.
    for text in [
        "mow 30 min",
        "mow and 3 small crapes at Birch Rd, back; by the \"pond\"",
        "crew 2",
        "plan it for march 20 at 8am",
    ] {
        says(&yard, &owner, text);
    }
    let path = path_in(&says(&yard, &owner, "calendar"));
    let event = |no: u32, place: &str, start: &str, sequence: u32, export: &Value| {
        let quote = &export["quotes"][no as usize - 1];
        let at: tallyhand::units::Timestamp = quote["at"].as_str().expect("a time").parse().expect("a time");
        let minutes: f64 = quote["elapsed_minutes"]
            .as_str()
            .expect("minutes")
            .parse()
            .expect("minutes");
        json!({
            "uid": format!("quote-{no}-{}@book-{}.tallyhand", at.unix_seconds(), owner.account.get()),
            "zone": "America/Chicago", "start": start, "minutes": minutes.ceil().max(15.0), "sequence": sequence,
            "place": place, "status": if no == 1 { "CONFIRMED" } else { "TENTATIVE" }, "prices": true,
            "summary": if no == 1 { "Alder Ct: 12 crape myrtle small".to_string() } else { format!("{place}: mow, 3 crape myrtle small") },
            "describes": if no == 1 { vec!["gate code 4411; dog, friendly", "crew 1"] } else { vec![] },
        })
    };
    let export = yard.export();
    let place = export["quotes"][1]["place"].as_str().expect("a place").to_string();
    let before = json!({ "text": feed(&yard, &path), "events": [
        event(1, "Alder Ct", "2026-01-13 08:00", 0, &export), event(2, &place, "2026-03-20 08:00", 0, &export),
    ] });
    says(&yard, &owner, "push Alder to wednesday at 7:30am");
    let after = json!({ "text": feed(&yard, &path), "events": [
        event(1, "Alder Ct", "2026-01-14 07:30", 1, &export), event(2, &place, "2026-03-20 08:00", 0, &export),
    ] });
    peers::run(
        &python,
        "calendar_library.py",
        &[],
        &json!({ "feeds": [before, after] }),
    );
}
