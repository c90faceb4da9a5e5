//! The client's page: what it states and what it keeps to itself, a yes that counts once, and links that can be shut.
//!
//! What a fair quote for a small job states is taken from published advice to consumers: all of it in writing, what is
//! done and what is not, the price, what happens to the cuttings, when it is paid (Washington Post / Consumers' Checkbook,
//! "Put it all in writing: tree care bids and contracts", 15 April 2010); the tax line and more work only with written
//! approval (column of the National Association of Attorneys General on home-improvement contracts, January 2017).

use axum::{body::Body, http::Request};

use crate::support::{Given, Yard};

/// The path of the page that the last answer opened.
fn path(yard: &mut Yard) -> String {
    let answer = yard.next_answer();
    let path = answer["client"]["path"].as_str();
    path.unwrap_or_else(|| panic!("no page was opened: {answer:#}"))
        .to_string()
}

fn post(yard: &Yard, path: &str, fields: &[(&str, &str)]) -> Given {
    let body = reqwest::Url::parse_with_params("http://x/", fields).expect("fields fit in a form");
    let request = Request::post(path)
        .header("content-type", "application/x-www-form-urlencoded")
        .body(Body::from(body.query().unwrap_or_default().to_string()));
    yard.send(request.expect("a request"))
}

fn sent() -> (Yard, String) {
    let mut yard = Yard::new()
        .says("rate 95")
        .says("business name Briar & Twine")
        .says("tax 7%")
        .says("12 small 3 medium crapes at Alder Ct")
        .whatever()
        .says("send it");
    let path = path(&mut yard);
    (yard, path)
}

#[test]
fn the_page_states_what_a_fair_quote_states_and_no_internals() {
    let (yard, path) = sent();
    let page = yard.gets(&path, None);
    assert_eq!(page.status, 200);
    for wanted in [
        "Briar &#38; Twine",
        "Alder Ct",
        "12 small crape myrtles",
        "3 medium crape myrtles",
        "$171.00",
        "$11.97",
        "$182.97",
        "Good until Wed, Feb 11, 2026",
        "Not in the price",
        "only after you say yes",
        "You pay when the work is done",
        "Taking the cuttings away: they stay",
    ] {
        assert!(
            page.body.contains(wanted),
            "{wanted:?} is not on the page:\n{}",
            page.body
        );
    }
    let text = yard.gets(&format!("{path}/text"), None);
    assert!(text.header("content-type").starts_with("text/plain"));
    assert!(text.body.contains("- 12 small crape myrtles") && text.body.contains("Total $182.97"));
    for body in [&page.body, &text.body] {
        let lower = body.to_lowercase();
        for hidden in [
            "minute",
            "man-min",
            "$95",
            "rate",
            "starter",
            "hour",
            "tallyhand_session",
            "<script",
        ] {
            assert!(!lower.contains(hidden), "{hidden:?} is shown to the client:\n{body}");
        }
    }
    assert_eq!(page.header("x-robots-tag"), "noindex, nofollow");
    assert_eq!(page.header("referrer-policy"), "no-referrer");
}

#[test]
fn the_owner_sets_what_clients_are_told() {
    let mut yard = Yard::new()
        .says("rate 95")
        .says("quotes good for 14 days")
        .says("terms: half down; the rest when we are done!")
        .says("not included: stump grinding; the 2 dead pines")
        .says("12 small crapes at Alder Ct")
        .whatever()
        .says("send it");
    let path = path(&mut yard);
    let wanted = [
        "Good until Mon, Jan 26, 2026",
        "Half down.",
        "The rest when we are done!",
        "Stump grinding.",
        "The 2 dead pines.",
        "Anything not listed above",
    ];
    for page in [
        yard.gets(&path, None).body,
        yard.gets(&format!("{path}/text"), None).body,
    ] {
        for words in wanted {
            assert!(page.contains(words), "{words}:\n{page}");
        }
        assert!(!page.contains("You pay when"), "in place of the usual terms:\n{page}");
    }
    // What was sent stays as it was sent; what is sent next says what is set now.
    let mut yard = yard
        .says("no terms")
        .says("not included: nothing")
        .whatever()
        .says("send it");
    let first = yard.gets(&path, None).body;
    assert!(
        first.contains("Half down.") && first.contains("Stump grinding."),
        "{first}"
    );
    let path = self::path(&mut yard);
    let page = yard.gets(&path, None).body;
    assert!(
        page.contains("You pay when the work is done.") && !page.contains("Stump"),
        "{page}"
    );
    let yard = yard
        .says(&format!("terms: {}", "x".repeat(161)))
        .replies("8 lines of 160 letters fit")
        .says("quotes good for 400 days")
        .replies("1 to 365");
    assert!(yard.gets(&path, None).body.contains("You pay when"));
}

