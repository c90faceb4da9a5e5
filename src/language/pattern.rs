//! Wordings as patterns: a rule of a meaning is written as a line of words, classes and dimensions.
//!
//! `word`, `[one of these]`, `<class>`, `#dimension`, `( … )?` and `x?` for what may be missing, `~` for a connecting word
//! or sign (`is`, `=`, `:`, `to`, `at`). A pattern is compiled once; at a position only those whose first word or dimension
//! can stand there are tried. A match gives its captures; what they mean is said by the rule's builder.

use rust_decimal::Decimal;

use super::chart::Chart;
use super::lexicon::{Class, Lexicon, WordId};
use super::meaning::{ClassSaid, MinutesSaid, PlaceSaid, Unit, WhenSaid};
use super::rules::count::Counted;
use super::words::{Words, is_filler};

/// A dimension that a pattern can ask for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Dim {
    /// A number.
    Num,
    /// A duration with its unit.
    Dur,
    /// Minutes by role: a duration, `1:20`, a range or a bare number.
    Mins,
    /// Stopwatch minutes: as `Mins`, but `5:30` is minutes and seconds.
    Reading,
    /// A whole sum of money.
    Money,
    /// A sum with a sign or word.
    Dollars,
    /// A sum for each unit.
    MoneyEach,
    /// A percentage.
    Pct,
    /// A kind and size.
    Class,
    /// A counted thing.
    Line,
    /// A unit word.
    Unit,
    /// People.
    Crew,
    /// A place, its preposition included.
    Place,
    /// A day or time.
    When,
    /// `an hour`, `per man-hour`.
    PerHour,
    /// `each`, `apiece`, `a foot`, `per yard`.
    EachUnit,
    /// All that is left of the line.
    Rest,
    /// All that is left of the sentence.
    Sentence,
    /// Words of a new name, up to a number.
    Name,
}

/// All of them.
pub(super) const DIMS: [Dim; 19] = [
    Dim::Num,
    Dim::Dur,
    Dim::Mins,
    Dim::Reading,
    Dim::Money,
    Dim::Dollars,
    Dim::MoneyEach,
    Dim::Pct,
    Dim::Class,
    Dim::Line,
    Dim::Unit,
    Dim::Crew,
    Dim::Place,
    Dim::When,
    Dim::PerHour,
    Dim::EachUnit,
    Dim::Rest,
    Dim::Sentence,
    Dim::Name,
];

/// A value captured.
#[derive(Debug, Clone)]
pub(super) enum Cap {
    /// A number.
    Num(Decimal),
    /// Minutes; true: man-minutes.
    Mins(MinutesSaid, bool, bool),
    /// Dollars; true: said as money.
    Money(Decimal, bool),
    /// Percent.
    Pct(Decimal),
    /// A kind and size.
    Class(ClassSaid),
    /// A counted thing.
    Line(Box<Counted>),
    /// A unit; `None` for a plain `each`.
    Unit(Option<Unit>),
    /// People.
    Crew(u32),
    /// A place.
    Place(PlaceSaid),
    /// A day or time.
    When(WhenSaid),
    /// Words `from..to`.
    Text(usize, usize),
}

/// A step of a pattern, with those that follow it; a node is made after those that follow it.
#[derive(Debug)]
pub(super) enum Node {
    /// One of these words.
    Words(Vec<WordId>, usize),
    /// A word of a class.
    Class(Class, usize),
    /// A value of a dimension.
    Dim(Dim, usize),
    /// A sign.
    Sign(char, usize),
    /// A connecting word or two, or none.
    Connector(usize),
    /// One way or the other.
    Split(usize, usize),
    /// The end.
    End,
}

/// A compiled pattern.
#[derive(Debug)]
pub(super) struct Pattern {
    nodes: Vec<Node>,
    start: usize,
    /// Fillers count as words: for answers that are nothing else (`ok`). Elsewhere they are passed over in the message,
    /// so they are passed over in the pattern too.
    keeps_fillers: bool,
}

/// Where a pattern may begin.
#[derive(Debug, Default)]
pub(super) struct Firsts {
    pub(super) words: Vec<WordId>,
    pub(super) classes: Vec<Class>,
    pub(super) dims: Vec<Dim>,
    pub(super) signs: Vec<char>,
    /// A connecting word or nothing at all: it may begin anywhere.
    pub(super) anything: bool,
}

