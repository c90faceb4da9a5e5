//! The order in which the places of a day are driven to, changed by word.
//!
//! The times of the day stay what they are and the jobs change places on them: whoever comes first takes the earliest. Jobs
//! at one time go in the order in which their days were fixed, so each is fixed anew in the order said.

use chrono::NaiveDate;

use super::{
    ask::{Ask, Question},
    days,
    desk::{Desk, Worked},
    places,
    planning::{self, Jobs},
};
use crate::{
    journal::{Event, Hole, Item},
    language::{DaySaid, Expecting, PlaceSaid, Turn},
    units::{QuoteNo, Timestamp},
};

/// Puts places of a day in order, and shows the day.
pub(super) fn order(desk: &mut Desk<'_>, said: &[PlaceSaid], turn: Turn, day: Option<DaySaid>) -> Worked {
    let mut names = Vec::new();
    for (index, place) in said.iter().enumerate() {
        if let Some(chosen) = places::choose(desk, Item::Line(index), Some(place))? {
            names.push(chosen.name);
        }
    }
    let slot = desk.slot(Item::Whole, Hole::Quote);
    let today = days::today(desk);
    let day = match day {
        Some(day) => days::date(day, today),
        None => names.first().and_then(|name| day_of(desk, name, today)),
    };
    let first = names.first().cloned().unwrap_or_default();
    let Some(day) = day else {
        return Err(Ask::value(slot, Question::NotPlanned(first), Expecting::Nothing).into());
    };
    let planned: Vec<(QuoteNo, Option<String>, Timestamp)> = planning::on_days(desk, day, day)
        .into_iter()
        .filter(|entry| entry.status.is_active())
        .filter_map(|entry| Some((entry.no, entry.place.clone(), entry.planned?)))
        .collect();
    let mut times: Vec<Timestamp> = planned.iter().map(|(_, _, at)| *at).collect();
    times.sort_unstable();
    let mut named = Vec::new();
    for name in &names {
        let there = planned.iter().filter(|(_, place, _)| place.as_ref() == Some(name));
        let before = named.len();
        named.extend(there.map(|(no, ..)| *no));
        if named.len() == before {
            return Err(Ask::value(slot, Question::NotPlanned(name.clone()), Expecting::Nothing).into());
        }
    }
    let all: Vec<QuoteNo> = planned.iter().map(|(no, ..)| *no).collect();
    for (no, start) in ordered(&all, &named, turn).into_iter().zip(times) {
        desk.record(Event::JobPlanned { no, start });
    }
    planning::show_days(desk, day, day, Jobs::All);
    Ok(())
}

/// The coming day for which work at a place is planned.
fn day_of(desk: &Desk<'_>, place: &str, today: NaiveDate) -> Option<NaiveDate> {
    let planned = desk.book().quotes_at(place).filter(|entry| entry.status.is_active());
    let days = planned.filter_map(|entry| Some(days::local(desk, entry.planned?).date_naive()));
    days.filter(|day| *day >= today).min()
}

/// All with those that were named where they were said to come; the others keep their order.
fn ordered(all: &[QuoteNo], named: &[QuoteNo], turn: Turn) -> Vec<QuoteNo> {
    let moved = match turn {
        Turn::First | Turn::Last => named,
        Turn::Before => &named[..named.len().saturating_sub(1)],
    };
    let mut order: Vec<QuoteNo> = all.iter().copied().filter(|no| !moved.contains(no)).collect();
    let at = match turn {
        Turn::First => 0,
        Turn::Last => order.len(),
        Turn::Before => {
            let next = order.iter().position(|no| named.last() == Some(no));
            next.unwrap_or(order.len())
        }
    };
    order.splice(at..at, moved.iter().copied());
    order
}

#[cfg(test)]
mod tests {
    use super::{QuoteNo, Turn, ordered};

    #[test]
    fn those_named_change_places_and_the_others_keep_their_order() {
        let numbers = |list: &[u32]| list.iter().copied().map(QuoteNo::new).collect::<Vec<_>>();
        let all = numbers(&[1, 2, 3, 4]);
        for (named, turn, wanted) in [
            (&[3][..], Turn::First, [3, 1, 2, 4]),
            (&[4, 2], Turn::First, [4, 2, 1, 3]),
            (&[1], Turn::Last, [2, 3, 4, 1]),
            (&[4, 2], Turn::Before, [1, 4, 2, 3]),
            (&[1, 4], Turn::Before, [2, 3, 1, 4]),
        ] {
            assert_eq!(
                ordered(&all, &numbers(named), turn),
                numbers(&wanted),
                "{named:?} {turn:?}"
            );
        }
    }
}
