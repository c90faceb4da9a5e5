//! The starter figures: what is in them, and what a file of them may not be.

use tallyhand::pricing::starter::{self, Error, StarterKind, parse};

/// Kinds with sizes, small / medium / large; all of them common practice, no source.
const WITH_SIZES: &[(&str, [&str; 3])] = &[
    ("crape myrtle", ["6", "12", "25"]),
    ("holly", ["5", "10", "20"]),
    ("boxwood", ["3", "6", "12"]),
    ("azalea", ["4", "8", "15"]),
    ("rose", ["4", "7", "12"]),
    ("hydrangea", ["4", "8", "14"]),
    ("juniper", ["4", "8", "15"]),
    ("loropetalum", ["4", "8", "15"]),
    ("ligustrum", ["5", "10", "18"]),
    ("camellia", ["5", "10", "18"]),
    ("nandina", ["3", "6", "10"]),
    ("gardenia", ["4", "8", "14"]),
    ("abelia", ["4", "8", "14"]),
    ("viburnum", ["5", "10", "18"]),
    ("spirea", ["3", "6", "10"]),
    ("arborvitae", ["5", "10", "20"]),
    ("yew", ["4", "8", "15"]),
    ("forsythia", ["4", "8", "15"]),
    ("palm", ["10", "20", "35"]),
    ("oleander", ["5", "10", "18"]),
    ("magnolia", ["10", "25", "60"]),
    ("dogwood", ["8", "15", "30"]),
    ("redbud", ["8", "15", "30"]),
    ("fruit tree", ["15", "30", "60"]),
    ("shrub", ["4", "8", "15"]),
    ("tree", ["10", "25", "60"]),
];

/// Kinds of one class, with the unit.
const OF_ONE_CLASS: &[(&str, &str, &str)] = &[
    ("hedge", "1.5", "foot"),
    ("ornamental grass", "4", "each"),
    ("mulch", "25", "yard"),
    ("mow", "40", "job"),
    ("edging", "0.2", "foot"),
    ("leaf cleanup", "90", "job"),
    ("gutter clean", "60", "job"),
    ("weeding", "60", "hour"),
    ("pressure wash", "0.2", "square foot"),
];

fn kind(name: &str) -> StarterKind {
    let kinds = starter::starter().kinds;
    kinds
        .into_iter()
        .find(|kind| kind.name == name)
        .unwrap_or_else(|| panic!("{name} is on the list"))
}

#[test]
fn the_card_has_a_rate_and_one_person() {
    let card = starter::starter().card;
    assert_eq!(card.rate.to_string(), "120.00");
    assert_eq!(card.rate, starter::starter_rate());
    assert_eq!(card.crew.get(), 1);
    assert_eq!(card.source, "common practice, no source");
}

#[test]
fn the_list_has_the_kinds_of_the_trade() {
    assert_eq!(starter::starter().kinds.len(), WITH_SIZES.len() + OF_ONE_CLASS.len());
    for (name, minutes) in WITH_SIZES {
        let kind = kind(name);
        let classes: Vec<_> = kind
            .classes
            .iter()
            .map(|class| (class.size.as_deref(), class.minutes_each))
            .collect();
        let expected: Vec<_> = [Some("small"), Some("medium"), Some("large")]
            .into_iter()
            .zip(minutes.map(|text| text.parse().expect("minutes")))
            .collect();
        assert_eq!(classes, expected, "{name}");
        assert_eq!(kind.unit.name(), "each", "{name}");
        assert_eq!(kind.source, "common practice, no source", "{name}");
    }
    for (name, minutes, unit) in OF_ONE_CLASS {
        let kind = kind(name);
        assert_eq!(kind.classes.len(), 1, "{name}");
        assert_eq!(kind.classes[0].size, None, "{name}");
        assert_eq!(kind.classes[0].minutes_each.to_string(), *minutes, "{name}");
        assert_eq!(kind.unit.name(), *unit, "{name}");
        assert_eq!(kind.takes_material, *name == "mulch", "{name}");
    }
}

