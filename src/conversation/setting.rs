//! Figures of the account and of the price list, as the owner gives them.

use rust_decimal::Decimal;

use super::{
    answer::{Part, PricedShown, Refused, SetShown, What},
    ask::{Ask, Choice, Label, Question},
    client, costs,
    desk::{Desk, Worked},
    figures, lines, minutes, quoting,
};
use crate::{
    guide::{MonthDay, Zone},
    journal::{Equipment, Event, Fill, Hole, Item, Service, ServiceSet, SettingSet},
    language::{ClassSaid, Expecting, ExtraKind, MinutesSaid, Setting, TaxOn},
    pricing::{
        self, Basis, Effort, Sheet, SheetLine, Step, Tax,
        cost::{PerPeriod, Period},
    },
    units::{ManMinutes, Percent, Quantity, Unit},
};

/// Takes over a figure.
pub(super) fn set(desk: &mut Desk<'_>, said: &Setting) -> Worked {
    let figure = match said {
        Setting::Rate {
            rate,
            class: Some(class),
        } => return service_rate(desk, *rate, class),
        Setting::Service {
            class,
            new,
            unit,
            minutes_each,
            material_each,
            price_each,
        } => {
            let (minutes_each, material_each, price_each) = (minutes_each.as_ref(), *material_each, *price_each);
            let said = ServiceSaid {
                class,
                new: *new,
                unit: *unit,
                minutes_each,
                material_each,
                price_each,
            };
            return service(desk, &said);
        }
        Setting::Rate { rate, class: None } => SettingSet::Rate(figures::rate(*rate)?),
        Setting::ExtraMinutes(what, minutes) => extra_minutes(*what, *minutes)?,
        Setting::ExtraMoney(what, money) => extra_money(*what, *money)?,
        Setting::Round { step, up } => SettingSet::Step(step_of(*step, *up)?),
        Setting::Tax { percent, on } => SettingSet::Tax(tax_of(*percent, *on)?),
        Setting::Crew(people) => SettingSet::Crew(figures::crew(*people)?),
        Setting::Markup(percent) => SettingSet::Markup(markup(*percent)?),
        Setting::Wage(money) => SettingSet::Wage(figures::wage(*money)?),
        Setting::Burden(percent) => SettingSet::Burden(figures::percent(What::Burden, *percent, 1_000)?),
        Setting::Overhead { money, yearly } => {
            SettingSet::Overhead(per(figures::money(What::Overhead, *money)?, *yearly))
        }
        Setting::BillableHours { hours, yearly } => {
            SettingSet::BillableHours(per(figures::man_hours(*hours)?, *yearly))
        }
        Setting::Equipment { name, price, years } => SettingSet::Equipment(Equipment {
            name: name.clone(),
            price: figures::money(What::Price, *price)?,
            years: figures::years(*years)?,
        }),
        Setting::EquipmentGone(said) => {
            SettingSet::EquipmentGone(costs::equipment_named(desk.book().settings(), said)?)
        }
        Setting::Margin(percent) => SettingSet::Margin(margin(*percent)?),
        Setting::TimeZone(zone) => SettingSet::TimeZone(time_zone(zone)?),
        Setting::BusinessName(name) => SettingSet::BusinessName(name.clone()),
        Setting::OfferDays(days) => SettingSet::OfferDays(client::offer_days(*days)?),
        Setting::ClientTerms(said) => SettingSet::ClientTerms(said.as_deref().map(client::lines_said).transpose()?),
        Setting::NotIncluded(said) => SettingSet::NotIncluded(said.as_deref().map(client::lines_said).transpose()?),
        Setting::HardinessZone(zone) => SettingSet::HardinessZone(hardiness_zone(zone)?),
        Setting::State(state) => SettingSet::State((*state).to_string()),
        Setting::LastFrost(month, day) => SettingSet::LastFrost(MonthDay::new(*month, *day).ok_or(Refused::NoSuchDay)?),
        Setting::RecordingDays(days) => SettingSet::RecordingDays(figures::recording_days(*days)?),
        Setting::KeepMinutes { class, keep } => return minutes::keep(desk, class.as_ref(), *keep),
    };
    desk.record(Event::SettingGiven(figure.clone()));
    let costs = costs::touches(&figure)
        .then(|| costs::build_up(desk.book().settings()))
        .flatten();
    if costs.is_some() {
        desk.leave_out_costs();
    }
    desk.say(Part::Set(SetShown { figure, costs }));
    Ok(())
}

