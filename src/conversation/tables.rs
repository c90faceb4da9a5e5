//! The book as tables: jobs a row for each line of work, the price list, payments.
//!
//! The layout is ours. Figures that follow from others are formulas beside their values, so that a workbook recomputes
//! when a rate, a count or minutes are changed in it; the first sheet holds the price list with the account's rate, and
//! the last columns of the jobs look up what the same work comes to at those figures. The rows of a job add up to what the
//! client pays.

use chrono::NaiveDate;
use chrono_tz::Tz;
use rust_decimal::Decimal;

use super::answer::{Cell, Table};
use crate::{
    journal::{Book, Class, Period, QuoteEntry, Service, Status},
    pricing::{self, Discount, SheetLine, Tax},
    units::{ManMinutes, Money, Timestamp},
};

/// Name of the sheet with the price list.
const LIST: &str = "Price list";

/// The column of the price in the jobs table, from 0.
const PRICE_COLUMN: usize = 13;

/// Heads of the jobs table. The letter of each column stands in the formulas.
const JOB_COLUMNS: [&str; 19] = [
    "date",
    "quote",
    "place",
    "status",
    "work",
    "size",
    "unit",
    "count",
    "minutes each",
    "rate",
    "material each",
    "price each said",
    "man-minutes",
    "price",
    "worked man-minutes",
    "earned",
    "rate made",
    "minutes each now",
    "price now",
];

/// The jobs, a row for each line of work: those that ended in the period, or all that were agreed or done.
pub fn jobs(book: &Book, zone: Tz, period: Option<Period>) -> Table {
    let mut entries: Vec<&QuoteEntry> = book
        .quotes_newest_first()
        .filter(|entry| is_job(entry, period))
        .collect();
    entries.sort_by_key(|entry| (day_of(entry, zone), entry.no));
    let mut rows = Vec::new();
    for entry in entries {
        job_rows(book, entry, zone, &mut rows);
    }
    Table {
        name: "jobs".to_string(),
        columns: JOB_COLUMNS.map(str::to_string).into(),
        rows,
    }
}

fn is_job(entry: &QuoteEntry, period: Option<Period>) -> bool {
    match period {
        Some(period) => entry.finish.as_ref().is_some_and(|finish| period.holds(finish.ended)),
        None => !matches!(entry.status, Status::Open | Status::Lost),
    }
}

/// The day a job ended, or is planned for, or was quoted.
fn day_of(entry: &QuoteEntry, zone: Tz) -> NaiveDate {
    let ended = entry.finish.as_ref().map(|finish| finish.ended);
    local(ended.or(entry.planned).unwrap_or(entry.given_at), zone)
}

fn local(at: Timestamp, zone: Tz) -> NaiveDate {
    at.utc().with_timezone(&zone).date_naive()
}

/// The row that a formula speaks of: the head line is row 1.
fn row_number(rows: &[Vec<Cell>]) -> usize {
    rows.len() + 2
}

fn job_rows(book: &Book, entry: &QuoteEntry, zone: Tz, rows: &mut Vec<Vec<Cell>>) {
    let Ok(priced) = pricing::quote(&entry.sheet) else {
        return;
    };
    let parts = entry.line_parts();
    let first = row_number(rows);
    for (index, line) in priced.lines.iter().enumerate() {
        let Some(counted) = entry.sheet.lines.get(index) else {
            continue;
        };
        let row = row_number(rows);
        let mut cells = head(entry, zone);
        cells.extend(line_cells(entry, counted, line, row));
        match parts.get(index) {
            Some((worked, earned)) => cells.extend([
                Cell::Number(*worked),
                Cell::Number(*earned),
                Cell::formula(
                    format!("IF(O{row}>0,ROUND(P{row}*60/O{row},2),\"\")"),
                    earned
                        .checked_mul(Decimal::from(60))
                        .and_then(|hourly| hourly.checked_div(*worked))
                        .map(to_cents),
                ),
            ]),
            None => cells.extend([Cell::Empty, Cell::Empty, Cell::Empty]),
        }
        cells.extend(now_cells(book, line, row));
        rows.push(cells);
    }
    for extra in &priced.extras {
        let row = row_number(rows);
        let mut cells = head(entry, zone);
        cells.extend(extra_cells(extra, priced.rate.get(), row));
        rows.push(cells);
    }
    let billed = entry.finish.as_ref().map_or(Money::ZERO, |finish| finish.billed);
    let taxed = entry.price().checked_sub(priced.total).unwrap_or(Money::ZERO);
    let off = match entry.sheet.discount {
        Discount::Percent(percent) if entry.sheet.more_off.is_empty() => Some(-percent.get()),
        _ => None,
    };
    let on = match entry.sheet.tax {
        Tax::All(percent) => Some(percent.get()),
        _ => None,
    };
    let discount = Money::ZERO.checked_sub(priced.discount).unwrap_or(Money::ZERO);
    for (what, amount, percent) in [
        ("discount", discount, off),
        ("tax", priced.tax, on),
        ("extra billed", if billed.is_zero() { Money::ZERO } else { taxed }, None),
        (
            "agreed otherwise",
            if billed.is_zero() { taxed } else { Money::ZERO },
            None,
        ),
    ] {
        if !amount.is_zero() {
            let share = percent.and_then(|percent| share_of_rows(rows, first, percent, amount));
            let mut cells = head(entry, zone);
            cells.extend(sum_cells(what, amount));
            if let (Some(formula), Some(last)) = (share, cells.last_mut()) {
                *last = formula;
            }
            rows.push(cells);
        }
    }
}

