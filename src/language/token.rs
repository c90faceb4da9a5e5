//! Text to tokens: where are the words, the numbers and the stops?
//!
//! A token keeps its span, so everything read later can point back at the text. Glued writing comes apart here
//! (`14small`, `30ft`, `2x`, `$15`, `8am`), and so do hyphens (`man-hour`, `set-up`), because the lexicon knows words, not
//! spellings. Nothing is dropped: every byte that is not white space belongs to a token.

use rust_decimal::Decimal;

use super::lexicon::{Class, Lexicon, WordId};
use super::meaning::Span;

/// What stands for a number of more digits than anybody counts: 10^20, so that rules can still multiply and add it.
pub(super) const TOO_LARGE: Decimal = Decimal::from_parts(1_661_992_960, 1_808_227_885, 5, false, 0);

/// What a token is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum TokenKind {
    /// Letters.
    Word,
    /// Digits, a decimal or a fraction.
    Number(Decimal),
    /// `1:20`: two numbers with a colon, as written.
    Clock(u32, u32),
    /// A stop or sign.
    Sign(char),
    /// A line break.
    Break,
}

/// One token.
#[derive(Debug, Clone)]
pub(super) struct Token {
    /// What it is.
    pub(super) kind: TokenKind,
    /// Where it is.
    pub(super) span: Span,
    /// Its word in the lexicon, with variants folded; `WordId::NONE` when unknown.
    pub(super) word: WordId,
    /// What the lexicon says that it can be.
    pub(super) class: Class,
    /// Starts with a capital letter.
    pub(super) capital: bool,
    /// No white space before it.
    pub(super) glued: bool,
    /// Ends in `'s`.
    pub(super) possessive: bool,
    /// The number is a simple fraction (`3/4`).
    pub(super) fraction: bool,
    /// The number was written as an ordinal (`2nd`, `20th`).
    pub(super) ordinal: bool,
}

impl Token {
    /// Whether it is this sign.
    pub(super) fn is_sign(&self, sign: char) -> bool {
        self.kind == TokenKind::Sign(sign)
    }

    /// Whether it is a word.
    pub(super) fn is_word(&self) -> bool {
        self.kind == TokenKind::Word
    }
}

/// The text split up, with its lower-case form for look-ups.
#[derive(Debug)]
pub(super) struct Tokens<'t> {
    /// The text as it came.
    pub(super) text: &'t str,
    /// The same bytes with ASCII letters in lower case.
    pub(super) lower: String,
    /// The tokens.
    pub(super) list: Vec<Token>,
}

impl Tokens<'_> {
    /// The lower-case text of token `index`, without a possessive ending.
    pub(super) fn lower_of(&self, index: usize) -> &str {
        let token = &self.list[index];
        let word = &self.lower[token.span.start..token.span.end];
        if token.possessive {
            word.trim_end_matches(['s', '\'', '’'])
        } else {
            word
        }
    }
}

/// Splits a text into tokens. Total and linear.
pub(super) fn tokenize<'t>(text: &'t str, lexicon: &Lexicon) -> Tokens<'t> {
    let mut lower = String::with_capacity(text.len());
    lower.push_str(text);
    lower.make_ascii_lowercase();
    let mut scan = Scan {
        text,
        at: 0,
        list: Vec::with_capacity(text.len() / 4 + 2),
        spaced: true,
    };
    while let Some(c) = scan.peek() {
        scan.step(c, &lower, lexicon);
    }
    Tokens {
        text,
        lower,
        list: scan.list,
    }
}

struct Scan<'t> {
    text: &'t str,
    at: usize,
    list: Vec<Token>,
    spaced: bool,
}

