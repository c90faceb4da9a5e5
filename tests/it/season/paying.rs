//! Money in: which job it is for, more or less than was asked, what is owed, and the words to ask for it.

use super::yard::{Yard, check, check_says};

/// Two jobs at one place, the older one paid.
fn two_jobs() -> Yard {
    let mut yard = Yard::new();
    yard.talks(&["12 small crapes at Alder Ct", "done 72 min", "paid cash"]);
    yard.at("2026-01-14 09:00");
    yard.talks(&["5 azaleas at Alder Ct", "done 20 min"]);
    yard.at("2026-01-16 09:00");
    yard.talks(&["mow at Birch Rd", "done 30 min"]);
    yard
}

#[test]
fn a_payment_by_place_goes_to_the_job_that_owes() {
    let mut yard = two_jobs();
    yard.says("3 small hollies at Alder Ct");
    yard.says("mow at Cedar Ln");
    // Quote 1 is paid, quote 4 is only a quote: quote 2 owes.
    check(&yard.says("Alder paid"), &[("job.no", "2"), ("job.paid", "40.00")]);
}

#[test]
fn several_jobs_that_owe_are_asked_about_unless_the_amount_tells() {
    let mut yard = Yard::new();
    yard.talks(&[
        "12 small crapes at Alder Ct",
        "done 72 min",
        "5 azaleas at Alder Ct",
        "done 20 min",
    ]);
    yard.says("mow at Birch Rd");
    let asked = yard.says("Alder paid");
    check(&asked, &[("understood.0", "paid")]);
    assert_eq!(
        asked["asks"][0]["choices"].as_array().expect("choices").len(),
        2,
        "{asked:#}"
    );
    check(&yard.says("2"), &[("job.paid", "144.00"), ("job.no", "1")]);
    check(&yard.says("Alder paid 40"), &[("job.no", "2"), ("job.paid", "40.00")]);
}

#[test]
fn a_quote_can_be_named_by_its_number() {
    let mut yard = two_jobs();
    check(&yard.says("quote 2 paid"), &[("job.no", "2"), ("job.paid", "40.00")]);
    check_says(&yard.says("quote 9 paid"), &["There is no quote 9"]);
    check(
        &yard.says("quote 3 paid 60 check"),
        &[("job.no", "3"), ("job.paid", "60.00")],
    );
}

#[test]
fn more_than_is_owed_is_asked_about_before_it_is_put_down() {
    let mut yard = two_jobs();
    let asked = yard.says("Birch paid 80");
    check_says(&asked, &["$20.00 more"]);
    check(&yard.export(), &[("jobs.2.paid", "0.00")]);
    check(&yard.says("2"), &[("job.paid", "60.00")]);
    let asked = yard.says("quote 3 paid 15");
    check_says(&asked, &["paid in full", "Another $15.00?"]);
    check(&yard.says("1"), &[("job.paid", "75.00")]);
}

#[test]
fn less_than_is_owed_stays_open_until_it_is_let_go() {
    let mut yard = two_jobs();
    let part = yard.says("Birch paid 45 check");
    check(&part, &[("job.paid", "45.00"), ("job.owed", "15.00")]);
    check_says(&part, &["$15.00 still to come", "that settles it"]);
    check(
        &yard.says("that settles it"),
        &[("understood.0", "paid"), ("job.owed", "0.00")],
    );
    check_says(&yard.says("undo"), &["$15.00 of quote 3 is owed again"]);
    check(&yard.says("Birch paid"), &[("job.paid", "60.00"), ("job.owed", "0.00")]);
}

#[test]
fn what_is_owed_comes_oldest_first_with_its_age() {
    let mut yard = two_jobs();
    yard.at("2026-02-13 10:00");
    let owed = yard.says("owed");
    check(
        &owed,
        &[
            ("list_sum", "100.00"),
            ("list.0.no", "2"),
            ("list.0.days", "30"),
            ("list.1.no", "3"),
            ("list.1.days", "28"),
        ],
    );
}

#[test]
fn there_are_polite_words_to_forward() {
    let mut yard = two_jobs();
    yard.says("business name Briar & Twine");
    let words = yard.says("payment reminder for Birch");
    check_says(&words, &["Briar & Twine", "Birch Rd", "January 16", "$60.00"]);
    assert!(
        words["forward"].as_str().expect("words").starts_with("Hello"),
        "{words:#}"
    );
}

#[test]
fn a_deposit_before_the_work_is_kept_with_the_job() {
    let mut yard = Yard::new();
    yard.talks(&["12 small crapes at Alder Ct", "won"]);
    check(
        &yard.says("deposit of 50 check"),
        &[("job.paid", "50.00"), ("job.status", "won")],
    );
    yard.says("done 72 min");
    check(&yard.says("owed"), &[("list.0.amount", "94.00")]);
}
