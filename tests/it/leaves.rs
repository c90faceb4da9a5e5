//! The pages to look at: the book, a job, the times, the week, the settings; and pages that stay in step.

use axum::{body::Body, http::Request};
use http_body_util::BodyExt;
use tallyhand::web;
use tower::ServiceExt;

use crate::support::{Given, Yard};

fn get(yard: &Yard, path: &str) -> String {
    let given = yard.gets(path, Some(yard.cookie()));
    assert_eq!(given.status, 200, "{path}");
    given.body
}

fn post(yard: &Yard, path: &str, fields: &[(&str, &str)]) -> Given {
    let body = reqwest::Url::parse_with_params("http://x/", fields).expect("fields fit in a form");
    let request = Request::post(path)
        .header("cookie", yard.cookie())
        .header("content-type", "application/x-www-form-urlencoded")
        .body(Body::from(body.query().unwrap_or_default().to_string()));
    yard.send(request.expect("a request"))
}

fn season() -> Yard {
    Yard::new()
        .says("rate 95")
        .says("12 small crapes at Alder Ct")
        .says("won tuesday 8am")
        .says("done 85 min with 2 guys")
        .says("paid 100 check")
        .says("5 small hollies at Birch Ln")
        .says("note gate code 4411")
        .says("lost, too high")
        .whatever()
        .later(60 * 24 * 70)
        .says("3 small azaleas at Cedar Rd")
        .says("won friday at 9")
        .whatever()
}

#[test]
fn the_book_is_looked_through_by_season_state_and_words() {
    let yard = season();
    let all = get(&yard, "/book");
    for wanted in [
        "Alder Ct",
        "Birch Ln",
        "Cedar Rd",
        "Winter 2026: 2",
        "Spring 2026: 1",
        "3 quotes",
    ] {
        assert!(all.contains(wanted), "{wanted}:\n{all}");
    }
    for (path, there, not) in [
        ("/book?season=winter-2026", "Alder Ct", "Cedar Rd"),
        ("/book?season=spring-2026", "Cedar Rd", "Alder Ct"),
        ("/book?q=birch", "Birch Ln", "Alder Ct"),
        ("/book?q=4411", "Birch Ln", "Alder Ct"),
        ("/book?q=%233", "Cedar Rd", "Alder Ct"),
        ("/book?q=AZALEA", "Cedar Rd", "Birch Ln"),
        ("/book?show=owed", "Alder Ct", "Cedar Rd"),
        ("/book?show=lost", "Birch Ln", "Alder Ct"),
        ("/book?show=won", "Cedar Rd", "Birch Ln"),
        ("/book?before=3", "Birch Ln", "Cedar Rd"),
    ] {
        let page = get(&yard, path);
        assert!(page.contains(there) && !page.contains(not), "{path}:\n{page}");
    }
    let odd = get(&yard, "/book?q=%3Cscript%3E&season=mud&show=everything");
    assert!(!odd.contains("<script>") && odd.contains("Nothing here yet"), "{odd}");
    assert_eq!(yard.gets("/book/99", Some(yard.cookie())).status, 404);
    for path in ["/book", "/book/1", "/times", "/week", "/settings", "/live"] {
        assert_eq!(yard.gets(path, None).status, 401, "{path}");
    }
}

#[test]
fn a_job_shows_its_counts_minutes_rate_payments_and_conversation() {
    let yard = season();
    let job = get(&yard, "/book/1");
    for wanted in [
        "12 crape myrtle small",
        "170, quoted 72",
        "$40.24 an hour",
        "$100.00 on",
        "check",
        "Still owed",
        "done 85 min with 2 guys",
        "won tuesday 8am",
    ] {
        assert!(job.contains(wanted), "{wanted}:\n{job}");
    }
    assert!(!job.contains("gate code"), "another job's words");
    let other = get(&yard, "/book/2");
    assert!(
        other.contains("note gate code 4411") && other.contains("too high"),
        "{other}"
    );
}

