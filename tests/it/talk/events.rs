//! The stored forms: every form that was ever written still decodes, and what a later program writes is kept.

use std::{collections::BTreeSet, fs, path::Path};

use tallyhand::journal::{Event, decode, encode};

/// The kinds that are written today.
const KINDS: [&str; 39] = [
    "message_heard",
    "setting_given",
    "service_priced",
    "place_named",
    "quote_given",
    "quote_revised",
    "what_if_shown",
    "quote_won",
    "quote_lost",
    "job_planned",
    "payment_taken",
    "rest_let_go",
    "work_started",
    "work_paused",
    "work_resumed",
    "crew_changed",
    "clock_corrected",
    "job_finished",
    "extra_billed",
    "note_kept",
    "file_kept",
    "minutes_kept",
    "units_timed",
    "client_link_given",
    "client_links_shut",
    "client_accepted",
    "client_asked",
    "question_asked",
    "question_closed",
    "service_mentioned",
    "quote_shown",
    "calendar_opened",
    "calendar_shut",
    "prices_shown",
    "quoting_allowed",
    "place_caution_kept",
    "caution_given",
    "guide_shown",
    "undone",
];

fn samples() -> Vec<(String, u32, String)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/events");
    let mut samples = Vec::new();
    for entry in fs::read_dir(folder).expect("the samples are there") {
        let text = fs::read_to_string(entry.expect("a readable folder").path()).expect("samples are text");
        for line in text.lines().filter(|line| !line.starts_with('#') && !line.is_empty()) {
            let mut fields = line.splitn(3, ' ');
            let mut next = || fields.next().expect("kind, version and payload").to_string();
            let (kind, version, payload) = (next(), next(), next());
            samples.push((kind, version.parse().expect("a version"), payload));
        }
    }
    samples
}

#[test]
fn every_form_ever_written_decodes_and_encodes_to_itself() {
    let mut kinds = BTreeSet::new();
    for (kind, version, payload) in samples() {
        let event = decode(&kind, version, &payload).unwrap_or_else(|error| panic!("{kind} {payload}: {error}"));
        assert!(!matches!(event, Event::Unknown { .. }), "{kind} {version} is not known");
        let (kind_again, version_again, payload_again) = encode(&event);
        assert_eq!((kind_again.as_ref(), version_again), (kind.as_str(), version));
        assert_eq!(payload_again, payload, "{kind}");
        kinds.insert(kind);
    }
    let expected: BTreeSet<String> = KINDS.iter().map(|kind| (*kind).to_string()).collect();
    assert_eq!(kinds, expected, "a sample of each kind, and no other");
}

#[test]
fn what_a_later_program_writes_is_kept_as_it_is() {
    for (kind, version, payload) in [
        ("crew_mustered", 1, r#"{"people":"4"}"#),
        ("message_heard", 2, r#"{"words":["a"]}"#),
        ("quote_given", 9, "not even json"),
    ] {
        let event = decode(kind, version, payload).expect("an unknown form is no error");
        assert!(matches!(event, Event::Unknown { .. }));
        let (kind_again, version_again, payload_again) = encode(&event);
        assert_eq!(
            (kind_again.as_ref(), version_again, payload_again.as_str()),
            (kind, version, payload)
        );
    }
}

/// Takes fields away and puts nonsense in: a known form that does not hold what it should is an error that names the
/// field, never another event.
#[test]
fn a_known_form_that_does_not_hold_what_it_should_is_refused() {
    for (kind, payload, names) in [
        ("quote_won", "", "json"),
        ("quote_won", r#"{"no":"1"}"#, "agreed"),
        ("quote_won", r#"{"agreed":"12.345","no":"1"}"#, "agreed"),
        ("quote_won", r#"{"agreed":"12.00","no":"one"}"#, "no"),
        ("job_planned", r#"{"no":"1","start":"friday"}"#, "start"),
        ("setting_given", r#"{"figure":"mood","value":"1"}"#, "mood"),
        ("setting_given", r#"{"figure":"crew","value":"0"}"#, "value"),
        (
            "question_asked",
            r#"{"choices":[],"expecting":"choice x","read_as":"nothing","start":"0","text":"a"}"#,
            "slot",
        ),
        ("quote_given", r#"{"no":"1","total":"1.00"}"#, "sheet"),
    ] {
        let error = decode(kind, 1, payload)
            .expect_err("it is not what it should be")
            .to_string();
        assert!(error.contains(names), "{kind} {payload}: {error}");
    }
}
