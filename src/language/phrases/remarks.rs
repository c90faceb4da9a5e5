//! Wordings of what is seen in the yard: wires, bees, dead wood, ladders, weather, noise, weights, and what a client wants.
//!
//! A remark goes beside whatever else is said (`12 small crapes, wires over them`), so it is a phrase that parts nothing.

use rust_decimal::Decimal;

use super::guide::said;
use super::plant_words::{any_of, spare_number, stretch};
use super::recount::how_tall;
use super::{Phrase, Row, number, numbers, percent};
use crate::language::asked::GuideAbout;
use crate::language::pattern::Cap;
use crate::language::words::Words;

fn heard(about: GuideAbout, words: &Words<'_>) -> Option<Phrase> {
    Some(Phrase::Heard(said(about, words)))
}

fn remark(_: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    heard(GuideAbout::Remark, words)
}

fn heat(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    let humidity = percent(caps).or_else(|| numbers(caps).get(1).copied());
    weather(number(caps), humidity, None, words)
}

/// Humidity before the temperature.
fn heat_turned(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    weather(number(caps), percent(caps), None, words)
}

fn wind(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    let figures = numbers(caps);
    weather(figures.first().copied(), None, figures.get(1).copied(), words)
}

/// Degrees Fahrenheit that a bare figure beside a word of the day can be.
const DEGREES: (i64, i64) = (-40, 130);

/// `its 102 today`: a temperature by its size and the words beside it.
fn air(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    let figure = number(caps)?;
    let fits = figure >= Decimal::from(DEGREES.0) && figure <= Decimal::from(DEGREES.1);
    weather(Some(figure).filter(|_| fits), None, None, words).filter(|_| fits)
}

fn feels_like(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    figure(caps, words, GuideAbout::FeelsLike)
}

fn wind_alone(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    weather(None, None, number(caps), words)
}

fn weather(
    fahrenheit: Option<Decimal>,
    humidity: Option<Decimal>,
    wind: Option<Decimal>,
    words: &Words<'_>,
) -> Option<Phrase> {
    let about = GuideAbout::Weather {
        fahrenheit,
        humidity,
        wind,
    };
    heard(about, words)
}

/// Stretches of noise: a time and a level, in either order; a level alone has no time.
fn noise(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    let (mut stretches, mut minutes, mut level) = (Vec::new(), None, None);
    for cap in caps {
        match cap {
            Cap::Mins(said, ..) => minutes = Some(said.minutes),
            Cap::Num(value) => level = Some(*value),
            _ => {}
        }
        if let (Some(time), Some(decibels)) = (minutes, level) {
            stretches.push((time, decibels));
            (minutes, level) = (None, None);
        }
    }
    stretches.extend(level.map(|decibels| (Decimal::ZERO, decibels)));
    (!stretches.is_empty())
        .then(|| heard(GuideAbout::Noise(stretches), words))
        .flatten()
}

fn figure(caps: &[&Cap], words: &Words<'_>, about: fn(Decimal) -> GuideAbout) -> Option<Phrase> {
    heard(about(number(caps)?), words)
}

/// `thunder 10 seconds after the flash`.
fn thunder(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    let part = stretch(caps);
    (!spare_number(words, part, None))
        .then(|| heard(GuideAbout::Remark, words))
        .flatten()
}

/// Words that say what was cut where topping is meant.
const CUT_OFF: [&str; 9] = [
    "cut", "cutting", "chopped", "chop", "whacked", "whack", "hacked", "lopped", "taken",
];

