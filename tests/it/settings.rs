//! The settings in the README are the settings of the program, row for row.

use tallyhand::runtime::SETTINGS;

#[test]
fn the_readme_lists_every_setting_and_no_other() {
    let readme = include_str!("../../README.md");
    let rows: Vec<&str> = readme
        .lines()
        .skip_while(|line| !line.starts_with("| Setting |"))
        .skip(2)
        .take_while(|line| line.starts_with('|'))
        .collect();
    let wanted: Vec<String> = SETTINGS
        .iter()
        .map(|setting| {
            let flag = setting.flag.map_or(String::new(), |flag| format!("`{flag}`"));
            format!(
                "| `{}` | `{}` | {flag} | {} | {} |",
                setting.name,
                setting.variable(),
                setting.default,
                setting.what
            )
            .replace("|  |", "| |")
        })
        .collect();
    assert_eq!(
        rows,
        wanted,
        "the table in README.md should read:\n{}",
        wanted.join("\n")
    );
}
