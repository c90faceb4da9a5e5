//! The rules that pick: published calendars as cases, refused rows, and the whole matrix as a page to read through.

use tallyhand::guide::{self, Error, Files, MonthDay, Place, Verdict, Zone, guide, parse};

fn place(state: &str, zone: &str) -> Place {
    Place {
        state: (!state.is_empty()).then(|| state.to_string()),
        zone: Zone::read(zone),
        last_frost: None,
    }
}

#[track_caller]
fn check(plant: &str, state: &str, (month, day): (u8, u8), expected: Verdict) {
    let known = guide().plant(plant).expect("a plant of the guide");
    let day = MonthDay::new(month, day).expect("a day");
    let found = guide().season(known, day, &place(state, ""));
    assert_eq!(found.verdict, expected, "{plant}, {state}, {day}");
}

/// Virginia Cooperative Extension 430-460, 430-461 and 430-462, read 2026-11-25.
#[test]
fn the_virginia_calendars_are_kept() {
    for (plant, day, verdict) in [
        ("crape myrtle", (2, 15), Verdict::Best),
        ("crape myrtle", (5, 15), Verdict::Avoid),
        ("crape myrtle", (8, 15), Verdict::Fine),
        ("crape myrtle", (11, 15), Verdict::Avoid),
        ("azalea", (2, 15), Verdict::Avoid),
        ("azalea", (6, 15), Verdict::Best),
        ("butterfly bush", (3, 15), Verdict::Best),
        ("boxwood", (9, 15), Verdict::Avoid),
        ("maple", (3, 15), Verdict::Avoid),
        ("maple", (10, 15), Verdict::Fine),
        ("birch", (9, 15), Verdict::Fine),
        ("live oak", (2, 15), Verdict::Best),
        ("holly", (5, 15), Verdict::Avoid),
        ("southern magnolia", (11, 15), Verdict::Best),
    ] {
        check(plant, "VA", day, verdict);
    }
}

/// A Virginia columnist (Danville, 3 May 2022) stops cutting azaleas at the end of June; the state's calendar has July
/// among the best months.
#[test]
fn sources_that_differ_are_not_settled() {
    check("azalea", "VA", (7, 15), Verdict::Differ);
}

/// Texas A&M Forest Service (by Houston television, 2019), Wisconsin DNR (2017), Michigan DNR (15 April to 15 July),
/// Michigan State University Extension (April to June), Alberta (1 October to 31 March), all read 2026-11-25.
#[test]
fn closed_seasons_go_by_the_state() {
    check("live oak", "TX", (2, 15), Verdict::Closed);
    check("oak", "TX", (12, 15), Verdict::Best);
    check("oak", "WI", (6, 15), Verdict::Closed);
    check("elm", "AB", (9, 30), Verdict::Closed);
    check("elm", "AB", (10, 1), Verdict::Best);
    let known = guide().plant("oak").expect("oak");
    let by_dnr = |month, day| {
        let day = MonthDay::new(month, day).expect("a day");
        let season = guide().season(known, day, &place("MI", ""));
        season.closed.iter().any(|row| row.source.key == "MIDNR")
    };
    assert!(!by_dnr(4, 14) && by_dnr(4, 15) && by_dnr(7, 15) && !by_dnr(7, 16));
    // Where the state is not known, February is best in Virginia and closed in Texas: that is not settled.
    check("live oak", "", (2, 15), Verdict::Differ);
}

/// Iowa State University Extension: hand pruners up to 3/4 in, loppers 3/4 to 1 1/2, a saw above; Tennessee (PB1619)
/// stops hand pruners below 1/2 in. Read 2026-11-25.
#[test]
fn the_tool_goes_by_diameter() {
    for (inches, tool, others) in [
        ("0.25", "hand pruner", 0),
        ("0.5", "hand pruner", 0),
        ("0.75", "hand pruner", 1),
        ("0.8", "loppers", 0),
        ("1.5", "loppers", 0),
        ("1.6", "pruning saw", 1),
        ("3", "pruning saw", 0),
    ] {
        let (found, differing) = guide().tool(inches.parse().expect("inches")).expect("a tool");
        assert_eq!(found.name, tool, "{inches} in");
        assert_eq!(differing.len(), others, "{inches} in");
    }
    assert!(guide().tool(0.into()).is_none());
}

