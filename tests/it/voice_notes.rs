//! Voice notes from end to end: what is heard is shown first, what is doubtful is asked, and nothing is lost on the way.

use std::{
    collections::VecDeque,
    path::{Path, PathBuf},
    sync::{Arc, Mutex},
};

use serde_json::Value;
use tallyhand::{
    channels::media_of,
    conversation::{Heard, Unheard, Words},
    speech::{Error, Hints, Note, Recogniser, Transcriber, Whisper, decode},
    store::{Delivery, Enclosed},
    units::InboundId,
    web::{Clock, attend},
};
use tempfile::TempDir;

use crate::support::{Yard, tallyhand};

fn clip(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("fixtures/speech/clips")
        .join(name)
}

/// The folder of a real model, if this machine has one; else says that the test is skipped.
fn model() -> Option<PathBuf> {
    let folder = std::env::var_os("TALLYHAND_TEST_MODEL").map(PathBuf::from);
    if folder.is_none() {
        eprintln!("skipped: TALLYHAND_TEST_MODEL names no folder with a speech model (.ci/run fetches one)");
    }
    folder
}

fn words(ways: &[&str]) -> Words {
    Words {
        text: ways[0].to_string(),
        others: ways[1..].iter().map(ToString::to_string).collect(),
        doubtful: false,
    }
}

/// A listener that was told what it will hear, and remembers what it was told to expect.
struct Told {
    heard: VecDeque<Result<Words, Error>>,
    hints: Arc<Mutex<Vec<Hints>>>,
}

impl Transcriber for Told {
    fn transcribe(&mut self, _: &Note, hints: &Hints) -> Result<Words, Error> {
        self.hints.lock().expect("nobody fell over").push(hints.clone());
        self.heard.pop_front().unwrap_or(Err(Error::Unheard(Unheard::NoWords)))
    }
}

/// Says a note to a yard whose listener hears it so, and gives the answer.
fn hears(yard: &Yard, number: usize, heard: Words) -> Value {
    let listener = Told {
        heard: [Ok(heard)].into(),
        hints: Arc::default(),
    };
    let (recogniser, _) = Recogniser::start(Box::new(listener)).expect("a thread");
    sends(yard, &recogniser, number, "", true)
}

fn sends(yard: &Yard, recogniser: &Recogniser, number: usize, text: &str, with_note: bool) -> Value {
    let owner = yard.owner().clone();
    let id = InboundId::new(format!("v_{number}"));
    let bytes = std::fs::read(clip("opus.ogg")).expect("a fixture");
    let media = with_note.then(|| Enclosed {
        media: media_of(&id, 1, &bytes, None, None),
        bytes: Some(bytes),
    });
    let delivery = Delivery {
        account: owner.account,
        member: owner.id,
        external_id: id.as_str().to_string(),
        id,
        channel: "test".to_string(),
        text: text.to_string(),
        heard: None,
        answer_to: None,
        sent_at: None,
        media: media.into_iter().collect(),
        at: yard.clock().now(),
    };
    let store = yard.handle();
    let delivery = yard
        .wait(attend(&store, recogniser, delivery))
        .expect("the book is open");
    let answered = yard.wait(store.take(delivery)).expect("it is taken");
    serde_json::from_str(&answered.json).expect("an answer is JSON")
}

fn text(answer: &Value) -> &str {
    answer["text"].as_str().unwrap_or_default()
}

#[test]
fn an_answer_begins_with_what_was_heard() {
    let yard = Yard::new();
    let answer = hears(&yard, 1, words(&["12 small 3 medium crapes at Alder Ct"]));
    assert!(
        text(&answer).starts_with("Heard: \"12 small 3 medium crapes at Alder Ct\"\n"),
        "{answer:#}"
    );
    assert_eq!(answer["heard"], "12 small 3 medium crapes at Alder Ct");
    assert_eq!(answer["quote"]["lines"][0]["quantity"], "12");
}

#[test]
fn ways_that_come_to_the_same_are_not_asked_about() {
    let yard = Yard::new();
    let ways = words(&[
        "Twelve small crapes.",
        "12 small crepes",
        "12 small crapes!",
        "Uh, 12 small craters",
    ]);
    let answer = hears(&yard, 1, ways);
    assert_eq!(answer["quote"]["lines"][0]["quantity"], "12");
    assert!(answer["asks"].is_null(), "{answer:#}");
}

