//! A counted thing as said, made into a line that can be priced: which kind, which size, how many, how many minutes.
//!
//! What the words leave open is settled by what is being talked about when that leaves one possibility, and asked
//! otherwise.

use rust_decimal::Decimal;

use super::{
    answer::What,
    ask::{Ask, Choice, Counted, Label, Question},
    desk::{Desk, Worked},
    figures,
};
use crate::{
    journal::{Fill, Hole, Item, Service},
    language::{ClassSaid, Expecting, LineSaid, QuantitySaid},
    pricing::{Basis, Effort, SheetLine},
    units::{ManMinutes, Quantity, Unit},
};

/// How many choices fit under a question on a phone.
const CHOICES_MAX: usize = 8;

/// A kind and size, settled.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Class {
    pub(super) service: String,
    pub(super) size: Option<String>,
}

/// Makes a line. `around` are the kinds that the line could be of when it names none, nearest first.
pub(super) fn resolve(desk: &Desk<'_>, item: Item, said: &LineSaid, around: &[String]) -> Worked<SheetLine> {
    if let (Some(words), None) = (&said.class.unknown, &said.class.service) {
        return unlisted(desk, item, said, words);
    }
    let class = resolve_class(desk, item, &said.class, &counted(said), around)?;
    let service = desk.book().service(&class.service).cloned();
    let Some(service) = service else {
        return unlisted(desk, item, said, &class.service);
    };
    let unit = resolve_unit(desk, item, said, &service)?;
    let quantity = resolve_quantity(desk, item, said, &class, unit)?;
    let known = service.class(class.size.as_deref());
    let price_each = match said.price_each {
        Some(price) => Some(figures::price_each(price)?),
        None => known.and_then(|known| known.price_each),
    };
    let material_each = match said.material_each {
        Some(material) => Some(figures::each(What::Material, material)?),
        None => known.and_then(|known| known.material_each),
    };
    let listed = known.and_then(|known| desk.book().minutes_of(&service, known));
    let (minutes_each, basis) = match (&said.minutes_each, listed) {
        (Some(minutes), _) => (figures::man_minutes(minutes.minutes)?, Basis::Said),
        (None, Some(listed)) => listed,
        (None, None) if price_each.is_some() => (ManMinutes::ZERO, Basis::Set),
        (None, None) => match desk.filled(desk.slot(item, Hole::Size)) {
            Some(Fill::Number(minutes)) => (figures::man_minutes(minutes)?, Basis::Said),
            _ => {
                let question = Question::MinutesUnknown(counted(said));
                (ask_minutes(desk, item, question)?, Basis::Said)
            }
        },
    };
    Ok(SheetLine {
        service: class.service,
        size: class.size,
        unit,
        quantity,
        effort: Effort::Each(minutes_each),
        rate: service.rate,
        material_each,
        price_each,
        basis,
    })
}

/// A thing that is not on the price list: priced on the minutes said, or asked for.
fn unlisted(desk: &Desk<'_>, item: Item, said: &LineSaid, words: &str) -> Worked<SheetLine> {
    let unit = said.unit.unwrap_or(Unit::Each);
    let class = Class {
        service: words.to_string(),
        size: said.class.size.clone(),
    };
    let price_each = said.price_each.map(figures::price_each).transpose()?;
    let minutes_each = match &said.minutes_each {
        Some(minutes) => figures::man_minutes(minutes.minutes)?,
        None if price_each.is_some() => ManMinutes::ZERO,
        None => ask_minutes(desk, item, Question::KindNotListed(counted(said)))?,
    };
    Ok(SheetLine {
        quantity: resolve_quantity(desk, item, said, &class, unit)?,
        service: class.service,
        size: class.size,
        unit,
        effort: Effort::Each(minutes_each),
        rate: None,
        material_each: said
            .material_each
            .map(|price| figures::each(What::Material, price))
            .transpose()?,
        price_each,
        basis: Basis::Said,
    })
}

fn ask_minutes(desk: &Desk<'_>, item: Item, question: Question) -> Worked<ManMinutes> {
    let slot = desk.slot(item, Hole::Minutes);
    match desk.filled(slot) {
        Some(Fill::Number(minutes)) => Ok(figures::man_minutes(minutes)?),
        _ => Err(Ask::value(slot, question, Expecting::Minutes).into()),
    }
}

