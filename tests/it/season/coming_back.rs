//! What was done before: the last time at a place, who is due again, the same quote once more.

use super::yard::{Yard, check, check_says};

fn last_year() -> Yard {
    let mut yard = Yard::new();
    yard.at("2025-01-20 08:00");
    yard.talks(&[
        "12 small crapes at Alder Ct",
        "note gate code 4411",
        "done 80 min with 2 guys",
    ]);
    yard.at("2025-02-05 08:00");
    yard.talks(&["mow at Birch Rd", "done 30 min"]);
    yard.at("2025-06-10 08:00");
    yard.talks(&["5 azaleas at Cedar Ln", "done 20 min"]);
    yard
}

#[test]
fn the_last_time_tells_date_counts_price_time_rate_and_todays_price() {
    let mut yard = last_year();
    yard.at("2026-01-12 09:00").says("rate 130");
    let last = yard.says("last time at Alder");
    check(
        &last,
        &[
            ("understood.0", "look"),
            ("job.no", "1"),
            ("job.price", "144.00"),
            ("job.man_minutes", "160"),
            // 144 x 60 / 160.
            ("job.rate_made", "54.00"),
        ],
    );
    check_says(&last, &["Jan 20 2025", "12 small crape myrtles", "gate code 4411"]);
    let today = last["today"]["total"].as_str().expect("a price");
    let minutes = last["today"]["man_minutes"].as_str().expect("minutes");
    let (today, minutes): (rust_decimal::Decimal, rust_decimal::Decimal) =
        (today.parse().expect("money"), minutes.parse().expect("minutes"));
    assert!(
        minutes >= 72.into(),
        "the crew's own job does not make the minutes shorter"
    );
    let exact = minutes * rust_decimal::Decimal::from(130) / rust_decimal::Decimal::from(60);
    assert!(
        (exact - today).abs() <= rust_decimal::Decimal::new(1, 2),
        "{minutes} man-minutes at 130 an hour"
    );
}

#[test]
fn who_was_here_this_time_last_year_and_not_since_is_due() {
    let mut yard = last_year();
    yard.at("2026-01-25 09:00");
    let due = yard.says("who is due");
    check(
        &due,
        &[
            ("due.0.place", "Alder Ct"),
            ("due.1.place", "Birch Rd"),
            ("due.0.price", "144.00"),
        ],
    );
    assert_eq!(
        due["due"].as_array().expect("a list").len(),
        2,
        "June is not due in January"
    );
    let again = yard.says("quote Alder again");
    check(
        &again,
        &[
            ("understood.0", "quote"),
            ("quote.place", "Alder Ct"),
            ("quote.lines.0.quantity", "12"),
            ("quote.status", "open"),
        ],
    );
    let due = yard.says("who is due");
    check(&due, &[("due.0.place", "Birch Rd")]);
}

#[test]
fn who_is_due_can_be_asked_of_a_month() {
    let mut yard = last_year();
    yard.at("2026-01-12 09:00");
    let due = |answer: &serde_json::Value| -> Vec<String> {
        let rows = answer["due"].as_array().expect("a list");
        rows.iter()
            .map(|row| row["place"].as_str().expect("a place").to_string())
            .collect()
    };
    assert_eq!(due(&yard.says("who's due in february")), ["Birch Rd"]);
    assert_eq!(due(&yard.says("who is due in june")), ["Cedar Ln"]);
    assert_eq!(due(&yard.says("who is due this month")), ["Alder Ct"]);
    assert_eq!(due(&yard.says("who's due next month")), ["Birch Rd"]);
    yard.says("mow at Birch Rd");
    assert_eq!(due(&yard.says("who's due next month")), Vec::<String>::new());
}