#[test]
fn kinds_go_by_other_words_too() {
    for (name, word) in [
        ("crape myrtle", "crepe"),
        ("gutter clean", "gutters"),
        ("mow", "lawn"),
        ("leaf cleanup", "leaves"),
    ] {
        assert!(kind(name).said.iter().any(|said| said == word), "{name} goes by {word}");
    }
}

const CARD: &str = "[rate_card]\nrate = \"120\"\ncrew = 1\nsource = \"a source\"\n";

fn refused(text: &str) -> Error {
    parse(text).expect_err("it is refused")
}

fn with_kind(kind: &str) -> String {
    format!("{CARD}[[kind]]\n{kind}")
}

#[test]
fn what_is_not_laid_out_as_starter_figures_is_refused() {
    assert!(matches!(refused("rate = 120"), Error::Layout(_)));
    assert!(matches!(
        refused(&with_kind("name = \"hedge\"\nminuets = \"4\"")),
        Error::Layout(_)
    ));
    // A number that is not text could be a float.
    let float = "name = \"hedge\"\nunit = \"foot\"\nminutes = 1.5\nsource = \"a source\"";
    assert!(matches!(refused(&with_kind(float)), Error::Layout(_)));
}

#[test]
fn figures_units_and_sources_are_checked() {
    let kind = |unit: &str, minutes: &str, source: &str| {
        with_kind(&format!(
            "name = \"hedge\"\nunit = \"{unit}\"\nminutes = \"{minutes}\"\nsource = \"{source}\""
        ))
    };
    assert!(parse(&kind("foot", "1.5", "a source")).is_ok());
    assert!(matches!(
        refused(&kind("furlong", "1.5", "a source")),
        Error::Unit { .. }
    ));
    assert!(matches!(
        refused(&kind("foot", "-1.5", "a source")),
        Error::Figure { .. }
    ));
    assert!(matches!(
        refused(&kind("foot", "soon", "a source")),
        Error::Figure { .. }
    ));
    assert!(matches!(refused(&kind("foot", "0", "a source")), Error::Minutes(_)));
    assert!(matches!(refused(&kind("foot", "1.5", " ")), Error::Source(_)));
    let card = |rate: &str, crew: u32, source: &str| {
        format!("kind = []\n[rate_card]\nrate = \"{rate}\"\ncrew = {crew}\nsource = \"{source}\"\n")
    };
    assert!(parse(&card("120", 1, "a source")).is_ok());
    assert!(matches!(refused(&card("0", 1, "a source")), Error::Figure { .. }));
    assert!(matches!(refused(&card("120", 0, "a source")), Error::Figure { .. }));
    assert!(matches!(refused(&card("120", 1, "")), Error::Source(_)));
}

#[test]
fn names_and_sizes_are_checked() {
    let kind = |name: &str, said: &str, sizes: &str| {
        with_kind(&format!(
            "name = \"{name}\"\nsaid = {said}\nunit = \"each\"\nsizes = {sizes}\nsource = \"a source\""
        ))
    };
    let good = r#"[{ size = "small", minutes = "4" }, { size = "large", minutes = "8" }]"#;
    assert!(parse(&kind("rose", "[]", good)).is_ok());
    assert!(matches!(refused(&kind("Rose", "[]", good)), Error::Name(_)));
    assert!(matches!(refused(&kind("", "[]", good)), Error::Name(_)));
    assert!(matches!(refused(&kind("rose", "[\"rose\"]", good)), Error::Name(_)));
    assert!(matches!(refused(&kind("rose", "[]", "[]")), Error::Classes(_)));
    let shrinking = r#"[{ size = "small", minutes = "8" }, { size = "large", minutes = "4" }]"#;
    assert!(matches!(refused(&kind("rose", "[]", shrinking)), Error::Minutes(_)));
    let twice = r#"[{ size = "small", minutes = "4" }, { size = "small", minutes = "8" }]"#;
    assert!(matches!(refused(&kind("rose", "[]", twice)), Error::Name(_)));
}
