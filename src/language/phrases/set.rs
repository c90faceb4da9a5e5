//! Wordings that set figures of the account.

use rust_decimal::Decimal;

use super::{Phrase, Row, class, minutes, money, number, percent, set, text, unit};
use crate::language::meaning::{ClassSaid, ExtraKind, Setting, TaxOn, Unit};
use crate::language::pattern::Cap;
use crate::language::vocabulary::singular;
use crate::language::words::Words;

fn extra(kind: ExtraKind, caps: &[&Cap]) -> Option<Phrase> {
    let value = minutes(caps)
        .map(|m| m.minutes)
        .or_else(|| money(caps))
        .or_else(|| number(caps));
    Some(Phrase::Extra(kind, value))
}

fn new_kind(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    let named = class(caps).or_else(|| {
        let name = text(caps, words)?.to_lowercase();
        let name = name.trim_start_matches("a ").trim_start_matches("called ");
        let mut parts: Vec<String> = name.split_whitespace().map(str::to_string).collect();
        if let Some(last) = parts.last_mut() {
            *last = singular(last);
        }
        Some(ClassSaid {
            unknown: Some(parts.join(" ")),
            ..ClassSaid::default()
        })
    });
    let sized = caps.iter().find_map(|cap| match cap {
        Cap::Class(said) if said.service.is_none() => said.size.clone(),
        _ => None,
    });
    let mut named = named?;
    // `new service: rake leaves`: said to be new, so it is not the kind that it resembles.
    let spelled = |text: &str| text.split_whitespace().map(singular).collect::<Vec<_>>().join(" ");
    let said = spelled(&words.tokens.lower[named.span.start..named.span.end]);
    if let Some(listed) = named
        .service
        .take_if(|listed| named.size.is_none() && spelled(listed) != said)
    {
        named.unknown = Some(if said.is_empty() { listed } else { said });
        named.rivals.clear();
    }
    if named.service.is_none() && named.unknown.is_none() {
        named.unknown = text(caps, words).map(|t| singular(&t.to_lowercase()));
    }
    named.size = named.size.or(sized);
    let bulk = matches!(unit(caps).flatten(), Some(Unit::Yard | Unit::Bag | Unit::Load));
    set(Setting::Service {
        class: named,
        new: true,
        unit: unit(caps).flatten(),
        minutes_each: minutes(caps),
        material_each: money(caps).filter(|_| bulk),
        price_each: money(caps).filter(|_| !bulk),
    })
}

fn crew_set(caps: &[&Cap]) -> Option<Phrase> {
    use rust_decimal::prelude::ToPrimitive;
    let people = number(caps)?;
    people
        .is_integer()
        .then(|| people.to_u32().unwrap_or(u32::MAX))
        .map(|n| Phrase::Crew(n, true))
}

const ZERO: Decimal = Decimal::ZERO;

/// A smaller sum said of the rate is rather what it is raised by, dollars.
const RATE_LIKELY_MIN: i64 = 30;

