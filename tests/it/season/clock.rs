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
