//! Voice notes from the page, as each browser's recorder makes them: WebM with Opus, and MP4 with AAC in fragments.
//!
//! The MP4 ones were written by ffmpeg 7 with `-movflags frag_keyframe+empty_moov+default_base_moof`, which is the layout
//! that the recorders of browsers write (W3C, MSE Byte Stream Format for ISO BMFF); `tests/it/voice_decoding.rs` says what
//! they hold.

use std::path::{Path, PathBuf};

use axum::{body::Body, http::Request};
use http_body_util::BodyExt;
use tallyhand::{
    conversation::Words,
    speech::{Error, Hints, Installed, Note, Recogniser, Transcriber, decode},
    web,
};
use tower::ServiceExt;

use crate::support::Yard;

/// What browsers record: the file, the type that they name, the name that the page gives it.
const RECORDED: [(&str, &str, &str); 4] = [
    ("opus.webm", "audio/webm", "voice note.webm"),
    ("aac_fragments.mp4", "audio/mp4", "voice note.m4a"),
    ("opus_fragments.mp4", "audio/mp4", "voice note.m4a"),
    ("opus.ogg", "audio/ogg", "voice note.ogg"),
];

fn clip(name: &str) -> Vec<u8> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/speech/clips");
    std::fs::read(folder.join(name)).expect("a fixture")
}

/// Decodes a note as production does, and takes it for certain words when it lasts as long as the recordings do.
struct Listener;

impl Transcriber for Listener {
    fn transcribe(&mut self, note: &Note, _hints: &Hints) -> Result<Words, Error> {
        let seconds = decode(&note.bytes).map_err(Error::Unheard)?.seconds();
        assert!((1.8..2.4).contains(&seconds), "{seconds} s");
        Ok(Words {
            text: format!("12 small crapes at {} Alder Ct", note.bytes.len()),
            others: Vec::new(),
            doubtful: false,
        })
    }
}

/// Sends a recording as the page's form does, and gives the page that follows.
fn sends(yard: &Yard, recogniser: &Recogniser, key: &str, (file, kind, name): (&str, &str, &str)) -> String {
    let mut deps = yard.deps().clone();
    deps.recogniser = recogniser.clone();
    let mut body = Vec::new();
    for (name, value) in [("text", ""), ("key", key), ("form", &yard.form_token())] {
        body.extend(format!("--edge\r\ncontent-disposition: form-data; name=\"{name}\"\r\n\r\n{value}\r\n").bytes());
    }
    let head = format!(
        "--edge\r\ncontent-disposition: form-data; name=\"file\"; filename=\"{name}\"\r\ncontent-type: {kind}\r\n\r\n"
    );
    body.extend(head.bytes());
    body.extend(clip(file));
    body.extend(b"\r\n--edge--\r\n");
    let request = Request::post("/say")
        .header("cookie", yard.cookie())
        .header("content-type", "multipart/form-data; boundary=edge")
        .body(Body::from(body))
        .expect("a request");
    yard.wait(async {
        let answer = web::app(deps).oneshot(request).await.expect("the router never fails");
        assert_eq!(answer.status(), 303, "{file}");
        answer.into_body().collect().await.expect("a body");
    });
    yard.page()
}

#[test]
fn every_recorder_of_a_browser_is_heard() {
    let yard = Yard::new();
    let (recogniser, _) = Recogniser::start(Box::new(Listener)).expect("a thread");
    for (index, recorded) in RECORDED.into_iter().enumerate() {
        let (file, kind, _) = recorded;
        let page = sends(&yard, &recogniser, &format!("k{index}"), recorded);
        let place = format!("{} Alder Ct", clip(file).len());
        assert!(page.contains(&place), "{file} was not heard:\n{page}");
        let src = page
            .rsplit("<audio controls preload=\"none\" src=\"")
            .next()
            .and_then(|rest| rest.split('"').next())
            .expect("something to listen to");
        let given = yard.gets(src, Some(yard.cookie()));
        assert_eq!((given.status, given.header("content-type")), (200, kind), "{file}");
    }
}

#[test]
fn a_real_model_hears_what_a_phone_recorded() {
    let Some(model) = std::env::var_os("TALLYHAND_TEST_MODEL").map(PathBuf::from) else {
        eprintln!("skipped: TALLYHAND_TEST_MODEL names no folder with a speech model (.ci/run fetches one)");
        return;
    };
    let yard = Yard::new();
    let (recogniser, _) = Recogniser::start(Box::new(Installed::new(model))).expect("a thread");
    let page = sends(&yard, &recogniser, "k", RECORDED[1]).to_lowercase();
    assert!(page.contains("medium") && page.contains("small"), "{page}");
}
