//! Numbers as people write and say them: what a generated message is made of.
//!
//! The cardinals are checked against a reference library in `language_numbers`, so that other tests may build on them.

use rust_decimal::Decimal;

const SMALL: [&str; 20] = [
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
];
const TENS: [&str; 10] = [
    "", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety",
];

/// How a cardinal is put together: with or without hyphens and `and`.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Manner {
    pub(crate) hyphen: bool,
    pub(crate) and: bool,
}

/// As dictation writes: no hyphens, no `and`.
pub(crate) const DICTATED: Manner = Manner {
    hyphen: false,
    and: false,
};
/// As the reference library writes, commas aside.
pub(crate) const WRITTEN: Manner = Manner {
    hyphen: true,
    and: true,
};

/// A number below a million in words.
pub(crate) fn cardinal(number: u32, manner: Manner) -> String {
    assert!(number < 1_000_000, "{number} is out of reach");
    let (thousands, rest) = (number / 1_000, number % 1_000);
    if thousands == 0 {
        return below_thousand(rest, manner);
    }
    let head = format!("{} thousand", below_thousand(thousands, manner));
    match rest {
        0 => head,
        1..=99 if manner.and => format!("{head} and {}", below_hundred(rest, manner)),
        _ => format!("{head} {}", below_thousand(rest, manner)),
    }
}

fn below_thousand(number: u32, manner: Manner) -> String {
    let (hundreds, rest) = (number / 100, number % 100);
    if hundreds == 0 {
        return below_hundred(rest, manner);
    }
    let head = format!("{} hundred", SMALL[hundreds as usize]);
    match (rest, manner.and) {
        (0, _) => head,
        (_, true) => format!("{head} and {}", below_hundred(rest, manner)),
        (_, false) => format!("{head} {}", below_hundred(rest, manner)),
    }
}

fn below_hundred(number: u32, manner: Manner) -> String {
    if number < 20 {
        return SMALL[number as usize].to_string();
    }
    let (tens, rest) = (TENS[number as usize / 10], number as usize % 10);
    match (rest, manner.hyphen) {
        (0, _) => tens.to_string(),
        (_, true) => format!("{tens}-{}", SMALL[rest]),
        (_, false) => format!("{tens} {}", SMALL[rest]),
    }
}

/// With a comma before each three digits.
pub(crate) fn with_commas(number: u32) -> String {
    let plain = number.to_string();
    let mut text = String::new();
    for (index, digit) in plain.chars().enumerate() {
        if index > 0 && (plain.len() - index).is_multiple_of(3) {
            text.push(',');
        }
        text.push(digit);
    }
    text
}

/// All numbers that a text shows in digits, commas taken out; `3,5` is a list of two.
pub(crate) fn numbers_in(text: &str) -> Vec<Decimal> {
    let bytes = text.as_bytes();
    let digits = |from: usize| bytes[from..].iter().take_while(|b| b.is_ascii_digit()).count();
    let mut found = Vec::new();
    let mut at = 0;
    while at < bytes.len() {
        let first = digits(at);
        if first == 0 {
            at += 1;
            continue;
        }
        let mut end = at + first;
        while bytes.get(end) == Some(&b',') && digits(end + 1) == 3 {
            end += 4;
        }
        if bytes.get(end) == Some(&b'.') && digits(end + 1) > 0 {
            end += 1 + digits(end + 1);
        }
        if let Ok(value) = text[at..end].replace(',', "").parse() {
            found.push(value);
        }
        at = end;
    }
    found
}
