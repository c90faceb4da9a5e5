//! The page: signing in, saying something, and what strangers get to see (promises P7 and P9).

use axum::{body::Body, http::Request};

use crate::support::{Given, Yard};

#[test]
fn a_message_gets_its_answer_and_stays_on_the_page() {
    let yard = Yard::new().says("note gate code 4411").replies("gate code 4411");
    let page = yard.page();
    assert!(page.contains("note gate code 4411"), "what was said is there:\n{page}");
    assert!(
        page.contains("today") && page.contains("9:00 am"),
        "with its time in the yard's zone:\n{page}"
    );
}

#[test]
fn the_page_needs_no_script_and_nothing_from_elsewhere() {
    let yard = Yard::new().says("note gate code 4411").whatever();
    let given = yard.gets("/", Some(&yard.sign_in(&yard.link())));
    let policy = given.headers["content-security-policy"].to_str().expect("text");
    assert!(
        policy.contains("default-src 'none'") && !policy.contains("unsafe"),
        "{policy}"
    );
    assert_eq!(given.headers["cache-control"], "no-store");
    assert!(
        given
            .body
            .contains("<form class=\"write\" id=\"write\" method=\"post\" action=\"/say\" enctype")
    );
    assert!(!given.body.contains("://"), "nothing is fetched from elsewhere");
    assert!(
        !given.body.contains(" style=") && !given.body.contains(" onclick"),
        "nothing inline"
    );
    for piece in given.body.split("/assets/").skip(1) {
        let name = piece.split('"').next().unwrap_or_default();
        let asset = yard.gets(&format!("/assets/{name}"), None);
        assert_eq!(asset.status, 200, "{name}");
        assert!(
            asset.headers["cache-control"]
                .to_str()
                .expect("text")
                .contains("immutable"),
            "{name}"
        );
    }
}

#[test]
fn the_same_form_sent_twice_is_one_message() {
    let yard = Yard::new();
    let form = yard.form_token();
    let fields = [("text", "note gate code 4411"), ("key", "k1"), ("form", form.as_str())];
    let (first, second) = (yard.posts_form(&fields), yard.posts_form(&fields));
    assert_eq!((first.status, &first.body), (200, &second.body));
    assert_eq!(yard.count("SELECT count(*) FROM message"), 1);
}

/// A browser may bring an old form back with its key; what is written in it then is a message of its own.
#[test]
fn an_old_form_with_other_words_is_another_message() {
    let yard = Yard::new();
    let form = yard.form_token();
    for text in ["note gate code 4411", "note the dog is friendly"] {
        let given = yard.posts_form(&[("text", text), ("key", "k1"), ("form", &form)]);
        assert!(given.body.contains(text.trim_start_matches("note ")), "{}", given.body);
    }
    assert_eq!(yard.count("SELECT count(*) FROM message"), 2);
}

#[test]
fn without_script_the_answer_is_a_redirect_to_the_page() {
    let yard = Yard::new();
    let cookie = yard.sign_in(&yard.link());
    let page = yard.gets("/", Some(&cookie)).body;
    let value = |name: &str| {
        let start = page.rfind(&format!("name=\"{name}\" value=\"")).expect("a field") + name.len() + 15;
        page[start..].split('"').next().unwrap_or_default().to_string()
    };
    let body = format!("text=note+gate&key={}&form={}", value("key"), value("form"));
    let request = Request::post("/say")
        .header("cookie", &cookie)
        .header("content-type", "application/x-www-form-urlencoded")
        .body(Body::from(body));
    let given = yard.send(request.expect("a request"));
    assert_eq!((given.status, given.header("location")), (303, "/#latest"));
    assert!(yard.gets("/", Some(&cookie)).body.contains("note gate"));
}

