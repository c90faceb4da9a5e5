//! From counts in the order said to whole lines: which kind does a bare size mean, which count does a time belong to, is
//! the same thing there twice?

use rust_decimal::Decimal;

use super::lexicon::Class;
use super::meaning::{Change, ClassSaid, Doubt, LineSaid, QuantitySaid, Span, Unit};
use super::phrases::Cue;
use super::rules::class::fit_size;
use super::rules::number::number;
use super::section::{Item, Section};
use super::words::Words;

/// The lines of a section, with what could not be settled.
#[derive(Debug, Default)]
pub(super) struct Lines {
    /// The counted things.
    pub(super) lines: Vec<LineSaid>,
    /// What else was said of them.
    pub(super) changes: Vec<Change>,
    /// What must be asked.
    pub(super) doubts: Vec<Doubt>,
}

/// Puts a section's lines together.
pub(super) fn assemble(section: &Section, words: &Words<'_>) -> Lines {
    let mut items = section.items.clone();
    head_runs(&mut items, words);
    share_kinds(&mut items, words);
    let slips = settle_slips(&mut items, section, words);
    let mut lines = Lines {
        doubts: slips,
        ..Lines::default()
    };
    attach(&items, section, words, &mut lines);
    complete_more(&mut lines);
    counted_twice(&mut lines);
    lines
}

fn kind_of(item: &Item) -> Option<&str> {
    match item {
        Item::Line(line, _) => line.class.service.as_deref().or(line.class.unknown.as_deref()),
        _ => None,
    }
}

/// A bare size takes its kind from a header before it, from the kind that follows in its run, or from the one before.
fn share_kinds(items: &mut [Item], words: &Words<'_>) {
    let header_style = header_leads(items) && !first_is_job(items, words);
    for index in 0..items.len() {
        let Item::Line(line, _) = &items[index] else { continue };
        if line.class.service.is_some() || line.class.unknown.is_some() {
            continue;
        }
        let class = line.class.clone();
        let unit = line.unit;
        let before = kind_before(items, index);
        let after = kind_after(items, index);
        let fits = |kind: &Option<(String, bool)>| kind.clone().filter(|(name, _)| fits(words, name, &class, unit));
        let chosen = match (fits(&before), fits(&after)) {
            (Some(b), Some(_)) if header_style => Some(b),
            (Some(b), Some(a)) => Some(choose(items, index, b, a)),
            (b, a) => b.or(a),
        };
        // "mow 5000 sq ft": the kind was named right there, whatever its unit.
        let beside = !matches!(items.get(index.wrapping_sub(1)), None | Some(Item::Stop(_)));
        let named = before.clone().filter(|_| unit.is_some() && beside);
        let lone = before.is_none() && after.is_none() && class.size.is_none();
        let of_unit = || only_of_unit(words, unit).filter(|_| lone).map(|name| (name, true));
        let chosen = chosen.or(named).or_else(of_unit);
        if let Some((name, true)) = &chosen {
            consume(items, index, name);
        }
        if let (Some((name, listed)), Item::Line(line, _)) = (chosen, &mut items[index]) {
            if listed {
                if let Some(service) = words.vocabulary.service(&name) {
                    line.class.size = line
                        .class
                        .size
                        .as_deref()
                        .map(|size| fit_size(service, size, words.lexicon));
                }
                line.class.service = Some(name);
            } else {
                line.class.unknown = Some(name);
            }
        }
    }
}

