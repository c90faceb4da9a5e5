//! Equipment taken out of the cost build-up by words, and the markup of one quote or of all.

use serde_json::Value;

use super::yard::Yard;

/// 3600 / 4 / 12 = 75 a month is 0.68 of 110 hours; 900 / 3 / 12 = 25 is 0.23.
fn with_equipment() -> Yard {
    let mut yard = Yard::standard();
    yard.says("wage 22, burden 18%, overhead 1400 a month, 110 billable hours, margin 20%");
    yard.says("zero turn mower 3600 over 4 years");
    yard.says("blower 900 over 3 years");
    yard
}

fn names(yard: &Yard) -> Vec<String> {
    let listed = yard.account()["settings"]["equipment"].clone();
    let name = |thing: &Value| thing["name"].as_str().unwrap_or_default().to_string();
    listed
        .as_array()
        .map(|all| all.iter().map(name).collect())
        .unwrap_or_default()
}

#[test]
fn equipment_goes_by_words_and_comes_back_by_undo() {
    // 25.96 + 12.727 + 0.909 = 39.60; without the mower 38.91, without the blower 39.37.
    for (said, gone, break_even) in [
        ("drop the mower from costs", "zero turn mower", "$38.91"),
        ("take the zero turn mower out of my costs", "zero turn mower", "$38.91"),
        ("sold the mower", "zero turn mower", "$38.91"),
        ("i sold the blower", "blower", "$39.37"),
        ("sold the blower", "blower", "$39.37"),
        ("got rid of the blower", "blower", "$39.37"),
        ("the blower got stolen", "blower", "$39.37"),
        ("remove blower from equipment", "blower", "$39.37"),
        ("drop the blower from overhead", "blower", "$39.37"),
    ] {
        let mut yard = with_equipment();
        assert_eq!(names(&yard), ["zero turn mower", "blower"]);
        let heard = yard.says(said);
        assert_eq!(
            heard.json["understood"],
            serde_json::json!(["set"]),
            "{said}: {}",
            heard.text
        );
        assert!(
            heard.text.contains(&format!("Out of your costs: {gone}")),
            "{said}: {}",
            heard.text
        );
        assert!(
            heard.text.contains(&format!("= {break_even} an hour")),
            "{said}: {}",
            heard.text
        );
        assert!(!names(&yard).contains(&gone.to_string()), "{said}");
        yard.says("undo");
        assert_eq!(names(&yard), ["zero turn mower", "blower"], "{said}");
    }
}

#[test]
fn what_is_not_among_the_equipment_changes_nothing() {
    let mut yard = with_equipment();
    let heard = yard.says("drop the chipper from costs");
    assert!(
        heard.text.contains("Which do you mean by \"chipper\"") && heard.text.contains("Nothing was changed"),
        "{}",
        heard.text
    );
    assert_eq!(names(&yard).len(), 2);
    // A yes of the client is not a sale of equipment.
    let mut yard = with_equipment();
    yard.says("12 small crapes at Alder Ct");
    assert_eq!(yard.says("sold").json["understood"], serde_json::json!(["won"]));
    assert_eq!(names(&yard).len(), 2);
}

/// 6 x 38 = 228, with a fifth 273.60; work 300.
#[test]
fn no_markup_is_the_quotes_while_one_is_in_hand_and_else_the_accounts() {
    let mut yard = Yard::standard();
    yard.says("markup 20%");
    assert_eq!(yard.says("6 yards mulch").json["quote"]["total"], "573.60");
    let heard = yard.says("no markup");
    assert_eq!(heard.json["quote"]["total"], "528.00", "{}", heard.text);
    assert!(heard.text.contains("Without markup on this quote"), "{}", heard.text);
    assert_eq!(yard.account()["settings"]["markup"], "20");
    assert_eq!(yard.says("undo").json["quote"]["total"], "573.60");
    let heard = yard.says("markup 10 on this one");
    assert_eq!(heard.json["quote"]["total"], "550.80", "{}", heard.text);
    assert_eq!(yard.account()["settings"]["markup"], "20");
    let heard = yard.says("markup 0");
    assert!(heard.text.contains("for all quotes"), "{}", heard.text);
    assert!(yard.account()["settings"]["markup"].is_null());

    let mut yard = Yard::standard();
    yard.says("markup 20%");
    let heard = yard.says("no markup");
    assert!(heard.text.contains("for all quotes"), "{}", heard.text);
    assert!(yard.account()["settings"]["markup"].is_null());
    yard.says("undo");
    assert_eq!(yard.account()["settings"]["markup"], "20");
}
