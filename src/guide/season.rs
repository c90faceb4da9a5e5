//! May this plant be cut on this day, at this place?
//!
//! Rows are asked from near to far: those of the account's state, then those whose zones hold the account's, then the
//! rest, which are shown as what another place says. The first that speak of the day decide. When sources that stand
//! equally near say different things, the verdict is that they differ; when no row speaks of the day, nothing is said.
//! Closed seasons for a disease go before everything and are those of the state alone.

use super::{
    Guide, Plant, Source,
    calendar::{Dates, MonthDay, Zone},
};

/// What a row says of its dates.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Code {
    /// The best time.
    Best,
    /// Not critical.
    Fine,
    /// Only for damage and hazard.
    Avoid,
}

/// When a plant is cut, as one source says it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Window {
    /// The plant.
    pub plant: String,
    /// What is said.
    pub code: Code,
    /// Of which dates; none when it is said by bloom, growth or frost alone.
    pub dates: Dates,
    /// `after bloom`, `before growth` and the like.
    pub relative: Option<String>,
    /// The state it speaks of, two letters.
    pub state: Option<String>,
    /// The zones it speaks of.
    pub zones: Option<Zone>,
    /// What is said with it.
    pub note: String,
    /// Who says so.
    pub source: &'static Source,
}

/// What a row of the closed seasons says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Rule {
    /// No cuts then.
    Avoid,
    /// The safest time.
    Best,
    /// Wounds are painted.
    Paint,
}

/// A season closed for a disease.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Closed {
    /// `oak` or `elm`.
    pub plants: String,
    /// The disease.
    pub disease: String,
    /// The state.
    pub state: String,
    /// What is said.
    pub rule: Rule,
    /// Of which dates; none for a rule of the whole year.
    pub dates: Dates,
    /// What is said, with the place.
    pub text: String,
    /// Who says so.
    pub source: &'static Source,
}

/// Where the account works, as far as it was said.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Place {
    /// Two letters.
    pub state: Option<String>,
    /// The zone.
    pub zone: Option<Zone>,
    /// The average last frost.
    pub last_frost: Option<MonthDay>,
}

/// What may be said of a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Verdict {
    /// The best time.
    Best,
    /// Not critical.
    Fine,
    /// Only for damage and hazard.
    Avoid,
    /// A best time is known and this is not it.
    Outside,
    /// Closed for a disease.
    Closed,
    /// Sources differ.
    Differ,
    /// No source speaks of it.
    Unsaid,
}

/// How near the rows are that decided.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Near {
    /// The account's own state.
    State,
    /// Its zone.
    Zone,
    /// Another place, or none named.
    Elsewhere,
}

/// What may be said of a plant on a day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Season<'g> {
    /// The verdict.
    pub verdict: Verdict,
    /// How near the rows are that gave it.
    pub near: Near,
    /// The rows that gave it.
    pub rows: Vec<&'g Window>,
    /// The closed seasons of the state that speak of the day.
    pub closed: Vec<&'g Closed>,
}

impl Window {
    fn near(&self, place: &Place) -> Near {
        let same = self.state.is_some() && self.state == place.state;
        match (self.zones, place.zone) {
            _ if same => Near::State,
            (Some(own), Some(zone)) if own.meets(zone) => Near::Zone,
            _ => Near::Elsewhere,
        }
    }
}

impl Guide {
    /// The rows of a plant.
    pub fn windows_of<'g>(&'g self, plant: &'g Plant) -> impl Iterator<Item = &'g Window> {
        self.windows.iter().filter(|window| window.plant == plant.name)
    }

    /// The rows of a plant that matter at a place: the best times of the nearest rows, dated before undated.
    pub fn best_times<'g>(&'g self, plant: &'g Plant, place: &Place) -> Vec<&'g Window> {
        let best = || self.windows_of(plant).filter(|row| row.code != Code::Avoid);
        let dated = |row: &&Window| !row.dates.is_empty();
        let nearest = best().filter(dated).map(|row| row.near(place)).min();
        let mut rows: Vec<&Window> = best()
            .filter(|row| dated(row) && row.code == Code::Best && Some(row.near(place)) == nearest)
            .collect();
        rows.extend(best().filter(|row| !dated(row)));
        rows
    }

    /// Whether the times that are no dates cannot all hold: after bloom, and before growth or while dormant.
    pub fn relative_differ(&self, plant: &Plant) -> bool {
        let says = |wanted: &[&str]| {
            let mut relative = self.windows_of(plant).filter_map(|row| row.relative.as_deref());
            relative.any(|text| wanted.contains(&text))
        };
        says(&["after bloom"]) && says(&["before growth", "dormant", "late dormancy"])
    }

    /// The closed seasons that speak of a plant: oaks and elms.
    pub fn closed_of<'g>(&'g self, plant: &'g Plant) -> impl Iterator<Item = &'g Closed> {
        let group = plant.name.rsplit(' ').next().unwrap_or_default();
        self.closed.iter().filter(move |row| row.plants == group)
    }

    /// What may be said of a plant on a day.
    pub fn season<'g>(&'g self, plant: &'g Plant, day: MonthDay, place: &Place) -> Season<'g> {
        let closed: Vec<&Closed> = self
            .closed_of(plant)
            .filter(|row| place.state.as_deref() == Some(row.state.as_str()))
            .filter(|row| row.rule == Rule::Avoid && row.dates.contains(day))
            .collect();
        let (verdict, near, rows) = self.by_windows(plant, day, place);
        // While the state is not known, a day that is closed in one and open in another is not settled.
        let somewhere = |row: &Closed| row.rule == Rule::Avoid && row.dates.contains(day);
        let unsettled = place.state.is_none() && self.closed_of(plant).any(somewhere);
        let verdict = match verdict {
            _ if !closed.is_empty() => Verdict::Closed,
            Verdict::Best | Verdict::Fine if unsettled => Verdict::Differ,
            verdict => verdict,
        };
        Season {
            verdict,
            near: if closed.is_empty() { near } else { Near::State },
            rows,
            closed,
        }
    }

    fn by_windows<'g>(&'g self, plant: &'g Plant, day: MonthDay, place: &Place) -> (Verdict, Near, Vec<&'g Window>) {
        for near in [Near::State, Near::Zone, Near::Elsewhere] {
            let at = || self.windows_of(plant).filter(move |row| row.near(place) == near);
            let on: Vec<&Window> = at().filter(|row| row.dates.contains(day)).collect();
            if !on.is_empty() {
                return (verdict_of(&on), near, on);
            }
            let best: Vec<&Window> = at()
                .filter(|row| row.code == Code::Best && !row.dates.is_empty())
                .collect();
            if !best.is_empty() {
                return (Verdict::Outside, near, best);
            }
        }
        (Verdict::Unsaid, Near::Elsewhere, Vec::new())
    }
}

fn verdict_of(rows: &[&Window]) -> Verdict {
    let says = |code: Code| rows.iter().any(|row| row.code == code);
    match (says(Code::Avoid), says(Code::Best), says(Code::Fine)) {
        (true, false, false) => Verdict::Avoid,
        (true, ..) => Verdict::Differ,
        (false, true, _) => Verdict::Best,
        (false, false, true) => Verdict::Fine,
        (false, false, false) => Verdict::Unsaid,
    }
}
