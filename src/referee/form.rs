//! What a line and an event must be like by themselves, whatever the battle: a part of protocol 1.

use crate::fair::Receipt;
use crate::fair::check::Difference;
use crate::protocol::Event;
use crate::text::invisible;
use serde_json::Value;
use std::io::BufRead;

/// The longest line that is read, in bytes: a ruling of forty contacts has some 100,000. What is read
/// takes a hundred times as much memory while it is told apart.
const LONGEST_LINE: u64 = 4 * 1024 * 1024;

/// Reads the next line of a file that is to be checked, with its line break; none at the end.
///
/// # Errors
/// If it cannot be read.
pub fn next_line(from: &mut impl BufRead) -> std::io::Result<Option<Vec<u8>>> {
    let mut line = Vec::new();
    std::io::Read::take(from, LONGEST_LINE).read_until(b'\n', &mut line)?;
    Ok(Some(line).filter(|line| !line.is_empty()))
}

/// The text of a line of an export, whose every line ends with one LF.
///
/// # Errors
/// If it does not, or is blank, no UTF-8, or holds a control character outside its texts.
pub fn line_of_export(line: &[u8]) -> Result<&str, Difference> {
    let text = line.strip_suffix(b"\n").ok_or_else(|| {
        Difference::new("line", &"one line break at its end", &"none: the file is cut off")
    })?;
    plain(text)
}

/// The text of a line of receipts. A receipt is also copied by hand, so the last may lack its LF.
///
/// # Errors
/// If it is blank, no UTF-8, or holds a control character outside its texts.
pub fn line_of_receipts(line: &[u8]) -> Result<&str, Difference> {
    plain(line.strip_suffix(b"\n").unwrap_or(line))
}

/// The receipt of a line; none if it is not one, or gives one as a list of values without keys.
pub fn receipt(line: &str) -> Option<Receipt> {
    let receipt = serde_json::from_str(line).ok()?;
    let value: Value = serde_json::from_str(line).ok()?;
    let throws = value.as_object()?.get("throws")?.as_array()?;
    throws.iter().all(Value::is_object).then_some(receipt)
}

fn plain(line: &[u8]) -> Result<&str, Difference> {
    let wrong = |found: &str| Difference::new("line", &"one JSON object and no more", &found);
    let text = std::str::from_utf8(line).map_err(|_| wrong("bytes that are not UTF-8"))?;
    if text.trim().is_empty() {
        return Err(wrong("a blank line"));
    }
    if let Some(c) = text.chars().find(char::is_ascii_control) {
        return Err(wrong(&format!("the control character U+{:04X}", u32::from(c))));
    }
    Ok(text)
}

/// Checks what an event says of itself: its time, and that nothing in it hides.
///
/// # Errors
/// The first thing that is wrong.
pub fn check(event: &Event, text: &str) -> Result<(), Difference> {
    if !is_time(&event.at) {
        return Err(Difference::new("at", &"a time such as 2026-11-25T18:30:00Z", &event.at));
    }
    let value: Value = serde_json::from_str(text)
        .map_err(|error| Difference::new("event", &"an event", &error))?;
    can_be_seen("event", &value)
}

/// Whether a text is a time in the one form that records are written in: RFC 3339 in UTC, to the
/// second, of a day that there is.
pub fn is_time(text: &str) -> bool {
    let bytes = text.as_bytes();
    let form = b"dddd-dd-ddTdd:dd:ddZ";
    let fits = |(found, form): (&u8, &u8)| match form {
        b'd' => found.is_ascii_digit(),
        sign => found == sign,
    };
    if bytes.len() != form.len() || !bytes.iter().zip(form).all(fits) {
        return false;
    }
    let number = |from: usize, to: usize| text[from..to].parse().unwrap_or(u32::MAX);
    let (year, month, day) = (number(0, 4), number(5, 7), number(8, 10));
    (1..=days_of(year, month)).contains(&day)
        && number(11, 13) < 24
        && number(14, 16) < 60
        && number(17, 19) < 60
}

/// The days of a month; none for a month that there is not.
const fn days_of(year: u32, month: u32) -> u32 {
    match month {
        1 | 3 | 5 | 7 | 8 | 10 | 12 => 31,
        4 | 6 | 9 | 11 => 30,
        2 if year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400)) => {
            29
        }
        2 => 28,
        _ => 0,
    }
}