/// A percentage of the prices of a job's rows so far, as a formula, where that is what was charged; after rounding to a step
/// or a price that was said it is not.
fn share_of_rows(rows: &[Vec<Cell>], first: usize, percent: Decimal, amount: Money) -> Option<Cell> {
    let price = |cells: &Vec<Cell>| match cells.get(PRICE_COLUMN)? {
        Cell::Number(price) => Some(*price),
        Cell::Formula { value, .. } => *value,
        _ => None,
    };
    let from = first.checked_sub(2)?;
    let sum: Decimal = rows.get(from..)?.iter().filter_map(price).sum();
    let share = to_cents(sum.checked_mul(percent)?.checked_div(Decimal::ONE_HUNDRED)?);
    let last = row_number(rows) - 1;
    let formula = format!("ROUND(SUM(N{first}:N{last})*{}/100,2)", percent.normalize());
    (share == amount.get()).then(|| Cell::formula(formula, Some(share)))
}

fn head(entry: &QuoteEntry, zone: Tz) -> Vec<Cell> {
    vec![
        Cell::Date(day_of(entry, zone)),
        Cell::Number(entry.no.get().into()),
        entry.place.clone().map_or(Cell::Empty, Cell::Text),
        Cell::Text(entry.status.code().to_string()),
    ]
}

fn line_cells(entry: &QuoteEntry, counted: &SheetLine, line: &pricing::QuoteLine, row: usize) -> Vec<Cell> {
    let material = material_each(entry, line);
    let fixed = counted.price_each.map(|price| price.get());
    vec![
        Cell::Text(line.service.clone()),
        line.size.clone().map_or(Cell::Empty, Cell::Text),
        Cell::Text(line.unit.name().to_string()),
        Cell::Number(line.quantity.get()),
        Cell::Number(each(line.man_minutes, line.quantity.get()).unwrap_or_else(|| line.minutes_each.get())),
        Cell::Number(line.rate.get()),
        material.map_or(Cell::Empty, Cell::Number),
        fixed.map_or(Cell::Empty, Cell::Number),
        Cell::formula(format!("H{row}*I{row}"), Some(line.man_minutes.get())),
        Cell::formula(
            format!("IF(L{row}=\"\",ROUND(M{row}/60*J{row}+H{row}*K{row},2),ROUND(H{row}*L{row},2))"),
            Some(line.price.get()),
        ),
    ]
}

/// Man-minutes of one unit, when the whole divides without a rest.
fn each(whole: ManMinutes, quantity: Decimal) -> Option<Decimal> {
    let each = whole.get().checked_div(quantity)?;
    (each.checked_mul(quantity)? == whole.get()).then(|| each.normalize())
}

/// Material of one unit, markup included, so that the row's own sum is the line's.
fn material_each(entry: &QuoteEntry, line: &pricing::QuoteLine) -> Option<Decimal> {
    if line.material.is_zero() {
        return None;
    }
    let counted = entry
        .sheet
        .lines
        .iter()
        .find(|sheet| sheet.service == line.service && sheet.size == line.size)?;
    let each = counted.material_each?.get();
    let markup = Decimal::ONE + entry.sheet.markup.get() / Decimal::ONE_HUNDRED;
    Some((each * markup).normalize())
}

/// What the same work comes to at the figures of the price list sheet: minutes, rate and material, or a price that is fixed.
fn now_cells(book: &Book, line: &pricing::QuoteLine, row: usize) -> [Cell; 2] {
    let known = book.service(&line.service).and_then(|service| {
        let class = service.class(line.size.as_deref())?;
        Some((service, class))
    });
    let minutes = known.and_then(|(service, class)| Some(book.minutes_of(service, class)?.0.get()));
    let fixed = known.and_then(|(_, class)| class.price_each).map(|price| price.get());
    let each = known.and_then(|(service, class)| match fixed {
        Some(fixed) => Some(fixed),
        None => price_of_one(book, service, class, minutes?),
    });
    let price = each.and_then(|each| each.checked_mul(line.quantity.get()));
    let look_up = |column: char| {
        format!("INDEX('{LIST}'!${column}$3:${column}$2000,MATCH(E{row}&\"|\"&F{row},'{LIST}'!$A$3:$A$2000,0))")
    };
    let (minutes_now, rate, material, one) = (look_up('E'), look_up('H'), look_up('F'), look_up('G'));
    let price_now = match fixed {
        Some(_) => format!("IFERROR(ROUND(H{row}*{one},2),\"\")"),
        None => format!("IF(R{row}=\"\",\"\",ROUND(H{row}*(R{row}/60*{rate}+{material}),2))"),
    };
    [
        Cell::formula(format!("IFERROR({minutes_now},\"\")"), minutes),
        Cell::formula(price_now, price.map(to_cents)),
    ]
}

