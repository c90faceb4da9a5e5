//! How often is a voice note heard right, asked about, or silently wrong?
//!
//!     TALLYHAND_TEST_MODEL=FOLDER cargo bench --bench voice_words -- NOTES half tuning|kept-apart
//!         [every N] [file heard.jsonl] [minutes N] [again] [sweep] [show]
//!
//! `NOTES` is the folder that `tests/voice/make_clips.py` fills. Each note is decoded and heard, what was made out is kept
//! in a file there, and the conversation is asked what each way of hearing it comes to in a book that was told the
//! `given:` lines of `fixtures/speech/sentences.txt`. What the sentence comes to when it is typed is the truth that it is
//! held against. The first table is with the doubts that the program uses; `sweep` shows what other limits would do,
//! `show` every note that was not right unasked. Listening goes on where an earlier call ended and stops after so many
//! minutes; `again` listens to nothing more.
//!
//! The sentences are in two halves. What is chosen (limits, phrases, slips) is chosen on the tuning half; the other is
//! judged when all is chosen, so that its figures speak for notes that nobody has looked at. With `words` all notes of a
//! folder are heard and only their words are compared: for recordings that are not about yards.

#![expect(clippy::disallowed_methods, reason = "a bench measures real time")]

use std::{collections::BTreeMap, env, fs, io::Write, path::PathBuf, time::Instant};

use serde_json::{Value, json};
use tallyhand::{
    conversation::{Context, Heard, House, Inbound, Outcome, Words, handle, same_money, settles},
    journal::{Recorded, State},
    speech::{Doubts, Guess, Hints, Whisper, decode},
    units::{InboundId, MemberId, Timestamp},
};

#[path = "../it/support/spelled.rs"]
#[allow(dead_code, reason = "the tests use the rest of it")]
mod spelled;

use spelled::{DICTATED, cardinal};

/// The sentences and what was said before them.
const SENTENCES: &str = include_str!("../../fixtures/speech/sentences.txt");

/// A note and what was made out in it.
struct Note {
    said: String,
    voice: String,
    level: String,
    guesses: Vec<Guess>,
    no_speech: f32,
}

/// A book that was told a few things.
struct Book {
    state: State,
    context: Context,
}

impl Book {
    fn told() -> Book {
        let now = Timestamp::from_unix_seconds(1_768_230_000).expect("a time");
        let mut book = Book {
            state: State::new(),
            context: Context {
                now,
                zone: chrono_tz::America::Chicago,
                public_url: None,
                house: House::default(),
                secret: [7; 32],
            },
        };
        for line in SENTENCES.lines().filter_map(|line| line.strip_prefix("given:")) {
            let inbound = book.inbound(line.trim());
            let outcome = handle(&book.state, &inbound, &book.context);
            for event in outcome.events {
                book.state.apply(&Recorded {
                    sequence: book.state.sequence() + 1,
                    at: now,
                    cause: inbound.id.clone(),
                    member: inbound.member,
                    event,
                });
            }
        }
        book
    }

    fn inbound(&self, text: &str) -> Inbound {
        Inbound {
            id: InboundId::new(format!("m{}", self.state.sequence())),
            channel: "voice".to_string(),
            member: MemberId::new(1),
            text: text.to_string(),
            heard: None,
            media: Vec::new(),
            at: self.context.now,
        }
    }

    fn typed(&self, text: &str) -> Outcome {
        handle(&self.state, &self.inbound(text), &self.context)
    }

    fn spoken(&self, words: &Words) -> Outcome {
        let inbound = Inbound {
            heard: Some(Heard::Words(words.clone())),
            ..self.inbound(&words.text)
        };
        handle(&self.state, &inbound, &self.context)
    }
}

/// What became of the notes of one kind.
#[derive(Default)]
struct Tally {
    notes: u32,
    words: u32,
    word_errors: u32,
    numbers_right: u32,
    best_right: u32,
    right: u32,
    asked: u32,
    offered: u32,
    wrong: u32,
    nothing: u32,
}

impl Tally {
    fn share(&self, count: u32) -> f64 {
        f64::from(count) * 100.0 / f64::from(self.notes.max(1))
    }

