//! One table of the guide: a heading row, then rows of cells divided by tabs; lines that start with `#` are comments.

use super::{Error, Source};

/// A table.
pub(super) struct Table<'a> {
    file: &'static str,
    columns: Vec<&'a str>,
    rows: Vec<Vec<&'a str>>,
}

/// A row of it.
#[derive(Clone, Copy)]
pub(super) struct Row<'t> {
    table: &'t Table<'t>,
    cells: &'t [&'t str],
}

impl<'a> Table<'a> {
    pub(super) fn read(file: &'static str, text: &'a str) -> Self {
        let mut lines = text
            .lines()
            .filter(|line| !line.starts_with('#') && !line.trim().is_empty());
        let columns = lines.next().unwrap_or_default().split('\t').map(str::trim).collect();
        let rows = lines.map(|line| line.split('\t').map(str::trim).collect()).collect();
        Table { file, columns, rows }
    }

    pub(super) fn rows(&self) -> impl Iterator<Item = Row<'_>> {
        self.rows.iter().map(|cells| Row { table: self, cells })
    }
}

impl<'t> Row<'t> {
    /// A cell; empty when the row ends before it.
    pub(super) fn cell(&self, column: &'static str) -> Result<&'t str, Error> {
        let index = self.table.columns.iter().position(|name| *name == column);
        let index = index.ok_or(Error::Column {
            file: self.table.file,
            column,
        })?;
        Ok(self.cells.get(index).copied().unwrap_or_default())
    }

    /// A cell that must not be empty.
    pub(super) fn need(&self, column: &'static str) -> Result<&'t str, Error> {
        let cell = self.cell(column)?;
        if cell.is_empty() {
            return Err(self.unfit(column, cell));
        }
        Ok(cell)
    }

    /// A cell of things divided by `;`.
    pub(super) fn list(&self, column: &'static str) -> Result<Vec<String>, Error> {
        let things = self.cell(column)?.split(';').map(str::trim);
        Ok(things.filter(|thing| !thing.is_empty()).map(str::to_string).collect())
    }

    /// A cell read as something.
    pub(super) fn parsed<T>(&self, column: &'static str, read: impl Fn(&str) -> Option<T>) -> Result<T, Error> {
        let cell = self.cell(column)?;
        read(cell).ok_or_else(|| self.unfit(column, cell))
    }

    /// The row's source, with the day it was read.
    pub(super) fn source(&self, sources: &[&'static Source]) -> Result<&'static Source, Error> {
        self.read_on()?;
        let key = self.cell("source")?;
        if key.is_empty() {
            return Err(Error::NoSource {
                file: self.table.file,
                row: self.name(),
            });
        }
        let found = sources.iter().copied().find(|source| source.key == key);
        found.ok_or_else(|| Error::UnknownSource {
            file: self.table.file,
            row: self.name(),
            key: key.to_string(),
        })
    }

    /// The day the source was read, `2026-11-25`.
    pub(super) fn read_on(&self) -> Result<&'t str, Error> {
        let found = self.cell("read_on")?;
        let digits = |part: &str, count: usize| part.len() == count && part.bytes().all(|b| b.is_ascii_digit());
        let parts: Vec<&str> = found.split('-').collect();
        match parts.as_slice() {
            [year, month, day] if digits(year, 4) && digits(month, 2) && digits(day, 2) => Ok(found),
            _ => Err(Error::NotRead {
                file: self.table.file,
                row: self.name(),
                found: found.to_string(),
            }),
        }
    }

    /// The error for a row of the table of sources without a text.
    pub(super) fn without_source(&self) -> Error {
        Error::NoSource {
            file: self.table.file,
            row: self.name(),
        }
    }

    fn unfit(&self, column: &'static str, found: &str) -> Error {
        Error::Cell {
            file: self.table.file,
            row: self.name(),
            column,
            found: found.to_string(),
        }
    }

    fn name(&self) -> String {
        self.cells.first().copied().unwrap_or_default().to_string()
    }
}
