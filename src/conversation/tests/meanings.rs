//! Short ways to make meanings.

use rust_decimal::Decimal;

use crate::language::{
    AnswerSaid, Change, ClassSaid, FinishSaid, LineSaid, Meaning, MinutesSaid, PlaceSaid, QuantitySaid, Setting, Span,
    WorkedSaid,
};

pub(super) fn class(service: Option<&str>, size: Option<&str>) -> ClassSaid {
    ClassSaid {
        service: service.map(str::to_string),
        size: size.map(str::to_string),
        ..ClassSaid::default()
    }
}

pub(super) fn minutes(value: i64) -> MinutesSaid {
    MinutesSaid {
        minutes: Decimal::from(value),
        range: None,
    }
}

/// A counted line.
pub(super) fn line(quantity: i64, service: Option<&str>, size: Option<&str>) -> LineSaid {
    LineSaid {
        quantity: QuantitySaid::Exact(Decimal::from(quantity)),
        class: class(service, size),
        unit: None,
        minutes_each: None,
        price_each: None,
        material_each: None,
        more: false,
        span: Span::default(),
    }
}

pub(super) fn quote(lines: Vec<LineSaid>) -> Meaning {
    Meaning::Quote {
        place: None,
        lines,
        changes: Vec::new(),
    }
}

pub(super) fn quote_at(place: &str, lines: Vec<LineSaid>) -> Meaning {
    Meaning::Quote {
        place: Some(at(place)),
        lines,
        changes: Vec::new(),
    }
}

/// A place that is written out.
pub(super) fn at(name: &str) -> PlaceSaid {
    PlaceSaid {
        name: name.to_string(),
        known: false,
        rivals: Vec::new(),
        quote: None,
        span: Span::default(),
    }
}

pub(super) fn revise(changes: Vec<Change>) -> Meaning {
    Meaning::Revise {
        changes,
        what_if: false,
        place: None,
    }
}

pub(super) fn what_if(changes: Vec<Change>) -> Meaning {
    Meaning::Revise {
        changes,
        what_if: true,
        place: None,
    }
}

pub(super) fn rate(rate: i64) -> Meaning {
    Meaning::Set(Setting::Rate {
        rate: Decimal::from(rate),
        class: None,
    })
}

/// Minutes for a kind and size.
pub(super) fn set_minutes(service: &str, size: Option<&str>, value: i64) -> Meaning {
    Meaning::Set(Setting::Service {
        class: class(Some(service), size),
        new: false,
        unit: None,
        minutes_each: Some(minutes(value)),
        material_each: None,
        price_each: None,
    })
}

/// Done in so many minutes on the clock.
pub(super) fn done(elapsed: i64) -> Meaning {
    Meaning::Finish(FinishSaid {
        worked: Some(WorkedSaid::Elapsed(minutes(elapsed))),
        ..FinishSaid::default()
    })
}

pub(super) fn won() -> Meaning {
    Meaning::Won {
        place: None,
        price: None,
    }
}

pub(super) fn undo(steps: u32) -> Meaning {
    Meaning::Undo { steps }
}

/// A choice by number.
pub(super) fn choice(number: i64) -> Meaning {
    Meaning::Answer(AnswerSaid::Number(Decimal::from(number)))
}
