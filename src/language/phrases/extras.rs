//! Wordings that leave set-up, hauling, driving, fees, the minimum and the like out of a quote, or switch them off for good.

use rust_decimal::Decimal;

use super::{Phrase, Row, set};
use crate::language::meaning::{ExtraKind, Setting};

const ZERO: Decimal = Decimal::ZERO;

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
        "((no | without | drop the | kill the | stop the) markup (on)? (material | materials)? | (material | materials)? markup (is | at | = | to)? (off | none) | turn off (the)? markup)",
        |_, _| set(Setting::Markup(ZERO)),
    ),
];