impl Scan<'_> {
    fn peek(&self) -> Option<char> {
        self.text[self.at..].chars().next()
    }

    fn bytes(&self) -> &[u8] {
        self.text.as_bytes()
    }

    fn step(&mut self, c: char, lower: &str, lexicon: &Lexicon) {
        if c == '\n' {
            self.push(TokenKind::Break, self.at, self.at + 1);
            self.spaced = true;
        } else if c.is_whitespace() || matches!(c, '\u{200b}'..='\u{200f}' | '\u{feff}' | '\u{fe0f}') {
            self.at += c.len_utf8();
            self.spaced = true;
        } else if c.is_ascii_digit() || (c == '.' && self.digit_at(self.at + 1) && !self.digit_before()) {
            self.number();
        } else if let Some(value) = vulgar_fraction(c) {
            self.push_number(value, self.at, self.at + c.len_utf8(), true);
        } else if c.is_alphabetic() {
            self.word(lower, lexicon);
        } else {
            let sign = match c {
                '–' | '—' | '‐' | '−' | '•' | '*' | '·' => '-',
                '’' | '‘' | '`' | '′' => '\'',
                '“' | '”' | '″' => '"',
                '×' => 'x',
                '…' => '.',
                other => other,
            };
            let end = self.at + c.len_utf8();
            if sign == 'x' {
                self.push_word(self.at, end, false, "x", lexicon);
            } else {
                self.push(TokenKind::Sign(sign), self.at, end);
                self.sign_word(sign, lexicon);
            }
        }
    }

    /// `&`, `@` and `+` are words written as signs.
    fn sign_word(&mut self, sign: char, lexicon: &Lexicon) {
        let word = match sign {
            '&' | '+' => "and",
            '@' => "at",
            '%' => "percent",
            _ => return,
        };
        if let (Some(entry), Some(token)) = (lexicon.find(word), self.list.last_mut()) {
            token.word = entry.word;
            token.class = entry.class;
            if sign != '%' {
                token.kind = TokenKind::Word;
            }
        }
    }

    fn digit_at(&self, at: usize) -> bool {
        self.bytes().get(at).is_some_and(u8::is_ascii_digit)
    }

    fn digit_before(&self) -> bool {
        self.at > 0 && self.digit_at(self.at - 1)
    }

    fn digits_end(&self, from: usize) -> usize {
        let mut end = from;
        while self.digit_at(end) {
            end += 1;
        }
        end
    }

    fn number(&mut self) {
        let start = self.at;
        let mut end = self.digits_end(start);
        // Thousands: 1,200 and 12,000, but not the list "12,3" or "1,200,5".
        while end > start
            && self.bytes().get(end) == Some(&b',')
            && self.digits_end(end + 1) == end + 4
            && end - start <= 3 + (end - start) / 4 * 4
        {
            end += 4;
        }
        if self.bytes().get(end) == Some(&b'.') && self.digit_at(end + 1) {
            end = self.digits_end(end + 1);
        } else if self.bytes().get(end) == Some(&b':') && self.digits_end(end + 1) == end + 3 {
            return self.clock(start, end);
        } else if self.bytes().get(end) == Some(&b'/') && self.digit_at(end + 1) && self.simple_fraction(start, end) {
            return;
        }
        let plain: String = self.text[start..end].chars().filter(|c| *c != ',').collect();
        match plain.parse::<Decimal>() {
            Ok(value) if plain.len() <= 20 && value < TOO_LARGE => self.push_number(value, start, end, false),
            _ => self.push(TokenKind::Number(TOO_LARGE), start, end),
        }
        self.ordinal_ending(end);
    }

    fn clock(&mut self, start: usize, colon: usize) {
        let end = colon + 3;
        let kind = match (
            self.text[start..colon].parse::<u32>(),
            self.text[colon + 1..end].parse::<u32>(),
        ) {
            (Ok(left), Ok(right)) if right < 60 && left < 1_000 => TokenKind::Clock(left, right),
            _ => TokenKind::Number(TOO_LARGE),
        };
        self.push(kind, start, end);
    }

    /// `3/4`: a fraction below one with a denominator that people use; `12/3` is a list.
    fn simple_fraction(&mut self, start: usize, slash: usize) -> bool {
        let end = self.digits_end(slash + 1);
        let (Ok(over), Ok(under)) = (
            self.text[start..slash].parse::<i64>(),
            self.text[slash + 1..end].parse::<i64>(),
        ) else {
            return false;
        };
        if !matches!(under, 2 | 3 | 4 | 8) || over < 1 || over >= under || self.bytes().get(end) == Some(&b'/') {
            return false;
        }
        self.push_number(Decimal::from(over) / Decimal::from(under), start, end, true);
        true
    }

    fn ordinal_ending(&mut self, end: usize) {
        let rest = &self.text[end..];
        let ending = rest.get(..2).map(str::to_ascii_lowercase);
        let closed = !rest
            .get(2..)
            .is_some_and(|r| r.starts_with(|c: char| c.is_alphanumeric()));
        if closed && matches!(ending.as_deref(), Some("st" | "nd" | "rd" | "th")) {
            if let Some(token) = self.list.last_mut() {
                token.ordinal = true;
                token.span.end += 2;
            }
            self.at = end + 2;
        }
    }

    fn word(&mut self, lower: &str, lexicon: &Lexicon) {
        let start = self.at;
        // "w/o haul".
        if lower[start..].starts_with("w/o") && !lower[start + 3..].starts_with(char::is_alphanumeric) {
            return self.push_word(start, start + 3, false, "without", lexicon);
        }
        let mut end = start;
        let mut possessive = false;
        for c in self.text[start..].chars() {
            if c.is_alphabetic() || (('\u{300}'..='\u{36f}').contains(&c) && end > start) {
                end += c.len_utf8();
            } else if matches!(c, '\'' | '’') {
                let tail = &lower[end + c.len_utf8()..];
                let letters = tail.chars().take_while(|t| t.is_alphabetic()).count();
                if letters == 0 || letters > 2 {
                    break;
                }
                possessive = letters == 1 && tail.starts_with('s');
                end += c.len_utf8();
            } else {
                break;
            }
        }
        let shape = &lower[start..end];
        if shape.contains(['\'', '’']) {
            let joined: String = shape.chars().filter(|c| !matches!(c, '\'' | '’')).collect();
            // "what's" and "it's" are words of their own; "holly's" and "Alder's" are not.
            let own = lexicon.find(&joined).is_some();
            let base = shape.trim_end_matches('s').trim_end_matches(['\'', '’']);
            let look = if own || !possessive { joined.as_str() } else { base };
            self.push_word(start, end, possessive && !own, look, lexicon);
        } else {
            self.push_word(start, end, false, shape, lexicon);
        }
    }

    fn push_word(&mut self, start: usize, end: usize, possessive: bool, look: &str, lexicon: &Lexicon) {
        let capital = self.text[start..].starts_with(char::is_uppercase);
        self.push(TokenKind::Word, start, end);
        let entry = lexicon
            .find(look)
            .or_else(|| lexicon.find_near(look).filter(|_| !capital));
        if let (Some(entry), Some(token)) = (entry, self.list.last_mut()) {
            token.word = entry.word;
            token.class = entry.class;
        }
        if let Some(token) = self.list.last_mut() {
            token.capital = capital;
            token.possessive = possessive;
        }
    }

    fn push_number(&mut self, value: Decimal, start: usize, end: usize, fraction: bool) {
        self.push(TokenKind::Number(value), start, end);
        if let Some(token) = self.list.last_mut() {
            token.fraction = fraction;
        }
    }

    fn push(&mut self, kind: TokenKind, start: usize, end: usize) {
        self.list.push(Token {
            kind,
            span: Span { start, end },
            word: WordId::NONE,
            class: Class::NONE,
            capital: false,
            glued: !self.spaced,
            possessive: false,
            fraction: false,
            ordinal: false,
        });
        self.at = end;
        self.spaced = false;
    }
}

fn vulgar_fraction(c: char) -> Option<Decimal> {
    let (over, under) = match c {
        '½' => (1, 2),
        '¼' => (1, 4),
        '¾' => (3, 4),
        '⅓' => (1, 3),
        '⅔' => (2, 3),
        '⅛' => (1, 8),
        _ => return None,
    };
    Some(Decimal::from(over) / Decimal::from(under))
}

#[cfg(test)]
mod tests {
    use super::TOO_LARGE;

    #[test]
    fn too_large_is_ten_to_the_twentieth() {
        assert_eq!(TOO_LARGE.to_string(), format!("1{}", "0".repeat(20)));
    }
}
