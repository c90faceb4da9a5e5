//! How many text messages does a text cost, and how is it kept cheap?
//!
//! The GSM 7-bit alphabet fits 160 letters into one message, anything outside of it makes the whole text UCS-2 with 70.
//! Longer texts are cut into parts of 153 or 67, a header taking the rest; an escaped letter or a surrogate pair is never
//! cut in two. Sources: 3GPP TS 23.038 (alphabet, 6.2.1) and TS 23.040 (concatenation, 9.2.3.24.1).

/// The basic alphabet by code; the escape's own place is never looked up.
const BASIC: &str = "@£$¥èéùìòÇ\nØø\rÅåΔ_ΦΓΛΩΠΨΣΘΞ\u{1b}ÆæßÉ !\"#¤%&'()*+,-./0123456789:;<=>?\
    ¡ABCDEFGHIJKLMNOPQRSTUVWXYZÄÖÑÜ§¿abcdefghijklmnopqrstuvwxyzäöñüà";

/// Letters that cost two places: an escape comes first.
const EXTENDED: &str = "\u{c}^{}\\[~]|€";

/// Places in a message that stands alone, and in a part of several, in the 7-bit alphabet.
const GSM_PLACES: (usize, usize) = (160, 153);

/// The same in UTF-16 units.
const UCS2_PLACES: (usize, usize) = (70, 67);

/// Places that a letter takes in the 7-bit alphabet; `None` when it is not in it.
fn places(letter: char) -> Option<usize> {
    if letter != '\u{1b}' && BASIC.contains(letter) {
        Some(1)
    } else {
        EXTENDED.contains(letter).then_some(2)
    }
}

/// Whether a text fits the 7-bit alphabet.
pub fn is_gsm(text: &str) -> bool {
    text.chars().all(|letter| places(letter).is_some())
}

/// How many messages a text costs; none for an empty one.
pub fn segments(text: &str) -> usize {
    let gsm = is_gsm(text);
    let size = |letter: char| {
        if gsm {
            places(letter).unwrap_or(1)
        } else {
            letter.len_utf16()
        }
    };
    let (alone, part) = if gsm { GSM_PLACES } else { UCS2_PLACES };
    let total: usize = text.chars().map(size).sum();
    if total <= alone {
        return usize::from(total > 0);
    }
    let (mut segments, mut used) = (1, 0);
    for letter in text.chars() {
        let size = size(letter);
        if used + size > part {
            segments += 1;
            used = 0;
        }
        used += size;
    }
    segments
}

/// The same text with what the 7-bit alphabet has another way for: curly quotes, dashes, dots, odd spaces, marks of lists,
/// and accents that it lacks. Words in another script stay as they are.
pub fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '\u{2018}' | '\u{2019}' | '\u{201a}' | '\u{2032}' | '`' | '\u{b4}' => out.push('\''),
            '\u{201c}' | '\u{201d}' | '\u{201e}' | '\u{2033}' | '\u{ab}' | '\u{bb}' => out.push('"'),
            '\u{2010}'..='\u{2015}' | '\u{2212}' => out.push('-'),
            '\u{2026}' => out.push_str("..."),
            '\u{2022}' | '\u{b7}' => out.push('-'),
            '\t' | '\u{a0}' | '\u{2000}'..='\u{200a}' | '\u{202f}' | '\u{3000}' => out.push(' '),
            '\u{200b}'..='\u{200d}' | '\u{2060}' | '\u{fe0e}' | '\u{fe0f}' | '\u{feff}' => {}
            '\u{d7}' => out.push('x'),
            '\u{bd}' => out.push_str("1/2"),
            '\u{bc}' => out.push_str("1/4"),
            '\u{be}' => out.push_str("3/4"),
            letter => match unaccented(letter) {
                Some(plain) => out.push(plain),
                None => out.push(letter),
            },
        }
    }
    out
}

