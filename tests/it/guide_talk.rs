//! The guide as it is talked to: every row of its tables is reached by a message, cautions come once and stop no price,
//! where the account works is asked once.

use std::sync::LazyLock;

use serde_json::Value;
use tallyhand::guide::{FactKind, Plant, guide, season::Rule};

use crate::language_messages::Talk;

/// Made once: the tables hold hundreds of rows.
static STANDARD: LazyLock<Talk> = LazyLock::new(Talk::on_the_standard_account);

fn talk() -> Talk {
    STANDARD.clone()
}

/// The codes of an answer's cautions.
fn codes(answer: &Value) -> Vec<String> {
    let list = answer["cautions"].as_array().cloned().unwrap_or_default();
    list.iter()
        .map(|caution| caution["code"].as_str().unwrap_or_default().to_string())
        .collect()
}

fn text(answer: &Value) -> String {
    answer["text"].as_str().unwrap_or_default().to_string()
}

fn cites(answer: &Value, source: &guide_source::Source) -> bool {
    let list = answer["guide"]["sources"].as_array().cloned().unwrap_or_default();
    list.iter().any(|cited| cited.as_str() == Some(source.cited().as_str()))
}

mod guide_source {
    //! The guide's type of a source, by a shorter name.
    pub(super) use tallyhand::guide::Source;
}

/// What is missing, all of it at once.
#[track_caller]
fn nothing_missing(missing: &[String], of: usize) {
    assert!(missing.is_empty(), "{} of {of}:\n{}", missing.len(), missing.join("\n"));
}

#[test]
fn every_fact_of_every_plant_is_reached() {
    let (mut missing, mut count) = (Vec::new(), 0);
    for plant in &guide().plants {
        let when = talk().says(&format!("when do I prune {}", plant.name));
        let how = talk().says(&format!("how do I cut {}", plant.name));
        let top = talk().says(&format!("why not top {}", plant.name));
        for fact in &plant.facts {
            count += 1;
            let answers: &[&Value] = match fact.kind {
                FactKind::How | FactKind::Share => &[&how],
                FactKind::Care => &[&when, &how],
                FactKind::Top => &[&top],
            };
            for answer in answers {
                if !text(answer).to_lowercase().contains(&fact.text.to_lowercase()) || !cites(answer, fact.source) {
                    missing.push(format!("{}: {} not in: {}", plant.name, fact.text, text(answer)));
                }
            }
        }
    }
    nothing_missing(&missing, count);
}

#[test]
fn every_name_of_every_plant_is_known() {
    let (mut missing, mut count) = (Vec::new(), 0);
    for plant in &guide().plants {
        for name in std::iter::once(&plant.name).chain(&plant.also) {
            count += 1;
            let answer = talk().says(&format!("when do I prune {name}"));
            let found = answer["guide"]["plants"][0]["plant"].as_str().unwrap_or_default();
            if found != plant.name {
                missing.push(format!("{name}: {found}, meant {} ({})", plant.name, text(&answer)));
            }
        }
    }
    nothing_missing(&missing, count);
}

#[test]
fn every_window_is_reached() {
    let (mut missing, mut count) = (Vec::new(), 0);
    for window in &guide().windows {
        count += 1;
        let mut talk = talk();
        if let Some(state) = &window.state {
            talk.says(&format!("state {state}"));
        }
        if let Some(zones) = window.zones.map(|zones| zones.to_string()) {
            talk.says(&format!("zone {}", zones.split('-').next().unwrap_or_default()));
        }
        let message = match window.dates.first() {
            Some(day) => format!("can I prune {} {day}?", window.plant),
            None => format!("when do I prune {}", window.plant),
        };
        let answer = talk.says(&message);
        if !cites(&answer, window.source) {
            missing.push(format!("{message} ({:?}): {}", window.state, text(&answer)));
        }
    }
    nothing_missing(&missing, count);
}

#[test]
fn every_closed_season_is_reached() {
    let mut missing = Vec::new();
    for row in &guide().closed {
        let mut talk = talk();
        talk.says(&format!("state {}", row.state));
        let day = ["Feb 15", "Apr 20", "Nov 15"];
        let said: Vec<String> = day
            .iter()
            .map(|day| text(&talk.says(&format!("can I cut {}s {day}?", row.plants))))
            .collect();
        let told = said.iter().all(|answer| answer.contains(&row.text));
        let closed =
            row.rule != Rule::Avoid || row.dates.is_empty() || said.iter().any(|answer| answer.contains("closed"));
        if !told || !closed {
            missing.push(format!("{}: {said:?}", row.text));
        }
    }
    nothing_missing(&missing, guide().closed.len());
}

