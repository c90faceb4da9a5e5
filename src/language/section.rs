//! A stretch of a message about one thing, being gathered: its counts, minutes, people and place, in the order said.

use rust_decimal::Decimal;

use super::meaning::{Change, ClassSaid, ExtraKind, LineSaid, MinutesSaid, PlaceSaid, Setting, Span, WhenSaid};
use super::phrases::Cue;

/// What was gathered, in order.
#[derive(Debug, Clone)]
pub(super) enum Item {
    /// A counted thing.
    Line(LineSaid, bool),
    /// A kind or size without a count.
    Class(ClassSaid),
    /// A kind that counts around it took for their own.
    Header(String),
    /// Minutes for each unit.
    Minutes(Option<ClassSaid>, MinutesSaid, bool, Option<super::meaning::Unit>),
    /// A figure for each unit.
    PriceEach(Option<ClassSaid>, Decimal, bool, Option<super::meaning::Unit>, Span),
    /// A time.
    Time(MinutesSaid, bool),
    /// A number alone.
    Bare(Decimal, Span),
    /// `1:20`.
    Clock(u32, u32, Span),
    /// `one twenty`.
    Pair(u32, u32, Span),
    /// A stop; true: a strong one.
    Stop(bool),
}

/// Whether what is said now is taken from what was counted before in the same breath.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) enum LeavingOut {
    /// It is not.
    #[default]
    No,
    /// `drop`, `skip`: an order.
    Ordered,
    /// `except`, `but not`: an exception, which may be counted in or not.
    Excepted(Span),
}

/// `two of them are dead`: perhaps not part of the work.
#[derive(Debug, Clone)]
pub(super) struct TakenOut {
    /// The index of the doubt that asks.
    pub(super) doubt: usize,
    /// How many.
    pub(super) fewer: super::meaning::QuantitySaid,
    /// Where it was said.
    pub(super) span: Span,
}

/// The stretch.
#[derive(Debug, Clone, Default)]
pub(super) struct Section {
    /// What it is about, when a word said so.
    pub(super) head: Option<Cue>,
    /// The items.
    pub(super) items: Vec<Item>,
    /// Where.
    pub(super) place: Option<PlaceSaid>,
    /// The place stood before any count.
    pub(super) place_leads: bool,
    /// When.
    pub(super) when: Option<WhenSaid>,
    /// People; true: `crew …`.
    pub(super) crew: Option<(u32, bool)>,
    /// This quote's rate.
    pub(super) rate: Option<Decimal>,
    /// Set-up and the like.
    pub(super) extras: Vec<(ExtraKind, Option<Decimal>)>,
    /// Sums alone.
    pub(super) money: Vec<(Decimal, Span)>,
    /// Changes.
    pub(super) changes: Vec<Change>,
    /// Figures set.
    pub(super) settings: Vec<(Setting, Span)>,
    /// A word asked for a price.
    pub(super) asks_price: bool,
    /// `did` was said: numbers alone are counts.
    pub(super) did: bool,
    /// `each` of the crew.
    pub(super) each_person: bool,
    /// What is said now is left out of what was counted before.
    pub(super) leaving_out: LeavingOut,
    /// `on this one`: figures are this quote's.
    pub(super) this_one: bool,
    /// `what if` was said: what follows is only supposed.
    pub(super) supposed: bool,
    /// An exception was said and nothing yet of what is excepted.
    pub(super) exception_open: Option<Span>,
    /// Doubts about what is not part of the work, with how many it is of: a count that is left settles them.
    pub(super) taken_out: Vec<TakenOut>,
    /// It began with `no`, `actually`: it corrects what was talked about before.
    pub(super) corrects_before: bool,
    /// The next item replaces one before (`no wait`).
    pub(super) correct: bool,
    /// First and last byte.
    pub(super) span: Option<Span>,
}

impl Section {
    /// `rate 100 for this one`, `crew 3 on this job`: figures of the quote in hand and not of the account.
    pub(super) fn settings_are_of_this_one(&mut self) {
        let settings = std::mem::take(&mut self.settings);
        for (setting, span) in settings {
            match setting {
                Setting::Rate { rate, class: None } => self.rate = Some(rate),
                Setting::Crew(people) => self.crew = Some((people, false)),
                Setting::ExtraMinutes(kind, figure) | Setting::ExtraMoney(kind, figure) => {
                    self.changes.push(super::figures::extra_change(kind, Some(figure)));
                }
                other => self.settings.push((other, span)),
            }
        }
        self.crew = self.crew.map(|(people, _)| (people, false));
        for (kind, value) in std::mem::take(&mut self.extras) {
            self.changes.push(super::figures::extra_change(kind, value));
        }
    }

