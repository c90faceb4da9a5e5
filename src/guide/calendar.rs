//! Days of the year, stretches of it, and USDA zones.

use std::fmt;

/// A day of any year.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct MonthDay {
    /// 1 to 12.
    pub month: u8,
    /// 1 to 31.
    pub day: u8,
}

/// Stretches of the year, first and last day of each.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Dates(Vec<(MonthDay, MonthDay)>);

/// USDA hardiness zones from one to another, in half zones.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Zone {
    /// Twice the number, plus one for `b`.
    from: u8,
    to: u8,
}

const MONTHS: [&str; 12] = [
    "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
];
const DAYS: [u8; 12] = [31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

/// Highest USDA zone.
const ZONE_MAX: u8 = 13;

impl MonthDay {
    /// A day; `None` when no year has it.
    pub fn new(month: u8, day: u8) -> Option<Self> {
        let last = *DAYS.get(usize::from(month).checked_sub(1)?)?;
        (1..=last).contains(&day).then_some(MonthDay { month, day })
    }

    /// The middle of a month.
    pub fn middle_of(month: u8) -> Option<Self> {
        MonthDay::new(month, 15)
    }

    fn last_of(month: u8) -> Option<Self> {
        MonthDay::new(month, *DAYS.get(usize::from(month).checked_sub(1)?)?)
    }

    /// The month's short name.
    pub fn month_name(self) -> &'static str {
        MONTHS[usize::from(self.month) - 1]
    }
}

impl fmt::Display for MonthDay {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.month_name(), self.day)
    }
}

impl std::str::FromStr for MonthDay {
    type Err = ();

    /// Reads `03-15`.
    fn from_str(text: &str) -> Result<Self, ()> {
        let (month, day) = text.split_once('-').ok_or(())?;
        let number = |part: &str| part.parse::<u8>().map_err(|_| ());
        MonthDay::new(number(month)?, number(day)?).ok_or(())
    }
}

impl MonthDay {
    /// As it is stored: `03-15`.
    pub fn stored(self) -> String {
        format!("{:02}-{:02}", self.month, self.day)
    }
}

impl Dates {
    /// Reads `1-3,11-12` (months) or `4/21-5/10` (days), alone or in a list; `None` when it is neither, or runs backwards.
    pub fn read(text: &str) -> Option<Dates> {
        let parts = text.split(',').map(str::trim).filter(|part| !part.is_empty());
        let mut all = Vec::new();
        for part in parts {
            let (from, to) = part.split_once('-').unwrap_or((part, part));
            let (from, to) = (first_day(from)?, last_day(to)?);
            if from > to {
                return None;
            }
            all.push((from, to));
        }
        Some(Dates(all))
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Its first day.
    pub fn first(&self) -> Option<MonthDay> {
        self.0.first().map(|(from, _)| *from)
    }

    /// Whether a day lies in it.
    pub fn contains(&self, day: MonthDay) -> bool {
        self.0.iter().any(|(from, to)| *from <= day && day <= *to)
    }
}

fn first_day(text: &str) -> Option<MonthDay> {
    match text.split_once('/') {
        Some((month, day)) => MonthDay::new(month.parse().ok()?, day.parse().ok()?),
        None => MonthDay::new(text.parse().ok()?, 1),
    }
}

fn last_day(text: &str) -> Option<MonthDay> {
    match text.split_once('/') {
        Some((month, day)) => MonthDay::new(month.parse().ok()?, day.parse().ok()?),
        None => MonthDay::last_of(text.parse().ok()?),
    }
}

impl fmt::Display for Dates {
    /// `Nov-Mar`, `late Apr-early May`, `Apr 15-Jul 15`; December and January join.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut spans = self.0.clone();
        let joins = spans.len() > 1
            && spans.first().map(|span| span.0) == MonthDay::new(1, 1)
            && spans.last().map(|span| span.1) == MonthDay::new(12, 31);
        if joins {
            let first = spans.remove(0);
            if let Some(last) = spans.last_mut() {
                last.1 = first.1;
            }
        }
        let texts: Vec<String> = spans.iter().map(|(from, to)| span_text(*from, *to)).collect();
        write!(f, "{}", texts.join(" and "))
    }
}

/// A stretch in words. The thirds of a month, as sources have them, are said as `early`, `mid` and `late`: a day would be
/// surer than its source.
fn span_text(from: MonthDay, to: MonthDay) -> String {
    let (first, last) = (third_from(from), third_to(to));
    let (Some(first), Some(last)) = (first, last) else {
        return if from.month == to.month {
            format!("{from}-{}", to.day)
        } else {
            format!("{from}-{to}")
        };
    };
    let (start, end) = (from.month_name(), to.month_name());
    match (first, last) {
        ("early", "late") if start == end => start.to_string(),
        (part, other) if start == end && part == other => format!("{part} {start}"),
        (part, other) if start == end => format!("{part}-{other} {start}"),
        ("early", "late") => format!("{start}-{end}"),
        ("early", part) => format!("{start}-{part} {end}"),
        (part, "late") => format!("{part} {start}-{end}"),
        (part, other) => format!("{part} {start}-{other} {end}"),
    }
}

