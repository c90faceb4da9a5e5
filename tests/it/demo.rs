//! The demo season: every message of it is understood, and it comes to what its generator set out to tell.
//!
//! `fixtures/demo/make_season.py` writes the messages and, from its own plan of the seasons and without this program, a
//! table of what each quote should come to: lines, status, crew, man-minutes, prices that were said, and money that came
//! in. Prices that the program works out are not in the table: they are checked elsewhere against other sources.

use std::{
    collections::BTreeMap,
    path::{Path, PathBuf},
    process::Command,
};

use serde_json::Value;
use tempfile::TempDir;

use crate::support::tallyhand;

const SEASON: &str = include_str!("../../fixtures/demo/season.jsonl");
const OUTCOME: &str = include_str!("../../fixtures/demo/season.csv");

/// What an answer says when something in the message was not taken, by the sentence that says so.
const NOT_TAKEN: [&str; 5] = [
    "Nothing was changed",
    "I did not use",
    "(I let ",
    "does not answer what I asked",
    "There is nothing of yours",
];

/// The demo's book, filled.
struct Demo {
    home: TempDir,
}

impl Demo {
    fn new() -> Demo {
        let demo = Demo {
            home: TempDir::new().expect("a folder"),
        };
        let output = tallyhand(demo.home.path(), &["chat", "--demo"], b"");
        assert_eq!(output.code, Some(0), "{}", output.stderr);
        demo
    }

    fn book(&self) -> PathBuf {
        self.home.path().join("data/tallyhand/demo.sqlite")
    }

    fn run(&self, command: &[&str]) -> String {
        let book = self.book();
        let mut arguments = command.to_vec();
        arguments.extend(["--db", book.to_str().expect("a plain path")]);
        let output = tallyhand(self.home.path(), &arguments, b"");
        assert_eq!((output.code, output.stderr.as_str()), (Some(0), ""), "{command:?}");
        output.stdout
    }

    /// Speaker, message and answer, in order.
    fn talk(&self) -> Vec<(String, String, Value)> {
        let connection = rusqlite::Connection::open(self.book()).expect("the book opens");
        let sql = "SELECT name, message.text, json FROM message JOIN member ON member.id = member_id \
                   JOIN reply ON message_position = position ORDER BY position";
        let mut statement = connection.prepare(sql).expect("the book has these tables");
        let rows = statement.query_map([], |row| {
            Ok((
                row.get(0)?,
                row.get(1)?,
                row.get::<_, String>(2)?.parse().expect("JSON"),
            ))
        });
        rows.and_then(Iterator::collect).expect("every row reads")
    }
}

/// One quote as the generator meant it.
struct Meant<'a> {
    no: u64,
    place: &'a str,
    counted: Vec<&'a str>,
    status: &'a str,
    crew: &'a str,
    man_minutes: &'a str,
    price: &'a str,
    paid: &'a str,
}

fn meant() -> Vec<Meant<'static>> {
    let mut lines = OUTCOME.lines();
    assert_eq!(
        lines.next(),
        Some("no,place,counted,status,crew,man_minutes,price,paid")
    );
    lines
        .map(|line| {
            let cells: Vec<&str> = line.split(',').collect();
            let [no, place, counted, status, crew, man_minutes, price, paid] = cells[..] else {
                panic!("eight cells, none with a comma in it: {line}");
            };
            Meant {
                no: no.parse().expect("a number"),
                place,
                counted: counted.split("; ").collect(),
                status,
                crew,
                man_minutes,
                price,
                paid,
            }
        })
        .collect()
}

#[test]
fn every_message_is_understood() {
    let talk = Demo::new().talk();
    assert_eq!(talk.len(), SEASON.lines().count());
    let mut asked: BTreeMap<&str, &str> = BTreeMap::new();
    let mut questions = 0;
    for (speaker, message, answer) in &talk {
        let text = answer["text"].as_str().expect("an answer has words");
        let kinds = answer["understood"].as_array().expect("an answer has kinds");
        assert!(
            !kinds.is_empty() && kinds.iter().all(|kind| kind != "unclear"),
            "{message}\n{text}"
        );
        for sentence in NOT_TAKEN {
            assert!(!text.contains(sentence), "{message}\n{text}");
        }
        let before = asked.remove(speaker.as_str());
        if answer.get("asks").is_some() {
            questions += 1;
            assert_eq!(before, None, "asked again after \"{message}\"");
            asked.insert(speaker, message);
        }
    }
    assert!(asked.is_empty(), "left open: {asked:?}");
    assert!(questions > 0, "the season shows how a question is asked and answered");
}

