//! An account moved to another book: the same bytes again.

use tempfile::TempDir;

use crate::support::tallyhand;

#[test]
fn a_whole_account_comes_back_byte_for_byte() {
    let home = TempDir::new().expect("a folder");
    let run = |arguments: &[&str], input: &[u8]| {
        let output = tallyhand(home.path(), arguments, input);
        assert_eq!(output.code, Some(0), "{arguments:?}: {}", output.stderr);
        output.stdout
    };
    let path = |name: &str| home.path().join(name).display().to_string();
    let (first, second, file) = (path("a.sqlite"), path("b.sqlite"), path("whole.json"));
    let talk = b"rate 120\ncrape myrtle small 6 min\n12 small crapes at Alder Ct\nwon tuesday 8am\ndone 85 min\nundo\n\
                 done 80 min with 2 guys\npaid 100 check\nnote gate code 4411\n";
    run(&["chat", "--db", &first], talk);
    run(&["member", "Ana", "--db", &first], b"");
    run(&["say", "--as", "Ana", "here at Alder", "--db", &first], b"");
    let whole = run(&["export", "--whole", "--db", &first], b"");
    std::fs::write(&file, &whole).expect("a file");
    run(&["import", &file, "--db", &second], b"");
    assert_eq!(run(&["export", "--whole", "--db", &second], b""), whole);
    let json = run(&["export", "--json", "--db", &first], b"");
    assert_eq!(run(&["export", "--json", "--db", &second], b""), json);
    assert_eq!(run(&["check", "--db", &second], b""), "");
    // Talk goes on where it was, and a book with words in it takes no other.
    run(&["say", "owed", "--db", &second], b"");
    let again = tallyhand(home.path(), &["import", &file, "--db", &second], b"");
    assert_ne!(again.code, Some(0));
    assert!(
        again.stderr.contains("something was said in this book already"),
        "{}",
        again.stderr
    );
    std::fs::write(&file, "{}").expect("a file");
    let nonsense = tallyhand(home.path(), &["import", &file, "--db", &path("c.sqlite")], b"");
    assert!(
        nonsense.stderr.contains("not an account written by"),
        "{}",
        nonsense.stderr
    );
}

#[test]
fn files_are_written_from_the_command_line() {
    let home = TempDir::new().expect("a folder");
    let csv = home.path().join("jobs.csv").display().to_string();
    let xlsx = home.path().join("jobs.xlsx").display().to_string();
    tallyhand(
        home.path(),
        &["chat"],
        b"rate 120\nmow 30 min\nmow at Alder Ct\ndone 40 min\n",
    );
    let output = tallyhand(home.path(), &["export", "--csv", &csv, "--xlsx", &xlsx], b"");
    assert_eq!(output.code, Some(0), "{}", output.stderr);
    let text = std::fs::read_to_string(&csv).expect("a file");
    assert!(text.contains(",mow,"), "{text}");
    assert!(
        std::fs::read(&xlsx).expect("a file").starts_with(b"PK"),
        "a workbook is a zip"
    );
    let odd = tallyhand(home.path(), &["export", "--csv", &csv, "--period", "blue"], b"");
    assert!(
        odd.stderr.contains("--period is not a time that I know"),
        "{}",
        odd.stderr
    );
}

/// Two seasons of an invented business, moved: the same bytes, and every file of it too.
#[test]
fn the_demo_account_comes_back_byte_for_byte() {
    let home = TempDir::new().expect("a folder");
    let run = |arguments: &[&str]| {
        let output = tallyhand(home.path(), arguments, b"");
        assert_eq!(output.code, Some(0), "{arguments:?}: {}", output.stderr);
        output.stdout
    };
    let path = |name: &str| home.path().join(name).display().to_string();
    run(&["chat", "--demo"]);
    let (first, second, file) = (path("data/tallyhand/demo.sqlite"), path("b.sqlite"), path("whole.json"));
    let whole = run(&["export", "--whole", "--db", &first]);
    std::fs::write(&file, &whole).expect("a file");
    run(&["import", &file, "--db", &second]);
    assert!(
        run(&["export", "--whole", "--db", &second]) == whole,
        "the account as it was"
    );
    let made = |db: &str, name: &str| {
        let (json, csv, xlsx) = (
            run(&["export", "--json", "--db", db]),
            path(&format!("{name}.csv")),
            path(&format!("{name}.xlsx")),
        );
        let mut files = vec![json.into_bytes()];
        for of in ["jobs", "payments", "prices"] {
            run(&[
                "export", "--csv", &csv, "--xlsx", &xlsx, "--of", of, "--period", "2025", "--db", db,
            ]);
            files.push(std::fs::read(&csv).expect("a file"));
            files.push(std::fs::read(&xlsx).expect("a file"));
        }
        files
    };
    assert!(made(&first, "one") == made(&second, "two"), "the files of both");
    assert_eq!(run(&["check", "--db", &second]), "");
}
