//! Which text is taken in as a message?
//!
//! The same rule for every way in. Control characters, NUL among them, become spaces: they carry no meaning in a message
//! and upset terminals and logs. Too long a text is refused before it reaches the book.

/// Longest message taken, in bytes of UTF-8: more than ten minutes of talk, and room for a list of a big property.
pub const MESSAGE_BYTES_MAX: usize = 16 * 1024;

/// Why a text is not taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum TextRefused {
    /// Nothing but white space.
    #[error("the message is empty: say what you counted, such as `12 small 3 medium crapes`")]
    Empty,
    /// More than [`MESSAGE_BYTES_MAX`].
    #[error("the message is {bytes} bytes long and {MESSAGE_BYTES_MAX} fit: send it in parts")]
    TooLong {
        /// Its length in bytes.
        bytes: usize,
    },
}

/// The text as it goes into the book: trimmed, line ends as `\n`, control characters as spaces.
///
/// # Errors
/// When nothing is left, or when it is longer than [`MESSAGE_BYTES_MAX`].
///
/// ```
/// use tallyhand::channels::accept_text;
/// assert_eq!(accept_text(" 12\0small\r\n3 medium ").as_deref(), Ok("12 small\n3 medium"));
/// ```
pub fn accept_text(raw: &str) -> Result<String, TextRefused> {
    if raw.len() > MESSAGE_BYTES_MAX {
        return Err(TextRefused::TooLong { bytes: raw.len() });
    }
    let plain: String = raw
        .replace("\r\n", "\n")
        .chars()
        .map(|c| if c == '\r' { '\n' } else { c })
        .map(|c| if c.is_control() && c != '\n' { ' ' } else { c })
        .collect();
    let text = plain.trim();
    if text.is_empty() {
        Err(TextRefused::Empty)
    } else {
        Ok(text.to_string())
    }
}

#[cfg(test)]
mod tests {
    use super::{MESSAGE_BYTES_MAX, TextRefused, accept_text};

    #[test]
    fn control_characters_become_spaces_and_lines_stay() {
        assert_eq!(
            accept_text(" 12\0small\r\n3 medium\t ").as_deref(),
            Ok("12 small\n3 medium")
        );
    }

    #[test]
    fn nothing_and_too_much_are_refused() {
        assert_eq!(accept_text("\0 \n"), Err(TextRefused::Empty));
        let long = "a".repeat(MESSAGE_BYTES_MAX + 1);
        assert_eq!(
            accept_text(&long),
            Err(TextRefused::TooLong {
                bytes: MESSAGE_BYTES_MAX + 1
            })
        );
        assert!(accept_text(&long[1..]).is_ok());
    }
}
