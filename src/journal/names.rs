//! The texts that a book says again and again, each with a number of its own.
//!
//! A hundred thousand jobs are at a few thousand places and of a few dozen kinds. Figures that are kept to be added up or
//! looked through name them by number, so that a sum goes into a list by its place and a word is looked for once in each
//! name and not once in each job. A number is given when a name is first needed and stays; the same facts give the same
//! numbers.

use std::sync::Arc;

use imbl::{OrdMap, Vector};

/// The number of a place, a kind or a size.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub(super) struct NameId(u32);

/// The number of a kind with its size.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct ClassId(u32);

/// The number of the kinds on a sheet taken together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct KindsId(u32);

/// Names and their numbers.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Names {
    numbers: OrdMap<Arc<str>, NameId>,
    names: Vector<Name>,
    class_numbers: OrdMap<(NameId, Option<NameId>), ClassId>,
    classes: Vector<(NameId, Option<NameId>)>,
    kinds_numbers: OrdMap<Arc<[NameId]>, KindsId>,
    kinds: Vector<Arc<[NameId]>>,
}

/// A name as it is said, and in lower case for looking.
#[derive(Debug, Clone, PartialEq)]
struct Name {
    said: Arc<str>,
    lower: Arc<str>,
}

impl NameId {
    /// Its place in a list of all names.
    pub(super) fn index(self) -> usize {
        self.0 as usize
    }
}

impl ClassId {
    /// Its place in a list of all classes.
    pub(super) fn index(self) -> usize {
        self.0 as usize
    }
}

impl KindsId {
    /// Its place in a list of all that were on a sheet together.
    pub(super) fn index(self) -> usize {
        self.0 as usize
    }
}

impl Names {
    /// The number of a name, which gets one if it has none.
    pub(super) fn number(&mut self, name: &str) -> NameId {
        if let Some(number) = self.numbers.get(name) {
            return *number;
        }
        let (said, lower): (Arc<str>, String) = (name.into(), name.to_lowercase());
        let number = NameId(next(self.names.len()));
        let lower = if *lower == *said { said.clone() } else { lower.into() };
        self.numbers.insert(said.clone(), number);
        self.names.push_back(Name { said, lower });
        number
    }

    /// The number of a kind with its size.
    pub(super) fn class_number(&mut self, service: &str, size: Option<&str>) -> ClassId {
        let class = (self.number(service), size.map(|size| self.number(size)));
        if let Some(number) = self.class_numbers.get(&class) {
            return *number;
        }
        let number = ClassId(next(self.classes.len()));
        self.class_numbers.insert(class, number);
        self.classes.push_back(class);
        number
    }

    /// The number of kinds that are on a sheet together, in any order and however often.
    pub(super) fn kinds_number<'k>(&mut self, kinds: impl Iterator<Item = &'k str>) -> KindsId {
        let mut together: Vec<NameId> = kinds.map(|kind| self.number(kind)).collect();
        together.sort_unstable();
        together.dedup();
        if let Some(number) = self.kinds_numbers.get(together.as_slice()) {
            return *number;
        }
        let together: Arc<[NameId]> = together.into();
        let number = KindsId(next(self.kinds.len()));
        self.kinds_numbers.insert(together.clone(), number);
        self.kinds.push_back(together);
        number
    }

    /// A name.
    pub(super) fn name(&self, number: NameId) -> &str {
        self.names.get(number.index()).map_or("", |name| &name.said)
    }

    /// A kind with its size, the number of which is its place in the list of all.
    pub(super) fn class(&self, index: usize) -> Option<(&str, Option<&str>)> {
        let (service, size) = self.classes.get(index)?;
        Some((self.name(*service), size.map(|size| self.name(size))))
    }

    /// The name with its place in the list of all.
    pub(super) fn name_at(&self, index: usize) -> &str {
        self.names.get(index).map_or("", |name| &name.said)
    }

    /// How many names there are.
    pub(super) fn len(&self) -> usize {
        self.names.len()
    }

    /// How many classes there are.
    pub(super) fn classes_len(&self) -> usize {
        self.classes.len()
    }

    /// Which names have some letters in them, given in lower case; and which kinds on a sheet have such a one among them.
    pub(super) fn having(&self, lower: &str) -> (Vec<bool>, Vec<bool>) {
        let names: Vec<bool> = self.names.iter().map(|name| name.lower.contains(lower)).collect();
        let any = |kinds: &Arc<[NameId]>| kinds.iter().any(|kind| names[kind.index()]);
        let kinds = self.kinds.iter().map(any).collect();
        (names, kinds)
    }
}

/// The number that comes next.
fn next(count: usize) -> u32 {
    u32::try_from(count).expect("quotes are numbered with as many digits, and each brings few names")
}
