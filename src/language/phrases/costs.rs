//! Wordings of what the business costs: wage, burden, overhead, billable hours, margin, equipment.

use super::{Phrase, Row, money, number, numbers, percent, set, text};
use crate::language::meaning::Setting;
use crate::language::pattern::Cap;
use crate::language::words::Words;

fn overhead(caps: &[&Cap], yearly: bool) -> Option<Phrase> {
    set(Setting::Overhead {
        money: money(caps)?,
        yearly,
    })
}

fn billable(caps: &[&Cap], yearly: bool) -> Option<Phrase> {
    set(Setting::BillableHours {
        hours: number(caps)?,
        yearly,
    })
}

fn equipment(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    let figures = numbers(caps);
    let (price, years) = (figures.first().copied()?, figures.get(1).copied()?);
    let name = text(caps, words)
        .unwrap_or_else(|| "equipment".to_string())
        .to_lowercase();
    set(Setting::Equipment { name, price, years })
}

/// Words that a piece of equipment is not called by.
const NO_EQUIPMENT: [&str; 14] = [
    "job", "jobs", "quote", "house", "it", "them", "that", "client", "customer", "work", "hedge", "hedges", "place",
    "yard",
];

fn equipment_gone(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    let name = text(caps, words)?.to_lowercase();
    let named = name.split_whitespace().any(|word| !NO_EQUIPMENT.contains(&word));
    named.then(|| set(Setting::EquipmentGone(name))).flatten()
}

/// Without a word of costs: only what cannot be a job.
fn equipment_sold(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    let name = text(caps, words)?.to_lowercase();
    let job = name.split_whitespace().any(|word| NO_EQUIPMENT.contains(&word));
    (!job).then(|| set(Setting::EquipmentGone(name))).flatten()
}

pub(super) const ROWS: &[Row] = &[
    (
        "set: wage",
        4,
        "[my our the]? [wage wages labor] ~ #money #perhour?",
        |c, _| set(Setting::Wage(money(c)?)),
    ),
    (
        "set: wage",
        4,
        "[i we]? pay (the | my) [guys men crew them him] ~ #money #perhour?",
        |c, _| set(Setting::Wage(money(c)?)),
    ),
    ("set: wage", 4, "[i we] pay [them him]? ~ #money #perhour?", |c, _| {
        set(Setting::Wage(money(c)?))
    }),
    ("set: burden", 4, "[labor]? [burden] ~ #pct", |c, _| {
        set(Setting::Burden(percent(c)?))
    }),
    ("set: burden", 4, "#pct [labor]? [burden]", |c, _| {
        set(Setting::Burden(percent(c)?))
    }),
    (
        "set: overhead",
        4,
        "[my our the]? [overhead] ([runs costs comes] (me | us | to)? | ~) #money ([a per each] month | monthly | / month | / mo | [a per] mo)?",
        |c, _| overhead(c, false),
    ),
    (
        "set: overhead by the year",
        6,
        "[my our the]? [overhead] ([runs costs comes] (me | us | to)? | ~) #money ([a per each] year | yearly | annually | / year | / yr | [a per] yr)",
        |c, _| overhead(c, true),
    ),
    (
        "set: billable hours",
        4,
        "#num [billable] <hour> ([a per each] month | monthly | / month)?",
        |c, _| billable(c, false),
    ),
    (
        "set: billable hours",
        4,
        "[billable] <hour> ~ #num ([a per each] month | monthly | / month)?",
        |c, _| billable(c, false),
    ),
    (
        "set: billable hours by the year",
        6,
        "#num [billable] <hour> ([a per each] year | yearly | / year)",
        |c, _| billable(c, true),
    ),
    (
        "set: billable hours by the year",
        6,
        "[billable] <hour> ~ #num ([a per each] year | yearly | / year)",
        |c, _| billable(c, true),
    ),
    ("set: margin", 4, "[profit target my]? [margin] ~ #pct", |c, _| {
        set(Setting::Margin(percent(c)?))
    }),
    ("set: margin", 4, "#pct [profit]? [margin]", |c, _| {
        set(Setting::Margin(percent(c)?))
    }),
    (
        "set: equipment",
        5,
        "[equipment] ~ #money (over | for | [lasts lasting]) #num [years year yrs yr]",
        |c, w| equipment(c, w),
    ),
    (
        "set: equipment",
        5,
        "#name [cost costs]? #money (over | for | , | and)? [lasts lasting]? #num [years year yrs yr]",
        |c, w| equipment(c, w),
    ),
    (
        "set: equipment gone",
        9,
        "(drop | remove | take | take out | take off | leave out | kill | lose | delete | scrap | pull) (the | my | our)? (old)? #name (out)? (of | from | off | out of) (my | the | our)? (costs | cost | equipment | equipment list | build -? up | buildup | overhead | cost build -? up | cost buildup)",
        |c, w| equipment_gone(c, w),
    ),
    (
        "set: equipment gone",
        6,
        "(sold | i sold | we sold | just sold | i just sold | got rid of | i got rid of | we got rid of | traded in | i traded in | junked | scrapped | dont have | no longer have | i dont have) (the | my | our | that) (old)? #name (any more | anymore)?",
        |c, w| equipment_sold(c, w),
    ),
    (
        "set: equipment gone",
        6,
        "(the | my | our) (old)? #name (is | got | was | has been) (sold | stolen | junked | scrapped | traded in)",
        |c, w| equipment_sold(c, w),
    ),
];
