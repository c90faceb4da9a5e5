//! What one unit takes: shown, timed with a stopwatch, and kept against what jobs say.

use rust_decimal::Decimal;

use super::{
    answer::{Part, TimedShown, TimesShown, TrendShown},
    ask::{Ask, Choice, Counted, Label, Question, TimeQuestion},
    desk::{Desk, Worked},
    figures, lines,
};
use crate::{
    journal::{Book, Class, Event, Fill, Hole, Item, Odd, Service, Slot},
    language::{ClassSaid, Expecting, StopwatchSaid},
    units::ManMinutes,
};

/// The rows of a kind, or of one size of it.
pub(super) fn rows_of(book: &Book, service: &Service, size: Option<&str>) -> Vec<TimesShown> {
    let classes = service.classes.iter();
    classes
        .filter(|class| size.is_none() || class.size.as_deref() == size)
        .filter_map(|class| row_of(book, service, class))
        .collect()
}

/// The row of a class, when its minutes are known.
pub(super) fn row_of(book: &Book, service: &Service, class: &Class) -> Option<TimesShown> {
    let (minutes_each, basis) = book.minutes_of(service, class)?;
    let learned = book.learned(&service.name, class.size.as_deref());
    Some(TimesShown {
        service: service.name.clone(),
        size: class.size.clone(),
        unit: service.unit,
        minutes_each,
        between: learned.map(|learned| learned.between),
        units: learned.map_or(Decimal::ZERO, |learned| learned.units),
        jobs: learned.map_or(0, |learned| learned.jobs),
        basis,
        kept: learned.is_some_and(|learned| learned.kept),
        trend: trend_of(book, service, class.size.as_deref()),
    })
}

/// Minutes of everything on the price list, in its order.
pub fn times_of(book: &Book) -> Vec<TimesShown> {
    let services = book.services().into_iter();
    services.flat_map(|service| rows_of(book, service, None)).collect()
}

/// The learning curve of a class, when there is one, with what it is worth at its rate.
fn trend_of(book: &Book, service: &Service, size: Option<&str>) -> Option<TrendShown> {
    let curve = book.trend(&service.name, size)?;
    let rate = service.rate.unwrap_or(book.rate());
    let priced_then = rate.checked_mul(curve.first).ok()?;
    let made_now = priced_then.checked_per_man_hour(curve.current).ok()?;
    Some(TrendShown {
        curve,
        more: made_now.get() - rate.get(),
    })
}

/// Takes in stopwatch readings of single units. One that is far out is taken in too, and asked about.
pub(super) fn time(desk: &mut Desk<'_>, series: &[StopwatchSaid]) -> Worked {
    let topic = desk.talk().services;
    let mut timed = Vec::with_capacity(series.len());
    let mut place = 0;
    for (index, sitting) in series.iter().enumerate() {
        let item = Item::Line(index);
        let counted = lines::class_counted(&sitting.class);
        let class = lines::resolve_class(desk, item, &sitting.class, &counted, &topic)?;
        let mut readings = Vec::with_capacity(sitting.readings.len());
        for said in &sitting.readings {
            let slot = desk.slot(Item::Line(place), Hole::Odd);
            place += 1;
            match desk.filled(slot) {
                Some(Fill::Number(meant)) => readings.push((slot, figures::man_minutes(meant)?)),
                Some(Fill::No) => {}
                _ => readings.push((slot, figures::man_minutes(*said)?)),
            }
        }
        if sitting.readings.is_empty() {
            let slot = desk.slot(item, Hole::Minutes);
            return Err(Ask::value(slot, Question::MinutesUnknown(counted), Expecting::Nothing).into());
        }
        timed.push((class, readings));
    }
    for (class, readings) in timed {
        take_in(desk, class, &readings);
    }
    Ok(())
}

/// Records one sitting and says what it makes of the minutes.
fn take_in(desk: &mut Desk<'_>, class: lines::Class, readings: &[(Slot, ManMinutes)]) {
    for (slot, reading) in readings {
        let odd = desk.book().odd_reading(&class.service, class.size.as_deref(), *reading);
        if let (Some(odd), None) = (odd, desk.filled(*slot)) {
            desk.wonder(odd_reading(*slot, &class, &odd));
        }
    }
    let figures: Vec<ManMinutes> = readings.iter().map(|(_, reading)| *reading).collect();
    if !figures.is_empty() {
        desk.record(Event::UnitsTimed {
            service: class.service.clone(),
            size: class.size.clone(),
            readings: figures.clone(),
        });
    }
    let service = desk.book().service(&class.service);
    let row = service.and_then(|service| row_of(desk.book(), service, service.class(class.size.as_deref())?));
    desk.say(Part::Timed(Box::new(TimedShown {
        service: class.service,
        size: class.size,
        readings: figures,
        now: row,
    })));
}

fn odd_reading(slot: Slot, class: &lines::Class, odd: &Odd) -> Box<Ask> {
    let meant = odd.meant.map(ManMinutes::get);
    let question = TimeQuestion::OddReading {
        counted: Counted {
            quantity: None,
            unit: None,
            service: Some(class.service.clone()),
            size: class.size.clone(),
        },
        said: odd.said.get(),
        meant,
        expected: odd.expected,
    };
    let mut choices: Vec<Choice> = meant.into_iter().map(meant_choice).collect();
    choices.push(Choice {
        label: Label::Right(odd.said.get()),
        fill: Fill::Yes,
    });
    choices.push(Choice {
        label: Label::TakeOut,
        fill: Fill::No,
    });
    Ask::choice(slot, Question::Time(question), choices)
}

/// The figure that may have been meant.
pub(super) fn meant_choice(meant: Decimal) -> Choice {
    Choice {
        label: Label::MinutesEach(meant),
        fill: Fill::Number(meant),
    }
}

/// Pins the set minutes of a class, a kind or the whole list, or lets learned ones take over.
pub(super) fn keep(desk: &mut Desk<'_>, class: Option<&ClassSaid>, keep: bool) -> Worked {
    let mut named: Vec<(String, Option<String>)> = Vec::new();
    match class {
        Some(said) => {
            let topic = desk.talk().services;
            let name = lines::resolve_kind(desk, Item::Whole, said, &lines::class_counted(said), &topic)?;
            let classes = desk
                .book()
                .service(&name)
                .map(|service| service.classes.clone())
                .unwrap_or_default();
            let fits = |class: &&Class| said.size.is_none() || class.size == said.size;
            named.extend(
                classes
                    .iter()
                    .filter(fits)
                    .map(|class| (name.clone(), class.size.clone())),
            );
        }
        None => {
            let own = desk.book().services().into_iter().filter(|service| service.is_own());
            named.extend(own.flat_map(|service| {
                let classes = service.classes.iter();
                classes
                    .map(|class| (service.name.clone(), class.size.clone()))
                    .collect::<Vec<_>>()
            }));
        }
    }
    if named.is_empty() {
        let slot = desk.slot(Item::Whole, Hole::Kind);
        return Err(Ask::value(slot, Question::OfWhat, Expecting::Nothing).into());
    }
    for (service, size) in &named {
        desk.record(Event::MinutesKept {
            service: service.clone(),
            size: size.clone(),
            keep,
        });
    }
    desk.say(Part::MinutesKept { named, keep });
    Ok(())
}