#[test]
fn times_and_week_show_what_is_known() {
    let yard = season();
    let times = get(&yard, "/times");
    assert!(
        times.contains("crape myrtle small") && times.contains("<svg class=\"chart\""),
        "{times}"
    );
    // The class that was measured last is drawn as the chat draws it, without styles of its own; another on request.
    assert!(
        times.contains("<svg xmlns=") && times.contains("<title>crape myrtle small: man-minutes each, now"),
        "{times}"
    );
    assert!(
        times.contains("href=\"/times?kind=crape%20myrtle&#38;size=small#over-time\""),
        "{times}"
    );
    let drawing = &times[times.find("<svg xmlns=").expect("a drawing")..];
    let drawing = &drawing[..drawing.find("</svg>").expect("its end")];
    assert!(
        drawing.contains("class=\"in-leaf\"") && !drawing.contains("style"),
        "{drawing}"
    );
    assert!(get(&yard, "/times?kind=crape%20myrtle&size=small").contains("crape myrtle small over time"));
    assert!(!get(&yard, "/times?kind=nothing").contains("over time</h2>"));
    let week = get(&yard, "/week");
    assert!(week.contains("9:00 am Cedar Rd") && week.contains("1 job"), "{week}");
    let before = get(&yard, "/week?from=2026-01-14");
    assert!(
        before.contains("8:00 am Alder Ct") && before.contains("done"),
        "{before}"
    );
    for odd in ["/week?from=yesterday", "/week?from=9999-12-31", "/week?from=0001-01-01"] {
        get(&yard, odd);
    }
}

/// Kinds and contents of all events, read past the house.
fn facts(yard: &Yard) -> Vec<(String, String)> {
    let connection = rusqlite::Connection::open(yard.book()).expect("the book opens");
    let mut rows = connection
        .prepare("SELECT kind, payload FROM event ORDER BY position")
        .expect("a statement");
    let rows = rows.query_map([], |row| Ok((row.get(0)?, row.get(1)?))).expect("rows");
    rows.collect::<Result<Vec<(String, String)>, _>>().expect("text")
}

/// Lines of the page, what is typed, and the words that are said.
const LINES: [(&str, &str, &str); 19] = [
    ("rate", "120", "rate 120"),
    ("minimum", "$95", "minimum 95"),
    ("set-up", "15", "set-up 15"),
    ("dump-fee", "25", "dump fee 25"),
    ("crew", "2", "crew 2"),
    ("round", "5", "round to 5"),
    ("tax", "7%", "tax 7%"),
    ("wage", "22", "wage 22"),
    ("burden", "18", "burden 18%"),
    ("overhead", "1400", "overhead 1400 a month"),
    ("hours", "110", "110 billable hours a month"),
    ("margin", "20", "margin 20%"),
    ("business", "Briar & Twine", "business name Briar & Twine"),
    ("good-for", "14", "quotes good for 14 days"),
    (
        "terms",
        "Half down; 100%  on the day",
        "terms: Half down; 100%  on the day",
    ),
    ("not-included", "stump grinding", "not included: stump grinding"),
    ("not-included", "", "not included: nothing"),
    ("minimum", " ", "minimum 0"),
    ("new", "fence wash 40 min", "new service fence wash 40 min"),
];

/// What is set on the page leaves the same facts behind as the words in the chat.
#[test]
fn settings_do_exactly_what_messages_do() {
    let on_page = Yard::new();
    let form = on_page.form_token();
    let mut in_chat = Yard::new();
    for (index, (line, value, words)) in LINES.iter().enumerate() {
        let fields = [
            ("form", form.as_str()),
            ("key", &format!("k{index}")),
            ("line", line),
            ("value", value),
        ];
        let given = post(&on_page, "/settings/set", &fields);
        assert_eq!(
            (given.status, given.header("location")),
            (303, "/settings?said=1#news"),
            "{words}"
        );
        let again = post(&on_page, "/settings/set", &fields);
        assert_eq!(again.status, 303, "sent twice, said once");
        in_chat = in_chat.says(words).whatever();
    }
    assert_eq!(facts(&on_page), facts(&in_chat));
    assert!(facts(&on_page).len() >= LINES.len() * 2, "each left a fact");
    let page = get(&on_page, "/settings?said=1");
    assert!(
        page.contains("new service fence wash 40 min") && page.contains("value=\"120.00\""),
        "{page}"
    );
    let at = page.find("fence wash").and_then(|_| page.rfind("class-")).is_some();
    assert!(at, "the price list has lines");
    for (line, value) in [
        ("rate", " "),
        ("rate", "1\nundo"),
        ("class-999-0", "5"),
        ("nothing", "5"),
    ] {
        let fields = [
            ("form", form.as_str()),
            ("key", "odd"),
            ("line", line),
            ("value", value),
        ];
        assert_eq!(
            post(&on_page, "/settings/set", &fields).header("location"),
            "/settings",
            "{line} {value:?}"
        );
    }
    let foreign = [("form", "0"), ("key", "k"), ("line", "rate"), ("value", "5")];
    assert_eq!(post(&on_page, "/settings/set", &foreign).status, 403);
}

