//! Meanings of the season that have a place, a time or people around them: who left or came, what is settled, what is
//! quoted again.

use super::compose::Composer;
use super::meaning::{ClockSaid, Look, Meaning, MembersSaid, PeopleSaid};
use super::phrases::Topic;
use super::section::Section;

impl Composer<'_, '_> {
    /// A stretch about something of the season.
    pub(super) fn about(&mut self, topic: Topic, section: &Section) {
        let place = section.place.clone();
        let meaning = match topic {
            Topic::Left | Topic::Came => {
                let people = self.people_named(section);
                let change = if topic == Topic::Left {
                    PeopleSaid::Left(people)
                } else {
                    PeopleSaid::Came(people)
                };
                let at = section.when;
                Meaning::Clock(ClockSaid::People { place, change, at })
            }
            Topic::Settled => Meaning::Settled { place },
            Topic::Again => Meaning::Again { place },
            Topic::Reminder => Meaning::Look(Look::Reminder(place)),
            Topic::Sees(show) => {
                let name = self.member_named(section);
                Meaning::Members(MembersSaid::Prices { name, show })
            }
            Topic::Quotes(allow) => {
                let name = self.member_named(section);
                Meaning::Members(MembersSaid::Quoting { name, allow })
            }
        };
        self.doubt_numbers(section);
        self.push(meaning, section.span);
    }

    /// The one who was named before; nobody when the whole crew was meant.
    fn member_named(&mut self, section: &Section) -> Option<String> {
        let before = section.span.unwrap_or_default();
        let named = self.names.iter().rev().find(|(_, name)| name.span.start <= before.end);
        let (name, span) = named.map(|(_, name)| (name.name.clone(), name.span))?;
        self.out.named.push(span);
        Some(name)
    }

    /// How many people were spoken of: as counted, else as many as there are names, else one.
    fn people_named(&mut self, section: &Section) -> u32 {
        let names = self.names.iter().map(|(_, name)| name.span);
        let before = section.span.unwrap_or_default();
        let names: Vec<_> = names.filter(|span| span.start <= before.end).collect();
        let count = u32::try_from(names.len()).unwrap_or(u32::MAX).max(1);
        self.out.named.extend(names);
        section.crew.map_or(count, |(people, _)| people)
    }
}
