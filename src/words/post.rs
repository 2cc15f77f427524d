//! The plain form of everything the referee says.

use crate::battle::Hint;

/// What the referee says at once: a headline, lines, and the roll's disclosure.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Post {
    /// What came of it, in a sentence or two.
    pub headline: String,
    /// The working, in order.
    pub lines: Vec<Line>,
    /// How to check the roll, if one was thrown.
    pub disclosure: Option<String>,
}

/// One line of a post.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// How far it stands in, from 0.
    pub depth: usize,
    /// Its text, without a line break.
    pub text: String,
    /// What it is for.
    pub kind: LineKind,
    /// What it tells to ask, behind the text and a colon, or alone if there is no text.
    pub hint: Option<Hint>,
}

/// What a line of a post is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LineKind {
    /// To be read.
    Said,
    /// For a machine to read, and so never wrapped.
    Verbatim,
}

impl Line {
    /// Its text with its hint, spelled by the front.
    pub fn told(&self, spell: impl Fn(&Hint) -> String) -> String {
        match (&self.hint, self.text.as_str()) {
            (Some(hint), "") => spell(hint),
            (Some(hint), text) => format!("{text}: {}", spell(hint)),
            (None, text) => text.to_owned(),
        }
    }
}

impl Post {
    /// A post with nothing but a headline yet.
    pub fn new(headline: impl Into<String>) -> Self {
        Self { headline: headline.into(), lines: Vec::new(), disclosure: None }
    }

    /// Adds a line that stands in by `depth`.
    pub fn line(&mut self, depth: usize, text: impl Into<String>) {
        self.lines.push(Line { depth, text: text.into(), kind: LineKind::Said, hint: None });
    }

    /// Adds a line that tells what to ask; `text` may be empty.
    pub fn hint(&mut self, depth: usize, text: impl Into<String>, hint: Hint) {
        let (text, kind) = (text.into(), LineKind::Said);
        self.lines.push(Line { depth, text, kind, hint: Some(hint) });
    }

    /// Adds a line for a machine to read, which is never wrapped.
    pub fn verbatim(&mut self, text: impl Into<String>) {
        self.lines.push(Line { depth: 0, text: text.into(), kind: LineKind::Verbatim, hint: None });
    }

    /// The post as text of at most `width` columns, but for verbatim lines; every line ends with LF.
    ///
    /// ```
    /// use drumhead::words::Post;
    /// let mut post = Post::new("Ford Wardens: stands.");
    /// post.line(1, "6 figures fight");
    /// assert_eq!(post.text(40), "Ford Wardens: stands.\n  6 figures fight\n");
    /// ```
    pub fn text(&self, width: usize) -> String {
        let mut text = String::new();
        wrap(&mut text, 0, &self.headline, width);
        for line in &self.lines {
            if line.kind == LineKind::Verbatim {
                text.push_str(&line.text);
                text.push('\n');
            } else {
                wrap(&mut text, line.depth, &line.told(Hint::to_string), width);
            }
        }
        if let Some(disclosure) = &self.disclosure {
            wrap(&mut text, 0, disclosure, width);
        }
        text
    }
}

fn wrap(text: &mut String, depth: usize, line: &str, width: usize) {
    let (first, rest) = ("  ".repeat(depth), "  ".repeat(depth + 1));
    let options = wrapping(width).initial_indent(&first).subsequent_indent(&rest);
    for piece in textwrap::wrap(&with_units(line), options) {
        text.push_str(&piece.trim_end().replace(NO_BREAK, " "));
        text.push('\n');
    }
}

/// How text is set: words stay whole where they can, and no line is ever too wide.
pub(crate) fn wrapping(width: usize) -> textwrap::Options<'static> {
    use textwrap::wrap_algorithms::Penalties;
    // With the usual penalty a line may stand out by a column if that saves another line.
    let penalties = Penalties { overflow_penalty: 1_000_000, ..Penalties::new() };
    textwrap::Options::new(width)
        .word_splitter(textwrap::WordSplitter::NoHyphenation)
        .wrap_algorithm(textwrap::WrapAlgorithm::OptimalFit(penalties))
}

/// A space at which no line breaks.
const NO_BREAK: char = '\u{a0}';
/// What stays on one line with its number.
const UNITS: [&str; 14] = [
    "figure", "figures", "man", "men", "die", "dice", "kill", "kills", "round", "rounds", "event",
    "events", "rolls", "%",
];

/// Ties every number to its unit.
fn with_units(line: &str) -> String {
    let mut tied = String::with_capacity(line.len());
    for word in line.split(' ') {
        let bare = word.trim_end_matches([',', ';', '.', ':', ')']);
        let number = tied.ends_with(|c: char| c.is_ascii_digit());
        if !tied.is_empty() {
            tied.push(if number && UNITS.contains(&bare) { NO_BREAK } else { ' ' });
        }
        tied.push_str(word);
    }
    tied
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_stays_with_its_unit() {
        let mut post = Post::new("Banner Foot: 3 figures, 60 men; left 9 figures, 180 men");
        post.line(1, "Vale alone stands 81.7 %, neither 14.8 %");
        for width in 20..60 {
            for line in post.text(width).lines() {
                let first = line.split_whitespace().next().unwrap();
                let bare = first.trim_end_matches([',', ';']);
                assert!(!UNITS.contains(&bare), "at {width} columns: {line}");
            }
        }
    }

    #[test]
    fn a_line_stands_out_by_no_column_to_save_another() {
        let (wide, long) = ("中", "a".repeat(39));
        let both = format!("{wide}{long}");
        assert_eq!(textwrap::wrap(&both, wrapping(40)), [wide, &long]);
    }

    #[test]
    fn no_line_is_wider_than_asked_and_nothing_is_cut() {
        let mut post = Post::new("Banner Spears: falls back, shaken. Vale Riders: stands.");
        post.line(0, "Vale Riders at Banner Spears");
        post.line(2, "a".repeat(64));
        post.disclosure = Some(format!("Roll 3 · link {}", "0123456789abcdef".repeat(4)));
        for width in [24, 40, 80, 120] {
            let text = post.text(width);
            assert!(text.lines().all(|line| line.chars().count() <= width), "{width}:\n{text}");
            let bare = |text: &str| text.split_whitespace().collect::<String>();
            assert_eq!(bare(&text), bare(&post.text(10_000)), "nothing is lost at {width} columns");
        }
    }
}
