//! What the program is built from may be given on: every crate has a licence that `.ci/deny.toml` allows.
//!
//! Advisories and duplicates are for `cargo deny` with the same file; this part of it needs nothing installed.

use std::{path::Path, process::Command};

use serde_json::Value;

fn allowed() -> Vec<String> {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join(".ci/deny.toml");
    let table: toml::Table = std::fs::read_to_string(file).expect("the file").parse().expect("TOML");
    let list = table["licenses"]["allow"].as_array().expect("a list");
    list.iter()
        .map(|name| name.as_str().expect("text").to_string())
        .collect()
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
    let output = Command::new(env!("CARGO"))
        .args(["metadata", "--format-version", "1", "--locked", "--offline"])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("cargo runs");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let metadata: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    let allowed = allowed();
    let packages = metadata["packages"].as_array().expect("a list");
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