/// A Latin letter without the accent that the alphabet lacks.
fn unaccented(letter: char) -> Option<char> {
    if places(letter).is_some() {
        return None;
    }
    let plain = match letter {
        'á' | 'â' | 'ã' => 'a',
        'Á' | 'À' | 'Â' | 'Ã' => 'A',
        'ç' => 'c',
        'ê' | 'ë' => 'e',
        'È' | 'Ê' | 'Ë' => 'E',
        'í' | 'î' | 'ï' => 'i',
        'Í' | 'Ì' | 'Î' | 'Ï' => 'I',
        'ó' | 'ô' | 'õ' => 'o',
        'Ó' | 'Ò' | 'Ô' | 'Õ' => 'O',
        'ú' | 'û' => 'u',
        'Ú' | 'Ù' | 'Û' => 'U',
        _ => return None,
    };
    Some(plain)
}

#[cfg(test)]
mod tests {
    use super::{is_gsm, places, plain, segments};

    #[track_caller]
    fn check(text: &str, gsm: bool, wanted: usize) {
        assert_eq!(
            (is_gsm(text), segments(text)),
            (gsm, wanted),
            "{:?}",
            text.chars().take(20).collect::<String>()
        );
    }

    /// Cases on which the npm package sms-segments-calculator 1.3.0 and the crate sms_splitter 0.1.9 agree, and Kannel 1.4.5
    /// over SMPP for 161 x A, 71 x б and the price in euros (all run 2026-11-25).
    #[test]
    fn segments_are_those_of_three_other_programs() {
        let a = |n: usize| "A".repeat(n);
        for (n, wanted) in [(160, 1), (161, 2), (306, 2), (307, 3)] {
            check(&a(n), true, wanted);
        }
        check(&format!("{}€", a(158)), true, 1);
        check(&format!("{}€", a(159)), true, 2);
        check(&format!("{}€{}", a(152), a(10)), true, 2);
        check(&"{".repeat(80), true, 1);
        check(&"{".repeat(81), true, 2);
        for (n, wanted) in [(70, 1), (71, 2), (134, 2), (135, 3)] {
            check(&"б".repeat(n), false, wanted);
        }
        check(&"🌿".repeat(35), false, 1);
        check(&"🌿".repeat(36), false, 2);
        check(&format!("{}🌿{}", "б".repeat(66), "б".repeat(5)), false, 2);
        check("It\u{2019}s done", false, 1);
        check("façade", false, 1);
        check("ÇA", true, 1);
        check("a\nb", true, 1);
        check("Price €45 {ok}", true, 1);
        check("", true, 0);
    }

    /// The same against a third-party implementation, letter by letter and in every length round the borders.
    #[test]
    fn a_reference_library_counts_the_same() {
        let split = |text: &str| {
            let splitter = sms_splitter::SplitSms::default();
            splitter.split(String::from(text)).parts.len()
        };
        for letter in ['A', '€', '{', 'б', '🌿', 'ç', 'Ç', '\n', '@', 'à', 'Ξ', '`', '~', '"'] {
            for n in [
                1, 66, 67, 68, 70, 71, 76, 77, 80, 81, 134, 135, 152, 153, 154, 160, 161, 306, 307, 459, 460,
            ] {
                let text: String = std::iter::repeat_n(letter, n).collect();
                assert_eq!(segments(&text), split(&text), "{letter:?} x {n}");
                let mixed = format!("{}{letter}{}", "A".repeat(n), "A".repeat(n / 2));
                assert_eq!(segments(&mixed), split(&mixed), "{n} x A, {letter:?}");
            }
        }
    }

    #[test]
    fn the_alphabet_has_128_places_and_ten_letters_more() {
        let one = (0..=0x2fff)
            .filter_map(char::from_u32)
            .filter(|letter| places(*letter) == Some(1))
            .count();
        let two = (0..=0x2fff)
            .filter_map(char::from_u32)
            .filter(|letter| places(*letter) == Some(2))
            .count();
        assert_eq!((one, two), (127, 10));
    }

    #[test]
    fn plain_text_is_cheap() {
        for costly in [
            "It\u{2019}s \u{201c}done\u{201d} \u{2013} 12\u{a0}small\u{2026}",
            "façade, ½ day",
            "a\tb • c",
        ] {
            assert!(!is_gsm(costly) && is_gsm(&plain(costly)), "{costly}");
        }
        assert_eq!(plain("Ñandú à la 🌿"), "Ñandu à la 🌿");
    }
}