impl Pattern {
    /// Compiles a pattern.
    ///
    /// # Panics
    /// When it is not well formed: patterns are part of the program.
    pub(super) fn compile(text: &str, lexicon: &mut Lexicon, keeps_fillers: bool) -> Pattern {
        let spaced = text
            .replace('(', " ( ")
            .replace(')', " ) ")
            .replace(" )  ?", " )?")
            .replace(") ?", ")?");
        let spaced = spaced.replace('[', " [ ").replace(']', " ] ").replace("] ?", "]?");
        let parts: Vec<&str> = spaced.split_whitespace().collect();
        let mut pattern = Pattern {
            nodes: vec![Node::End],
            start: 0,
            keeps_fillers,
        };
        pattern.start = pattern.sequence(&parts, 0, lexicon);
        pattern
    }

    /// Builds from the back, so that each node knows the next.
    fn sequence(&mut self, parts: &[&str], next: usize, lexicon: &mut Lexicon) -> usize {
        let mut next = next;
        let mut at = parts.len();
        while at > 0 {
            at -= 1;
            let part = parts[at];
            let (optional, bare) = match part.strip_suffix('?') {
                Some(bare) if !bare.is_empty() => (true, bare),
                _ => (false, part),
            };
            let node = match bare {
                ")" | "]" => {
                    let open = opening(parts, at);
                    let inside = &parts[open + 1..at];
                    at = open;
                    if bare == "]" {
                        let silent = inside.iter().all(|word| self.silent(word, lexicon));
                        let words = inside.iter().map(|word| lexicon.intern_for_rule(word)).collect();
                        let node = self.push(Node::Words(words, next));
                        if silent {
                            self.push(Node::Split(node, next))
                        } else {
                            node
                        }
                    } else {
                        self.alternatives(inside, next, lexicon)
                    }
                }
                "~" => self.push(Node::Connector(next)),
                _ if bare.starts_with('#') && bare.len() > 1 => self.push(Node::Dim(dimension(&bare[1..]), next)),
                _ if bare.starts_with('<') => {
                    let class = Class::named_or_panic(bare.trim_matches(['<', '>']));
                    self.push(Node::Class(class, next))
                }
                _ if bare.chars().count() == 1 && !bare.starts_with(char::is_alphanumeric) => {
                    self.push(Node::Sign(bare.chars().next().expect("one sign"), next))
                }
                word if self.silent(word, lexicon) => next,
                word => {
                    let words = if self.keeps_fillers {
                        vec![lexicon.intern_for_rule(word)]
                    } else {
                        lexicon.written_for(word)
                    };
                    self.push(Node::Words(words, next))
                }
            };
            next = if optional {
                self.push(Node::Split(node, next))
            } else {
                node
            };
        }
        next
    }

    /// Whether a word of the pattern is a filler that the message will not show.
    fn silent(&self, word: &str, lexicon: &Lexicon) -> bool {
        !self.keeps_fillers && lexicon.find(word).is_some_and(|entry| is_filler(entry.class))
    }

    fn alternatives(&mut self, parts: &[&str], next: usize, lexicon: &mut Lexicon) -> usize {
        let mut depth = 0;
        let mut cuts = vec![];
        for (index, part) in parts.iter().enumerate() {
            match part.trim_end_matches('?') {
                "(" | "[" => depth += 1,
                ")" | "]" => depth -= 1,
                "|" if depth == 0 => cuts.push(index),
                _ => {}
            }
        }
        cuts.push(parts.len());
        let mut from = 0;
        let mut entry = None;
        for cut in cuts {
            let branch = self.sequence(&parts[from..cut], next, lexicon);
            from = cut + 1;
            // A branch of nothing but fillers is no wording at all.
            if branch == next {
                continue;
            }
            entry = Some(match entry {
                None => branch,
                Some(other) => self.push(Node::Split(other, branch)),
            });
        }
        entry.unwrap_or(next)
    }

    fn push(&mut self, node: Node) -> usize {
        self.nodes.push(node);
        self.nodes.len() - 1
    }

    /// How many nodes it has.
    pub(super) fn len(&self) -> usize {
        self.nodes.len()
    }

    /// A node.
    pub(super) fn node(&self, index: usize) -> &Node {
        &self.nodes[index]
    }

    /// The node that it begins with.
    pub(super) fn start(&self) -> usize {
        self.start
    }

