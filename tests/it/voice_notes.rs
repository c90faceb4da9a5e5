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
    speech::{Error, Hints, Installed, Note, Recogniser, Transcriber, Whisper, decode},
    store::{Delivery, Enclosed, Member},
    units::{Days, InboundId},
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
    sends_clip(yard, recogniser, number, text, with_note.then_some("opus.ogg"))
}

fn sends_clip(yard: &Yard, recogniser: &Recogniser, number: usize, text: &str, note: Option<&str>) -> Value {
    sends_of(yard, yard.owner(), recogniser, number, text, note)
}

fn sends_of(
    yard: &Yard,
    owner: &Member,
    recogniser: &Recogniser,
    number: usize,
    text: &str,
    note: Option<&str>,
) -> Value {
    let owner = owner.clone();
    let id = InboundId::new(format!("v_{}_{number}", owner.account.get()));
    let media = note.map(|name| {
        let bytes = std::fs::read(clip(name)).expect("a fixture");
        Enclosed {
            media: media_of(&id, 1, &bytes, None, None),
            bytes: Some(bytes),
        }
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
fn a_way_that_leaves_words_behind_does_not_stand_against_one_that_uses_them_all() {
    let yard = Yard::new();
    let answer = hears(
        &yard,
        1,
        words(&[
            "Free small, five medium and two large crapes",
            "3 small 5 medium and 2 large crapes",
        ]),
    );
    let counts: Vec<&str> = (0..3)
        .map(|line| answer["quote"]["lines"][line]["quantity"].as_str().unwrap_or_default())
        .collect();
    assert_eq!(counts, ["3", "5", "2"], "{answer:#}");
    assert!(answer["asks"].is_null(), "{answer:#}");
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

/// Listens until it may stop.
struct Held(std::sync::mpsc::Receiver<()>, std::sync::mpsc::Sender<()>);

impl Transcriber for Held {
    fn transcribe(&mut self, _: &Note, _: &Hints) -> Result<Words, Error> {
        self.1.send(()).expect("the test waits for it");
        self.0.recv().expect("the test lets it go on");
        Ok(words(&["12 small crapes"]))
    }
}

#[test]
fn a_text_is_answered_while_a_note_is_still_being_heard() {
    let (go_on, held) = std::sync::mpsc::channel();
    let (began, listening) = std::sync::mpsc::channel();
    let (recogniser, _) = Recogniser::start(Box::new(Held(held, began))).expect("a thread");
    std::thread::scope(|scope| {
        let note = std::fs::read(clip("opus.ogg")).expect("a fixture");
        let hearing = scope.spawn(|| {
            let runtime = tokio::runtime::Builder::new_current_thread()
                .build()
                .expect("a runtime");
            runtime.block_on(recogniser.hear(note, "audio/ogg", Hints::default()))
        });
        listening.recv().expect("it listens");
        drop(Yard::new().says("rate 90").replies("$90"));
        assert!(!hearing.is_finished());
        go_on.send(()).expect("it waits");
        let heard = hearing.join().expect("it ran").expect("it heard");
        assert_eq!(heard.text(), Some("12 small crapes"));
    });
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

/// The sound of every kind of recording is compared in `voice_decoding`; two of them are enough to see that sound of any
/// kind reaches the model as it should.
#[test]
fn a_real_model_hears_recordings_and_no_words_in_silence() {
    let Some(model) = model() else { return };
    let whisper = Whisper::load(&model).expect("a model");
    let hints = Hints {
        kinds: vec!["crape myrtle".into(), "holly".into()],
        sizes: vec!["small".into(), "medium".into(), "large".into()],
        places: vec!["Alder Court".into()],
    };
    for name in ["opus.ogg", "aac.m4a"] {
        let note = decode(&std::fs::read(clip(name)).expect("a fixture")).expect("a note");
        let heard = whisper.hear(&note, &hints).expect("words");
        let plain = heard.text.to_lowercase();
        assert!(plain.contains("small") && plain.contains("medium"), "{name}: {heard:?}");
        assert!(plain.contains("12") || plain.contains("twelve"), "{name}: {heard:?}");
    }
    let silence = decode(&tallyhand::speech::wav(&vec![0.0; 16_000])).expect("a note");
    assert!(matches!(
        whisper.hear(&silence, &hints),
        Err(Error::Unheard(Unheard::NoWords))
    ));
}

/// The note (`three-yards.ogg`, a neural voice, 7 s) says: "At Alder Court, twelve small crapes. At Birch Lane, five large
/// hollies. At Cedar Street, forty feet of hedge."
#[test]
fn a_real_model_hears_several_yards_in_one_note_and_each_gets_its_quote_in_order() {
    let Some(model) = model() else { return };
    let (recogniser, _) = Recogniser::start(Box::new(Installed::new(model))).expect("a thread");
    let mut yard = Yard::new();
    for place in ["Alder Court", "Birch Lane", "Cedar Street"] {
        yard = yard.says(&format!("mow at {place}")).whatever();
    }
    let answer = sends_clip(&yard, &recogniser, 1, "", Some("three-yards.ogg"));
    let quotes = answer["quotes"]
        .as_array()
        .unwrap_or_else(|| panic!("several quotes: {answer:#}"));
    let lines: Vec<(&str, &str, &str)> = quotes
        .iter()
        .map(|quote| {
            let text = |value: &'static str| quote["lines"][0][value].as_str().unwrap_or_default();
            (
                quote["place"].as_str().unwrap_or_default(),
                text("quantity"),
                text("service"),
            )
        })
        .collect();
    assert_eq!(
        lines,
        [
            ("Alder Court", "12", "crape myrtle"),
            ("Birch Lane", "5", "holly"),
            ("Cedar Street", "40", "hedge")
        ],
        "{answer:#}"
    );
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

/// Lets go of what is too old now, as the house does every hour; the house keeps recordings 30 days. Gives how many went.
fn lets_old_recordings_go(yard: &Yard) -> usize {
    let house: Days = "30".parse().expect("days");
    yard.wait(yard.handle().forget_recordings(house, yard.clock().now()))
        .expect("the book is open")
}

#[test]
fn recordings_go_when_the_owner_wants_them_to_and_what_was_heard_stays() {
    let mut yard = Yard::new();
    let said_nothing = yard.new_account("Wren");
    let deaf = Recogniser::deaf();
    yard = yard.says("keep recordings 60 days").replies("kept 60 days");
    assert_eq!(yard.export()["settings"]["recording_days"], "60");
    hears(&yard, 1, words(&["12 small crapes at Alder Ct"]));
    sends_of(&yard, &said_nothing, &deaf, 1, "", Some("opus.ogg"));
    let recordings = "SELECT count(*) FROM file WHERE media_type LIKE 'audio/%'";
    assert_eq!((lets_old_recordings_go(&yard), yard.count(recordings)), (0, 2));
    let day = 24 * 60;
    yard = yard.later(30 * day + 60);
    assert_eq!(
        lets_old_recordings_go(&yard),
        1,
        "the one of the account that said nothing"
    );
    yard = yard.later(29 * day);
    assert_eq!(lets_old_recordings_go(&yard), 0, "59 days");
    yard = yard.later(2 * day);
    assert_eq!(
        (lets_old_recordings_go(&yard), yard.count(recordings)),
        (1, 0),
        "61 days"
    );
    let answer = sends(&yard, &deaf, 2, "hear it again", false);
    assert!(text(&answer).contains("no voice note of yours"), "{answer:#}");
    assert_eq!(yard.export()["quotes"].as_array().map(Vec::len), Some(1));
}

#[test]
fn no_days_let_a_recording_go_at_once_and_other_files_stay() {
    let mut yard = Yard::new();
    yard = yard.says("keep recordings 0 days").replies("let go within the hour");
    hears(&yard, 1, words(&["12 small crapes"]));
    yard = yard.later(1);
    assert_eq!(lets_old_recordings_go(&yard), 1);
    yard = yard.says("keep recordings 9000 days").replies("0 to 3,653");
    assert_eq!(yard.export()["settings"]["recording_days"], "0");
}

/// Words are `Heard` whatever way they came in.
#[test]
fn heard_words_are_the_text() {
    assert_eq!(Heard::Words(words(&["rate 90"])).text(), Some("rate 90"));
    assert_eq!(Heard::Nothing(Unheard::Broken).text(), None);
}