    fn row(&self, name: &str) -> String {
        format!(
            "| {name} | {} | {:.1} | {:.0} | {:.0} | {:.1} | {:.1} | {:.0} | {:.1} | {:.1} |",
            self.notes,
            f64::from(self.word_errors) * 100.0 / f64::from(self.words.max(1)),
            self.share(self.numbers_right),
            self.share(self.best_right),
            self.share(self.right),
            self.share(self.asked),
            self.share(self.offered),
            self.share(self.wrong),
            self.share(self.nothing),
        )
    }
}

/// Words for comparing: no case, no marks, numbers as they are spoken.
fn plain(text: &str) -> Vec<String> {
    let spaced: String = text
        .to_lowercase()
        .replace(['-', '$'], " ")
        .replace('%', " percent")
        .chars()
        .filter(|letter| letter.is_alphanumeric() || letter.is_whitespace())
        .collect();
    spaced.split_whitespace().flat_map(spell).collect()
}

fn spell(word: &str) -> Vec<String> {
    match word.parse::<u32>() {
        Ok(number) if number < 1_000 => cardinal(number, DICTATED).split(' ').map(str::to_string).collect(),
        _ => vec![word.to_string()],
    }
}

/// Words to change, drop or add to make one text the other (Levenshtein).
fn word_errors(said: &[String], heard: &[String]) -> usize {
    let mut row: Vec<usize> = (0..=heard.len()).collect();
    for (at, word) in said.iter().enumerate() {
        let mut before = row[0];
        row[0] = at + 1;
        for (place, other) in heard.iter().enumerate() {
            let change = before + usize::from(word != other);
            before = row[place + 1];
            row[place + 1] = change.min(row[place] + 1).min(before + 1);
        }
    }
    row[heard.len()]
}

/// The figures of a text, in order, as they are spoken.
fn figures(plain: &[String]) -> Vec<&str> {
    let is_figure = |word: &str| {
        word.starts_with(|letter: char| letter.is_ascii_digit())
            || ["hundred", "dozen", "half"].contains(&word)
            || (0..100).any(|number| cardinal(number, DICTATED).split(' ').any(|part| part == word))
    };
    plain
        .iter()
        .map(String::as_str)
        .filter(|word| is_figure(word))
        .collect()
}

fn judge(book: &Book, truth: &Outcome, note: &Note, doubts: Doubts, tally: &mut Tally) -> &'static str {
    tally.notes += 1;
    let (said, heard) = (plain(&note.said), plain(&note.guesses[0].text));
    tally.words += u32::try_from(said.len()).expect("a sentence");
    tally.word_errors += u32::try_from(word_errors(&said, &heard)).expect("a sentence");
    if figures(&said) == figures(&heard) {
        tally.numbers_right += 1;
    }
    if same_money(truth, &book.typed(&note.guesses[0].text)) {
        tally.best_right += 1;
    }
    if note.no_speech > 0.5 || note.guesses[0].text.is_empty() {
        tally.nothing += 1;
        return "nothing";
    }
    let words = doubts.weigh(&note.guesses);
    let outcome = book.spoken(&words);
    if !settles(&outcome) {
        tally.asked += 1;
        let ways = std::iter::once(&words.text).chain(&words.others);
        if ways.into_iter().any(|way| same_money(truth, &book.typed(way))) {
            tally.offered += 1;
        }
        return "asked";
    }
    if same_money(truth, &outcome) {
        tally.right += 1;
        "right"
    } else {
        tally.wrong += 1;
        "WRONG"
    }
}

/// What is to be done.
struct Wish {
    folder: PathBuf,
    file: String,
    tuning: bool,
    every: usize,
    minutes: f64,
    again: bool,
    sweep: bool,
    show: bool,
    words: bool,
}

impl Wish {
    /// What was said on the command line; nothing when no folder was named.
    fn read() -> Option<Wish> {
        let arguments: Vec<String> = env::args().skip(1).filter(|argument| argument != "--bench").collect();
        let after = |word: &str| arguments.iter().skip_while(|argument| *argument != word).nth(1);
        let has = |word: &str| arguments.iter().any(|argument| argument == word);
        Some(Wish {
            folder: arguments.first().map(PathBuf::from)?,
            file: after("file").map_or("heard.jsonl", String::as_str).to_string(),
            tuning: after("half").is_none_or(|half| half == "tuning"),
            every: after("every").and_then(|text| text.parse().ok()).unwrap_or(1),
            minutes: after("minutes").and_then(|text| text.parse().ok()).unwrap_or(1e9),
            again: has("again"),
            sweep: has("sweep"),
            show: has("show"),
            words: has("words"),
        })
    }

