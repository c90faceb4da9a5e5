//! The notation of the pricing corpora: a sheet in, a quote out, as one line of text each; and the runner that reports
//! every line that differs. See the head of `fixtures/pricing/quotes.txt`.

use std::{env, fmt::Display, fs, str::FromStr};

use tallyhand::{
    pricing::{Basis, Discount, Effort, ExtraWhat, FeeKind, Quote, Sheet, SheetLine, Step, Tax},
    units::{Crew, Money, Unit},
};

/// Runs `answer` on the left side of every `left => right` line and compares with the right side. `UPDATE_EXPECT=1`
/// rewrites the file, unless it is a reference that came from elsewhere. A file with fewer cases than `floor` fails, so
/// that it cannot empty unnoticed.
#[track_caller]
pub(crate) fn check_corpus(path: &str, floor: usize, answer: impl Fn(&str) -> Result<String, String>) {
    let text = fs::read_to_string(path).unwrap_or_else(|error| panic!("{path}: {error}"));
    let (mut cases, mut wrong, mut rewritten) = (0, Vec::new(), String::new());
    for (number, line) in text.lines().enumerate() {
        let Some((left, expected)) = line.split_once(" => ").filter(|_| !line.starts_with('#')) else {
            rewritten.push_str(&format!("{line}\n"));
            continue;
        };
        cases += 1;
        let actual = answer(left).unwrap_or_else(|refusal| format!("refused: {refusal}"));
        rewritten.push_str(&format!("{left} => {actual}\n"));
        if actual != expected {
            let number = number + 1;
            wrong.push(format!(
                "{path}:{number}: {left}\n  expected {expected}\n  actual   {actual}"
            ));
        }
    }
    if env::var_os("UPDATE_EXPECT").is_some_and(|value| value == "1") && !path.contains("/references/") {
        fs::write(path, rewritten).unwrap_or_else(|error| panic!("{path}: {error}"));
    } else {
        assert!(
            wrong.is_empty(),
            "{} of {cases} cases:\n{}",
            wrong.len(),
            wrong.join("\n")
        );
    }
    assert!(cases >= floor, "{path} has only {cases} cases, fewer than {floor}");
}

/// Reads any value by its own `FromStr`.
pub(crate) fn value<T: FromStr<Err: Display>>(text: &str) -> Result<T, String> {
    text.parse().map_err(|error: T::Err| error.to_string())
}

/// Reads a sheet.
pub(crate) fn sheet(text: &str) -> Result<Sheet, String> {
    let mut sheet = Sheet::blank(value("1")?, Crew::ONE);
    for part in text.split("; ") {
        read_part(&mut sheet, part)?;
    }
    Ok(sheet)
}

fn read_part(sheet: &mut Sheet, part: &str) -> Result<(), String> {
    if part.starts_with(|first: char| first.is_ascii_digit() || first == '-') {
        sheet.lines.push(line(part)?);
        return Ok(());
    }
    let (name, figure) = part
        .rsplit_once(' ')
        .ok_or_else(|| format!("{part:?} is no part of a sheet"))?;
    let percent = figure.strip_suffix('%');
    match (name, percent) {
        ("rate", None) => sheet.rate = value(figure)?,
        ("rate said", None) => sheet.rate_said = Some(value(figure)?),
        ("crew", None) => sheet.crew = Crew::new(value(figure)?).map_err(|error| error.to_string())?,
        ("set-up", None) => sheet.set_up = Some(value(figure)?),
        ("haul", None) => sheet.haul = Some(value(figure)?),
        ("drive", None) => sheet.drive = Some(value(figure)?),
        ("dump fee", None) => sheet.fees.push((FeeKind::DumpFee, value(figure)?)),
        ("minimum", None) => sheet.minimum = Some(value(figure)?),
        ("round to", None) => sheet.step = Step::Nearest(value(figure)?),
        ("round up to", None) => sheet.step = Step::Up(value(figure)?),
        ("discount", None) => sheet.discount = Discount::Money(value(figure)?),
        ("discount", Some(percent)) => sheet.discount = Discount::Percent(value(percent)?),
        ("more off", None) => sheet.take_off_more(Discount::Money(value(figure)?)),
        ("more off", Some(percent)) => sheet.take_off_more(Discount::Percent(value(percent)?)),
        ("price said", None) => sheet.price_said = Some(value(figure)?),
        ("tax", Some(percent)) => sheet.tax = Tax::All(value(percent)?),
        ("tax materials", Some(percent)) => sheet.tax = Tax::Materials(value(percent)?),
        ("markup", Some(percent)) => sheet.markup = value(percent)?,
        _ => return Err(format!("{part:?} is no part of a sheet")),
    }
    Ok(())
}

