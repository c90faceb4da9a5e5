//! Every way to change a quote and every sum worked backwards that the contract lists, each with its result worked out by
//! hand; each change taken back again, taken over from a `what if`, and made in a row with all the others.

use std::collections::BTreeMap;

use serde_json::Value;

use super::yard::{Rows, Yard};

/// Figures of the account that the changes need, beside the standard ones.
const FIGURES: [&str; 3] = ["haul 20", "dump fee 25", "markup 20%"];

/// 72 + 27 + 15 + 150 man-minutes and 20 of hauling are 284. At $120: 144 + 54 + 30 + (300 + 6 x 38 x 1.2 = 573.60) + 40 +
/// 25 = 866.60.
const QUOTE: &str = "12 small 3 medium 1 large crapes and 6 yards mulch at Alder Ct";

/// A change, how it is said with `what if`, and the man-minutes, elapsed minutes and total that it comes to.
struct Form {
    said: &'static str,
    what_if: &'static str,
    man_minutes: &'static str,
    elapsed: &'static str,
    total: &'static str,
}

const fn form(
    said: &'static str,
    what_if: &'static str,
    man_minutes: &'static str,
    elapsed: &'static str,
    total: &'static str,
) -> Form {
    Form {
        said,
        what_if,
        man_minutes,
        elapsed,
        total,
    }
}

const FORMS: [Form; 22] = [
    // Two more at 6 minutes: 24.00.
    form("make that 14 small", "what if its 14 small", "296", "296", "890.60"),
    form("2 more small", "what if I add 2 small", "296", "296", "890.60"),
    form("add 2 large", "what if I add 2 large", "314", "314", "926.60"),
    form("drop the big one", "what if I drop the big one", "269", "269", "836.60"),
    form("drop 2 small", "what if I drop 2 small", "272", "272", "842.60"),
    // 86.66 off, and 43.33 more: percentages of the whole subtotal.
    form("knock 10% off", "what if I knock 10% off", "284", "284", "779.94"),
    form(
        "another 5% off",
        "what if I take another 5% off",
        "284",
        "284",
        "823.27",
    ),
    form("take 20 off", "what if I take 20 off", "284", "284", "846.60"),
    form("no discount", "what if no discount", "284", "284", "866.60"),
    // 132 + 49.50 + 27.50 + (275 + 273.60) + 36.67 + 25.
    form("at 110 an hour", "what if at 110 an hour", "284", "284", "819.27"),
    form("mediums take 7", "what if mediums take 7", "278", "278", "854.60"),
    // 12 x 15.50 in place of 144.00.
    form(
        "make the smalls 15.50 bucks each",
        "what if smalls are 15.50 bucks each",
        "284",
        "284",
        "908.60",
    ),
    // 6 x 45 x 1.2 in place of 273.60.
    form(
        "mulch is 45 a yard on this one",
        "what if mulch is 45 a yard",
        "284",
        "284",
        "917.00",
    ),
    form("no haul", "what if no haul", "264", "264", "826.60"),
    form("haul 30 on this one", "what if haul is 30", "294", "294", "886.60"),
    form("no dump fee", "what if no dump fee", "284", "284", "841.60"),
    form(
        "dump fee 40 on this one",
        "what if the dump fee is 40",
        "284",
        "284",
        "881.60",
    ),
    // 45.60 of markup.
    form("no markup", "what if no markup", "284", "284", "821.00"),
    form("markup 10 on this one", "what if markup is 10", "284", "284", "843.80"),
    form("2 guys", "what if 2 guys", "284", "142", "866.60"),
    form("it's for Birch Ln", "", "284", "284", "866.60"),
    // Last, because a price said makes every later change ask.
    form("call it 250", "what if I call it 250", "284", "284", "250.00"),
];

/// An account with the quote in hand, and the quote as answered.
fn quoted() -> (Yard, Value) {
    let mut yard = Yard::standard();
    for figure in FIGURES {
        yard.says(figure);
    }
    let quote = yard.says(QUOTE).json["quote"].clone();
    assert_eq!(quote["total"], "866.60", "{quote}");
    assert_eq!(quote["man_minutes"], "284", "{quote}");
    (yard, quote)
}

/// The rows of the book, without what is being talked about.
fn book(yard: &Yard) -> BTreeMap<(&'static str, String), String> {
    let rows: Rows = yard.rows();
    rows.into_iter().filter(|((table, _), _)| *table != "talks").collect()
}

fn shown(yard: &mut Yard) -> Value {
    yard.says("show the quote").json["quote"].clone()
}