/// Prices are the owner's, on the pages as in the talk, unless the owner shows them.
#[test]
fn the_crew_sees_the_work_and_no_prices() {
    let yard = season();
    let owner = yard.owner().clone();
    let now = yard.deps().clock.now();
    let ana = yard
        .wait(yard.handle().ensure_crew(owner.account, "Ana".to_string(), now))
        .expect("the book works");
    let cookie = yard.sign_in(&yard.link_for(ana.id));
    let paths = [
        "/",
        "/book",
        "/book?show=owed",
        "/book?show=done",
        "/book/1",
        "/book/2",
        "/times",
        "/week",
        "/week?from=2026-01-14",
        "/settings",
    ];
    for path in paths {
        let page = yard.gets(path, Some(&cookie)).body;
        for hidden in ["$", "owed", "95.00"] {
            assert!(!page.contains(hidden), "{path} shows {hidden}:\n{page}");
        }
    }
    let job = yard.gets("/book/1", Some(&cookie)).body;
    assert!(
        job.contains("12 crape myrtle small") && job.contains("170, quoted 72"),
        "{job}"
    );
    assert!(yard.gets("/week", Some(&cookie)).body.contains("9:00 am Cedar Rd"));
    let settings = yard.gets("/settings", Some(&cookie)).body;
    assert!(
        settings.contains("Sign out here") && !settings.contains("Price list"),
        "{settings}"
    );
    let form = settings
        .split("name=\"form\" value=\"")
        .nth(1)
        .and_then(|rest| rest.split('"').next())
        .expect("a form")
        .to_string();
    let before = facts(&yard).len();
    let body = reqwest::Url::parse_with_params(
        "http://x/",
        [("form", form.as_str()), ("key", "k"), ("line", "rate"), ("value", "1")],
    )
    .expect("fields fit in a form");
    let request = Request::post("/settings/set")
        .header("cookie", &cookie)
        .header("content-type", "application/x-www-form-urlencoded")
        .body(Body::from(body.query().unwrap_or_default().to_string()));
    assert_eq!(yard.send(request.expect("a request")).status, 303);
    let said = &facts(&yard)[before..];
    assert!(
        said.iter().all(|(kind, _)| kind != "setting_given"),
        "a line of the page is refused to the crew as its words are: {said:?}"
    );
    let yard = yard.says("show prices to Ana").whatever();
    let book = yard.gets("/book", Some(&cookie)).body;
    assert!(book.contains("$114.00"), "{book}");
}

#[test]
fn sessions_are_listed_and_can_be_ended() {
    let yard = Yard::new();
    let request = Request::get(yard.link()).header("user-agent", "Mozilla/5.0 (Linux; Android 16; Pixel)");
    let given = yard.send(request.body(Body::empty()).expect("a request"));
    let other = given
        .header("set-cookie")
        .split(';')
        .next()
        .unwrap_or_default()
        .to_string();
    assert_eq!(yard.gets("/", Some(&other)).status, 200);
    let page = get(&yard, "/settings");
    assert!(page.contains("Android") && page.contains("this one"), "{page}");
    let id = page
        .split("name=\"id\" value=\"")
        .nth(1)
        .and_then(|rest| rest.split('"').next())
        .expect("a session")
        .to_string();
    assert_eq!(post(&yard, "/sessions/end", &[("form", "0"), ("id", &id)]).status, 403);
    let form = yard.form_token();
    assert_eq!(
        post(&yard, "/sessions/end", &[("form", &form), ("id", &id)]).status,
        303
    );
    assert_eq!(yard.gets("/", Some(&other)).status, 401);
    let third = yard.sign_in(&yard.link());
    assert_eq!(
        post(&yard, "/sessions/end", &[("form", &form), ("id", "others")]).status,
        303
    );
    assert_eq!(yard.gets("/", Some(&third)).status, 401);
    get(&yard, "/settings");
}

