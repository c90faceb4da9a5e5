//! The minutes of one kind and size over time: what was measured, what was believed after it, and how sure that was.
//!
//! A filled dot is a single unit by the stopwatch, an open square a finished job. A figure far above the rest is drawn at
//! the upper edge with its value beside it, so that one odd reading does not flatten the picture.

use rust_decimal::{Decimal, prelude::ToPrimitive};

use super::{
    HEIGHT, WIDTH, axis,
    canvas::{Anchor, BAND, Canvas, INK, LEAF, MARGIN, PENCIL, RULE},
};
use crate::{
    conversation::MinutesPicture,
    journal::{CoursePoint, TimedFrom},
    units::{RoundingPolicy, Timestamp, Unit},
};

const LEFT: f64 = 84.0;
const RIGHT: f64 = WIDTH as f64 - 36.0;
const TOP: f64 = 124.0;
const BOTTOM: f64 = HEIGHT as f64 - 112.0;
/// Letters of the title, of figures and of the legend, in points.
const TITLE: u32 = 34;
const FIGURES: u32 = 24;
const LEGEND: u32 = 22;
/// A figure more than this many times above the band is drawn at the edge.
const FAR: f64 = 1.6;
/// A stretch shorter than this is drawn in the order of the readings, since all would stand in one place.
const STRETCH_SECONDS_MIN: i64 = 2 * 86_400;

/// Where values stand on the sheet.
struct Frame {
    first: f64,
    span: f64,
    top: f64,
    by_order: bool,
}

impl Frame {
    fn of(shown: &MinutesPicture) -> Frame {
        let first = shown.course.first().map_or(0, |point| point.at.unix_seconds());
        let last = shown.course.last().map_or(0, |point| point.at.unix_seconds());
        let by_order = last - first < STRETCH_SECONDS_MIN;
        let believed = shown.course.iter().map(|point| figure(point.high));
        let band = believed.chain(shown.set.map(figure)).fold(0.0, f64::max);
        let highest = shown.measured().map(|(_, each, _)| figure(each)).fold(0.0, f64::max);
        let most = if highest > band * FAR {
            band * FAR
        } else {
            highest.max(band)
        };
        let top = axis::figures(most.max(0.01)).last().copied().unwrap_or(1.0);
        let count = shown.course.len().saturating_sub(1);
        Frame {
            first: if by_order { 0.0 } else { first as f64 },
            span: if by_order {
                count.max(1) as f64
            } else {
                (last - first) as f64
            },
            top,
            by_order,
        }
    }

    /// From a place in time, or in the order, to a place on the sheet.
    fn x(&self, at: Timestamp, order: usize) -> f64 {
        if self.by_order {
            self.across(order as f64)
        } else {
            self.across(at.unix_seconds() as f64)
        }
    }

    fn across(&self, value: f64) -> f64 {
        LEFT + 24.0 + (value - self.first) / self.span * (RIGHT - LEFT - 48.0)
    }

    fn y(&self, minutes: f64) -> f64 {
        BOTTOM - (minutes / self.top).clamp(0.0, 1.0) * (BOTTOM - TOP)
    }
}

/// The picture.
pub(super) fn svg(shown: &MinutesPicture) -> String {
    let name = match &shown.size {
        Some(size) => format!("{} {size}", shown.service),
        None => shown.service.clone(),
    };
    let per = match shown.unit {
        Unit::Each => "each".to_string(),
        Unit::Job => "a time".to_string(),
        unit => format!("a {}", unit.name()),
    };
    let last = shown.course.last();
    let title = format!("{name}: man-minutes {per}");
    let spoken = match last {
        Some(point) => format!("{title}, now {}", told(point)),
        None => title.clone(),
    };
    let mut canvas = Canvas::new(&spoken);
    canvas.text(
        (LEFT - 40.0, 50.0),
        fitting(&title),
        Anchor::Start,
        INK,
        &clipped(&title),
    );
    if let Some(point) = last {
        let now = format!("now {}", told(point));
        canvas.text((LEFT - 40.0, 92.0), FIGURES, Anchor::Start, LEAF, &now);
    }
    let frame = Frame::of(shown);
    rule(&mut canvas, &frame, shown);
    belief(&mut canvas, &frame, shown);
    marks(&mut canvas, &frame, shown);
    legend(&mut canvas, shown);
    canvas.finish()
}

/// Ruled lines with their figures, and the days below.
fn rule(canvas: &mut Canvas, frame: &Frame, shown: &MinutesPicture) {
    for mark in axis::figures(frame.top) {
        let y = frame.y(mark);
        canvas.line((LEFT, y), (RIGHT, y), RULE, 2.0, "");
        let words = RoundingPolicy::HalfUp
            .places(Decimal::from_f64_retain(mark).unwrap_or_default(), 3)
            .normalize();
        canvas.text((LEFT - 10.0, y + 8.0), FIGURES, Anchor::End, PENCIL, &words.to_string());
    }
    let (Some(first), Some(last)) = (shown.course.first(), shown.course.last()) else {
        return;
    };
    if frame.by_order {
        let day = axis::days(first.at, first.at, shown.zone);
        if let Some((_, words)) = day.first() {
            canvas.text(
                ((LEFT + RIGHT) / 2.0, BOTTOM + 34.0),
                FIGURES,
                Anchor::Middle,
                PENCIL,
                words,
            );
        }
        return;
    }
    for (seconds, words) in axis::days(first.at, last.at, shown.zone) {
        let x = frame.across(seconds).clamp(LEFT + 40.0, RIGHT - 40.0);
        canvas.line((x, BOTTOM), (x, BOTTOM + 8.0), PENCIL, 2.0, "");
        canvas.text((x, BOTTOM + 34.0), FIGURES, Anchor::Middle, PENCIL, &words);
    }
}

