//! Which signs in a text would a messenger take for markup?
//!
//! Telegram and Matrix are sent words in a form without markup. WhatsApp has no such form: what stands between two stars, low
//! lines, tildes or backticks is shown bold, slanted, struck out or as code, and the signs are gone
//! (faq.whatsapp.com, "How to format your messages"; from memory). So where two of a kind could make a pair, their look-alikes
//! are sent; everything else, addresses of pages above all, stays as it is.

/// Signs that are markup in pairs, and what looks like them and is none.
const MARKS: [(char, char); 4] = [
    ('*', '\u{2217}'),
    ('_', '\u{ff3f}'),
    ('~', '\u{223c}'),
    ('`', '\u{2bc}'),
];

/// The same text without pairs of signs that would be taken for markup.
pub(super) fn unmarked(text: &str) -> String {
    let lines: Vec<String> = text.split('\n').map(unmarked_line).collect();
    lines.join("\n")
}

/// A pair stands in one line.
fn unmarked_line(line: &str) -> String {
    let paired: Vec<(char, char)> = MARKS.into_iter().filter(|(mark, _)| makes_pair(line, *mark)).collect();
    if paired.is_empty() {
        return line.to_string();
    }
    let word = |word: &str| {
        if word.contains("://") {
            return word.to_string();
        }
        let alike = |letter: char| {
            paired
                .iter()
                .find(|(mark, _)| *mark == letter)
                .map_or(letter, |(_, alike)| *alike)
        };
        word.chars().map(alike).collect()
    };
    let words: Vec<String> = line.split(' ').map(word).collect();
    words.join(" ")
}

/// Whether a sign opens something in a line, outside of a word, and another one closes it.
fn makes_pair(line: &str, mark: char) -> bool {
    let letters: Vec<char> = line.chars().collect();
    let beside = |at: Option<usize>| at.and_then(|at| letters.get(at)).copied();
    let outside = |letter: Option<char>| letter.is_none_or(|letter| !letter.is_alphanumeric());
    let inside = |letter: Option<char>| letter.is_some_and(|letter| !letter.is_whitespace());
    let at = |at: &usize| letters[*at] == mark;
    let opens = (0..letters.len())
        .filter(at)
        .find(|at| outside(beside(at.checked_sub(1))) && inside(beside(Some(at + 1))));
    let closes = (0..letters.len())
        .rev()
        .filter(at)
        .find(|at| outside(beside(Some(at + 1))) && inside(beside(at.checked_sub(1))));
    opens.zip(closes).is_some_and(|(opens, closes)| opens < closes)
}

#[cfg(test)]
mod tests {
    use super::unmarked;

    #[test]
    fn pairs_lose_their_meaning_and_nothing_else_changes() {
        for text in [
            "12 small: $114.00 ($9.50 each)",
            "10 * 12 * 3",
            "a_b_c.pdf",
            "one star*",
            "~40 ft",
            "*first line\nsecond line*",
            "see https://yard.example.com/f/_a_ soon",
        ] {
            assert_eq!(unmarked(text), text);
        }
        assert_eq!(unmarked("*bold* and 2 * 3"), "\u{2217}bold\u{2217} and 2 \u{2217} 3");
        assert_eq!(
            unmarked("_gate_ ~5 min~ `x`"),
            "\u{ff3f}gate\u{ff3f} \u{223c}5 min\u{223c} \u{2bc}x\u{2bc}"
        );
        assert_eq!(
            unmarked("_a_ https://yard.example.com/_b_"),
            "\u{ff3f}a\u{ff3f} https://yard.example.com/_b_"
        );
    }
}
