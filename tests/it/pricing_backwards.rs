//! Sums worked backwards: a sheet and a question => the answer. The notation is at the head of the corpus.

use tallyhand::{
    pricing::{Sheet, quote, solve, spread},
    units::{Crew, Minutes},
};

use crate::pricing_notation::{check_adds_up, check_corpus, sheet, shown, value};

#[test]
fn questions_are_answered_as_written() {
    check_corpus("fixtures/pricing/backwards.txt", 45, |text| {
        let (left, question) = text.split_once(" ? ").ok_or("a sheet and a question")?;
        answer(&sheet(left)?, question)
    });
}

fn answer(sheet: &Sheet, question: &str) -> Result<String, String> {
    let words: Vec<&str> = question.split(' ').collect();
    match words[0] {
        "rate" => rate_made(sheet, &words),
        "work" | "minutes" => time_allowed(sheet, &words),
        _ => price_asked(sheet, &words),
    }
}

/// The rate made at another price, in another time, or with other minutes.
fn rate_made(sheet: &Sheet, words: &[&str]) -> Result<String, String> {
    let priced = || quote(sheet).map_err(text_of);
    match *words {
        ["rate", "at", price] => Ok(solve::rate_at_price(&priced()?, value(price)?)
            .map_err(text_of)?
            .to_cents()
            .to_string()),
        ["rate", "at", price, "each"] => {
            let line = &sheet.lines[0];
            let each = line.minutes_each().map_err(text_of)?;
            let alone = solve::rate_at_price_each(value(price)?, sheet.material(line), each).map_err(text_of)?;
            let in_quote = solve::line_rate_at_price_each(&priced()?.lines[0], value(price)?).map_err(text_of)?;
            Ok(format!("{}, in the quote {}", alone.to_cents(), in_quote.to_cents()))
        }
        ["rate", "in", work] => Ok(solve::rate_if_man_minutes(&priced()?, value(work)?)
            .map_err(text_of)?
            .rate
            .to_cents()
            .to_string()),
        ["rate", "in", elapsed, "with", crew] => {
            let elapsed: Minutes = value(elapsed)?;
            let work = elapsed
                .checked_by(Crew::new(value(crew)?).map_err(text_of)?)
                .map_err(text_of)?;
            let made = solve::rate_if_man_minutes(&priced()?, work).map_err(text_of)?;
            Ok(format!("{}, work {}", made.rate.to_cents(), made.man_minutes))
        }
        ["rate", "with", ref changes @ ..] => {
            let changed = changes.iter().map(|change| {
                let (line, minutes) = change.split_once(':').ok_or("line:minutes")?;
                Ok((value(line)?, value(minutes)?))
            });
            let changed = changed.collect::<Result<Vec<_>, String>>()?;
            let made = solve::rate_if_minutes_each(&priced()?, &changed).map_err(text_of)?;
            Ok(format!("{}, work {}", made.rate.to_cents(), made.man_minutes))
        }
        _ => Err(format!("{words:?} is no question")),
    }
}

/// The time that makes a rate at a price.
fn time_allowed(sheet: &Sheet, words: &[&str]) -> Result<String, String> {
    let priced = || quote(sheet).map_err(text_of);
    match *words {
        ["work", "for", price, "at", rate] => {
            let time = solve::man_minutes_for_price(&priced()?, value(price)?, value(rate)?).map_err(text_of)?;
            let faster = time
                .faster
                .map_or_else(|| "from nothing".to_owned(), |faster| format!("{faster}% faster"));
            Ok(format!(
                "{}, elapsed {}, {faster}",
                time.man_minutes, time.elapsed_minutes
            ))
        }
        ["minutes", "each", "for", price, "at", rate] => {
            let material = sheet.material(&sheet.lines[0]);
            let each = solve::minutes_each_for_price(value(price)?, material, value(rate)?).map_err(text_of)?;
            Ok(each.to_string())
        }
        _ => Err(format!("{words:?} is no question")),
    }
}

/// The price at another rate, or for another time.
fn price_asked(sheet: &Sheet, words: &[&str]) -> Result<String, String> {
    let priced = || quote(sheet).map_err(text_of);
    match *words {
        ["price", "at", rate] => Ok(shown(&solve::price_for_rate(sheet, value(rate)?).map_err(text_of)?)),
        ["price", "for", work, "at", rate] => {
            let price = solve::price_for_man_minutes(&priced()?, value(work)?, value(rate)?).map_err(text_of)?;
            Ok(price.to_string())
        }
        ["compare", ref rates @ ..] => {
            let rates = rates.iter().map(|rate| value(rate)).collect::<Result<Vec<_>, _>>()?;
            let rows = solve::compare_rates(sheet, &rates).map_err(text_of)?;
            let rows: Vec<_> = rows
                .iter()
                .map(|row| format!("{}: {}", row.rate, row.quote.total))
                .collect();
            Ok(rows.join(", "))
        }
        ["spread", whole] => {
            let quote = quote(&spread(sheet, value(whole)?).map_err(text_of)?).map_err(text_of)?;
            check_adds_up(&quote);
            let parts: Vec<_> = quote.lines.iter().map(|line| line.man_minutes.to_string()).collect();
            Ok(format!(
                "{} = {}, total {}",
                parts.join(" + "),
                quote.man_minutes,
                quote.total
            ))
        }
        _ => Err(format!("{words:?} is no question")),
    }
}

fn text_of(refusal: impl ToString) -> String {
    refusal.to_string()
}