/// `crapes 12 small 3 large hollies 5 small`: in a list that names each kind before its counts, the kind stands at the
/// head of what follows it, not behind the count before it.
fn head_runs(items: &mut Vec<Item>, words: &Words<'_>) {
    if !header_leads(items) || first_is_job(items, words) {
        return;
    }
    let bare = |item: Option<&Item>| {
        matches!(item, Some(Item::Line(line, _)) if line.class.service.is_none() && line.class.unknown.is_none()
            && line.class.size.is_some() && line.unit.is_none())
    };
    let mut index = 1;
    while index + 1 < items.len() {
        let between = bare(items.get(index - 1)) && bare(items.get(index + 1));
        let Item::Line(line, _) = &mut items[index] else {
            index += 1;
            continue;
        };
        let starts_with_number = words
            .within(line.span)
            .next()
            .is_some_and(|at| number(words, at).is_some());
        if between && starts_with_number && line.class.size.is_some() && line.unit.is_none() {
            let kind = line.class.service.take();
            if let Some(kind) = kind {
                items.insert(index + 1, Item::Header(kind));
            }
        }
        index += 1;
    }
}

/// A kind named alone that a count took for its own is no line of its own.
fn consume(items: &mut [Item], index: usize, name: &str) {
    let alone = |item: &Item| matches!(item, Item::Class(class) if class.service.as_deref() == Some(name) && class.size.is_none());
    let counted = |item: &Item| matches!(item, Item::Line(line, _) if line.class.service.is_some());
    let after = (index + 1..items.len())
        .find(|i| alone(&items[*i]) || counted(&items[*i]))
        .filter(|i| alone(&items[*i]));
    let before = (0..index).rev().find(|i| alone(&items[*i]));
    if let Some(at) = after.or(before) {
        items[at] = Item::Header(name.to_string());
    }
}

fn header_leads(items: &[Item]) -> bool {
    items
        .iter()
        .find(|item| matches!(item, Item::Line(..) | Item::Class(_)))
        .is_some_and(|item| match item {
            Item::Class(class) => class.service.is_some() && class.size.is_none(),
            _ => false,
        })
}

fn first_is_job(items: &[Item], words: &Words<'_>) -> bool {
    let first = items.iter().find_map(|item| match item {
        Item::Class(class) => class.service.as_deref(),
        _ => None,
    });
    words.vocabulary.is_job(first)
}

/// The kind said last before an item, with whether the list knows it.
fn kind_before(items: &[Item], index: usize) -> Option<(String, bool)> {
    items[..index].iter().rev().find_map(|item| match item {
        Item::Class(class) => class.service.clone().map(|name| (name, true)),
        Item::Header(name) => Some((name.clone(), true)),
        Item::Line(line, _) => match (&line.class.service, &line.class.unknown) {
            (Some(name), _) => Some((name.clone(), true)),
            (None, Some(name)) => Some((name.clone(), false)),
            _ => None,
        },
        _ => None,
    })
}

/// The kind said next after an item.
fn kind_after(items: &[Item], index: usize) -> Option<(String, bool)> {
    items[index + 1..].iter().find_map(|item| match item {
        Item::Class(class) => class.service.clone().map(|name| (name, true)),
        Item::Header(name) => Some((name.clone(), true)),
        Item::Line(line, _) => match (&line.class.service, &line.class.unknown) {
            (Some(name), _) => Some((name.clone(), true)),
            (None, Some(name)) => Some((name.clone(), false)),
            _ => None,
        },
        _ => None,
    })
}

fn fits(words: &Words<'_>, name: &str, class: &ClassSaid, unit: Option<Unit>) -> bool {
    let Some(service) = words.vocabulary.service(name) else {
        return true;
    };
    let size_fits = match &class.size {
        None => true,
        Some(size) => service.sizes.contains(&fit_size(service, size, words.lexicon)),
    };
    size_fits && unit.is_none_or(|unit| unit == service.unit)
}

/// Both the kind before and the kind after would do. A strong stop on one side settles it; so does a size that the kind
/// before was counted in already; else the words are taken as they were said: a size alone goes on with the kind before.
fn choose(items: &[Item], index: usize, before: (String, bool), after: (String, bool)) -> (String, bool) {
    if before.0 == after.0 {
        return before;
    }
    let size = match &items[index] {
        Item::Line(line, _) => line.class.size.clone(),
        _ => None,
    };
    let counted = items[..index].iter().any(|item| match item {
        Item::Line(line, _) => kind_of(item) == Some(before.0.as_str()) && line.class.size == size,
        _ => false,
    });
    if counted {
        return after;
    }
    let strong_before = items[..index]
        .iter()
        .rev()
        .take_while(|i| !matches!(i, Item::Line(..) | Item::Class(_)));
    if strong_before.into_iter().any(|item| matches!(item, Item::Stop(true))) {
        return after;
    }
    before
}

