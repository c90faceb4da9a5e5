//! Minutes of each kind, as a table and drawn: a knot where the figure is, a piece of twine from the low end to the high;
//! and one kind over time, in the drawing that the chat sends too.

use std::fmt::Write;

use askama::Template;
use percent_encoding::{NON_ALPHANUMERIC, utf8_percent_encode};
use rust_decimal::{Decimal, prelude::ToPrimitive};

use super::{
    assets::{Links, links},
    figures::{class, number, per},
    nav::Place,
};
use crate::{conversation::TimesShown, pricing::Basis};

/// The page of minutes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TimesPage {
    groups: Vec<Group>,
    guesses: Vec<Row>,
    drawn: Option<Drawn>,
}

/// One class over time.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Drawn {
    name: String,
    /// SVG of our own making.
    svg: String,
}

/// Rows of one unit, which share a scale.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Group {
    unit: &'static str,
    rows: Vec<Row>,
    /// SVG of our own making.
    chart: String,
}

#[derive(Debug, Clone, PartialEq, Eq)]
struct Row {
    name: String,
    minutes: String,
    unit: &'static str,
    between: String,
    from: String,
    /// Where it is drawn over time, when something was measured.
    link: Option<String>,
}

#[derive(Template)]
#[template(path = "times.html", config = "src/pages/askama.toml")]
struct View<'a> {
    links: Links,
    place: Place,
    page: &'a TimesPage,
}

