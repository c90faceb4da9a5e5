//! The main job through the front door: a price on the spot, the job done, and what was really made.
//!
//! The figures are the worked example of the design, checked by hand: 12 at 6 minutes and 3 at 9 minutes, 15 minutes of
//! set-up and a dump fee of $25 at $120 a man-hour. 72/60 x 120 = 144.00; 27/60 x 120 = 54.00; 15/60 x 120 = 30.00;
//! 144 + 54 + 30 + 25 = 253.00 in 72 + 27 + 15 = 114 man-minutes. Done in 150 man-minutes: (253 - 25) x 60 / 150 = 91.20.

use crate::support::Yard;

fn yard() -> Yard {
    Yard::new()
        .says("rate 120")
        .says("crape myrtle small 6 min")
        .says("crape myrtle medium 9 min")
        .says("set-up 15")
        .says("dump fee 25")
        .whatever()
}

#[test]
fn a_count_becomes_a_price_with_its_sum() {
    let yard = yard().says("12 small 3 medium crapes at Alder Ct").answers(&[
        ("understood.0", "quote"),
        ("quote.place", "Alder Ct"),
        ("quote.lines.0.service", "crape myrtle"),
        ("quote.lines.0.size", "small"),
        ("quote.lines.0.quantity", "12"),
        ("quote.lines.0.man_minutes", "72"),
        ("quote.lines.0.price", "144.00"),
        ("quote.lines.1.price", "54.00"),
        ("quote.man_minutes", "114"),
        ("quote.total", "253.00"),
    ]);
    assert!(yard.page().contains("253"), "and the price is on the page");
}

#[test]
fn a_job_done_tells_what_was_made() {
    let yard = yard()
        .says("12 small 3 medium crapes at Alder Ct")
        .whatever()
        .has_event("quote_given")
        .says("done 150 man-minutes with 2 guys")
        .answers(&[
            ("job.man_minutes", "150"),
            ("job.rate_made", "91.20"),
            ("job.status", "done"),
        ])
        .has_event("job_finished")
        .says("undo")
        .whatever();
    assert_eq!(
        yard.export()["jobs"].as_array().map(Vec::len),
        Some(0),
        "taken back, the job is not done"
    );
}

#[test]
fn the_same_through_the_signed_webhook() {
    let yard = yard();
    let given = yard.posts_signed("msg_1", br#"{"text":"12 small 3 medium crapes at Alder Ct"}"#);
    let answer: serde_json::Value = serde_json::from_str(&given.body).expect("JSON");
    assert_eq!(answer["quote"]["total"], "253.00");
}
