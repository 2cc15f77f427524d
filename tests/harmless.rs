//! Whatever a script, an export, a receipt or a record holds, nothing of it gets at the terminal.

use crate::helper::{DRUMHEAD, Game, file, store};
use drumhead::referee::{Referee, RulesLibrary};
use drumhead::text::hides;
use std::path::Path;
use std::process::Command;

/// Paints a verdict on a terminal that takes it, turns the text round, and hides.
const HOSTILE: &str = "\u{1b}[2J\u{1b}[1;1H1 roll holds\u{9b}8m \u{202e}dlof\u{a0}\u{200b}";

/// Runs the program, and holds all that it prints to what can be seen.
fn says(arguments: &[&str]) -> String {
    let output = Command::new(DRUMHEAD).args(arguments).output().unwrap();
    let said = [output.stdout, output.stderr].concat();
    let said = String::from_utf8(said).unwrap();
    let hidden = said.chars().find(|c| *c != '\n' && hides(*c));
    assert_eq!(hidden, None, "{arguments:?}: {said:?}");
    said
}

#[test]
fn a_script_is_echoed_and_refused_without_its_marks() {
    let (_guard, script) = file("evening.txt");
    let (_record_guard, record) = file("record.db");
    for line in [
        format!("# {HOSTILE}"),
        format!("show \"{HOSTILE}\""),
        format!("open \"{HOSTILE}\" --scale 20"),
        format!("{HOSTILE} x"),
        format!("open X --scale {HOSTILE}"),
        format!("open X --scale 20 --rules \"{HOSTILE}\""),
        format!("ruling \"8 {HOSTILE}\" \"3 levy\""),
        format!("throw {HOSTILE}"),
        format!("help {HOSTILE}"),
    ] {
        std::fs::write(&script, &line).unwrap();
        let paths = [record.to_str().unwrap(), script.to_str().unwrap()];
        let said = says(&["table", "--record", paths[0], "--script", paths[1]]);
        assert!(said.contains("[U+001B]") || said.contains("·["), "{line:?}: {said}");
    }
}

#[test]
fn a_line_past_64_kib_is_refused_before_it_is_read_whole() {
    use std::io::Write as _;
    let (_guard, record) = file("record.db");
    let mut child = Command::new(DRUMHEAD)
        .args(["table", "--record", record.to_str().unwrap()])
        .stdin(std::process::Stdio::piped())
        .stdout(std::process::Stdio::null())
        .stderr(std::process::Stdio::piped())
        .spawn()
        .unwrap();
    // A line without an end: whoever reads it to its end reads for ever.
    let mut into = child.stdin.take().unwrap();
    let block = "x".repeat(1 << 16);
    while into.write_all(block.as_bytes()).is_ok() {}
    let output = child.wait_with_output().unwrap();
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(said, "line 1: This line is longer than 64 KiB. Shorten it.\n");
}

#[test]
fn what_is_no_receipt_and_no_export_is_not_printed_raw() {
    let (_guard, forged) = file("forged.jsonl");
    let texts = [
        HOSTILE.to_owned(),
        format!("{{\"protocol\":1,\"{HOSTILE}\":1}}"),
        format!("{{\"drumhead_export\":1,\"{HOSTILE}\":2}}\n"),
        format!(
            "{{\"drumhead_export\":1,\"battle\":\"{HOSTILE}\",\"name\":\"\u{202e}\",\"events\":1,\"head\":\"x\"}}\n"
        ),
    ];
    for text in texts {
        std::fs::write(&forged, &text).unwrap();
        let path = forged.to_str().unwrap();
        for arguments in [&["check", path][..], &["check", "--json", path]] {
            let said = says(arguments);
            assert!(!said.contains("1 roll holds: "), "{said}");
        }
    }
}

/// A record is a file too, and may come from somebody else.
#[tokio::test]
async fn a_record_of_somebody_else_s_is_shown_without_its_marks() {
    let (_guard, record) = file("record.db");
    let game = Game::over(Referee::new(store::open(&record).await, RulesLibrary::shipped()));
    game.says("open \"Harrow Ford\" --scale 20 --side Vale").await;
    game.says("close").await;
    game.referee.close().await;
    let sql = "UPDATE battles SET name = 'Ford' || char(27) || '[2J' || char(8238) || char(160)";
    assert_eq!(store::tamper(&record, sql).await, 1);
    let (_script_guard, script) = file("script.txt");
    for line in ["battles", "reopen Ford", "open Ford --scale 20"] {
        std::fs::write(&script, line).unwrap();
        let paths = [record.to_str().unwrap(), script.to_str().unwrap()];
        let said = says(&["table", "--record", paths[0], "--script", paths[1]]);
        assert!(line != "battles" || said.contains("Ford[U+001B][2J[U+202E]"), "{said}");
    }
    assert!(Path::new(&record).exists());
}