/// The only kind of the list that is counted in this unit.
fn only_of_unit(words: &Words<'_>, unit: Option<Unit>) -> Option<String> {
    let unit = unit?;
    let mut of_unit = words.vocabulary.services().iter().filter(|s| s.unit == unit);
    let first = of_unit.next()?;
    of_unit.next().is_none().then(|| first.name.clone())
}

/// Slips count as numbers in a list and where a count is expected; alone they do not, and a slip that is a kind of the list
/// too (`tree small`) is asked about.
fn settle_slips(items: &mut [Item], section: &Section, words: &Words<'_>) -> Vec<Doubt> {
    let lines = items.iter().filter(|item| matches!(item, Item::Line(..))).count();
    if lines >= 2 || lists_a_job(items) || expects_count(items, section, words) {
        return Vec::new();
    }
    let mut doubts = Vec::new();
    for item in items {
        let Item::Line(line, true) = item else { continue };
        let text = &words.tokens.text[line.span.start..line.span.end];
        let first = text.split_whitespace().next().unwrap_or("").to_lowercase();
        if words.vocabulary.service(&first).is_some() && line.class.service.as_deref() != Some(first.as_str()) {
            let size = line.class.size.as_deref().unwrap_or("");
            doubts.push(Doubt::Either {
                words: text.to_string(),
                choices: vec![line_text(line), format!("price {size} {first}").replace("  ", " ")],
                span: line.span,
            });
        }
        line.quantity = QuantitySaid::Unsaid;
    }
    doubts
}

/// `mow and for yards of mulch`: the slip goes on with a list.
fn lists_a_job(items: &[Item]) -> bool {
    let named = |item: Option<&Item>| matches!(item, Some(Item::Class(class)) if class.service.is_some());
    let slip = items.iter().position(|item| matches!(item, Item::Line(_, true)));
    slip.is_some_and(|at| at >= 2 && matches!(items[at - 1], Item::Stop(false)) && named(items.get(at - 2)))
}

/// `make that ate small`, `add for large`: what is added or made is counted, and the slip stands right before it.
fn expects_count(items: &[Item], section: &Section, words: &Words<'_>) -> bool {
    let first = items.iter().find(|item| !matches!(item, Item::Stop(_)));
    let Some(Item::Line(line, true)) = first else {
        return false;
    };
    let mut said = words.within(line.span);
    let (Some(slip), Some(next)) = (said.next(), said.next()) else {
        return false;
    };
    let headed = matches!(section.head, Some(Cue::Add | Cue::Make));
    let corrected = section.corrects_before && slip > 1 && words.spelled(slip - 2, "make");
    // "add to large", "make it to large": two of them, or to that size?
    let open = words.one_of(slip, &["to", "too"]);
    let counts = words.is(next, Class::SIZE.or(Class::UNIT)) || words.kinds(next).iter().any(|hit| hit.whole);
    counts && !open && (headed || corrected)
}

