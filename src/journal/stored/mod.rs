//! The stored form of events: kind, version, and a payload of text fields.
//!
//! Domain types are converted by hand, so that a rename in the code is not a change of the book. Every form has a version;
//! the samples in `fixtures/events/` keep one of each form ever written, and decoding lifts old forms. A kind or version
//! from a later program is kept as [`Event::Unknown`] and written back as it was.

mod facts;
mod form;
mod question;
mod rows;
mod settings;
mod sheet;

use std::borrow::Cow;

use serde_json::Value;

use self::form::Form;
use super::{Error, Event};

pub(super) use rows::{
    calendar_row, client_link_row, place_row, quote_row, service_row, settings_row, sight_row, talk_row, times_row,
};

/// Version of the forms that this program writes.
const VERSION: u32 = 1;

/// The stored form of an event: its kind, the version of the form, and its payload as JSON.
pub fn encode(event: &Event) -> (Cow<'static, str>, u32, String) {
    if let Event::Unknown { kind, version, payload } = event {
        return (Cow::Owned(kind.clone()), *version, payload.clone());
    }
    let (kind, written) = facts::write(event);
    (Cow::Borrowed(kind), VERSION, written.into_value().to_string())
}

/// The event of a stored form. A kind or version that this program does not know is kept as it is.
///
/// # Errors
/// When the form is known and the payload does not hold what it should.
pub fn decode(kind: &str, version: u32, payload: &str) -> Result<Event, Error> {
    let unknown = || Event::Unknown {
        kind: kind.to_string(),
        version,
        payload: payload.to_string(),
    };
    if version != VERSION || !facts::KINDS.contains(&kind) {
        return Ok(unknown());
    }
    let value: Value = serde_json::from_str(payload).map_err(|source| Error::NotJson {
        kind: kind.to_string(),
        source,
    })?;
    Ok(facts::read(kind, Form::new(kind, &value))?.unwrap_or_else(unknown))
}
