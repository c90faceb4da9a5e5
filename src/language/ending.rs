//! How a job ends: won, lost, done, as far as the words tell.

use super::compose::Composer;
use super::lexicon::Class;
use super::lines::assemble;
use super::meaning::{Doubt, FinishSaid, Meaning, MinutesSaid, PlaceSaid, Span, WorkedSaid};
use super::section::{Item, Section};

impl Composer<'_, '_> {
    /// The client said yes, perhaps at a price.
    pub(super) fn won(&mut self, price: Option<rust_decimal::Decimal>, section: &Section) {
        let bare = section.items.iter().find_map(|item| match item {
            Item::Bare(value, _) => Some(*value),
            Item::Pair(left, right, _) => Some((*left * 100 + *right).into()),
            _ => None,
        });
        let price = price.or(bare).or_else(|| section.money.first().map(|(m, _)| *m));
        self.push(
            Meaning::Won {
                place: section.place.clone(),
                price,
            },
            section.span,
        );
        self.planned(section, false);
    }

    /// `lost Cedar, too high`: the words before the reason may be a place.
    pub(super) fn place_of_reason(
        &self,
        place: Option<PlaceSaid>,
        reason: Option<String>,
    ) -> (Option<PlaceSaid>, Option<String>) {
        let (None, Some(text)) = (&place, &reason) else {
            return (place, reason);
        };
        let text = text.trim_start_matches([',', ' ']).to_string();
        let lower: Vec<String> = text
            .split([' ', ','])
            .filter(|w| !w.is_empty())
            .map(str::to_lowercase)
            .collect();
        let spelled: Vec<&str> = lower.iter().map(String::as_str).collect();
        let Some((count, index, _)) = self.words.vocabulary.places_spelled(&spelled).first().copied() else {
            return (place, reason);
        };
        let name = self.words.vocabulary.place(index).to_string();
        let rest = text
            .split([' ', ','])
            .filter(|w| !w.is_empty())
            .skip(count)
            .collect::<Vec<_>>()
            .join(" ");
        let said = PlaceSaid {
            name,
            known: true,
            rivals: Vec::new(),
            quote: None,
            span: Span::default(),
        };
        (Some(said), Some(rest).filter(|rest| !rest.is_empty()))
    }

    /// The work is done.
    pub(super) fn finish(&mut self, mut section: Section) {
        let mut worked = None;
        let mut items = Vec::new();
        for item in std::mem::take(&mut section.items) {
            match item {
                Item::Time(said, _) if worked.is_some() => {
                    items.push(Item::Bare(said.minutes, self.written(said.minutes, &section)));
                }
                Item::Time(said, true) => worked = Some(WorkedSaid::ManMinutes(said)),
                Item::Time(said, false) => worked = Some(WorkedSaid::Elapsed(said)),
                Item::Minutes(None, said, true, _) => worked = Some(WorkedSaid::EachPerson(said)),
                Item::Minutes(None, said, false, _) => worked = Some(WorkedSaid::Elapsed(said)),
                Item::Bare(minutes, _) if worked.is_none() => {
                    worked = Some(WorkedSaid::Elapsed(MinutesSaid { minutes, range: None }));
                }
                Item::Pair(hours, minutes, span) if worked.is_none() => {
                    self.doubt_pair(hours, minutes, span);
                }
                Item::Clock(hours, minutes, _) if worked.is_none() => {
                    let minutes = (hours * 60 + minutes).into();
                    worked = Some(WorkedSaid::Elapsed(MinutesSaid { minutes, range: None }));
                }
                other => items.push(other),
            }
        }
        if section.each_person
            && let Some(WorkedSaid::Elapsed(said)) = worked
        {
            worked = Some(WorkedSaid::EachPerson(said));
        }
        section.items = items;
        self.doubt_total(&section, worked.as_ref());
        self.doubt_added(&section);
        self.doubt_open_exception(&section);
        self.doubt_numbers(&section);
        let crew = section.crew.take().map(|(n, _)| n);
        let lines = assemble(&section, self.words);
        self.out.doubts.extend(lines.doubts);
        let said = FinishSaid {
            place: section.place,
            worked,
            crew,
            done: lines.lines,
            at: section.when,
        };
        self.push(Meaning::Finish(said), section.span);
    }

    /// `done 40 min, they added 2 azaleas`: on top of what was quoted, or all that was done?
    fn doubt_added(&mut self, section: &Section) {
        let span = section.span.unwrap_or_default();
        let words = self.words;
        let added = words.within(span).find(|at| words.is(*at, Class::ADDED));
        if let (Some(at), true) = (added, section.has_lines()) {
            self.out.doubts.push(Doubt::Either {
                words: words.lower(at).to_string(),
                choices: Vec::new(),
                span,
            });
        }
    }

    /// `1 hour 45 total for both guys`: what the two worked together, or how long they were there?
    fn doubt_total(&mut self, section: &Section, worked: Option<&WorkedSaid>) {
        let (Some(WorkedSaid::Elapsed(said)), Some((people, _))) = (worked, section.crew) else {
            return;
        };
        let span = section.span.unwrap_or_default();
        let text = &self.words.tokens.lower[span.start..span.end];
        let Some(word) = ["total", "combined", "altogether", "between us", "all told"]
            .iter()
            .find(|word| text.contains(**word))
        else {
            return;
        };
        if people < 2 {
            return;
        }
        let minutes = said.minutes.normalize();
        self.out.doubts.push(Doubt::Either {
            words: (*word).to_string(),
            choices: vec![
                format!("done {minutes} man-minutes with {people} guys"),
                format!("done {minutes} min each, {people} guys"),
            ],
            span,
        });
    }

    /// `done, one twenty`: an hour and twenty minutes, or a hundred and twenty?
    fn doubt_pair(&mut self, hours: u32, minutes: u32, span: Span) {
        let text = self.words.tokens.text;
        let with = |figure: u32| format!("{}{figure} min{}", &text[..span.start], &text[span.end..]);
        self.out.doubts.push(Doubt::Either {
            words: text[span.start..span.end].to_string(),
            choices: vec![with(hours * 60 + minutes), with(hours * 100 + minutes)],
            span,
        });
    }

    /// Where a figure of a section was written, as far as its digits tell.
    fn written(&self, figure: rust_decimal::Decimal, section: &Section) -> Span {
        let span = section.span.unwrap_or_default();
        let digits = figure.normalize().to_string();
        match self.words.tokens.text[span.start..span.end].rfind(&digits) {
            Some(at) => Span {
                start: span.start + at,
                end: span.start + at + digits.len(),
            },
            None => span,
        }
    }
}
