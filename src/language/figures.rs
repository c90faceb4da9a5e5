//! What a stretch without a count sets: rows of the price list, and figures of the account.
//!
//! Kinds with minutes or prices and no count are rows of the price list; a crew, a rate or an extra without a count is a
//! figure of the account, or a change of the quote being talked about.

use rust_decimal::Decimal;

use super::compose::Composer;
use super::lexicon::Class;
use super::meaning::{Change, ClassSaid, Doubt, ExtraKind, Meaning, MinutesSaid, Setting, Span, Unit};
use super::section::{Item, Section};
use super::vocabulary::singular;

impl Composer<'_, '_> {
    /// Kinds with minutes or prices and no count: figures of the price list; crews, rates and extras: of the account or
    /// of the quote being talked about.
    pub(super) fn figures(&mut self, section: Section) {
        self.doubt_numbers(&section);
        let mut changes = section.changes.clone();
        self.price_list(&section, &mut changes);
        if let Some(rate) = section.rate {
            // First, because a price that is said with it stands above it.
            changes.insert(0, Change::Rate(rate));
        }
        match section.crew {
            Some((people, true)) => self.push(Meaning::Set(Setting::Crew(people)), section.span),
            Some((people, false)) => changes.push(Change::Crew(people)),
            None => {}
        }
        for (kind, value) in &section.extras {
            match value {
                Some(value) if changes.is_empty() && !self.joins && !section.this_one => {
                    self.push(Meaning::Set(extra_setting(*kind, *value)), section.span);
                }
                _ => changes.push(extra_change(*kind, *value)),
            }
        }
        self.revise(changes, section.supposed, &section);
    }

    /// `wax myrtle small 6 min` is no crape myrtle: a word that nothing knows, right before a kind, makes it another kind.
    fn longer_name(&mut self, class: &mut ClassSaid) {
        if class.service.is_none() {
            return;
        }
        let text = self.words.tokens.text;
        let before = |name: &Span| {
            name.end <= class.span.start && text[name.end..class.span.start].chars().all(|c| c == ' ' || c == '-')
        };
        let Some(name) = self.names.iter().map(|(_, place)| place.span).find(before) else {
            return;
        };
        let lexicon = self.words.lexicon;
        let is_size = |word: &str| {
            lexicon
                .find(word)
                .is_some_and(|e| lexicon.value(e.word, Class::SIZE).is_some())
        };
        let said = text[name.start..class.span.end].to_lowercase();
        let mut parts: Vec<&str> = said.split_whitespace().filter(|word| !is_size(word)).collect();
        let last = parts.pop().map(singular).unwrap_or_default();
        parts.push(&last);
        class.unknown = Some(parts.join(" "));
        class.service = None;
        class.rivals.clear();
        self.out.named.push(name);
    }

    /// A name that nothing knows, in front of minutes or a price, is a kind that is not on the list yet (`photinia 7 min`).
    fn unlisted(&mut self, section: &Section) -> Option<ClassSaid> {
        let listed = |class: &ClassSaid| class.service.is_some();
        let known = section.items.iter().any(|item| match item {
            Item::Class(class) | Item::Minutes(Some(class), ..) | Item::PriceEach(Some(class), ..) => listed(class),
            _ => false,
        });
        let figure = section
            .items
            .iter()
            .any(|item| matches!(item, Item::Minutes(..) | Item::Time(..) | Item::PriceEach(..)));
        let [(0, name)] = self.names.as_slice() else {
            return None;
        };
        if known || !figure || section.place.is_some() {
            return None;
        }
        if !self.figure_follows(name.span) {
            return None;
        }
        self.out.named.push(name.span);
        let unknown = singular(&name.name.to_lowercase());
        Some(ClassSaid {
            unknown: Some(unknown),
            span: name.span,
            ..ClassSaid::default()
        })
    }

    /// Whether nothing but a linking word stands between a name and its figure (`knocked it out in 50 min` is no kind).
    fn figure_follows(&self, name: Span) -> bool {
        let rest = &self.words.tokens.lower[name.end..];
        let first = rest
            .split(|c: char| c.is_whitespace() || matches!(c, ',' | ':' | '=' | '-' | '@'))
            .find(|word| !word.is_empty());
        let links = [
            "is", "are", "at", "takes", "take", "small", "medium", "large", "big", "each", "should", "about", "now",
            "a",
        ];
        first.is_some_and(|word| word.starts_with(|c: char| c.is_ascii_digit() || c == '$') || links.contains(&word))
            || first.is_some_and(|word| {
                let number = Class::UNITS
                    .or(Class::TENS)
                    .or(Class::HALF)
                    .or(Class::ARTICLE)
                    .or(Class::HUNDRED);
                self.words
                    .lexicon
                    .find(word)
                    .is_some_and(|entry| entry.class.any(number))
            })
    }

