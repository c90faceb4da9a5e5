//! Reports: sums by hand, and the same sums from the export.

use rust_decimal::Decimal;
use serde_json::Value;

use super::yard::{Yard, check, check_says};

/// Three jobs in January, one in February.
fn season() -> Yard {
    let mut yard = Yard::new();
    yard.at("2026-01-13 09:00");
    // 72 man-minutes quoted, 90 taken: 144 x 60 / 90 = 96.00 an hour.
    yard.talks(&["12 small crapes at Alder Ct", "done 90 min", "paid"]);
    yard.at("2026-01-14 09:00");
    // 60 quoted, 50 taken by two: 120 x 60 / 50 = 144.00.
    yard.talks(&["10 small crapes at Birch Rd", "done 25 min with 2 guys"]);
    yard.at("2026-01-31 23:30");
    // A mow and azaleas on one sheet: 30 + 20 quoted, 50 taken.
    yard.talks(&["mow and 5 azaleas at Alder Ct", "done 50 min"]);
    yard.at("2026-02-01 00:30");
    yard.talks(&["mow at Cedar Ln", "lost, too high", "mow at Birch Rd", "done 20 min"]);
    yard.at("2026-02-02 09:00");
    yard
}

fn decimal(value: &Value) -> Decimal {
    value.as_str().expect("a figure").parse().expect("a figure")
}

#[test]
fn a_month_comes_to_what_its_jobs_come_to() {
    let mut yard = season();
    let january = yard.says("how was january");
    check(
        &january,
        &[
            ("report.jobs", "3"),
            // 144 + 120 + 60 + 40.
            ("report.revenue", "364.00"),
            ("report.man_minutes", "190"),
            // 364 x 60 / 190 = 114.947...
            ("report.rate_made", "114.95"),
            ("report.paid", "144.00"),
            ("report.owed", "220.00"),
        ],
    );
    check_says(&january, &["3 jobs", "$364.00"]);
    check(&yard.says("this month"), &[("report.jobs", "1"), ("report.lost", "1")]);
    check(
        &yard.says("this season"),
        &[("report.jobs", "4"), ("report.revenue", "424.00")],
    );
}

#[test]
fn every_cut_of_a_report_adds_up_to_the_export() {
    let mut yard = season();
    let report = yard.says("this season")["report"].clone();
    let export = yard.export();
    let jobs = export["jobs"].as_array().expect("jobs");
    let done = || jobs.iter().filter(|job| job["status"] == "done");
    for field in ["revenue", "earned", "man_minutes"] {
        let exported: Decimal = done().map(|job| decimal(&job[field])).sum();
        assert_eq!(decimal(&report[field]), exported, "{field}");
    }
    for cut in ["by_work", "by_place", "by_crew"] {
        let slices = report[cut].as_array().expect("slices");
        for field in ["earned", "man_minutes"] {
            let sum: Decimal = slices.iter().map(|slice| decimal(&slice[field])).sum();
            assert_eq!(sum, decimal(&report[field]), "{field} {cut}");
        }
    }
}

#[test]
fn which_work_pays_names_the_best_and_the_worst_with_a_reason() {
    let mut yard = season();
    let pays = yard.says("which work pays");
    check(
        &pays,
        &[
            ("understood.0", "look"),
            ("report.best.service", "mow"),
            // Two mows of 60 dollars, 30 and 20 man-minutes: 120 x 60 / 50.
            ("report.best.rate_made", "144.00"),
            ("report.worst.service", "crape myrtle"),
            // 264 dollars in 140 man-minutes, quoted at 132.
            ("report.worst.rate_made", "113.14"),
        ],
    );
    check_says(&pays, &["less time than quoted", "6% more time than quoted"]);
}

#[test]
fn the_win_share_says_how_many_it_rests_on() {
    let mut yard = season();
    check_says(
        &yard.says("win rate"),
        &["4 of 5 answered quotes were won", "From 10 answers on"],
    );
    for count in 0..6 {
        yard.says("10 azaleas at Elm St");
        yard.says(if count % 2 == 0 { "won" } else { "lost, too high" });
    }
    let share = yard.says("win rate");
    check(
        &share,
        &[
            ("win_share.answered", "11"),
            ("win_share.won", "7"),
            ("win_share.usual_rate", "120.00"),
        ],
    );
}
