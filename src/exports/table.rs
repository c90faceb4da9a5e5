//! A table as comma-separated values, as RFC 4180 has them: a head line, CRLF after each row, quotes where needed.
//!
//! Spreadsheets take a cell that begins with `=`, `+`, `-` or `@` for a formula, and the account's own words may begin so.
//! Such words get an apostrophe before them (OWASP, "CSV Injection"); figures stay figures.

use std::borrow::Cow;

use super::Rendered;
use crate::conversation::{Cell, Table};

/// The file of a table.
pub(super) fn csv(table: &Table) -> Rendered {
    let mut writer = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .flexible(true)
        .from_writer(Vec::new());
    let head = table.columns.iter().map(|column| words(column).into_owned());
    write(&mut writer, head);
    for row in &table.rows {
        write(&mut writer, row.iter().map(cell));
    }
    Rendered {
        media_type: "text/csv; charset=utf-8",
        name: format!("{}.csv", table.name),
        bytes: writer.into_inner().expect("writing to memory does not fail"),
    }
}

fn write(writer: &mut csv::Writer<Vec<u8>>, cells: impl Iterator<Item = String>) {
    writer.write_record(cells).expect("writing to memory does not fail");
}

fn cell(cell: &Cell) -> String {
    match cell {
        Cell::Empty => String::new(),
        Cell::Text(text) => words(text).into_owned(),
        Cell::Number(number) => number.to_string(),
        Cell::Date(day) => day.to_string(),
        Cell::Formula { value, .. } => value.map_or_else(String::new, |value| value.to_string()),
    }
}

fn words(text: &str) -> Cow<'_, str> {
    if text.starts_with(['=', '+', '-', '@', '\t', '\r']) {
        Cow::Owned(format!("'{text}"))
    } else {
        Cow::Borrowed(text)
    }
}

#[cfg(test)]
mod tests {
    use rust_decimal::Decimal;

    use super::csv;
    use crate::conversation::{Cell, Table};

    fn file(rows: Vec<Vec<Cell>>) -> String {
        let table = Table {
            name: "owed".into(),
            columns: vec!["quote".into(), "place".into(), "owed".into()],
            rows,
        };
        String::from_utf8(csv(&table).bytes).expect("text")
    }

    /// The forms of RFC 4180, section 2: rules 1 (CRLF), 6 and 7 (quotes).
    #[test]
    fn commas_quotes_and_lines_stay_inside_their_cell() {
        let number = |cents| Cell::Number(Decimal::new(cents, 2));
        let text = file(vec![
            vec![
                number(100),
                Cell::Text("Alder Ct, \"back\"\ngate".into()),
                number(13300),
            ],
            vec![number(200), Cell::Empty, number(-5)],
        ]);
        assert_eq!(
            text,
            "quote,place,owed\r\n1.00,\"Alder Ct, \"\"back\"\"\ngate\",133.00\r\n2.00,,-0.05\r\n"
        );
    }

    #[test]
    fn words_never_become_formulas() {
        let text = file(vec![vec![
            Cell::Text("=1+1".into()),
            Cell::Text("@x".into()),
            Cell::Text("a=b".into()),
        ]]);
        assert!(text.ends_with("'=1+1,'@x,a=b\r\n"), "{text}");
    }
}
