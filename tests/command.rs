//! The program from outside: arguments, scripts, exit status.

use crate::helper::{DRUMHEAD, file, store};
use std::io::Write as _;
use std::process::{Command, Output, Stdio};

fn run(args: &[&str], input: &str, environment: &[(&str, &str)]) -> Output {
    let mut child = Command::new(DRUMHEAD)
        .args(args)
        .envs(environment.iter().copied())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // A program that stops at a mistake may close its input before all is written.
    let _ = child.stdin.take().unwrap().write_all(input.as_bytes());
    child.wait_with_output().unwrap()
}

fn text(bytes: &[u8]) -> &str {
    std::str::from_utf8(bytes).unwrap()
}

const OPENING: &str = "open X --scale 20\n\
    muster A --side Vale --class levy --men 100\n\
    muster B --side Grey --class levy --men 100\n";

#[test]
fn a_script_stops_at_the_first_mistake_and_names_its_line() {
    let (_guard, file) = file("record.db");
    let record = file.to_str().unwrap();
    let script = format!("# a remark\n\n{OPENING}melee A C\nturn\n");
    let output = run(&["table", "--record", record], &script, &[]);
    assert_eq!(output.status.code(), Some(1));
    assert_eq!(
        text(&output.stderr),
        "line 6: No unit is called “C” in this battle. See the list: show\n"
    );
    assert!(text(&output.stdout).contains("> melee A C"));
    assert!(!text(&output.stdout).contains("> turn"), "nothing after the mistake is asked");
}

