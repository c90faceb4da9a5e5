//! The clock of a job: elapsed and man-minutes follow exactly, whatever midnight, the law or the network does to the hours.

use super::yard::{Yard, check, check_says};

fn at_alder() -> Yard {
    let mut yard = Yard::new();
    yard.at("2026-01-12 08:00").says("12 small crapes at Alder Ct");
    yard
}

#[test]
fn a_crew_that_shrinks_is_counted_stretch_by_stretch() {
    let mut yard = at_alder();
    yard.at("2026-01-12 08:30").says("here with 3 guys");
    yard.at("2026-01-12 10:30");
    check(
        &yard.says("Sam left at 10"),
        &[("understood.0", "here"), ("job.crew", "2")],
    );
    yard.at("2026-01-12 11:00");
    // 90 minutes for 3 people, 60 for 2.
    let done = yard.says("done");
    check(
        &done,
        &[("job.man_minutes", "390"), ("job.crew", "3"), ("job.status", "done")],
    );
    check_says(&done, &["1 h 30 min x 3", "1 h x 2"]);
}

#[test]
fn people_who_come_later_are_counted_from_then() {
    let mut yard = at_alder();
    yard.at("2026-01-12 08:30").says("here");
    yard.at("2026-01-12 09:00").says("Joe showed up");
    yard.at("2026-01-12 09:30");
    check(&yard.says("done"), &[("job.man_minutes", "90")]);
}

#[test]
fn the_beginning_can_be_put_right() {
    let mut yard = at_alder();
    yard.at("2026-01-12 08:30").says("here");
    yard.at("2026-01-12 09:00");
    check_says(&yard.says("I got there at 8:10"), &["8:10 AM"]);
    yard.at("2026-01-12 09:10");
    check(&yard.says("done"), &[("job.man_minutes", "60")]);
}

#[test]
fn a_beginning_put_right_after_the_finish_is_worked_out_again() {
    let mut yard = at_alder();
    yard.at("2026-01-12 08:30").says("here");
    yard.at("2026-01-12 09:30");
    check(&yard.says("done"), &[("job.man_minutes", "60")]);
    yard.at("2026-01-12 09:40");
    check(&yard.says("I got there at 8:10"), &[("job.man_minutes", "80")]);
    check_says(&yard.says("undo"), &["I got there at 8:10", "as before"]);
    check(
        &yard.export(),
        &[("jobs.0.man_minutes", "60"), ("jobs.0.status", "done")],
    );
}

#[test]
fn an_end_that_was_said_late_counts_from_when_it_was() {
    let mut yard = at_alder();
    yard.at("2026-01-12 08:30").says("here with 2 guys");
    yard.at("2026-01-12 15:00");
    check(&yard.says("done at 11:30"), &[("job.man_minutes", "360")]);
}

#[test]
fn breaks_that_were_are_taken_out() {
    let mut yard = at_alder();
    yard.at("2026-01-12 08:30").says("here with 2 guys");
    yard.at("2026-01-12 13:00");
    yard.says("lunch 12 to 12:30");
    yard.at("2026-01-12 13:30");
    // Five hours less half of one, for two people.
    check(&yard.says("done"), &[("job.man_minutes", "540")]);
}

/// A clock left running is noticed, asked about at the finish, and settled by a time of day.
#[test]
fn a_forgotten_clock_is_noticed_and_asked_about() {
    let mut yard = at_alder();
    yard.at("2026-01-12 08:30").says("here");
    yard.at("2026-01-12 18:00");
    check_says(&yard.says("owed"), &["By the clock", "9 h 30 min"]);
    yard.at("2026-01-13 07:00");
    let asked = yard.says("done");
    check_says(&asked, &["When was it done?"]);
    assert!(asked["job"].is_null(), "nothing is finished while it is asked");
    let done = yard.says("4:30");
    // 8:30 to 16:30 of the day before.
    check(&done, &[("job.man_minutes", "480"), ("job.status", "done")]);
}

#[test]
fn midnight_is_an_hour_like_others() {
    let mut yard = at_alder();
    yard.at("2026-01-12 22:15").says("here with 2 guys");
    yard.at("2026-01-13 01:45");
    check(&yard.says("done"), &[("job.man_minutes", "420")]);
}

