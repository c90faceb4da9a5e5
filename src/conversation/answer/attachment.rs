//! A file that goes with an answer, as a value: everything needed to make it, and nothing of how it looks.

use chrono::NaiveDate;
use rust_decimal::Decimal;

use super::Picture;

/// A file that goes with an answer.
#[derive(Debug, Clone, PartialEq)]
pub enum Attachment {
    /// Rows and columns, as text that any program takes.
    Table(Table),
    /// Sheets with live formulas.
    Workbook(Workbook),
    /// Something drawn.
    Picture(Picture),
}

/// Sheets in one file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Workbook {
    /// What the file is called, without an ending.
    pub name: String,
    /// The sheets, in order.
    pub sheets: Vec<Table>,
}

/// Rows and columns.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Table {
    /// What the file is called, without an ending.
    pub name: String,
    /// The heads of the columns.
    pub columns: Vec<String>,
    /// The rows, each with a cell for every column.
    pub rows: Vec<Vec<Cell>>,
}

/// A cell of a table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Cell {
    /// Nothing.
    Empty,
    /// Words.
    Text(String),
    /// A figure, exact.
    Number(Decimal),
    /// A day.
    Date(NaiveDate),
    /// A figure that follows from other cells of the same workbook.
    Formula {
        /// How, as a spreadsheet writes it, without the equals sign; rows and columns count the head line as row 1.
        formula: String,
        /// What it comes to with the cells as they are; `None` for nothing.
        value: Option<Decimal>,
    },
}

impl Cell {
    /// A figure that follows from other cells.
    pub(in crate::conversation) fn formula(formula: String, value: Option<Decimal>) -> Cell {
        Cell::Formula { formula, value }
    }
}
