//! What a stretch of time came to: what came in over it, and what each kind of work made an hour.
//!
//! Above, a bar for each day, week or month; below, a bar for each kind of work that took most of the time, with the
//! account's rate as a dashed line to measure them by. The figures are those of the report in words.

use chrono::{Datelike, NaiveDate};
use rust_decimal::{Decimal, prelude::ToPrimitive};

use super::{
    HEIGHT, WIDTH, axis,
    canvas::{Anchor, BAND, Canvas, INK, LEAF, MARGIN, PENCIL, RULE},
};
use crate::{
    conversation::{ReportPicture, Step},
    journal::{Slice, Sums},
    units::RoundingPolicy,
};

const LEFT: f64 = 44.0;
const RIGHT: f64 = WIDTH as f64 - 36.0;
/// Letters of the title and of figures, in points.
const TITLE: u32 = 32;
const FIGURES: u32 = 24;
/// The upper chart.
const TOP: f64 = 138.0;
const BOTTOM: f64 = 300.0;
/// Where the bars of the lower chart begin and how far they reach.
const NAMES: f64 = 290.0;
const REACH: f64 = 262.0;
/// Kinds of work that fit below, and the height of each.
const ROWS_MAX: usize = 5;
const ROW: f64 = 42.0;
/// Letters of a name that fit beside its bar.
const NAME_MAX: usize = 19;
/// A dot of the upper axis is lettered when it has this much room.
const LETTER_ROOM: f64 = 88.0;

/// The picture.
pub(super) fn svg(shown: &ReportPicture) -> String {
    let all = &shown.report.all;
    let title = span(shown.from, shown.to);
    let came = format!("{}: {} before tax, {}", title, dollars(all.revenue), jobs(all.jobs));
    let made = all.rate().map(|rate| format!("made {} an hour", dollars(rate)));
    let made = made.unwrap_or_else(|| "no time on the clock".to_string());
    let mut canvas = Canvas::new(&format!("{came}; {made}, the rate is {}", dollars(shown.rate)));
    canvas.text((LEFT, 46.0), TITLE, Anchor::Start, INK, &title);
    let sums = format!("{} before tax, {}", dollars(all.revenue), jobs(all.jobs));
    canvas.text((LEFT, 82.0), FIGURES, Anchor::Start, INK, &sums);
    let worked = RoundingPolicy::HalfUp.places(all.man_minutes / Decimal::from(60), 1);
    let rate = format!("{made} in {} man-hours", worked.normalize());
    canvas.text((LEFT, 114.0), FIGURES, Anchor::Start, LEAF, &rate);
    course(&mut canvas, shown);
    work(&mut canvas, shown);
    canvas.finish()
}

/// What came in, part by part.
fn course(canvas: &mut Canvas, shown: &ReportPicture) {
    let most = shown.course.iter().map(|(_, sums)| figure(sums.revenue));
    let most = most.fold(0.0, f64::max).max(1.0);
    let marks = axis::figures(most);
    let top = marks.last().copied().unwrap_or(most);
    let left = LEFT + 78.0;
    let y = |value: f64| BOTTOM - value / top * (BOTTOM - TOP);
    // Half of the marks are enough at this height.
    for mark in marks.iter().rev().step_by(2) {
        canvas.line((left, y(*mark)), (RIGHT, y(*mark)), RULE, 2.0, "");
        let words = dollars(Decimal::from_f64_retain(*mark).unwrap_or_default());
        canvas.text((left - 10.0, y(*mark) + 8.0), FIGURES, Anchor::End, PENCIL, &words);
    }
    let count = shown.course.len().max(1) as f64;
    let room = (RIGHT - left) / count;
    let every = (LETTER_ROOM / room).ceil().max(1.0) as usize;
    for (index, (day, sums)) in shown.course.iter().enumerate() {
        let x = left + room * index as f64;
        let height = BOTTOM - y(figure(sums.revenue).max(0.0));
        let width = (room * 0.72).min(90.0);
        let at = x + (room - width) / 2.0;
        canvas.bar((at, BOTTOM - height), (width, height), BAND);
        if index % every == 0 {
            let words = match shown.step {
                Step::Month => day.format("%b").to_string(),
                Step::Day | Step::Week => day.format("%b %-d").to_string(),
            };
            canvas.text((x + room / 2.0, BOTTOM + 28.0), FIGURES, Anchor::Middle, PENCIL, &words);
        }
    }
    canvas.line((left, BOTTOM), (RIGHT, BOTTOM), PENCIL, 2.0, "");
}