fn extra_minutes(what: ExtraKind, minutes: Decimal) -> Worked<SettingSet> {
    let minutes = figures::man_minutes_or_off(minutes)?;
    match what {
        ExtraKind::SetUp => Ok(SettingSet::SetUp(minutes)),
        ExtraKind::Haul => Ok(SettingSet::Haul(minutes)),
        ExtraKind::Drive => Ok(SettingSet::Drive(minutes)),
        _ => Err(Refused::NotMinutes(what).into()),
    }
}

fn extra_money(what: ExtraKind, money: Decimal) -> Worked<SettingSet> {
    match what {
        ExtraKind::DumpFee => Ok(SettingSet::DumpFee(figures::money_or_off(What::Fee, money)?)),
        ExtraKind::Minimum => Ok(SettingSet::Minimum(figures::money_or_off(What::Minimum, money)?)),
        _ => Err(Refused::NotMoney(what, money).into()),
    }
}

/// A markup, none when it is 0.
fn markup(percent: Decimal) -> Worked<Option<Percent>> {
    let percent = figures::percent(What::Markup, percent, 1_000)?;
    Ok((percent != Percent::ZERO).then_some(percent))
}

fn step_of(step: Decimal, up: bool) -> Worked<Step> {
    if step.is_zero() {
        return Ok(Step::None);
    }
    let step = figures::money(What::Step, step)?;
    Ok(if up { Step::Up(step) } else { Step::Nearest(step) })
}

fn per<T>(amount: T, yearly: bool) -> PerPeriod<T> {
    let period = if yearly { Period::Year } else { Period::Month };
    PerPeriod { amount, period }
}

pub(super) fn tax_of(percent: Decimal, on: TaxOn) -> Worked<Tax> {
    if percent.is_zero() {
        return Ok(Tax::None);
    }
    let percent = figures::percent(What::Tax, percent, 100)?;
    Ok(match on {
        TaxOn::Everything => Tax::All(percent),
        TaxOn::Materials => Tax::Materials(percent),
    })
}

/// A margin of 100% would ask for an endless price.
fn margin(percent: Decimal) -> Worked<Percent> {
    if percent >= Decimal::ONE_HUNDRED {
        return Err(Refused::OutOfRange {
            what: What::Margin,
            value: percent,
        }
        .into());
    }
    Ok(figures::percent(What::Margin, percent, 100)?)
}

fn hardiness_zone(said: &str) -> Worked<Zone> {
    Ok(Zone::read(said).ok_or_else(|| Refused::NoSuchHardinessZone(said.to_string()))?)
}

fn time_zone(said: &str) -> Worked<String> {
    let name = said.trim().replace(' ', "_");
    let known = chrono_tz::TZ_VARIANTS
        .iter()
        .find(|zone| zone.name().eq_ignore_ascii_case(&name))
        .ok_or_else(|| Refused::NoSuchZone(said.to_string()))?;
    Ok(known.name().to_string())
}

/// What was said of a kind.
struct ServiceSaid<'a> {
    class: &'a ClassSaid,
    new: bool,
    unit: Option<Unit>,
    minutes_each: Option<&'a MinutesSaid>,
    material_each: Option<Decimal>,
    price_each: Option<Decimal>,
}

fn service_rate(desk: &mut Desk<'_>, rate: Decimal, class: &ClassSaid) -> Worked {
    let rate = figures::rate(rate)?;
    let topic = desk.talk().services;
    let service = lines::resolve_kind(desk, Item::Whole, class, &lines::class_counted(class), &topic)?;
    desk.record(Event::ServicePriced(ServiceSet {
        service: service.clone(),
        rate: Some(rate),
        ..ServiceSet::default()
    }));
    desk.say(Part::ServiceRate { service, rate });
    Ok(())
}

fn service(desk: &mut Desk<'_>, said: &ServiceSaid<'_>) -> Worked {
    let name = kind_to_set(desk, said)?;
    let size = size_to_set(desk, said, &name)?;
    let minutes_each = said
        .minutes_each
        .map(|minutes| figures::man_minutes(minutes.minutes))
        .transpose()?;
    let material_each = said
        .material_each
        .map(|money| figures::each(What::Material, money))
        .transpose()?;
    let price_each = said
        .price_each
        .map(|money| figures::each(What::Price, money))
        .transpose()?;
    if minutes_each.is_none() && material_each.is_none() && price_each.is_none() && said.unit.is_none() {
        let slot = desk.slot(Item::Whole, Hole::Minutes);
        let question = Question::WhichFigure(lines::class_counted(said.class));
        return Err(Ask::value(slot, question, Expecting::Nothing).into());
    }
    let known = desk.book().service(&name).cloned();
    let unit = said.unit.or_else(|| known.is_none().then(|| first_unit(said)));
    let change = ServiceSet {
        service: name.clone(),
        size: size.clone(),
        unit,
        minutes_each,
        material_each,
        price_each,
        rate: None,
    };
    let sizes_gone = known
        .as_ref()
        .filter(|_| size.is_none() && minutes_each.is_some())
        .map(starter_sizes)
        .unwrap_or_default();
    desk.record(Event::ServicePriced(change));
    if let Some(shown) = priced(desk, &name, size.as_deref()) {
        desk.say(Part::ServicePriced(Box::new(PricedShown {
            new: known.is_none(),
            sizes_gone,
            range: said.minutes_each.and_then(quoting::range_remark),
            ..shown
        })));
    }
    Ok(())
}

