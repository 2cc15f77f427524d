//! The battle that ships, played by the program as it was built.

use crate::helper::{DRUMHEAD, audit, file};
use std::process::Command;

fn demo(args: &[&str]) -> String {
    let output = Command::new(DRUMHEAD).arg("demo").args(args).output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

/// What the demonstration must show, whatever its dice.
const SHOWN: [&str; 8] =
    ["--charge", "--flank", "> shoot", ": routs", "rallies, ", "> rally", "> rescale", "> again"];

/// `FIND_TAKE=1` looks for a take that shows it all, after the rules, the script or the protocol
/// have changed; its number goes into `TAKE` in src/referee/mod.rs.
#[test]
fn the_demo_plays_a_whole_battle() {
    if std::env::var_os("FIND_TAKE").is_some() {
        let shows = |take: &u32| {
            let args = ["demo", "--take", &take.to_string()];
            let output = Command::new(DRUMHEAD).args(args).output().unwrap();
            let played = String::from_utf8_lossy(&output.stdout).into_owned();
            output.status.success() && SHOWN.iter().all(|part| played.contains(part))
        };
        panic!("the first take that shows it all: {:?}", (1..500).find(shows));
    }
    let played = demo(&[]);
    insta::assert_snapshot!(played);
    let units = played.matches("\n> muster ").count();
    assert!(units >= 6, "{units} units");
    for part in SHOWN {
        assert!(played.contains(part), "the demo shows no {part}");
    }
}

#[test]
fn a_demo_that_is_kept_holds_and_can_be_played_again() {
    let (_guard, file) = file("demo.db");
    let file = file.to_str().unwrap();
    let first = demo(&["--record", file]);
    let second = demo(&["--record", file]);
    assert_eq!(second.matches("Asked before; this was the answer.").count(), 20);
    let rulings = |played: &str| {
        let lines = played.lines().filter(|line| line.contains("thrown ") || line.contains("link"));
        lines.map(str::to_owned).collect::<Vec<_>>()
    };
    assert_eq!(rulings(&first), rulings(&second));
    let export = Command::new(DRUMHEAD).args(["export", "--record", file]).output().unwrap();
    assert_eq!(audit(&String::from_utf8(export.stdout).unwrap()).unwrap().rolls, 7);
}