#[test]
fn ways_that_come_to_other_money_are_asked_about_and_a_number_settles_it() {
    let yard = Yard::new();
    let answer = hears(&yard, 1, words(&["15 small crapes", "50 small crapes"]));
    assert!(
        answer["quote"].is_null(),
        "nothing is priced while it is asked: {answer:#}"
    );
    let choices = answer["asks"][0]["choices"].as_array().expect("choices");
    assert!(
        choices[0]
            .as_str()
            .is_some_and(|choice| choice.contains("15 small crapes") && choice.contains('$'))
    );
    assert!(
        choices[1]
            .as_str()
            .is_some_and(|choice| choice.contains("50 small crapes") && choice.contains('$'))
    );
    drop(yard.says("2").answers(&[("quote.lines.0.quantity", "50")]));
    let mut yard = Yard::new();
    let answer = hears(&yard, 2, words(&["15 small crapes", "50 small crapes"]));
    let again = answer["asks"][0]["choices"]
        .as_array()
        .expect("choices")
        .len()
        .to_string();
    yard = yard.says(&again).replies("say it again");
    assert_eq!(yard.export()["quotes"].as_array().map(Vec::len), Some(0));
}

#[test]
fn a_way_that_means_nothing_does_not_stand_against_one_that_does() {
    let yard = Yard::new();
    let answer = hears(&yard, 1, words(&["Twelfths mall creeps", "12 small crapes"]));
    assert_eq!(answer["quote"]["lines"][0]["quantity"], "12", "{answer:#}");
    assert_eq!(answer["heard"], "12 small crapes");
}

#[test]
fn what_could_hardly_be_heard_is_asked_about_before_it_counts() {
    let mut yard = Yard::new();
    let faint = Words {
        doubtful: true,
        ..words(&["rate 90"])
    };
    let answer = hears(&yard, 1, faint);
    assert!(text(&answer).contains("Is it right?"), "{answer:#}");
    yard = yard.says("yes").replies("90");
    assert_eq!(yard.export()["settings"]["rate"], "90.00");
}

#[test]
fn an_open_question_keeps_its_numbers_when_a_note_could_be_several_things() {
    let mut yard = Yard::new();
    yard = yard.says("5 hollies").whatever();
    let answer = hears(&yard, 1, words(&["15 small crapes", "50 small crapes"]));
    assert!(text(&answer).contains("please type it"), "{answer:#}");
    drop(yard.says("1").answers(&[("quote.lines.0.size", "small")]));
}

#[test]
fn the_listener_is_told_the_accounts_own_words() {
    let yard = Yard::new().says("12 small crapes at Alder Ct").whatever();
    let hints = Arc::default();
    let listener = Told {
        heard: VecDeque::new(),
        hints: Arc::clone(&hints),
    };
    let (recogniser, _) = Recogniser::start(Box::new(listener)).expect("a thread");
    let answer = sends(&yard, &recogniser, 1, "", true);
    assert!(text(&answer).contains("no words"), "{answer:#}");
    let told = hints.lock().expect("nobody fell over");
    assert!(told[0].kinds.contains(&"crape myrtles".to_string()), "{told:?}");
    assert_eq!(told[0].places, ["Alder Ct"]);
}

#[test]
fn a_note_is_kept_and_heard_again_when_something_can_listen() {
    let yard = Yard::new();
    let answer = sends(&yard, &Recogniser::deaf(), 1, "", true);
    assert!(text(&answer).contains("tallyhand speech install"), "{answer:#}");
    assert_eq!(text(&answer).lines().count(), 1, "it is said in one line");
    let listener = Told {
        heard: [Ok(words(&["12 small crapes"])), Ok(words(&["13 small crapes"]))].into(),
        hints: Arc::default(),
    };
    let (recogniser, _) = Recogniser::start(Box::new(listener)).expect("a thread");
    let answer = sends(&yard, &recogniser, 2, "Hear it again, please", false);
    assert_eq!(answer["quote"]["lines"][0]["quantity"], "12", "{answer:#}");
}

#[test]
fn a_note_that_counts_already_is_not_counted_twice() {
    let yard = Yard::new();
    let listener = Told {
        heard: [Ok(words(&["12 small crapes"])), Ok(words(&["13 small crapes"]))].into(),
        hints: Arc::default(),
    };
    let (recogniser, _) = Recogniser::start(Box::new(listener)).expect("a thread");
    sends(&yard, &recogniser, 1, "", true);
    let answer = sends(&yard, &recogniser, 2, "hear it again", false);
    assert!(text(&answer).contains("undo"), "{answer:#}");
    let yard = yard.says("undo").whatever();
    let answer = sends(&yard, &recogniser, 3, "hear it again", false);
    assert_eq!(answer["quote"]["lines"][0]["quantity"], "13", "{answer:#}");
}

