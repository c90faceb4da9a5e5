//! A crew that gets faster, told so in words with what it is worth; and crews of which that is not real, told nothing.
//!
//! The crews are invented: a seed gives counts and the scatter of each job. The learning curve is Crawford's, the time of
//! the x-th unit is `first x^exponent`; at 90% a doubling takes a tenth off.

use rand::{RngExt, SeedableRng, rngs::StdRng};

use super::yard::{Heard, Yard};

const JOBS: u32 = 31;

/// Finishes jobs of small crapes, each unit on a curve of so much per doubling, each job off by up to 15%; every answer.
fn worked(seed: u64, per_doubling: f64) -> (Yard, Vec<Heard>) {
    let mut random = StdRng::seed_from_u64(seed);
    let mut yard = Yard::standard();
    let mut done = 0.0;
    let mut heard = Vec::new();
    for _ in 0..JOBS {
        let count: u32 = random.random_range(4..=14);
        let middle: f64 = done + f64::from(count) / 2.0;
        let each = 9.0 * middle.powf(per_doubling.log2());
        let minutes = (f64::from(count) * each * random.random_range(0.85..1.15)).round();
        yard.says(&format!("{count} small crapes"));
        heard.push(yard.says(&format!("done {minutes} min")));
        done += f64::from(count);
    }
    (yard, heard)
}

/// The sentence of a trend: minutes from, minutes to, jobs, dollars an hour.
fn trend(text: &str) -> Option<(f64, f64, u32, f64)> {
    let line = text.lines().find(|line| line.contains(" went from "))?;
    let rest = line.strip_prefix("Small crape myrtles went from ")?;
    let (from, rest) = rest.split_once(" to ")?;
    let (to, rest) = rest.split_once(" min over ")?;
    let (jobs, rest) = rest.split_once(" jobs; at the same price that is $")?;
    let worth = rest.strip_suffix(" an hour more.")?;
    Some((
        from.parse().ok()?,
        to.parse().ok()?,
        jobs.parse().ok()?,
        worth.parse().ok()?,
    ))
}

#[test]
fn a_crew_that_gets_faster_is_told_so_with_what_it_is_worth() {
    let (mut yard, finishes) = worked(7, 0.9);
    let first = finishes.iter().position(|heard| heard.text.contains(" went from "));
    let first = first.expect("a finish that tells of it");
    assert!(first >= 7, "eight jobs at the least: {first}");
    assert!(trend(&finishes[first].text).is_some(), "{}", finishes[first].text);
    let times = yard.says("times crape");
    let Some((from, to, jobs, worth)) = trend(&times.text) else {
        panic!("{}", times.text);
    };
    assert_eq!(jobs, JOBS);
    // The truth: the middle of the first job and the last unit, within the scatter.
    let unit = |x: f64| 9.0 * x.powf(0.9_f64.log2());
    assert!(
        (from - unit(4.0)).abs() < 1.5,
        "from {from}, in truth about {}",
        unit(4.0)
    );
    assert!(
        (to - unit(270.0)).abs() < 0.6,
        "to {to}, in truth about {}",
        unit(270.0)
    );
    // The price of then at the time of now, less the rate: 120 x (from / to - 1), of figures shown to a tenth.
    let expected = 120.0 * (from / to - 1.0);
    assert!(
        (worth - expected).abs() <= 4.0,
        "${worth}, by the figures shown {expected:.1}"
    );
    let row = &times.json["times"][0];
    assert_eq!(row["trend"]["jobs"], JOBS, "{row}");
    let longest = times.text.lines().map(str::len).max();
    assert!(longest <= Some(100), "short enough for a phone: {}", times.text);
}

/// A range of 95% is left by chance one time in twenty.
#[test]
fn a_steady_crew_is_told_of_no_trend() {
    let told = (0..20).filter(|seed| {
        let (mut yard, _) = worked(100 + seed, 1.0);
        yard.says("times crape").text.contains(" went from ")
    });
    let told = told.count();
    assert!(told <= 3, "{told} of 20 steady crews");
}

/// Seven jobs are too few, however clear they look.
#[test]
fn no_trend_is_told_of_a_few_jobs() {
    let (_, finishes) = worked(7, 0.8);
    for heard in &finishes[..7] {
        assert!(!heard.text.contains(" went from "), "{}", heard.text);
    }
}