/// The thing as it is spoken of in a question.
pub(super) fn counted(said: &LineSaid) -> Counted {
    Counted {
        quantity: match said.quantity {
            QuantitySaid::Exact(quantity) => Some(quantity),
            _ => None,
        },
        unit: said.unit,
        ..class_counted(&said.class)
    }
}

/// A kind as it is spoken of in a question.
pub(super) fn class_counted(class: &ClassSaid) -> Counted {
    Counted {
        quantity: None,
        unit: None,
        service: class.service.clone().or_else(|| class.unknown.clone()),
        size: class.size.clone(),
    }
}

/// Settles kind and size.
pub(super) fn resolve_class(
    desk: &Desk<'_>,
    item: Item,
    said: &ClassSaid,
    counted: &Counted,
    around: &[String],
) -> Worked<Class> {
    let service = resolve_kind(desk, item, said, counted, around)?;
    let counted = Counted {
        service: Some(service.clone()),
        ..counted.clone()
    };
    let size = resolve_size(desk, item, &service, said.size.as_deref(), &counted)?;
    Ok(Class { service, size })
}

/// Settles the kind.
pub(super) fn resolve_kind(
    desk: &Desk<'_>,
    item: Item,
    said: &ClassSaid,
    counted: &Counted,
    around: &[String],
) -> Worked<String> {
    let slot = desk.slot(item, Hole::Kind);
    if let Some(Fill::Kind(kind)) = desk.filled(slot) {
        return Ok(kind);
    }
    if let Some(service) = &said.service {
        if said.rivals.is_empty() {
            return Ok(service.clone());
        }
        let choices = std::iter::once(service).chain(&said.rivals).take(CHOICES_MAX);
        let choices = choices.map(|kind| Choice::kind(kind)).collect();
        return Err(Ask::choice(slot, Question::WhichOfKinds(counted.clone()), choices).into());
    }
    let fits = |service: &Service| match &said.size {
        Some(size) => service.class(Some(size)).is_some(),
        None => true,
    };
    let mut near: Vec<String> = Vec::new();
    for name in around {
        if desk.book().service(name).is_some_and(fits) && !near.contains(name) {
            near.push(name.clone());
        }
    }
    if near.is_empty() {
        near = kinds_that_fit(desk, fits);
    }
    match near.as_slice() {
        [only] => Ok(only.clone()),
        _ => {
            let choices = near.iter().take(CHOICES_MAX).map(|kind| Choice::kind(kind)).collect();
            Err(Ask::choice(slot, Question::WhichKind(counted.clone()), choices).into())
        }
    }
}

/// The kinds of the list that fit: the owner's own, or all when none of his own does.
fn kinds_that_fit(desk: &Desk<'_>, fits: impl Fn(&Service) -> bool) -> Vec<String> {
    let all: Vec<&Service> = desk
        .book()
        .services()
        .into_iter()
        .filter(|service| fits(service))
        .collect();
    let own: Vec<&Service> = all.iter().copied().filter(|service| service.is_own()).collect();
    let list = if own.is_empty() { all } else { own };
    list.into_iter().map(|service| service.name.clone()).collect()
}

/// Settles the size of a kind.
pub(super) fn resolve_size(
    desk: &Desk<'_>,
    item: Item,
    service: &str,
    said: Option<&str>,
    counted: &Counted,
) -> Worked<Option<String>> {
    let slot = desk.slot(item, Hole::Size);
    match desk.filled(slot) {
        Some(Fill::Size(size)) => return Ok(size),
        // Its minutes were said: it is a size of its own.
        Some(Fill::Number(_)) if said.is_some() => return Ok(said.map(str::to_string)),
        _ => {}
    }
    let Some(entry) = desk.book().service(service) else {
        return Ok(said.map(str::to_string));
    };
    let offered = entry.classes_offered();
    if said.is_some() && entry.class(said).is_some() && !passed_over(entry, said) {
        return Ok(said.map(str::to_string));
    }
    let question = match (said, offered.as_slice()) {
        (None, [only]) => return Ok(only.size.clone()),
        (None, []) => return Ok(None),
        (Some(size), []) => return Ok(Some(size.to_string())),
        (None, _) => Question::WhichSize(counted.clone()),
        (Some(_), _) => Question::SizeNotListed(counted.clone()),
    };
    let choices = offered.iter().take(CHOICES_MAX);
    let choices = choices
        .map(|class| Choice::size(service, class.size.as_deref()))
        .collect();
    Err(Ask::choice(slot, question, choices).into())
}

