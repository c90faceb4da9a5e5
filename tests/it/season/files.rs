//! Files for the bookkeeper: the workbook is read back by another crate (`calamine`), and its formulas by hand.

use calamine::{Data, DataType, Reader, Xlsx, open_workbook_from_rs};
use rust_decimal::Decimal;
use serde_json::{Value, json};
use tallyhand::{
    conversation::{FileWanted, file_of},
    exports,
    language::FileOf,
};

use super::yard::{Yard, check};
use crate::peers;

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
        first.iter().any(|formula| formula.contains("'Price list'!$H$3")),
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

/// Letters of a column, from 0: A, B, … Z, AA.
fn letters(column: usize) -> String {
    let (high, low) = (column / 26, column % 26);
    let letter = |index: usize| char::from(b'A' + u8::try_from(index).expect("a letter"));
    match high {
        0 => letter(low).to_string(),
        _ => format!("{}{}", letter(high - 1), letter(low)),
    }
}

/// What every cell with a formula comes to in a workbook of ours, by sheet and place; `null` for an empty one.
fn computed(bytes: &[u8]) -> serde_json::Map<String, Value> {
    let mut book: Xlsx<_> = open_workbook_from_rs(std::io::Cursor::new(bytes.to_vec())).expect("a workbook");
    let mut found = serde_json::Map::new();
    for sheet in book.sheet_names() {
        let values = book.worksheet_range(&sheet).expect("a sheet");
        let formulas = book.worksheet_formula(&sheet).expect("formulas");
        let (top, left) = formulas.start().unwrap_or((0, 0));
        for (row, column, formula) in formulas.cells() {
            if formula.is_empty() {
                continue;
            }
            let at = (
                top + u32::try_from(row).expect("a row"),
                left + u32::try_from(column).expect("a column"),
            );
            let value = values.get_value(at).and_then(number);
            let name = format!("{sheet}!{}{}", letters(at.1 as usize), at.0 + 1);
            found.insert(name, value.map_or(Value::Null, |value| json!(value)));
        }
    }
    assert!(found.len() > 10, "formulas: {found:?}");
    found
}

/// The place of the row whose key is this on the price list sheet.
fn list_row(bytes: &[u8], key: &str) -> usize {
    let mut book: Xlsx<_> = open_workbook_from_rs(std::io::Cursor::new(bytes.to_vec())).expect("a workbook");
    let values = book.worksheet_range("Price list").expect("a sheet");
    let found = values.rows().position(|row| row[0].as_string().as_deref() == Some(key));
    found.expect("the key is listed") + 1
}

/// A job with material.
fn mulched() -> Yard {
    let mut yard = Yard::new();
    yard.talks(&[
        "mulch 38 a yard 25 min each",
        "6 yards mulch at Cedar Ln",
        "done 150 min",
    ]);
    yard
}

/// Six yards of mulch at 25 man-minutes and $38.00 of material each come to 6 x (25 / 60 x 120 + 38) = $528.00 today.
#[test]
fn todays_price_of_a_line_has_its_material_in_it() {
    let bytes = made(&mulched(), FileOf::Jobs, false, None);
    let mut book: Xlsx<_> = open_workbook_from_rs(std::io::Cursor::new(bytes)).expect("a workbook");
    let values = book.worksheet_range("jobs").expect("a sheet");
    let row = values.rows().nth(1).expect("a row");
    assert_eq!(row[4].as_string().as_deref(), Some("mulch"));
    assert_eq!(number(&row[18]), Some(528.0), "price now: {row:?}");
}

/// LibreOffice computes our workbook anew and comes to what the book came to: as it was written, after another rate,
/// after other minutes on the price list, and after other minutes in a job's own row. The figures to compare with are
/// those of the book itself after the same was said to it.
#[test]
fn a_spreadsheet_program_computes_the_same_when_figures_change() {
    let program = ["soffice", "libreoffice"].into_iter().find(|name| {
        let version = std::process::Command::new(name).arg("--version").output();
        version.is_ok_and(|output| output.status.success())
    });
    let (Some(python), Some(program)) = (peers::interpreter(), program) else {
        eprintln!("SKIPPED: LibreOffice or tests/peers/install.sh is not there; workbooks are not computed again");
        return;
    };
    let home = tempfile::TempDir::new().expect("a folder");
    let file = home.path().join("jobs.xlsx");
    let bytes = made(&season(), FileOf::Jobs, false, None);
    std::fs::write(&file, &bytes).expect("a file");
    let said = |words: &str| {
        let mut yard = season();
        yard.says(words);
        computed(&made(&yard, FileOf::Jobs, false, None))
    };
    let small = format!("Price list!E{}", list_row(&bytes, "crape myrtle|small"));
    // The first row is 12 small crapes at $120.00 an hour: at 8 minutes each 96 man-minutes and $192.00.
    let mut row = serde_json::Map::new();
    row.insert("jobs!M2".into(), json!(96));
    row.insert("jobs!N2".into(), json!(192));
    // 192 + 54 + 30 of set-up, 10% off, and 7% of what is left.
    row.insert("jobs!N5".into(), json!(-27.60));
    row.insert("jobs!N6".into(), json!(17.39));
    let mulch = home.path().join("mulch.xlsx");
    std::fs::write(&mulch, made(&mulched(), FileOf::Jobs, false, None)).expect("a file");
    let mut dearer = mulched();
    dearer.says("rate 150");
    let dearer = computed(&made(&dearer, FileOf::Jobs, false, None));
    let cases = json!([
        { "file": mulch, "changes": { "Price list!B1": 150 }, "expected": dearer },
        { "file": file, "changes": {}, "expected": computed(&bytes) },
        { "file": file, "changes": { "Price list!B1": 150 }, "expected": said("rate 150") },
        { "file": file, "changes": { (small): 8 }, "expected": said("crape myrtle small 8 min") },
        { "file": file, "changes": { "jobs!I2": 8 }, "expected": row },
    ]);
    peers::run(
        &python,
        "recompute.py",
        &[],
        &json!({ "program": program, "cases": cases }),
    );
}