/// The check above looks for sentences; here the program is made to say each of them.
#[test]
fn the_sentences_looked_for_are_the_ones_that_are_said() {
    let home = TempDir::new().expect("a folder");
    let talk = b"undo\nasdf qwer zxcv\n5 hollies\n9\n4 roses small\ndone 30 min\npaid 10 in doubloons\n";
    let output = tallyhand(home.path(), &["chat"], talk);
    for sentence in NOT_TAKEN {
        assert!(
            output.stdout.contains(sentence),
            "never said: {sentence}\n{}",
            output.stdout
        );
    }
}

#[test]
fn it_comes_to_what_was_meant() {
    let demo = Demo::new();
    let account: Value = demo.run(&["export", "--json"]).parse().expect("JSON");
    let quotes = account["quotes"].as_array().expect("quotes");
    let jobs: BTreeMap<u64, &Value> = account["jobs"]
        .as_array()
        .expect("jobs")
        .iter()
        .map(|job| (job["no"].as_u64().expect("a number"), job))
        .collect();
    let meant = meant();
    assert_eq!(quotes.len(), meant.len());
    for (quote, meant) in quotes.iter().zip(&meant) {
        let no = meant.no;
        assert_eq!(quote["no"], no);
        assert_eq!(quote["place"], meant.place, "quote {no}");
        assert_eq!(counted(quote), meant.counted, "quote {no}");
        assert_eq!(quote["status"], meant.status, "quote {no}");
        if !meant.price.is_empty() {
            let job = jobs.get(&no).map(|job| &job["price"]);
            assert_eq!(job.unwrap_or(&quote["total"]), meant.price, "quote {no}");
        }
        let is_job = ["won", "done"].contains(&meant.status);
        assert_eq!(jobs.contains_key(&no), is_job, "quote {no}");
        if let Some(job) = jobs.get(&no) {
            check_job(job, meant);
        }
    }
    let places = meant.iter().map(|meant| meant.place);
    let places: std::collections::BTreeSet<&str> = places.collect();
    assert_eq!(account["places"].as_array().map(Vec::len), Some(places.len()));
    assert_eq!(demo.run(&["check"]), "");
}

/// The lines of a quote in the words of the table.
fn counted(quote: &Value) -> Vec<String> {
    let line = |line: &Value| {
        let said = ["quantity", "service", "size"].map(|field| line[field].as_str().unwrap_or_default().to_string());
        said.join(" ").trim().to_string()
    };
    quote["lines"].as_array().expect("lines").iter().map(line).collect()
}

fn check_job(job: &Value, meant: &Meant<'_>) {
    let no = meant.no;
    if meant.status == "done" {
        assert_eq!(job["man_minutes"], meant.man_minutes, "quote {no}");
        assert_eq!(job["crew"].to_string(), meant.crew, "quote {no}");
    }
    match meant.paid {
        "all" => assert_eq!(job["paid"], job["price"], "quote {no}"),
        "" => assert_eq!(job["paid"], "0.00", "quote {no}"),
        sum => assert_eq!(job["paid"], sum, "quote {no}"),
    }
}

#[test]
fn the_generator_writes_the_same_season_again() {
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/demo/make_season.py");
    let folder = TempDir::new().expect("a folder");
    let run = match Command::new("python3").arg(script).arg(folder.path()).output() {
        Ok(run) => run,
        Err(error) => {
            eprintln!("skipped: the season was not made again, because python3 does not start here ({error})");
            return;
        }
    };
    assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stderr));
    for (file, kept) in [("season.jsonl", SEASON), ("season.csv", OUTCOME)] {
        let made = std::fs::read_to_string(folder.path().join(file)).expect("it was written");
        // Not assert_eq: it would print the whole season twice.
        assert!(made == kept, "{file} is not what make_season.py writes: run it again");
    }
}
