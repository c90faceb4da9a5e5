//! Days: what is fixed, what moves, what a day holds.

use super::yard::{Yard, check, check_says};

#[test]
fn a_day_holds_its_jobs_by_time_and_then_in_the_order_said() {
    let mut yard = Yard::new();
    yard.talks(&[
        "mow at Alder Ct",
        "won tuesday",
        "mow at Birch Rd",
        "won tuesday",
        "mow at Cedar Ln",
    ]);
    yard.says("won tuesday 7am");
    let day = yard.says("tuesday");
    check(
        &day,
        &[
            ("understood.0", "look"),
            ("jobs.0.place", "Cedar Ln"),
            ("jobs.1.place", "Alder Ct"),
            ("jobs.2.place", "Birch Rd"),
        ],
    );
    check_says(&day, &["3 jobs", "7:00 AM Cedar Ln"]);
    check(&yard.says("this week"), &[("jobs.0.place", "Cedar Ln")]);
    check_says(&yard.says("friday"), &["Nothing is planned"]);
}

#[test]
fn a_whole_day_moves_at_its_own_times() {
    let mut yard = Yard::new();
    yard.talks(&[
        "mow at Alder Ct",
        "won tuesday at 8",
        "mow at Birch Rd",
        "won tuesday at 10:30",
    ]);
    let moved = yard.says("push tuesday to wednesday");
    check(&moved, &[("understood.0", "plan")]);
    check(
        &yard.export(),
        &[
            ("jobs.0.planned", "2026-01-14T08:00:00-06:00"),
            ("jobs.1.planned", "2026-01-14T10:30:00-06:00"),
        ],
    );
}

#[test]
fn a_day_that_has_gone_by_is_asked_about() {
    let mut yard = Yard::new();
    yard.says("mow at Alder Ct");
    let asked = yard.says("Alder last friday at 9");
    check_says(&asked, &["has gone by"]);
    assert!(asked["job"].is_null(), "{asked:#}");
}

#[test]
fn open_quotes_that_wait_are_found() {
    let mut yard = Yard::new();
    yard.says("mow at Alder Ct");
    yard.at("2026-01-20 09:00");
    yard.says("mow at Birch Rd");
    yard.at("2026-01-24 09:00");
    let old = yard.says("no answer for 10 days");
    check(
        &old,
        &[("list_count", "1"), ("list.0.place", "Alder Ct"), ("list.0.days", "12")],
    );
    check(
        &yard.says("open quotes"),
        &[("list_count", "2"), ("list.0.place", "Alder Ct")],
    );
}

#[test]
fn a_job_goes_so_many_days_later_or_earlier() {
    let mut yard = Yard::new();
    yard.talks(&["mow at Alder Ct", "won tuesday at 8"]);
    for (words, planned) in [
        ("push it a day", "2026-01-14T08:00:00-06:00"),
        ("push Alder back two days", "2026-01-16T08:00:00-06:00"),
        ("bump it a week", "2026-01-23T08:00:00-06:00"),
        ("move it up 2 days", "2026-01-21T08:00:00-06:00"),
        ("pull Alder forward a day", "2026-01-20T08:00:00-06:00"),
    ] {
        let moved = yard.says(words);
        check(&moved, &[("understood.0", "plan"), ("job.planned", planned)]);
    }
    yard.says("5 azaleas at Birch Rd");
    check_says(&yard.says("push it a day"), &["Which one?"]);
    check_says(&yard.says("2"), &["no day yet"]);
}

#[test]
fn the_order_of_a_day_is_as_said() {
    let mut yard = Yard::new();
    for place in ["Alder Ct", "Birch Rd", "Cedar Ln"] {
        yard.says(&format!("mow at {place}"));
        yard.says("won tuesday");
    }
    let names = |day: &serde_json::Value| -> Vec<String> {
        let jobs = day["jobs"].as_array().expect("jobs");
        jobs.iter()
            .map(|job| job["place"].as_str().expect("a place").to_string())
            .collect()
    };
    let first = yard.says("Cedar first");
    check(&first, &[("understood.0", "plan")]);
    assert_eq!(names(&first), ["Cedar Ln", "Alder Ct", "Birch Rd"], "{first:#}");
    assert_eq!(names(&yard.says("do Alder last")), ["Cedar Ln", "Birch Rd", "Alder Ct"]);
    assert_eq!(
        names(&yard.says("Alder before Birch")),
        ["Cedar Ln", "Alder Ct", "Birch Rd"]
    );
    assert_eq!(
        names(&yard.says("Birch then Cedar then Alder")),
        ["Birch Rd", "Cedar Ln", "Alder Ct"]
    );
    assert_eq!(names(&yard.says("tuesday")), ["Birch Rd", "Cedar Ln", "Alder Ct"]);
    yard.says("undo");
    assert_eq!(names(&yard.says("tuesday")), ["Cedar Ln", "Alder Ct", "Birch Rd"]);
    // At times of their own the jobs change places on them.
    yard.says("push Cedar to tuesday at 7");
    yard.says("push Birch to tuesday at 10");
    let day = yard.says("Birch first on tuesday");
    assert_eq!(names(&day), ["Birch Rd", "Cedar Ln", "Alder Ct"]);
    check(
        &day,
        &[
            ("jobs.0.planned", "2026-01-13T07:00:00-06:00"),
            ("jobs.2.planned", "2026-01-13T10:00:00-06:00"),
        ],
    );
}

#[test]
fn what_is_left_of_a_day_is_what_is_not_done() {
    let mut yard = Yard::new();
    for place in ["Alder Ct", "Birch Rd"] {
        yard.says(&format!("mow at {place}"));
        yard.says("won today at 10");
    }
    yard.says("done at Alder, 30 min");
    let left = yard.says("what's left today");
    check(&left, &[("understood.0", "look"), ("jobs.0.place", "Birch Rd")]);
    assert_eq!(left["jobs"].as_array().expect("jobs").len(), 1, "{left:#}");
    yard.says("done at Birch, 30 min");
    check_says(&yard.says("what's left"), &["Nothing is left"]);
}
