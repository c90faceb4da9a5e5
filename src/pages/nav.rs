//! The pages of the house, as labels on the twine.

/// A page that has a label.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Place {
    /// The conversation.
    Talk,
    /// The book.
    Book,
    /// Minutes of each kind.
    Times,
    /// What is planned.
    Week,
    /// The figures of the account.
    Settings,
}

const LABELS: [(Place, &str, &str); 5] = [
    (Place::Talk, "Talk", "/"),
    (Place::Book, "Book", "/book"),
    (Place::Times, "Times", "/times"),
    (Place::Week, "Week", "/week"),
    (Place::Settings, "Settings", "/settings"),
];

impl Place {
    /// Name, path, and whether it is this page.
    pub(super) fn links(self) -> impl Iterator<Item = (&'static str, &'static str, bool)> {
        LABELS
            .into_iter()
            .map(move |(place, name, path)| (name, path, place == self))
    }
}