/// The third of a month that begins on a day.
fn third_from(day: MonthDay) -> Option<&'static str> {
    match day.day {
        1 => Some("early"),
        11 => Some("mid"),
        21 => Some("late"),
        _ => None,
    }
}

/// The third of a month that ends on a day.
fn third_to(day: MonthDay) -> Option<&'static str> {
    match day.day {
        10 => Some("early"),
        20 => Some("mid"),
        _ if Some(day) == MonthDay::last_of(day.month) => Some("late"),
        _ => None,
    }
}

impl Zone {
    /// A zone or a stretch of zones: `8`, `8a`, `5b-8a`. A number alone holds both halves.
    pub fn read(text: &str) -> Option<Zone> {
        let (from, to) = text.split_once('-').unwrap_or((text, text));
        let (from, to) = (halves(from)?.0, halves(to)?.1);
        (from <= to).then_some(Zone { from, to })
    }

    /// Whether the two share a half zone.
    pub fn meets(self, other: Zone) -> bool {
        self.from <= other.to && other.from <= self.to
    }
}

fn halves(text: &str) -> Option<(u8, u8)> {
    let text = text.trim().to_lowercase();
    let number = text.trim_end_matches(['a', 'b']);
    let zone: u8 = number.parse().ok()?;
    if !(1..=ZONE_MAX).contains(&zone) {
        return None;
    }
    match &text[number.len()..] {
        "" => Some((2 * zone, 2 * zone + 1)),
        "a" => Some((2 * zone, 2 * zone)),
        "b" => Some((2 * zone + 1, 2 * zone + 1)),
        _ => None,
    }
}

impl fmt::Display for Zone {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let half = |zone: u8| if zone.is_multiple_of(2) { 'a' } else { 'b' };
        let (low, high) = (self.from / 2, self.to / 2);
        match (
            self.from == self.to,
            self.from.is_multiple_of(2) && !self.to.is_multiple_of(2),
        ) {
            (true, _) => write!(f, "{low}{}", half(self.from)),
            (false, true) if low == high => write!(f, "{low}"),
            _ => write!(f, "{low}{}-{high}{}", half(self.from), half(self.to)),
        }
    }
}

impl std::str::FromStr for Zone {
    type Err = ();

    fn from_str(text: &str) -> Result<Self, ()> {
        Zone::read(text).ok_or(())
    }
}

#[cfg(test)]
mod tests {
    use super::{Dates, MonthDay, Zone};

    #[test]
    fn dates_are_read_and_said() {
        let said = |text: &str| Dates::read(text).expect("dates").to_string();
        assert_eq!(said("1-3"), "Jan-Mar");
        assert_eq!(said("1-3,11-12"), "Nov-Mar");
        assert_eq!(said("5"), "May");
        assert_eq!(said("4/21-5/10"), "late Apr-early May");
        assert_eq!(said("2/21-2/29"), "late Feb");
        assert_eq!(said("2/21-3/31"), "late Feb-Mar");
        assert_eq!(said("1/1-3/10"), "Jan-early Mar");
        assert_eq!(said("7/1-8/7"), "Jul 1-Aug 7");
        assert_eq!(said("4/15-7/15"), "Apr 15-Jul 15");
        assert_eq!(said("4-6,10-12"), "Apr-Jun and Oct-Dec");
        for wrong in ["13", "0-3", "5-3", "2/30-3/1", "x"] {
            assert_eq!(Dates::read(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn a_stretch_holds_its_ends() {
        let dates = Dates::read("4/15-7/15").expect("dates");
        let on = |month, day| dates.contains(MonthDay::new(month, day).expect("a day"));
        assert!(!on(4, 14) && on(4, 15) && on(7, 15) && !on(7, 16));
    }

    #[test]
    fn zones_are_read_and_meet_by_halves() {
        let zone = |text: &str| Zone::read(text).expect("a zone");
        for text in ["8a", "8b", "8", "5b-8a"] {
            assert_eq!(zone(text).to_string(), text);
        }
        assert!(zone("8").meets(zone("5b-8a")));
        assert!(!zone("8b").meets(zone("5b-8a")));
        for wrong in ["0", "14", "8c", "", "a", "9-8"] {
            assert_eq!(Zone::read(wrong), None, "{wrong}");
        }
    }
}
