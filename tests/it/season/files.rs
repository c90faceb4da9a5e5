//! Files for the bookkeeper: the workbook is read back by another crate (`calamine`), and its formulas by hand.

use calamine::{Data, Reader, Xlsx, open_workbook_from_rs};
use rust_decimal::Decimal;
use serde_json::Value;
use tallyhand::{
    conversation::{FileWanted, file_of},
    exports,
    language::FileOf,
};

use super::yard::{Yard, check};

fn season() -> Yard {
    let mut yard = Yard::new();
    yard.says("set-up 15");
    yard.says("tax 7%");
    yard.talks(&[
        "12 small 3 medium crapes at Alder Ct",
        "knock 10% off",
        "done 130 min",
        "paid 100 check",
    ]);
    yard.at("2026-02-03 09:00");
    yard.talks(&["mow at =Birch Rd", "done 30 min"]);
    yard
}

fn made(yard: &Yard, of: FileOf, csv: bool, period: Option<&str>) -> Vec<u8> {
    let wanted = FileWanted {
        of,
        csv,
        period,
        now: "2026-02-10T15:00:00Z".parse().expect("a time"),
        zone: chrono_tz::America::Chicago,
    };
    let attachment = file_of(yard.state.book(), &wanted).expect("a file");
    exports::render(&attachment).bytes
}

fn number(cell: &Data) -> Option<f64> {
    match cell {
        Data::Float(value) => Some(*value),
        Data::Int(value) => Some(*value as f64),
        _ => None,
    }
}

#[test]
fn the_rows_of_a_job_add_up_to_its_price_and_the_formulas_are_live() {
    let yard = season();
    let bytes = made(&yard, FileOf::Jobs, false, None);
    let mut book: Xlsx<_> = open_workbook_from_rs(std::io::Cursor::new(bytes)).expect("a workbook");
    assert_eq!(book.sheet_names(), ["jobs", "Price list"]);
    let values = book.worksheet_range("jobs").expect("a sheet");
    let mut cents = 0_i64;
    for row in values.rows().skip(1).filter(|row| number(&row[1]) == Some(1.0)) {
        cents += (number(&row[13]).expect("a price in each row") * 100.0).round() as i64;
    }
    let export = yard.export();
    let price: Decimal = export["jobs"][0]["price"]
        .as_str()
        .expect("a price")
        .parse()
        .expect("money");
    assert_eq!(
        Decimal::new(cents, 2),
        price,
        "lines, set-up, discount and tax make what the client pays"
    );
    let formulas = book.worksheet_formula("jobs").expect("formulas");
    let first: Vec<String> = formulas
        .rows()
        .flatten()
        .filter(|text| !text.is_empty())
        .cloned()
        .collect();
    assert!(first.iter().any(|formula| formula == "H2*I2"), "{first:?}");
    assert!(
        first.iter().any(|formula| formula.contains("'Price list'!$B$1")),
        "{first:?}"
    );
}

#[test]
fn a_period_and_text_files_hold_what_was_asked_for() {
    let yard = season();
    let text = String::from_utf8(made(&yard, FileOf::Jobs, true, Some("february"))).expect("text");
    let lines: Vec<&str> = text.lines().collect();
    assert!(lines[0].starts_with("date,quote,place,status,work"), "{text}");
    assert!(
        lines[1..].iter().all(|line| line.starts_with("2026-02-03,2,")),
        "{text}"
    );
    let payments = String::from_utf8(made(&yard, FileOf::Payments, true, None)).expect("text");
    assert!(payments.contains("2026-01-12,1,Alder Ct,100.00,check"), "{payments}");
}

#[test]
fn a_file_can_be_asked_for_in_a_message() {
    let mut yard = season();
    let answer: Value = yard.says("jobs file for january");
    check(&answer, &[("understood.0", "look")]);
    assert!(
        answer["text"]
            .as_str()
            .expect("words")
            .contains("Here is the jobs file"),
        "{answer:#}"
    );
}