#[test]
fn the_guide_is_broad_enough() {
    assert!(guide().plants.len() >= 35, "{} plants", guide().plants.len());
    for plant in &guide().plants {
        let care = plant.facts(guide::FactKind::Care).count();
        assert_eq!(care, 1, "{} has {care} cautions", plant.name);
        let how = plant.facts(guide::FactKind::How).count();
        let general = guide().practice(&format!("how:{}", plant.form)).count();
        assert!(how + general > 0, "{} has no way to be cut", plant.name);
        assert!(guide().windows_of(plant).count() > 0, "{} has no time", plant.name);
    }
}

#[test]
fn a_row_that_does_not_say_where_it_comes_from_is_refused() {
    let good = Files::built_in();
    let head = "plant\twhat\ttext\tsource\tread_on\n";
    let refused = |row: &str| {
        let facts = format!("{head}{row}\n");
        parse(&Files { facts: &facts, ..good }).expect_err("it is refused")
    };
    let row = |name: &str| name.to_string();
    assert_eq!(
        refused("azalea\tcare\tMind it\t\t2026-11-25"),
        Error::NoSource {
            file: "facts.tsv",
            row: row("azalea")
        }
    );
    assert_eq!(
        refused("azalea\tcare\tMind it\tNOBODY\t2026-11-25"),
        Error::UnknownSource {
            file: "facts.tsv",
            row: row("azalea"),
            key: "NOBODY".to_string()
        }
    );
    assert_eq!(
        refused("azalea\tcare\tMind it\tVT462\tlast year"),
        Error::NotRead {
            file: "facts.tsv",
            row: row("azalea"),
            found: "last year".to_string()
        }
    );
    assert!(matches!(
        refused("photinia\tcare\tMind it\tVT462\t2026-11-25"),
        Error::Cell { column: "plant", .. }
    ));
    assert!(matches!(
        parse(&Files {
            windows: "plant\tcode\n azalea\tbest\n",
            ..good
        }),
        Err(Error::Column { column: "dates", .. })
    ));
    let nameless = "key\tsource\taddress\tseen\tread_on\nX\t\t\tcopy\t2026-11-25\n";
    assert!(matches!(
        parse(&Files {
            sources: nameless,
            ..good
        }),
        Err(Error::NoSource {
            file: "sources.tsv",
            ..
        })
    ));
}

/// Letters of the matrix. Small ones come from a calendar of another zone or state.
fn letter(verdict: Verdict, near: guide::season::Near) -> char {
    let letter = match verdict {
        Verdict::Best => 'B',
        Verdict::Fine => 'F',
        Verdict::Avoid => 'A',
        Verdict::Outside => 'O',
        Verdict::Closed => 'X',
        Verdict::Differ => 'D',
        Verdict::Unsaid => return '.',
    };
    match near {
        guide::season::Near::Elsewhere => letter.to_ascii_lowercase(),
        _ => letter,
    }
}

fn matrix() -> String {
    let mut page = String::from(
        "What the guide says of the 15th of each month, by plant and USDA zone, no state known.\n\
         B best, F not critical, A avoid, O outside the best time, D sources or states differ, . nothing said.\n\
         A line holds for the zones up to the next line. Small letters: by a calendar that does not cover the zone (it is said so). Then the times that are no dates.\n\n",
    );
    for plant in &guide().plants {
        let mut relative: Vec<&str> = guide()
            .windows_of(plant)
            .filter_map(|row| row.relative.as_deref())
            .collect();
        relative.dedup();
        page.push_str(&format!("{} [{}]\n", plant.name, relative.join("; ")));
        let mut last = String::new();
        for zone in 3..=10 {
            let months: String = (1..=12)
                .map(|month| {
                    let day = MonthDay::middle_of(month).expect("a month");
                    let season = guide().season(plant, day, &place("", &zone.to_string()));
                    letter(season.verdict, season.near)
                })
                .collect();
            if months != last {
                page.push_str(&format!("  zone {zone:>2} {months}\n"));
            }
            last = months;
        }
    }
    page
}

/// The matrix as it was last read through; `UPDATE_EXPECT=1` writes it anew.
#[test]
fn the_matrix_is_the_one_that_was_read_through() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/fixtures/guide/matrix.txt");
    let page = matrix();
    if std::env::var_os("UPDATE_EXPECT").is_some() {
        std::fs::write(path, &page).expect("the fixture can be written");
    }
    let kept = std::fs::read_to_string(path).expect("the fixture is there");
    assert_eq!(page, kept, "the matrix changed: read it through, then UPDATE_EXPECT=1");
}
