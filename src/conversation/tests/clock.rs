//! The clock of a job, with time passing.

use super::{
    meanings::{at, line, quote_at},
    yard::Yard,
};
use crate::{
    conversation::{JobNews, Part},
    journal::QuoteEntry,
    language::{FinishSaid, Meaning},
};

fn here(place: &str, crew: Option<u32>) -> Meaning {
    Meaning::Here {
        place: Some(at(place)),
        crew,
        at: None,
    }
}

fn done() -> Meaning {
    Meaning::Finish(FinishSaid::default())
}

fn finished(yard: &Yard) -> &QuoteEntry {
    let done = yard
        .state
        .book()
        .quotes_newest_first()
        .find(|entry| entry.finish.is_some());
    done.expect("a finished job")
}

#[test]
fn a_finish_without_a_time_takes_it_from_the_clock() {
    let mut yard = Yard::new();
    yard.says(vec![quote_at("Alder Ct", vec![line(12, Some("holly"), Some("small"))])]);
    yard.says(vec![here("Alder Ct", Some(2))]);
    yard.waits(57);
    yard.says(vec![Meaning::Pause { at: None }]);
    yard.waits(30);
    yard.says(vec![Meaning::Resume { at: None }]);
    yard.waits(28);
    let answer = yard.says(vec![done()]);
    let by_clock = answer
        .parts
        .iter()
        .any(|part| matches!(part, Part::Job(job) if matches!(&job.news, JobNews::Finished(news) if news.by_clock)));
    assert!(by_clock, "it says where the time comes from");
    let finish = finished(&yard).finish.as_ref().expect("it is done");
    assert_eq!(finish.man_minutes.to_string(), "170", "57 + 28 minutes for 2 people");
    assert_eq!(finish.crew.get(), 2);
}

#[test]
fn a_finish_while_the_clock_stands_leaves_the_pause_out() {
    let mut yard = Yard::new();
    yard.says(vec![quote_at("Alder Ct", vec![line(12, Some("holly"), Some("small"))])]);
    yard.says(vec![here("Alder Ct", None)]);
    yard.waits(40);
    yard.says(vec![Meaning::Pause { at: None }]);
    yard.waits(300);
    yard.says(vec![done()]);
    let finish = finished(&yard).finish.as_ref().expect("it is done");
    assert_eq!(finish.man_minutes.to_string(), "40");
}

#[test]
fn coming_twice_is_coming_once() {
    let mut yard = Yard::new();
    yard.says(vec![quote_at("Alder Ct", vec![line(12, Some("holly"), Some("small"))])]);
    yard.says(vec![here("Alder Ct", None)]);
    yard.waits(20);
    yard.says(vec![here("Alder Ct", Some(3))]);
    yard.waits(20);
    yard.says(vec![done()]);
    let finish = finished(&yard).finish.as_ref().expect("it is done");
    assert_eq!(finish.man_minutes.to_string(), "120", "40 minutes for 3 people");
}