#[test]
fn a_yes_tells_the_owner_and_counts_once() {
    let (yard, path) = sent();
    let fields = [("name", "Wren"), ("total", "182.97")];
    assert_eq!(post(&yard, &format!("{path}/yes"), &fields).status, 303);
    let messages = yard.count("SELECT count(*) FROM message");
    for name in ["Wren", "Ash"] {
        assert_eq!(
            post(&yard, &format!("{path}/yes"), &[("name", name), ("total", "182.97")]).status,
            303
        );
    }
    assert_eq!(yard.count("SELECT count(*) FROM message"), messages, "said once");
    let export = yard.export();
    assert_eq!(export["quotes"][0]["status"], "won");
    assert_eq!(export["quotes"][0]["agreed"], "182.97");
    let chat = yard.page();
    assert!(
        chat.contains("Wren said yes on the client page"),
        "the owner is told:\n{chat}"
    );
    let page = yard.gets(&path, None).body;
    assert!(
        page.contains("Accepted by Wren on Mon, Jan 12, 2026") && !page.contains("/yes"),
        "{page}"
    );
    let _ = yard.has_event("client_accepted");
}

/// What a client says must not change what the owner is talking about, nor answer what the owner was asked.
#[test]
fn a_yes_does_not_turn_the_talk() {
    let (yard, path) = sent();
    let yard = yard.says("5 small azaleas at Birch Ln").whatever();
    post(&yard, &format!("{path}/yes"), &[("name", "Wren"), ("total", "182.97")]);
    let yard = yard
        .says("make that 7")
        .answers(&[("quote.place", "Birch Ln"), ("quote.no", "2")]);
    let (other, path) = sent();
    let other = other.says("5 hollies").whatever();
    post(&other, &format!("{path}/yes"), &[("name", "2"), ("total", "182.97")]);
    let other = other.says("2").answers(&[("quote.lines.0.size", "medium")]);
    // Nor is it the owner's to take back by a bare undo: that takes back the owner's own last words.
    let other = other.says("undo").replies("5 hollies");
    assert_eq!(other.export()["quotes"][0]["status"], "won");
    drop((yard, other));
}

#[test]
fn a_yes_to_an_old_price_changes_nothing_and_both_are_told() {
    let (yard, path) = sent();
    let yard = yard.says("make that 14 small").whatever();
    let given = post(&yard, &format!("{path}/yes"), &[("name", "Wren"), ("total", "182.97")]);
    assert!(given.header("location").contains("n=late"), "{given:?}");
    assert!(
        yard.gets(given.header("location").split('#').next().unwrap_or_default(), None)
            .body
            .contains("has changed")
    );
    assert_eq!(yard.export()["quotes"][0]["status"], "open");
    assert!(
        yard.page()
            .contains("Wren tried to say yes to quote 1, Alder Ct at $182.97; it is")
    );
    let given = post(&yard, &format!("{path}/yes"), &[("name", "Wren"), ("total", "203.30")]);
    assert!(given.header("location").contains("n=yes"), "{given:?}");
    assert_eq!(yard.export()["quotes"][0]["agreed"], "203.30");
}

#[test]
fn a_question_reaches_the_owner_once() {
    let (yard, path) = sent();
    let fields = [("name", "Wren"), ("words", "Can you come <b>before</b> Friday?")];
    for _ in 0..2 {
        assert_eq!(post(&yard, &format!("{path}/ask"), &fields).status, 303);
    }
    assert_eq!(yard.count("SELECT count(*) FROM message WHERE channel = 'client'"), 1);
    let page = yard.page();
    assert!(
        page.contains("Wren asks about quote 1, Alder Ct: Can you come &#60;b&#62;before"),
        "{page}"
    );
    let empty = post(&yard, &format!("{path}/ask"), &[("name", " "), ("words", "x")]);
    assert!(empty.header("location").contains("n=name"));
}

#[test]
fn links_are_shut_run_out_and_cannot_be_guessed() {
    let (yard, path) = sent();
    let token = path.trim_start_matches("/q/").to_string();
    assert_eq!(token.len(), 43, "256 bits");
    let guess = yard.gets(&format!("/q/{}", "A".repeat(43)), None);
    assert_eq!(guess.status, 404);
    let yard = yard.later(31 * 24 * 60);
    let lapsed = yard.gets(&path, None).body;
    assert!(lapsed.contains("ran out") && !lapsed.contains("/yes"), "{lapsed}");
    post(&yard, &format!("{path}/yes"), &[("name", "Wren"), ("total", "182.97")]);
    assert_eq!(yard.export()["quotes"][0]["status"], "open");
    let mut yard = yard.says("send it");
    let second = self::path(&mut yard);
    assert_ne!(second, path);
    assert!(yard.gets(&second, None).body.contains("/yes"));
    let yard = yard.says("take the link back").replies("is shut");
    for path in [&path, &second] {
        assert_eq!(yard.gets(path, None).body, guess.body, "shut and guessed look alike");
        assert_eq!(
            post(&yard, &format!("{path}/yes"), &[("name", "W"), ("total", "182.97")]).status,
            404
        );
    }
    let stored = yard.export().to_string();
    assert!(!stored.contains(&token));
}

