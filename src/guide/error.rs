//! Why a table of the guide is refused: which file, which row, what was wrong.

/// A table that cannot be used.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Error {
    /// A column is not there.
    #[error("{file} has no column {column}")]
    Column {
        /// The table.
        file: &'static str,
        /// The column.
        column: &'static str,
    },
    /// A row does not say where it comes from.
    #[error("{file}, row \"{row}\": no source")]
    NoSource {
        /// The table.
        file: &'static str,
        /// The row's first cell.
        row: String,
    },
    /// A row names a source that there is not.
    #[error("{file}, row \"{row}\": no source is called {key}")]
    UnknownSource {
        /// The table.
        file: &'static str,
        /// The row's first cell.
        row: String,
        /// The name.
        key: String,
    },
    /// A row does not say when its source was read.
    #[error("{file}, row \"{row}\": \"{found}\" is not a day it was read on")]
    NotRead {
        /// The table.
        file: &'static str,
        /// The row's first cell.
        row: String,
        /// What stands there.
        found: String,
    },
    /// A cell does not hold what its column should.
    #[error("{file}, row \"{row}\": \"{found}\" is no {column}")]
    Cell {
        /// The table.
        file: &'static str,
        /// The row's first cell.
        row: String,
        /// The column.
        column: &'static str,
        /// What stands there.
        found: String,
    },
}