/// The order of the sizes that the starter list knows.
const SIZES: [&str; 4] = ["small", "medium", "large", "xl"];

/// Whether the owner made figures for a smaller and for a larger size and passed this one over: he does not do it, and the
/// starter list's guess for it is not his.
fn passed_over(service: &Service, size: Option<&str>) -> bool {
    let rank = |size: Option<&str>| SIZES.iter().position(|known| Some(*known) == size);
    let guessed = service.class(size).is_some_and(|class| class.basis == Basis::Starter);
    let Some(here) = rank(size).filter(|_| guessed) else {
        return false;
    };
    let own = || service.classes.iter().filter(|class| class.basis != Basis::Starter);
    let ranks = || own().filter_map(|class| rank(class.size.as_deref()));
    ranks().any(|other| other < here) && ranks().any(|other| other > here)
}

/// What is counted; a unit said that is not the list's would price something else.
fn resolve_unit(desk: &Desk<'_>, item: Item, said: &LineSaid, service: &Service) -> Worked<Unit> {
    let listed = service.unit;
    let same = match said.unit {
        None | Some(Unit::Each) => said.unit.is_none() || matches!(listed, Unit::Each | Unit::Job),
        Some(unit) => unit == listed || (unit == Unit::Job && listed == Unit::Each),
    };
    if same || said.minutes_each.is_some() {
        return Ok(if same { listed } else { said.unit.unwrap_or(listed) });
    }
    match desk.filled(desk.slot(item, Hole::Quantity)) {
        Some(Fill::Number(_)) => Ok(listed),
        _ => {
            let counted = Counted {
                quantity: None,
                unit: Some(listed),
                ..counted(said)
            };
            Err(Ask::value(
                desk.slot(item, Hole::Quantity),
                Question::HowMany(counted),
                Expecting::Count,
            )
            .into())
        }
    }
}

/// Settles how many. A whole job named alone is one.
pub(super) fn resolve_quantity(
    desk: &Desk<'_>,
    item: Item,
    said: &LineSaid,
    class: &Class,
    unit: Unit,
) -> Worked<Quantity> {
    let slot = desk.slot(item, Hole::Quantity);
    let ask = || {
        let counted = Counted {
            quantity: None,
            unit: Some(unit),
            service: Some(class.service.clone()),
            size: class.size.clone(),
        };
        Ask::value(slot, Question::HowMany(counted), Expecting::Count)
    };
    let quantity = match (desk.filled(slot), &said.quantity) {
        (Some(Fill::Number(number)), _) => number,
        (_, QuantitySaid::Exact(quantity)) => *quantity,
        (_, QuantitySaid::Unsaid) if unit == Unit::Job => Decimal::ONE,
        (_, QuantitySaid::Unsaid | QuantitySaid::Vague(_) | QuantitySaid::Between(..)) => return Err(ask().into()),
    };
    Ok(figures::quantity(quantity)?)
}

/// A line of a sheet as it is spoken of, without its count.
pub(super) fn counted_of(line: &SheetLine) -> Counted {
    Counted {
        quantity: None,
        unit: Some(line.unit),
        service: Some(line.service.clone()),
        size: line.size.clone(),
    }
}

/// A line of a sheet as it is spoken of, with a count.
pub(super) fn counted_line(line: &SheetLine, quantity: Decimal) -> Counted {
    Counted {
        quantity: Some(quantity),
        ..counted_of(line)
    }
}

/// The label of a line of a quote as a choice.
pub(super) fn line_choice(index: usize, line: &SheetLine) -> Choice {
    Choice {
        label: Label::Line(counted_line(line, line.quantity.get())),
        fill: Fill::Line(index),
    }
}