/// What somebody without a session sees is the same whatever they ask for and whatever is in the book.
#[test]
fn strangers_see_nothing() {
    let yard = Yard::new().says("note gate code 4411").whatever();
    let closed = yard.gets("/", None);
    assert_eq!(closed.status, 401);
    assert!(!closed.body.contains("4411"));
    let guess = format!("tallyhand_session={}", "0".repeat(64));
    assert_eq!(yard.gets("/", Some(&guess)).body, closed.body);
    assert_eq!(yard.gets("/", Some("tallyhand_session=")).body, closed.body);
    assert_eq!(yard.gets("/?before=99", None).body, closed.body);
    let post = Request::post("/say").header("content-type", "application/x-www-form-urlencoded");
    let given = yard.send(post.body(Body::from("text=undo&key=k&form=f")).expect("a request"));
    assert_eq!((given.status, given.body), (401, closed.body));
    assert_eq!(yard.count("SELECT count(*) FROM message"), 1);
}

#[test]
fn a_link_works_once_and_a_guess_never() {
    let yard = Yard::new();
    let link = yard.link();
    let guess = yard.gets(&format!("/in/{}", "f".repeat(64)), None);
    yard.sign_in(&link);
    let again = yard.gets(&link, None);
    for given in [&guess, &again, &yard.gets("/in/x", None)] {
        assert_eq!((given.status, given.headers.get("set-cookie")), (403, None));
    }
    assert_eq!(guess.body, again.body, "used and guessed look alike");
}

#[test]
fn a_link_runs_out_after_a_day_and_a_session_after_half_a_year() {
    let yard = Yard::new();
    let (link, cookie) = (yard.link(), yard.sign_in(&yard.link()));
    let yard = yard.later(24 * 60);
    assert_eq!(yard.gets(&link, None).status, 403);
    assert_eq!(yard.gets("/", Some(&cookie)).status, 200);
    let yard = yard.later(179 * 24 * 60);
    assert_eq!(yard.gets("/", Some(&cookie)).status, 401);
}

/// A preview or a look ahead by a browser must not use up the one time that a link works.
#[test]
fn looking_ahead_does_not_use_a_link_up() {
    let yard = Yard::new();
    let link = yard.link();
    let head = Request::head(&link).body(Body::empty());
    let ahead = Request::get(&link)
        .header("sec-purpose", "prefetch;prerender")
        .body(Body::empty());
    for request in [head, ahead] {
        let given = yard.send(request.expect("a request"));
        assert_eq!((given.status, given.headers.get("set-cookie")), (204, None));
    }
    yard.sign_in(&link);
}

#[test]
fn the_cookie_is_kept_from_scripts_and_other_sites_and_only_hashes_are_stored() {
    let yard = Yard::new();
    let link = yard.link();
    let given = yard.gets(&link, None);
    let cookie = given.headers["set-cookie"].to_str().expect("text").to_string();
    assert!(
        cookie.contains("HttpOnly") && cookie.contains("SameSite=Strict"),
        "{cookie}"
    );
    let session = cookie.split(['=', ';']).nth(1).expect("a value").to_string();
    assert_eq!(session.len(), 64, "256 bits");
    let stored = std::fs::read(yard.book()).expect("the book");
    let log = std::fs::read(yard.book().with_extension("sqlite-wal")).unwrap_or_default();
    for secret in [session, link.trim_start_matches("/in/").to_string()] {
        let needle = secret.as_bytes();
        assert!(
            ![&stored, &log]
                .iter()
                .any(|file| file.windows(needle.len()).any(|piece| piece == needle))
        );
    }
}

#[test]
fn signing_out_ends_the_session_and_needs_its_own_form() {
    let yard = Yard::new();
    let cookie = yard.sign_in(&yard.link());
    let page = yard.gets("/", Some(&cookie)).body;
    let start = page.find("name=\"form\" value=\"").expect("a form") + 19;
    let token = page[start..].split('"').next().unwrap_or_default().to_string();
    let out = |token: &str| -> Given {
        let request = Request::post("/out")
            .header("cookie", &cookie)
            .header("content-type", "application/x-www-form-urlencoded")
            .body(Body::from(format!("form={token}")));
        yard.send(request.expect("a request"))
    };
    assert_eq!(out("0").status, 403);
    assert_eq!(yard.gets("/", Some(&cookie)).status, 200);
    assert_eq!(out(&token).status, 303);
    assert_eq!(yard.gets("/", Some(&cookie)).status, 401);
}

