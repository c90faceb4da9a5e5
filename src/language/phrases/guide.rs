//! Wordings that ask the guide: when and how a plant is cut, with what, how much, and who says so.
//!
//! People ask such things in any order of words, and the plant need not be on the price list. So a wording here is how the
//! sentence opens, and the rest is looked through: for a word of cutting, a month, a diameter. A sentence with a number
//! that none of these takes is not read here, so that no number is passed over.

use super::plant_words::{
    CUTS, ELSEWHERE, HAZARD, MONEY, PAST, STEMS, TOOLS, about_cutting, about_doing, about_doing_it_right,
    about_its_time, any_of, by_what_tool, inches, month, spare_number, stretch,
};
use super::{Phrase, Row, whole};
use crate::language::asked::{GuideAbout, GuideSaid};
use crate::language::meaning::Meaning;
use crate::language::pattern::Cap;
use crate::language::token::TokenKind;
use crate::language::words::Words;

/// A guide meaning about something, with the whole message as its words.
pub(super) fn said(about: GuideAbout, words: &Words<'_>) -> Box<GuideSaid> {
    let named = words.first_kind();
    Box::new(GuideSaid {
        about,
        plant: named.map(|hit| words.vocabulary.services()[hit.service].name.clone()),
        words: words.tokens.text.to_string(),
    })
}

fn ask(about: GuideAbout, words: &Words<'_>) -> Option<Phrase> {
    whole(Meaning::Guide(*said(about, words)))
}

fn practice(caps: &[&Cap], words: &Words<'_>, topic: &'static str) -> Option<Phrase> {
    let part = stretch(caps);
    (!spare_number(words, part, None) && !any_of(words, part, &MONEY))
        .then(|| ask(GuideAbout::Practice(topic), words))
        .flatten()
}

fn when(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    let part = stretch(caps);
    if any_of(words, part, &HAZARD) {
        return practice(caps, words, "hazard");
    }
    let month = month(words, part);
    let about = about_cutting(words, part) || about_doing(words, part);
    if !about || spare_number(words, part, month.map(|(_, day)| day)) {
        return None;
    }
    ask(GuideAbout::When(month.map(|(said, _)| said)), words)
}

/// `azaleas, before or after bloom`: a kind and its time, with no more words around them.
fn time_of(_: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    let named = words.first_kind().is_some();
    named.then(|| ask(GuideAbout::When(None), words)).flatten()
}

/// `the window on live oaks`.
fn window(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    let part = stretch(caps);
    (!any_of(words, part, &MONEY) && !spare_number(words, part, None))
        .then(|| ask(GuideAbout::When(None), words))
        .flatten()
}

fn may(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    let part = stretch(caps);
    // "can you trim the hedge" asks for work.
    if words.spelled(part.0, "you") {
        return None;
    }
    if any_of(words, part, &TOOLS) && inches(words, part).is_some() {
        return tool(caps, words);
    }
    if any_of(words, part, &HAZARD) && about_cutting(words, part) {
        return practice(caps, words, "hazard");
    }
    if by_what_tool(words, part) {
        return ask(GuideAbout::How, words);
    }
    let month = month(words, part);
    let about = about_cutting(words, part) || about_its_time(words, part);
    if !about || spare_number(words, part, month.map(|(_, day)| day)) {
        return None;
    }
    ask(GuideAbout::May(month.map(|(said, _)| said)), words)
}

/// `how bout crapes in march`, `hold off on the oaks`: a question by how it opens, when it names a kind and a time.
fn may_by_time(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    let part = stretch(caps);
    let month = month(words, part);
    if !about_its_time(words, part) || spare_number(words, part, month.map(|(_, day)| day)) {
        return None;
    }
    ask(GuideAbout::May(month.map(|(said, _)| said)), words)
}

/// `will it come back from old wood`, `do they grow back if I cut them hard`.
fn comes_back(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    let part = stretch(caps);
    let back = any_of(
        words,
        part,
        &[
            "grow", "come", "sprout", "fill", "recover", "regrow", "resprout", "survive",
        ],
    );
    let wood = any_of(words, part, &["wood", "hard", "ground", "bare", "back"]);
    let other = any_of(words, part, &MONEY) || any_of(words, part, &PAST) || any_of(words, part, &ELSEWHERE);
    (back && wood && !other && !spare_number(words, part, None))
        .then(|| ask(GuideAbout::How, words))
        .flatten()
}

/// `can I take half of it off`: a share of a plant, not of a price.
fn share_of_it(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    let part = stretch(caps);
    let takes = any_of(words, part, &["take", "cut", "remove", "go", "lop"]);
    let names = (part.0..part.1).any(|at| words.kinds(at).iter().any(|hit| hit.whole));
    let of_it = names
        || any_of(
            words,
            part,
            &[
                "it", "them", "growth", "top", "crown", "height", "tree", "bush", "plant",
            ],
        );
    let share = words.spelled(part.0, "a") || any_of(words, part, &["half", "third", "quarter", "most"]);
    let other = any_of(words, part, &MONEY);
    let figure = |at: usize| matches!(words.get(at).map(|token| token.kind), Some(TokenKind::Number(_)));
    let counted = (part.0..part.1).any(figure);
    (takes && of_it && share && !other && !counted && !any_of(words, part, &["hour", "hours", "inch", "inches"]))
        .then(|| ask(GuideAbout::Share, words))
        .flatten()
}

