//! What of a text can be seen: a record holds nothing else, and of a file nothing else is printed.

use std::fmt::Write as _;

/// Line breaks, control characters, spaces without width, and marks that turn the direction of
/// what follows. The joiners that scripts and emoji need are none of these.
///
/// Every checker holds records to this list, so it belongs to protocol 1.
pub fn invisible(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
        || matches!(c, '\u{200b}' | '\u{200e}' | '\u{200f}' | '\u{061c}' | '\u{2060}' | '\u{feff}')
}

/// A text that somebody else wrote, made harmless to print: what cannot be seen is named, such as
/// `[U+202E]`, and a text of more than [`LONGEST`] characters is cut.
///
/// ```
/// use drumhead::text::harmless;
/// assert_eq!(harmless("Ford\u{1b}[2J Wardens"), "Ford[U+001B][2J Wardens");
/// ```
pub fn harmless(text: &str) -> String {
    let mut harmless = String::with_capacity(text.len().min(LONGEST));
    for (n, c) in text.chars().enumerate() {
        if n == LONGEST {
            return harmless + " …";
        }
        if invisible(c) {
            write!(harmless, "[U+{:04X}]", u32::from(c)).expect("a String takes all");
        } else {
            harmless.push(c);
        }
    }
    harmless
}

/// The most characters of somebody else's text that are printed at once.
pub const LONGEST: usize = 300;

/// A line of JSON made harmless to print, and still the same JSON: what cannot be seen can only
/// stand inside a text there, and is written as an escape.
pub fn harmless_json(json: &str) -> String {
    let mut harmless = String::with_capacity(json.len());
    for c in json.chars() {
        if invisible(c) {
            let mut units = [0; 2];
            for unit in c.encode_utf16(&mut units) {
                write!(harmless, "\\u{unit:04x}").expect("a String takes all");
            }
        } else {
            harmless.push(c);
        }
    }
    harmless
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_cannot_be_seen_is_named_and_all_else_stays() {
        assert_eq!(
            harmless("Ida\u{202e}: \r\n\u{7}x\u{9b}31m"),
            "Ida[U+202E]: [U+000D][U+000A][U+0007]x[U+009B]31m"
        );
        // Scripts and emoji keep their joiners.
        for kept in ["naïve – Ä", "👩\u{200d}🌾", "می\u{200c}خواهم"] {
            assert_eq!(harmless(kept), kept);
        }
        let cut = harmless(&"x".repeat(LONGEST + 1));
        assert_eq!(cut, "x".repeat(LONGEST) + " …");
    }

    #[test]
    fn json_stays_the_same_json() {
        let value = serde_json::json!({"name": "Ida\u{202e}\u{9b}\u{1b}"});
        let line = harmless_json(&value.to_string());
        assert!(!line.chars().any(invisible), "{line}");
        assert_eq!(serde_json::from_str::<serde_json::Value>(&line).unwrap(), value);
    }
}
