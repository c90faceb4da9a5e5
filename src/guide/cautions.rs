//! Which cautions does a message or a job call up?
//!
//! A trigger is a list of words; a message that says one of them, in any number, calls its caution up, unless it also says
//! a word that calls it off ("wire transfer"). Work calls cautions up by the kind, the size and the month. Whether a
//! caution was given before is not known here.

use super::{Guide, Plant, Source};

/// A caution.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Warning {
    /// Short name, for data.
    pub code: String,
    /// Low comes first.
    pub rank: u32,
    /// For whoever prices.
    pub text: String,
    /// For whoever stands there.
    pub crew: String,
    /// Who says so.
    pub source: &'static Source,
}

/// Words that call a caution up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Trigger {
    /// Which.
    pub code: String,
    /// The wordings, as folded words.
    words: Vec<Vec<String>>,
    /// Wordings that call it off.
    unless: Vec<Vec<String>>,
}

/// When a caution of the work is given.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Moment {
    /// With the price.
    Quote,
    /// When the crew comes.
    Here,
}

/// Work that calls a caution up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Work {
    /// Which.
    pub code: String,
    /// Kinds of work, as folded words; one with `form:` before it is a form of plant.
    kinds: Vec<Vec<String>>,
    forms: Vec<String>,
    /// Sizes; none for any.
    sizes: Vec<String>,
    /// First and last month; none for all.
    months: Option<(u8, u8)>,
    /// When.
    pub moment: Moment,
    /// Who says that it belongs there.
    pub source: &'static Source,
}

/// A line of a job, as far as cautions go.
#[derive(Debug, Clone, Copy)]
pub struct Doing<'a> {
    /// The kind on the price list.
    pub service: &'a str,
    /// The size in the common word.
    pub size: Option<&'a str>,
    /// The plant, when it is one.
    pub plant: Option<&'a Plant>,
}

impl Trigger {
    pub(super) fn new(code: String, words: &[String], unless: &[String]) -> Self {
        let fold_all = |list: &[String]| list.iter().map(|text| folded(text)).collect();
        Trigger {
            code,
            words: fold_all(words),
            unless: fold_all(unless),
        }
    }

    fn is_called_by(&self, said: &[String]) -> bool {
        let says = |list: &[Vec<String>]| list.iter().any(|words| holds(said, words));
        says(&self.words) && !says(&self.unless)
    }
}

impl Work {
    pub(super) fn new(
        code: String,
        kinds: &[String],
        sizes: Vec<String>,
        months: Option<(u8, u8)>,
        moment: Moment,
        source: &'static Source,
    ) -> Self {
        let (forms, kinds): (Vec<&String>, Vec<&String>) = kinds.iter().partition(|kind| kind.starts_with("form:"));
        Work {
            code,
            kinds: kinds.into_iter().map(|kind| folded(kind)).collect(),
            forms: forms
                .into_iter()
                .map(|form| form["form:".len()..].to_string())
                .collect(),
            sizes,
            months,
            moment,
            source,
        }
    }

    fn is_called_by(&self, doing: &Doing<'_>, month: u8) -> bool {
        let service = folded(doing.service);
        let kind = self.kinds.iter().any(|words| holds(&service, words));
        let form = doing.plant.is_some_and(|plant| self.forms.contains(&plant.form));
        let size = self.sizes.is_empty() || doing.size.is_some_and(|size| self.sizes.iter().any(|own| own == size));
        let month = self.months.is_none_or(|(from, to)| (from..=to).contains(&month));
        (kind || form) && size && month
    }
}

impl Guide {
    /// The cautions that a message calls up, those that come first first.
    pub fn heard(&self, text: &str) -> Vec<&Warning> {
        let said = folded(text);
        self.of_codes(|code| {
            let mut own = self.triggers.iter().filter(|trigger| trigger.code == code);
            own.any(|trigger| trigger.is_called_by(&said))
        })
    }

    /// The cautions that the work calls up at a moment, in a month.
    pub fn called_by_work(&self, doing: &[Doing<'_>], month: u8, moment: Moment) -> Vec<&Warning> {
        self.of_codes(|code| {
            let of_code = |work: &&Work| work.code == code && (work.moment == moment || moment == Moment::Here);
            let mut works = self.works.iter().filter(of_code);
            works.any(|work| doing.iter().any(|line| work.is_called_by(line, month)))
        })
    }

    fn of_codes(&self, called: impl Fn(&str) -> bool) -> Vec<&Warning> {
        self.warnings.iter().filter(|warning| called(&warning.code)).collect()
    }
}

/// The words of a text in lower case and singular.
pub(super) fn folded(text: &str) -> Vec<String> {
    let text = text.replace(['\'', '\u{2019}'], "");
    text.split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(singular)
        .collect()
}

fn singular(word: &str) -> String {
    let word = word.to_lowercase();
    let long = word.chars().count() > 3;
    match word.as_str() {
        w if long && w.ends_with("ies") => format!("{}y", &w[..w.len() - 3]),
        w if long && ["ches", "shes", "xes", "sses"].iter().any(|end| w.ends_with(end)) => w[..w.len() - 2].to_string(),
        w if long && w.ends_with('s') && !w.ends_with("ss") => w[..w.len() - 1].to_string(),
        w => w.to_string(),
    }
}

/// Whether words stand in a text, in order and side by side.
fn holds(said: &[String], words: &[String]) -> bool {
    !words.is_empty() && said.windows(words.len()).any(|here| here == words)
}
