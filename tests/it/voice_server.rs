//! Voice notes heard by a server, and models fetched from one: what goes over the wire, and what is made of the answers.
//!
//! The form is held against what the `openai` Python client 3.57.0 sends to `POST /v1/audio/transcriptions` (captured on
//! 2026-11-12): parts `model`, `language`, `prompt`, `temperature`, `response_format` and `file` with a file name, and a
//! bearer key. A server of another maker is asked too,
//! when `TALLYHAND_TEST_SPEECH_URL` names one; `tests/peers/heavy.sh speech` installs one and has the real program ask it.

use std::{
    net::SocketAddr,
    path::{Path, PathBuf},
    sync::{Arc, Mutex},
};

use axum::{
    Router,
    body::{Body, Bytes},
    http::{HeaderMap, StatusCode, header::RANGE},
    routing::{get, post},
};
use futures_util::{StreamExt, stream};
use tallyhand::speech::{Address, Error, Hints, Key, Note, Server, Transcriber, sha256_of};
use tempfile::TempDir;

use crate::support::{Output, tallyhand};

/// What a server was asked.
#[derive(Debug, Clone, Default)]
struct Asked {
    key: String,
    body: String,
}

/// A server on a port of its own, on a thread of its own; it ends with the test.
fn serve(router: Router) -> SocketAddr {
    let listener = std::net::TcpListener::bind("127.0.0.1:0").expect("a port");
    listener.set_nonblocking(true).expect("it can wait");
    let address = listener.local_addr().expect("an address");
    std::thread::spawn(move || {
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .build()
            .expect("a runtime");
        runtime.block_on(async move {
            let listener = tokio::net::TcpListener::from_std(listener).expect("a listener");
            axum::serve(listener, router).await.expect("it serves");
        });
    });
    address
}

/// A server that gives these answers in turn, and what it was asked.
fn transcriber(answers: &'static [(u16, &'static str)]) -> (Server, Arc<Mutex<Vec<Asked>>>) {
    let asked: Arc<Mutex<Vec<Asked>>> = Arc::default();
    let seen = Arc::clone(&asked);
    let handler = move |headers: HeaderMap, body: Bytes| async move {
        let mut seen = seen.lock().expect("nobody fell over");
        let (status, answer) = answers[seen.len().min(answers.len() - 1)];
        seen.push(Asked {
            key: headers
                .get("authorization")
                .map_or(String::new(), |key| format!("{key:?}")),
            body: String::from_utf8_lossy(&body).into_owned(),
        });
        (StatusCode::from_u16(status).expect("a status"), answer)
    };
    let address = serve(Router::new().route("/v1/audio/transcriptions", post(handler)));
    (server(&format!("http://{address}/v1/audio/transcriptions")), asked)
}

fn server(url: &str) -> Server {
    Server::new(Address {
        url: url.parse().expect("an address"),
        key: Some(Key::new("k1\n")),
        model: "whisper-1".to_string(),
    })
    .expect("a client")
}

fn note(name: &str) -> Note {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("fixtures/speech/clips")
        .join(name);
    Note {
        bytes: std::fs::read(path).expect("a fixture"),
        media_type: String::new(),
    }
}

fn hints() -> Hints {
    Hints {
        kinds: vec!["crape myrtle".into()],
        sizes: vec!["small".into(), "medium".into()],
        places: vec!["Alder Court".into()],
    }
}

