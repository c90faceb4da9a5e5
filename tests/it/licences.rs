//! What the program is built from may be given on: every crate has a licence that `.ci/deny.toml` allows.
//!
//! And every crate that is there in two versions is one that the same file lists. Advisories are for `cargo deny`, with that
//! file too; this part of it needs nothing installed.

use std::{collections::BTreeMap, path::Path, process::Command};

use serde_json::Value;

fn listed(table: &str, list: &str) -> Vec<String> {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join(".ci/deny.toml");
    let settings: toml::Table = std::fs::read_to_string(file).expect("the file").parse().expect("TOML");
    let list = settings[table][list].as_array().expect("a list");
    list.iter()
        .map(|name| name.as_str().expect("text").to_string())
        .collect()
}

/// All crates that a build for any system with any feature could draw in.
fn packages() -> Vec<Value> {
    let output = Command::new(env!("CARGO"))
        .args(["metadata", "--format-version", "1", "--locked", "--offline"])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("cargo runs");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let metadata: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    metadata["packages"].as_array().expect("a list").clone()
}

/// Whether a licence expression can be met with what is allowed. Crate spdx reads the expression.
fn can_be_met(expression: &str, allowed: &[String]) -> bool {
    let Ok(parsed) = spdx::Expression::parse_mode(expression, spdx::ParseMode::LAX) else {
        return false;
    };
    // A licence "or later" may be taken as it is.
    parsed.evaluate(|wanted| {
        allowed
            .iter()
            .any(|name| name == wanted.to_string().trim_end_matches('+'))
    })
}

#[test]
fn every_crate_may_be_given_on() {
    let (packages, allowed) = (packages(), listed("licenses", "allow"));
    let refused: Vec<String> = packages
        .iter()
        .filter(|package| !can_be_met(package["license"].as_str().unwrap_or_default(), &allowed))
        .map(|package| format!("{} {}: {}", package["name"], package["version"], package["license"]))
        .collect();
    assert!(packages.len() > 100, "these are all of them");
    assert!(refused.is_empty(), "{refused:#?}");
    assert!(!can_be_met("GPL-3.0-only", &allowed) && !can_be_met("", &allowed));
    assert!(can_be_met("GPL-2.0-only OR (MIT AND Zlib)", &allowed));
}

#[test]
fn crates_in_two_versions_were_looked_at() {
    let mut versions: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for package in packages() {
        let text = |field: &str| package[field].as_str().expect("text").to_string();
        versions.entry(text("name")).or_default().push(text("version"));
    }
    versions.retain(|_, versions| versions.len() > 1);
    let known = listed("bans", "skip");
    let new: Vec<_> = versions.iter().filter(|(name, _)| !known.contains(name)).collect();
    assert!(
        new.is_empty(),
        "in two versions and not in .ci/deny.toml (can one be had without the other?): {new:?}"
    );
    let gone: Vec<_> = known.iter().filter(|name| !versions.contains_key(*name)).collect();
    assert!(gone.is_empty(), "in .ci/deny.toml and in one version only: {gone:?}");
}
