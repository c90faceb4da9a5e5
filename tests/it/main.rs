//! The integration crate: everything that a person or another program sees, through the front door.

mod book;
mod callback;
mod command_line;
mod crash;
mod disk;
mod language_dimensions;
mod language_messages;
mod main_line;
mod page;
mod pricing_backwards;
mod pricing_costs;
mod pricing_decimals;
mod pricing_notation;
mod pricing_properties;
mod pricing_quotes;
mod pricing_references;
mod pricing_starter;
mod readme;
mod signed;
mod simulation;
mod support;
mod talk;
mod tidy;
mod timing_calibration;
mod timing_model;
mod timing_reference;