/// `wants his oak topped`, `wants all the tops cut off`, `wants the pear cut in half`: the plant need not be on the list.
fn wants_it_topped(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    let part = stretch(caps);
    let by_name = any_of(
        words,
        part,
        &["topped", "topping", "hatracked", "pollarded", "murder", "murdered"],
    );
    let row =
        |list: &[&str]| (part.0..part.1).any(|at| (0..list.len()).all(|next| words.spelled(at + next, list[next])));
    let cut = any_of(words, part, &CUT_OFF);
    let by_words = cut
        && (any_of(words, part, &["tops", "stubs", "flat"])
            || row(&["in", "half"])
            || row(&["way", "down"])
            || row(&["way", "back"])
            || row(&["back", "hard"]));
    ((by_name || by_words) && !spare_number(words, part, None))
        .then(|| heard(GuideAbout::WantsTopped, words))
        .flatten()
}

pub(super) const ROWS: &[Row] = &[
    (
        "remark: something there",
        6,
        "(careful | watch | watch out | watch out for | heads up | mind | look out | look out for | beware)? (there is | theres | there are | there was | there | got | weve got | we got | they got | theyve got | has | have | having | with | saw | spotted | found | looks like | lots of | i see | we see | see)? (a | an | the | some | big | live | old | low | lot of | couple)? (power lines | power line | powerlines | powerline | wires | wire | overhead lines | overhead line | electric lines | electric line | electric wires | utility lines | utility line | service drop | service line | transformer | power pole | utility pole | telephone pole | light pole | dead limbs | dead limb | dead wood | deadwood | dead branches | dead branch | dead tree | dead trees | dead top | hanger | hangers | hanging limb | hanging branch | widow maker | widowmaker | broken limb | broken limbs | broken branch | cracked limb | split limb | bees | wasps | hornets | yellow jackets | yellowjackets | bee nest | bees nest | wasp nest | wasps nest | hornet nest | hornets nest | hive | beehive | bee hive | fire ants | poison ivy | poison oak | poison sumac | nest | nests | bird nest | birds nest | bird nests | birds nesting | bird nesting | eggs | baby birds | lightning | thunder | thunderstorm | thunderstorms | storm coming | traffic | stump | stumps) (in it | in them | on it)? ((right | running | hanging | all | that run | run)? (over | above | near | in | around | by | close | close to | under | through | on | next to | at | inside | behind | across | along | up | touching | overhead | everywhere | coming | rolling in | coming in) (it | them | the | that | this | these | those | one | my | her | his | there | here | of)? (#class | house | driveway | top | back | front | fence | eaves | roof | roofline | yard | bed | beds | shed | garage | sidewalk | porch | deck | canopy | crown | ground | trunk)?)?",
        remark,
    ),
    (
        "remark: lines over it",
        6,
        "(there is | theres | there are | with | got | has)? (the | some)? (lines | line) (right | running | run | runnin | going | goin | hanging)? (over | above | near | through | overhead | touching) (it | them | the | that | this | these | those | one | top)? (#class | house | top | driveway | crown)?",
        remark,
    ),
    (
        "remark: gear",
        5,
        "(need | needs | need to use | gonna need | going to need | will need | well need | have to use | got to use | using | use | bring | get | off | on | from | with | requires | takes)? (a | the | an | my | our)? (big | tall | little)? (ladder | ladders | ladder work | extension ladder | step ladder | stepladder | orchard ladder | chainsaw | chain saw | pole saw | polesaw | bucket truck | herbicide | weed killer | weedkiller) (work | for that | for it | for them | for this | for the top | for the tops)?",
        remark,
    ),
    (
        "remark: work",
        5,
        "(have to | has to | got to | gotta | need to | gonna | going to | will | well | want us to | wants us to | wants me to)? (climb | climb it | climb up | dig | dig it out | dig it up | dig them up | dig them out | dig out the stump | spray | spray it | spray them | spray for weeds | spraying for weeds | spraying the weeds | spray the weeds | spray weeds | kill the weeds | grind the stump | grind the stumps | grind it out | fell it | take it down | cut it down | take the tree down | take that tree down)",
        remark,
    ),
    (
        "remark: dead",
        6,
        "(half | most | part | some | one side | the top) (of)? (the | that | this | it)? (#class | tree | oak | maple)? (is | are | looks | look) (dead | rotten | rotted | dying)",
        remark,
    ),
    (
        "remark: weather",
        4,
        "(its | it is | getting | its getting | looks | feels) (really | pretty | super | too | damn)? (windy | gusty | hot | humid | freezing | icy | cold | storming | thundering) (out | outside | today | up here | here | as hell | there)?",
        remark,
    ),
    (
        "remark: weather",
        3,
        "(windy | gusty | thundering | sweltering | blowing hard) (out | outside | today | up here | here)?",
        remark,
    ),
    (
        "remark: weight",
        4,
        "(some | really | pretty | lots of)? heavy (logs | log | limbs | limb | bags | bag | stuff | lifting | rocks | stones | boulders)",
        remark,
    ),
    (
        "remark: road",
        5,
        "(working | parked | were | truck) (in | by | along | on | next to) (the | a)? (busy)? (road | street | highway)",
        remark,
    ),
    (
        "remark: road",
        4,
        "(its | on | by)? (a | the)? busy (road | street | highway)",
        remark,
    ),
    (
        "remark: battery",
        5,
        "(the | my | a)? (battery | pack) (is | looks | got)? (swollen | hot | smoking | bulging | jammed)",
        remark,
    ),
    (
        "remark: battery",
        5,
        "(swollen | bulging | hot) (battery | pack)",
        remark,
    ),
    (
        "remark: thunder",
        7,
        "(thunder | flash to thunder | flash to bang | lightning then thunder | lightning to thunder | count) (is | was | at | came | of)? #num (seconds | second | sec | secs) (away | after | apart | later | out)?",
        |c, w| figure(c, w, GuideAbout::Thunder),
    ),
    (
        "remark: thunder",
        6,
        "(just)? (heard | hear | hearing | i hear | saw | see | seeing) (some)? (thunder | lightning | a storm) #sentence?",
        thunder,
    ),
    (
        "remark: tall",
        7,
        "(its | it is | theyre | they are | thats | that is | some | about | like | is | are | at)? #num (ft | feet | foot | ') (tall | high | up | off the ground)",
        |c, w| how_tall(w).and_then(|_| figure(c, w, GuideAbout::Tall)),
    ),
    (
        "remark: ladder",
        8,
        "(how far out | where)? (does | do | should)? (the | a | my)? (ladder | extension ladder) (base)? (go | at | to | up | up to | of | is | goes | reaching | set at | for | be | out)? (at | for | to)? #num (ft | feet | foot) (up)?",
        |c, w| figure(c, w, GuideAbout::Ladder),
    ),
    (
        "remark: ladder",
        8,
        "(how far out (does | do | should) | on | with | using | need | from)? (the | a | my)? #num -? (ft | feet | foot) (ladder | extension ladder) (go | be | sit)?",
        |c, w| figure(c, w, GuideAbout::Ladder),
    ),
    (
        "remark: voltage",
        8,
        "(how close (can | may) (i | we) (get | be | work) (to)? | how close to | how far from | its | near)? (a | the)? #num -? (kv | kilovolt | kilovolts) (line | lines | wire | wires | power line | power lines)?",
        |c, w| figure(c, w, GuideAbout::Line),
    ),
    (
        "remark: weight",
        8,
        "(can | could | should | ok for | is it ok for)? (i | we | he | you | one guy | one man | one person | a guy)? (to)? (lift | carry | lifting | carrying | pick up) (a | an | the)? #num -? (lb | lbs | pounds | pound) (log | logs | bag | bags | stump | limb | rock | alone | by myself | myself)?",
        |c, w| figure(c, w, GuideAbout::Lift),
    ),
    (
        "remark: weight",
        8,
        "(is)? (a | an)? #num -? (lb | lbs | pounds | pound) (bag | log | stump | limb | rock)? (too (much | heavy) | ok | okay | fine) (to lift | to carry | alone | for one guy | for one man | by myself)?",
        |c, w| figure(c, w, GuideAbout::Lift),
    ),
    (
        "remark: weight",
        8,
        "(log | logs | bag | bags | stump | stumps | limb | limbs | rock | rocks | boulder | it | they | each | that | root ball)  (weighs | weigh | is | are | its | runs) (about)? #num (lb | lbs | pounds | pound)",
        |c, w| figure(c, w, GuideAbout::Lift),
    ),
    (
        "remark: weight",
        8,
        "#num -? (lb | lbs | pounds | pound) (log | logs | stump | stumps | rock | rocks | stone | stones | limb | limbs | root ball | rootball | boulder | bag | bags | planter | pot)",
        |c, w| figure(c, w, GuideAbout::Lift),
    ),
    (
        "remark: noise",
        8,
        "(noise | exposure | dose | whats the dose for | whats the noise dose for)? #dur (at | of | on) (a)? #num [db dba decibels decibel] ((and | , | then | plus)? #dur (at | of | on) (a)? #num [db dba decibels decibel])? ((and | , | then | plus)? #dur (at | of | on) (a)? #num [db dba decibels decibel])?",
        noise,
    ),
    (
        "remark: noise",
        8,
        "(how long (can | may | should | could) (i | we | he | you) (run | use | work | be) | how many hours)? (a | the | it | saw | blower | mower | its)? (at | with | is | of | runs)? (a)? #num [db dba decibels decibel] (saw | blower | mower | trimmer | chainsaw)? (for #dur)?",
        noise,
    ),
    (
        "remark: heat",
        9,
        "(its | it is | its gonna be | gonna be | going to be | supposed to be | temp | temperature | temps | high of | highs of | heat index | whats the heat index | what is the heat index | how hot is | how hot does it feel at | forecast | today is | today its | hot)? (is | are | at | for | of)? #num (degrees | deg | f | fahrenheit)? (outside | out | today | tomorrow | here)? (and | with | at | , | / | -)? (a)? (humidity | rh | humid)? (is | of | at)? #pct (humidity | humid | rh | relative humidity)? (out | outside | today | here | tomorrow | now)?",
        heat,
    ),
    (
        "remark: heat",
        9,
        "(its | it is | gonna be | going to be | temp | temperature | forecast)? (is | at)? #num (degrees | deg | f | out)? (and | with | , | /)? (humidity | rh) (is | of | at)? #num",
        heat,
    ),
    (
        "remark: heat",
        9,
        "(its | it is | gonna be | temp | temperature)? (is | at)? #num (degrees | deg | f | out)? (and | with | at | , | /)? #num (humidity | humid | rh | relative humidity)",
        heat,
    ),
    (
        "remark: heat",
        9,
        "(whats the | what is the)? heat index (at | for | of | is)? #num (degrees | f)? (and | , | with | / | at)? #num",
        heat,
    ),
    (
        "remark: heat",
        9,
        "(humidity | rh) (is | of | at)? #pct (and | , | at | with)? (its | temp | temperature)? (is)? #num (degrees | deg | f | out)?",
        heat_turned,
    ),
    (
        "remark: heat",
        7,
        "(its | it is | temp | temperature | gonna be | going to be | supposed to be | high of | today is | today its | forecast)? (is | of)? #num (degrees | deg | fahrenheit) (f | fahrenheit)? (out | outside | today | here | tomorrow | now)?",
        heat,
    ),
    (
        "remark: heat",
        7,
        "(its | it is) #num (f | out) (outside | today | here)?",
        heat,
    ),
    (
        "remark: heat",
        7,
        "(its | it is | its about | its like | its already | its only | gonna be | its gonna be | supposed to be)? #num (f)? (outside | out there | out here | in the shade | in the sun | out today | outside today)",
        air,
    ),
    (
        "remark: heat",
        7,
        "(its | it is | its about | its like | its already | its only | its gonna be | gonna be | its supposed to be | supposed to be | its going to be | high of | high is | highs of | hit | its gonna hit | gonna hit | going to hit | supposed to hit | calling for | theyre calling for | up to | feels every bit of) #num (f | degrees)? (out | outside)? (today | tomorrow | this afternoon | this morning | by noon | later)",
        air,
    ),
    (
        "remark: heat",
        7,
        "(gonna hit | going to hit | its gonna hit | supposed to hit | calling for | theyre calling for | hitting | its hitting) #num (f | degrees)? (out | outside)?",
        air,
    ),
    (
        "remark: heat",
        7,
        "(its | it is)? #num (degrees | f)? (out)? (and | , | with)? (its)? (super | really | real | so)? (humid | muggy | sticky)",
        air,
    ),
    (
        "remark: feels like",
        8,
        "(but | and)? (it)? (feels like | feelin like | feel like | real feel | realfeel | real feel temp | heat index | the heat index | wind chill | the wind chill) (is | its | of | at | today is)? (like | about | around)? (a)? #num (degrees | f)? (out | outside | out here | out there | here | today | now | right now)?",
        feels_like,
    ),
    (
        "remark: cold",
        9,
        "(its | it is | temp | temperature | gonna be | going to be)? (is | at)? #num (degrees | deg | f | out)? (outside | out)? (and | with | , | / | in)? (a)? (wind | winds | gusts) (of | at | is | about)? #num (mph | miles an hour | miles)?",
        wind,
    ),
    (
        "remark: cold",
        9,
        "(its | it is | temp | temperature | gonna be)? (is | at)? #num (degrees | deg | f | out)? (outside | out)? (and | with | , | / | in)? (a)? #num -? (mph | miles an hour | mile an hour | mile per hour | miles per hour) (wind | winds | breeze | gusts)?",
        wind,
    ),
    (
        "remark: cold",
        9,
        "(whats the | what is the)? wind chill (at | for | of | is)? #num (degrees | f)? (and | , | with | at | /)? (wind | winds)? (of | at)? #num (mph | miles an hour)?",
        wind,
    ),
    (
        "remark: wind",
        7,
        "(wind | winds | gusts | windy | gusting | blowing | its blowing) (of | at | is | are | to | up to | about)? #num (mph | miles an hour) (out | outside | today | here | out here)?",
        wind_alone,
    ),
    (
        "remark: wind",
        7,
        "#num (mph | mile an hour | mile per hour) (wind | winds | gusts)",
        wind_alone,
    ),
    (
        "remark: topping",
        8,
        "(client | customer | she | he | they | owner | homeowner | lady | hoa)? (just)? (wants | want | wanted | asked for | asked me to | asked us to | asked to | would like | likes | insists on | insist on | said to | says to | told me to | told us to) (it | them | these | those | all | #class)? (to be | all)? (topped | top | topping | hat racked | hatracked | pollarded | flat topped) (off | hard | flat)? (them | it | these | those | #class)?",
        |_, w| heard(GuideAbout::WantsTopped, w),
    ),
    (
        "remark: topping",
        6,
        "(just)? (top | topping | hat rack | hatrack) (them | it | these | those | all of them | #class) (flat | hard)?",
        |_, w| heard(GuideAbout::WantsTopped, w),
    ),
    (
        "remark: topping",
        4,
        "(wants | want | wanted | asked for | asked me to | asked us to | asking for | insists on | likes | said to | says to | told me to | told us to) #sentence",
        wants_it_topped,
    ),
    (
        "remark: topping",
        7,
        "(wants | want | cut | cutting | shear) (it | them | these | those | #class) (all)? (cut)? (flat | flat across | flat on top | level on top | back hard | way back hard | down to stubs | to stubs)",
        |_, w| heard(GuideAbout::WantsTopped, w),
    ),
];
