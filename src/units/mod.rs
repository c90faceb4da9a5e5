//! Values with units, and only the arithmetic that makes sense.
//!
//! A number with a unit never travels as a bare number: each unit is a type of its own, with a private field and a
//! constructor that checks the range. Operations are `checked_*`: they return an [`Error`] that names both operands and
//! never panic. Money is exact: [`Unrounded`] until its one rounding, [`Money`] in whole cents after it, and
//! [`RoundingPolicy`] is the only place that rounds. Nothing here knows messages, prices of services, or the book.

#![deny(clippy::float_arithmetic)]

mod bounded;
mod error;
mod hourly_cost;
mod ids;
mod legal;
mod money;
mod percent;
mod quantity;
mod rate;
mod rounding;
mod timestamp;
mod unit;
mod unit_price;
mod unrounded;
mod work;

pub use error::{Error, Figure, Measure, Operation};
pub use hourly_cost::HourlyCost;
pub use ids::{AccountId, ChatId, FileId, InboundId, MemberId, QuoteNo};
pub use money::Money;
pub use percent::Percent;
pub use quantity::Quantity;
pub use rate::{RateMade, RatePerManHour};
pub use rounding::RoundingPolicy;
pub use timestamp::Timestamp;
pub use unit::{Unit, UnknownUnit};
pub use unit_price::UnitPrice;
pub use unrounded::Unrounded;
pub use work::{Crew, Days, ManHours, ManMinutes, Minutes, Years};
