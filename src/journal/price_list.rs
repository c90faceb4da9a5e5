//! The price list: what kinds of work there are, in which sizes, and how many minutes one unit takes.
//!
//! Every book starts with a list of starter guesses, so the first message can be priced; whatever the owner says takes
//! its place. A figure remembers where it came from, since an answer has to say when it rests on a guess. A kind has one
//! class without a size, or a class for each size, or both when the owner made it so; a class is never there twice.

use crate::{
    pricing::Basis,
    units::{ManMinutes, RatePerManHour, Unit, UnitPrice},
};

/// A kind of work.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Service {
    /// Its name, singular, lower case.
    pub name: String,
    /// Other words for it.
    pub said: Vec<String>,
    /// What is counted.
    pub unit: Unit,
    /// Its own rate, where it differs from the account's.
    pub rate: Option<RatePerManHour>,
    /// Its classes, in the order they were made.
    pub classes: Vec<Class>,
    /// Whether it is sold with material, so that a price for each unit is taken for that.
    pub takes_material: bool,
    /// Where it stands on the list, from 0.
    pub order: usize,
    /// The owner has said something of it; else it is a starter guess throughout.
    pub touched: bool,
}

/// One size of a kind, or the kind itself when it has no sizes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Class {
    /// The size in the account's own word.
    pub size: Option<String>,
    /// Man-minutes for one unit; `None` when only a price is known.
    pub minutes_each: Option<ManMinutes>,
    /// Where the minutes came from.
    pub basis: Basis,
    /// Material for one unit.
    pub material_each: Option<UnitPrice>,
    /// Fixed price for one unit.
    pub price_each: Option<UnitPrice>,
}

/// What the owner said of a kind or a size; `None` leaves what was there.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ServiceSet {
    /// The kind; a new one is added at the end of the list.
    pub service: String,
    /// The size; `None` is the kind as a whole.
    pub size: Option<String>,
    /// What is counted.
    pub unit: Option<Unit>,
    /// Man-minutes for one unit.
    pub minutes_each: Option<ManMinutes>,
    /// Material for one unit; zero takes it away.
    pub material_each: Option<UnitPrice>,
    /// Fixed price for one unit; zero takes it away.
    pub price_each: Option<UnitPrice>,
    /// The kind's own rate.
    pub rate: Option<RatePerManHour>,
}

impl Service {
    /// The class of a size, or the one without a size.
    pub fn class(&self, size: Option<&str>) -> Option<&Class> {
        self.classes.iter().find(|class| class.size.as_deref() == size)
    }

    /// The classes that a count without a size could mean: the owner's own when he made two or more, else all.
    pub fn classes_offered(&self) -> Vec<&Class> {
        let own: Vec<&Class> = self
            .classes
            .iter()
            .filter(|class| class.basis != Basis::Starter)
            .collect();
        if own.len() >= 2 {
            own
        } else {
            self.classes.iter().collect()
        }
    }

    /// Whether the owner himself gave some class of it a figure.
    pub fn is_own(&self) -> bool {
        self.touched
    }

    /// Takes over what the owner said. Minutes for the kind as a whole put an end to starter sizes: his word replaces
    /// them all.
    pub(super) fn set(&mut self, said: &ServiceSet) {
        self.touched = true;
        if let Some(unit) = said.unit {
            self.unit = unit;
        }
        if let Some(rate) = said.rate {
            self.rate = Some(rate);
        }
        if said.minutes_each.is_none() && said.material_each.is_none() && said.price_each.is_none() {
            return;
        }
        let whole = said.size.is_none();
        if whole && said.minutes_each.is_some() {
            self.classes
                .retain(|class| class.size.is_none() || class.basis != Basis::Starter);
        }
        if self.class(said.size.as_deref()).is_none()
            && !(whole && said.minutes_each.is_none() && !self.classes.is_empty())
        {
            self.classes.push(Class::empty(said.size.clone()));
        }
        for class in &mut self.classes {
            let named = class.size == said.size;
            if named || (whole && said.minutes_each.is_none()) {
                class.set(said, named);
            }
        }
    }
}

impl Class {
    fn empty(size: Option<String>) -> Self {
        Class {
            size,
            minutes_each: None,
            basis: Basis::Set,
            material_each: None,
            price_each: None,
        }
    }

    fn set(&mut self, said: &ServiceSet, named: bool) {
        if let (Some(minutes), true) = (said.minutes_each, named) {
            self.minutes_each = Some(minutes);
            self.basis = Basis::Set;
        }
        if let Some(material) = said.material_each {
            self.material_each = (!material.is_zero()).then_some(material);
        }
        if let Some(price) = said.price_each {
            self.price_each = (!price.is_zero()).then_some(price);
        }
    }
}