/// Dollars for one, not rounded: its minutes at the rate that holds for it, and its material with the markup.
fn price_of_one(book: &Book, service: &Service, class: &Class, minutes: Decimal) -> Option<Decimal> {
    let rate = service.rate.unwrap_or_else(|| book.rate()).get();
    let work = minutes.checked_mul(rate)?.checked_div(Decimal::from(60))?;
    work.checked_add(material_now(book, class).unwrap_or_default())
}

/// Material of one at today's price, markup included.
fn material_now(book: &Book, class: &Class) -> Option<Decimal> {
    let markup = book.settings().markup.map_or(Decimal::ZERO, |percent| percent.get());
    let factor = Decimal::ONE + markup / Decimal::ONE_HUNDRED;
    Some((class.material_each?.get() * factor).normalize())
}

fn extra_cells(extra: &pricing::Extra, rate: Decimal, row: usize) -> Vec<Cell> {
    let what = extra.what.name();
    let Some(work) = extra.man_minutes else {
        return sum_cells(what, extra.price);
    };
    vec![
        Cell::Text(what.to_string()),
        Cell::Empty,
        Cell::Empty,
        Cell::Number(Decimal::ONE),
        Cell::Number(work.get()),
        Cell::Number(rate),
        Cell::Empty,
        Cell::Empty,
        Cell::formula(format!("H{row}*I{row}"), Some(work.get())),
        Cell::formula(format!("ROUND(M{row}/60*J{row},2)"), Some(extra.price.get())),
    ]
}

fn sum_cells(what: &str, amount: Money) -> Vec<Cell> {
    let mut cells = vec![Cell::Text(what.to_string())];
    cells.extend(std::iter::repeat_n(Cell::Empty, 8));
    cells.push(Cell::Number(amount.get()));
    cells
}

fn to_cents(value: Decimal) -> Decimal {
    crate::units::RoundingPolicy::HalfUp.places(value, 2)
}

/// The price list with the account's rate, which the jobs look up. Its first row holds the rate.
pub fn price_list(book: &Book) -> Table {
    let mut rows = vec![
        [
            "key",
            "work",
            "size",
            "unit",
            "minutes each",
            "material each",
            "price each",
            "rate",
        ]
        .map(|head| Cell::Text(head.to_string()))
        .to_vec(),
    ];
    for service in book.services() {
        for class in &service.classes {
            let row = row_number(&rows);
            rows.push(list_row(book, service, class, row));
        }
    }
    Table {
        name: LIST.to_string(),
        columns: vec!["rate".to_string(), book.rate().get().to_string()],
        rows,
    }
}

fn list_row(book: &Book, service: &Service, class: &Class, row: usize) -> Vec<Cell> {
    let minutes = book.minutes_of(service, class).map(|(minutes, _)| minutes.get());
    let material = material_now(book, class);
    let price = minutes.and_then(|minutes| price_of_one(book, service, class, minutes));
    let price_cell = match class.price_each {
        Some(fixed) => Cell::Number(fixed.get()),
        None => Cell::formula(
            format!("IF(E{row}=\"\",\"\",ROUND(E{row}/60*H{row}+F{row},2))"),
            price.map(to_cents),
        ),
    };
    let rate_cell = match service.rate {
        Some(own) => Cell::Number(own.get()),
        None => Cell::formula("$B$1".to_string(), Some(book.rate().get())),
    };
    vec![
        Cell::Text(format!(
            "{}|{}",
            service.name,
            class.size.as_deref().unwrap_or_default()
        )),
        Cell::Text(service.name.clone()),
        class.size.clone().map_or(Cell::Empty, Cell::Text),
        Cell::Text(service.unit.name().to_string()),
        minutes.map_or(Cell::Empty, Cell::Number),
        material.map_or(Cell::Empty, Cell::Number),
        price_cell,
        rate_cell,
    ]
}

/// Money that came in, the oldest first; of the period, when one is given.
pub fn payments(book: &Book, zone: Tz, period: Option<Period>) -> Table {
    let mut found: Vec<(Timestamp, &QuoteEntry, Money, Option<String>)> = Vec::new();
    for entry in book.quotes_newest_first() {
        let held = entry
            .payments
            .iter()
            .filter(|payment| period.is_none_or(|period| period.holds(payment.at)));
        found.extend(held.map(|payment| (payment.at, entry, payment.amount, payment.method.clone())));
    }
    found.sort_by_key(|(at, entry, ..)| (*at, entry.no));
    let row = |(at, entry, amount, method): (Timestamp, &QuoteEntry, Money, Option<String>)| {
        vec![
            Cell::Date(local(at, zone)),
            Cell::Number(entry.no.get().into()),
            entry.place.clone().map_or(Cell::Empty, Cell::Text),
            Cell::Number(amount.get()),
            method.map_or(Cell::Empty, Cell::Text),
        ]
    };
    Table {
        name: "payments".to_string(),
        columns: ["date", "quote", "place", "amount", "method"]
            .map(str::to_string)
            .into(),
        rows: found.into_iter().map(row).collect(),
    }
}
