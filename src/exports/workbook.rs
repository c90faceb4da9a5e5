//! Sheets with live formulas, as an XLSX workbook.
//!
//! Every formula carries the value that the book came to, so that a reader that does not compute shows the right figures,
//! and one that does comes to the same. A decimal becomes the nearest binary figure, which is what the format holds; money
//! with cents is far inside what that tells apart.

use rust_decimal::{Decimal, prelude::ToPrimitive};
use rust_xlsxwriter::{DocProperties, ExcelDateTime, Format, Formula, Workbook as Book, Worksheet, XlsxError};

use super::Rendered;
use crate::conversation::{Cell, Table, Workbook};

/// Widest column that is made, in characters.
const WIDTH_MAX: f64 = 40.0;

/// The file of a workbook.
pub(super) fn xlsx(workbook: &Workbook) -> Rendered {
    Rendered {
        media_type: "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
        name: format!("{}.xlsx", workbook.name),
        bytes: write(workbook).expect("tables of the book fit into a sheet"),
    }
}

fn write(workbook: &Workbook) -> Result<Vec<u8>, XlsxError> {
    let mut book = Book::new();
    // The time of making would make each file another one.
    let made = ExcelDateTime::from_ymd(2000, 1, 1)?;
    book.set_properties(&DocProperties::new().set_creation_datetime(&made));
    for table in &workbook.sheets {
        let sheet = book.add_worksheet();
        sheet.set_name(sheet_name(&table.name))?;
        fill(sheet, table)?;
    }
    book.save_to_buffer()
}

/// A sheet's name, which may have 31 letters.
fn sheet_name(name: &str) -> String {
    name.chars().take(31).collect()
}

fn fill(sheet: &mut Worksheet, table: &Table) -> Result<(), XlsxError> {
    let bold = Format::new().set_bold();
    let day = Format::new().set_num_format("yyyy-mm-dd");
    let mut widths = Vec::new();
    for (column, head) in (0_u16..).zip(&table.columns) {
        widen(&mut widths, column, head.chars().count());
        // A head that is a figure is one: the account's rate stands there.
        match head.parse::<f64>() {
            Ok(figure) => sheet.write_number_with_format(0, column, figure, &bold)?,
            Err(_) => sheet.write_string_with_format(0, column, head, &bold)?,
        };
    }
    for (row, cells) in (1_u32..).zip(&table.rows) {
        for (column, cell) in (0_u16..).zip(cells) {
            widen(&mut widths, column, width(cell));
            match cell {
                Cell::Empty => continue,
                Cell::Text(text) => sheet.write_string(row, column, text)?,
                Cell::Number(number) => sheet.write_number(row, column, float(*number))?,
                Cell::Date(date) => {
                    let date = ExcelDateTime::parse_from_str(&date.format("%Y-%m-%d").to_string())?;
                    sheet.write_datetime_with_format(row, column, &date, &day)?
                }
                Cell::Formula { formula, value } => {
                    let result = value.map_or_else(String::new, |value| value.normalize().to_string());
                    sheet.write_formula(row, column, Formula::new(format!("={formula}")).set_result(result))?
                }
            };
        }
    }
    for (column, width) in (0_u16..).zip(widths) {
        sheet.set_column_width(column, width)?;
    }
    sheet.set_freeze_panes(1, 0)?;
    Ok(())
}

fn widen(widths: &mut Vec<f64>, column: u16, letters: usize) {
    let column = usize::from(column);
    if widths.len() <= column {
        widths.resize(column + 1, 6.0);
    }
    let wanted = letters.to_f64().unwrap_or(WIDTH_MAX) + 2.0;
    widths[column] = widths[column].max(wanted.min(WIDTH_MAX));
}

/// Letters that a cell shows.
fn width(cell: &Cell) -> usize {
    match cell {
        Cell::Empty => 0,
        Cell::Text(text) => text.chars().count(),
        Cell::Number(number) => number.to_string().len(),
        Cell::Date(_) => 10,
        Cell::Formula { value, .. } => value.map_or(0, |value| value.to_string().len()),
    }
}

fn float(value: Decimal) -> f64 {
    value.to_f64().unwrap_or_default()
}
