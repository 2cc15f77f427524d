//! A report as Markdown (`CommonMark` with tables as GitHub writes them).

use super::page::{Block, Item, Page, Table};
use crate::pictures::Picture;

/// The width of bars of text.
const WIDTH: usize = 60;

pub(super) fn write(page: &Page) -> String {
    let blocks = page.blocks.iter().map(block);
    let title = format!("# {}\n", escape(&page.title));
    std::iter::once(title).chain(blocks).collect::<Vec<_>>().join("\n")
}

fn block(block: &Block) -> String {
    match block {
        Block::Heading(level, text) => {
            format!("{} {}\n", "#".repeat(usize::from(*level)), escape(text))
        }
        Block::Text(text) => sentences(text),
        Block::Items(items) => items.iter().map(item).collect::<Vec<_>>().concat(),
        Block::Table(table) => self::table(table),
        Block::Picture(picture) => self::picture(picture),
        Block::File { lines, .. } => fenced("json", lines),
    }
}

/// Text with one sentence a line.
fn sentences(text: &str) -> String {
    // Each line is escaped for itself: what begins a line may begin a heading or a list.
    let lines = text.split_inclusive(". ").map(|line| escape(line.trim_end()) + "\n");
    lines.collect::<Vec<_>>().concat()
}

fn item(item: &Item) -> String {
    let under = item.under.iter().map(|line| format!("  - {}\n", escape(line)));
    std::iter::once(format!("- {}\n", escape(&item.text))).chain(under).collect::<Vec<_>>().concat()
}

fn table(table: &Table) -> String {
    let row = |cells: &[String]| {
        let cells: Vec<String> = cells.iter().map(|cell| escape(cell)).collect();
        format!("| {} |\n", cells.join(" | "))
    };
    let line = vec!["---"; table.head.len()].join(" | ");
    let rows = table.rows.iter().map(|cells| row(cells)).collect::<Vec<_>>().concat();
    format!("{}| {line} |\n{rows}", row(&table.head))
}

/// A picture's text alternative, and its bars of text.
fn picture(picture: &Picture) -> String {
    format!("{}\n{}", sentences(&picture.alt()), fenced("text", &picture.text(WIDTH)))
}

/// Lines in a fence that nothing in them can close.
fn fenced(kind: &str, lines: &str) -> String {
    let longest = lines.split(|c| c != '`').map(str::len).max().unwrap_or(0);
    let fence = "`".repeat(longest.max(2) + 1);
    format!("{fence}{kind}\n{lines}{fence}\n")
}

/// Text of which nothing is taken for Markdown, HTML or a link.
fn escape(text: &str) -> String {
    let mut escaped = String::new();
    for c in text.chars() {
        let c = if c.is_control() { ' ' } else { c };
        // A colon or an @ may make a link of what stands around it, a point of what follows www.
        let special = match c {
            ':' => text.contains("://"),
            '.' => escaped.to_lowercase().ends_with("www"),
            c => "\\`*_[]<>|~&@$".contains(c),
        };
        if special {
            escaped.push('\\');
        }
        escaped.push(c);
    }
    at_the_start(&escaped)
}

/// Escapes what would begin a heading, a list, a rule or a block of code at the start of a line.
fn at_the_start(text: &str) -> String {
    let text = text.trim_start();
    let digits = text.chars().take_while(char::is_ascii_digit).count();
    let after = text[digits..].chars().next();
    let marks = digits > 0 && matches!(after, Some('.' | ')'));
    if marks {
        return format!("{}\\{}", &text[..digits], &text[digits..]);
    }
    if text.starts_with(['#', '+', '-', '=']) { format!("\\{text}") } else { text.to_owned() }
}
