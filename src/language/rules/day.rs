//! Days and times of day, as said; the conversation resolves them against the message's clock and the account's zone.

use rust_decimal::prelude::ToPrimitive;

use super::number::{number, slip};
use crate::language::lexicon::Class;
use crate::language::meaning::{DaySaid, PeriodSaid, WhenSaid};
use crate::language::token::TokenKind;
use crate::language::words::Words;

/// A day, a time, or both.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::language) struct When {
    /// One past its last word.
    pub(in crate::language) end: usize,
    /// What was said.
    pub(in crate::language) said: WhenSaid,
}

/// The day with a time, a day, or a time that starts at word `at`; longest first.
pub(in crate::language) fn whens(words: &Words<'_>, at: usize) -> Vec<When> {
    let mut found = Vec::new();
    let start = if words.one_of(at, &["on", "by", "for", "to", "till", "until", "this", "coming"]) {
        at + 1
    } else {
        at
    };
    let start = if words.one_of(start, &["this", "the", "coming"]) && day(words, start).is_none() {
        start + 1
    } else {
        start
    };
    if let Some((day, end)) = day(words, start) {
        let end = if words.sign(end, ',') && time(words, end + 1, true).is_some() {
            end + 1
        } else {
            end
        };
        if let Some((minute, end)) = time(words, end, true) {
            found.push(When {
                end,
                said: WhenSaid {
                    day: Some(day),
                    minute_of_day: Some(minute),
                },
            });
        }
        let end = if words.is(end, Class::DAYPART) { end + 1 } else { end };
        let end = if words.sign(end - 1, ',') { end - 1 } else { end };
        found.push(When {
            end,
            said: WhenSaid {
                day: Some(day),
                minute_of_day: None,
            },
        });
    }
    if let Some((minute, end)) = time(words, at, false) {
        if let Some((day, after)) = day_after_time(words, end) {
            found.insert(
                0,
                When {
                    end: after,
                    said: WhenSaid {
                        day: Some(day),
                        minute_of_day: Some(minute),
                    },
                },
            );
        }
        found.push(When {
            end,
            said: WhenSaid {
                day: None,
                minute_of_day: Some(minute),
            },
        });
    }
    found
}

fn day_after_time(words: &Words<'_>, at: usize) -> Option<(DaySaid, usize)> {
    let start = if words.one_of(at, &["on", "this"]) { at + 1 } else { at };
    day(words, start)
}

fn day(words: &Words<'_>, at: usize) -> Option<(DaySaid, usize)> {
    if words.spelled(at, "day") && words.spelled(at + 1, "after") && words.spelled(at + 2, "tomorrow") {
        return Some((DaySaid::InDays(2), at + 3));
    }
    if let Some((DaySaid::Weekday { weekday, week: 0 }, end)) = week_from(words, at).and_then(|start| day(words, start))
    {
        return Some((DaySaid::WeekAfter(weekday), end));
    }
    if let Some(days) = words.value(at, Class::TODAY) {
        return Some((DaySaid::InDays(i32::try_from(days).unwrap_or(0)), at + 1));
    }
    let (week, start) = if words.spelled(at, "next") {
        (1, at + 1)
    } else if words.spelled(at, "last") {
        (-1, at + 1)
    } else {
        (0, at)
    };
    if let Some(weekday) = words.value(start, Class::WEEKDAY) {
        let short = words.lower(start).len() == 3 && !words.get(start).is_some_and(|t| t.capital);
        let odd = short && words.one_of(start, &["sat", "sun", "wed", "mon"]) && week == 0 && words.len() == 1;
        if !odd {
            // "friday the sixteenth": the date says which friday.
            if words.spelled(start + 1, "the")
                && let Some((exact @ DaySaid::DayOfMonth(_), end)) = date(words, start + 1)
            {
                return Some((exact, end));
            }
            return Some((
                DaySaid::Weekday {
                    weekday: u8::try_from(weekday).unwrap_or(0),
                    week,
                },
                start + 1,
            ));
        }
    }
    if words.spelled(at, "in") {
        let count = number(words, at + 1)?;
        let days = count.value.to_i32()?;
        if words.one_of(count.end, &["day", "days"]) {
            return Some((DaySaid::InDays(days), count.end + 1));
        }
        if words.one_of(count.end, &["week", "weeks"]) {
            return Some((DaySaid::InDays(days.checked_mul(7)?), count.end + 1));
        }
        return None;
    }
    date(words, at)
}

