//! Whatever bytes come in, a reader answers or refuses: it never panics, and never takes a changed
//! file for the one it was. Seeds are real files; proptest changes them a little or a lot.

use crate::helper::audit;
use drumhead::battle::{Field, muster};
use drumhead::combat::Melee;
use drumhead::fair::check::Checker;
use drumhead::protocol::{ContactAsk, Muster, Protocol, Scale};
use drumhead::rules::{CELL_BY_CELL, OPEN_FIELD, Rules};
use proptest::prelude::*;

const EXPORT: &str = include_str!("protocol/1/export.jsonl");
const RECEIPTS: &str = include_str!("protocol/1/receipts.jsonl");

/// One change of a text.
#[derive(Debug, Clone)]
pub enum Change {
    /// The byte at a place becomes another one.
    Byte(prop::sample::Index, u8),
    /// Something is put in at a place.
    Insert(prop::sample::Index, String),
    /// Some bytes are cut out.
    Cut(prop::sample::Index, usize),
    /// A line stands twice.
    Double(prop::sample::Index),
    /// A number becomes another one.
    Number(prop::sample::Index, i64),
}

pub fn change() -> impl Strategy<Value = Change> {
    let at = any::<prop::sample::Index>;
    prop_oneof![
        (at(), any::<u8>()).prop_map(|(at, byte)| Change::Byte(at, byte)),
        (at(), "\\PC{0,6}|[\\[\\]{}\",:=\\\\\n-]{1,3}")
            .prop_map(|(at, text)| Change::Insert(at, text)),
        (at(), 1..200_usize).prop_map(|(at, length)| Change::Cut(at, length)),
        at().prop_map(Change::Double),
        (at(), prop_oneof![any::<i64>(), -3..12_i64]).prop_map(|(at, n)| Change::Number(at, n)),
    ]
}

pub fn changed(text: &str, changes: &[Change]) -> String {
    let mut bytes = text.as_bytes().to_vec();
    for change in changes {
        if bytes.is_empty() {
            break;
        }
        match change {
            Change::Byte(at, byte) => {
                let at = at.index(bytes.len());
                bytes[at] = *byte;
            }
            Change::Insert(at, text) => {
                let at = at.index(bytes.len());
                bytes.splice(at..at, text.bytes());
            }
            Change::Cut(at, length) => {
                let at = at.index(bytes.len());
                bytes.drain(at..(at + length).min(bytes.len()));
            }
            Change::Double(at) => {
                let lines: Vec<&[u8]> = bytes.split_inclusive(|byte| *byte == b'\n').collect();
                let at = at.index(lines.len());
                bytes = [&lines[..=at], &lines[at..]].concat().concat();
            }
            Change::Number(at, number) => {
                let from = at.index(bytes.len());
                let Some(start) = bytes[from..].iter().position(u8::is_ascii_digit) else {
                    continue;
                };
                let start = from + start;
                let digits = bytes[start..].iter().take_while(|byte| byte.is_ascii_digit()).count();
                bytes.splice(start..start + digits, number.to_string().bytes());
            }
        }
    }
    String::from_utf8_lossy(&bytes).into_owned()
}

/// Two units of a rules file's own classes meet: whatever the file says, a melee is joined or
/// refused.
fn meet(rules: &Rules) {
    let mut field = Field::new(Protocol::LATEST, Scale::new(20).unwrap());
    let classes = [&rules.classes[0], &rules.classes[rules.classes.len() - 1]];
    for (n, class) in classes.into_iter().enumerate() {
        let (unit, side) = [("Ford Wardens", "Vale"), ("Banner Spears", "Grey Banner")][n];
        let ask = Muster { spears: n == 0, ..Muster::new(unit, side, &class.name, 60) };
        let Ok(unit) = muster::muster(rules, &field, &ask) else { return };
        field.enter(unit);
    }
    let contact = [ContactAsk::new("Ford Wardens", "Banner Spears")];
    let joined = Melee::join(rules, &field, &contact, 1);
    assert!(joined.is_ok() || joined.is_err_and(|mistake| !mistake.to_string().is_empty()));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    #[test]
    fn any_rules_file_is_loaded_or_refused(
        cells in any::<bool>(),
        changes in prop::collection::vec(change(), 1..6),
    ) {
        let text = changed(if cells { CELL_BY_CELL } else { OPEN_FIELD }, &changes);
        match Rules::load("changed.toml", &text) {
            Ok(rules) => meet(&rules),
            Err(error) => {
                let error = error.to_string();
                prop_assert!(error.starts_with("changed.toml, line "), "{}", error);
                prop_assert!(error.lines().count() == 1, "more than one line: {}", error);
            }
        }
    }

    #[test]
    fn any_receipts_are_checked_or_refused(changes in prop::collection::vec(change(), 1..4)) {
        let text = changed(RECEIPTS, &changes);
        let mut checker = Checker::new();
        for line in text.lines() {
            let Ok(receipt) = serde_json::from_str(line) else { break };
            if checker.check(&receipt).is_err() {
                break;
            }
        }
    }

    #[test]
    fn a_changed_export_never_holds(changes in prop::collection::vec(change(), 1..4)) {
        let text = changed(EXPORT, &changes);
        // Changes may cancel each other, or touch nothing but the last line break.
        prop_assume!(text.trim_end() != EXPORT.trim_end());
        prop_assert!(audit(&text).is_err(), "a changed export holds: {:?}", changes);
    }

    #[test]
    fn any_line_is_answered_or_refused(line in "(\\PC|[\"'\\\\ -]){0,80}") {
        if let Err(sentence) = drumhead::terminal::read_line(&line) {
            prop_assert!(!sentence.is_empty());
        }
    }
}
