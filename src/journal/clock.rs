//! The clock of a job: when how many people were at work.
//!
//! It is kept as marks with the time that each of them speaks of, in the order of those times. So a message that comes
//! late or out of order lands where it belongs, and what is worked out is the same as if all had come in time. Times are
//! instants: neither midnight nor a change of the clocks' hour adds or takes a minute.

use rust_decimal::Decimal;

use crate::units::{Crew, RoundingPolicy, Timestamp};

/// When the crew was at work.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Clock {
    marks: Vec<Mark>,
}

/// Something told of the clock.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Mark {
    /// When it was so.
    pub at: Timestamp,
    /// What.
    pub what: Told,
}

/// What was told of the clock.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Told {
    /// Work began or went on, with so many people when that was said.
    On(Option<Crew>),
    /// Work stopped for a while.
    Off,
    /// From then on so many people.
    People(Crew),
    /// Work was finished.
    End,
}

/// A stretch of work with the same people.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stretch {
    /// When it began.
    pub from: Timestamp,
    /// When it ended; `None` while it goes on.
    pub to: Option<Timestamp>,
    /// People, when said.
    pub crew: Option<Crew>,
}

impl Clock {
    /// The marks, by time.
    pub fn marks(&self) -> &[Mark] {
        &self.marks
    }

    /// The stretches of work, in order. Coming while work goes on begins nothing new, but says who has been there.
    pub fn stretches(&self) -> Vec<Stretch> {
        let mut done: Vec<Stretch> = Vec::new();
        let mut crew = None;
        for mark in &self.marks {
            let open = done.last_mut().filter(|last| last.to.is_none());
            match (mark.what, open) {
                (Told::On(people), None) => {
                    crew = people.or(crew);
                    done.push(Stretch {
                        from: mark.at,
                        to: None,
                        crew,
                    });
                }
                (Told::On(people), Some(open)) => {
                    crew = people.or(crew);
                    open.crew = crew;
                }
                (Told::Off | Told::End, Some(open)) => open.to = Some(mark.at),
                (Told::Off | Told::End, None) => {}
                (Told::People(people), open) => {
                    crew = Some(people);
                    if let Some(open) = open {
                        open.to = Some(mark.at);
                        done.push(Stretch {
                            from: mark.at,
                            to: None,
                            crew,
                        });
                    }
                }
            }
            if mark.what == Told::End {
                break;
            }
        }
        done
    }

    /// Whether work goes on.
    pub fn is_running(&self) -> bool {
        self.stretches().last().is_some_and(|last| last.to.is_none())
    }

    /// When work first began.
    pub fn began(&self) -> Option<Timestamp> {
        self.stretches().first().map(|first| first.from)
    }

    /// When the stretch that goes on began; nothing while the clock stands.
    pub fn running_since(&self) -> Option<Timestamp> {
        let stretches = self.stretches();
        stretches.last().filter(|last| last.to.is_none())?;
        let mut since = None;
        for (index, stretch) in stretches.iter().enumerate().rev() {
            since = Some(stretch.from);
            let before = index.checked_sub(1).and_then(|before| stretches.get(before));
            if before.is_none_or(|before| before.to != Some(stretch.from)) {
                break;
            }
        }
        since
    }

    /// The people there last, when said.
    pub fn crew(&self) -> Option<Crew> {
        self.stretches().last().and_then(|last| last.crew)
    }

    /// The most people that were there at once; those who were not counted are `otherwise`.
    pub fn most(&self, otherwise: Crew) -> Option<Crew> {
        self.stretches()
            .iter()
            .map(|stretch| stretch.crew.unwrap_or(otherwise))
            .max_by_key(|crew| crew.get())
    }

    /// Whether the number of people changed while work went on.
    pub fn crew_changed(&self) -> bool {
        let stretches = self.stretches();
        let first = stretches.first().and_then(|first| first.crew);
        stretches.iter().any(|stretch| stretch.crew != first)
    }

