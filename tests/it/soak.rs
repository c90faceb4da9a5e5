//! A year of many businesses in one book, by chance and by the calendar, with everything that can happen to a house: second
//! deliveries, restarts, power cuts, a clock that is set wrong and right again, bursts, nonsense. Every promise of the
//! assistant is looked at on the way, and all of the book at the end.
//!
//! A few weeks of a few businesses in every run. `TALLYHAND_SOAK=50x365 cargo test --release --test it soak` is a year of
//! fifty; `TALLYHAND_SOAK_SEED` for another one. A seed decides everything.

use std::{collections::BTreeMap, str::FromStr};

use rand::{RngExt, SeedableRng, rngs::SmallRng, seq::IndexedRandom};
use rust_decimal::{Decimal, RoundingStrategy};
use serde_json::Value;
use tallyhand::store::{self, Member};

use crate::support::Yard;

/// Businesses and days when nothing else is asked for.
const SHORT: (usize, u32) = (3, 15);

/// What nobody understands, or should not.
const NONSENSE: [&str; 8] = [
    "🌿🌿🌿",
    "asdf qwer zxcv",
    "4111 1111 1111 1111",
    "Robert'); DROP TABLE message;--",
    "<b>12</b>",
    "12 small 3",
    "….…",
    "ｆｕｌｌ ｗｉｄｔｈ １２",
];

/// A business and how its year goes.
struct Business {
    owner: Member,
    /// Words that are in its book alone.
    street: String,
    /// The answers that were acknowledged, by the sender's id.
    acknowledged: BTreeMap<String, String>,
    jobs: u32,
    open: bool,
    won: bool,
    rate: Decimal,
}

struct Soak {
    yard: Option<Yard>,
    businesses: Vec<Business>,
    chance: SmallRng,
    seed: u64,
    sent: u64,
    checked: BTreeMap<&'static str, u64>,
}

fn asked_for() -> (usize, u32, u64) {
    let seed = std::env::var("TALLYHAND_SOAK_SEED").map_or(1, |seed| seed.parse().expect("a number"));
    match std::env::var("TALLYHAND_SOAK") {
        Ok(size) => {
            let (businesses, days) = size.split_once('x').expect("such as 50x365");
            (
                businesses.parse().expect("a number of businesses"),
                days.parse().expect("a number of days"),
                seed,
            )
        }
        Err(_) => (SHORT.0, SHORT.1, seed),
    }
}

#[test]
fn a_year_of_many_businesses_keeps_every_promise() {
    let (businesses, days, seed) = asked_for();
    let mut soak = Soak::new(businesses, seed);
    for day in 0..days {
        soak.day(day);
    }
    soak.end();
    eprintln!(
        "seed {seed}: {businesses} businesses, {days} days, {} messages; looked at {:?}",
        soak.sent, soak.checked
    );
}

impl Soak {
    fn new(businesses: usize, seed: u64) -> Soak {
        let yard = Yard::new();
        let businesses = (0..businesses)
            .map(|number| Business {
                owner: yard.new_account(&format!("Owner{number}")),
                street: street(number),
                acknowledged: BTreeMap::new(),
                jobs: 0,
                open: false,
                won: false,
                rate: Decimal::from(95),
            })
            .collect();
        let mut soak = Soak {
            yard: Some(yard),
            businesses,
            chance: SmallRng::seed_from_u64(seed),
            seed,
            sent: 0,
            checked: BTreeMap::new(),
        };
        for index in 0..soak.businesses.len() {
            let rate = 80 + index;
            soak.says(index, &format!("rate {rate}"));
            soak.businesses[index].rate = rate.into();
        }
        soak
    }

    fn yard(&self) -> &Yard {
        self.yard.as_ref().expect("the house stands")
    }

    fn change(&mut self, change: impl FnOnce(Yard) -> Yard) {
        self.yard = self.yard.take().map(change);
    }

    fn looked_at(&mut self, promise: &'static str) {
        *self.checked.entry(promise).or_default() += 1;
    }