/// What is wrong with the quote of an answer.
fn faults(form: &Form, quote: &Value) -> Vec<String> {
    let fields = [
        ("man_minutes", form.man_minutes),
        ("elapsed_minutes", form.elapsed),
        ("total", form.total),
    ];
    let wrong = fields
        .into_iter()
        .filter(|(field, expected)| quote[*field] != *expected);
    wrong
        .map(|(field, expected)| format!("{field} is {}, not {expected}", quote[field]))
        .collect()
}

#[test]
fn every_change_comes_to_what_it_should_and_is_taken_back() {
    let mut failures = Vec::new();
    for form in &FORMS {
        let (mut yard, before) = quoted();
        let rows = book(&yard);
        let heard = yard.says(form.said);
        let mut wrong = faults(form, &heard.json["quote"]);
        if heard.json["understood"] != serde_json::json!(["revise"]) {
            wrong.push(format!("understood as {}", heard.json["understood"]));
        }
        if shown(&mut yard) != heard.json["quote"] {
            wrong.push("what was answered is not what is kept".to_string());
        }
        yard.says("undo");
        if book(&yard) != rows {
            wrong.push("undo does not bring the book back".to_string());
        }
        if shown(&mut yard) != before {
            wrong.push("undo does not bring the quote back".to_string());
        }
        if !wrong.is_empty() {
            failures.push(format!("{}: {}\n{}", form.said, wrong.join("; "), heard.text));
        }
    }
    assert!(failures.is_empty(), "{}", failures.join("\n"));
}

#[test]
fn every_what_if_shows_stores_nothing_and_can_be_used() {
    let mut failures = Vec::new();
    for form in FORMS.iter().filter(|form| !form.what_if.is_empty()) {
        let (mut yard, before) = quoted();
        let rows = book(&yard);
        let heard = yard.says(form.what_if);
        let mut wrong = faults(form, &heard.json["quote"]);
        if heard.json["quote"]["what_if"] != true {
            wrong.push("not shown as a what if".to_string());
        }
        if book(&yard) != rows {
            wrong.push("it was stored".to_string());
        }
        let used = yard.says("use that");
        wrong.extend(faults(form, &used.json["quote"]));
        yard.says("undo");
        if book(&yard) != rows || shown(&mut yard) != before {
            wrong.push("undo of \"use that\" does not bring the quote back".to_string());
        }
        if !wrong.is_empty() {
            failures.push(format!("{}: {}\n{}", form.what_if, wrong.join("; "), heard.text));
        }
    }
    assert!(failures.is_empty(), "{}", failures.join("\n"));
}

/// All of them in a row on one quote, and then all of them taken back, one by one.
#[test]
fn changes_in_a_row_are_taken_back_in_turn() {
    let (mut yard, first) = quoted();
    let mut stood = vec![(book(&yard), first)];
    for form in &FORMS {
        let heard = yard.says(form.said);
        assert!(heard.json["quote"].is_object(), "{}: {}", form.said, heard.text);
        let quote = shown(&mut yard);
        stood.push((book(&yard), quote));
    }
    let last = &stood[stood.len() - 1].1;
    assert_eq!(
        (last["total"].as_str(), last["place"].as_str()),
        (Some("250.00"), Some("Birch Ln"))
    );
    assert_eq!(
        last["extras"]
            .as_array()
            .map(|extras| extras.iter().filter(|e| e["what"] == "haul").count()),
        Some(1)
    );
    for (form, (rows, quote)) in FORMS.iter().zip(&stood).rev() {
        yard.says("undo");
        assert_eq!(&shown(&mut yard), quote, "after \"{}\" was taken back", form.said);
        assert!(book(&yard) == *rows, "after \"{}\" was taken back", form.said);
    }
}