    /// What the pattern can begin with.
    pub(super) fn firsts(&self) -> Firsts {
        let mut firsts = Firsts::default();
        let mut open = vec![self.start];
        while let Some(index) = open.pop() {
            match &self.nodes[index] {
                Node::Words(words, _) => firsts.words.extend(words),
                Node::Class(class, _) => firsts.classes.push(*class),
                Node::Split(a, b) => open.extend([*a, *b]),
                Node::Dim(dim, _) => firsts.dims.push(*dim),
                Node::Sign(sign, _) => firsts.signs.push(*sign),
                Node::Connector(_) | Node::End => firsts.anything = true,
            }
        }
        firsts
    }

    /// Tells each match from word `at` on: (one past the last word, captures).
    ///
    /// `caps` is room to work in, so that the patterns of a message share one piece of memory.
    pub(super) fn matches<'c>(
        &self,
        words: &Words<'_>,
        at: usize,
        chart: &'c Chart<'_, '_>,
        caps: &mut Vec<&'c Cap>,
        mut tell: impl FnMut(usize, &[&'c Cap]),
    ) {
        caps.clear();
        let mut walk = Walk {
            pattern: self,
            words,
            chart,
            caps,
            told: 0,
            tell: &mut tell,
        };
        walk.go(self.start, at);
    }
}

/// A walk through a pattern along the words.
struct Walk<'p, 'c> {
    pattern: &'p Pattern,
    words: &'p Words<'p>,
    chart: &'c Chart<'c, 'c>,
    caps: &'p mut Vec<&'c Cap>,
    /// How many matches were told.
    told: usize,
    tell: &'p mut dyn FnMut(usize, &[&'c Cap]),
}

impl Walk<'_, '_> {
    fn go(&mut self, node: usize, at: usize) {
        if self.told >= MATCHES_MAX {
            return;
        }
        match &self.pattern.nodes[node] {
            Node::End => {
                self.told += 1;
                (self.tell)(at, self.caps);
            }
            Node::Split(a, b) => {
                self.go(*a, at);
                self.go(*b, at);
            }
            Node::Words(list, next) => {
                if at < self.words.len() && list.contains(&self.words.id(at)) {
                    self.go(*next, at + 1);
                }
            }
            Node::Class(class, next) => {
                if self.words.is(at, *class) {
                    self.caps.push(self.chart.word(at));
                    self.go(*next, at + 1);
                    self.caps.pop();
                }
            }
            Node::Sign(sign, next) => {
                if self.words.sign(at, *sign) {
                    self.go(*next, at + 1);
                }
            }
            Node::Connector(next) => {
                let mut after = at;
                self.go(*next, after);
                while after < at + 2 && connects(self.words, after) {
                    after += 1;
                    self.go(*next, after);
                }
            }
            Node::Dim(dim, next) => {
                let chart = self.chart;
                for (end, cap) in chart.values(*dim, at) {
                    self.caps.push(cap);
                    self.go(*next, *end);
                    self.caps.pop();
                }
            }
        }
    }
}

/// Most matches of one pattern at one place.
const MATCHES_MAX: usize = 12;

fn opening(parts: &[&str], close: usize) -> usize {
    let mut depth = 0;
    for index in (0..=close).rev() {
        match parts[index].trim_end_matches('?') {
            ")" | "]" => depth += 1,
            "(" | "[" => {
                depth -= 1;
                if depth == 0 {
                    return index;
                }
            }
            _ => {}
        }
    }
    panic!("a group is not opened")
}

fn connects(words: &Words<'_>, at: usize) -> bool {
    words.one_of(
        at,
        &[
            "is", "are", "to", "at", "of", "was", "be", "its", "equals", "now", "takes", "for", "on", "@",
        ],
    ) || words.sign(at, '=')
        || words.sign(at, ':')
        || words.sign(at, '-')
        || words.sign(at, ',')
}

fn dimension(name: &str) -> Dim {
    match name {
        "num" => Dim::Num,
        "dur" => Dim::Dur,
        "mins" => Dim::Mins,
        "reading" => Dim::Reading,
        "money" => Dim::Money,
        "dollars" => Dim::Dollars,
        "moneyeach" => Dim::MoneyEach,
        "pct" => Dim::Pct,
        "class" => Dim::Class,
        "line" => Dim::Line,
        "unit" => Dim::Unit,
        "crew" => Dim::Crew,
        "place" => Dim::Place,
        "when" => Dim::When,
        "perhour" => Dim::PerHour,
        "each" => Dim::EachUnit,
        "rest" => Dim::Rest,
        "sentence" => Dim::Sentence,
        "name" => Dim::Name,
        other => panic!("no dimension is called '{other}'"),
    }
}
