//! Wordings of work that comes back: every two weeks, monthly, twice a year.
//!
//! A quote is for one visit. How often there is one changes nothing in it and is told as not used; more than one visit, or
//! a sum for a stretch of time, would, and is asked about.

use super::{Phrase, Row, unsure};

pub(super) const ROWS: &[Row] = &[
    (
        "again: how often",
        4,
        "(on)? (a)? (every (single | other | second | third)? | each | once (a | every | per | each)) ([week month season spring summer fall autumn winter year day] | <weekday>) (schedule | basis | plan)?",
        |_, _| Some(Phrase::Aside),
    ),
    (
        "again: how often",
        5,
        "(every | once every) (other)? (#num | couple (of)? | few) (or so)? [weeks months days years week month day]",
        |_, _| unsure("how often"),
    ),
    (
        "again: how often",
        4,
        "(on)? (a)? ([weekly biweekly fortnightly monthly bimonthly quarterly yearly annually] | bi -? [weekly monthly]) (schedule | basis | plan | service | maintenance)?",
        |_, _| Some(Phrase::Aside),
    ),
    (
        "again: several visits",
        6,
        "(twice | two times | three times | #num (times | x | visits | cuts | mows)) (a | per | each | every) [week month season year]",
        |_, _| unsure("how many visits"),
    ),
    (
        "again: what was before",
        3,
        "last (year | season | month) (it | they | we | she | he | i)? (was | were | had | did)",
        |_, _| unsure("last time"),
    ),
    (
        "again: a sum for a time",
        3,
        "(at | for)? #money (a | per | each | every | /) [week month season year wk mo yr]",
        |_, _| unsure("a price by the week, month or year"),
    ),
    (
        "again: a sum for a time",
        4,
        "(at | for)? #money [monthly weekly yearly annually]",
        |_, _| unsure("a price by the week, month or year"),
    ),
];