/// US daylight saving time 2026: begins 2026-03-08 02:00, ends 2026-11-01 02:00 local (15 U.S.C. 260a: second Sunday of
/// March, first Sunday of November). Noon the day before to noon is 23 and 25 hours.
#[test]
fn changes_of_the_clocks_hour_add_and_take_nothing() {
    for (night, instant, minutes) in [
        ("2026-03-08 00:30", "2026-03-08T08:30:00Z", "120"),
        ("2026-11-01 00:30", "2026-11-01T08:30:00Z", "180"),
    ] {
        let mut yard = Yard::new();
        yard.at(night).says("12 small crapes at Alder Ct");
        yard.says("here");
        // 03:30 in summer time, 02:30 in standard time: two and three hours after half past midnight.
        yard.at_instant(instant);
        check(&yard.says("done"), &[("job.man_minutes", minutes)]);
    }
}

/// Messages that come late or out of order come to what they would have come to in time.
#[test]
fn late_and_mixed_up_messages_come_to_the_same() {
    let time = |text: &str| text.parse().expect("an instant");
    let sent = [
        ("here with 2 guys", "2026-01-12T14:30:00Z"),
        ("lunch", "2026-01-12T18:00:00Z"),
        ("back", "2026-01-12T18:30:00Z"),
    ];
    for order in [[0, 1, 2], [0, 2, 1]] {
        let mut yard = at_alder();
        yard.at("2026-01-12 12:45");
        for index in order {
            let (text, at) = sent[index];
            yard.hears(text, time(at));
        }
        yard.at("2026-01-12 13:30");
        // 8:30 to 13:30 less half an hour, for two people.
        check(&yard.says("done"), &[("job.man_minutes", "540")]);
    }
}

#[test]
fn what_does_not_fit_is_refused_and_changes_nothing() {
    let mut yard = at_alder();
    yard.at("2026-01-12 08:30").says("here");
    yard.at("2026-01-12 09:00");
    check_says(&yard.says("Sam left"), &["That would leave nobody"]);
    check_says(&yard.says("lunch at 11"), &["does not fit"]);
    yard.at("2026-01-12 09:30");
    check(&yard.says("done"), &[("job.man_minutes", "60")]);
}

#[test]
fn after_a_finish_is_taken_back_the_next_one_is_of_the_same_job() {
    let mut yard = at_alder();
    yard.says("5 azaleas at Birch Rd");
    yard.says("done at Alder, 60 min");
    check_says(&yard.says("undo"), &["quote 1 is not done"]);
    check(&yard.says("done 80 min"), &[("job.no", "1"), ("job.man_minutes", "80")]);
}

/// A question about a job does not move its times: what counts is when the message was said that it was about.
#[test]
fn an_answer_that_comes_later_does_not_move_the_clock() {
    let mut yard = at_alder();
    yard.talks(&[
        "won",
        "mow at Birch Rd",
        "won",
        "5 azaleas at Cedar Ln",
        "lost, too high",
    ]);
    yard.at("2026-01-12 08:30");
    let asked = yard.says("here with 2 guys");
    assert_eq!(
        asked["asks"][0]["choices"].as_array().map(Vec::len),
        Some(2),
        "{asked:#}"
    );
    yard.at("2026-01-12 08:50");
    check_says(&yard.says("1"), &["since Mon Jan 12, 8:30 AM"]);
    yard.at("2026-01-12 09:30");
    check(&yard.says("done"), &[("job.man_minutes", "120")]);
}

/// The finish reached us before the beginning, which was sent without a signal: it waits for a time, and gets it.
#[test]
fn a_beginning_that_comes_after_its_end_settles_it() {
    let time = |text: &str| text.parse().expect("an instant");
    let mut yard = at_alder();
    yard.says("won");
    yard.at("2026-01-12 10:30");
    let asked = yard.says("done");
    check_says(&asked, &["How long"]);
    yard.at("2026-01-12 10:45");
    let done = yard.hears("here with 2 guys", time("2026-01-12T14:30:00Z"));
    // 8:30 to 10:30 for two, whenever the words came.
    check(
        &done,
        &[("job.status", "done"), ("job.man_minutes", "240"), ("job.crew", "2")],
    );
    // One that was said after the finish is the next visit, and settles nothing.
    let mut yard = at_alder();
    yard.says("won");
    yard.at("2026-01-12 10:30").says("done");
    yard.at("2026-01-12 10:45");
    check(&yard.says("here"), &[("job.status", "here")]);
}