    /// Whether a note is wanted. Every ninth sentence was looked at before there were halves.
    fn wants(&self, note: &Value) -> bool {
        let file = note["file"].as_str().expect("its file");
        if self.words {
            return true;
        }
        let number: usize = file
            .split('-')
            .nth(1)
            .and_then(|text| text.parse().ok())
            .expect("its number");
        let tuning = number.is_multiple_of(2) || number.is_multiple_of(9);
        tuning == self.tuning && number.is_multiple_of(self.every)
    }
}

/// What was made out in the notes so far, and in more of them while there is time.
fn listen(wish: &Wish) -> Vec<Value> {
    let kept = wish.folder.join(&wish.file);
    let lines = |text: String| -> Vec<Value> {
        text.lines()
            .map(|line| serde_json::from_str(line).expect("a note"))
            .filter(|note| wish.wants(note))
            .collect()
    };
    let mut heard = lines(fs::read_to_string(&kept).unwrap_or_default());
    if wish.again {
        return heard;
    }
    let model =
        PathBuf::from(env::var_os("TALLYHAND_TEST_MODEL").expect("TALLYHAND_TEST_MODEL names a model's folder"));
    let whisper = Whisper::load(&model).expect("a model");
    let hints = Hints::of(&Book::told().state);
    let started = Instant::now();
    let notes = lines(fs::read_to_string(wish.folder.join("notes.jsonl")).expect("notes.jsonl"));
    let mut out = fs::OpenOptions::new()
        .create(true)
        .append(true)
        .open(&kept)
        .expect("a file");
    for mut note in notes {
        if started.elapsed().as_secs_f64() > wish.minutes * 60.0 {
            println!("stopped after {} notes; call again for the rest", heard.len());
            break;
        }
        if heard.iter().any(|known| known["file"] == note["file"]) {
            continue;
        }
        let file = wish.folder.join(note["file"].as_str().expect("its file"));
        let clip = decode(&fs::read(file).expect("the note")).expect("sound");
        let begun = Instant::now();
        let listened = whisper.listen_to(&clip, &hints).expect("listening");
        note["took"] = json!(begun.elapsed().as_secs_f64());
        note["seconds"] = json!(clip.seconds());
        note["no_speech"] = json!(listened[0].no_speech);
        let guesses = listened[0].guesses.iter();
        note["guesses"] = guesses
            .map(|guess| json!([guess.text, guess.ln, guess.ln_mean, guess.gain]))
            .collect();
        for more in &listened[1..] {
            let before = note["guesses"][0][0].as_str().unwrap_or_default().to_string();
            note["guesses"][0][0] = json!(format!("{before} {}", more.guesses[0].text));
        }
        writeln!(out, "{note}").expect("written");
        heard.push(note);
    }
    heard
}

#[expect(clippy::cast_possible_truncation, reason = "likelihoods that were single precision")]
fn note(value: &Value) -> Note {
    let number = |value: &Value| value.as_f64().unwrap_or(0.0) as f32;
    let text = |field: &str| value[field].as_str().unwrap_or_default().to_string();
    let guesses = value["guesses"]
        .as_array()
        .expect("guesses")
        .iter()
        .map(|guess| Guess {
            text: guess[0].as_str().unwrap_or_default().to_string(),
            ln: number(&guess[1]),
            ln_mean: number(&guess[2]),
            gain: number(&guess[3]),
        })
        .collect();
    Note {
        said: text("said"),
        voice: text("voice"),
        level: text("level"),
        no_speech: number(&value["no_speech"]),
        guesses,
    }
}

/// Notes that would settle when they are typed, each with what it would come to.
type Judged<'a> = Vec<(&'a Note, &'a Outcome)>;

