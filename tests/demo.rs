//! The battle that ships, played by the program as it was built.

use crate::helper::{DRUMHEAD, audit, file};
use std::process::Command;

fn demo(args: &[&str]) -> String {
    let output = Command::new(DRUMHEAD).arg("demo").args(args).output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn the_demo_plays_a_whole_battle() {
    let played = demo(&[]);
    insta::assert_snapshot!(played);
    let units = played.matches("\n> muster ").count();
    assert!(units >= 6, "{units} units");
    for part in ["--charge", "--flank", "> shoot", ": routs", "> rally", "> rescale", "> again"] {
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