    /// Lets go of what was said of an extra: the last word holds.
    pub(super) fn forget_extra(&mut self, kind: ExtraKind) {
        self.extras.retain(|(old, _)| *old != kind);
        self.changes.retain(
            |change| !matches!(change, Change::ExtraMinutes(old, _) | Change::ExtraMoney(old, _) if *old == kind),
        );
    }

    /// A number alone that corrects what was talked about before.
    pub(super) fn corrected_count(&self) -> Option<LineSaid> {
        let mut said = self.items.iter().filter(|item| !matches!(item, Item::Stop(_)));
        let (Some(Item::Bare(value, span)), None, true) = (said.next(), said.next(), self.corrects_before) else {
            return None;
        };
        let line = LineSaid {
            quantity: super::meaning::QuantitySaid::Exact(*value),
            ..super::lines::unsaid(&ClassSaid {
                span: *span,
                ..ClassSaid::default()
            })
        };
        Some(line)
    }

    /// Widens the span.
    pub(super) fn cover(&mut self, span: Span) {
        self.span = Some(match self.span {
            None => span,
            Some(old) => Span {
                start: old.start.min(span.start),
                end: old.end.max(span.end),
            },
        });
    }

    /// The lines gathered so far.
    pub(super) fn lines(&self) -> impl Iterator<Item = &LineSaid> {
        self.items.iter().filter_map(|item| match item {
            Item::Line(line, _) => Some(line),
            _ => None,
        })
    }

    /// Whether any count was made.
    pub(super) fn has_lines(&self) -> bool {
        self.lines().next().is_some()
    }

    /// The kinds named without a count.
    pub(super) fn classes(&self) -> Vec<ClassSaid> {
        let class = |item: &Item| match item {
            Item::Class(class) => Some(class.clone()),
            _ => None,
        };
        self.items.iter().filter_map(class).collect()
    }

    /// "98 and 55% tomorrow": the day of a remark, with nothing else said, asks for no list.
    pub(super) fn forget_lone_day(&mut self) {
        let when = self.when.take();
        if !self.is_empty() {
            self.when = when;
        }
    }

    /// Whether nothing was gathered but stops.
    pub(super) fn is_empty(&self) -> bool {
        self.items.iter().all(|item| matches!(item, Item::Stop(_)))
            && self.head.is_none()
            && self.place.is_none()
            && self.when.is_none()
            && self.crew.is_none()
            && self.rate.is_none()
            && self.extras.is_empty()
            && self.money.is_empty()
            && self.changes.is_empty()
            && self.settings.is_empty()
    }

    /// Takes a counted line; after `no wait` it replaces its like, or the line before.
    pub(super) fn take_line(&mut self, line: LineSaid, slip: bool) {
        if std::mem::take(&mut self.correct) {
            let same = |old: &LineSaid| {
                let size = line.class.size.is_none() || old.class.size.is_none() || line.class.size == old.class.size;
                let kind = line.class.service.is_none()
                    || old.class.service.is_none()
                    || line.class.service == old.class.service;
                size && kind
            };
            let place = |items: &[Item], exact: bool| {
                items
                    .iter()
                    .rposition(|item| matches!(item, Item::Line(old, _) if !exact || same(old)))
            };
            let index = place(&self.items, true).or_else(|| place(&self.items, false));
            // A number left alone just before ("12 no 14 small") was the slip.
            let bare = self.items.iter().rposition(|item| matches!(item, Item::Bare(..)));
            if let Some(bare) = bare.filter(|bare| index.is_none_or(|index| index < *bare)) {
                self.items.remove(bare);
            } else if let Some(index) = index {
                if let Item::Line(old, _) = &mut self.items[index] {
                    let mut new = line;
                    new.class.service = new.class.service.or_else(|| old.class.service.take());
                    new.class.size = new.class.size.or_else(|| old.class.size.take());
                    *old = new;
                }
                return;
            }
        }
        self.items.push(Item::Line(line, slip));
    }

    /// A number after `no wait` that replaces the figure set just before; false when none was set.
    pub(super) fn correct_setting(&mut self, value: Decimal) -> bool {
        if self.settings.is_empty() && correct_change(&mut self.changes, value) {
            return true;
        }
        let figure = match self.settings.last_mut() {
            Some((Setting::Rate { rate, .. }, _)) => rate,
            Some((Setting::Wage(figure) | Setting::Burden(figure) | Setting::Margin(figure), _)) => figure,
            Some((Setting::Tax { percent, .. }, _)) => percent,
            Some((Setting::Overhead { money, .. }, _)) => money,
            Some((Setting::BillableHours { hours, .. }, _)) => hours,
            Some((Setting::Round { step, .. }, _)) => step,
            Some(_) => return false,
            None => match self.extras.last_mut() {
                Some((_, Some(figure))) => figure,
                _ => return false,
            },
        };
        *figure = value;
        true
    }

