//! A class is a kind of work and a size: the smallest thing that has minutes of its own.
//!
//! What is believed of its minutes before any job is a [`Prior`]: a figure and how many units of experience that figure
//! is worth. Starter minutes, the owner's minutes and learned minutes are one thing seen at different weights.

use std::fmt::{Display, Formatter};

use super::amount::{ManMinutes, Units};
use super::error::Error;

/// A starter guess weighs as much as this many timed units (product decision, no source).
const STARTER_UNITS: f64 = 2.0;
/// The owner's own minutes weigh as much as this many timed units (product decision, no source).
const SET_UNITS: f64 = 5.0;
/// A unit of prior weight stands for at least this much work. A plant is a unit of experience, a square foot is not:
/// five square feet at a hundredth of a minute would say next to nothing, and every quote by area would be "0 to 5
/// hours".
const UNIT_MINUTES_MIN: f64 = 2.0;

/// A kind of work and its size, by the names of the account's price list.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ClassKey {
    service: String,
    size: String,
}

impl ClassKey {
    /// A kind that comes in sizes.
    pub fn sized(service: &str, size: &str) -> Self {
        ClassKey {
            service: service.to_owned(),
            size: size.to_owned(),
        }
    }

    /// A kind without sizes.
    pub fn plain(service: &str) -> Self {
        ClassKey::sized(service, "")
    }

    /// The kind of work.
    pub fn service(&self) -> &str {
        &self.service
    }

    /// The size, if the kind comes in sizes.
    pub fn size(&self) -> Option<&str> {
        if self.size.is_empty() { None } else { Some(&self.size) }
    }
}

impl Display for ClassKey {
    fn fmt(&self, formatter: &mut Formatter<'_>) -> std::fmt::Result {
        match self.size() {
            Some(size) => write!(formatter, "{} {size}", self.service),
            None => write!(formatter, "{}", self.service),
        }
    }
}

/// Where minutes come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Basis {
    /// The program's first guess.
    Starter,
    /// The owner said so.
    Set,
    /// The crew's own jobs and readings.
    Learned,
}

/// Minutes for one unit before any job is looked at, and what they are worth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Prior {
    minutes: f64,
    weight: f64,
    basis: Basis,
}

impl Prior {
    /// A starter guess, worth 2 units. [`Error::NoMinutes`] at zero.
    pub fn starter(class: &ClassKey, minutes: ManMinutes) -> Result<Self, Error> {
        Prior::new(class, minutes, STARTER_UNITS, Basis::Starter)
    }

    /// The owner's minutes, worth 5 units. [`Error::NoMinutes`] at zero.
    pub fn set(class: &ClassKey, minutes: ManMinutes) -> Result<Self, Error> {
        Prior::new(class, minutes, SET_UNITS, Basis::Set)
    }

    fn new(class: &ClassKey, minutes: ManMinutes, units: f64, basis: Basis) -> Result<Self, Error> {
        let minutes = minutes.get();
        if minutes <= 0.0 {
            return Err(Error::NoMinutes { class: class.clone() });
        }
        Ok(Prior {
            minutes,
            weight: units * (UNIT_MINUTES_MIN / minutes).max(1.0),
            basis,
        })
    }

    /// Man-minutes for one unit, above zero.
    pub fn minutes(&self) -> ManMinutes {
        ManMinutes::clamped(self.minutes)
    }

    /// How many timed units the figure is worth: 2 or 5, more where a unit is less than two minutes' work.
    pub fn weight(&self) -> Units {
        Units::computed(self.weight)
    }

    /// Starter or set.
    pub fn basis(&self) -> Basis {
        self.basis
    }

    /// How much is known, as a precision per unit of dispersion: one timed unit has variance dispersion x minutes, so
    /// `weight` of them have precision weight / minutes.
    pub(super) fn precision(&self) -> f64 {
        self.weight / self.minutes
    }
}

#[cfg(test)]
mod tests {
    use super::{Basis, ClassKey, Error, ManMinutes, Prior};

    fn minutes(value: f64) -> ManMinutes {
        ManMinutes::new(value).expect("a valid figure")
    }

    #[test]
    fn a_prior_is_worth_two_or_five_units_and_more_where_units_are_tiny() {
        let class = ClassKey::sized("holly", "small");
        let weight = |prior: Result<Prior, Error>| prior.map(|prior| prior.weight().get());
        assert_eq!(weight(Prior::starter(&class, minutes(6.0))), Ok(2.0));
        assert_eq!(weight(Prior::set(&class, minutes(6.0))), Ok(5.0));
        assert_eq!(weight(Prior::set(&class, minutes(2.0))), Ok(5.0));
        assert_eq!(weight(Prior::set(&class, minutes(0.01))), Ok(1000.0));
        assert_eq!(
            Prior::set(&class, minutes(0.0)),
            Err(Error::NoMinutes { class: class.clone() })
        );
        assert_eq!(
            Prior::starter(&class, minutes(6.0)).map(|prior| prior.basis()),
            Ok(Basis::Starter)
        );
    }

    #[test]
    fn a_class_is_named_by_kind_and_size() {
        assert_eq!(ClassKey::sized("holly", "small").to_string(), "holly small");
        assert_eq!(ClassKey::plain("mowing").to_string(), "mowing");
        assert_eq!(ClassKey::plain("mowing").size(), None);
    }
}
