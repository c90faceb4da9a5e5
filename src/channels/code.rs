//! The one-time code by which a person ties a messenger to their name in the book.
//!
//! Twelve letters and digits without those that are mistaken for each other: the first four say which code is meant, the
//! other eight (40 bits) are the secret, of which the book keeps a hash. Because the first four find it, a wrong guess can
//! be counted against the code, and five of them use it up.

use sha2::{Digest, Sha256};

/// The alphabet: Crockford's Base32, without I, L, O and U (crockford.com/base32.html).
const LETTERS: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";

/// Letters that say which code it is.
const NAME_LETTERS: usize = 4;

/// Letters in all.
const CODE_LETTERS: usize = 12;

/// How long a code is good, in seconds.
pub const CODE_GOOD_S: i64 = 600;

/// Wrong tries that a code stands.
pub const CODE_TRIES_MAX: u32 = 5;

/// A code in clear.
#[derive(Clone, PartialEq, Eq)]
pub struct Code(String);

impl Code {
    /// Makes a code of random bits.
    pub fn from_secret(secret: &[u8; 32]) -> Code {
        let letters = secret
            .iter()
            .take(CODE_LETTERS)
            .map(|byte| char::from(LETTERS[usize::from(byte % 32)]));
        Code(letters.collect())
    }

    /// Reads a code out of a message that is nothing else: capitals, spaces and hyphens do not matter, nor a leading
    /// `/start` or `code`, and letters that look like digits are taken for those.
    pub fn read(text: &str) -> Option<Code> {
        let text = text.trim();
        let lower = text.to_ascii_lowercase();
        let text = ["/start", "code"]
            .iter()
            .find_map(|lead| lower.strip_prefix(lead).map(|rest| &text[text.len() - rest.len()..]))
            .unwrap_or(text);
        let mut code = String::with_capacity(CODE_LETTERS);
        for letter in text.chars() {
            match letter.to_ascii_uppercase() {
                ' ' | '-' | ':' | '.' => {}
                'O' => code.push('0'),
                'I' | 'L' => code.push('1'),
                letter if letter.is_ascii() && LETTERS.contains(&(letter as u8)) => code.push(letter),
                _ => return None,
            }
            if code.len() > CODE_LETTERS {
                return None;
            }
        }
        (code.len() == CODE_LETTERS).then_some(Code(code))
    }

    /// Which code it is; not secret.
    pub fn name(&self) -> &str {
        &self.0[..NAME_LETTERS]
    }

    /// What the book keeps of the rest.
    pub fn hash(&self) -> String {
        Sha256::digest(format!("tallyhand code {}", self.0).as_bytes())
            .iter()
            .map(|byte| format!("{byte:02x}"))
            .collect()
    }

    /// As it is shown: three groups of four.
    pub fn shown(&self) -> String {
        format!("{}-{}-{}", &self.0[..4], &self.0[4..8], &self.0[8..])
    }
}

#[cfg(test)]
mod tests {
    use super::Code;

    #[test]
    fn a_code_is_read_back_however_it_is_typed() {
        let code = Code::from_secret(&[201; 32]);
        let shown = code.shown();
        assert_eq!(shown, "9999-9999-9999");
        for typed in [
            shown.clone(),
            shown.to_lowercase(),
            shown.replace('-', ""),
            shown.replace('-', " "),
            format!("/start {shown}"),
            format!("Code: {shown}"),
        ] {
            assert!(Code::read(&typed) == Some(code.clone()), "{typed}");
        }
        assert!(Code::read("olio-9999-9999") == Code::read("0110-9999-9999"));
        for other in [
            "",
            "12 small",
            "9999-9999-999",
            "9999-9999-99999",
            "done 85 min with 2 guys",
            "9999-9999-999!",
        ] {
            assert!(Code::read(other).is_none(), "{other}");
        }
    }
}
