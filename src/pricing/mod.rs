//! What does this work cost, and why?
//!
//! A [`Sheet`] is everything that a price depends on, as values; [`quote`] turns it into a [`Quote`] whose shown
//! figures add up: lines + extras = subtotal, subtotal - discount = price before tax, price before tax + tax = total.
//! The rules are in [`rules`], each in its own file, listed once in the order they apply; each leaves a [`SumStep`], so
//! that the whole sum can be told again. [`solve`] works backwards from a price, a time or a rate; [`cost`] builds the
//! rate that a business needs from what it pays; [`starter`] has the figures that a new book begins with.
//!
//! Everything here is exact and pure: no clock, no floats, no knowledge of messages, people or a database. A sheet that
//! makes no sense is refused with a typed [`Refusal`]; the words for it are made elsewhere.

#![deny(clippy::float_arithmetic)]

pub mod cost;
mod explain;
mod quote;
mod refusal;
pub mod rules;
mod sheet;
pub mod solve;
mod spread;
pub mod starter;

pub use explain::SumStep;
pub use quote::{Extra, ExtraWhat, Quote, QuoteLine};
pub use refusal::{AmountOf, CostPart, PercentOf, Refusal};
pub use rules::quote;
pub use sheet::{Basis, Discount, Effort, FeeKind, Material, Sheet, SheetLine, Step, Tax};
pub use spread::spread;
