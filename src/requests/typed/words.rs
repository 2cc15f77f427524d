//! A line cut into its words, whatever a phone made of its quotation marks.

use crate::requests::Wrong;

/// The words of a line: names of several words stand in quotation marks of any kind.
///
/// # Errors
///
/// One sentence for a quotation mark that is left open.
///
/// ```
/// let words = drumhead::requests::words("rally “Grey Levies”").unwrap();
/// assert_eq!(words, ["rally", "Grey Levies"]);
/// ```
pub fn words(line: &str) -> Result<Vec<String>, Wrong> {
    shell_words::split(&plain(line))
        .map_err(|_| Wrong::new("A quotation mark is left open. Close it: \"Ford Wardens\""))
}

/// A line without what phones make of quotation marks and of two hyphens; an apostrophe stands
/// for itself.
fn plain(line: &str) -> String {
    let mut text = String::with_capacity(line.len());
    let mut quoted = false;
    let mut before = ' ';
    for c in line.chars() {
        match c {
            '"' | '“' | '”' | '„' | '«' | '»' => {
                quoted = !quoted || before == '\\';
                text.push('"');
            }
            '–' | '—' if !quoted && before.is_whitespace() => text.push_str("--"),
            '\'' if !quoted => text.push_str("\\'"),
            c => text.push(c),
        }
        before = c;
    }
    text
}
