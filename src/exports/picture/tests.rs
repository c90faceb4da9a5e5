//! Pictures come out as pictures: readable, with what was measured on them, whatever the names in them.

use chrono_tz::America::Chicago;
use resvg::tiny_skia::Pixmap;
use rust_decimal::Decimal;

use super::{HEIGHT, WIDTH, axis, png, svg};
use crate::{
    conversation::{MinutesPicture, Picture, ReportPicture, Step},
    journal::{CoursePoint, Report, Slice, Sums, TimedFrom},
    units::{Timestamp, Unit},
};

fn tenths(value: i64) -> Decimal {
    Decimal::new(value, 1)
}

fn picture(service: &str, days: &[i64], last_reading: i64) -> Picture {
    let start: Timestamp = "2026-01-12T15:00:00Z".parse().expect("a time");
    let course = days.iter().enumerate().map(|(order, day)| {
        let order = i64::try_from(order).expect("a few");
        let at = Timestamp::from_unix_seconds(start.unix_seconds() + day * 86_400).expect("a time");
        let reading = if order + 1 == i64::try_from(days.len()).expect("a few") {
            last_reading
        } else {
            60 + 7 * (order % 3)
        };
        CoursePoint {
            at,
            from: if order % 2 == 0 {
                TimedFrom::Job
            } else {
                TimedFrom::Stopwatch
            },
            each: vec![tenths(reading)],
            units: Decimal::from(4),
            mean: tenths(64),
            low: tenths(55 - 2 * (order % 2)),
            high: tenths(75),
        }
    });
    Picture::Minutes(Box::new(MinutesPicture {
        service: service.to_string(),
        size: Some("small".to_string()),
        unit: Unit::Each,
        zone: Chicago,
        course: course.collect(),
        left_out: 0,
        set: Some(tenths(60)),
    }))
}

/// The colours that a picture has, as a check that something was drawn.
fn colours(picture: &Picture) -> usize {
    let bytes = png(picture).expect("a picture");
    // The first eight bytes of every PNG: ISO/IEC 15948:2004, section 5.2.
    assert_eq!(bytes[..8], [137, 80, 78, 71, 13, 10, 26, 10]);
    let pixels = Pixmap::decode_png(&bytes).expect("a PNG that reads back");
    assert_eq!((pixels.width(), pixels.height()), (WIDTH, HEIGHT));
    let mut seen: Vec<u32> = pixels
        .pixels()
        .iter()
        .map(|pixel| u32::from_be_bytes([pixel.red(), pixel.green(), pixel.blue(), pixel.alpha()]))
        .collect();
    seen.sort_unstable();
    seen.dedup();
    seen.len()
}

#[test]
fn a_plot_is_a_png_with_something_on_it() {
    assert!(colours(&picture("crape myrtle", &[0, 3, 10, 40, 90], 66)) > 20);
    assert!(colours(&picture("crape myrtle", &[0], 66)) > 20);
    assert!(colours(&picture("crape myrtle", &[0, 0, 0], 66)) > 20);
}

#[test]
fn letters_are_drawn_with_the_font_that_comes_along() {
    let plain = picture("aaaa", &[0, 5], 66);
    let other = picture("wwww", &[0, 5], 66);
    assert_ne!(png(&plain).expect("a picture"), png(&other).expect("a picture"));
}

#[test]
fn the_same_values_give_the_same_bytes() {
    let shown = picture("holly", &[0, 5, 9], 66);
    assert_eq!(png(&shown).expect("a picture"), png(&shown).expect("a picture"));
}

#[test]
fn a_name_cannot_break_out_of_the_picture() {
    let shown = picture("</text><script>\"&'\u{1}", &[0, 5], 66);
    let drawn = svg(&shown);
    assert!(!drawn.contains("<script>") && drawn.contains("&lt;script&gt;"));
    assert!(png(&shown).is_ok());
    assert_eq!(shown.name(), "text-script-small-minutes");
}

#[test]
fn an_odd_reading_is_lettered_at_the_edge() {
    assert!(svg(&picture("holly", &[0, 5], 840)).contains(">84</text>"));
    assert!(!svg(&picture("holly", &[0, 5], 66)).contains(">84</text>"));
}

#[test]
fn marks_are_round_and_reach_the_highest() {
    for (most, marks) in [
        (7.5, vec![0.0, 2.0, 4.0, 6.0, 8.0]),
        (30.0, vec![0.0, 5.0, 10.0, 15.0, 20.0, 25.0, 30.0]),
        (0.04, vec![0.0, 0.01, 0.02, 0.03, 0.04]),
    ] {
        let found = axis::figures(most);
        assert_eq!(found.len(), marks.len(), "{most}: {found:?}");
        assert!(found.iter().zip(&marks).all(|(a, b)| (a - b).abs() < 1e-9), "{found:?}");
    }
}

fn sums(jobs: u32, dollars: i64, man_minutes: i64) -> Sums {
    Sums {
        jobs,
        revenue: Decimal::from(dollars),
        earned: Decimal::from(dollars),
        man_minutes: Decimal::from(man_minutes),
        ..Sums::default()
    }
}

fn report(parts: &[i64], kinds: &[(&str, i64, i64)]) -> Picture {
    let day = |text: &str| text.parse().expect("a day");
    let slice = |(name, dollars, minutes): &(&str, i64, i64)| Slice {
        key: ((*name).to_string(), None),
        sums: sums(2, *dollars, *minutes),
    };
    let all: i64 = parts.iter().sum();
    let starts = ["2026-01-01", "2026-01-08", "2026-01-15", "2026-01-22", "2026-01-29"];
    Picture::Report(Box::new(ReportPicture {
        from: day("2026-01-01"),
        to: day("2026-01-31"),
        report: Report {
            all: sums(9, all, 600),
            paid: Decimal::ZERO,
            owed: Decimal::ZERO,
            quoted: 9,
            won: 9,
            lost: 0,
            by_class: kinds.iter().map(slice).collect(),
            by_place: Vec::new(),
            by_crew: Vec::new(),
        },
        rate: Decimal::from(120),
        step: Step::Week,
        course: starts
            .into_iter()
            .map(day)
            .zip(parts.iter().map(|dollars| sums(1, *dollars, 60)))
            .collect(),
    }))
}

#[test]
fn a_report_is_drawn_with_its_own_figures() {
    let shown = report(&[200, 0, 1_000], &[("mow", 600, 240), ("crape </text>", 600, 360)]);
    let drawn = svg(&shown);
    for words in [
        "January 2026",
        "$1,200 before tax, 9 jobs",
        "made $120 an hour in 10 man-hours",
        "$150/h, 2 jobs",
        "$100/h, 2 jobs",
        "your rate $120",
        "Jan 15",
    ] {
        assert!(drawn.contains(words), "{words} is not in\n{drawn}");
    }
    assert!(drawn.contains("crape &lt;/text&gt;"));
    assert!(colours(&shown) > 20);
    assert_eq!(shown.name(), "report-2026-01-01-to-2026-01-31");
    assert!(colours(&report(&[0], &[])) > 5, "nothing came in");
}