/// `prune azaleas now?`, `pruning hollies in march`: a question by its mark, by `now` or by a month.
fn may_by_mark(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    let part = stretch(caps);
    let month = month(words, part);
    let asks = words.sign(part.1, '?') || any_of(words, part, &["now", "yet", "today"]) || month.is_some();
    let refused = any_of(words, part, &MONEY) || any_of(words, part, &PAST) || any_of(words, part, &["grass", "lawn"]);
    if !asks || refused || spare_number(words, part, month.map(|(_, day)| day)) {
        return None;
    }
    ask(GuideAbout::May(month.map(|(said, _)| said)), words)
}

fn how(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    let part = stretch(caps);
    let other = ["long", "many", "fast", "much", "was", "did", "quick"];
    let done = any_of(words, part, &["do", "take", "bring"]) && about_doing_it_right(words, part);
    // "how low do I take it"
    let far = words.one_of(part.0, &["low", "far", "short", "hard", "high", "tall"]);
    let taken = far && any_of(words, part, &["take", "go", "bring", "leave"]) && !any_of(words, part, &MONEY);
    let about = taken || done || about_cutting(words, part);
    if words.one_of(part.0, &other) || !about || spare_number(words, part, None) {
        return None;
    }
    ask(GuideAbout::How, words)
}

fn share(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    let part = stretch(caps);
    let taken = any_of(
        words,
        part,
        &["off", "back", "take", "remove", "crown", "leaves", "green", "out"],
    );
    let cut = any_of(words, part, &CUTS) || any_of(words, part, &["take", "remove", "come", "go", "crown"]);
    if !taken || !cut || any_of(words, part, &MONEY) || spare_number(words, part, None) {
        return None;
    }
    ask(GuideAbout::Share, words)
}

fn tool(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    let part = stretch(caps);
    let inches = inches(words, part);
    let named = any_of(words, part, &TOOLS) || any_of(words, part, &CUTS) || any_of(words, part, &["need", "takes"]);
    let stems = inches.is_some() || any_of(words, part, &STEMS) || any_of(words, part, &["tool", "tools"]);
    let other = any_of(words, part, &MONEY) || any_of(words, part, &PAST);
    if !named || !stems || other || spare_number(words, part, inches.map(|(_, at)| at)) {
        return None;
    }
    ask(GuideAbout::Tool(inches.map(|(value, _)| value)), words)
}

fn near_wires(caps: &[&Cap], words: &Words<'_>) -> Option<Phrase> {
    let part = stretch(caps);
    let wires = any_of(
        words,
        part,
        &["wire", "wires", "line", "lines", "powerline", "powerlines"],
    );
    (wires && !spare_number(words, part, None))
        .then(|| ask(GuideAbout::Remark, words))
        .flatten()
}

