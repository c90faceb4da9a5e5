//! Wordings that charge set-up, hauling, driving, fees and tax at the account's own figures, leave them, the minimum and the
//! like out of a quote, or switch them off for good.

use rust_decimal::Decimal;

use super::{Phrase, Row, money, set, unsure};
use crate::language::meaning::{Change, ExtraKind, Setting};
use crate::language::pattern::Cap;
use crate::language::words::Words;

const ZERO: Decimal = Decimal::ZERO;

/// Charged, at the account's own figure.
fn with(what: ExtraKind) -> Option<Phrase> {
    Some(Phrase::Change(vec![Change::With(what)]))
}

/// `on the house`: what of it, and whether the price goes on, is for the owner to say.
fn given_away(_: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    unsure(words.tokens.text.trim())
}

/// `haul $25`: what goes by minutes, said in money. Whether it can be is not for the reader to say.
fn by_money(what: ExtraKind, caps: &[&Cap]) -> Option<Phrase> {
    Some(Phrase::Change(vec![Change::ExtraMoney(what, money(caps)?)]))
}

pub(super) const ROWS: &[Row] = &[
    (
        "extra: none",
        3,
        "(([no skip without forget drop kill remove lose minus] | leave out | leave off | take off | take out | cut out | (dont | not) (charge | charging | do | include | add | count) (for)?) (the | any | that)? (set -? up | setup) [time]? | no setting up)",
        |_, _| Some(Phrase::Extra(ExtraKind::SetUp, None)),
    ),
    (
        "extra: none",
        3,
        "([no skip without forget drop kill remove lose minus] | leave out | leave off | take off | take out | cut out | (dont | not) (charge | charging | do | include | add | count) (for)?) (the | any | that)? [haul hauling] [off away]?",
        |_, _| Some(Phrase::Extra(ExtraKind::Haul, None)),
    ),
    (
        "extra: none",
        3,
        "([no skip without forget drop kill remove lose minus] | leave out | leave off | take off | take out | cut out | (dont | not) (charge | charging | do | include | add | count) (for)?) (the | any | that)? [drive driving travel] [time]?",
        |_, _| Some(Phrase::Extra(ExtraKind::Drive, None)),
    ),
    (
        "extra: none",
        3,
        "([no skip without forget drop kill remove lose minus] | leave out | leave off | take off | take out | cut out | (dont | not) (charge | charging | do | include | add | count) (for)?) (the | any | that)? [dump dumping disposal] [fee fees run]?",
        |_, _| Some(Phrase::Extra(ExtraKind::DumpFee, None)),
    ),
    (
        "extra: none",
        3,
        "([no skip without forget drop kill remove lose ignore] | leave out | leave off | take off | dont use) (the | my)? minimum [charge]?",
        |_, _| Some(Phrase::Extra(ExtraKind::Minimum, None)),
    ),
    ("extra: none", 3, "[no without skip drop] the? rounding", |_, _| {
        Some(Phrase::Extra(ExtraKind::Rounding, None))
    }),
    (
        "extra: none",
        3,
        "([no without drop remove lose cancel] the? discount | full price)",
        |_, _| Some(Phrase::Extra(ExtraKind::Discount, None)),
    ),
    ("extra: none", 3, "[no without skip drop] the? [sales]? tax", |_, _| {
        Some(Phrase::Extra(ExtraKind::Tax, None))
    }),
    (
        "extra: charged",
        4,
        "(add | plus | with | and | charge | include | throw in | put on | put in) (on | in | for)? (the | a | my | our)? (set -? up | setup) [time fee charge]?",
        |_, _| with(ExtraKind::SetUp),
    ),
    (
        "extra: charged",
        4,
        "(add | plus | with | and | charge | include | throw in | put on | put in) (on | in | for)? (the | a | my | our)? [haul hauling] [off away fee charge]?",
        |_, _| with(ExtraKind::Haul),
    ),
    (
        "extra: charged",
        4,
        "(add | plus | with | and | charge | include | throw in | put on | put in) (on | in | for)? (the | a | my | our)? ([drive driving travel] [time fee charge] | driving | travel)",
        |_, _| with(ExtraKind::Drive),
    ),
    (
        "extra: charged",
        4,
        "(add | plus | with | and | charge | include | throw in | put on | put in) (on | in | for)? (the | a | my | our)? [dump dumping disposal] [fee fees charge run]?",
        |_, _| with(ExtraKind::DumpFee),
    ),
    (
        "extra: charged",
        4,
        "(add | plus | with | and | charge | include | throw in | put on | put in) (on | in | for)? (the | a | my | our)? (sales)? [tax taxes]",
        |_, _| with(ExtraKind::Tax),
    ),
    (
        "extra: by money",
        6,
        "[haul hauling] [off away time fee charge]? ~ #dollars",
        |c, _| by_money(ExtraKind::Haul, c),
    ),
    (
        "extra: by money",
        6,
        "#dollars (for)? [haul hauling] [off away time fee charge]?",
        |c, _| by_money(ExtraKind::Haul, c),
    ),
    (
        "extra: by money",
        6,
        "(set -? up | setup) [time fee charge]? ~ #dollars",
        |c, _| by_money(ExtraKind::SetUp, c),
    ),
    (
        "extra: by money",
        6,
        "#dollars (for)? (set -? up | setup) [time fee charge]?",
        |c, _| by_money(ExtraKind::SetUp, c),
    ),
    (
        "extra: by money",
        6,
        "[drive driving travel] [time fee charge]? ~ #dollars",
        |c, _| by_money(ExtraKind::Drive, c),
    ),
    (
        "extra: by money",
        6,
        "#dollars (for)? [drive driving travel] [time fee charge]?",
        |c, _| by_money(ExtraKind::Drive, c),
    ),
    (
        "given away",
        4,
        "(on the house | free of charge | for free | no charge)",
        given_away,
    ),
    (
        "set: extra off",
        8,
        "([no without] | stop [charging adding counting doing]? (for)? | turn off | kill | get rid of) (the | my | any)? (set -? up | setup) [time]? (any more | anymore | ever | from now on | at all | on anything | on any [quotes jobs])",
        |_, _| set(Setting::ExtraMinutes(ExtraKind::SetUp, ZERO)),
    ),
    (
        "set: extra off",
        8,
        "([no without] | stop [charging adding counting doing]? (for)? | turn off | kill | get rid of) (the | my | any)? [haul hauling] [off away]? (any more | anymore | ever | from now on | at all | on anything | on any [quotes jobs])",
        |_, _| set(Setting::ExtraMinutes(ExtraKind::Haul, ZERO)),
    ),
    (
        "set: extra off",
        8,
        "([no without] | stop [charging adding counting doing]? (for)? | turn off | kill | get rid of) (the | my | any)? [drive driving travel] [time]? (any more | anymore | ever | from now on | at all | on anything | on any [quotes jobs])",
        |_, _| set(Setting::ExtraMinutes(ExtraKind::Drive, ZERO)),
    ),
    (
        "set: extra off",
        8,
        "([no without] | stop [charging adding counting doing]? (for)? | turn off | kill | get rid of) (the | my | any)? [dump dumping disposal] [fee fees charge]? (any more | anymore | ever | from now on | at all | on anything | on any [quotes jobs])",
        |_, _| set(Setting::ExtraMoney(ExtraKind::DumpFee, ZERO)),
    ),
    (
        "set: extra off",
        8,
        "([no without] | stop [charging adding counting doing]? (for)? | turn off | kill | get rid of) (the | my | any)? minimum [charge price job]? (any more | anymore | ever | from now on | at all | on anything | on any [quotes jobs])",
        |_, _| set(Setting::ExtraMoney(ExtraKind::Minimum, ZERO)),
    ),
    (
        "set: extra off",
        7,
        "(turn off | stop [charging adding counting doing]? (for)? | get rid of)  (the | my | any)? (set -? up | setup) [time]?",
        |_, _| set(Setting::ExtraMinutes(ExtraKind::SetUp, ZERO)),
    ),
    (
        "set: extra off",
        7,
        "(turn off | stop [charging adding counting doing]? (for)? | get rid of) (the | my | any)? [haul hauling] [off away]?",
        |_, _| set(Setting::ExtraMinutes(ExtraKind::Haul, ZERO)),
    ),
    (
        "set: extra off",
        7,
        "(turn off | stop [charging adding counting doing]? (for)? | get rid of) (the | my | any)? [drive driving travel] [time]?",
        |_, _| set(Setting::ExtraMinutes(ExtraKind::Drive, ZERO)),
    ),
    (
        "set: extra off",
        7,
        "(turn off | stop [charging adding counting doing]? (for)? | get rid of) (the | my | any)? [dump dumping disposal] [fee fees charge]?",
        |_, _| set(Setting::ExtraMoney(ExtraKind::DumpFee, ZERO)),
    ),
    (
        "set: extra off",
        7,
        "(set -? up | setup) [time]? (is)? [off none] (from now on | for now | everywhere)?",
        |_, _| set(Setting::ExtraMinutes(ExtraKind::SetUp, ZERO)),
    ),
    (
        "set: extra off",
        7,
        "[haul hauling] [off away]? (is)? [off none] (from now on | for now | everywhere)?",
        |_, _| set(Setting::ExtraMinutes(ExtraKind::Haul, ZERO)),
    ),
    (
        "set: extra off",
        7,
        "[drive driving travel] [time]? (is)? [off none] (from now on | for now | everywhere)?",
        |_, _| set(Setting::ExtraMinutes(ExtraKind::Drive, ZERO)),
    ),
    (
        "set: extra off",
        7,
        "[dump dumping disposal] [fee fees charge] (is)? [off none] (from now on | for now | everywhere)?",
        |_, _| set(Setting::ExtraMoney(ExtraKind::DumpFee, ZERO)),
    ),
    (
        "set: extra off",
        7,
        "(no)? minimum [charge price job]? (is)? [off none] (from now on | for now | everywhere)?",
        |_, _| set(Setting::ExtraMoney(ExtraKind::Minimum, ZERO)),
    ),
    (
        "set: extra off",
        7,
        "([no stop kill] [rounding] | turn off rounding | rounding off | dont round) (any more | anymore | from now on | at all)",
        |_, _| set(Setting::Round { step: ZERO, up: false }),
    ),
    (
        "set: markup off",
        6,
        "((material | materials)? markup (is | at | = | to)? (off | none) (from now on | for now | everywhere)? | (turn off | stop [charging adding putting]? | get rid of) (the | my | any)? markup | [no without] (the | my | any)? markup (on)? (material | materials)? (any more | anymore | ever | from now on | at all | on anything | on any [quotes jobs]))",
        |_, _| set(Setting::Markup(ZERO)),
    ),
    (
        "extra: none",
        5,
        "([no skip without forget drop kill remove lose minus] | leave out | leave off | take off | take out | cut out | (dont | not) (charge | charging | include | add | count | use) (for)?) (the | any | that | my)? markup (on | of)? (the)? (material | materials)?",
        |_, _| Some(Phrase::Extra(ExtraKind::Markup, None)),
    ),
];