    /// A day: everybody's work, and what happens to the house.
    fn day(&mut self, day: u32) {
        for index in 0..self.businesses.len() {
            for _ in 0..self.chance.random_range(1..6) {
                self.work(index);
            }
            if self.chance.random_range(0..10) == 0 {
                self.send_again(index);
            }
        }
        match self.chance.random_range(0..12) {
            0 => self.change(Yard::reopens),
            1 => self.power_cut(),
            2 => {
                let off = self.chance.random_range(-3000..3000);
                self.change(|yard| yard.later(off));
                self.work(0);
                self.change(|yard| yard.later(-off));
            }
            _ => {}
        }
        if day.is_multiple_of(30) {
            self.nobody_sees_anything_of_others();
        }
        self.change(|yard| yard.later(24 * 60));
    }

    /// Says something to a business and looks at the answer.
    fn says(&mut self, index: usize, text: &str) -> Value {
        self.sent += 1;
        let id = format!("msg_{}", self.sent);
        let body = serde_json::json!({ "text": text }).to_string();
        let business = &self.businesses[index];
        let given = self.yard().posts_signed_to(&business.owner, &id, body.as_bytes());
        assert_eq!(given.status, 200, "seed {}: {text:?}: {}", self.seed, given.body);
        let answer: Value = serde_json::from_str(&given.body).expect("an answer is JSON");
        self.businesses[index].acknowledged.insert(id, given.body);
        self.check_answer(text, &answer);
        answer
    }

    fn work(&mut self, index: usize) {
        let business = &self.businesses[index];
        match self.chance.random_range(0..14) {
            0..=3 => self.quote(index),
            4 if business.open => self.revise(index),
            5 if business.open => {
                self.says(index, "won");
                self.businesses[index].won = true;
            }
            6 | 7 if business.won => self.finish(index),
            8 => self.ambiguous(index),
            9 => self.nonsense(index),
            10 => self.there_and_back(index),
            11 => {
                let rate = self.chance.random_range(60..140);
                self.says(index, &format!("rate {rate}"));
                self.businesses[index].rate = rate.into();
            }
            12 => {
                for look in ["owed", "open quotes", "price list", "times"] {
                    self.says(index, look);
                }
            }
            _ => {
                self.says(index, "note gate code 4411");
            }
        }
    }

    fn quote(&mut self, index: usize) {
        self.businesses[index].jobs += 1;
        let (small, medium) = (self.chance.random_range(1..60), self.chance.random_range(1..20));
        let place = format!("{} {}", self.businesses[index].jobs, self.businesses[index].street);
        let text = format!("{small} small {medium} medium crapes at {place}");
        let answer = self.says(index, &text);
        let quote = &answer["quote"];
        assert_eq!(quote["lines"].as_array().map(Vec::len), Some(2), "{text:?}: {answer:#}");
        for (line, count) in [(0, small), (1, medium)] {
            assert_eq!(
                decimal(&quote["lines"][line]["quantity"]),
                Decimal::from(count),
                "{text:?}: {answer:#}"
            );
        }
        assert_eq!(
            decimal(&quote["rate"]),
            self.businesses[index].rate,
            "each business has its own rate"
        );
        self.businesses[index].open = true;
        self.businesses[index].won = false;
    }

    fn revise(&mut self, index: usize) {
        let text = match self.chance.random_range(0..4) {
            0 => "knock 10% off".to_string(),
            1 => format!("call it {}", self.chance.random_range(100..900)),
            2 => format!("make that {} small", self.chance.random_range(1..60)),
            _ => format!("what if mediums take {}", self.chance.random_range(4..20)),
        };
        self.says(index, &text);
    }

    fn finish(&mut self, index: usize) {
        let (minutes, guys) = (self.chance.random_range(20..400), self.chance.random_range(2..5));
        let answer = self.says(index, &format!("done {minutes} min with {guys} guys"));
        assert_eq!(
            decimal(&answer["job"]["man_minutes"]),
            Decimal::from(minutes * guys),
            "people times minutes: {answer:#}"
        );
        self.says(index, "paid");
        self.businesses[index].open = false;
        self.businesses[index].won = false;
    }