    /// Takes a number alone; after `no wait` it replaces the last count.
    pub(super) fn take_bare(&mut self, value: Decimal, span: Span) {
        if std::mem::take(&mut self.correct) {
            for item in self.items.iter_mut().rev() {
                match item {
                    Item::Line(old, _) => {
                        old.quantity = super::meaning::QuantitySaid::Exact(value);
                        return;
                    }
                    Item::Bare(old, _) => {
                        *old = value;
                        return;
                    }
                    Item::Time(old, _) | Item::Minutes(_, old, ..) => {
                        *old = MinutesSaid {
                            minutes: value,
                            range: None,
                        };
                        return;
                    }
                    _ => {}
                }
            }
        }
        self.items.push(Item::Bare(value, span));
    }

    /// Takes a kind or size alone; after `no wait` it replaces that of the last count.
    pub(super) fn take_class(&mut self, class: ClassSaid) {
        if std::mem::take(&mut self.correct) {
            for item in self.items.iter_mut().rev() {
                if let Item::Line(old, _) = item {
                    if class.service.is_some() {
                        old.class.service = class.service;
                    }
                    if class.size.is_some() {
                        old.class.size = class.size;
                    }
                    return;
                }
            }
        }
        self.items.push(Item::Class(class));
    }

    /// Takes a day or time: a time alone joins the day said before.
    pub(super) fn take_when(&mut self, when: WhenSaid) {
        self.correct = false;
        self.when = Some(match self.when {
            Some(old) if when.day.is_none() => WhenSaid { day: old.day, ..when },
            Some(old) if when.minute_of_day.is_none() => WhenSaid {
                minute_of_day: old.minute_of_day,
                ..when
            },
            _ => when,
        });
    }

    /// `azalea five no wait four and a half minutes`: the figure behind a kind was the minutes that are put right, and no
    /// count. The place of that item, and its kind.
    fn kind_with_figure(&self, item: &Item) -> Option<(usize, ClassSaid)> {
        if !matches!(item, Item::Time(_, false) | Item::Minutes(None, ..)) {
            return None;
        }
        let index = self.items.iter().rposition(|item| !matches!(item, Item::Stop(_)))?;
        let Item::Line(line, _) = &self.items[index] else {
            return None;
        };
        let behind = line.class.span.start == line.span.start && line.class.span.end < line.span.end;
        (behind && line.unit.is_none() && line.minutes_each.is_none()).then(|| (index, line.class.clone()))
    }

    /// Takes an item of time or price; after `no wait` it replaces the last of its kind.
    pub(super) fn take(&mut self, item: Item) {
        if std::mem::take(&mut self.correct) {
            let same = |old: &Item| std::mem::discriminant(old) == std::mem::discriminant(&item);
            let bare = |old: &Item| matches!((old, &item), (Item::Bare(..), Item::Time(..)));
            if let Some((index, class)) = self.kind_with_figure(&item) {
                self.items[index] = match item {
                    Item::Time(said, _) => Item::Minutes(Some(class), said, false, None),
                    Item::Minutes(None, said, each, unit) => Item::Minutes(Some(class), said, each, unit),
                    other => other,
                };
                return;
            }
            if let Some(index) = self
                .items
                .iter()
                .rposition(same)
                .or_else(|| self.items.iter().rposition(bare))
            {
                self.items[index] = item;
                return;
            }
        }
        self.items.push(item);
    }
}

/// Replaces the figure of the last change; false when it has none.
pub(super) fn correct_change(changes: &mut [Change], value: Decimal) -> bool {
    match changes.last_mut() {
        Some(Change::Quantity(line) | Change::Add(line) | Change::Drop(line)) => {
            line.quantity = super::meaning::QuantitySaid::Exact(value);
        }
        Some(
            Change::Rate(figure)
            | Change::Price(figure)
            | Change::DiscountMoney(figure)
            | Change::DiscountPercent(figure)
            | Change::MoreOffMoney(figure)
            | Change::MoreOffPercent(figure)
            | Change::PriceEach(_, figure),
        ) => *figure = value,
        Some(Change::Minutes(_, said)) => {
            *said = MinutesSaid {
                minutes: value,
                range: None,
            }
        }
        _ => return false,
    }
    true
}
