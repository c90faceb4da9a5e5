//! A file that goes with an answer, as a value: everything needed to make it, and nothing of how it looks.

use rust_decimal::Decimal;

use super::Picture;

/// A file that goes with an answer.
#[derive(Debug, Clone, PartialEq)]
pub enum Attachment {
    /// Rows and columns, for a spreadsheet.
    Table(Table),
    /// Something drawn.
    Picture(Picture),
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
}
