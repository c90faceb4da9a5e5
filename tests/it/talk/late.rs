//! Figures put right after many other messages, and what a finish is told in.

use serde_json::Value;

use super::yard::Yard;

/// So many messages of somebody else that no state from before them is remembered.
fn much_is_said(yard: &mut Yard) {
    for number in 0..70 {
        yard.member_says(2, &format!("note bed {}", ["front", "back", "side"][number % 3]));
    }
}

fn smalls(yard: &mut Yard) -> Value {
    yard.says("times small crapes").json["times"][0].clone()
}

#[test]
fn an_odd_reading_can_be_taken_out_however_much_was_said_since() {
    for (answer, then) in [("8.4", Some("small crapes took 8.4")), ("3", None)] {
        let mut yard = Yard::standard();
        yard.says("small crapes took 5.5, 6, 7 and 6.5");
        let before = smalls(&mut yard);
        yard.says("small crapes took 84");
        assert!(yard.is_asking());
        much_is_said(&mut yard);
        let heard = yard.says(answer);
        assert!(heard.text.contains("I took it out"), "{}", heard.text);
        assert_eq!(heard.text.contains("Say it again"), then.is_some(), "{}", heard.text);
        assert!(!yard.is_asking());
        assert_eq!(smalls(&mut yard), before, "as if it had not been said");
        if let Some(again) = then {
            yard.says(again);
            assert_eq!(smalls(&mut yard)["units"], "5");
        }
    }
}

#[test]
fn a_finish_can_be_put_right_however_much_was_said_since() {
    let told = |late: bool| {
        let mut yard = Yard::standard();
        yard.says("12 small 3 medium crapes at Alder Ct");
        yard.says("done 150 min");
        if late {
            much_is_said(&mut yard);
        }
        yard.says("done 110 min");
        let heard = yard.says("1");
        assert!(heard.text.contains("Made $108.00 an hour"), "{}", heard.text);
        let account = yard.account();
        let job = account["jobs"].as_array().and_then(|jobs| jobs.first().cloned());
        assert_eq!(job.map(|job| job["man_minutes"].clone()), Some("110".into()));
        smalls(&mut yard)
    };
    assert_eq!(told(true), told(false), "one job is learned from, at its last time");
}

/// Beside the job and the time: the rate against the target, and the time against the quote with the likely reason; each a
/// line that a phone shows whole.
#[test]
fn a_finish_is_told_in_two_lines_that_fit_a_phone() {
    const PHONE: usize = 48;
    for (minutes, reason) in [
        ("99", "Right on the 99 man-min quoted."),
        ("101", "2 over the 99 quoted: about as quoted."),
        ("108", "9 over the 99 quoted, as such jobs vary."),
        ("200", "101 over the 99 quoted: "),
    ] {
        let mut yard = Yard::standard();
        yard.says("small crapes took 5.5, 6, 6.5, 6, 6, 5.5, 6.5, 6");
        yard.says("medium crapes took 9, 9, 9.5, 8.5, 9, 9, 9, 9");
        yard.says("12 small 3 medium crapes at Alder Ct");
        let heard = yard.says(&format!("done {minutes} min"));
        let lines: Vec<&str> = heard.text.lines().collect();
        assert!(
            lines[2].starts_with("Made $") && lines[2].contains("120.00"),
            "{}",
            heard.text
        );
        assert!(lines[3].starts_with(reason), "{}", heard.text);
        for line in &lines[2..4] {
            assert!(line.len() <= PHONE, "{} letters: {line}", line.len());
        }
        assert!(
            lines
                .get(4)
                .is_none_or(|line| line.starts_with("Next time") || !line.contains("quoted")),
            "{}",
            heard.text
        );
    }
}