/// What was said before, what is asked, and the sum that the answer has to show. 12 small and 3 medium are 72 + 27 = 99
/// man-minutes, $198.00; 6 yards of mulch 150 man-minutes and $228.00 of material.
const SUMS: [(&[&str], &str, &[&str]); 17] = [
    (
        &["12 small 3 medium crapes"],
        "what do I make an hour at 250",
        &["$250.00 / 99 man-min x 60 = $151.52 an hour", "$31.52 over $120.00"],
    ),
    (
        &["6 yards mulch"],
        "what do I make an hour at 600",
        &["($600.00 - $228.00 material) / 150 man-min x 60 = $148.80 an hour"],
    ),
    (
        &["12 small crapes"],
        "what do I make an hour at 15.50 each",
        &["$15.50 / 6 min x 60 = $155.00 an hour"],
    ),
    (
        &[],
        "what do I make on 15.50 each for small crapes",
        &["$15.50 / 6 min x 60 = $155.00 an hour"],
    ),
    (&[], "how fast for 15 each", &["$15.00 / $120.00 x 60 = 7.5 min each"]),
    (
        &["12 small crapes"],
        "how fast for 15 each",
        &["$15.00 / $120.00 x 60 = 7.5 min each", "Your list says 6 min"],
    ),
    // (99 - 75) / 99 is 24.24%.
    (
        &["12 small 3 medium crapes"],
        "how fast for 150",
        &["$150.00 / $120.00 x 60 = 75 man-min", "The quote has 99: 24.24% faster"],
    ),
    (
        &["12 small 3 medium crapes", "2 guys"],
        "how fast for 150",
        &["= 75 man-min, 2 people about 37.5 min"],
    ),
    (
        &["12 small 3 medium crapes"],
        "what should I charge at 140 an hour",
        &["99 / 60 x $140.00 = $231.00"],
    ),
    (
        &["6 yards mulch"],
        "what should I charge at 140 an hour",
        &["150 / 60 x $140.00 + $228.00 material = $578.00"],
    ),
    (
        &["12 small 3 medium crapes"],
        "what rate if it takes 3 hours",
        &["$198.00 / 180 man-min x 60 = $66.00 an hour"],
    ),
    (
        &["12 small 3 medium crapes", "2 guys"],
        "what rate if it takes 1 hour",
        &[
            "If it takes 1 h x 2 people",
            "$198.00 / 120 man-min x 60 = $99.00 an hour",
        ],
    ),
    // 72 + 3 x 7 = 93.
    (
        &["12 small 3 medium crapes"],
        "what if mediums take 7",
        &[
            "93 man-min at $120.00",
            "At $198.00 all the same, that makes $127.74 an hour",
        ],
    ),
    (
        &["12 small 3 medium crapes"],
        "rate 100 120 140",
        &[
            "$100.00 an hour: $165.00",
            "$120.00 an hour: $198.00",
            "$140.00 an hour: $231.00",
        ],
    ),
    (
        &["12 small 3 medium crapes"],
        "compare 100 120 140",
        &["$100.00 an hour: $165.00", "$140.00 an hour: $231.00"],
    ),
    // 22 x 1.18 = 25.96; 1400 / 110 = 12.727; 38.687 / 0.8 = 48.36; (120 - 38.687) / 120 = 67.76%.
    (
        &["wage 22, burden 18%, overhead 1400 a month, 110 billable hours, margin 20%"],
        "what's my break-even",
        &[
            "$22.00 + 18% = $25.96",
            "$1,400.00 / 110 h = $12.73",
            "$25.96 + $12.73 = $38.69 an hour",
            "$38.69 / (1 - 20%) = $48.36 an hour, a margin of 20%, the same as 25% on top",
            "leaves a margin of 67.76%",
        ],
    ),
    (
        &["12 small 3 medium crapes"],
        "price so I make rate 8 times in 10",
        &["8 times in 10 it takes", "/ 60 x $120.00 = $"],
    ),
];

#[test]
fn every_sum_worked_backwards_is_shown() {
    let mut failures = Vec::new();
    for (before, asked, sums) in SUMS {
        let mut yard = Yard::standard();
        for said in before {
            yard.says(said);
        }
        let rows = book(&yard);
        let heard = yard.says(asked);
        let missing: Vec<&&str> = sums.iter().filter(|sum| !heard.text.contains(**sum)).collect();
        if !missing.is_empty() {
            failures.push(format!("{before:?} {asked}: no {missing:?} in\n{}", heard.text));
        }
        assert!(book(&yard) == rows, "{asked}: nothing is stored");
    }
    assert!(failures.is_empty(), "{}", failures.join("\n"));
}

/// A quote below break-even says so, by whichever figure it went there.
#[test]
fn a_quote_below_break_even_says_so() {
    for said in [
        "call it 40",
        "at 30 an hour",
        "knock 80% off",
        "smalls take 40, and call it 140",
    ] {
        let mut yard = Yard::standard();
        yard.says("wage 22, burden 18%, overhead 1400 a month, 110 billable hours, margin 20%");
        let fine = yard.says("12 small crapes");
        assert!(!fine.text.contains("break-even"), "{}", fine.text);
        let heard = yard.says(said);
        assert!(
            heard.text.contains("under your break-even of $38.69"),
            "{said}: {}",
            heard.text
        );
    }
}
