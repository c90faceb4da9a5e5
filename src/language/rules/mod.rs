//! Rules for one dimension each: a number, a duration, a sum of money, a kind and size, a count, a crew, a place, a day.
//!
//! A rule looks at the words from a position on and says every way in which they can be a value of its dimension. It
//! decides nothing: which of the ways holds is found by the best cover of the whole message.

pub(super) mod class;
pub(super) mod count;
pub(super) mod crew;
pub(super) mod day;
pub(super) mod duration;
pub(super) mod money;
pub(super) mod number;
pub(super) mod place;