/// What was set, and what was believed after each job with its band.
fn belief(canvas: &mut Canvas, frame: &Frame, shown: &MinutesPicture) {
    let places = || shown.course.iter().enumerate();
    let mut band: Vec<(f64, f64)> = places()
        .map(|(order, point)| (frame.x(point.at, order), frame.y(figure(point.high))))
        .collect();
    let mut low: Vec<(f64, f64)> = places()
        .map(|(order, point)| (frame.x(point.at, order), frame.y(figure(point.low))))
        .collect();
    let mut mean: Vec<(f64, f64)> = places()
        .map(|(order, point)| (frame.x(point.at, order), frame.y(figure(point.mean))))
        .collect();
    if let [only] = mean[..] {
        // One point makes no line: it is drawn as a short level stretch.
        let reach = 40.0;
        let level = |(x, y): (f64, f64)| vec![(x - reach, y), (x + reach, y)];
        (band, low, mean) = (level(band[0]), level(low[0]), level(only));
    }
    low.reverse();
    band.extend(low);
    canvas.shape(&band, BAND);
    canvas.course(&mean, LEAF, 5.0);
    if let Some(set) = shown.set {
        let y = frame.y(figure(set));
        canvas.line((LEFT, y), (RIGHT, y), MARGIN, 3.0, "14 10");
    }
}

/// What was measured.
fn marks(canvas: &mut Canvas, frame: &Frame, shown: &MinutesPicture) {
    for (order, point) in shown.course.iter().enumerate() {
        let x = frame.x(point.at, order);
        for each in &point.each {
            let minutes = figure(*each);
            let y = frame.y(minutes);
            match point.from {
                TimedFrom::Stopwatch => canvas.dot((x, y), 7.0, INK),
                TimedFrom::Job => canvas.square((x, y), 6.0, INK),
            }
            if minutes > frame.top {
                canvas.text((x, y - 12.0), LEGEND, Anchor::Middle, INK, &short(*each));
            }
        }
    }
}

/// What the marks mean, in one or two rows below.
fn legend(canvas: &mut Canvas, shown: &MinutesPicture) {
    let row = HEIGHT as f64 - 46.0;
    let (mut stopwatch, mut jobs) = (false, false);
    for point in &shown.course {
        match point.from {
            TimedFrom::Stopwatch => stopwatch = true,
            TimedFrom::Job => jobs = true,
        }
    }
    let mut x = LEFT - 40.0;
    if stopwatch {
        canvas.dot((x + 8.0, row - 7.0), 7.0, INK);
        canvas.text((x + 24.0, row), LEGEND, Anchor::Start, PENCIL, "one by stopwatch");
        x += 250.0;
    }
    if jobs {
        canvas.square((x + 8.0, row - 7.0), 6.0, INK);
        canvas.text((x + 24.0, row), LEGEND, Anchor::Start, PENCIL, "a job");
        x += 130.0;
    }
    if shown.set.is_some() {
        canvas.line((x, row - 7.0), (x + 40.0, row - 7.0), MARGIN, 3.0, "14 10");
        canvas.text((x + 50.0, row), LEGEND, Anchor::Start, PENCIL, "set or guessed");
    }
    let row = HEIGHT as f64 - 14.0;
    let x = LEFT - 40.0;
    canvas.line((x, row - 7.0), (x + 30.0, row - 7.0), BAND, 18.0, "");
    canvas.line((x, row - 7.0), (x + 30.0, row - 7.0), LEAF, 5.0, "");
    canvas.text(
        (x + 40.0, row),
        LEGEND,
        Anchor::Start,
        PENCIL,
        "learned; 8 times in 10 in the band",
    );
}

/// `6.1 min (5.2 to 7.2), 34 done in 5 jobs` without the counts: those are in the answer's words.
fn told(point: &CoursePoint) -> String {
    format!(
        "{} min ({} to {})",
        short(point.mean),
        short(point.low),
        short(point.high)
    )
}

/// To a tenth, or to the hundredth below one minute.
fn short(value: Decimal) -> String {
    let places = if value < Decimal::ONE { 2 } else { 1 };
    RoundingPolicy::HalfUp.places(value, places).normalize().to_string()
}

fn figure(value: Decimal) -> f64 {
    value.to_f64().unwrap_or(0.0)
}

/// A long title in smaller letters.
fn fitting(title: &str) -> u32 {
    if title.chars().count() > 38 { FIGURES } else { TITLE }
}

fn clipped(title: &str) -> String {
    const LETTERS_MAX: usize = 54;
    if title.chars().count() <= LETTERS_MAX {
        title.to_string()
    } else {
        let start: String = title.chars().take(LETTERS_MAX - 1).collect();
        format!("{start}…")
    }
}
