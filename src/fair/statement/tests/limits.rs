//! Every part of a statement on its limits, and every line in its place.

use super::*;

/// Every length and every spelling on its limit and one past it: a text that two readers could take
/// for two statements would be two sets of dice.
#[test]
fn every_part_is_held_to_its_limits() {
    let whole = statement();
    let name = "a name of 1 to 40 characters, a colon and a space, and 1 to 80";
    let cast = "the caster's text of 8 to 80 characters";
    let id = "a request's id: where it comes from, a colon, an id";
    let battle = "the battle's id: 16 digits of 0-9 and a-f";
    let number = "a number without a sign or a leading zero";
    let sha256 = "a SHA-256 value";
    let long = |most: usize| "é".repeat(most);
    let asked = |origin: usize, id: usize| format!("{}:{}", "t".repeat(origin), "x".repeat(id));
    for (line, from, to, expected) in [
        (1, "drumhead roll 1", "drumhead roll 1 ".to_owned(), Some("drumhead roll 1")),
        (2, "9f86d081884c7d65", "0123456789abcdef".to_owned(), None),
        (2, "9f86d081884c7d65", "0123456789ABCDEF".to_owned(), Some(battle)),
        (2, "9f86d081884c7d65", "0123456789abcde".to_owned(), Some(battle)),
        (2, "9f86d081884c7d65", "0123456789abcdef0".to_owned(), Some(battle)),
        (2, "9f86d081884c7d65", "0123456789abcdeg".to_owned(), Some(battle)),
        (3, "anchor ", "anchor 0".to_owned(), Some(sha256)),
        (4, "roll 7", "roll +7".to_owned(), Some(number)),
        (4, "roll 7", "roll 4294967295".to_owned(), None),
        (4, "roll 7", "roll 4294967296".to_owned(), Some(number)),
        (5, "table:1", asked(20, 100), None),
        (5, "table:1", asked(21, 1), Some(id)),
        (5, "table:1", asked(1, 101), Some(id)),
        (5, "table:1", asked(0, 1), Some(id)),
        (5, "table:1", asked(1, 0), Some(id)),
        (5, "table:1", "table".to_owned(), Some(id)),
        (5, "table:1", "Table:1".to_owned(), Some(id)),
        (5, "table:1", "table:Z-_./9".to_owned(), None),
        (5, "table:1", "table:é".to_owned(), Some(id)),
        (6, "word Ida", format!("word {}", long(40)), None),
        (6, "word Ida", format!("word {}", long(41)), Some(name)),
        (6, "word Ida", "word ".to_owned(), Some(name)),
        (6, "the river: cold", long(80), None),
        (6, "the river: cold", long(81), Some(name)),
        (6, "the river: cold", String::new(), Some(name)),
        (7, "next ", "next 0".to_owned(), Some(sha256)),
        (8, "open field two", String::new(), Some(RULES)),
        (8, "rules open field two ", "rules open".to_owned(), Some(RULES)),
        (8, "two ", "two 0".to_owned(), Some(RULES)),
        (9, "record ", "record 0".to_owned(), Some(sha256)),
        (10, "red reeds, cold hands", long(8), None),
        (10, "red reeds, cold hands", long(80), None),
        (10, "red reeds, cold hands", long(7), Some(cast)),
        (10, "red reeds, cold hands", long(81), Some(cast)),
    ] {
        let text = whole.text().replacen(from, &to, 1);
        assert_ne!(text, whole.text(), "the test's own text {from:?} is out of date");
        let expected = expected.map(|expected| StatementError::Value { line, expected });
        assert_eq!(Statement::parse(&text).err(), expected, "{to:?} in place of {from:?}");
    }
}

#[test]
fn every_line_comes_in_its_place_and_the_last_one_ends() {
    let whole = statement().text();
    for (line, start) in [
        (2, "battle"),
        (3, "anchor"),
        (4, "roll"),
        (5, "asked"),
        (8, "rules"),
        (9, "record"),
        (11, "request"),
    ] {
        let lines = whole.split_inclusive('\n').enumerate();
        let without: String = lines.filter(|(n, _)| n + 1 != line).map(|(_, line)| line).collect();
        let error = StatementError::Start { line, expected: start };
        assert_eq!(Statement::parse(&without), Err(error), "without line {line}");
    }
    let cut = whole.trim_end();
    assert_eq!(Statement::parse(cut), Err(StatementError::Start { line: 11, expected: "request" }));
}

/// A roll that was taken back has no cast, and nothing behind the words that say so.
#[test]
fn what_was_taken_back_ends_with_just_that() {
    let cast = statement();
    let bare = Statement { cast: None, ..cast.clone() };
    let over = "nothing more: the statement is over";
    for (text, line) in [
        (cast.text() + "taken back\n", 12),
        (bare.text() + "taken back by Orm\n", 11),
        (bare.text() + "taken back\ntaken back\n", 12),
        (bare.text() + "taken back\n\n", 12),
    ] {
        let error = StatementError::Value { line, expected: over };
        assert_eq!(Statement::parse(&text), Err(error), "{text}");
    }
}
