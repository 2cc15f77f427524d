//! Bars of plain text, for a terminal of any width.

use std::fmt::Write as _;
use textwrap::core::display_width;

/// One bar.
#[derive(Debug, Clone, PartialEq)]
pub struct Bar {
    /// What stands before it.
    pub label: String,
    /// How long it is; the longest bar has the greatest value. Not under 0.
    pub value: f64,
    /// What stands behind it: the value in words.
    pub shown: String,
}

impl Bar {
    /// A bar with its label, its value, and the value in words.
    pub fn new(label: impl Into<String>, value: f64, shown: impl Into<String>) -> Self {
        Self { label: label.into(), value, shown: shown.into() }
    }
}

/// Bars under each other, one a line, at most `width` columns wide, at least 24; every line ends
/// with LF. A label that leaves no room for its bar is cut and ends in `…`.
///
/// ```
/// use drumhead::pictures::{Bar, bars};
/// let drawn = bars(&[Bar::new("0", 0.25, "25 %"), Bar::new("1", 0.5, "50 %")], 24);
/// assert_eq!(drawn, "0 ########          25 %\n1 ################  50 %\n");
/// ```
pub fn bars(bars: &[Bar], width: usize) -> String {
    Frame::of(bars, width).draw(bars)
}

/// Several groups of bars, each under its heading, all drawn to one measure: of two bars the
/// longer one has the greater value, whatever group it stands in.
pub(super) fn groups(groups: &[(String, Vec<Bar>)], width: usize) -> String {
    let all: Vec<Bar> = groups.iter().flat_map(|(_, bars)| bars).cloned().collect();
    let frame = Frame::of(&all, width);
    groups.iter().fold(String::new(), |text, (heading, bars)| {
        text + &fill(heading, width) + &frame.draw(bars)
    })
}

/// What bars are drawn into.
struct Frame {
    /// Columns for labels, for the bars themselves, and for the values in words.
    labels: usize,
    room: usize,
    shown: usize,
    /// The value of the longest bar.
    most: f64,
}

impl Frame {
    fn of(bars: &[Bar], width: usize) -> Self {
        let width = width.max(24);
        let longest = |of: fn(&Bar) -> &str| bars.iter().map(|bar| display_width(of(bar))).max();
        let shown = longest(|bar| &bar.shown).unwrap_or(0).min(width / 2);
        let labels = longest(|bar| &bar.label).unwrap_or(0).min((width - shown).saturating_sub(10));
        let room = width.saturating_sub(labels + shown + 3);
        let most = bars.iter().map(|bar| bar.value).fold(0.0, f64::max);
        Self { labels, room, shown, most }
    }

    fn draw(&self, bars: &[Bar]) -> String {
        let Self { labels, room, shown, most } = *self;
        let mut text = String::new();
        for bar in bars {
            let label = cut(&bar.label, labels);
            let share = if most > 0.0 { (bar.value / most).clamp(0.0, 1.0) } else { 0.0 };
            #[allow(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a share of a line of text"
            )]
            let length = (share * room as f64).round() as usize;
            let value = cut(&bar.shown, shown);
            let value = format!("{}{value}", " ".repeat(shown - display_width(&value)));
            let pad = " ".repeat(labels - display_width(&label));
            let (drawn, free) = ("#".repeat(length), " ".repeat(room - length));
            writeln!(text, "{label}{pad} {drawn}{free}  {value}").expect("a String takes all");
        }
        text
    }
}

/// A text of at most `width` columns.
fn cut(text: &str, width: usize) -> String {
    if display_width(text) <= width {
        return text.to_owned();
    }
    let mut cut = String::new();
    for c in text.chars() {
        if display_width(&cut) + display_width(&c.to_string()) + 1 > width {
            break;
        }
        cut.push(c);
    }
    if width > 0 {
        cut.push('…');
    }
    cut
}

/// Lines of text of at most `width` columns, each ending with LF.
pub(super) fn fill(text: &str, width: usize) -> String {
    textwrap::wrap(text, crate::words::wrapping(width.max(24)))
        .iter()
        .fold(String::new(), |all, line| all + line + "\n")
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn no_line_is_wider_than_asked(
            drawn in prop::collection::vec((".{0,50}", 0.0..1e6f64, "[0-9 %]{0,30}"), 1..6),
            width in 24usize..100,
        ) {
            let drawn: Vec<Bar> =
                drawn.into_iter().map(|(label, value, shown)| Bar::new(label, value, shown)).collect();
            let text = bars(&drawn, width);
            prop_assert_eq!(text.matches('\n').count() >= drawn.len(), true);
            for line in text.lines() {
                prop_assert!(display_width(line) <= width, "{:?}", line);
            }
        }
    }

    #[test]
    fn a_bar_is_as_long_as_its_value_says() {
        let drawn =
            bars(&[Bar::new("a", 0.0, "0"), Bar::new("b", 1.0, "1"), Bar::new("c", 2.0, "2")], 25);
        let lengths: Vec<usize> = drawn.lines().map(|line| line.matches('#').count()).collect();
        assert_eq!(lengths, [0, 10, 20]);
        assert_eq!(bars(&[Bar::new("a", 0.0, "0")], 24).matches('#').count(), 0);
    }
}