/// What each kind of work made an hour, the best first; of many kinds, those that took most of the time.
fn work(canvas: &mut Canvas, shown: &ReportPicture) {
    let mut rows: Vec<&Slice<(String, Option<String>)>> = shown
        .report
        .by_class
        .iter()
        .filter(|slice| slice.sums.rate().is_some())
        .collect();
    rows.sort_by_key(|slice| std::cmp::Reverse(slice.sums.man_minutes));
    rows.truncate(ROWS_MAX);
    rows.sort_by_key(|slice| std::cmp::Reverse(slice.sums.rate()));
    let rate = figure(shown.rate);
    let most = rows.iter().filter_map(|slice| slice.sums.rate()).map(figure);
    let most = most.fold(rate, f64::max).max(1.0);
    let first = 352.0;
    for (index, slice) in rows.iter().enumerate() {
        let made = slice.sums.rate().unwrap_or_default();
        let y = first + ROW * index as f64;
        let size = slice.key.1.as_ref().map(|size| format!(" {size}")).unwrap_or_default();
        let name = clipped(&format!("{}{size}", slice.key.0));
        canvas.text((LEFT, y + 24.0), FIGURES, Anchor::Start, INK, &name);
        let width = figure(made).max(0.0) / most * REACH;
        let fill = if made < shown.rate { MARGIN } else { LEAF };
        canvas.bar((NAMES, y + 4.0), (width, ROW - 16.0), fill);
        let words = told(made, &slice.sums);
        canvas.text((NAMES + REACH + 12.0, y + 24.0), FIGURES, Anchor::Start, INK, &words);
    }
    let x = NAMES + rate / most * REACH;
    let below = first + ROW * rows.len() as f64;
    canvas.line((x, first - 4.0), (x, below - 4.0), INK, 3.0, "8 6");
    let words = format!("your rate {}", dollars(shown.rate));
    let y = (below + 22.0).min(HEIGHT as f64 - 12.0);
    canvas.text((x, y), FIGURES, Anchor::Middle, PENCIL, &words);
}

fn told(made: Decimal, sums: &Sums) -> String {
    format!("{}/h, {}", dollars(made), jobs(sums.jobs))
}

fn jobs(count: u32) -> String {
    if count == 1 {
        "1 job".to_string()
    } else {
        format!("{count} jobs")
    }
}

/// Whole dollars, which is what can be told apart in a picture.
fn dollars(amount: Decimal) -> String {
    let whole = RoundingPolicy::HalfUp.places(amount, 0).normalize().to_string();
    let (sign, digits) = match whole.strip_prefix('-') {
        Some(digits) => ("-", digits),
        None => ("", whole.as_str()),
    };
    let mut grouped = String::new();
    for (index, digit) in digits.chars().enumerate() {
        if index > 0 && (digits.len() - index) % 3 == 0 {
            grouped.push(',');
        }
        grouped.push(digit);
    }
    format!("{sign}${grouped}")
}

/// `January 2026`, `2026`, or its days.
fn span(from: NaiveDate, to: NaiveDate) -> String {
    let ends_month = to.succ_opt().is_none_or(|next| next.day() == 1);
    match () {
        () if from == to => from.format("%a %b %-d %Y").to_string(),
        () if from.day() == 1 && ends_month && from.month() == to.month() && from.year() == to.year() => {
            from.format("%B %Y").to_string()
        }
        () if from.ordinal() == 1 && to.month() == 12 && ends_month && from.year() == to.year() => {
            from.format("%Y").to_string()
        }
        () => format!("{} to {}", from.format("%b %-d"), to.format("%b %-d %Y")),
    }
}

fn clipped(name: &str) -> String {
    if name.chars().count() <= NAME_MAX {
        return name.to_string();
    }
    let start: String = name.chars().take(NAME_MAX - 1).collect();
    format!("{start}…")
}

fn figure(value: Decimal) -> f64 {
    value.to_f64().unwrap_or(0.0)
}