fn attach(items: &[Item], section: &Section, words: &Words<'_>, out: &mut Lines) {
    let header_kinds = header_leads(items);
    let mut run_start = 0;
    for (index, item) in items.iter().enumerate() {
        match item {
            Item::Line(line, _) => out.lines.push(line.clone()),
            Item::Class(class) => {
                if !(header_kinds && class.service.is_some() && followed_by_count(items, index, class)) {
                    out.lines.push(unsaid(class));
                }
            }
            Item::Minutes(Some(class), said, each, _) => {
                let sole = items
                    .iter()
                    .all(|other| !matches!(other, Item::Line(..) | Item::Class(_)));
                let shared = section
                    .crew
                    .filter(|_| sole && !each && words.vocabulary.is_job(class.service.as_deref()));
                if let (Some((crew, _)), true) = (shared, out.lines.is_empty()) {
                    // "mow 40 min with 2 guys": one time for a whole job is everybody's.
                    out.lines.push(unsaid(class));
                    out.changes.push(Change::WorkElapsed { minutes: *said, crew });
                    continue;
                }
                let said = &in_man_minutes(class, *said, *each, section, words);
                if !give_minutes(&mut out.lines, class, *said) {
                    match job_line(class, words) {
                        Some(mut line) => {
                            line.minutes_each = Some(*said);
                            out.lines.push(line);
                        }
                        None => out.changes.push(Change::Minutes(class.clone(), *said)),
                    }
                }
            }
            Item::Minutes(None, said, each, _) => {
                let loose = matches!(items.get(index.wrapping_sub(1)), Some(Item::Stop(_)));
                let lacking: Vec<usize> = (run_start..out.lines.len())
                    .filter(|i| out.lines[*i].minutes_each.is_none())
                    .collect();
                let last = items[index + 1..]
                    .iter()
                    .all(|i| !matches!(i, Item::Line(..) | Item::Minutes(..)));
                if lacking.len() > 1 && last && run_start == 0 && (loose || *each) && joined(items, index, loose) {
                    ask_whose(out, section, &lacking, words, said.minutes);
                } else if let Some(last) = lacking.last() {
                    out.lines[*last].minutes_each = Some(*said);
                } else {
                    out.changes.push(Change::Minutes(ClassSaid::default(), *said));
                }
                run_start = out.lines.len();
            }
            Item::PriceEach(class, value, dollars, unit, span) => {
                let said = PriceSaid {
                    value: *value,
                    dollars: *dollars,
                    unit: *unit,
                    span: *span,
                };
                price(out, class.as_ref(), &said, words);
            }
            Item::Time(said, man) => time(out, section, items, index, *said, *man, words),
            Item::Bare(..) | Item::Clock(..) | Item::Pair(..) | Item::Stop(_) | Item::Header(_) => {}
        }
    }
}

/// The lines before belong together: commas or `and` between them, and the time stands behind a stop.
fn joined(items: &[Item], index: usize, loose: bool) -> bool {
    let earlier = items[..index]
        .iter()
        .filter(|item| matches!(item, Item::Line(..)))
        .count();
    earlier > 1 && loose
}

fn ask_whose(out: &mut Lines, _section: &Section, lacking: &[usize], words: &Words<'_>, minutes: Decimal) {
    let plain = |line: &LineSaid| line_text(line);
    let all: Vec<String> = lacking
        .iter()
        .map(|i| format!("{} {minutes} min each", plain(&out.lines[*i])))
        .collect();
    let mut last: Vec<String> = lacking.iter().map(|i| plain(&out.lines[*i])).collect();
    if let Some(text) = last.last_mut() {
        *text = format!("{text} {minutes} min each");
    }
    let span = words.span(0, words.len());
    out.doubts.push(Doubt::Either {
        words: format!("{minutes} min each"),
        choices: vec![all.join(", "), last.join(", ")],
        span,
    });
}

/// A line as a message that says it plainly.
pub(super) fn line_text(line: &LineSaid) -> String {
    let quantity = match &line.quantity {
        QuantitySaid::Exact(n) => n.normalize().to_string(),
        QuantitySaid::Vague(word) => word.clone(),
        QuantitySaid::Between(low, high) => format!("{low} or {high}"),
        QuantitySaid::Unsaid => String::new(),
    };
    let unit = match line.unit {
        Some(Unit::Foot) => "ft",
        Some(Unit::SquareFoot) => "sq ft",
        Some(Unit::Yard) => "yards",
        Some(Unit::Bag) => "bags",
        Some(Unit::Load) => "loads",
        _ => "",
    };
    let kind = line
        .class
        .service
        .as_deref()
        .or(line.class.unknown.as_deref())
        .unwrap_or("");
    let size = line.class.size.as_deref().unwrap_or("");
    [quantity.as_str(), unit, size, kind]
        .iter()
        .filter(|part| !part.is_empty())
        .copied()
        .collect::<Vec<_>>()
        .join(" ")
}