#[test]
fn every_practice_is_reached() {
    let said = |message: &str| talk().says(message);
    let mut answers: Vec<Value> = [
        "how much can I take off",
        "what do I use on 3 inch limbs",
        "do I paint the cuts",
        "should I disinfect my pruners",
        "how do I renew an overgrown hedge",
        "how big a limb can I take",
        "how do I take a big limb",
        "can I cut dead wood now",
        "when do I prune photinia",
        "why not top trees",
    ]
    .into_iter()
    .map(said)
    .collect();
    answers.extend(
        guide()
            .plants
            .iter()
            .map(|plant| said(&format!("how do I cut {}", plant.name))),
    );
    let reached = |text_of: &str| {
        let text_of = text_of.to_lowercase();
        answers
            .iter()
            .any(|answer| text(answer).to_lowercase().contains(&text_of))
    };
    let missing: Vec<String> = guide()
        .practice
        .iter()
        .filter(|row| !reached(&row.text))
        .map(|row| format!("{}: {}", row.topic, row.text))
        .collect();
    nothing_missing(&missing, guide().practice.len());
}

#[test]
fn every_tool_is_reached() {
    let mut missing = Vec::new();
    for tool in &guide().tools {
        let inches = if tool.upto > 50.into() { 5.into() } else { tool.upto };
        let answer = text(&talk().says(&format!("what do I use on {inches} inch stems")));
        let noted = tool.note.is_empty()
            || answer.contains(&tool.note)
            || !tool.main && inches <= "0.5".parse().expect("a figure");
        if !answer.contains(&tool.name) || !noted {
            missing.push(format!("{} at {inches}: {answer}", tool.name));
        }
    }
    nothing_missing(&missing, guide().tools.len());
}

#[test]
fn every_level_is_reached() {
    for (message, levels) in [
        ("it's 80 and 50%", 1),
        ("it's 90 and 40%", 2),
        ("it's 96 and 60% humidity", 4),
        ("its 90 degrees, 70 percent", 3),
        ("it's 30 with wind 20 mph", 1),
        ("it's 10 with wind 25 mph", 2),
        ("it's 0 with wind 15 mph", 3),
    ] {
        let answer = text(&talk().says(message));
        assert_eq!(answer.matches("\n- ").count(), levels, "{message}: {answer}");
    }
    let all: String = ["it's 96 and 60%", "it's 0 with wind 15 mph"]
        .iter()
        .map(|message| text(&talk().says(message)))
        .collect();
    for level in &guide().levels {
        assert!(all.contains(&level.text), "{}", level.text);
    }
}

/// Each word of each trigger, beside a price: the caution comes and the price is what it would be without.
#[test]
fn every_trigger_calls_its_caution_and_stops_no_price() {
    let table = include_str!("../../src/guide/data/triggers.tsv");
    let rows = table.lines().filter(|line| !line.starts_with('#')).skip(1);
    let (mut missing, mut count) = (Vec::new(), 0);
    for row in rows {
        let cells: Vec<&str> = row.split('\t').collect();
        for words in cells[1].split(';') {
            count += 1;
            let answer = talk().says(&format!("note {words}"));
            if !codes(&answer).contains(&cells[0].to_string()) {
                missing.push(format!("{words}: {:?} {}", codes(&answer), text(&answer)));
            }
            let mut priced = talk();
            priced.says("12 small crapes at Alder Ct");
            priced.says(&format!("note {words}"));
            let again = priced.says("show the quote");
            if again["quote"]["total"] != "144.00" {
                missing.push(format!("{words}: the price is {}", again["quote"]["total"]));
            }
        }
    }
    nothing_missing(&missing, count);
}

