//! Wordings of what every client is told: how long an offer stands, the terms, what is not in the price.

use rust_decimal::Decimal;

use super::{Row, number, set, text, whole};
use crate::language::meaning::{Look, Meaning, Setting};
use crate::language::pattern::Cap;
use crate::language::words::Words;

/// Lines for clients as they were said, without what joined them to their name.
fn client_lines(caps: &[&Cap], words: &Words<'_>) -> Option<String> {
    let said = text(caps, words)?;
    let said = said.trim_start_matches([':', '=', '-', ',', ' ']);
    (!said.is_empty()).then(|| said.to_string())
}

/// What clients are told is not in the price.
fn not_included(said: &str) -> Setting {
    let nothing = ["nothing", "none", "nothing more", "nothing else"];
    let said = said.trim();
    let off = nothing.contains(&said.trim_end_matches('.').to_lowercase().as_str());
    Setting::NotIncluded((!off).then(|| said.to_string()))
}

pub(super) const ROWS: &[Row] = &[
    (
        "set: days an offer stands",
        6,
        "(my | our | the | all)? [quotes quote offers offer estimates estimate] (are | is | stay | stand | stays | stands)? [good valid] (for)? #num [days day]",
        |c, _| set(Setting::OfferDays(number(c)?)),
    ),
    (
        "set: days an offer stands",
        6,
        "(my | our | the | all)? [quotes quote offers offer estimates estimate] (are | is | stay | stand | stays | stands)? [good valid] (for)? #num [weeks week]",
        |c, _| set(Setting::OfferDays(number(c)? * Decimal::from(7))),
    ),
    (
        "set: days an offer stands",
        6,
        "(my | our | the | all)? [quotes quote offers offer estimates estimate] (are | is | stay | stand | stays | stands)? [good valid] (for)? [a one] month",
        |_, _| set(Setting::OfferDays(Decimal::from(30))),
    ),
    (
        "set: terms",
        6,
        "(my | our | the | client | quote)? terms (are | say)? ~ #rest",
        |c, w| set(Setting::ClientTerms(Some(client_lines(c, w)?))),
    ),
    (
        "set: no terms",
        7,
        "(no (own | more | extra | special)? terms | terms (off | none) | (the | my)? [standard usual default] terms)",
        |_, _| set(Setting::ClientTerms(None)),
    ),
    (
        "set: not included",
        6,
        "not (included | in the price | in price) ~ #rest",
        |c, w| set(not_included(&client_lines(c, w)?)),
    ),
    (
        "set: not included",
        6,
        "(my | our | all)? [quotes prices] ((do not | dont | never) include | exclude) ~ #rest",
        |c, w| set(not_included(&client_lines(c, w)?)),
    ),
    (
        "look: terms",
        5,
        "(show | list | what are | whats | what is)? (me)? (my | our | the)? (client | quote)? terms",
        |_, _| whole(Meaning::Look(Look::Terms)),
    ),
];
