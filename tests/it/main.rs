//! The integration crate: everything that a person or another program sees, through the front door.

mod pricing_notation;
mod pricing_quotes;
mod language_dimensions;