/// `a week from friday`, `week after friday`.
fn week_from(words: &Words<'_>, at: usize) -> Option<usize> {
    let start = if words.is(at, Class::ARTICLE) { at + 1 } else { at };
    (words.spelled(start, "week") && words.one_of(start + 1, &["from", "after"])).then_some(start + 2)
}

fn date(words: &Words<'_>, at: usize) -> Option<(DaySaid, usize)> {
    let day_number = |at: usize| -> Option<(u8, usize)> {
        let token = words.get(at)?;
        let value = match token.kind {
            TokenKind::Number(n) if n.is_integer() => n.to_u8()?,
            _ => match number(words, at) {
                Some(n) if n.value.is_integer() => n.value.to_u8()?,
                _ => return spoken_ordinal(words, at),
            },
        };
        let end = if token.is_word() {
            number(words, at)?.end
        } else {
            at + 1
        };
        (1..=31).contains(&value).then_some((value, end))
    };
    if let Some(month) = words.value(at, Class::MONTH).and_then(|m| u8::try_from(m).ok()) {
        let start = if words.spelled(at + 1, "the") { at + 2 } else { at + 1 };
        let (day, end) = spoken_ordinal(words, start).or_else(|| day_number(start))?;
        return Some((DaySaid::Date { month, day, year: None }, end));
    }
    let the = words.spelled(at, "the");
    let start = if the { at + 1 } else { at };
    if words.get(start).is_some_and(|t| t.ordinal) || (the && spoken_ordinal(words, start).is_some()) {
        let (day, mut end) = spoken_ordinal(words, start).or_else(|| day_number(start))?;
        if words.spelled(end, "of")
            && let Some(month) = words.value(end + 1, Class::MONTH).and_then(|m| u8::try_from(m).ok())
        {
            end += 2;
            return Some((DaySaid::Date { month, day, year: None }, end));
        }
        // "5th and main": a corner.
        if words.spelled(end, "and") && words.get(end + 1).is_some_and(|t| t.is_word()) && !the {
            return None;
        }
        let answers = words.one_of(end, &["one", "ones"]) || (at == 0 && end == words.len());
        // "no charge for the first 2", "the first hour": what comes first, and no day of the month.
        let counts = words.get(start).is_some_and(|t| t.is_word()) && counts_behind(words, end);
        if counts || answers && words.get(start).is_some_and(|t| t.is_word()) {
            return None;
        }
        return Some((DaySaid::DayOfMonth(day), end));
    }
    slashed(words, at)
}

/// A count or a word for one follows an ordinal.
fn counts_behind(words: &Words<'_>, at: usize) -> bool {
    let clock = |end: usize| words.is(end, Class::AMPM.or(Class::DAYPART)) || words.spelled(end, "oclock");
    let counted = number(words, at).is_some_and(|count| !clock(count.end));
    let thing = Class::HOUR
        .or(Class::MINUTE)
        .or(Class::UNIT)
        .or(Class::GENERIC)
        .or(Class::SIZE)
        .or(Class::HALF)
        .or(Class::COUPLE);
    counted || words.is(at, thing) || words.one_of(at, &["time", "visit", "cut", "few"])
}

/// `sixteenth`, `twenty first`.
fn spoken_ordinal(words: &Words<'_>, at: usize) -> Option<(u8, usize)> {
    if let Some(tens) = words.value(at, Class::TENS) {
        let unit = words.value(at + 1, Class::ORDINAL).filter(|n| *n < 10)?;
        return u8::try_from(tens + unit).ok().map(|day| (day, at + 2));
    }
    let value = words.value(at, Class::ORDINAL)?;
    u8::try_from(value).ok().map(|day| (day, at + 1))
}