/// A page that listens is told when something new is in its book, and only then.
#[test]
fn pages_are_told_of_news() {
    let yard = Yard::new();
    let app = web::app(yard.deps().clone());
    let request = Request::get("/live")
        .header("cookie", yard.cookie())
        .body(Body::empty())
        .expect("a request");
    let mut response = yard.wait(app.oneshot(request)).expect("the router never fails");
    assert_eq!(response.headers()["content-type"], "text/event-stream");
    let yard = yard.says("note the dog is friendly").whatever();
    let told = yard.wait(async {
        let frame = response.body_mut().frame();
        tokio::time::timeout(std::time::Duration::from_secs(30), frame).await
    });
    let frame = told.expect("in time").expect("a frame").expect("whole");
    let text = String::from_utf8_lossy(frame.data_ref().expect("data")).into_owned();
    assert!(
        text.contains("event: said\ndata: new\n") && !text.contains("dog"),
        "{text}"
    );
}

/// A photo and a voice note without script: a form in parts.
#[test]
fn files_come_by_plain_form() {
    let yard = Yard::new()
        .says("rate 95")
        .says("12 small crapes at Alder Ct")
        .whatever();
    let form = yard.form_token();
    let png = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\0\x01\0\0\0\x01\x08\x06\0\0\0";
    let mut body = Vec::new();
    for (name, value) in [("text", ""), ("key", "k1"), ("form", form.as_str())] {
        body.extend(format!("--edge\r\ncontent-disposition: form-data; name=\"{name}\"\r\n\r\n{value}\r\n").bytes());
    }
    body.extend(b"--edge\r\ncontent-disposition: form-data; name=\"file\"; filename=\"yard.png\"\r\ncontent-type: image/png\r\n\r\n");
    body.extend(png);
    body.extend(b"\r\n--edge--\r\n");
    for _ in 0..2 {
        let request = Request::post("/say")
            .header("cookie", yard.cookie())
            .header("content-type", "multipart/form-data; boundary=edge")
            .body(Body::from(body.clone()));
        let given = yard.send(request.expect("a request"));
        assert_eq!(given.status, 303, "{}", given.body);
    }
    assert_eq!(
        yard.count("SELECT count(*) FROM file WHERE media_type = 'image/png'"),
        1,
        "sent twice, kept once"
    );
    let page = yard.page();
    let src = page
        .split("<img class=\"picture\" src=\"")
        .nth(1)
        .and_then(|rest| rest.split('"').next())
        .expect("a picture");
    assert_eq!(yard.gets(src, Some(yard.cookie())).header("content-type"), "image/png");
    assert!(get(&yard, "/book/1").contains(src), "and it is with its job");
}

#[test]
fn the_pages_can_be_installed() {
    let yard = Yard::new();
    let manifest = yard.gets("/manifest.webmanifest", None);
    let manifest: serde_json::Value = serde_json::from_str(&manifest.body).expect("JSON");
    assert_eq!(
        (manifest["start_url"].as_str(), manifest["display"].as_str()),
        (Some("/"), Some("standalone"))
    );
    for icon in manifest["icons"].as_array().expect("icons") {
        assert_eq!(yard.gets(icon["src"].as_str().expect("an address"), None).status, 200);
    }
    let worker = yard.gets("/sw.js", None);
    assert_eq!((worker.status, worker.header("cache-control")), (200, "no-cache"));
    assert!(!worker.body.contains("{{"), "{}", worker.body);
}
