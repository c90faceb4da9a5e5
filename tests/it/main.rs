//! The integration crate: everything that a person or another program sees, through the front door.

mod language_dimensions;
mod pricing_notation;
mod pricing_quotes;