/// `3/14`, month first.
fn slashed(words: &Words<'_>, at: usize) -> Option<(DaySaid, usize)> {
    if let Some(date) = written_as_fraction(words, at) {
        return Some(date);
    }
    let (Some(TokenKind::Number(month)), true, Some(TokenKind::Number(day))) = (
        words.get(at).map(|t| t.kind),
        words.sign(at + 1, '/'),
        words.get(at + 2).map(|t| t.kind),
    ) else {
        return None;
    };
    let (month, day) = (month.to_u8()?, day.to_u8()?);
    ((1..=12).contains(&month) && (1..=31).contains(&day)).then_some((DaySaid::Date { month, day, year: None }, at + 3))
}

/// `on 3/4`, `3/4 at 9`: what would be a fraction elsewhere.
fn written_as_fraction(words: &Words<'_>, at: usize) -> Option<(DaySaid, usize)> {
    let fraction = words.get(at).is_some_and(|token| token.fraction);
    let (month, day) = words.text(at, at + 1).split_once('/').filter(|_| fraction)?;
    let led = at > 0 && words.one_of(at - 1, &["on", "by", "until", "till"]);
    let timed = words.spelled(at + 1, "at")
        && number(words, at + 2)
            .is_some_and(|hour| hour.value.is_integer() && hour.value <= rust_decimal::Decimal::from(12));
    let (month, day) = (month.parse().ok()?, day.parse().ok()?);
    let valid = (led || timed) && (1..=12).contains(&month) && (1..=31).contains(&day);
    valid.then_some((DaySaid::Date { month, day, year: None }, at + 1))
}

/// A time of day. Bare numbers count only after a day (`loose`) or after `at`.
fn time(words: &Words<'_>, at: usize, after_day: bool) -> Option<(u16, usize)> {
    let led = words.one_of(at, &["at", "around"]);
    let start = if led || (after_day && words.one_of(at, &["from"])) {
        at + 1
    } else {
        at
    };
    if let Some(noon) = words.value(start, Class::NOON) {
        return u16::try_from(noon).ok().map(|minute| (minute, start + 1));
    }
    let quarter = words.is(start, Class::QUARTER) && words.one_of(start + 1, &["past", "after", "to"]);
    if quarter {
        let hour = number(words, start + 2)?;
        let hour_said = hour.value.to_u32()?;
        return if words.spelled(start + 1, "to") {
            of_hour(words, hour_said.checked_sub(1)?, 45, hour.end, false)
        } else {
            of_hour(words, hour_said, 15, hour.end, false)
        };
    }
    let half = words.is(start, Class::HALF) && words.spelled(start + 1, "past");
    if half {
        let hour = number(words, start + 2)?;
        return of_hour(words, hour.value.to_u32()?, 30, hour.end, false);
    }
    let token = words.get(start)?;
    let (hour, minute, end, clocked) = match token.kind {
        TokenKind::Clock(hour, minute) => (hour, minute, start + 1, true),
        TokenKind::Number(n) if n.is_integer() && !token.ordinal => (n.to_u32()?, 0, start + 1, false),
        TokenKind::Word => {
            let hour = number(words, start).or_else(|| slip(words, start).filter(|_| after_day || led))?;
            if !hour.value.is_integer() {
                return None;
            }
            let minute = number(words, hour.end)
                .filter(|m| m.value >= rust_decimal::Decimal::TEN && m.value < rust_decimal::Decimal::from(60));
            match minute {
                Some(minute) => (hour.value.to_u32()?, minute.value.to_u32()?, minute.end, true),
                None => (hour.value.to_u32()?, 0, hour.end, false),
            }
        }
        _ => return None,
    };
    if hour > 23 || minute > 59 {
        return None;
    }
    let marked = ampm(words, end).is_some() || words.one_of(end, &["oclock", "o'clock"]);
    if marked || after_day || (led && clocked) || (led && hour <= 12 && plain_end(words, end)) {
        return of_hour(words, hour, minute, end, true);
    }
    None
}

