//! A language's words and wordings, compiled once.

use std::sync::LazyLock;

use super::lexicon::Lexicon;
use super::wordings::Wordings;

/// The words and wordings of one language.
pub(super) struct Grammar {
    /// The words.
    pub(super) lexicon: Lexicon,
    /// The wordings.
    pub(super) wordings: Wordings,
}

static ENGLISH: LazyLock<Grammar> = LazyLock::new(|| {
    let mut lexicon = Lexicon::load(include_str!("lexicon/en.tsv"));
    let wordings = Wordings::compile(&mut lexicon);
    Grammar { lexicon, wordings }
});

impl Grammar {
    /// English, as the trade speaks it.
    pub(super) fn english() -> &'static Grammar {
        &ENGLISH
    }
}