pub(super) const ROWS: &[Row] = &[
    (
        "guide: when",
        8,
        "(when | whens | earliest | latest | whats the earliest | whats the latest | what is the earliest | what is the latest | what month | what months | what time of year | what time | what season | best time | the best time | right time | good time | whats the best time | what is the best time | whats the right time | whats a good time | best month | how early | how late | how soon) #sentence",
        when,
    ),
    (
        "guide: when",
        8,
        "#class (, | - | : | ?)? (when | what month | whats the best time | best time) #sentence",
        when,
    ),
    (
        "guide: when",
        8,
        "(whats the | what is the | the)? (pruning | cutting | trimming)? (window | season) (on | for) #sentence",
        window,
    ),
    (
        "guide: may I",
        8,
        "(can | could | should | may | do | is it | is now | is this | are we | am i | are | is | safe | alright | fine | good | too late | too early) #sentence",
        may,
    ),
    (
        "guide: may I",
        8,
        "#class (, | - | : | ?)? (can | should | is it | may | ok | safe) #sentence",
        may,
    ),
    (
        "guide: may I",
        5,
        "(prune | pruning | trim | trimming | cut | cutting | shear | shearing) #sentence",
        may_by_mark,
    ),
    (
        "guide: when",
        8,
        "#class (, | - | : | ?)? (pruning | cutting | trimming | shearing)? (when | window | season | time of year | timing)",
        time_of,
    ),
    (
        "guide: when",
        8,
        "#class (pruning | cutting | trimming | shearing) (time | times | date | dates | schedule)",
        time_of,
    ),
    (
        "guide: when",
        8,
        "(pruning | cutting | trimming | shearing) (time | times | season | window | schedule | timing) (for | on | of)? #class",
        time_of,
    ),
    (
        "guide: when",
        8,
        "(do i | do you | do we | should i)? (cut | prune | trim | do)? #class (, | - | : | ?)? (do i | do you | do we | cut | prune | cut them | prune them)? (before or after | after or before | before | after) (they | it | the | its | their)? (bloom | blooms | flower | flowers | blooming | flowering)",
        time_of,
    ),
    (
        "guide: may I",
        8,
        "(how about | how bout | what about | what bout | hold off | hold off on | wait | wait on | wait for | too soon | ok | okay | good | cool | fine | time | its time) #sentence",
        may_by_time,
    ),
    (
        "guide: comes back",
        8,
        "(will | would | do | does | can) #sentence",
        comes_back,
    ),
    (
        "guide: how much",
        9,
        "(can i | can we | could i | should i | ok to | is it ok to | safe to | do i) #sentence",
        share_of_it,
    ),
    (
        "guide: how",
        8,
        "(how | hows | best way | the best way | right way | the right way | whats the best way | what is the best way | whats the right way | show me how | tell me how | tell me how to) #sentence",
        how,
    ),
    ("guide: how", 8, "#class (, | - | : | ?)? (how) #sentence", how),
    ("guide: how", 8, "#class (, | - | : | ?)? how", |_, w| {
        ask(GuideAbout::How, w)
    }),
    (
        "guide: how",
        8,
        "(where (do | should) (i | we) (make | put)? (the | my)? (cut | cuts) | what (do | should) (i | we) cut (it | them)? back? to) (on | for | of)? (a | an | the)? (#class)?",
        |_, w| ask(GuideAbout::How, w),
    ),
    (
        "guide: collar",
        9,
        "(do i | should i | do we | should we)? (leave a stub | leave stubs | leave a collar | cut flush | flush cut | flush cuts | cut at the collar | cut to the collar) #sentence?",
        |c, w| practice(c, w, "how:tree"),
    ),
    (
        "guide: how much",
        9,
        "(is | would | is taking | taking)? (a | one)? (third | half | quarter) (too much | ok | okay | alright | safe) (to take | off)? #sentence?",
        |_, w| ask(GuideAbout::Share, w),
    ),
    (
        "guide: how much",
        9,
        "(how much | what percent | how many inches | how much of) #sentence",
        share,
    ),
    ("guide: tool", 8, "(what | which | whats) #sentence", tool),
    (
        "guide: tool",
        7,
        "(biggest | how big a | how big of a | loppers | lopper | pruners | pruner | hand pruners | hand pruner | saw | hand saw | pruning saw | will | tool | tools) #sentence",
        tool,
    ),
    (
        "guide: wires",
        8,
        "(how close | how near | how far) #sentence",
        near_wires,
    ),
    (
        "guide: wires",
        10,
        "(who | do i need to | do we need to | should i | should we) (do | should)? (i | we)? call #sentence",
        near_wires,
    ),
    (
        "guide: why not top",
        10,
        "(why not | why shouldnt | why shouldnt i | why shouldnt we | why cant i | why cant we | whats wrong with | what is wrong with | whats bad about | is it bad to | why is it bad to | why dont you | why dont we | why is) (just | ever)? (top | topping | topped) (off)? (them | it | these | those | trees | the #class | #class)? (bad | wrong | bad for them | bad for it)?",
        |_, w| ask(GuideAbout::WhyNotTop, w),
    ),
    (
        "guide: wound paint",
        10,
        "(do i | should i | should we | do we | can i | need to | is it ok to | do you)? (need to | have to)? (paint | seal | tar | painting | sealing) (the | over | my | oak)? (cuts | cut | wound | wounds | stubs | them | it | oak cuts | oak wounds) #sentence?",
        |c, w| practice(c, w, "paint"),
    ),
    (
        "guide: wound paint",
        9,
        "(wound paint | pruning paint | tree paint | pruning sealer | wound sealer) #sentence?",
        |c, w| practice(c, w, "paint"),
    ),
    (
        "guide: clean blades",
        10,
        "(do i | should i | should we | do we | when do i | how do i)? (need to | have to)? (disinfect | sterilize | clean | sanitize | wipe | bleach | dip) (my | the | our)? (blades | blade | pruners | tools | saw | saws | loppers | shears) #sentence?",
        |c, w| practice(c, w, "clean"),
    ),
    (
        "guide: renewal",
        10,
        "(how do i | how do we | when do i | when do we | can i | should i | how to)? (renew | rejuvenate | renovate | bring back) (an | a | the | this | these | old)? #sentence",
        |c, w| practice(c, w, "renew"),
    ),
    (
        "guide: big limbs",
        10,
        "(how do i | how do we | how to | whats the)? (take | take off | cut | drop | remove | do)? (a | the)? (big limb | big limbs | heavy limb | heavy limbs | large limb | large limbs | big branch | three cut | three cuts | undercut) #sentence?",
        |c, w| practice(c, w, "cuts"),
    ),
    (
        "guide: big limbs",
        10,
        "(how big | how large | how thick) (of)? (a | an)? (limb | branch | cut | stem) #sentence?",
        |c, w| practice(c, w, "big"),
    ),
    (
        "guide: source",
        7,
        "(says who | who says | who says so | who says that | source | sources | the source | whats the source | whats your source | what is the source | where is that from | where did that come from | where did you get that | whered you get that | where do you get that | wheres that from | whats that from | according to who)",
        |_, w| ask(GuideAbout::Source, w),
    ),
];