    /// P2: what could be either is asked, and nothing is priced until it is settled.
    fn ambiguous(&mut self, index: usize) {
        let answer = self.says(index, "5 hollies");
        let choices = answer["asks"][0]["choices"].as_array().map_or(0, Vec::len);
        assert!(choices >= 2, "it is asked: {answer:#}");
        assert!(answer["quote"].is_null(), "nothing is priced meanwhile: {answer:#}");
        let answer = self.says(index, "2");
        assert!(
            answer["quote"]["total"].is_string(),
            "the answer settles it: {answer:#}"
        );
        self.businesses[index].open = true;
        self.businesses[index].won = false;
        self.looked_at("P2");
    }

    /// P9: nonsense is answered and costs nothing.
    fn nonsense(&mut self, index: usize) {
        let before = self.export(index);
        let text = *NONSENSE.choose(&mut self.chance).expect("there is some");
        let answer = self.says(index, text);
        assert!(answer["text"].as_str().is_some_and(|text| !text.is_empty()));
        assert_eq!(self.export(index), before, "{text:?} changed the book: {answer:#}");
        self.looked_at("P9");
    }

    /// P6: what is taken back was never there.
    fn there_and_back(&mut self, index: usize) {
        let before = self.export(index);
        let count = self.chance.random_range(1..90);
        let answer = self.says(
            index,
            &format!("{count} small crapes at 9999 {}", self.businesses[index].street),
        );
        assert!(answer["quote"]["total"].is_string(), "{answer:#}");
        assert_ne!(self.export(index), before);
        self.says(index, "undo");
        assert_eq!(self.export(index), before, "taken back");
        self.looked_at("P6");
    }

