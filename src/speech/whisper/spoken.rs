//! A text as it would be read out, so that two spellings of the same words can be seen to be the same.

use crate::language::{NumberWord, number_word};

/// Words in small letters with a space between them, no marks, whole numbers below a hundred as digits. An amount and a
/// share keep what is said of them: `$20` is `20 dollars`, `5%` is `5 percent`.
pub(super) fn as_spoken(text: &str) -> String {
    let mut plain = String::with_capacity(text.len() + 8);
    let mut letters = text.chars().peekable();
    let mut before = ' ';
    while let Some(letter) = letters.next() {
        let figures = before.is_ascii_digit() && letters.peek().is_some_and(char::is_ascii_digit);
        match letter {
            '%' => plain.push_str(" percent"),
            '.' | ':' | '/' if figures => plain.push(letter),
            ',' if figures => {}
            '\'' | '’' => {}
            '$' => plain.push_str(" $"),
            letter if letter.is_alphanumeric() => plain.extend(letter.to_lowercase()),
            _ => plain.push(' '),
        }
        before = letter;
    }
    let mut words: Vec<String> = Vec::new();
    let mut tens_before = false;
    for word in plain.split_whitespace() {
        if (word == "dollar" || word == "dollars")
            && let Some(last) = words.last_mut()
            && !last.starts_with('$')
            && last.starts_with(|letter: char| letter.is_ascii_digit())
        {
            last.insert(0, '$');
            continue;
        }
        let number = number_word(word);
        match (number, words.last_mut()) {
            (Some(NumberWord::Units(units @ 1..=9)), Some(last)) if tens_before => {
                let whole: i64 = last.parse().unwrap_or(0);
                *last = (whole + units).to_string();
            }
            (Some(NumberWord::Units(value) | NumberWord::Tens(value)), _) => words.push(value.to_string()),
            (None, _) => words.push(word.to_string()),
        }
        tens_before = matches!(number, Some(NumberWord::Tens(_)));
    }
    words.join(" ")
}

#[cfg(test)]
mod tests {
    use super::as_spoken;

    #[track_caller]
    fn same(one: &str, other: &str) {
        assert_eq!(as_spoken(one), as_spoken(other));
    }

    #[track_caller]
    fn differ(one: &str, other: &str) {
        assert_ne!(as_spoken(one), as_spoken(other));
    }

    #[test]
    fn spellings_are_the_same_and_other_words_are_not() {
        same(" Twelve small, three medium.", "12 small 3 medium");
        same("forty-five a yard", "45 a yard");
        same("take $20 off", "Take 20 dollars off.");
        same("5% off", "five percent off");
        same("two medium-crapes", "2 medium crapes");
        differ("two crapes", "to crapes");
        differ("5.5 minutes", "55 minutes");
        differ("1:20", "1 20");
        differ("twenty to forty", "22 forty");
        differ("take 20 off", "take $20 off");
        differ("an hour", "our");
    }
}
