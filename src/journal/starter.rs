//! The price list that a new book begins with, as entries of the book.

use std::sync::{Arc, LazyLock};

use imbl::OrdMap;

use super::price_list::{Class, Service};
use crate::{
    pricing::{
        Basis,
        starter::{Starter, StarterClass, StarterKind, starter},
    },
    units::RatePerManHour,
};

/// Read once: every book begins with the same figures.
static STARTER: LazyLock<(RatePerManHour, OrdMap<String, Arc<Service>>)> = LazyLock::new(|| {
    let Starter { card, kinds } = starter();
    let services = kinds
        .into_iter()
        .enumerate()
        .map(|(order, kind)| (kind.name.clone(), Arc::new(service(order, kind))))
        .collect();
    (card.rate, services)
});

/// The starter price list.
pub(super) fn services() -> OrdMap<String, Arc<Service>> {
    STARTER.1.clone()
}

/// The rate that quotes use until the owner gives one.
pub(super) fn rate() -> RatePerManHour {
    STARTER.0
}

fn service(order: usize, kind: StarterKind) -> Service {
    let class = |class: StarterClass| Class {
        size: class.size,
        minutes_each: Some(class.minutes_each),
        basis: Basis::Starter,
        material_each: None,
        price_each: None,
    };
    Service {
        name: kind.name,
        said: kind.said,
        unit: kind.unit,
        rate: None,
        classes: kind.classes.into_iter().map(class).collect(),
        takes_material: kind.takes_material,
        order,
        touched: false,
    }
}
