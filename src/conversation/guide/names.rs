//! Which plant is meant: the one that the words name, by spelling or sound, or the one being talked about.

use std::sync::LazyLock;

use super::super::desk::Desk;
use crate::{
    guide::{Plant, guide},
    language::{self, GuideAbout, GuideSaid, ServiceName, Vocabulary},
    units::Unit,
};

/// The plants' names and their everyday names, to be matched as kinds of a price list are.
static NAMES: LazyLock<Vocabulary> = LazyLock::new(|| {
    let name = |name: &str, aliases: Vec<String>| ServiceName {
        name: name.to_string(),
        aliases,
        unit: Unit::Each,
        sizes: Vec::new(),
        has_material: false,
    };
    let mut names: Vec<ServiceName> = guide()
        .plants
        .iter()
        .map(|plant| name(&plant.name, plant.also.clone()))
        .collect();
    for plant in &guide().plants {
        if let Some(group) = plant.group.as_deref()
            && !names.iter().any(|known| known.name == group)
        {
            names.push(name(group, Vec::new()));
        }
    }
    Vocabulary::new(names, Vec::new())
});

/// What is meant.
pub(super) enum Meant {
    /// A plant.
    One(&'static Plant),
    /// An everyday name of several.
    Group(Vec<&'static Plant>),
    /// A word that is no plant of the guide.
    Unknown(String),
    /// None was named and none is talked about.
    Nothing,
}

/// The plant or plants of a name that is in the guide.
fn of_name(name: &str) -> Option<Meant> {
    if let Some(plant) = guide()
        .plants
        .iter()
        .find(|plant| plant.name == name && plant.group.as_deref() != Some(name))
    {
        return Some(Meant::One(plant));
    }
    let group = guide().group(name);
    (!group.is_empty()).then_some(Meant::Group(group))
}

/// The plant that words name.
fn named_in(text: &str) -> Option<Meant> {
    let named = language::names_in(text, &NAMES);
    named.names.first().and_then(|name| of_name(name))
}

/// The plant of a kind of the price list; `None` for work that is no plant and for everyday names of several.
pub(super) fn plant_of(service: &str) -> Option<&'static Plant> {
    match named_in(service) {
        Some(Meant::One(plant)) => Some(plant),
        _ => None,
    }
}

/// The plant that a question is about.
pub(super) fn meant(desk: &Desk<'_>, said: &GuideSaid) -> Meant {
    let named = language::names_in(&said.words, &NAMES);
    if let Some(found) = named.names.first().and_then(|name| of_name(name)) {
        return found;
    }
    if let Some(kind) = &said.plant {
        return named_in(kind).unwrap_or_else(|| Meant::Unknown(kind.clone()));
    }
    if let Some(word) = named.unknown.first().filter(|_| !named.points) {
        return Meant::Unknown(word.clone());
    }
    let talk = desk.talk();
    let talked = talk.guide.plant.as_deref().and_then(of_name);
    let in_hand = || talk.services.iter().find_map(|service| named_in(service));
    let on_quote = || {
        let quote = desk.current_quote()?;
        quote.sheet.lines.iter().find_map(|line| named_in(&line.service))
    };
    talked.or_else(in_hand).or_else(on_quote).unwrap_or(Meant::Nothing)
}

/// What a message that nothing read asks of a plant: one that it names, when its words ask something of a plant, or go on
/// with what the guide was asked last.
pub(in crate::conversation) fn guess(desk: &Desk<'_>, text: &str) -> Option<GuideSaid> {
    let named = language::names_in(text, &NAMES);
    named.names.first().and_then(|name| of_name(name))?;
    let goes_on = || {
        let lower = text.to_lowercase();
        let opens = ["what about", "how about", "and "]
            .iter()
            .any(|words| lower.starts_with(words));
        let figures = text.chars().any(|letter| letter.is_ascii_digit());
        (desk.talk().guide.spoke_last && opens && !figures).then_some(GuideAbout::When(None))
    };
    let about = language::asked_of_a_plant(text).or_else(goes_on)?;
    Some(GuideSaid {
        about,
        plant: None,
        words: text.to_string(),
    })
}

/// Whether a text says a word that a caution hears.
pub(in crate::conversation) fn calls_up_a_caution(text: &str) -> bool {
    !guide().heard(text).is_empty()
}

/// Whether left-over words of a message were heard all the same: by a caution, or as a plant.
pub(in crate::conversation) fn is_heard(words: &str, clause: &str) -> bool {
    !guide().heard(clause).is_empty() || !language::names_in(words, &NAMES).names.is_empty()
}