/// The table for the doubts that the program uses, and every note that went wrong in silence.
fn show(book: &Book, settled: &Judged<'_>, all: bool) {
    let mut tallies: BTreeMap<(usize, String), Tally> = BTreeMap::new();
    for (note, truth) in settled {
        let level = tallies.entry((0, note.level.clone())).or_default();
        let verdict = judge(book, truth, note, Doubts::default(), level);
        if verdict == "WRONG" || (all && verdict != "right") {
            println!("{verdict} {} {}: {:?}", note.voice, note.level, note.said);
            for guess in note.guesses.iter().take(if all { 6 } else { 2 }) {
                let settles = if settles(&book.typed(&guess.text)) { "+" } else { "-" };
                println!(
                    "    {settles} {:?} {:.1} gain {:.1} mean {:.2}",
                    guess.text, guess.ln, guess.gain, guess.ln_mean
                );
            }
        }
        let voice = tallies.entry((1, note.voice.clone())).or_default();
        judge(book, truth, note, Doubts::default(), voice);
    }
    println!(
        "| notes | n | word errors % | numbers right % | best guess right % | right unasked % | asked % | \
         asked, right one offered % | silently wrong % | nothing heard % |"
    );
    for ((_, name), tally) in &tallies {
        println!("{}", tally.row(name));
    }
}

/// Words that were heard as others, by who spoke.
fn show_words(notes: &[Note]) {
    let mut tallies: BTreeMap<&str, (usize, usize, usize)> = BTreeMap::new();
    for note in notes {
        let (said, heard) = (plain(&note.said), plain(&note.guesses[0].text));
        let errors = word_errors(&said, &heard);
        println!("{} of {}: {:?}", errors, said.len(), note.guesses[0].text);
        for name in [note.voice.as_str(), "all"] {
            let (notes, words, wrong) = tallies.entry(name).or_default();
            *notes += 1;
            *words += said.len();
            *wrong += errors;
        }
    }
    for (name, (notes, words, wrong)) in tallies {
        #[expect(clippy::cast_precision_loss, reason = "a few hundred words")]
        let share = wrong as f64 * 100.0 / words.max(1) as f64;
        println!("| {name} | {notes} notes | {words} words | word errors {share:.1} % |");
    }
}

/// What other limits would do.
fn sweep(book: &Book, settled: &Judged<'_>) {
    for other_ln_min in [0.0, -1.0, -2.0, -3.0, -4.0, -5.0, -7.0] {
        for doubtful_ln_mean in [-9.0, -0.6, -0.4, -0.3, -0.2, -0.15, -0.1] {
            let doubts = Doubts {
                other_ln_min,
                doubtful_ln_mean,
            };
            let mut levels: BTreeMap<&str, Tally> = BTreeMap::new();
            for (note, truth) in settled {
                judge(
                    book,
                    truth,
                    note,
                    doubts,
                    levels.entry(note.level.as_str()).or_default(),
                );
            }
            let shares = |tally: &Tally| {
                format!(
                    "{:.0}/{:.0}/{:.1}",
                    tally.share(tally.right),
                    tally.share(tally.asked),
                    tally.share(tally.wrong)
                )
            };
            let all: Vec<String> = levels
                .iter()
                .map(|(name, tally)| format!("{name} {}", shares(tally)))
                .collect();
            println!(
                "others {other_ln_min:4} mean {doubtful_ln_mean:5}: right/asked/wrong {}",
                all.join("  ")
            );
        }
    }
}

fn main() {
    let Some(wish) = Wish::read() else {
        println!("voice_words: skipped, no folder of notes was named (see tests/voice/make_clips.py)");
        return;
    };
    let heard = listen(&wish);
    let notes: Vec<Note> = heard.iter().map(note).filter(|note| !note.guesses.is_empty()).collect();
    if wish.words {
        show_words(&notes);
        return;
    }
    let book = Book::told();
    let truths: BTreeMap<&str, Outcome> = notes
        .iter()
        .map(|note| (note.said.as_str(), book.typed(&note.said)))
        .collect();
    for (said, _) in truths.iter().filter(|(_, truth)| !settles(truth)) {
        println!("left out, it would be asked about even when typed: {said}");
    }
    let judged = notes.iter().map(|note| (note, &truths[note.said.as_str()]));
    let settled: Judged<'_> = judged.filter(|(_, truth)| settles(truth)).collect();
    show(&book, &settled, wish.show);
    if wish.sweep {
        sweep(&book, &settled);
    }
}