#[test]
fn a_script_comes_from_a_file_too_and_without_a_command() {
    let (guard, file) = file("record.db");
    let script = guard.path().join("evening.txt");
    std::fs::write(&script, format!("{OPENING}melee A B\n")).unwrap();
    let args = ["--record", file.to_str().unwrap(), "--script", script.to_str().unwrap()];
    let output = run(&args, "", &[]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    assert!(text(&output.stdout).contains("Melee of Vale against Grey: turn 1, round 1"));
    assert!(text(&output.stdout).contains("· check: proof 1"));
}

#[test]
fn an_id_makes_a_line_safe_to_send_again() {
    let (_guard, file) = file("record.db");
    let args = ["table", "--record", file.to_str().unwrap()];
    run(&args, OPENING, &[]);
    let first = run(&args, "@m-1 melee A B\n", &[]);
    let second = run(&args, "@m-1 melee A B\n", &[]);
    let answer = text(&first.stdout).trim_start_matches("> @m-1 melee A B\n");
    assert_eq!(
        text(&second.stdout),
        format!("> @m-1 melee A B\nAsked before; this was the answer.\n{answer}")
    );
}

#[test]
fn a_rules_file_of_ones_own_is_read_or_refused_with_its_place() {
    let (guard, file) = file("record.db");
    let rules = guard.path().join("own.toml");
    let shipped = drumhead::rules::OPEN_FIELD;
    std::fs::write(&rules, shipped.replace("\"open-field\"", "\"own\"")).unwrap();
    let args = ["--record", file.to_str().unwrap(), "--rules-file", rules.to_str().unwrap()];
    let output = run(&args, "open X --scale 20 --rules own\n", &[]);
    assert!(text(&output.stdout).contains("X is open at 1:20, under the rules own."));
    std::fs::write(&rules, shipped.replace("presence = 4", "presence = 0")).unwrap();
    let output = run(&args, "", &[]);
    assert_eq!(output.status.code(), Some(1));
    assert_eq!(
        text(&output.stderr),
        format!(
            "{}, line 85, class.8.presence: 0 is out of range; use a whole number from 1 to 100.\n",
            rules.display()
        )
    );
}

#[test]
fn a_new_class_needs_no_more_than_a_rules_file() {
    let (guard, file) = file("record.db");
    let rules = guard.path().join("own.toml");
    let class = "[[class]]\nname = \"wagon folk\"\nweight = 3\npresence = 2\nmounted = false\n\
                 protection = 4\n\n[[rung]]\nrung = -3";
    let shipped = drumhead::rules::OPEN_FIELD.replacen("[[rung]]\nrung = -3", class, 1);
    std::fs::write(&rules, shipped).unwrap();
    let args = ["--record", file.to_str().unwrap(), "--rules-file", rules.to_str().unwrap()];
    let script = "open X --scale 20\nmuster W --side Vale --class \"wagon folk\" --men 60\n\
                  muster B --side Grey --class levy --men 100\nmelee W B\n";
    let output = run(&args, script, &[]);
    assert!(
        text(&output.stdout).contains("wagon folk against levy: rung +3"),
        "{}",
        text(&output.stdout)
    );
}

#[test]
fn the_secret_shows_nowhere() {
    let (_guard, file) = file("record.db");
    let record = file.to_str().unwrap();
    let script = format!("{OPENING}melee A B\nproof 1\nlog --all\nshow\nbattles\nundo x\nclose\n");
    let output = run(&["table", "--record", record], &script, &[("RUST_LOG", "trace")]);
    assert!(output.status.success());
    let export = run(&["export", "--record", record], "", &[("RUST_LOG", "trace")]);
    let receipts = run(&["receipts", "--record", record], "", &[("RUST_LOG", "trace")]);
    let runtime = tokio::runtime::Runtime::new().unwrap();
    let secrets = runtime.block_on(store::secrets(&file));
    assert_eq!(secrets.len(), 2, "a chain, and the one after it");
    let mut shown = Vec::new();
    for output in [&output, &export, &receipts] {
        shown.extend_from_slice(&output.stdout);
        shown.extend_from_slice(&output.stderr);
    }
    assert!(shown.len() > 10_000, "the trace was on");
    let text = String::from_utf8_lossy(&shown).to_lowercase();
    for secret in secrets {
        assert!(!shown.windows(32).any(|window| window == secret), "as bytes");
        let hex = hex::encode(&secret);
        assert!(!text.contains(&hex[..16]), "as hexadecimal");
        let list = format!("{}, {}, {}, {}", secret[0], secret[1], secret[2], secret[3]);
        assert!(!text.contains(&list), "as a list");
    }
}

#[test]
fn help_names_every_request_and_shows_examples() {
    let (_guard, file) = file("record.db");
    let record = file.to_str().unwrap();
    let output = run(&["--record", record], "help\nhelp melee\nhelp undo\n", &[]);
    insta::assert_snapshot!(text(&output.stdout));
    let output = run(&["--record", record], "help dance\n", &[]);
    assert_eq!(
        text(&output.stderr),
        "line 1: “dance” is not a request. See what you can ask: help\n"
    );
}

#[test]
fn reading_a_record_that_is_not_there_begins_none() {
    let (_guard, file) = file("none.db");
    let record = file.to_str().unwrap();
    let output = run(&["export", "--record", record], "", &[]);
    assert_eq!(output.status.code(), Some(1));
    assert_eq!(
        text(&output.stderr),
        format!("There is no such file or folder: {record}. Check its name.\n")
    );
    assert!(!file.exists());
}

#[test]
fn odds_end_with_bars_and_can_be_drawn_to_a_file() {
    let (guard, file) = file("record.db");
    let record = file.to_str().unwrap();
    let picture = guard.path().join("odds.svg");
    let script = format!("{OPENING}odds A B --svg {}\n", picture.display());
    let output = run(&["table", "--record", record], &script, &[]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let said = text(&output.stdout);
    assert!(
        said.contains("\nLosses in a fight to the finish\nA, figures lost\n  0  ###"),
        "{said}"
    );
    assert!(said.trim_end().ends_with("odds.svg."), "{said}");
    let svg = std::fs::read_to_string(&picture).unwrap();
    let svg = roxmltree::Document::parse(&svg).unwrap();
    assert_eq!(svg.root_element().attribute("width"), Some("720"));
    let name = picture.display();
    let again = format!("odds A B --svg {name}");
    let output = run(&["table", "--record", record], &again, &[]);
    let taken = "is there already. Choose another name, or write over it: --force";
    assert_eq!(text(&output.stderr), format!("line 1: {name} {taken}\n"));
    let output = run(&["table", "--record", record], &format!("{again} --force"), &[]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    std::fs::remove_file(&picture).unwrap();
    std::os::unix::fs::symlink(&file, &picture).unwrap();
    let output = run(&["table", "--record", record], &format!("{again} --force"), &[]);
    let link = format!("line 1: {name} is a link or a folder. Name the file itself.\n");
    assert_eq!(text(&output.stderr), link);
    for (line, mistake) in [
        (
            "odds A B --force",
            "line 1: Something is missing: --svg FILE. See an example: help odds\n",
        ),
        (
            "match A --class levy --svg record.db",
            "line 1: “record.db” does not fit --svg <FILE>: a picture's file ends in .svg.\n",
        ),
        (
            "scale --svg a.svg --json",
            "line 1: --svg <FILE> and --json exclude each other. Use one of them.\n",
        ),
        (
            "scale --svg /no/such/folder/a.svg",
            "line 1: There is no such file or folder: /no/such/folder/a.svg. Check its name.\n",
        ),
    ] {
        let output = run(&["table", "--record", record], line, &[]);
        assert_eq!(text(&output.stderr), mistake);
    }
}

/// What would not fit into memory is refused at once, with what does it instead.
#[tokio::test]
async fn a_battle_too_long_for_a_report_is_refused() {
    let (_guard, file) = file("record.db");
    let record = file.to_str().unwrap();
    run(&["table", "--record", record], OPENING, &[]);
    assert_eq!(store::tamper(&file, "UPDATE battles SET seq = 10001").await, 1);
    for format in ["markdown", "html"] {
        let output = run(&["report", "--format", format, "--record", record], "", &[]);
        assert_eq!(
            text(&output.stderr),
            "This battle has 10001 events, and a report tells 10000 at most. The command “drumhead \
             export” writes all of it to a file.\n"
        );
        assert_eq!((text(&output.stdout), output.status.code()), ("", Some(1)));
    }
}