fn line(text: &str) -> Result<SheetLine, String> {
    let mut parts = text.split(", ");
    let counted = parts.next().unwrap_or_default();
    let (quantity, effort) = match (counted.split_once(" at "), counted.split_once(" in ")) {
        (Some((quantity, each)), None) => (quantity, Effort::Each(value(each)?)),
        (None, Some((quantity, whole))) => (quantity, Effort::Whole(value(whole)?)),
        _ => return Err(format!("{counted:?} is no counted line")),
    };
    let mut line = SheetLine {
        service: "crape myrtle".to_owned(),
        size: Some("small".to_owned()),
        unit: Unit::Each,
        quantity: value(quantity)?,
        effort,
        rate: None,
        material_each: None,
        price_each: None,
        basis: Basis::Set,
    };
    for part in parts {
        match part.rsplit_once(' ') {
            Some(("own rate", figure)) => line.rate = Some(value(figure)?),
            Some(("material", figure)) => line.material_each = Some(value(figure)?),
            Some(("fixed", figure)) => line.price_each = Some(value(figure)?),
            _ => return Err(format!("{part:?} is no part of a line")),
        }
    }
    Ok(line)
}

/// Writes a quote: line prices with the price of one unit, extras, subtotal - discount + tax = total, and the work.
pub(crate) fn shown(quote: &Quote) -> String {
    let lines: Vec<_> = quote
        .lines
        .iter()
        .map(|line| format!("{} @{}", line.price, line.unit_price))
        .collect();
    let extras: Vec<_> = quote
        .extras
        .iter()
        .map(|extra| format!("{} {}", extra_name(extra.what), extra.price))
        .collect();
    let extras = if extras.is_empty() {
        "none".to_owned()
    } else {
        extras.join(", ")
    };
    let made = quote
        .rate_made
        .map_or_else(|| "nothing".to_owned(), |rate| rate.to_cents().to_string());
    let short = quote
        .short_of_minimum
        .map_or_else(String::new, |money| format!(", short {money}"));
    format!(
        "{} | {extras} | {} - {} + {} = {} | work {}, elapsed {}, made {made}{short}",
        lines.join(", "),
        quote.subtotal,
        quote.discount,
        quote.tax,
        quote.total,
        quote.man_minutes,
        quote.elapsed_minutes,
    )
}

/// The name of an extra in the notation.
pub(crate) fn extra_name(what: ExtraWhat) -> &'static str {
    match what {
        ExtraWhat::SetUp => "set-up",
        ExtraWhat::Haul => "haul",
        ExtraWhat::Drive => "drive",
        ExtraWhat::Fee(FeeKind::DumpFee) => "dump fee",
        ExtraWhat::Minimum => "minimum",
        ExtraWhat::Rounding => "rounding",
        ExtraWhat::PriceSaid => "price said",
    }
}

/// What a client can check on the paper: the rows add up to the subtotal, and that to the total.
#[track_caller]
pub(crate) fn check_adds_up(quote: &Quote) {
    let rows = quote
        .lines
        .iter()
        .map(|line| line.price)
        .chain(quote.extras.iter().map(|extra| extra.price));
    assert_eq!(Money::checked_sum(rows), Ok(quote.subtotal), "rows of {quote:?}");
    assert_eq!(
        quote.subtotal.checked_sub(quote.discount),
        Ok(quote.price_before_tax),
        "discount of {quote:?}"
    );
    assert_eq!(
        quote.price_before_tax.checked_add(quote.tax),
        Ok(quote.total),
        "tax of {quote:?}"
    );
}
