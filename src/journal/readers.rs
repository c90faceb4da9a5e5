//! Who else may look: private addresses of the calendar, who of the crew sees prices, and who of them may make one.

use std::collections::BTreeMap;

use super::book::Book;
use crate::units::MemberId;

/// A private address of the calendar.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CalendarLink {
    /// Whose.
    pub member: MemberId,
    /// Whether it has ended.
    pub shut: bool,
}

/// Who of the crew may do something: see prices, or make quotes.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct Sight {
    /// Those of whom nothing was said.
    pub(super) crew: bool,
    /// Those of whom something was said, by name in lower case.
    pub(super) by_name: BTreeMap<String, bool>,
    /// Something was said at all.
    pub(super) said: bool,
}

impl Book {
    /// Whether somebody of the crew may see prices.
    pub fn shows_prices_to(&self, name: &str) -> bool {
        self.sight.holds_for(name) || self.lets_quote(name)
    }

    /// Whether somebody of the crew may make and change quotes.
    pub fn lets_quote(&self, name: &str) -> bool {
        self.quoting.holds_for(name)
    }

    /// Whose calendar has a secret of this hash; `None` when it ended or never was.
    pub fn member_of_calendar(&self, hash: &str) -> Option<MemberId> {
        let link = self.calendars.get(hash)?;
        (!link.shut).then_some(link.member)
    }

    /// Whether a member has an address of the calendar.
    pub fn has_calendar(&self, member: MemberId) -> bool {
        self.calendars.values().any(|link| link.member == member && !link.shut)
    }

    /// The hashes of all addresses that a member was ever given.
    pub(super) fn calendars_of(&self, member: MemberId) -> impl Iterator<Item = &String> {
        let of_member = move |(_, link): &(&String, &CalendarLink)| link.member == member;
        self.calendars.iter().filter(of_member).map(|(hash, _)| hash)
    }

    pub(super) fn open_calendar(&mut self, member: MemberId, hash: &str) {
        self.shut_calendar(member);
        let link = CalendarLink { member, shut: false };
        self.calendars.insert(hash.to_string(), link);
    }

    pub(super) fn shut_calendar(&mut self, member: MemberId) {
        let hashes: Vec<String> = self.calendars_of(member).cloned().collect();
        for hash in hashes {
            self.calendars.insert(hash, CalendarLink { member, shut: true });
        }
    }
}

impl Sight {
    /// Whether somebody may.
    fn holds_for(&self, name: &str) -> bool {
        let said = self.by_name.get(&name.to_lowercase()).copied();
        said.unwrap_or(self.crew)
    }

    /// The whole crew, or one of them, may or may not. What is said of all holds for each.
    pub(super) fn say(&mut self, name: Option<&str>, show: bool) {
        self.said = true;
        match name {
            Some(name) => {
                self.by_name.insert(name.to_lowercase(), show);
            }
            None => {
                self.crew = show;
                self.by_name.clear();
            }
        }
    }
}