    /// P5: a second delivery gets the first answer again and is counted once.
    fn send_again(&mut self, index: usize) {
        let business = &self.businesses[index];
        let place = self.chance.random_range(0..business.acknowledged.len().max(1));
        let Some((id, answer)) = business.acknowledged.iter().nth(place) else {
            return;
        };
        let given = self
            .yard()
            .posts_signed_to(&business.owner, id, br#"{"text":"undo undo undo"}"#);
        assert_eq!((given.status, &given.body), (200, answer), "{id} again");
        self.looked_at("P5 again");
    }

    /// P5: the files as they are at this instant, with nobody to tidy them up, are the book as acknowledged.
    fn power_cut(&mut self) {
        let folder = tempfile::TempDir::new().expect("a folder");
        let copy = folder.path().join("book.sqlite");
        for ending in ["", "-wal"] {
            let from = format!("{}{ending}", self.yard().book().display());
            std::fs::copy(&from, format!("{}{ending}", copy.display())).expect("the files are there");
        }
        self.check_book(&copy);
        self.looked_at("P5 power cut");
    }

    #[track_caller]
    fn check_book(&self, book: &std::path::Path) {
        let faults = store::check(book).expect("it can be checked");
        assert!(faults.is_empty(), "seed {}: {faults:#?}", self.seed);
        let connection = rusqlite::Connection::open(book).expect("it opens");
        let mut statement = connection
            .prepare("SELECT account_id, external_id, json FROM message JOIN reply ON message_position = position")
            .expect("a statement");
        let rows = statement
            .query_map([], |row| {
                Ok((
                    (row.get::<_, i64>(0)?, row.get::<_, String>(1)?),
                    row.get::<_, String>(2)?,
                ))
            })
            .expect("rows")
            .map(|row| row.expect("text"));
        let mut kept = BTreeMap::new();
        for (key, json) in rows {
            assert_eq!(kept.insert(key.clone(), json), None, "{key:?} is there twice");
        }
        for business in &self.businesses {
            for (id, answer) in &business.acknowledged {
                let key = (business.owner.account.get(), id.clone());
                assert_eq!(
                    kept.get(&key),
                    Some(answer),
                    "seed {}: {key:?} was acknowledged",
                    self.seed
                );
            }
        }
    }

    /// P7: each business sees itself and nobody else.
    fn nobody_sees_anything_of_others(&mut self) {
        let exports: Vec<String> = (0..self.businesses.len()).map(|index| self.export(index)).collect();
        for (own, export) in exports.iter().enumerate() {
            for (other, business) in self.businesses.iter().enumerate() {
                assert!(own == other || !export.contains(&business.street), "{own} sees {other}");
            }
        }
        let unsigned = self.yard().posts_hook(&[], br#"{"text":"owed"}"#);
        assert_eq!(unsigned.status, 401);
        self.looked_at("P7");
    }

    fn export(&self, index: usize) -> String {
        let yard = self.yard();
        let account = self.businesses[index].owner.account;
        yard.wait(yard.handle().export(account, chrono_tz::UTC))
            .expect("it can be exported")
            .to_string()
    }

    /// What holds for every answer.
    fn check_answer(&mut self, text: &str, answer: &Value) {
        let quote = &answer["quote"];
        if !quote["total"].is_string() {
            return;
        }
        let context = || format!("seed {}, {text:?}: {answer:#}", self.seed);
        let lines = quote["lines"].as_array().map_or(&[][..], Vec::as_slice);
        let extras = quote["extras"].as_array().map_or(&[][..], Vec::as_slice);
        let rate = decimal(&quote["rate"]);
        // P3 and P4: the sum can be done again by hand, to the cent. Schoolbook arithmetic, with no help from the parts
        // that made it.
        for line in lines {
            let man_minutes = decimal(&line["quantity"]) * decimal(&line["minutes_each"]);
            assert_eq!(man_minutes, decimal(&line["man_minutes"]), "{}", context());
            let by_hand = (man_minutes * rate / Decimal::from(60))
                .round_dp_with_strategy(2, RoundingStrategy::MidpointAwayFromZero);
            assert_eq!(by_hand, decimal(&line["price"]), "{}", context());
        }
        let sum: Decimal = lines.iter().chain(extras).map(|line| decimal(&line["price"])).sum();
        assert_eq!(sum, decimal(&quote["subtotal"]), "{}", context());
        let total = decimal(&quote["subtotal"]) - decimal(&quote["discount"]) + decimal(&quote["tax"]);
        assert_eq!(total, decimal(&quote["total"]), "{}", context());
        // P1: every figure that was said is in the answer.
        let shown = crate::support::spelled::numbers_in(answer["text"].as_str().unwrap_or_default());
        let picks_a_choice = text.len() == 1;
        let said = if picks_a_choice {
            Vec::new()
        } else {
            crate::support::spelled::numbers_in(text)
        };
        for said in said {
            assert!(
                shown.contains(&said),
                "{said} was said and is not echoed; {}",
                context()
            );
        }
        // P8: a caution comes once.
        let codes: Vec<&str> = answer["cautions"]
            .as_array()
            .map_or(&[][..], Vec::as_slice)
            .iter()
            .filter_map(|caution| caution["code"].as_str())
            .collect();
        let mut once = codes.clone();
        once.sort_unstable();
        once.dedup();
        assert_eq!(once.len(), codes.len(), "{}", context());
        for promise in ["P1", "P3", "P4", "P8"] {
            self.looked_at(promise);
        }
    }

    /// The end of the year: all of the book, and the same again after a restart.
    fn end(&mut self) {
        self.nobody_sees_anything_of_others();
        let before: Vec<String> = (0..self.businesses.len()).map(|index| self.export(index)).collect();
        self.change(Yard::reopens);
        let after: Vec<String> = (0..self.businesses.len()).map(|index| self.export(index)).collect();
        assert_eq!(before, after, "a fold of all events says what was said before");
        self.looked_at("P6 rebuilt");
        let book = self.yard().book().to_path_buf();
        self.check_book(&book);
    }
}

/// Streets that nobody else has, all letters.
fn street(number: usize) -> String {
    let letter = |number: usize| char::from(b'a' + u8::try_from(number % 26).expect("a letter"));
    format!("Q{}{}ville Ct", letter(number), letter(number / 26))
}

fn decimal(value: &Value) -> Decimal {
    let text = value.as_str().unwrap_or_else(|| panic!("{value} is no decimal"));
    Decimal::from_str(text).expect("a decimal")
}
