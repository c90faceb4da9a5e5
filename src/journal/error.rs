//! What can be wrong with a stored event.

/// A stored event that does not decode.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// The payload is not JSON.
    #[error("payload of {kind} is not json")]
    NotJson {
        /// Kind of the event.
        kind: String,
        /// What the parser says.
        #[source]
        source: serde_json::Error,
    },
    /// A field is missing.
    #[error("field {field} of {kind} is missing")]
    Missing {
        /// Kind of the event.
        kind: String,
        /// The field.
        field: &'static str,
    },
    /// A field does not hold what it should.
    #[error("field {field} of {kind} holds {found}")]
    Unfit {
        /// Kind of the event.
        kind: String,
        /// The field.
        field: &'static str,
        /// What it holds.
        found: String,
    },
}
