//! A section that no word headed: is it a price asked for, an answer, or a figure of the account?

use super::Expecting;
use super::compose::Composer;
use super::meaning::{AnswerSaid, ClassSaid, Look, Meaning};
use super::rows;
use super::rules::day;
use super::section::{Item, Section};

impl Composer<'_, '_> {
    /// A section that no word headed.
    pub(super) fn plain(&mut self, mut section: Section) {
        rows::settle(&mut section, self.words);
        if section.has_lines() || self.is_unsaid_quote(&section) {
            self.quote(section);
        } else if let Some(count) = section.corrected_count().filter(|_| self.heard.is_empty()) {
            // "only 8": the count of what is talked about.
            section.items = vec![Item::Line(count, false)];
            self.make(section, false);
        } else if let Some(meaning) = self.single(&section) {
            self.push(meaning, section.span);
        } else {
            self.figures(section);
        }
    }

    /// A whole-job kind named alone, or kinds with a place or a crew, ask for a price.
    pub(super) fn is_unsaid_quote(&self, section: &Section) -> bool {
        let classes = section.classes();
        let timed = section
            .items
            .iter()
            .any(|i| matches!(i, Item::Minutes(Some(c), ..) if c.service.is_some()));
        if classes.is_empty() && !timed {
            return false;
        }
        let job = |class: &ClassSaid| self.words.vocabulary.is_job(class.service.as_deref());
        let located = section.place.is_some() || section.asks_price || section.crew.is_some_and(|(_, named)| !named);
        let has_time = timed
            || section
                .items
                .iter()
                .any(|i| matches!(i, Item::Minutes(..) | Item::Time(..) | Item::PriceEach(..)));
        let named = classes.iter().any(|class| class.service.is_some());
        // A size alone and a name count nothing ("big thanks from Mrs Tansy").
        let told = named || classes.iter().any(|class| class.unknown.is_some());
        if located && (told || timed) {
            return true;
        }
        named && !has_time && self.expecting == Expecting::Nothing && classes.iter().any(job)
    }

    /// A message that is one thing alone.
    fn single(&self, section: &Section) -> Option<Meaning> {
        let items: Vec<&Item> = section.items.iter().filter(|i| !matches!(i, Item::Stop(_))).collect();
        let bare = section.changes.is_empty() && section.extras.is_empty() && section.rate.is_none();
        if !bare {
            return None;
        }
        if let (Some(when), true, true) = (section.when, items.is_empty(), section.crew.is_none()) {
            let said_again = section.corrects_before;
            if when.day.is_some() && (section.place.is_some() || when.minute_of_day.is_some() || said_again) {
                return Some(Meaning::Plan {
                    place: section.place.clone(),
                    when,
                    moved: said_again,
                });
            }
            if let (None, Some(minute), true) = (when.day, when.minute_of_day, self.expecting == Expecting::Time) {
                return Some(Meaning::Answer(AnswerSaid::Time(minute)));
            }
            return when
                .day
                .filter(|_| when.minute_of_day.is_none() && self.quiet)
                .map(|day| Meaning::Look(Look::Day(day)));
        }
        let lone = section.place.is_none() && section.crew.is_none() && section.when.is_none();
        match items.as_slice() {
            [] if lone && section.money.len() == 1 => Some(Meaning::Answer(AnswerSaid::Money(section.money[0].0))),
            [] if section.crew.is_none() && section.money.is_empty() => section
                .place
                .clone()
                .map(|place| Meaning::Answer(AnswerSaid::Place(place))),
            [Item::Class(class)] if lone && self.quiet => Some(Meaning::Answer(AnswerSaid::Class(class.clone()))),
            [Item::Time(said, _)] if lone && self.names.is_empty() => Some(Meaning::Answer(AnswerSaid::Minutes(*said))),
            [Item::Minutes(None, said, ..)] if lone && self.expecting == Expecting::Minutes => {
                Some(Meaning::Answer(AnswerSaid::Minutes(*said)))
            }
            [Item::Clock(hours, minutes, _)] if lone && self.expecting == Expecting::Time => {
                day::minute_of_day(*hours, *minutes).map(|minute| Meaning::Answer(AnswerSaid::Time(minute)))
            }
            [Item::Bare(value, _)] if lone => Some(Meaning::Answer(AnswerSaid::Number(*value))),
            _ => None,
        }
    }
}
