//! Quotes, from sheets written as text: our own cases, and the same sums by a second program.

use tallyhand::pricing::quote;

use crate::pricing_notation::{check_adds_up, check_corpus, sheet, shown};

fn priced(text: &str) -> Result<String, String> {
    let quote = quote(&sheet(text)?).map_err(|refusal| refusal.to_string())?;
    check_adds_up(&quote);
    Ok(shown(&quote))
}

#[test]
fn quotes_come_out_as_written() {
    check_corpus("fixtures/pricing/quotes.txt", 60, priced);
}

#[test]
fn sheets_without_sense_are_refused() {
    check_corpus("fixtures/pricing/refused.txt", 20, priced);
}

#[test]
fn quotes_agree_with_a_second_program() {
    check_corpus("fixtures/references/pricing/quotes_python.txt", 290, priced);
}