pub(super) const ROWS: &[Row] = &[
    (
        "set: rate",
        6,
        "[my our the]? [base target normal regular hourly]? [rate rates] [going forward now]? (should be)? ~ #money #perhour? (from now on)?",
        |c, _| {
            set(Setting::Rate {
                rate: money(c)?,
                class: None,
            })
        },
    ),
    (
        "set: rate wanted",
        7,
        "(my | our) hourly (rate)? (is | = | to)? (now)? #money",
        |c, _| {
            set(Setting::Rate {
                rate: money(c)?,
                class: None,
            })
        },
    ),
    (
        "set: rate wanted",
        7,
        "[i we] [need want charge bill get make] (to [make charge get bill])? #money #perhour",
        |c, _| {
            set(Setting::Rate {
                rate: money(c)?,
                class: None,
            })
        },
    ),
    (
        "set: rate from now on",
        8,
        "(from now on | going forward | starting now | from here on) (its | it is | at | charge | we charge | i charge | use)? #money #perhour",
        |c, _| {
            set(Setting::Rate {
                rate: money(c)?,
                class: None,
            })
        },
    ),
    (
        "set: rate from now on",
        8,
        "(at | use | charge)? #money #perhour (from now on | going forward | starting now | from here on out | from here on)",
        |c, _| {
            set(Setting::Rate {
                rate: money(c)?,
                class: None,
            })
        },
    ),
    (
        "set: rate for all",
        7,
        "[charge bill set] (my | the | our)? [rate]? ~ #money #perhour",
        |c, _| {
            set(Setting::Rate {
                rate: money(c)?,
                class: None,
            })
        },
    ),
    (
        "set: rate changed",
        7,
        "(bump | raise | change | set | move | put | drop | lower) (my | the | our)? [base]? [rate] (up | down)? ~ #money #perhour?",
        |c, _| {
            // "bump my rate 5 bucks": by so much, hardly to so much.
            if money(c)? < Decimal::from(RATE_LIKELY_MIN) {
                return super::unsure("the rate, by so much or to so much");
            }
            set(Setting::Rate {
                rate: money(c)?,
                class: None,
            })
        },
    ),
    ("set: rate of a kind", 7, "#class [rate] ~ #money #perhour?", |c, _| {
        set(Setting::Rate {
            rate: money(c)?,
            class: class(c),
        })
    }),
    (
        "set: rate of a kind",
        7,
        "[rate] for #class ~ #money #perhour?",
        |c, _| {
            set(Setting::Rate {
                rate: money(c)?,
                class: class(c),
            })
        },
    ),
    (
        "set: rate of a kind",
        7,
        "[rate] ~ #money #perhour? for #class",
        |c, _| {
            set(Setting::Rate {
                rate: money(c)?,
                class: class(c),
            })
        },
    ),
    (
        "extra: set-up",
        2,
        "(set -? up | setup | setting up) [time]? ~ #mins",
        |c, _| extra(ExtraKind::SetUp, c),
    ),
    ("extra: set-up", 2, "#dur [of for to]? (set -? up | setup)", |c, _| {
        extra(ExtraKind::SetUp, c)
    }),
    ("extra: haul", 2, "[haul hauling] [off away time]? ~ #mins", |c, _| {
        extra(ExtraKind::Haul, c)
    }),
    (
        "extra: haul",
        2,
        "#dur [of for to]? [haul hauling] [off away]?",
        |c, _| extra(ExtraKind::Haul, c),
    ),
    ("extra: drive", 2, "[drive driving travel] [time]? ~ #mins", |c, _| {
        extra(ExtraKind::Drive, c)
    }),
    (
        "extra: drive",
        2,
        "#dur [of for to]? [drive driving travel] [time]?",
        |c, _| extra(ExtraKind::Drive, c),
    ),
    (
        "extra: dump fee",
        3,
        "([dump dumping disposal tipping] [fee fees charge run]? | landfill [fee]?) ~ #money",
        |c, _| extra(ExtraKind::DumpFee, c),
    ),
    (
        "extra: dump fee",
        3,
        "#dollars [for]? [dump dumping disposal] [fee fees]?",
        |c, _| extra(ExtraKind::DumpFee, c),
    ),
    (
        "extra: minimum",
        3,
        "([my our the]? minimum [charge price job ticket]? | min [charge price job]) ~ #money",
        |c, _| extra(ExtraKind::Minimum, c),
    ),
    (
        "extra: minimum",
        5,
        "[i we] (dont | wont | never | do not) (do | take | touch | show up for) (anything | a job | jobs | nothing) (for)? (under | below | less than) #money",
        |c, _| extra(ExtraKind::Minimum, c),
    ),
    (
        "extra: minimum",
        4,
        "[never nothing] (i do)? (is | goes | go)? [less under below] than? #money",
        |c, _| extra(ExtraKind::Minimum, c),
    ),
    (
        "set: markup",
        4,
        "[material materials]? [markup] (on | for)? [material materials]? ~ #num",
        |c, _| set(Setting::Markup(number(c)?)),
    ),
    (
        "set: round up",
        4,
        "[round rounding] [prices everything it quotes]? up to? the? (next | nearest)? #money",
        |c, _| {
            set(Setting::Round {
                step: money(c)?,
                up: true,
            })
        },
    ),
    (
        "set: round up",
        4,
        "always round up to? the? (next | nearest)? #money",
        |c, _| {
            set(Setting::Round {
                step: money(c)?,
                up: true,
            })
        },
    ),
    (
        "set: round",
        4,
        "[round rounding] [prices everything it quotes off]? to? the? (nearest | closest)? #money",
        |c, _| {
            set(Setting::Round {
                step: money(c)?,
                up: false,
            })
        },
    ),
    (
        "set: round up",
        4,
        "[round rounding] up to? the? (next | nearest)? [dollar]",
        |_, _| {
            set(Setting::Round {
                step: Decimal::ONE,
                up: true,
            })
        },
    ),
    (
        "set: round",
        4,
        "[round rounding] to? the? (nearest | closest)? [dollar]",
        |_, _| {
            set(Setting::Round {
                step: Decimal::ONE,
                up: false,
            })
        },
    ),
    ("set: tax", 4, "[sales]? tax [rate]? ~ #pct (on everything)?", |c, _| {
        set(Setting::Tax {
            percent: percent(c)?,
            on: TaxOn::Everything,
        })
    }),
    ("set: tax", 4, "#pct [sales]? tax (on everything)?", |c, _| {
        set(Setting::Tax {
            percent: percent(c)?,
            on: TaxOn::Everything,
        })
    }),
    ("set: tax", 4, "[sales]? tax ~ #num", |c, _| {
        set(Setting::Tax {
            percent: number(c)?,
            on: TaxOn::Everything,
        })
    }),
    (
        "set: tax on materials",
        6,
        "[sales]? tax (on | the)? [material materials] only? ~ #pct",
        |c, _| {
            set(Setting::Tax {
                percent: percent(c)?,
                on: TaxOn::Materials,
            })
        },
    ),
    (
        "set: tax on materials",
        6,
        "([sales]? tax ~ #pct | #pct [sales]? tax) (on | for) the? [material materials] only?",
        |c, _| {
            set(Setting::Tax {
                percent: percent(c)?,
                on: TaxOn::Materials,
            })
        },
    ),
    ("set: tax on materials", 6, "[material materials] tax ~ #pct", |c, _| {
        set(Setting::Tax {
            percent: percent(c)?,
            on: TaxOn::Materials,
        })
    }),
    (
        "set: crew",
        3,
        "[my our the]? <crew> [size]? ~ #num (people | guys)?",
        |c, _| crew_set(c),
    ),
    ("set: crew", 3, "[usually normally always] #crew", |c, _| {
        super::crew(c).map(|n| Phrase::Crew(n, true))
    }),
    ("set: crew", 3, "we are #num", |c, _| crew_set(c)),
    (
        "set: crew now",
        6,
        "(we are | were | there are | theres | i have | i got | we have) #num (people | guys | of us | men)? now",
        |c, _| crew_set(c),
    ),
    (
        "set: markup",
        4,
        "[material materials]? [markup] (on | for)? [material materials]? ~ #pct",
        |c, _| set(Setting::Markup(percent(c)?)),
    ),
    (
        "set: markup",
        4,
        "(mark [material materials] up | mark up [material materials]?) by? ~ #pct",
        |c, _| set(Setting::Markup(percent(c)?)),
    ),
    (
        "set: new kind",
        6,
        "[add create]? (a | the)? new [service kind item job type thing] :? [called named]? #class ~ #mins [each]? #each?",
        |c, w| new_kind(c, w),
    ),
    (
        "set: new kind",
        6,
        "[add create]? (a | the)? new [service kind item job type thing] :? [called named]? #name #class? ~ ,? #mins [each]? #each?",
        |c, w| new_kind(c, w),
    ),
    (
        "set: new kind",
        6,
        "add (a | the)? [service kind item] :? [called named]? #name #class? ~ ,? #mins [each]? #each?",
        |c, w| new_kind(c, w),
    ),
    (
        "set: new kind",
        6,
        "new [service kind item job type thing] :? #name #class? ~ ,? #mins [each]? #each? ~ #moneyeach #each",
        |c, w| new_kind(c, w),
    ),
    (
        "set: new kind with material",
        8,
        "[add create]? (a | the)? new [service kind item job type thing] :? [called named]? #name ~ #moneyeach #each ,? (and)? #dur #each?",
        |c, w| new_kind(c, w),
    ),
    (
        "set: keep minutes",
        6,
        "[keep use] [my our] [minutes times time] (for | on)? #class?",
        |c, _| {
            set(Setting::KeepMinutes {
                class: class(c),
                keep: true,
            })
        },
    ),
    (
        "set: let minutes go",
        6,
        "[use go] [with]? (the)? learned [minutes times time]? (for | on)? #class?",
        |c, _| {
            set(Setting::KeepMinutes {
                class: class(c),
                keep: false,
            })
        },
    ),
    (
        "set: time zone",
        6,
        "([time my]? timezone | time zone) ~ #rest",
        |c, w| set(Setting::TimeZone(text(c, w)?)),
    ),
    (
        "set: business name",
        6,
        "[my our the]? [business company] name ~ #rest",
        |c, w| set(Setting::BusinessName(text(c, w)?)),
    ),
    (
        "set: material",
        3,
        "#class [material materials] ~ #moneyeach #each?",
        |c, _| {
            set(Setting::Service {
                class: class(c)?,
                new: false,
                unit: unit(c).flatten(),
                minutes_each: None,
                material_each: money(c),
                price_each: None,
            })
        },
    ),
    (
        "set: material",
        4,
        "#class [costs cost] [me us]? #moneyeach #each",
        |c, _| {
            set(Setting::Service {
                class: class(c)?,
                new: false,
                unit: unit(c).flatten(),
                minutes_each: None,
                material_each: money(c),
                price_each: None,
            })
        },
    ),
    ("set: tax off", 3, "[sales]? tax [off none]", |_, _| {
        set(Setting::Tax {
            percent: ZERO,
            on: TaxOn::Everything,
        })
    }),
    (
        "set: minutes of a kind",
        6,
        "(it takes | takes) (me | us) #dur to (do | clean | trim | cut | prune | shear)? (a | an | the | one)? #class",
        |c, _| {
            set(Setting::Service {
                class: class(c)?,
                new: false,
                unit: None,
                minutes_each: minutes(c),
                material_each: None,
                price_each: None,
            })
        },
    ),
    (
        "set: fixed price",
        5,
        "(charge | price)  ~ #moneyeach #each for #class",
        |c, _| {
            set(Setting::Service {
                class: class(c)?,
                new: false,
                unit: unit(c).flatten(),
                minutes_each: None,
                material_each: None,
                price_each: money(c),
            })
        },
    ),
    (
        "extra: dump fee",
        4,
        "(a)? #money [dump dumping disposal tipping] [fee fees charge]",
        |c, _| extra(ExtraKind::DumpFee, c),
    ),
];