impl TimesPage {
    /// The page of these minutes; with the drawing of one class over time, when one is to be seen.
    pub fn of(times: &[TimesShown], drawn: Option<(&str, Option<&str>, String)>) -> TimesPage {
        let (guesses, own): (Vec<_>, Vec<_>) = times.iter().partition(|row| row.basis == Basis::Starter);
        let mut groups: Vec<(&'static str, Vec<&TimesShown>)> = Vec::new();
        for row in own {
            let unit = per(row.unit);
            match groups.iter_mut().find(|(known, _)| *known == unit) {
                Some((_, rows)) => rows.push(row),
                None => groups.push((unit, vec![row])),
            }
        }
        TimesPage {
            groups: groups
                .into_iter()
                .map(|(unit, rows)| Group {
                    unit,
                    chart: chart(&rows),
                    rows: rows.iter().map(|row| worded(row)).collect(),
                })
                .collect(),
            guesses: guesses.iter().map(|row| worded(row)).collect(),
            drawn: drawn.map(|(service, size, svg)| Drawn {
                name: class(service, size),
                svg,
            }),
        }
    }

    /// The page.
    pub fn html(&self) -> String {
        View {
            links: links(),
            place: Place::Times,
            page: self,
        }
        .render()
        .expect("writing to a string does not fail")
    }
}

fn worded(row: &TimesShown) -> Row {
    let from = match row.basis {
        Basis::Set => "set by you".to_string(),
        Basis::Said => "said".to_string(),
        Basis::Starter => "starter guess".to_string(),
        Basis::Learned if row.jobs == 1 => format!("learned: {} in 1 job", number(row.units)),
        Basis::Learned => format!("learned: {} in {} jobs", number(row.units), row.jobs),
    };
    let between = row
        .between
        .map(|(low, high)| format!("{} to {}", number(low), number(high)));
    Row {
        name: class(&row.service, row.size.as_deref()),
        minutes: number(row.minutes_each.get()),
        unit: per(row.unit),
        between: between.unwrap_or_default(),
        from,
        link: row.between.map(|_| link(row)),
    }
}

/// Where a class is drawn over time.
fn link(row: &TimesShown) -> String {
    let encoded = |text: &str| utf8_percent_encode(text, NON_ALPHANUMERIC).to_string();
    let size = row.size.as_deref().map(|size| format!("&size={}", encoded(size)));
    format!(
        "/times?kind={}{}#over-time",
        encoded(&row.service),
        size.unwrap_or_default()
    )
}

/// As wide as a phone, so that its letters are not made smaller there.
const WIDTH: f64 = 400.0;
const NAMES: f64 = 168.0;
const ROW: f64 = 30.0;
const FOOT: f64 = 26.0;

/// The drawing: a row for each class on one scale from nothing to a round figure above the largest.
fn chart(rows: &[&TimesShown]) -> String {
    let figure = |value: Decimal| value.to_f64().unwrap_or_default();
    let largest = rows
        .iter()
        .map(|row| {
            row.between
                .map_or(row.minutes_each.get(), |(_, high)| high.max(row.minutes_each.get()))
        })
        .max()
        .map_or(1.0, figure);
    let step = step_for(largest);
    let end = (largest / step).ceil().max(1.0) * step;
    let across = |value: f64| NAMES + value / end * (WIDTH - NAMES - 16.0);
    let count = u32::try_from(rows.len()).unwrap_or(u32::MAX);
    let height = f64::from(count) * ROW + FOOT;
    let mut svg = format!(
        "<svg class=\"chart\" viewBox=\"0 0 {WIDTH} {height}\" role=\"img\" aria-label=\"Minutes drawn on one scale; the table has the same figures\">"
    );
    let mut tick = 0.0;
    while tick <= end + step / 2.0 {
        let x = across(tick);
        // Infallible: writing to a string.
        let _ = write!(
            svg,
            "<path class=\"rule\" d=\"M{x:.1} 4V{:.1}\"/><text class=\"soft\" x=\"{x:.1}\" y=\"{:.1}\" text-anchor=\"middle\">{}</text>",
            height - FOOT + 4.0,
            height - 6.0,
            short(tick)
        );
        tick += step;
    }
    for (index, row) in rows.iter().enumerate() {
        let y = f64::from(u32::try_from(index).unwrap_or(u32::MAX)) * ROW + ROW / 2.0 + 2.0;
        let name = escaped(&clipped(&class(&row.service, row.size.as_deref())));
        let _ = write!(
            svg,
            "<text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"end\">{name}</text>",
            NAMES - 12.0,
            y + 4.0
        );
        if let Some((low, high)) = row.between {
            let _ = write!(
                svg,
                "<path class=\"span\" d=\"M{:.1} {y:.1}H{:.1}\"/>",
                across(figure(low)),
                across(figure(high))
            );
        }
        let x = across(figure(row.minutes_each.get()));
        let kind = if row.basis == Basis::Learned { "knot" } else { "guess" };
        let _ = write!(svg, "<circle class=\"{kind}\" cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"5\"/>");
    }
    svg.push_str("</svg>");
    svg
}

/// A round step that gives four to ten marks.
fn step_for(largest: f64) -> f64 {
    let mut step = 0.1;
    for factor in [2.0, 2.5, 2.0].iter().cycle().take(24) {
        if largest / step <= 8.0 {
            break;
        }
        step *= factor;
    }
    step
}

fn short(value: f64) -> String {
    let text = format!("{value:.1}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

fn clipped(name: &str) -> String {
    const LETTERS: usize = 23;
    if name.chars().count() <= LETTERS {
        return name.to_string();
    }
    let start: String = name.chars().take(LETTERS - 1).collect();
    format!("{start}…")
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}

#[cfg(test)]
mod tests {
    use super::{TimesPage, TimesShown, step_for};
    use crate::{pricing::Basis, units::Unit};

    #[test]
    fn every_class_is_drawn_once_and_names_cannot_become_markup() {
        let row = |service: &str, basis| TimesShown {
            service: service.into(),
            size: None,
            unit: Unit::Each,
            minutes_each: "6.5".parse().expect("minutes"),
            between: Some(("5".parse().expect("a figure"), "8".parse().expect("a figure"))),
            units: 34.into(),
            jobs: 5,
            basis,
            kept: false,
            trend: None,
        };
        let page = TimesPage::of(
            &[
                row("<b>holly</b>", Basis::Learned),
                row("yew", Basis::Set),
                row("fig", Basis::Starter),
            ],
            None,
        );
        let html = page.html();
        assert_eq!(html.matches("<circle").count(), 2, "guesses are listed, not drawn");
        assert!(html.contains("/times?kind=%3Cb%3Eholly%3C%2Fb%3E#over-time"), "{html}");
        assert!(!html.contains("<b>holly") && html.contains("learned: 34 in 5 jobs"));
    }

    #[test]
    fn marks_are_few_and_round() {
        for (largest, step) in [
            (0.5, 0.1),
            (6.0, 1.0),
            (9.0, 2.0),
            (30.0, 5.0),
            (90.0, 20.0),
            (400.0, 50.0),
        ] {
            assert!(
                (step_for(largest) - step).abs() < 1e-9,
                "{largest}: {}",
                step_for(largest)
            );
        }
    }
}
