//! What whoever looks at a page may see of it.
//!
//! The same line as in the talk (`conversation::roles`): prices are the owner's, and the crew's when the owner says so.

/// What of the book a reader may see.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sees {
    /// All of it.
    Everything,
    /// The work, without what it comes to.
    NoPrices,
}

impl Sees {
    /// Whether prices are shown.
    pub(super) fn prices(self) -> bool {
        self == Sees::Everything
    }
}