    /// Minutes on the clock up to a time, half up at the hundredth.
    pub fn minutes(&self, until: Timestamp) -> Decimal {
        minutes_of(self.stretches().iter().map(|stretch| seconds(stretch, until)).sum())
    }

    /// Man-minutes on the clock up to a time, half up at the hundredth; a stretch without people counts as `otherwise`.
    pub fn man_minutes(&self, until: Timestamp, otherwise: Crew) -> Decimal {
        let worked = |stretch: &Stretch| {
            let people = i64::from(stretch.crew.unwrap_or(otherwise).get());
            seconds(stretch, until) * people
        };
        minutes_of(self.stretches().iter().map(worked).sum())
    }

    /// Takes a mark to where it belongs; of several at one time, the one told last comes last.
    pub(super) fn put(&mut self, at: Timestamp, what: Told) {
        if what == Told::End {
            self.marks.retain(|mark| mark.what != Told::End);
        }
        let place = self.marks.partition_point(|mark| mark.at <= at);
        self.marks.insert(place, Mark { at, what });
    }

    /// What was told for one time was so at another.
    pub(super) fn correct(&mut self, was: Timestamp, is: Timestamp) {
        if let Some(index) = self.marks.iter().position(|mark| mark.at == was) {
            let mark = self.marks.remove(index);
            self.put(is, mark.what);
        }
    }
}

fn seconds(stretch: &Stretch, until: Timestamp) -> i64 {
    let to = stretch.to.map_or(until, |to| to.min(until));
    (to.unix_seconds() - stretch.from.unix_seconds()).max(0)
}

fn minutes_of(seconds: i64) -> Decimal {
    RoundingPolicy::HalfUp.places(Decimal::from(seconds) / Decimal::from(60), 2)
}

#[cfg(test)]
mod tests {
    use super::{Clock, Crew, Decimal, Timestamp, Told};

    fn at(text: &str) -> Timestamp {
        text.parse().expect("a time")
    }

    fn crew(people: u32) -> Crew {
        Crew::new(people).expect("a crew")
    }

    /// Marks told in any order come to the same.
    #[test]
    fn the_order_of_telling_does_not_matter() {
        let told = [
            (at("2026-01-12T14:00:00Z"), Told::On(Some(crew(3)))),
            (at("2026-01-12T18:00:00Z"), Told::Off),
            (at("2026-01-12T18:30:00Z"), Told::On(None)),
            (at("2026-01-12T20:00:00Z"), Told::People(crew(2))),
            (at("2026-01-12T21:00:00Z"), Told::End),
        ];
        let orders = [[0, 1, 2, 3, 4], [2, 0, 4, 1, 3], [4, 3, 2, 1, 0], [3, 0, 2, 4, 1]];
        for order in orders {
            let mut clock = Clock::default();
            for index in order {
                let (when, what) = told[index];
                clock.put(when, what);
            }
            // 240 + 90 minutes for 3 people, then 60 for 2.
            assert_eq!(clock.minutes(at("2026-01-13T00:00:00Z")), Decimal::from(390));
            assert_eq!(
                clock.man_minutes(at("2026-01-13T00:00:00Z"), Crew::ONE),
                Decimal::from(3 * 330 + 2 * 60)
            );
            assert!(clock.crew_changed());
            assert_eq!(clock.most(Crew::ONE), Some(crew(3)));
        }
    }

    #[test]
    fn a_time_told_wrong_is_put_right() {
        let mut clock = Clock::default();
        clock.put(at("2026-01-12T14:30:00Z"), Told::On(Some(crew(2))));
        clock.correct(at("2026-01-12T14:30:00Z"), at("2026-01-12T14:10:00Z"));
        assert_eq!(clock.running_since(), Some(at("2026-01-12T14:10:00Z")));
        assert_eq!(
            clock.man_minutes(at("2026-01-12T15:10:00Z"), Crew::ONE),
            Decimal::from(120)
        );
    }
}
