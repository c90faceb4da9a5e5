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
    // The export is in UTC until the account says its own zone: 8:00 and 10:30 in Chicago.
    let moved = yard.says("push tuesday to wednesday");
    check(&moved, &[("understood.0", "plan")]);
    check(
        &yard.export(),
        &[
            ("jobs.0.planned", "2026-01-14T14:00:00+00:00"),
            ("jobs.1.planned", "2026-01-14T16:30:00+00:00"),
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
