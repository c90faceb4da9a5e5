//! The integration crate: everything that a person or another program sees, through the front door.

mod language_dimensions;
mod pricing_backwards;
mod pricing_costs;
mod pricing_decimals;
mod pricing_notation;
mod pricing_properties;
mod pricing_quotes;
mod pricing_references;
mod pricing_starter;
