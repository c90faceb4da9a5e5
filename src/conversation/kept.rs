//! What was kept with a place besides words: photos and other files, given out again when asked.

use super::{
    answer::{KeptShown, Part},
    ask::{Ask, Question},
    desk::{Desk, Worked},
    places,
};
use crate::{
    journal::{Hole, Item},
    language::{Expecting, PlaceSaid},
    units::FileId,
};

/// Files that go out with one answer at most; the newest.
const FILES_MAX: usize = 6;

/// Everything kept with a place and with the jobs there, oldest first.
pub(super) fn files_at(desk: &Desk<'_>, place: &str) -> Vec<FileId> {
    let mut found: Vec<FileId> = desk
        .book()
        .place(place)
        .map(|place| place.files.clone())
        .unwrap_or_default();
    let mut quotes: Vec<_> = desk.book().quotes_at(place).collect();
    quotes.reverse();
    for file in quotes.iter().flat_map(|entry| &entry.files) {
        if !found.contains(file) {
            found.push(file.clone());
        }
    }
    found
}

/// Gives out what was kept with a place, or with the one being talked about.
pub(super) fn show(desk: &mut Desk<'_>, place: Option<&PlaceSaid>) -> Worked {
    let chosen = places::choose(desk, Item::Whole, place)?.map(|place| place.name);
    let current = desk.current_quote().cloned();
    let here = chosen.or_else(|| current.as_ref().and_then(|entry| entry.place.clone()));
    let all = match (&here, current) {
        (Some(place), _) => files_at(desk, place),
        (None, Some(entry)) => entry.files,
        (None, None) => {
            let slot = desk.slot(Item::Whole, Hole::Place);
            return Err(Ask::value(slot, Question::NoQuote, Expecting::Nothing).into());
        }
    };
    let first = all.len().saturating_sub(FILES_MAX);
    desk.say(Part::Kept(KeptShown {
        place: here,
        count: all.len(),
        files: all[first..].to_vec(),
    }));
    Ok(())
}