    fn price_list(&mut self, section: &Section, changes: &mut Vec<Change>) {
        let mut current = self.unlisted(section);
        let mut rows: Vec<Row> = current.iter().cloned().map(Row::of).collect();
        for item in &section.items {
            match item {
                Item::Class(class) => {
                    current = Some(under(class, current.as_ref()));
                    rows.push(Row::of(current.clone().unwrap_or_default()));
                }
                Item::Minutes(class, said, _, unit) => {
                    let target = class.as_ref().map(|c| under(c, current.as_ref()));
                    self.row_minutes(&mut rows, target, &mut current, *said, *unit, changes);
                }
                Item::Time(said, false) if rows.is_empty() && section.crew.is_some() => {
                    let crew = section.crew.map_or(1, |(people, _)| people);
                    changes.push(Change::WorkElapsed { minutes: *said, crew });
                }
                Item::Time(said, false) => self.row_minutes(&mut rows, None, &mut current, *said, None, changes),
                Item::PriceEach(class, value, dollars, unit, span) => {
                    let target = class.as_ref().map(|c| under(c, current.as_ref()));
                    let measured = matches!(
                        unit,
                        Some(Unit::Yard | Unit::Bag | Unit::Load | Unit::Foot | Unit::SquareFoot)
                    );
                    if let Some(target) = target {
                        current = Some(target.clone());
                        rows.push(Row::of(target));
                    }
                    match rows.last_mut() {
                        Some(row) if *dollars || measured || row.minutes.is_some() => {
                            row.price = Some((*value, *unit));
                            row.unit = row.unit.or(*unit);
                        }
                        Some(row) => {
                            let class = row.class.clone();
                            self.out.doubts.push(Doubt::DollarsOrMinutes {
                                value: *value,
                                class,
                                span: *span,
                            });
                        }
                        None if *dollars || unit.is_some() => {
                            changes.push(Change::PriceEach(ClassSaid::default(), *value));
                        }
                        None => self.out.doubts.push(Doubt::DollarsOrMinutes {
                            value: *value,
                            class: ClassSaid::default(),
                            span: *span,
                        }),
                    }
                }
                _ => {}
            }
        }
        self.take_rows(rows, section, changes);
    }

    /// Rows of the price list as figures of the account, or of the quote in hand when `this one` was said.
    fn take_rows(&mut self, rows: Vec<Row>, section: &Section, changes: &mut Vec<Change>) {
        let mut renamed: Option<(Option<String>, Option<String>)> = None;
        for mut row in rows {
            let listed = row.class.service.clone();
            self.longer_name(&mut row.class);
            if listed.is_some() && row.class.service.is_none() {
                renamed = Some((listed, row.class.unknown.clone()));
            } else if let Some((listed, unknown)) = &renamed {
                // "wax myrtle small 6 min, large 12 min": the size belongs to the longer name.
                if row.class.service == *listed {
                    row.class.service = None;
                    row.class.unknown.clone_from(unknown);
                }
            }
            if section.this_one {
                let price = row.price.map(|(value, _)| value);
                let of_material = self.is_material(&row);
                changes.extend(row.minutes.map(|said| Change::Minutes(row.class.clone(), said)));
                changes.extend(price.map(|price| match of_material {
                    true => Change::MaterialEach(row.class, price),
                    false => Change::PriceEach(row.class, price),
                }));
            } else {
                self.row(row, section);
            }
        }
    }

    fn row_minutes(
        &mut self,
        rows: &mut Vec<Row>,
        target: Option<ClassSaid>,
        current: &mut Option<ClassSaid>,
        said: MinutesSaid,
        unit: Option<Unit>,
        changes: &mut Vec<Change>,
    ) {
        match target {
            Some(target) => {
                *current = Some(target.clone());
                rows.push(Row {
                    minutes: Some(said),
                    unit,
                    ..Row::of(target)
                });
            }
            None => match rows.last_mut() {
                Some(row) => {
                    row.minutes = Some(said);
                    row.unit = row.unit.or(unit);
                }
                None => changes.push(Change::Minutes(ClassSaid::default(), said)),
            },
        }
    }

    /// Whether the price of a row is that of its material.
    fn is_material(&self, row: &Row) -> bool {
        let service = row.class.service.as_deref();
        let known = service.and_then(|name| self.words.vocabulary.service(name));
        let bulk = matches!(row.price, Some((_, Some(Unit::Yard | Unit::Bag | Unit::Load))));
        bulk || known.is_some_and(|s| s.has_material)
    }

    fn row(&mut self, row: Row, section: &Section) {
        if row.minutes.is_none() && row.price.is_none() {
            return;
        }
        let is_material = self.is_material(&row);
        let price = row.price.map(|(value, _)| value);
        let setting = Setting::Service {
            class: row.class,
            new: false,
            unit: row.unit,
            minutes_each: row.minutes,
            material_each: price.filter(|_| is_material),
            price_each: price.filter(|_| !is_material),
        };
        self.push(Meaning::Set(setting), section.span);
    }
}

/// A row of the price list, being gathered.
#[derive(Debug, Clone, Default)]
struct Row {
    class: ClassSaid,
    minutes: Option<MinutesSaid>,
    price: Option<(Decimal, Option<Unit>)>,
    unit: Option<Unit>,
}

impl Row {
    fn of(class: ClassSaid) -> Row {
        Row {
            class,
            ..Row::default()
        }
    }
}

/// A bare size belongs to the kind said before it (`crapes: small 6 min, large 15 min`).
fn under(class: &ClassSaid, current: Option<&ClassSaid>) -> ClassSaid {
    let mut class = class.clone();
    if class.service.is_none()
        && class.unknown.is_none()
        && let Some(current) = current
    {
        class.service.clone_from(&current.service);
        class.unknown.clone_from(&current.unknown);
    }
    class
}

fn is_minutes(kind: ExtraKind) -> bool {
    matches!(kind, ExtraKind::SetUp | ExtraKind::Haul | ExtraKind::Drive)
}

/// An extra as a change of a quote; without a figure it is left out.
pub(super) fn extra_change(kind: ExtraKind, value: Option<Decimal>) -> Change {
    match value {
        None => Change::No(kind),
        Some(value) if is_minutes(kind) => Change::ExtraMinutes(kind, value),
        Some(value) => Change::ExtraMoney(kind, value),
    }
}

fn extra_setting(kind: ExtraKind, value: Decimal) -> Setting {
    if is_minutes(kind) {
        Setting::ExtraMinutes(kind, value)
    } else {
        Setting::ExtraMoney(kind, value)
    }
}
