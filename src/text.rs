//! What of a text can be seen: a record holds nothing else, and of a file nothing else is printed.

use std::borrow::Cow;
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

/// All that [`invisible`] names, and whatever else leaves no mark of its own: blanks that only look
/// like a space, fillers, tags, and characters that no two fonts need show alike.
///
/// What is new is held to this list at the gate; records are not, so it can grow.
/// Of the Unicode standard, from memory: `White_Space`, the categories Cf, Co and Zs,
/// `Default_Ignorable_Code_Point` and the noncharacters, and three blanks besides; less the joiners
/// and selectors, and the marks of category Cf that are seen.
pub fn hides(c: char) -> bool {
    invisible(c) || is_blank(c) || is_format(c) || is_nobody_s(c)
}

/// Blanks that are not the space, and letters that leave as much room as one.
const fn is_blank(c: char) -> bool {
    matches!(
        c,
        '\u{a0}' | '\u{1680}' | '\u{2000}'..='\u{200a}' | '\u{202f}' | '\u{205f}' | '\u{3000}'
    ) || matches!(c, '\u{115f}' | '\u{1160}' | '\u{17b4}' | '\u{17b5}' | '\u{2800}' | '\u{3164}')
        || matches!(c, '\u{ffa0}' | '\u{16fe4}' | '\u{1d159}')
}

/// Marks that shape the text around them, and are not seen themselves.
const fn is_format(c: char) -> bool {
    matches!(c, '\u{ad}' | '\u{34f}' | '\u{70f}' | '\u{180e}' | '\u{2061}'..='\u{2065}')
        || matches!(c, '\u{206a}'..='\u{206f}' | '\u{fff0}'..='\u{fffb}' | '\u{13430}'..='\u{1343f}')
        || matches!(c, '\u{1bca0}'..='\u{1bca3}' | '\u{1d173}'..='\u{1d17a}')
        || matches!(c, '\u{e0000}'..='\u{e00ff}' | '\u{e01f0}'..='\u{e0fff}')
}

/// What the standard gives to nobody, or to whoever likes.
fn is_nobody_s(c: char) -> bool {
    matches!(c, '\u{e000}'..='\u{f8ff}' | '\u{fdd0}'..='\u{fdef}' | '\u{f0000}'..)
        || u32::from(c) & 0xfffe == 0xfffe
}

/// What scripts and emoji join and choose their letters with: nothing by itself.
pub const fn joins(c: char) -> bool {
    matches!(c, '\u{200c}' | '\u{200d}' | '\u{180b}'..='\u{180d}' | '\u{180f}')
        || matches!(c, '\u{fe00}'..='\u{fe0f}' | '\u{e0100}'..='\u{e01ef}')
}

/// A text that somebody else wrote, made harmless to print: what hides is named, such as
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
        push_seen(&mut harmless, c);
    }
    harmless
}

/// The same for a text of any length, of which nothing is cut.
pub fn seen(text: &str) -> Cow<'_, str> {
    if !text.chars().any(hides) {
        return Cow::Borrowed(text);
    }
    let mut seen = String::with_capacity(text.len());
    text.chars().for_each(|c| push_seen(&mut seen, c));
    Cow::Owned(seen)
}

/// The same for a text of several lines, which stay lines.
pub fn seen_lines(text: &str) -> Cow<'_, str> {
    if !text.chars().any(|c| hides(c) && c != '\n') {
        return Cow::Borrowed(text);
    }
    Cow::Owned(text.split('\n').map(seen).collect::<Vec<_>>().join("\n"))
}

fn push_seen(text: &mut String, c: char) {
    if hides(c) {
        write!(text, "[U+{:04X}]", u32::from(c)).expect("a String takes all");
    } else {
        text.push(c);
    }
}

/// The most characters of somebody else's text that are printed at once.
pub const LONGEST: usize = 300;

/// A line of JSON made harmless to print, and still the same JSON: what cannot be seen can only
/// stand inside a text there, and is written as an escape.
pub fn harmless_json(json: &str) -> String {
    let mut harmless = String::with_capacity(json.len());
    for c in json.chars() {
        if hides(c) {
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

    /// Source: Unicode's general categories, by the crate `unicode-properties`.
    #[test]
    fn whatever_has_no_shape_of_its_own_hides() {
        use unicode_properties::{GeneralCategory as Category, UnicodeGeneralCategory as _};
        // Of category Cf, yet seen: signs before numbers and around words in four scripts.
        let shown = |c: char| {
            matches!(c, '\u{600}'..='\u{605}' | '\u{6dd}' | '\u{890}' | '\u{891}' | '\u{8e2}')
                || matches!(c, '\u{110bd}' | '\u{110cd}')
        };
        let mut hidden = 0;
        for c in '\0'..=char::MAX {
            let category = c.general_category();
            let shapeless = match category {
                Category::Control
                | Category::LineSeparator
                | Category::ParagraphSeparator
                | Category::PrivateUse => true,
                Category::SpaceSeparator => c != ' ',
                Category::Format => !shown(c) && !joins(c),
                _ => false,
            };
            assert!(!shapeless || hides(c), "U+{:04X} {category:?} does not hide", u32::from(c));
            assert!(!joins(c) || !hides(c), "U+{:04X} joins", u32::from(c));
            let counted = matches!(
                category,
                Category::UppercaseLetter | Category::LowercaseLetter | Category::DecimalNumber
            );
            assert!(!(counted && hides(c)), "U+{:04X} is seen", u32::from(c));
            hidden += u32::from(shapeless);
        }
        assert!(hidden > 137_000, "{hidden}: the planes for private use alone are so many");
        for c in " Aé中🐎ا-–’“".chars() {
            assert!(!hides(c), "{c}");
        }
    }

    #[test]
    fn a_text_of_any_length_is_shown_whole() {
        let long = "Ford Wardens ".repeat(100);
        assert!(matches!(seen(&long), Cow::Borrowed(text) if text == long));
        assert_eq!(seen("Ford\u{a0}Wardens\u{1b}"), "Ford[U+00A0]Wardens[U+001B]");
        assert_eq!(seen("Ida\n"), "Ida[U+000A]");
        assert_eq!(seen_lines("Ida\n\u{1b}[2JOrm\n"), "Ida\n[U+001B][2JOrm\n");
    }

    #[test]
    fn json_stays_the_same_json() {
        let value = serde_json::json!({"name": "Ida\u{202e}\u{9b}\u{1b}\u{a0}\u{e0041}"});
        let line = harmless_json(&value.to_string());
        assert!(!line.chars().any(hides), "{line}");
        assert_eq!(serde_json::from_str::<serde_json::Value>(&line).unwrap(), value);
    }
}
