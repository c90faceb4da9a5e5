//! Wordings that work a price backwards.

use rust_decimal::Decimal;

use super::{Phrase, Row, class, crew, man, minutes, money, numbers, percent, unit, whole};
use crate::language::meaning::{Meaning, Solve};
use crate::language::pattern::Cap;

fn solve(solve: Solve) -> Option<Phrase> {
    whole(Meaning::Solve(solve))
}

fn rate_at(caps: &[&Cap]) -> Option<Phrase> {
    let each = unit(caps).is_some_and(|u| u != Some(crate::language::meaning::Unit::Job));
    solve(Solve::RateAtPrice {
        price: money(caps)?,
        each,
        class: class(caps),
    })
}

fn fast_for(caps: &[&Cap]) -> Option<Phrase> {
    solve(Solve::MinutesForPrice {
        price: money(caps)?,
        each: unit(caps).is_some(),
        class: class(caps),
    })
}

fn if_takes(caps: &[&Cap]) -> Option<Phrase> {
    let each = unit(caps).is_some() || class(caps).is_some_and(|c| c.service.is_some() || c.size.is_some());
    solve(Solve::RateIfTime {
        minutes: minutes(caps)?,
        each,
        man_minutes: man(caps),
        crew: crew(caps),
        class: class(caps),
    })
}

fn chance(over: Decimal, under: Decimal) -> Option<Phrase> {
    if under <= Decimal::ZERO || over < Decimal::ZERO {
        return None;
    }
    solve(Solve::PriceForChance(over.checked_div(under)?))
}

fn compare(caps: &[&Cap]) -> Option<Phrase> {
    let rates = numbers(caps);
    (rates.len() >= 2 && rates.iter().all(|rate| *rate >= Decimal::TEN))
        .then(|| solve(Solve::CompareRates(rates)))
        .flatten()
}