#[test]
fn with_no_note_there_is_nothing_to_hear_again() {
    let yard = Yard::new();
    let answer = sends(&yard, &Recogniser::deaf(), 1, "hear it again", false);
    assert!(text(&answer).contains("no voice note of yours"), "{answer:#}");
}

#[test]
fn a_recording_from_the_command_line_without_a_model_is_answered_and_kept() {
    let home = TempDir::new().expect("a folder");
    let file = clip("opus.ogg").to_string_lossy().into_owned();
    let said = tallyhand(home.path(), &["say", "--json", "--voice", &file], b"");
    assert_eq!(said.code, Some(0), "{said:?}");
    let answer: Value = serde_json::from_str(&said.stdout).expect("JSON");
    assert!(text(&answer).contains("tallyhand speech install"), "{answer:#}");
}

#[test]
fn a_model_with_other_content_than_was_pinned_is_not_installed() {
    let home = TempDir::new().expect("a folder");
    let brought = home.path().join("brought");
    std::fs::create_dir(&brought).expect("a folder");
    for name in ["config.json", "tokenizer.json", "model.bin"] {
        std::fs::write(brought.join(name), b"something else").expect("written");
    }
    let from = brought.to_string_lossy().into_owned();
    let said = tallyhand(home.path(), &["speech", "install", "--from", &from], b"");
    assert_eq!(said.code, Some(1), "{said:?}");
    assert!(said.stderr.contains("not the file that was pinned"), "{said:?}");
    assert!(said.stdout.contains("licence: MIT"), "{said:?}");
    let listed = tallyhand(home.path(), &["speech", "models"], b"");
    assert!(
        listed.stdout.contains("tiny.en") && listed.stdout.contains("not installed"),
        "{listed:?}"
    );
}

#[test]
fn a_real_model_hears_every_kind_of_recording() {
    let Some(model) = model() else { return };
    let whisper = Whisper::load(&model).expect("a model");
    let hints = Hints {
        kinds: vec!["crape myrtle".into(), "holly".into()],
        sizes: vec!["small".into(), "medium".into(), "large".into()],
        places: vec!["Alder Court".into()],
    };
    for name in ["opus.ogg", "aac.m4a", "sound.mp3", "sound.flac"] {
        let note = decode(&std::fs::read(clip(name)).expect("a fixture")).expect("a note");
        let heard = whisper.hear(&note, &hints).expect("words");
        let plain = heard.text.to_lowercase();
        assert!(plain.contains("small") && plain.contains("medium"), "{name}: {heard:?}");
        assert!(plain.contains("12") || plain.contains("twelve"), "{name}: {heard:?}");
    }
    let silence = decode(&tallyhand::speech::wav(&vec![0.0; 48_000])).expect("a note");
    assert!(matches!(
        whisper.hear(&silence, &hints),
        Err(Error::Unheard(Unheard::NoWords))
    ));
}

#[test]
fn a_real_model_answers_from_the_command_line() {
    let Some(model) = model() else { return };
    let home = TempDir::new().expect("a folder");
    let from = model.to_string_lossy().into_owned();
    let installed = tallyhand(home.path(), &["speech", "install", "--from", &from], b"");
    assert_eq!(installed.code, Some(0), "{installed:?}");
    let file = clip("opus.ogg").to_string_lossy().into_owned();
    let said = tallyhand(home.path(), &["say", "--json", "--voice", &file], b"");
    let answer: Value = serde_json::from_str(&said.stdout).expect("JSON");
    assert!(
        answer["heard"].as_str().is_some_and(|heard| heard.contains("medium")),
        "{answer:#}"
    );
}

#[test]
fn a_long_note_gives_a_quote_for_each_yard_in_order() {
    let yard = Yard::new();
    let said = "12 small crapes at Alder Ct. 5 large hollies at Birch Lane. 40 feet of hedge at Cedar Street.";
    let answer = hears(&yard, 1, words(&[said]));
    let places: Vec<&str> = answer["quotes"]
        .as_array()
        .expect("several")
        .iter()
        .map(|quote| quote["place"].as_str().unwrap_or_default())
        .collect();
    assert_eq!(places, ["Alder Ct", "Birch Lane", "Cedar Street"]);
    assert_eq!(answer["quote"]["place"], "Cedar Street");
}

/// Words are `Heard` whatever way they came in.
#[test]
fn heard_words_are_the_text() {
    assert_eq!(Heard::Words(words(&["rate 90"])).text(), Some("rate 90"));
    assert_eq!(Heard::Nothing(Unheard::Broken).text(), None);
}
