//! What the business costs: the build-up behind the rate.

use super::{
    answer::{CostsShown, Refused},
    ask::CostFigure,
};
use crate::{
    journal::{SettingSet, Settings},
    pricing::{
        Refusal,
        cost::{self, BuildUp},
    },
};

/// The build-up, when everything that it needs was said.
pub(super) fn build_up(settings: &Settings) -> Option<CostsShown> {
    shown(settings, &exact(settings)?).ok()
}

/// The build-up before rounding, to compare with.
pub(super) fn exact(settings: &Settings) -> Option<BuildUp> {
    cost::build_up(&settings.costs()).ok()
}

/// The figures that the build-up still needs.
pub(super) fn missing(settings: &Settings) -> Vec<CostFigure> {
    let mut missing = Vec::new();
    if settings.wage.is_none() {
        missing.push(CostFigure::Wage);
    }
    if settings.overhead.is_none() && settings.equipment.is_empty() {
        missing.push(CostFigure::Overhead);
    }
    if settings.billable_hours.is_none() {
        missing.push(CostFigure::BillableHours);
    }
    missing
}

/// The piece of equipment that words name: by its whole name, else the only one that has their words in it.
pub(super) fn equipment_named(settings: &Settings, said: &str) -> Result<String, Refused> {
    let names = || settings.equipment.iter().map(|thing| thing.name.as_str());
    if let Some(exact) = names().find(|name| *name == said) {
        return Ok(exact.to_string());
    }
    let has_all = |whole: &str, part: &str| {
        let words: Vec<&str> = whole.split_whitespace().collect();
        part.split_whitespace().all(|word| words.contains(&word))
    };
    let mut fitting = names().filter(|name| has_all(name, said) || has_all(said, name));
    match (fitting.next(), fitting.next()) {
        (Some(only), None) => Ok(only.to_string()),
        _ => Err(Refused::NoSuchEquipment {
            said: said.to_string(),
            known: names().map(str::to_string).collect(),
        }),
    }
}

/// Whether a figure belongs to the build-up.
pub(super) fn touches(figure: &SettingSet) -> bool {
    matches!(
        figure,
        SettingSet::Rate(_)
            | SettingSet::Wage(_)
            | SettingSet::Burden(_)
            | SettingSet::Overhead(_)
            | SettingSet::BillableHours(_)
            | SettingSet::Equipment(_)
            | SettingSet::EquipmentGone(_)
            | SettingSet::Margin(_)
    )
}

fn shown(settings: &Settings, exact: &BuildUp) -> Result<CostsShown, Refusal> {
    let margin = match settings.margin {
        Some(margin) => Some((margin, cost::markup_for_margin(margin)?)),
        None => None,
    };
    Ok(CostsShown {
        wage: settings.wage,
        burden: settings.burden,
        overhead_said: settings.overhead,
        hours_said: settings.billable_hours,
        margin,
        loaded_wage: exact.loaded_wage()?,
        overhead: exact.overhead_per_hour()?,
        equipment: exact.equipment_per_hour()?,
        break_even: exact.break_even()?,
        target: exact.target()?,
        rate: match settings.rate {
            Some(rate) => Some((rate, exact.margin_at(rate)?)),
            None => None,
        },
    })
}