/// A new kind of which no unit was said: a service is a whole job, a thing with sizes is counted.
fn first_unit(said: &ServiceSaid<'_>) -> Unit {
    if said.new && said.class.size.is_none() {
        Unit::Job
    } else {
        Unit::Each
    }
}

fn starter_sizes(service: &Service) -> Vec<String> {
    service
        .classes
        .iter()
        .filter(|class| class.basis == Basis::Starter)
        .filter_map(|class| class.size.clone())
        .collect()
}

fn kind_to_set(desk: &Desk<'_>, said: &ServiceSaid<'_>) -> Worked<String> {
    if let (None, Some(words)) = (&said.class.service, &said.class.unknown) {
        return Ok(words.clone());
    }
    let topic = desk.talk().services;
    lines::resolve_kind(desk, Item::Whole, said.class, &lines::class_counted(said.class), &topic)
}

/// Minutes for a kind as a whole, when the owner made sizes of it himself, could be meant for any of them.
fn size_to_set(desk: &Desk<'_>, said: &ServiceSaid<'_>, name: &str) -> Worked<Option<String>> {
    let slot = desk.slot(Item::Whole, Hole::Size);
    if let Some(Fill::Size(size)) = desk.filled(slot) {
        return Ok(size);
    }
    if said.class.size.is_some() || said.minutes_each.is_none() {
        return Ok(said.class.size.clone());
    }
    let Some(service) = desk.book().service(name) else {
        return Ok(None);
    };
    let own: Vec<&str> = service
        .classes
        .iter()
        .filter(|class| class.basis != Basis::Starter)
        .filter_map(|class| class.size.as_deref())
        .collect();
    if own.is_empty() || service.class(None).is_some() {
        return Ok(None);
    }
    let mut choices: Vec<Choice> = own.iter().map(|size| Choice::size(name, Some(size))).collect();
    choices.push(Choice {
        label: Label::WithoutSize(name.to_string()),
        fill: Fill::Size(None),
    });
    Err(Ask::choice(slot, Question::SetWhichSize(lines::class_counted(said.class)), choices).into())
}

/// One unit of a class with the price that its figures make at the account's rate.
pub(super) fn priced(desk: &Desk<'_>, name: &str, size: Option<&str>) -> Option<PricedShown> {
    let service = desk.book().service(name)?;
    let class = service.class(size).or_else(|| service.classes.first())?;
    let sheet = quoting::blank_sheet(desk);
    let listed = desk.book().minutes_of(service, class);
    let (minutes_each, basis) = listed.map_or((None, class.basis), |(minutes, basis)| (Some(minutes), basis));
    let line = SheetLine {
        service: service.name.clone(),
        size: class.size.clone(),
        unit: service.unit,
        quantity: Quantity::ONE,
        effort: Effort::Each(minutes_each.unwrap_or(ManMinutes::ZERO)),
        rate: service.rate,
        material_each: class.material_each,
        price_each: class.price_each,
        basis,
    };
    let alone = Sheet {
        lines: vec![line],
        set_up: None,
        haul: None,
        drive: None,
        fees: Vec::new(),
        minimum: None,
        step: Step::None,
        tax: Tax::None,
        ..sheet
    };
    let quote = pricing::quote(&alone).ok()?;
    Some(PricedShown {
        service: service.name.clone(),
        size: class.size.clone(),
        unit: service.unit,
        minutes_each,
        basis,
        material_each: class.material_each,
        price_each: class.price_each,
        unit_price: quote.subtotal,
        rate: alone.line_rate(&alone.lines[0]),
        rate_made: class.price_each.and(quote.rate_made),
        new: false,
        sizes_gone: Vec::new(),
        range: None,
        starter_rate: desk.book().settings().rate.is_none(),
    })
}