#[test]
fn a_form_of_another_session_writes_nothing() {
    let yard = Yard::new();
    let given = yard.posts_form(&[("text", "note x"), ("key", "k"), ("form", &"0".repeat(64))]);
    assert_eq!(given.status, 403);
    assert_eq!(yard.count("SELECT count(*) FROM message"), 0);
}

/// P9: a bad message costs nothing. Each gets one answer or one refusal in plain words, and the book stays sound.
#[test]
fn bad_messages_cost_nothing() {
    let yard = Yard::new().says("note gate code 4411").whatever();
    let before = yard.export();
    let form = yard.form_token();
    let long = "a".repeat(20_000);
    let huge = "a".repeat(10 * 1024 * 1024);
    let digits = "4".repeat(40);
    let odd = [
        "🌿🪓🌿",
        &digits,
        "asdf qwer zxcv",
        "12\0small\0",
        "\u{202e}llams 21",
        "'; DROP TABLE event; --",
        "%s%n{{7*7}}",
    ];
    for (index, text) in odd.iter().enumerate() {
        let given = yard.posts_form(&[("text", text), ("key", &format!("k{index}")), ("form", &form)]);
        assert_eq!(given.status, 200, "{text:?}");
        let answer: serde_json::Value = serde_json::from_str(&given.body).expect("an answer");
        assert!(
            answer["text"].as_str().is_some_and(|text| !text.trim().is_empty()),
            "{text:?}: {answer}"
        );
    }
    let refused = yard.posts_form(&[("text", &long), ("key", "k"), ("form", &form)]);
    assert_eq!(refused.status, 422);
    assert!(refused.body.contains("Send it in parts"), "{}", refused.body);
    assert!(refused.body.contains(&long), "what was written is handed back");
    assert_eq!(
        yard.posts_form(&[("text", &huge), ("key", "k"), ("form", &form)])
            .status,
        413
    );
    assert_eq!(
        yard.posts_form(&[("text", " \n "), ("key", "k"), ("form", &form)])
            .status,
        422
    );
    assert_eq!(yard.posts_form(&[("text", "no other field")]).status, 400);
    assert_eq!(yard.export(), before, "nothing in the book came of any of them");
}

#[test]
fn unknown_addresses_say_so_and_nothing_else() {
    let yard = Yard::new();
    for path in ["/nowhere", "/assets/../Cargo.toml", "/assets/style.css", "/hooks/"] {
        assert_eq!(yard.gets(path, None).status, 404, "{path}");
    }
}

/// P7: another account in the same book sees only itself.
#[test]
fn other_accounts_see_nothing() {
    let yard = Yard::new().says("note gate code 4411").whatever();
    let connection = rusqlite::Connection::open(yard.book()).expect("the book opens");
    connection
        .execute_batch(
            "INSERT INTO account (id, created_at) VALUES (2, '2026-01-12T15:00:00Z');
             INSERT INTO member (id, account_id, name, role, created_at)
             VALUES (20, 2, 'owner', 'owner', '2026-01-12T15:00:00Z');",
        )
        .expect("a second account");
    let cookie = yard.sign_in(&yard.link_for(tallyhand::units::MemberId::new(20)));
    let page = yard.gets("/", Some(&cookie));
    assert_eq!(page.status, 200);
    assert!(!page.body.contains("4411"));
    let other = tallyhand::units::AccountId::new(2);
    let export = yard
        .wait(yard.handle().export(other, chrono_tz::UTC))
        .expect("it can be exported")
        .to_string();
    assert!(!export.contains("4411"));
    let first = yard
        .wait(yard.handle().first_answer(other, "web", "m_5".into()))
        .expect("it can be asked");
    assert_eq!(first, None, "an id of one account says nothing in another");
}

