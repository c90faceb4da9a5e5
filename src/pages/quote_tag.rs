//! A quote drawn as a small tag: what was counted in pencil strokes, what each line comes to, and the total under a double
//! line, as in a ledger.

use serde::Deserialize;

use super::tally;
use crate::units::RoundingPolicy;

/// A quote as the answer's data has it.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
pub struct QuoteTag {
    no: u32,
    place: Option<String>,
    status: String,
    lines: Vec<Line>,
    #[serde(default)]
    extras: Vec<Extra>,
    crew: u32,
    man_minutes: String,
    elapsed_minutes: String,
    rate: String,
    subtotal: String,
    discount: String,
    tax: String,
    total: String,
    #[serde(default)]
    what_if: bool,
}

#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
struct Line {
    service: String,
    size: Option<String>,
    unit: String,
    quantity: String,
    minutes_each: String,
    price: String,
    basis: String,
}

#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
struct Extra {
    what: String,
    man_minutes: Option<String>,
    price: String,
}

/// A row of the tag.
pub(super) struct Row {
    /// What.
    pub(super) what: String,
    /// Strokes for the count, as SVG of our own making; empty when it is not one to be counted on fingers.
    pub(super) strokes: String,
    /// How it came about, in pencil.
    pub(super) how: String,
    /// Dollars, with their sign.
    pub(super) price: String,
}

/// Most strokes drawn on a tag.
const STROKES_MAX: usize = 25;

impl QuoteTag {
    /// The words before and after the block of the answer that says what the tag shows; `None` when it is not there.
    pub(super) fn split<'a>(&self, words: &'a str) -> Option<(&'a str, &'a str)> {
        let heads = [format!("Quote {}", self.no), format!("What if, quote {}", self.no)];
        let is_head = |line: &str| {
            heads.iter().any(|head| {
                line.strip_prefix(head.as_str())
                    .is_some_and(|rest| rest.is_empty() || rest.starts_with([',', ' ', ':']))
            })
        };
        let end_line = format!("Total ${}", self.total);
        let mut start = None;
        let mut at = 0;
        for line in words.split_inclusive('\n') {
            let text = line.trim_end_matches('\n');
            let end = at + line.len();
            match start {
                None if is_head(text) && !text.contains('$') => start = Some(at),
                Some(from) if text == end_line => {
                    return Some((words[..from].trim_end(), words[end..].trim_start_matches('\n')));
                }
                _ => {}
            }
            at = end;
        }
        None
    }

    pub(super) fn heading(&self) -> String {
        let place = self.place.as_deref().unwrap_or("No place yet");
        place.to_string()
    }

    pub(super) fn number(&self) -> String {
        if self.what_if {
            format!("{}, what if", self.no)
        } else {
            self.no.to_string()
        }
    }

    /// What became of it, when it is not open any more.
    pub(super) fn stamp(&self) -> Option<&str> {
        (self.status != "open").then_some(match self.status.as_str() {
            "here" | "paused" => "on it",
            other => other,
        })
    }

    pub(super) fn rows(&self) -> Vec<Row> {
        let lines = self.lines.iter().map(Line::row);
        lines.chain(self.extras.iter().map(Extra::row)).collect()
    }

    /// The work and its rate.
    pub(super) fn work(&self) -> String {
        let people = if self.crew == 1 {
            "1 person".to_string()
        } else {
            format!("{} people about {} min", self.crew, whole(&self.elapsed_minutes))
        };
        format!("{} man-min at ${} an hour, {people}", self.man_minutes, self.rate)
    }

    /// Sums between the lines and the total.
    pub(super) fn sums(&self) -> Vec<(&'static str, String)> {
        let zero = |figure: &str| figure.chars().all(|letter| matches!(letter, '0' | '.'));
        let mut sums = Vec::new();
        if !zero(&self.discount) || !zero(&self.tax) {
            sums.push(("Subtotal", dollars(&self.subtotal)));
        }
        if !zero(&self.discount) {
            sums.push(("Less", dollars(&format!("-{}", self.discount))));
        }
        if !zero(&self.tax) {
            sums.push(("Tax", dollars(&self.tax)));
        }
        sums
    }

    pub(super) fn total(&self) -> &str {
        &self.total
    }
}

/// `-$12.50`: dollars with the sign of the sum before theirs.
fn dollars(figure: &str) -> String {
    match figure.strip_prefix('-') {
        Some(less) => format!("-${less}"),
        None => format!("${figure}"),
    }
}

/// A figure to the nearest whole one; as it is when it is none.
fn whole(figure: &str) -> String {
    let parsed: Result<rust_decimal::Decimal, _> = figure.parse();
    parsed.map_or_else(
        |_| figure.to_string(),
        |value| RoundingPolicy::HalfUp.places(value, 0).to_string(),
    )
}

impl Line {
    fn row(&self) -> Row {
        let size = self.size.as_ref().map(|size| format!(" {size}")).unwrap_or_default();
        let unit = match self.unit.as_str() {
            "each" | "job" => String::new(),
            other => format!(" {other}"),
        };
        let one_job = self.unit == "job" && self.quantity == "1";
        let count = if one_job {
            String::new()
        } else {
            format!("{}{unit} ", self.quantity)
        };
        let each = if one_job { "" } else { " each" };
        let guess = match self.basis.as_str() {
            "starter" => ", starter guess",
            "learned" => ", learned",
            _ => "",
        };
        let strokes = match self.quantity.parse::<usize>() {
            Ok(number) if self.unit == "each" && (1..=STROKES_MAX).contains(&number) => tally::svg(number),
            _ => String::new(),
        };
        Row {
            what: format!("{count}{}{size}", self.service),
            strokes,
            how: format!("{} min{each}{guess}", self.minutes_each),
            price: dollars(&self.price),
        }
    }
}

impl Extra {
    fn row(&self) -> Row {
        Row {
            what: self.what.clone(),
            strokes: String::new(),
            how: self
                .man_minutes
                .as_ref()
                .map(|time| format!("{time} min"))
                .unwrap_or_default(),
            price: dollars(&self.price),
        }
    }
}