pub(super) const ROWS: &[Row] = &[
    (
        "solve: rate at a price",
        8,
        "(what | how much) (do | would | will | am | are | can | did) [i we] (make | making | get | earn | clear | pull | net) (#perhour)? (at | for | on | if [i we] (charge | charged | get | take | ask | took | got)? (them | him | her)?  | if they pay)? #money (#perhour)? (for (it | this | that | all of it | the job))?",
        |c, _| rate_at(c),
    ),
    (
        "solve: rate at a price each",
        9,
        "(what | how much) (do | would | will | am | are | can | did) [i we] (make | making | get | earn | clear | pull | net) (#perhour)? (at | for | on | if [i we] (charge | charged | get | take | ask | took | got)? (them | him | her)? )? #moneyeach #each (#perhour)? (for | on)? #class?",
        |c, _| rate_at(c),
    ),
    (
        "solve: rate at a price",
        8,
        "(at | for | if [i we] (charge | charged | get | take | ask) (them | him | her)?) #money ,? (what | how much) (do | would | will | am) [i we] (make | making | get | earn | clear)? (#perhour)?",
        |c, _| rate_at(c),
    ),
    (
        "solve: rate at a price",
        8,
        "(at | for | if [i we] (charge | charged | get | take | ask) (them | him | her)?) #money ,? (whats | what is) (my | the | our) ([rate hourly] | #perhour)",
        |c, _| rate_at(c),
    ),
    (
        "solve: rate at a price each",
        9,
        "(at | for | if [i we] (charge | charged | get | take | ask) (them | him | her)?) #moneyeach #each ,? (what | how much) (do | would | will | am) [i we] (make | making | get | earn | clear)? (#perhour)?",
        |c, _| rate_at(c),
    ),
    (
        "solve: rate at a price",
        8,
        "(whats | what is | what) (my | the | our)? ([rate hourly] | hourly rate | rate #perhour) (is that | would that be | do i make | do we make | am i making | is it | will i make | would i make)? (at | for | if [i we] (charge | charged | get | take | ask) (them | him | her)?) #money",
        |c, _| rate_at(c),
    ),
    (
        "solve: rate at a price each",
        9,
        "(whats | what is | what) (my | the | our)? ([rate hourly] | hourly rate | rate #perhour) (is that | would that be | do i make | do we make | am i making | is it | will i make | would i make)? (at | for | if [i we] (charge | charged | get | take | ask) (them | him | her)?) #moneyeach #each (for | on)? #class?",
        |c, _| rate_at(c),
    ),
    (
        "solve: rate at a price",
        8,
        "(whats | what (is | does | would)) #money (make | come to | work out to | get | pay | mean | give) (me | us)? (#perhour)",
        |c, _| rate_at(c),
    ),
    (
        "solve: rate at a price",
        7,
        "[rate hourly] (made)? (at | for | if [i we] charge) #money",
        |c, _| rate_at(c),
    ),
    (
        "solve: rate at a price said",
        10,
        "(at | for | on | if (i | we | they | he | she | you | the client | the customer | the lady) (only | just | would | could)? (do | did | charge | charged | get | got | take | took | ask | pay | paid | pays | give | gave | offer | knock | drop | cut | go | went | call)? (it | them | that | me | us | him | her)? (at | for | to | down to | with)? | (i | we | they | he | she | you | the client | the customer | the lady) (only | just)? (offered | offers | offer | paid | pays | said | will pay | will only pay | would pay | want to pay | wants to pay | wanna pay | only want to pay | only has | only have | only got | has | have) (me | us)?) (only)? #money [even flat total]? ,? (whats | what is) (my | our | the) ([hourly] [rate]? | [rate] | #perhour)",
        |c, _| rate_at(c),
    ),
    (
        "solve: rate at a price said",
        10,
        "(at | for | on | if (i | we | they | he | she | you | the client | the customer | the lady) (only | just | would | could)? (do | did | charge | charged | get | got | take | took | ask | pay | paid | pays | give | gave | offer | knock | drop | cut | go | went | call)? (it | them | that | me | us | him | her)? (at | for | to | down to | with)? | (i | we | they | he | she | you | the client | the customer | the lady) (only | just)? (offered | offers | offer | paid | pays | said | will pay | will only pay | would pay | want to pay | wants to pay | wanna pay | only want to pay | only has | only have | only got | has | have) (me | us)?) (only)? #money [even flat total]? (for (it | this | that | everything | the job))? ,? (what | whats | how much) (is | s | would | does | do | will | am | are | did)? (that | it | i | we)? (be | at | make | making | made | clear | clearing | get | getting | earn | come to | come out to | come out at | work out to | mean)? (me | us)? (#perhour | hourly) (for (it | this | that))?",
        |c, _| rate_at(c),
    ),
    (
        "solve: rate at a price said",
        10,
        "(at | for | on | if (i | we | they | he | she | you | the client | the customer | the lady) (only | just | would | could)? (do | did | charge | charged | get | got | take | took | ask | pay | paid | pays | give | gave | offer | knock | drop | cut | go | went | call)? (it | them | that | me | us | him | her)? (at | for | to | down to | with)? | (i | we | they | he | she | you | the client | the customer | the lady) (only | just)? (offered | offers | offer | paid | pays | said | will pay | will only pay | would pay | want to pay | wants to pay | wanna pay | only want to pay | only has | only have | only got | has | have) (me | us)?) (only)? #money [even flat total]? (for (it | this | that | everything | the job))? ,? (what | how much) (do | would | will | am | are | did) [i we] (make | making | clear | clearing | get | getting | earn | net | pull) (for (it | this | that))?",
        |c, _| rate_at(c),
    ),
    (
        "solve: rate at a price said",
        10,
        "(what | whats | how much) (is | s | would | does | do | will | am | are | did)? (that | it | i | we)? (be | at | make | making | made | clear | clearing | get | getting | earn | come to | come out to | come out at | work out to | mean)? (me | us)? (#perhour | hourly) (with)? (at | for | on | if (i | we | they | he | she | you | the client | the customer | the lady) (only | just | would | could)? (do | did | charge | charged | get | got | take | took | ask | pay | paid | pays | give | gave | offer | knock | drop | cut | go | went | call)? (it | them | that | me | us | him | her)? (at | for | to | down to | with)? | (i | we | they | he | she | you | the client | the customer | the lady) (only | just)? (offered | offers | offer | paid | pays | said | will pay | will only pay | would pay | want to pay | wants to pay | wanna pay | only want to pay | only has | only have | only got | has | have) (me | us)?) (only)? #money [even flat total]?",
        |c, _| rate_at(c),
    ),
    (
        "solve: rate at a price said",
        10,
        "(what | how much) (do | would | will | am | are | did) [i we] (make | making | clear | clearing | get | getting | earn | net | pull) (#perhour)? (with)? (at | for | on | if (i | we | they | he | she | you | the client | the customer | the lady) (only | just | would | could)? (do | did | charge | charged | get | got | take | took | ask | pay | paid | pays | give | gave | offer | knock | drop | cut | go | went | call)? (it | them | that | me | us | him | her)? (at | for | to | down to | with)? | (i | we | they | he | she | you | the client | the customer | the lady) (only | just)? (offered | offers | offer | paid | pays | said | will pay | will only pay | would pay | want to pay | wants to pay | wanna pay | only want to pay | only has | only have | only got | has | have) (me | us)?) (only)? #money [even flat total]?",
        |c, _| rate_at(c),
    ),
    (
        "solve: rate at a price said",
        10,
        "#money [even flat total]? ,? (what | whats | how much) (is | s | would | does | do | will | am | are | did)? (that | it | i | we)? (be | at | make | making | made | clear | clearing | get | getting | earn | come to | come out to | come out at | work out to | mean)? (me | us)? (#perhour | hourly)",
        |c, _| rate_at(c),
    ),
    (
        "solve: minutes for a price",
        9,
        "(what | how many) minutes each (for | to (charge | get | make | hit) | at) #moneyeach #each (for | on)? #class?",
        |c, _| fast_for(c),
    ),
    (
        "solve: minutes for a price",
        10,
        "(how (fast | quick | quickly)) (do | must | should | would | will | can)? [i we] (have to | need to | got to | gotta)? (do | get) (em | them | these | those | it) (done)? (to (charge | make | get | hit | do | sell) | for | at) #moneyeach #each (for | on)? #class?",
        |c, _| fast_for(c),
    ),
    (
        "solve: rate if it takes",
        10,
        "(what if | if | say) (it | this | that | the job) (takes | take | took) #crew #dur ,? ((what | whats) (is | s)? (my | the)? ([rate] | do [i we] make (#perhour)?))?",
        |c, _| if_takes(c),
    ),
    (
        "solve: rate if it takes",
        10,
        "(if | when | say) (the)? #crew (take | takes | took | spend | need | work) #dur ,? (what | whats | how much) (is | s | would | does | do | will | am | are | did)? (that | it | i | we)? (be | at | make | making | made | clear | clearing | get | getting | earn | come to | come out to | come out at | work out to | mean)? (me | us)? (#perhour | hourly)",
        |c, _| if_takes(c),
    ),
    (
        "solve: rate if it takes",
        10,
        "(if | when | say) (the)? #crew (take | takes | took | spend | need | work) #dur ,? (what | how much) (do | would | will | am | are | did) [i we] (make | making | clear | clearing | get | getting | earn | net | pull) (#perhour)?",
        |c, _| if_takes(c),
    ),
    (
        "solve: price for a rate",
        10,
        "(what | how much) (should | do | would | must | could | will) [i we] (charge | ask | quote | bid | price | have to charge | need to charge) (it)? (if [i we] (want | need | wanna | am | are) (to (make | get | hit | earn | clear) | make | get)?) #money #perhour?",
        |c, _| price_for(c),
    ),
    (
        "solve: price for a rate",
        10,
        "(if | when) [i we] (want | need | wanna) (to (make | get | hit | earn | clear) | make | get)? #money #perhour ,? (what | how much) (should | do | would | will) [i we] (charge | ask | quote | bid | price) (it)?",
        |c, _| price_for(c),
    ),
    (
        "solve: minutes for a price",
        8,
        "(how (fast | quick | quickly) | what pace) (do | must | should | would | will | can)? ([i we] (have to | need to | got to | gotta)? (be | go | work | move)?)? (to (charge | make | get | hit | do | sell | earn))? (at | for | on)? #moneyeach #each (for | on)? #class?",
        |c, _| fast_for(c),
    ),
    (
        "solve: minutes for a price",
        10,
        "(if)? [i we] (charge | charged | get | got | make | made | sell | sold) (them | em | these | it)? (for | at)? #moneyeach #each ,? (how (fast | quick | quickly) | what pace) (do | must | would | should)? ([i we] (have to | need to | got to | gotta)?)? (go | be | work | move | do it)?",
        |c, _| fast_for(c),
    ),
    (
        "solve: minutes for a price of a kind",
        8,
        "(how (fast | quick | quickly)) (do | must | should | would | will | can)? ([i we] (have to | need to | got to | gotta)? (be | go | work | move)?)? (on | with | to do | do)? #class (to (charge | make | get | hit | do | sell) | at | for) #moneyeach #each?",
        |c, _| fast_for(c),
    ),
    (
        "solve: minutes for a price",
        8,
        "(how (fast | quick | quickly)) (do | must | should | would | will | can)? ([i we] (have to | need to | got to | gotta)? (be | go | work | move)?)? (to (charge | make | get | hit | do | sell) (it | this | that)?)? (at | for | on)? #money (total | for the job | for the lot | for everything | for it | for all of it)?",
        |c, _| fast_for(c),
    ),
    (
        "solve: minutes for a price",
        8,
        "(how (many minutes | long | much time)) (each)? (do | can | must | should | would | will | have)? ([i we] (have to | need to | got to | gotta | have | got | get | take | spend)?)? (each)? (to (charge | make | get | hit | do | sell))? (at | for | on | if [i we] charge)? #moneyeach #each (for | on)? #class?",
        |c, _| fast_for(c),
    ),
    (
        "solve: minutes for a price",
        8,
        "(how (many minutes | long | much time)) (do | can | must | should | would | will | have)? ([i we] (have to | need to | got to | gotta | have | got | get | take | spend)?)? (to (charge | make | get | hit | do | sell))? (at | for | on | if [i we] charge) #money (total | for the job | for the lot | for everything | for it)?",
        |c, _| fast_for(c),
    ),
    (
        "solve: rate if it takes",
        8,
        "(what | whats) (is | s)? (my | the | our)? ([rate] | do [i we] make (#perhour)? | am i making | would [i we] make (#perhour)? | [rate] do [i we] make | [rate] is that | hourly) (if | when) (it | this | that | the job | they) (takes | take | took) (us | me)? #dur #each? #crew?",
        |c, _| if_takes(c),
    ),
    (
        "solve: rate if it takes",
        8,
        "(what | whats)? (is | s)? (my | the | our)? ([rate] | do [i we] make (#perhour)? | would [i we] make (#perhour)? | [rate] do [i we] make | hourly) if (the)? #class (takes | take | took) #mins #each? #crew?",
        |c, _| if_takes(c),
    ),
    (
        "solve: rate if it takes",
        7,
        "(if | what if | say) (it | this | that | the job) (takes | take | took) (us | me)? #dur #crew? ,? ((what | whats) (is | s)? (my | the)? ([rate] | do [i we] make (#perhour)?))?",
        |c, _| if_takes(c),
    ),
    (
        "solve: price for a chance",
        9,
        "(price | price it | quote it | charge)? so [i we] make (my | the | our)? (rate | #perhour | target) #num (times | time)? (in | out of | of | / ) #num (times)?",
        |c, _| {
            let n = numbers(c);
            chance(*n.first()?, *n.get(1)?)
        },
    ),
    (
        "solve: price for a chance",
        9,
        "(whats | what is)? (the | a)? price (it | me)? (to | that | where | for | which) ([i we])? (make | makes | making | hit | hits) (my | the | our)? (rate | target) #num (times | time)? (in | out of | of | / ) #num (times)?",
        |c, _| {
            let n = numbers(c);
            chance(*n.first()?, *n.get(1)?)
        },
    ),
    (
        "solve: price for a chance",
        9,
        "(price | price it | quote it | charge)? (so [i we] (make | hit) (my | the | our)? (rate | target))? (#pct) (of the time | chance | sure | certain | odds) (of [making hitting] (my | the)? (rate | target))?",
        |c, _| chance(percent(c)?, Decimal::ONE_HUNDRED),
    ),
    (
        "solve: price for a chance",
        9,
        "(price | price it | price for | price at | be | whats the price for) (so | to be | a)? #pct (of the time | chance | sure | certain | odds) (of [making hitting] (my | the)? (rate | target))?",
        |c, _| chance(percent(c)?, Decimal::ONE_HUNDRED),
    ),
    (
        "solve: price for a rate",
        8,
        "(what | how much) (should | do | would | must | could) [i we] (charge | ask | quote | bid | price) (it)? (at | for | to (make | get | hit | earn | clear)) #money #perhour?",
        |c, _| price_for(c),
    ),
    (
        "solve: price for a rate",
        7,
        "(price | whats it | what is it | whats the price | what is the price | what does it come to) (this | it | that)? (at | for | to make | if [i we] (want | need) (to make)?) #money #perhour",
        |c, _| price_for(c),
    ),
    (
        "solve: rates side by side",
        9,
        "(compare)? [rate rates] :? (at | of)? #money ,? (and | or | vs | versus)? #money (,? (and | or | vs | versus)? #money)? (,? (and | or | vs | versus)? #money)? (,? (and | or)? #money)?",
        |c, _| compare(c),
    ),
    (
        "solve: rates side by side",
        9,
        "(compare | show (me)? | side by side) (at | rates)? #money (#perhour)? (, | and | or | vs | versus | with | to | against)? #money (,? (and | or | vs | versus)? #money)? (,? (and | or | vs | versus)? #money)? (#perhour)?",
        |c, _| compare(c),
    ),
    (
        "solve: break-even",
        8,
        "(whats | what is | show | where is | wheres)? (my | the | our)? (break -? even | breakeven) (rate | point | price)?",
        |_, _| solve(Solve::BreakEven),
    ),
    (
        "solve: break-even",
        8,
        "(what do [i we] need to break even | what rate breaks even)",
        |_, _| solve(Solve::BreakEven),
    ),
    (
        "solve: rate if it takes",
        9,
        "(what | whats) (is | s)? (my | the | our)? ([rate] | do [i we] make (#perhour)? | would [i we] make (#perhour)? | [rate] do [i we] make | hourly) (if | when) (it | this | that | the job)? (takes | take | took)? (the)? #crew (take | takes | took | spend | work | need)? #dur #each?",
        |c, _| if_takes(c),
    ),
    (
        "solve: rate if it takes",
        9,
        "(what | how much) (does | would | do | will) (it | that | this | [i we]) (come to | make | work out to | pay | be) (#perhour)? (if | when | with) (it | this | that)? (takes | take | took)? (the)? #crew (take | takes | took | spend | work | need | needs)? #dur #each?",
        |c, _| if_takes(c),
    ),
    (
        "solve: rate if it takes",
        9,
        "(what | how much) (does | would | do | will) (it | that | this | [i we]) (come to | make | work out to | pay | be) (#perhour)? (if | when) (it | this | that | [i we]) (takes | take | took | spend | need) (us | me)? #dur #each? #crew?",
        |c, _| if_takes(c),
    ),
    (
        "solve: price for a rate",
        8,
        "(what | how much) (would | do | will) [i we] (have | need) to (charge | ask | get) (to (make | get | hit | earn | clear) | at | for) #money #perhour?",
        |c, _| price_for(c),
    ),
    (
        "solve: price for a rate",
        8,
        "(what | which) price (makes | gets | gives | is | for | at) (me | us)? #money #perhour",
        |c, _| price_for(c),
    ),
    (
        "solve: rate at a price",
        9,
        "(at | for | if [i we] (charge | charged | get | take | ask) (them | him | her)?) #money ,? (whats | what is | what does) (that | it)? (come to | make | work out to)? (me | us)? #perhour",
        |c, _| rate_at(c),
    ),
];

fn price_for(caps: &[&Cap]) -> Option<Phrase> {
    solve(Solve::PriceForRate { rate: money(caps)? })
}
