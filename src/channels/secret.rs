//! Text that is never shown: tokens, passwords, keys.

use std::fmt;

use subtle::ConstantTimeEq;

/// A secret in clear. Its `Debug` shows nothing, and it is compared in constant time.
#[derive(Clone)]
pub struct Hidden(String);

impl Hidden {
    /// Hides a text.
    pub fn new(text: impl Into<String>) -> Hidden {
        Hidden(text.into())
    }

    /// The text, for the one place that has to send it or key a signature with it.
    pub fn reveal(&self) -> &str {
        &self.0
    }

    /// Whether this is what was given; in constant time for equal lengths.
    pub fn is(&self, given: &str) -> bool {
        self.0.as_bytes().ct_eq(given.as_bytes()).into()
    }
}

impl fmt::Debug for Hidden {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Hidden(…)")
    }
}

#[cfg(test)]
mod tests {
    use super::Hidden;

    #[test]
    fn it_is_compared_and_not_shown() {
        let secret = Hidden::new("k3y");
        assert!(secret.is("k3y") && !secret.is("k3Y") && !secret.is("k3") && !secret.is(""));
        assert_eq!(format!("{secret:?}"), "Hidden(…)");
    }
}