#[test]
fn older_pages_can_be_turned_back_to() {
    let mut yard = Yard::new();
    for number in 0..45 {
        yard = yard.says(&format!("note number {number} end")).whatever();
    }
    let cookie = yard.sign_in(&yard.link());
    let newest = yard.gets("/", Some(&cookie)).body;
    assert!(newest.contains("number 44 end") && !newest.contains("number 4 end"));
    let start = newest.find("/?before=").expect("a way back");
    let back = newest[start..].split('"').next().unwrap_or_default();
    let older = yard.gets(back, Some(&cookie)).body;
    assert!(older.contains("number 4 end") && older.contains("number 0 end") && !older.contains("number 5 end"));
    assert!(!older.contains("/?before="), "that was the first page");
}

/// What waited on the phone for a signal counts when it was written: the phone says for how many seconds it waited.
#[test]
fn what_waited_on_the_phone_counts_when_it_was_written() {
    let yard = Yard::new()
        .says("rate 120")
        .says("mow at Alder Ct")
        .says("won")
        .whatever();
    let form = yard.form_token();
    let says = |text: &str, waited: &str| -> serde_json::Value {
        let key = format!("{text} {waited}");
        let given = yard.posts_form(&[("text", text), ("key", &key), ("form", &form), ("waited", waited)]);
        assert_eq!(given.status, 200, "{}", given.body);
        serde_json::from_str(&given.body).expect("JSON")
    };
    says("here", "3000");
    let done = says("done", "600");
    assert_eq!(done["job"]["man_minutes"], "40", "{done:#}");
    // Nonsense and weeks are not believed.
    for waited in ["-5", "soon", "99999999", "9999999999999"] {
        let note = says("note gate code 4411", waited);
        assert_eq!(note["understood"][0], "note", "{waited}");
    }
    let last =
        yard.count("SELECT count(*) FROM event WHERE kind = 'note_kept' AND recorded_at < '2026-01-12T15:00:00Z'");
    assert_eq!(last, 0, "kept at the time that they came");
}

/// The crew sees no prices on the pages either, until the owner says so; figures are the owner's to set in any case.
#[test]
fn the_crew_sees_no_prices_on_the_pages() {
    let yard = Yard::new()
        .says("rate 123")
        .says("mow 30 min")
        .says("mow at Alder Ct")
        .says("won tuesday 8am")
        .whatever();
    let home = tempfile::TempDir::new().expect("a folder");
    let book = yard.book().to_str().expect("a path");
    let added = crate::support::tallyhand(home.path(), &["member", "Ana", "--db", book], b"");
    assert_eq!(added.code, Some(0), "{}", added.stderr);
    let members = yard.wait(yard.handle().members(yard.owner().account)).expect("members");
    let ana = members
        .iter()
        .find(|member| member.name == "Ana")
        .expect("Ana is there");
    let hers = yard.sign_in(&yard.link_for(ana.id));
    for path in ["/", "/week?from=2026-01-12", "/times", "/settings", "/book", "/book/1"] {
        let given = yard.gets(path, Some(&hers));
        assert_eq!(given.status, 200, "{path}");
        for price in ["$", "61.50", "123"] {
            assert!(!given.body.contains(price), "{price} on {path}:\n{}", given.body);
        }
    }
    assert!(
        yard.gets("/week?from=2026-01-12", Some(&hers))
            .body
            .contains("Alder Ct")
    );
    let yard = yard.says("show prices to Ana").whatever();
    let given = yard.gets("/book", Some(&hers));
    assert!(given.status == 200 && given.body.contains("61.50"), "{}", given.body);
    assert!(!yard.gets("/settings", Some(&hers)).body.contains("123"));
}