/// A kind that the next count is of is its header, not a line of its own.
fn followed_by_count(items: &[Item], index: usize, class: &ClassSaid) -> bool {
    items[index + 1..]
        .iter()
        .find(|item| matches!(item, Item::Line(..) | Item::Class(_)))
        .is_some_and(|item| matches!(item, Item::Line(line, _) if line.class.service == class.service))
}

pub(super) fn unsaid(class: &ClassSaid) -> LineSaid {
    LineSaid {
        quantity: QuantitySaid::Unsaid,
        class: class.clone(),
        unit: None,
        minutes_each: None,
        price_each: None,
        material_each: None,
        more: false,
        span: class.span,
    }
}

/// `mow 40 min with 2 guys`: one time for a whole job is everybody's.
fn in_man_minutes(
    class: &ClassSaid,
    said: super::meaning::MinutesSaid,
    each: bool,
    section: &Section,
    words: &Words<'_>,
) -> super::meaning::MinutesSaid {
    let job = words.vocabulary.is_job(class.service.as_deref());
    let Some((crew, _)) = section.crew.filter(|_| job && !each) else {
        return said;
    };
    let times = |minutes: Decimal| minutes.saturating_mul(Decimal::from(crew));
    super::meaning::MinutesSaid {
        minutes: times(said.minutes),
        range: said.range.map(|(low, high)| (times(low), times(high))),
    }
}

/// A whole-job kind named with its time is a line of its own.
fn job_line(class: &ClassSaid, words: &Words<'_>) -> Option<LineSaid> {
    let name = class.service.as_deref()?;
    let service = words.vocabulary.service(name)?;
    (service.unit == Unit::Job).then(|| unsaid(class))
}

fn matches_class(line: &LineSaid, class: &ClassSaid, words_size: &Option<String>) -> bool {
    let kind = class.service.is_none() || line.class.service.is_none() || class.service == line.class.service;
    let size = words_size.is_none() || line.class.size == *words_size;
    kind && size
}

fn give_minutes(lines: &mut [LineSaid], class: &ClassSaid, said: super::meaning::MinutesSaid) -> bool {
    let mut given = false;
    for line in lines.iter_mut().filter(|line| matches_class(line, class, &class.size)) {
        line.minutes_each = Some(said);
        given = true;
    }
    given
}

/// A price for each unit, as said.
struct PriceSaid {
    value: Decimal,
    dollars: bool,
    unit: Option<Unit>,
    span: Span,
}

fn price(out: &mut Lines, class: Option<&ClassSaid>, said: &PriceSaid, words: &Words<'_>) {
    let PriceSaid {
        value,
        dollars,
        unit,
        span,
    } = *said;
    let line = match class {
        Some(class) => match out
            .lines
            .iter_mut()
            .rev()
            .find(|line| matches_class(line, class, &class.size))
        {
            Some(line) => line,
            None => {
                out.changes.push(Change::PriceEach(class.clone(), value));
                return;
            }
        },
        None => match out.lines.last_mut() {
            Some(line) => line,
            None => {
                out.changes.push(Change::PriceEach(ClassSaid::default(), value));
                return;
            }
        },
    };
    let service = line
        .class
        .service
        .as_deref()
        .and_then(|n| words.vocabulary.services().iter().find(|s| s.name == n));
    let measured = matches!(unit, Some(Unit::Yard | Unit::Bag | Unit::Load));
    let has_material = service.is_some_and(|s| s.has_material);
    // "$90 a yard installed" is the price of the yard with the work in it.
    let installed = ["installed", "delivered and spread", "laid and all", "in place"];
    if measured && installed.iter().any(|word| words.tokens.lower.contains(word)) {
        line.price_each = Some(value);
        return;
    }
    if has_material || (measured && service.is_none_or(|s| Some(s.unit) == unit)) {
        line.material_each = Some(value);
    } else if dollars || unit.is_some() {
        line.price_each = Some(value);
    } else {
        out.doubts.push(Doubt::DollarsOrMinutes {
            value,
            class: line.class.clone(),
            span,
        });
    }
}

