//! Objects of stored text: how fields are written and read back, with one error that names the field.
//!
//! Figures are stored as text, exactly as they print; a field that is not there is not written.

use std::{fmt::Display, str::FromStr};

use serde_json::{Map, Value};

use crate::journal::Error;

/// An object being written; fields without a value are left out.
#[derive(Debug, Default)]
pub(super) struct Written(Map<String, Value>);

impl Written {
    pub(super) fn new() -> Self {
        Written::default()
    }

    /// A value by its printed text.
    pub(super) fn put(mut self, field: &'static str, value: impl Display) -> Self {
        self.0.insert(field.to_string(), Value::String(value.to_string()));
        self
    }

    /// A value by its printed text, when there is one.
    pub(super) fn put_some(self, field: &'static str, value: Option<impl Display>) -> Self {
        match value {
            Some(value) => self.put(field, value),
            None => self,
        }
    }

    /// A flag; false is not written.
    pub(super) fn flag(mut self, field: &'static str, value: bool) -> Self {
        if value {
            self.0.insert(field.to_string(), Value::Bool(true));
        }
        self
    }

    /// An object or list.
    pub(super) fn nest(mut self, field: &'static str, value: Value) -> Self {
        self.0.insert(field.to_string(), value);
        self
    }

    /// A list of objects.
    pub(super) fn list<T>(self, field: &'static str, items: &[T], write: impl Fn(&T) -> Written) -> Self {
        let items = items.iter().map(|item| write(item).into_value()).collect();
        self.nest(field, Value::Array(items))
    }

    pub(super) fn into_value(self) -> Value {
        Value::Object(self.0)
    }
}

/// An object being read, of an event of some kind.
#[derive(Debug, Clone, Copy)]
pub(super) struct Form<'a> {
    kind: &'a str,
    value: &'a Value,
}

impl<'a> Form<'a> {
    pub(super) fn new(kind: &'a str, value: &'a Value) -> Self {
        Form { kind, value }
    }

    /// A field that must be there.
    pub(super) fn need<T: FromStr>(&self, field: &'static str) -> Result<T, Error> {
        self.maybe(field)?.ok_or_else(|| self.missing(field))
    }

    /// A field that may be there.
    pub(super) fn maybe<T: FromStr>(&self, field: &'static str) -> Result<Option<T>, Error> {
        let Some(text) = self.maybe_text(field)? else {
            return Ok(None);
        };
        text.parse().map(Some).map_err(|_| self.unfit(field, text))
    }

    /// Text that must be there.
    pub(super) fn text(&self, field: &'static str) -> Result<String, Error> {
        self.maybe_text(field)?
            .map(str::to_string)
            .ok_or_else(|| self.missing(field))
    }

    /// Text that may be there.
    pub(super) fn maybe_string(&self, field: &'static str) -> Result<Option<String>, Error> {
        Ok(self.maybe_text(field)?.map(str::to_string))
    }

    pub(super) fn flag(&self, field: &'static str) -> bool {
        self.value.get(field).and_then(Value::as_bool).unwrap_or(false)
    }

    /// An object that must be there.
    pub(super) fn inner(&self, field: &'static str) -> Result<Form<'a>, Error> {
        let value = self.value.get(field).ok_or_else(|| self.missing(field))?;
        Ok(Form { kind: self.kind, value })
    }

    /// A list of objects; a missing one is empty.
    pub(super) fn list<T>(
        &self,
        field: &'static str,
        read: impl Fn(Form<'a>) -> Result<T, Error>,
    ) -> Result<Vec<T>, Error> {
        let Some(value) = self.value.get(field) else {
            return Ok(Vec::new());
        };
        let items = value.as_array().ok_or_else(|| self.unfit(field, &value.to_string()))?;
        items
            .iter()
            .map(|value| read(Form { kind: self.kind, value }))
            .collect()
    }

    /// A list of printed values; a missing one is empty.
    pub(super) fn values<T: FromStr>(&self, field: &'static str) -> Result<Vec<T>, Error> {
        let Some(value) = self.value.get(field) else {
            return Ok(Vec::new());
        };
        let items = value.as_array().ok_or_else(|| self.unfit(field, &value.to_string()))?;
        items
            .iter()
            .map(|item| {
                let text = item.as_str().ok_or_else(|| self.unfit(field, &item.to_string()))?;
                text.parse().map_err(|_| self.unfit(field, text))
            })
            .collect()
    }

    /// The error for a field whose text is none of the words it may hold.
    pub(super) fn unfit(&self, field: &'static str, found: &str) -> Error {
        Error::Unfit {
            kind: self.kind.to_string(),
            field,
            found: found.to_string(),
        }
    }

    fn missing(&self, field: &'static str) -> Error {
        Error::Missing {
            kind: self.kind.to_string(),
            field,
        }
    }

    fn maybe_text(&self, field: &'static str) -> Result<Option<&'a str>, Error> {
        match self.value.get(field) {
            None | Some(Value::Null) => Ok(None),
            Some(Value::String(text)) => Ok(Some(text)),
            Some(other) => Err(self.unfit(field, &other.to_string())),
        }
    }
}

/// A list of values by their printed text.
pub(super) fn printed<T: Display>(items: &[T]) -> Value {
    Value::Array(items.iter().map(|item| Value::String(item.to_string())).collect())
}