#[test]
fn every_caution_of_the_work_is_reached() {
    let table = include_str!("../../src/guide/data/work.tsv");
    let rows = table.lines().filter(|line| !line.starts_with('#')).skip(1);
    let mut missing = Vec::new();
    for row in rows {
        let cells: Vec<&str> = row.split('\t').collect();
        for kind in cells[1].split(';') {
            let name = match kind.strip_prefix("form:") {
                // Kinds of the standard account have sizes of their own.
                Some(form) => {
                    let fits = |plant: &&Plant| plant.form == form && plant.name != "crape myrtle";
                    guide().plants.iter().find(fits).expect("a plant").name.as_str()
                }
                None => kind,
            };
            let size = cells[2].split(';').next().unwrap_or_default();
            let mut talk = talk();
            // "gutter" is short for a kind of the standard account.
            let name = if name == "gutter" { "gutter clean" } else { name };
            talk.says(&format!("new service {name} {size} 30 min"));
            let quoted = if kind == "haul" {
                talk.says("haul 20");
                talk.says("12 small crapes at Alder Ct")
            } else {
                talk.says(&format!("1 {size} {name} at Alder Ct"))
            };
            let here = if cells[3].is_empty() {
                talk.says("here")
            } else {
                talk.says("won march 20");
                talk.says("here")
            };
            let given: Vec<String> = codes(&quoted).into_iter().chain(codes(&here)).collect();
            if !given.contains(&cells[0].to_string()) {
                missing.push(format!("{} by {kind}: {} / {}", cells[0], text(&quoted), text(&here)));
            }
        }
    }
    nothing_missing(&missing, 13);
}

#[test]
fn every_caution_has_its_words_for_the_price_and_for_the_crew() {
    for warning in &guide().warnings {
        for words in [&warning.text, &warning.crew] {
            assert!(
                words.is_ascii() && words.len() <= 210,
                "{}: {}",
                warning.code,
                words.len()
            );
        }
    }
}

#[test]
fn a_caution_comes_once_for_a_job() {
    let mut talk = talk();
    let first = talk.says("8 large crapes at Hobb Ln, wires over them");
    assert_eq!(first["quote"]["total"], "240.00");
    assert!(codes(&first).contains(&"wires".to_string()), "{first}");
    let again = talk.says("there are wires over it");
    assert_eq!(codes(&again), Vec::<String>::new(), "{again}");
    assert_eq!(again["understood"], serde_json::json!(["guide"]));
    let other = talk.says("3 small hollies at Pell Rd, wires over it");
    assert!(codes(&other).contains(&"wires".to_string()), "{other}");
}