/// `tuesday` is the one after the day on which it was said, though the message came a day later.
#[test]
fn days_go_by_when_it_was_said() {
    let mut yard = at_alder();
    yard.at("2026-01-13 07:00");
    let sent = "2026-01-13T04:00:00Z".parse().expect("an instant");
    // Monday, ten in the evening in Chicago.
    let won = yard.hears("won wednesday 8am", sent);
    check(&won, &[("job.planned", "2026-01-14T08:00:00-06:00")]);
    yard.at("2026-01-14 07:00");
    let sent = "2026-01-14T04:30:00Z".parse().expect("an instant");
    let moved = yard.hears("push it to wednesday at 10", sent);
    check(&moved, &[("job.planned", "2026-01-14T10:00:00-06:00")]);
    // What has gone by meanwhile is asked about.
    let gone = yard.hears(
        "push it to tomorrow",
        "2026-01-12T18:00:00Z".parse().expect("an instant"),
    );
    check_says(&gone, &["has gone by"]);
}

/// A break over midnight, two stretches of it, and the hour that the law adds.
#[test]
fn breaks_over_midnight_and_over_the_hour_that_comes_twice() {
    let mut yard = Yard::new();
    yard.at("2026-01-12 21:00").says("12 small crapes at Alder Ct");
    yard.at("2026-01-12 22:00").says("here with 2 guys");
    yard.at("2026-01-12 23:45").says("lunch");
    yard.at("2026-01-13 00:30").says("back");
    yard.at("2026-01-13 02:00");
    // 105 and 90 minutes for two.
    check(&yard.says("done"), &[("job.man_minutes", "390")]);
    let mut yard = Yard::new();
    yard.at("2026-10-31 21:00").says("12 small crapes at Alder Ct");
    yard.at("2026-10-31 23:00").says("here");
    // 1:30 in summer time, half an hour of break, and on at 1:00 in standard time: 2026-11-01 06:30 and 07:00 UTC.
    yard.at_instant("2026-11-01T06:30:00Z").says("lunch");
    yard.at_instant("2026-11-01T07:00:00Z").says("back");
    // 2:00 in standard time is 08:00 UTC: 23:00 summer time was 04:00 UTC, so four hours less half of one.
    yard.at_instant("2026-11-01T08:00:00Z");
    check(&yard.says("done"), &[("job.man_minutes", "210")]);
}

/// In the night that the clocks go back 1:45 comes twice; the one that fits is meant.
#[test]
fn a_time_that_comes_twice_is_the_one_that_fits() {
    for (here, minutes) in [("2026-11-01T06:15:00Z", "30"), ("2026-11-01T07:15:00Z", "30")] {
        let mut yard = Yard::new();
        yard.at("2026-10-31 21:00").says("12 small crapes at Alder Ct");
        yard.at_instant(here).says("here");
        yard.at_instant("2026-11-01T09:00:00Z");
        check(&yard.says("done at 1:45"), &[("job.man_minutes", minutes)]);
    }
}

/// A crew at each of two places: each clock is its own, and a finish says whose it is.
#[test]
fn two_jobs_at_once_keep_their_own_time() {
    let mut yard = at_alder();
    yard.says("won");
    yard.talks(&["mow at Birch Rd", "won"]);
    yard.at("2026-01-12 08:30").says("here at Alder with 2 guys");
    yard.at("2026-01-12 09:00");
    let second = yard.says("here at Birch");
    check_says(&second, &["Alder Ct"]);
    yard.at("2026-01-12 09:40");
    check(
        &yard.says("done at Birch"),
        &[("job.place", "Birch Rd"), ("job.man_minutes", "40")],
    );
    yard.at("2026-01-12 10:30");
    check(
        &yard.says("done at Alder"),
        &[("job.place", "Alder Ct"), ("job.man_minutes", "240")],
    );
}
