//! Figures and names as they are written in an answer: plain ASCII, short, the same everywhere.

use rust_decimal::Decimal;

use crate::{
    conversation::Counted,
    units::{HourlyCost, ManMinutes, Money, RateMade, RatePerManHour, RoundingPolicy, Unit, UnitPrice},
};

/// Dollars with cents.
pub(super) fn money(money: Money) -> String {
    let value = money.get();
    let sign = if value.is_sign_negative() && !value.is_zero() {
        "-"
    } else {
        ""
    };
    format!("{sign}${}", two_places(value.abs()))
}

/// A rate as dollars.
pub(super) fn rate(rate: RatePerManHour) -> String {
    format!("${}", two_places(rate.get()))
}

/// A rate made, a loss with its sign.
pub(super) fn rate_made(rate: RateMade) -> String {
    let value = rate.get();
    let sign = if value.is_sign_negative() && !value.is_zero() {
        "-"
    } else {
        ""
    };
    format!("{sign}${}", two_places(value.abs()))
}

/// A difference of dollars without its sign, to the cent.
pub(super) fn dollars(value: Decimal) -> String {
    format!("${}", two_places(RoundingPolicy::HalfUp.places(value.abs(), 2)))
}

/// A price for one unit.
pub(super) fn unit_price(price: UnitPrice) -> String {
    format!("${}", two_places(price.get()))
}

/// The cost of an hour.
pub(super) fn hourly(cost: HourlyCost) -> String {
    format!("${}", two_places(cost.get()))
}

/// A sum of dollars that is no price of its own.
pub(super) fn sum(value: Decimal) -> String {
    let sign = if value.is_sign_negative() && !value.is_zero() {
        "-"
    } else {
        ""
    };
    format!("{sign}${}", two_places(value.abs()))
}

/// Two decimals or more, never cut.
fn two_places(value: Decimal) -> String {
    let mut value = value.normalize();
    if value.scale() < 2 {
        value.rescale(2);
    }
    grouped(&value.to_string())
}

/// A number without trailing zeros, thousands apart.
pub(super) fn number(value: Decimal) -> String {
    grouped(&value.normalize().to_string())
}

/// A written number with a comma after its thousands.
fn grouped(written: &str) -> String {
    let (sign, rest) = written.strip_prefix('-').map_or(("", written), |rest| ("-", rest));
    let (whole, fraction) = rest.split_at(rest.find('.').unwrap_or(rest.len()));
    let mut grouped = String::with_capacity(written.len() + whole.len() / 3);
    for (place, digit) in whole.chars().enumerate() {
        if place > 0 && (whole.len() - place).is_multiple_of(3) {
            grouped.push(',');
        }
        grouped.push(digit);
    }
    format!("{sign}{grouped}{fraction}")
}

/// Minutes of one unit: all of their decimals, with `min`.
pub(super) fn minutes(minutes: ManMinutes) -> String {
    format!("{} min", number(minutes.get()))
}

/// A time on the clock: `57 min`, `2 h 30 min`; a part of a minute is rounded to a tenth.
pub(super) fn clock(minutes: Decimal) -> String {
    let minutes = minutes.round_dp(1).normalize();
    let hours = (minutes / Decimal::from(60)).floor();
    let rest = number(minutes - hours * Decimal::from(60));
    match (hours.is_zero(), rest.as_str()) {
        (true, rest) => format!("{rest} min"),
        (false, "0") => format!("{} h", number(hours)),
        (false, rest) => format!("{} h {rest} min", number(hours)),
    }
}

/// A kind with its size: `crape myrtle small`.
pub(super) fn class(service: &str, size: Option<&str>) -> String {
    match size {
        Some(size) => format!("{service} {size}"),
        None => service.to_string(),
    }
}

/// A count of a kind: `12 crape myrtle small`, `40 ft hedge`, `6 yd mulch`, `mow`.
pub(super) fn count(quantity: Decimal, unit: Unit, service: &str, size: Option<&str>) -> String {
    let class = class(service, size);
    let quantity_text = number(quantity);
    match unit {
        Unit::Each => format!("{quantity_text} {class}"),
        Unit::Job if quantity == Decimal::ONE => class,
        Unit::Job => format!("{quantity_text} x {class}"),
        Unit::Foot => format!("{quantity_text} ft {class}"),
        Unit::SquareFoot => format!("{quantity_text} sq ft {class}"),
        Unit::Yard => format!("{quantity_text} yd {class}"),
        Unit::Bag | Unit::Load | Unit::Hour => {
            format!(
                "{quantity_text} {}{} {class}",
                unit.name(),
                if quantity == Decimal::ONE { "" } else { "s" }
            )
        }
    }
}

/// The word after a price or time of one unit: ` each`, ` a foot`; nothing for a whole job.
pub(super) fn per(unit: Unit) -> &'static str {
    match unit {
        Unit::Each => " each",
        Unit::Foot => " a foot",
        Unit::SquareFoot => " a sq ft",
        Unit::Yard => " a yard",
        Unit::Bag => " a bag",
        Unit::Load => " a load",
        Unit::Hour => " an hour",
        Unit::Job => "",
    }
}

/// What a kind goes by: ` the foot`.
pub(super) fn by(unit: Unit) -> &'static str {
    match unit {
        Unit::Each => " the piece",
        Unit::Foot => " the foot",
        Unit::SquareFoot => " the sq ft",
        Unit::Yard => " the yard",
        Unit::Bag => " the bag",
        Unit::Load => " the load",
        Unit::Hour => " the hour",
        Unit::Job => " the job",
    }
}