/// Nothing follows that would make the number something else.
fn plain_end(words: &Words<'_>, at: usize) -> bool {
    let other = Class::MINUTE
        .or(Class::HOUR)
        .or(Class::EACH)
        .or(Class::PER)
        .or(Class::DOLLAR)
        .or(Class::BUCK)
        .or(Class::UNIT)
        .or(Class::ARTICLE)
        .or(Class::SIZE)
        .or(Class::PEOPLE);
    !words.is(at, other) && !words.sign(at, '%') && words.kinds(at).is_empty()
}

fn ampm<'w>(words: &'w Words<'_>, at: usize) -> Option<&'w str> {
    words.text_value(at, Class::AMPM)
}

/// A time of day without am or pm: 7 to 11 is morning, else afternoon.
pub(in crate::language) fn minute_of_day(hour: u32, minute: u32) -> Option<u16> {
    let hour = if (1..7).contains(&hour) { hour + 12 } else { hour };
    u16::try_from(hour * 60 + minute)
        .ok()
        .filter(|total| *total < 1_440 && minute < 60)
}

fn of_hour(words: &Words<'_>, hour: u32, minute: u32, end: usize, _spoken: bool) -> Option<(u16, usize)> {
    let mut end = end;
    if words.one_of(end, &["oclock", "o'clock"]) {
        end += 1;
    }
    let mut half = ampm(words, end);
    if half.is_some() {
        end += 1;
    } else if words.spelled(end, "in") && words.spelled(end + 1, "the") && words.is(end + 2, Class::DAYPART) {
        half = words.text_value(end + 2, Class::DAYPART);
        end += 3;
    }
    let hour24 = match half {
        Some("am") if hour == 12 => 0,
        Some("pm") if hour < 12 => hour + 12,
        Some(_) => hour,
        // Without a mark, 7 to 11 is morning, else afternoon.
        None if (1..7).contains(&hour) => hour + 12,
        None => hour,
    };
    u16::try_from(hour24 * 60 + minute)
        .ok()
        .filter(|m| *m < 1_440)
        .map(|m| (m, end))
}

/// A stretch of the calendar: `january`, `last week`, `this season`, `2025`.
pub(in crate::language) fn period(words: &Words<'_>, at: usize) -> Option<(PeriodSaid, usize)> {
    let (back, start) = match () {
        () if words.one_of(at, &["this", "the"]) => (0, at + 1),
        () if words.one_of(at, &["last", "past"]) => (1, at + 1),
        () if words.spelled(at, "next") && words.one_of(at + 1, &["week", "month", "season", "year"]) => (-1, at + 1),
        () => (0, at),
    };
    if words.one_of(start, &["week", "weeks"]) && start > at {
        return Some((PeriodSaid::Week(-back), start + 1));
    }
    if words.spelled(start, "month") && start > at {
        return Some((PeriodSaid::MonthsAgo(back), start + 1));
    }
    if words.spelled(start, "season") || (words.spelled(start, "year") && start > at) {
        return Some((PeriodSaid::Season(-back), start + 1));
    }
    if let Some(month) = words.value(start, Class::MONTH).and_then(|m| u8::try_from(m).ok()) {
        if let Some(TokenKind::Number(year)) = words.get(start + 1).map(|t| t.kind)
            && let Some(year) = year.to_i32().filter(|y| (2_000..2_100).contains(y))
        {
            return Some((PeriodSaid::Month(month, Some(year)), start + 2));
        }
        return Some((PeriodSaid::Month(month, None), start + 1));
    }
    if let Some(TokenKind::Number(year)) = words.get(start).map(|t| t.kind)
        && let Some(year) = year.to_i32().filter(|y| (2_000..2_100).contains(y))
    {
        return Some((PeriodSaid::Year(year), start + 1));
    }
    day(words, at).map(|(day, end)| (PeriodSaid::Day(day), end))
}