fn time(
    out: &mut Lines,
    section: &Section,
    items: &[Item],
    index: usize,
    said: super::meaning::MinutesSaid,
    man: bool,
    words: &Words<'_>,
) {
    if man {
        out.changes.push(Change::WorkManMinutes(said));
        return;
    }
    if let Some((crew, _)) = section.crew {
        out.changes.push(Change::WorkElapsed { minutes: said, crew });
        return;
    }
    let loose = matches!(items.get(index.wrapping_sub(1)), Some(Item::Stop(_)));
    let count = out.lines.len();
    let Some(line) = out.lines.last_mut() else {
        out.changes.push(Change::WorkElapsed { minutes: said, crew: 1 });
        return;
    };
    let job = line.class.service.as_deref().is_some_and(|name| {
        words
            .vocabulary
            .services()
            .iter()
            .any(|s| s.name == name && s.unit == Unit::Job)
    });
    let whole = [" total", "altogether", "whole thing", "for all of", "all in"];
    if whole.iter().any(|word| words.tokens.lower.contains(word)) {
        out.changes.push(Change::WorkElapsed { minutes: said, crew: 1 });
        return;
    }
    // Half an hour and more for one of many is rather the time for all of them.
    let loose = loose || said.minutes >= Decimal::from(30);
    let single = matches!(&line.quantity, QuantitySaid::Exact(n) if *n == Decimal::ONE);
    if job || single || !loose {
        line.minutes_each = Some(said);
    } else if count == 1 {
        let text = line_text(line);
        out.doubts.push(Doubt::Either {
            words: format!("{} min", said.minutes.normalize()),
            choices: vec![
                format!("{text} {} min each", said.minutes.normalize()),
                format!("{text}, solo {} min", said.minutes.normalize()),
            ],
            span: line.span,
        });
    } else {
        out.changes.push(Change::WorkElapsed { minutes: said, crew: 1 });
    }
}

/// `another 3 small` and `3 more` are of what they add to; the counts stay apart, so that both can be told.
fn complete_more(out: &mut Lines) {
    for index in 1..out.lines.len() {
        let (before, after) = out.lines.split_at_mut(index);
        let line = &mut after[0];
        if !line.more || line.class.service.is_some() && line.class.size.is_some() {
            continue;
        }
        let of_it = |old: &&LineSaid| {
            (line.class.service.is_none() || old.class.service == line.class.service)
                && (old.class.size == line.class.size || (line.class.size.is_none() && line.class.service.is_none()))
        };
        if let Some(old) = before.iter().rev().find(of_it) {
            line.class.service.clone_from(&old.class.service);
            line.class.unknown.clone_from(&old.class.unknown);
            line.class.size.clone_from(&old.class.size);
            line.unit = line.unit.or(old.unit);
        }
    }
}

fn counted_twice(out: &mut Lines) {
    for second in 1..out.lines.len() {
        let line = &out.lines[second];
        let twin = (0..second).find(|first| {
            let old = &out.lines[*first];
            !line.more
                && old.class.service == line.class.service
                && old.class.unknown == line.class.unknown
                && old.class.size == line.class.size
                && (line.class.service.is_some() || line.class.size.is_some() || line.class.unknown.is_some())
                && line.price_each == old.price_each
        });
        if let Some(first) = twin {
            out.doubts.push(Doubt::CountedTwice { first, second });
        }
    }
}