#[test]
fn taking_back_send_it_shuts_its_link() {
    let (yard, path) = sent();
    let yard = yard.says("undo").whatever();
    assert_eq!(yard.gets(&path, None).status, 404);
    let yard = yard.says("send it as text").replies("Total $182.97");
    assert_eq!(
        yard.count("SELECT count(*) FROM projection WHERE table_name = 'client_links'"),
        0
    );
}

#[test]
fn too_many_guesses_shut_the_door_but_not_to_a_right_link() {
    let (yard, path) = sent();
    let statuses: Vec<u16> = (0..12)
        .map(|number| yard.gets(&format!("/q/{number}"), None).status)
        .collect();
    assert_eq!(statuses.first(), Some(&404));
    assert_eq!(statuses.last(), Some(&429), "{statuses:?}");
    assert_eq!(yard.gets(&path, None).status, 200);
    let yard = yard.later(10);
    assert_eq!(yard.gets("/q/0", None).status, 404);
}

fn code_of(yard: &mut Yard) -> String {
    let answer = yard.next_answer();
    let text = answer["text"].as_str().expect("text");
    text.chars().filter(char::is_ascii_digit).take(8).collect()
}

#[test]
fn a_code_from_the_chat_signs_in_once_and_runs_out() {
    let mut yard = Yard::new().says("sign-in code");
    let code = code_of(&mut yard);
    let spaced = format!("{} {}", &code[..4], &code[4..]);
    assert_eq!(yard.gets(&format!("/in/{code}"), None).status, 403, "a code is no link");
    let given = post(&yard, "/in", &[("code", &spaced)]);
    assert_eq!(given.status, 303, "{}", given.body);
    let cookie = given
        .header("set-cookie")
        .split(';')
        .next()
        .unwrap_or_default()
        .to_string();
    assert_eq!(yard.gets("/", Some(&cookie)).status, 200);
    assert_eq!(post(&yard, "/in", &[("code", &code)]).status, 403, "once");
    let mut yard = yard.says("sign in on another phone");
    let code = code_of(&mut yard);
    let yard = yard.later(11);
    assert_eq!(post(&yard, "/in", &[("code", &code)]).status, 403, "ten minutes");
}

/// Of a code only a hash is in the book; the answer that is kept has a mark in its place.
#[test]
fn a_code_is_shown_and_not_kept() {
    let mut yard = Yard::new().says("sign-in code");
    let code = code_of(&mut yard);
    let spaced = format!("{} {}", &code[..4], &code[4..]);
    assert!(yard.page().contains(&spaced), "it is on the page");
    let mut kept = std::fs::read(yard.book()).expect("the book");
    let log = yard.book().with_extension("sqlite-wal");
    kept.extend(std::fs::read(log).unwrap_or_default());
    let holds = |text: &str| kept.windows(text.len()).any(|piece| piece == text.as_bytes());
    assert!(
        holds("Code #### ####: type it on"),
        "the answer was written to the files"
    );
    assert!(!holds(&code) && !holds(&spaced), "and the code was not");
    let yard = yard.reopens();
    let page = yard.page();
    assert!(page.contains("#### ####") && !page.contains(&spaced), "{page}");
    assert_eq!(
        post(&yard, "/in", &[("code", &code)]).status,
        303,
        "it is good all the same"
    );
}

#[test]
fn codes_cannot_be_tried_one_after_another() {
    let mut yard = Yard::new().says("sign-in code");
    let code = code_of(&mut yard);
    for number in 0..10 {
        assert_eq!(post(&yard, "/in", &[("code", &format!("0000000{number}"))]).status, 403);
    }
    assert_eq!(post(&yard, "/in", &[("code", &code)]).status, 429, "not even looked at");
}

/// The owner is told wherever he writes from, not on the page alone.
#[test]
fn a_yes_goes_to_every_chat_of_the_owner() {
    let (yard, path) = sent();
    let owner = yard.owner().clone();
    let connection = rusqlite::Connection::open(yard.book()).expect("the book opens");
    for (address, silenced) in [("100", None), ("200", None), ("300", Some("2026-01-12T15:00:00Z"))] {
        connection
            .execute(
                "INSERT INTO chat (account_id, member_id, channel, address, room, bound_at, heard_at, silenced_at)
                 VALUES (?1, ?2, 'telegram', ?3, ?3, '2026-01-12T15:00:00Z', '2026-01-12T15:00:00Z', ?4)",
                rusqlite::params![owner.account.get(), owner.id.get(), address, silenced],
            )
            .expect("a chat");
    }
    for _ in 0..2 {
        post(&yard, &format!("{path}/yes"), &[("name", "Wren"), ("total", "182.97")]);
    }
    let told = "SELECT count(*) FROM outbox JOIN chat ON chat.id = outbox.chat_id
                JOIN reply ON reply.message_position = outbox.message_position
                WHERE reply.text LIKE 'Wren said yes%' AND chat.silenced_at IS NULL";
    assert_eq!(yard.count(told), 2, "both open chats, once each");
    assert_eq!(
        yard.count("SELECT count(*) FROM outbox"),
        2,
        "and not the one that wants no answers"
    );
}