#[test]
fn a_server_is_asked_as_the_convention_has_it() {
    let (mut server, asked) = transcriber(&[(200, r#"{"text": " 12 small 3 medium crapes"}"#)]);
    let words = server.transcribe(&note("opus.ogg"), &hints()).expect("words");
    assert_eq!(words.text, "12 small 3 medium crapes");
    let asked = asked.lock().expect("nobody fell over")[0].clone();
    assert_eq!(asked.key, "\"Bearer k1\"");
    for (name, value) in [
        ("model", "whisper-1"),
        ("language", "en"),
        ("temperature", "0"),
        ("response_format", "verbose_json"),
    ] {
        assert!(
            asked.body.contains(&format!("name=\"{name}\"\r\n\r\n{value}\r\n")),
            "{name}"
        );
    }
    let prompt = asked.body.split("name=\"prompt\"").nth(1).expect("a prompt");
    assert!(
        prompt
            .lines()
            .nth(2)
            .is_some_and(|line| line.contains("Alder Court") && line.contains("crape myrtle"))
    );
    assert!(asked.body.contains("name=\"file\"; filename=\"note.ogg\""));
    assert!(asked.body.contains("Content-Type: audio/ogg") && asked.body.contains("OggS"));
}

#[test]
fn a_server_that_knows_only_the_short_form_is_asked_for_it_from_then_on() {
    let (mut server, asked) = transcriber(&[(400, "no such form"), (200, r#"{"text": "rate 90"}"#)]);
    for _ in 0..2 {
        assert_eq!(
            server.transcribe(&note("opus.ogg"), &hints()).expect("words").text,
            "rate 90"
        );
    }
    let asked = asked.lock().expect("nobody fell over");
    let long: Vec<bool> = asked.iter().map(|asked| asked.body.contains("verbose_json")).collect();
    assert_eq!(long, [true, false, false]);
}

#[test]
fn what_the_convention_does_not_list_goes_as_wav() {
    let (mut server, asked) = transcriber(&[(200, r#"{"text": "rate 90"}"#)]);
    server.transcribe(&note("phone.amr"), &hints()).expect("words");
    let body = &asked.lock().expect("nobody fell over")[0].body;
    assert!(body.contains("filename=\"note.wav\"") && body.contains("RIFF"));
}

#[test]
fn a_broken_note_never_leaves_and_a_server_that_fails_is_told_apart_from_one_that_hears_nothing() {
    let (mut server, asked) = transcriber(&[(500, "oh"), (200, "<html>"), (200, r#"{"text": ""}"#)]);
    let mut broken = note("opus.ogg");
    broken.bytes.truncate(60);
    assert!(matches!(server.transcribe(&broken, &hints()), Err(Error::Unheard(_))));
    assert!(asked.lock().expect("nobody fell over").is_empty());
    let mut ask = || server.transcribe(&note("opus.ogg"), &hints());
    assert!(matches!(ask(), Err(Error::ServerStatus(500))));
    assert!(matches!(ask(), Err(Error::ServerAnswer)));
    assert!(matches!(ask(), Err(Error::Unheard(_))));
}

#[test]
fn a_server_that_is_not_there_is_worth_another_try() {
    let gone = std::net::TcpListener::bind("127.0.0.1:0")
        .expect("a port")
        .local_addr()
        .expect("an address");
    let mut server = server(&format!("http://{gone}/v1/audio/transcriptions"));
    assert!(matches!(
        server.transcribe(&note("opus.ogg"), &hints()),
        Err(Error::Server(_))
    ));
}

#[test]
fn a_server_of_another_maker_hears_a_note() {
    let Ok(url) = std::env::var("TALLYHAND_TEST_SPEECH_URL") else {
        eprintln!("skipped: TALLYHAND_TEST_SPEECH_URL names no speech server");
        return;
    };
    let mut server = Server::new(Address {
        url: url.parse().expect("an address"),
        key: std::env::var("TALLYHAND_TEST_SPEECH_KEY")
            .ok()
            .map(|key| Key::new(&key)),
        model: std::env::var("TALLYHAND_TEST_SPEECH_MODEL").unwrap_or_else(|_| "whisper-1".to_string()),
    })
    .expect("a client");
    for name in ["opus.ogg", "aac.m4a", "phone.amr"] {
        let words = server.transcribe(&note(name), &hints()).expect("words");
        assert!(words.text.to_lowercase().contains("medium"), "{name}: {words:?}");
    }
}

/// The weights of a model that nobody knows.
const WEIGHTS: &[u8] = b"the weights of a model";

/// A server of such a model. It breaks off after seven bytes the first time that the weights are asked for, if so wished,
/// and gives parts when asked for parts, if it can. What parts it was asked for is noted.
fn model_server(breaks_off: bool, gives_parts: bool) -> (SocketAddr, Arc<Mutex<Vec<String>>>) {
    let ranges: Arc<Mutex<Vec<String>>> = Arc::default();
    let seen = Arc::clone(&ranges);
    let weights = move |headers: HeaderMap| async move {
        let range = headers
            .get(RANGE)
            .and_then(|range| range.to_str().ok())
            .unwrap_or_default()
            .to_string();
        let mut seen = seen.lock().expect("nobody fell over");
        seen.push(range.clone());
        if breaks_off && seen.len() == 1 {
            // The pause lets what there is go out before the end comes.
            let gone = async {
                tokio::time::sleep(std::time::Duration::from_millis(200)).await;
                Err(std::io::Error::other("the signal is gone"))
            };
            let pieces = stream::iter([Ok(&WEIGHTS[..7])]).chain(stream::once(gone));
            return (StatusCode::OK, Body::from_stream(pieces));
        }
        let from = range.strip_prefix("bytes=").and_then(|range| range.strip_suffix('-'));
        match from.and_then(|from| from.parse::<usize>().ok()).filter(|_| gives_parts) {
            Some(from) => (StatusCode::PARTIAL_CONTENT, Body::from(&WEIGHTS[from..])),
            None => (StatusCode::OK, Body::from(WEIGHTS)),
        }
    };
    let router = Router::new()
        .route("/m/config.json", get(|| async { "{}" }))
        .route("/m/tokenizer.json", get(|| async { "{}" }))
        .route("/m/model.bin", get(weights));
    (serve(router), ranges)
}

/// Installs the model of a server into a home of its own.
struct Installing {
    home: TempDir,
    from: String,
}

impl Installing {
    fn from(address: SocketAddr) -> Installing {
        Installing {
            home: TempDir::new().expect("a folder"),
            from: format!("http://{address}/m"),
        }
    }

    fn folder(&self) -> PathBuf {
        self.home.path().join("models/odd")
    }

    fn install(&self, pinned: &str) -> Output {
        let settings = self.home.path().join("settings.toml");
        let models = self.home.path().join("models");
        std::fs::write(&settings, format!("speech_folder = {:?}", models.to_string_lossy())).expect("written");
        let settings = settings.to_string_lossy();
        let arguments = [
            "--config", &settings, "speech", "install", "odd", "--from", &self.from, "--sha256", pinned,
        ];
        tallyhand(self.home.path(), &arguments, b"")
    }
}

fn pinned() -> String {
    sha256_of(WEIGHTS).expect("read")
}

#[test]
fn fetching_a_model_goes_on_where_it_broke_off_and_ends_with_what_was_pinned() {
    let (address, ranges) = model_server(true, true);
    let installing = Installing::from(address);
    let said = installing.install(&pinned());
    assert_eq!(said.code, Some(1), "{said:?}");
    assert!(said.stderr.contains("the next try goes on from there"), "{said:?}");
    assert!(
        !installing.folder().join("model.bin").exists(),
        "half a model has no name"
    );
    let said = installing.install(&pinned());
    assert_eq!(said.code, Some(0), "{said:?}");
    assert_eq!(
        std::fs::read(installing.folder().join("model.bin")).expect("it is there"),
        WEIGHTS
    );
    assert!(!installing.folder().join("model.bin.part").exists());
    assert_eq!(*ranges.lock().expect("nobody fell over"), ["", "bytes=7-"]);
    let said = installing.install(&pinned());
    assert_eq!(said.code, Some(0), "{said:?}");
    assert_eq!(
        ranges.lock().expect("nobody fell over").len(),
        2,
        "what is there is not fetched again"
    );
}

#[test]
fn a_server_that_gives_no_parts_is_fetched_from_anew() {
    let (address, _) = model_server(true, false);
    let installing = Installing::from(address);
    assert_eq!(installing.install(&pinned()).code, Some(1));
    let said = installing.install(&pinned());
    assert_eq!(said.code, Some(0), "{said:?}");
    assert_eq!(
        std::fs::read(installing.folder().join("model.bin")).expect("it is there"),
        WEIGHTS
    );
}

#[test]
fn a_model_with_another_hash_is_refused_and_leaves_nothing_behind() {
    let (address, _) = model_server(false, true);
    let installing = Installing::from(address);
    let other = sha256_of(b"other weights".as_slice()).expect("read");
    let said = installing.install(&other);
    assert_eq!(said.code, Some(1), "{said:?}");
    assert!(said.stderr.contains("not the file that was pinned"), "{said:?}");
    for name in ["model.bin", "model.bin.part"] {
        assert!(!installing.folder().join(name).exists(), "{name}");
    }
    assert_eq!(installing.install(&pinned()).code, Some(0));
    assert_eq!(installing.install(&other).code, Some(1));
    assert_eq!(
        std::fs::read(installing.folder().join("model.bin")).expect("the good one stays"),
        WEIGHTS
    );
}

#[test]
fn a_model_that_nobody_knows_is_fetched_only_with_its_hash() {
    let home = TempDir::new().expect("a folder");
    let said = tallyhand(
        home.path(),
        &["speech", "install", "odd", "--from", "http://127.0.0.1:9/m"],
        b"",
    );
    assert_eq!(said.code, Some(1), "{said:?}");
    assert!(said.stderr.contains("--sha256"), "{said:?}");
    let said = tallyhand(home.path(), &["speech", "install", "odd"], b"");
    assert!(said.stderr.contains("tiny.en"), "{said:?}");
}