#[test]
fn wires_get_the_distance_and_who_to_call() {
    let answer = talk().says("there are wires over it");
    let said = text(&answer);
    for words in [
        "10 ft",
        "4 in for every 10 kV",
        "Call the utility",
        "qualified line-clearance arborist",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
    let source = answer["cautions"][0]["source"].as_str().unwrap_or_default();
    assert!(source.contains("29 CFR 1910.333(c)(3)(i)"), "{source}");
}

#[test]
fn the_source_is_behind_why() {
    let mut talk = talk();
    talk.says("there are wires over it");
    assert!(text(&talk.says("why")).contains("29 CFR 1910.333"));
    talk.says("when do I prune azaleas");
    assert!(text(&talk.says("says who")).contains("Virginia Cooperative Extension"));
    talk.says("12 small crapes at Alder Ct");
    let sum = talk.says("why");
    assert!(text(&sum).contains("144"), "{sum}");
}

#[test]
fn where_the_account_works_is_asked_once_and_the_answer_comes_again() {
    let mut talk = talk();
    let first = talk.says("can I cut oaks now");
    assert_eq!(first["asks"].as_array().map_or(0, Vec::len), 1, "{first}");
    let told = talk.says("texas");
    assert_eq!(told["understood"], serde_json::json!(["set", "guide"]), "{told}");
    assert!(text(&told).contains("Texas: no oak cuts February to June"), "{told}");
    let mut quiet = self::talk();
    quiet.says("when do I prune azaleas");
    quiet.says("zone 8a");
    let again = quiet.says("when do I prune hollies");
    assert!(again["asks"].is_null(), "{again}");
    let mut declined = self::talk();
    declined.says("when do I prune azaleas");
    declined.says("no");
    assert!(declined.says("when do I prune azaleas")["asks"].is_null());
}

#[test]
fn the_plant_talked_about_is_meant() {
    let mut talk = talk();
    talk.says("6 azaleas at Alder Ct");
    assert_eq!(
        talk.says("when do I prune them")["guide"]["plants"][0]["plant"],
        "azalea"
    );
    talk.says("when do I prune wisteria");
    assert_eq!(talk.says("how do I cut it")["guide"]["plants"][0]["plant"], "wisteria");
}

#[test]
fn an_everyday_name_gives_each_plant_its_line() {
    let answer = talk().says("when do I prune hydrangeas");
    let plants = answer["guide"]["plants"].as_array().map_or(0, Vec::len);
    assert_eq!(plants, 4, "{answer}");
}

#[test]
fn a_price_out_of_season_says_so_in_a_line() {
    let mut talk = talk();
    let answer = talk.says("6 azaleas at Alder Ct");
    assert_eq!(answer["quote"]["total"], "48.00");
    assert_eq!(codes(&answer), ["season"]);
    let line = text(&answer)
        .lines()
        .filter(|line| line.contains("out of season"))
        .count();
    assert_eq!(line, 1, "{answer}");
    assert_eq!(codes(&talk.says("make that 7")), Vec::<String>::new());
    assert_eq!(
        codes(&self::talk().says("12 small crapes at Alder Ct")),
        Vec::<String>::new()
    );
}

#[test]
fn topping_is_the_clients_choice() {
    let mut talk = talk();
    let answer = talk.says("8 large crapes at Hobb Ln, she wants them topped");
    assert_eq!(answer["quote"]["total"], "240.00", "{answer}");
    let said = text(&answer);
    assert!(
        said.contains("client's choice") && said.contains("up to a month"),
        "{said}"
    );
}

#[test]
fn the_owners_own_caution_meets_whoever_comes() {
    let mut talk = talk();
    talk.says("12 small crapes at Alder Ct");
    let kept = talk.says("heads up at Alder Ct: mean dog, gate code 4411");
    assert_eq!(kept["understood"], serde_json::json!(["note"]), "{kept}");
    let here = talk.says("here");
    assert!(codes(&here).contains(&"place".to_string()), "{here}");
    assert!(text(&here).contains("mean dog, gate code 4411"), "{here}");
}

#[test]
fn each_member_gets_the_jobs_cautions_when_coming() {
    let mut talk = talk();
    talk.says("8 large crapes at Hobb Ln, wires over them");
    let crew = talk.as_member(2).says("here at Hobb Ln");
    assert!(codes(&crew).contains(&"wires".to_string()), "{crew}");
    assert!(text(&crew).contains("Tell the boss"), "{crew}");
}

#[test]
fn figures_are_answered_with_figures() {
    for (message, words) in [
        ("it's 96 and 65%", "heat index 121 F"),
        ("its 28 with wind 15", "wind chill 16 F"),
        ("2 hours at 100 db and 4 hours at 90 db", "150%"),
        ("how long can I run a 100 db saw", "2 h a day"),
        ("can I lift 80 lb", "over the 51 lb"),
        ("ladder at 16 ft", "4 ft out"),
        ("69 kv line", "10 ft 8 in"),
        ("thunder 10 seconds after", "2 miles"),
        ("what tool for 1 1/2 inch wood", "1.5 in: loppers"),
        ("what do I use on half-inch stems", "0.5 in: hand pruner"),
        ("what do I use on an inch and a half branch", "1.5 in: loppers"),
        ("which saw for 3\" limbs", "3 in: pruning saw"),
    ] {
        let answer = talk().says(message);
        assert_eq!(
            answer["understood"],
            serde_json::json!(["guide"]),
            "{message}: {answer}"
        );
        assert!(text(&answer).contains(words), "{message}: {}", text(&answer));
    }
}

#[test]
fn figures_that_cannot_be_are_refused_in_a_sentence() {
    for message in ["it's 96 and 160%", "zone 40", "it's 900 degrees and 60%"] {
        let answer = text(&talk().says(message));
        assert!(answer.contains("Nothing was changed"), "{message}: {answer}");
    }
}

/// What nobody published is marked wherever it is said.
#[test]
fn common_practice_is_said_as_such() {
    for plant in &guide().plants {
        let how = text(&talk().says(&format!("how do I cut {}", plant.name))).replace('\n', " ");
        for fact in &plant.facts {
            let unsourced = fact.source.seen == tallyhand::guide::Seen::Practice;
            let marked = how.contains(&format!("{} (common practice)", fact.text));
            assert_eq!(marked, unsourced, "{}: {} in {how}", plant.name, fact.text);
        }
    }
}

/// A street may be called after what the cautions listen for.
#[test]
fn a_place_calls_no_caution_up() {
    let answer = talk().says("12 small crapes at 14 Hornet Ln");
    assert_eq!(answer["quote"]["total"], "144.00", "{answer}");
    assert_eq!(codes(&answer), Vec::<String>::new(), "{answer}");
}