/// What is counted, in the plural: `feet`.
pub(super) fn units(unit: Unit) -> &'static str {
    match unit {
        Unit::Each => "",
        Unit::Foot => "feet",
        Unit::SquareFoot => "square feet",
        Unit::Yard => "yards",
        Unit::Bag => "bags",
        Unit::Load => "loads",
        Unit::Hour => "hours",
        Unit::Job => "times",
    }
}

/// A kind in the plural, as far as its spelling tells.
pub(super) fn plural(name: &str) -> String {
    let vowel_before_y = |stem: &str| stem.ends_with(['a', 'e', 'i', 'o', 'u']);
    match name.strip_suffix('y') {
        Some(stem) if !vowel_before_y(stem) && !stem.is_empty() => format!("{stem}ies"),
        _ if name.ends_with('s') => name.to_string(),
        _ if name.ends_with("ch") || name.ends_with("sh") || name.ends_with('x') => format!("{name}es"),
        _ => format!("{name}s"),
    }
}

/// A counted thing in running words: `12 small crape myrtles`, `5 hollies`, `the small ones`.
pub(super) fn spoken(counted: &Counted) -> String {
    let quantity = counted
        .quantity
        .map(|quantity| format!("{} ", number(quantity)))
        .unwrap_or_default();
    let size = counted.size.as_ref().map(|size| format!("{size} ")).unwrap_or_default();
    let one = counted.quantity == Some(Decimal::ONE);
    let unit = counted.unit.unwrap_or(Unit::Each);
    match (&counted.service, unit) {
        (Some(service), Unit::Each) if one => format!("{quantity}{size}{service}"),
        (Some(service), Unit::Each) => format!("{quantity}{size}{}", plural(service)),
        (Some(service), unit) => match counted.quantity {
            Some(number) => count(number, unit, service, counted.size.as_deref()),
            None => format!("{size}{service}"),
        },
        (None, _) if counted.size.is_some() => format!("{quantity}{}", size.trim_end()),
        (None, _) if counted.quantity.is_some() => quantity.trim_end().to_string(),
        (None, _) => "that".to_string(),
    }
}

/// How much of a person's own words is repeated.
const CLIPPED_CHARS_MAX: usize = 80;

/// A sentence with a capital at its start.
pub(super) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters
        .next()
        .map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// Words as said, on one line, the end cut off when they are long.
pub(super) fn clipped(words: &str) -> String {
    let one_line: Vec<&str> = words.split_whitespace().collect();
    let one_line = one_line.join(" ");
    if one_line.chars().count() <= CLIPPED_CHARS_MAX {
        return one_line;
    }
    let start: String = one_line.chars().take(CLIPPED_CHARS_MAX).collect();
    format!("{start}...")
}

/// Names joined: `a`, `a and b`, `a, b and c`.
pub(super) fn joined(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [only] => only.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::{Counted, Decimal, Unit, clock, count, joined, number, plural, spoken};

    #[test]
    fn names_in_the_plural() {
        for (one, many) in [
            ("holly", "hollies"),
            ("azalea", "azaleas"),
            ("crape myrtle", "crape myrtles"),
            ("bush", "bushes"),
            ("box", "boxes"),
            ("grass", "grass"),
        ] {
            assert_eq!(plural(one), many);
        }
    }

    #[test]
    fn counts_by_unit() {
        let twelve = Decimal::from(12);
        assert_eq!(count(twelve, Unit::Each, "holly", Some("small")), "12 holly small");
        assert_eq!(count(twelve, Unit::Foot, "hedge", None), "12 ft hedge");
        assert_eq!(count(Decimal::ONE, Unit::Job, "mow", None), "mow");
        assert_eq!(count(Decimal::ONE, Unit::Load, "brush", None), "1 load brush");
        assert_eq!(count(Decimal::TWO, Unit::Load, "brush", None), "2 loads brush");
    }

    #[test]
    fn thousands_stand_apart() {
        for (value, written) in [
            ("1", "1"),
            ("999.5", "999.5"),
            ("1000", "1,000"),
            ("-53201.67", "-53,201.67"),
            ("1234567.0125", "1,234,567.0125"),
        ] {
            assert_eq!(number(value.parse().expect("a number")), written);
        }
    }

    #[test]
    fn times_on_the_clock() {
        assert_eq!(clock(Decimal::from(57)), "57 min");
        assert_eq!(clock(Decimal::from(150)), "2 h 30 min");
        assert_eq!(clock(Decimal::from(120)), "2 h");
        assert_eq!(clock(Decimal::new(385, 1)), "38.5 min");
    }

    #[test]
    fn a_thing_in_running_words() {
        let of = |quantity: Option<i64>, service: Option<&str>, size: Option<&str>| Counted {
            quantity: quantity.map(Decimal::from),
            unit: None,
            service: service.map(str::to_string),
            size: size.map(str::to_string),
        };
        assert_eq!(spoken(&of(Some(5), Some("holly"), None)), "5 hollies");
        assert_eq!(spoken(&of(Some(1), Some("holly"), Some("big"))), "1 big holly");
        assert_eq!(spoken(&of(Some(12), None, Some("small"))), "12 small");
        assert_eq!(spoken(&of(Some(12), None, None)), "12");
        assert_eq!(spoken(&of(None, None, None)), "that");
        assert_eq!(
            joined(&["a".to_string(), "b".to_string(), "c".to_string()]),
            "a, b and c"
        );
    }
}