/// Refuses what cannot be seen in any text of a value, but for the line breaks of a statement.
fn can_be_seen(field: &str, value: &Value) -> Result<(), Difference> {
    match value {
        Value::String(text) => {
            let hides = |c: &char| invisible(*c) && !(*c == '\n' && field == "statement");
            match text.chars().find(hides) {
                Some(c) => Err(Difference::new(
                    field,
                    &"nothing that cannot be seen",
                    &format!("the character U+{:04X}", u32::from(c)),
                )),
                None => Ok(()),
            }
        }
        Value::Array(parts) => parts.iter().try_for_each(|part| can_be_seen(field, part)),
        Value::Object(parts) => parts.iter().try_for_each(|(key, part)| can_be_seen(key, part)),
        Value::Null | Value::Bool(_) | Value::Number(_) => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: RFC 3339, sections 5.6 and 5.7, and the days of the Gregorian calendar there.
    #[test]
    fn times_have_one_form_and_days_exist() {
        for time in [
            "1970-01-01T00:00:00Z",
            "2026-11-25T18:30:59Z",
            "2024-02-29T23:59:59Z",
            "2000-02-29T00:00:00Z",
        ] {
            assert!(is_time(time), "{time}");
        }
        for time in [
            "",
            "yesterday",
            "2026-02-31T00:00:00Z",
            "2026-02-29T00:00:00Z",
            "1900-02-29T00:00:00Z",
            "2026-13-01T00:00:00Z",
            "2026-00-01T00:00:00Z",
            "2026-04-31T00:00:00Z",
            "2026-04-00T00:00:00Z",
            "2026-04-30T24:00:00Z",
            "2026-04-30T23:60:00Z",
            "2026-04-30T23:59:60Z",
            "2026-04-30 23:59:59Z",
            "2026-04-30T23:59:59z",
            "2026-04-30T23:59:59+00:00",
            "2026-04-30T23:59:59.5Z",
            "+026-04-30T23:59:59Z",
            "2026-04-30T23:59:59Z\n",
            "２026-04-30T23:59Z",
        ] {
            assert!(!is_time(time), "{time}");
        }
    }

    #[test]
    fn a_line_ends_once_and_holds_something() {
        assert_eq!(line_of_export(b"{}\n"), Ok("{}"));
        assert_eq!(line_of_receipts(b"{}\n"), Ok("{}"));
        assert_eq!(line_of_receipts(b"{}"), Ok("{}"));
        let found = |line: &[u8]| line_of_export(line).unwrap_err().found;
        assert_eq!(found(b"{}"), "none: the file is cut off");
        assert_eq!(found(b"\n"), "a blank line");
        assert_eq!(found(b" \t\n"), "a blank line");
        assert_eq!(found(b"{}\r\n"), "the control character U+000D");
        assert_eq!(found(b"\xff\n"), "bytes that are not UTF-8");
        assert_eq!(line_of_receipts(b"\n").unwrap_err().found, "a blank line");
        assert_eq!(line_of_receipts(b"{}\r").unwrap_err().found, "the control character U+000D");
    }

    #[test]
    fn a_file_is_read_line_by_line_with_its_line_breaks() {
        let mut file = &b"{}\n\n[]"[..];
        let lines: Vec<Vec<u8>> = std::iter::from_fn(|| next_line(&mut file).unwrap()).collect();
        assert_eq!(lines, [b"{}\n".to_vec(), b"\n".to_vec(), b"[]".to_vec()]);
    }

    #[test]
    fn nothing_hides_in_a_text_or_behind_a_key() {
        for c in ['\u{7}', '\u{7f}', '\u{9b}', '\u{202e}', '\u{2066}', '\u{feff}', '\u{200b}', '\n']
        {
            let value =
                serde_json::json!({"units": [["Ford Wardens", {"name": format!("I{c}da")}]]});
            assert_eq!(can_be_seen("event", &value).unwrap_err().field, "name", "{c:?}");
        }
        let statement = serde_json::json!({"statement": "drumhead roll 1\n"});
        assert_eq!(can_be_seen("event", &statement), Ok(()));
    }
}
