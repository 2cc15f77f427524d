//! A report as one HTML file: no network, no script, light or dark as the reader's system is.

use super::page::{Block, Item, Page, Table};
use crate::pictures::{Background, Look, Picture, escape};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use std::fmt::Write as _;

const STYLE: &str = "\
:root { color-scheme: light dark; --ink: #1a1a1a; --ground: #fff; --line: #c8c8c8; --link: #00568a }
@media (prefers-color-scheme: dark) {
  :root { --ink: #ececec; --ground: #16181c; --line: #4a4e54; --link: #7cc4f0 }
}
* { box-sizing: border-box }
body { margin: 0 auto; max-width: 46rem; padding: 1rem; color: var(--ink);
  background: var(--ground); font: 1rem/1.5 system-ui, sans-serif; overflow-wrap: anywhere }
h1 { font-size: 1.5rem; line-height: 1.25; margin: 0 0 .5rem }
h2 { font-size: 1.25rem; margin: 2rem 0 .5rem; border-bottom: 1px solid var(--line) }
h3 { font-size: 1.05rem; margin: 1.25rem 0 .25rem }
p { margin: .5rem 0 }
a { color: var(--link) }
ul { margin: .25rem 0; padding-left: 1.2rem }
li { margin: .35rem 0 }
li li { margin: .1rem 0 }
nav ul { display: flex; flex-wrap: wrap; gap: 0 1rem; list-style: none; padding: 0 }
nav a, a[download], summary { display: inline-block; padding: .5rem 0 }
table { border-collapse: collapse; width: 100%; font-size: .9rem }
th, td { text-align: left; vertical-align: top; padding: .3rem .6rem .3rem 0;
  border-bottom: 1px solid var(--line); overflow-wrap: break-word }
tbody th { font-weight: normal }
td { white-space: nowrap }
tbody tr:last-child > * { font-weight: bold }
figure { margin: .75rem 0 }
img { display: block; max-width: 100%; height: auto }
pre { overflow-x: auto; font-size: .8rem; border: 1px solid var(--line); padding: .5rem }
";

/// From this width on, in CSS pixels, pictures are as wide as a page.
const WIDE: &str = "(min-width: 760px)";
const DARK: &str = "(prefers-color-scheme: dark)";

pub(super) fn write(page: &Page) -> String {
    let title = escape(&page.title);
    // The policy is a second lock: nothing is loaded and nothing runs, whatever a name holds.
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <meta name=\"color-scheme\" content=\"light dark\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; \
         style-src 'unsafe-inline'; img-src data:\">\n\
         <title>{title}</title>\n<style>\n{STYLE}</style>\n</head>\n<body>\n\
         <header>\n<h1>{title}</h1>\n{}</header>\n<main>\n{}</main>\n</body>\n</html>\n",
        contents(page),
        body(page)
    )
}

/// Links to the sections.
fn contents(page: &Page) -> String {
    let links: Vec<String> = sections(page)
        .map(|(n, text)| format!("<li><a href=\"#s{n}\">{}</a></li>\n", escape(text)))
        .collect();
    format!("<nav aria-label=\"Contents\">\n<ul>\n{}</ul>\n</nav>\n", links.concat())
}

fn sections(page: &Page) -> impl Iterator<Item = (usize, &str)> {
    let headings = page.blocks.iter().filter_map(|block| match block {
        Block::Heading(2, text) => Some(text.as_str()),
        _ => None,
    });
    headings.enumerate()
}

fn body(page: &Page) -> String {
    let mut html = String::new();
    let mut section = 0;
    for block in &page.blocks {
        if let Block::Heading(2, text) = block {
            let close = if section > 0 { "</section>\n" } else { "" };
            html.push_str(close);
            let text = escape(text);
            write!(
                html,
                "<section aria-labelledby=\"s{section}\">\n<h2 id=\"s{section}\">{text}</h2>\n"
            )
            .expect("a String takes all");
            section += 1;
        } else {
            html.push_str(&self::block(block));
        }
    }
    if section > 0 {
        html.push_str("</section>\n");
    }
    html
}

fn block(block: &Block) -> String {
    match block {
        Block::Heading(level, text) => format!("<h{level}>{}</h{level}>\n", escape(text)),
        Block::Text(text) => format!("<p>{}</p>\n", escape(text)),
        Block::Items(items) => {
            format!("<ul>\n{}</ul>\n", items.iter().map(item).collect::<Vec<_>>().concat())
        }
        Block::Table(table) => self::table(table),
        Block::Picture(picture) => self::picture(picture),
        Block::File { name, lines } => file(name, lines),
    }
}

fn item(item: &Item) -> String {
    let text = escape(&item.text);
    if item.under.is_empty() {
        return format!("<li>{text}</li>\n");
    }
    let under: Vec<String> =
        item.under.iter().map(|line| format!("<li>{}</li>\n", escape(line))).collect();
    format!("<li>{text}\n<ul>\n{}</ul>\n</li>\n", under.concat())
}

fn table(table: &Table) -> String {
    let head: Vec<String> =
        table.head.iter().map(|cell| format!("<th scope=\"col\">{}</th>", escape(cell))).collect();
    let row = |cells: &Vec<String>| {
        let cells = cells.iter().enumerate().map(|(n, cell)| match n {
            0 => format!("<th scope=\"row\">{}</th>", escape(cell)),
            _ => format!("<td>{}</td>", escape(cell)),
        });
        format!("<tr>{}</tr>\n", cells.collect::<Vec<_>>().concat())
    };
    let rows = table.rows.iter().map(row).collect::<Vec<_>>().concat();
    format!(
        "<table>\n<thead>\n<tr>{}</tr>\n</thead>\n<tbody>\n{rows}</tbody>\n</table>\n",
        head.concat()
    )
}

/// A picture for every reader: phone or page, light or dark, or its text alternative.
fn picture(picture: &Picture) -> String {
    let data = |look: Look, ground| {
        let svg = picture.svg(look.on(ground));
        format!("data:image/svg+xml;base64,{}", STANDARD.encode(svg))
    };
    let source = |media: &str, data: String| {
        format!("<source media=\"{media}\" srcset=\"{data}\" type=\"image/svg+xml\">\n")
    };
    format!(
        "<figure>\n<picture>\n{}{}{}<img src=\"{}\" alt=\"{}\">\n</picture>\n</figure>\n",
        source(&format!("{WIDE} and {DARK}"), data(Look::PAGE, Background::Dark)),
        source(DARK, data(Look::PHONE, Background::Dark)),
        source(WIDE, data(Look::PAGE, Background::Light)),
        data(Look::PHONE, Background::Light),
        escape(&picture.alt())
    )
}

fn file(name: &str, lines: &str) -> String {
    let count = lines.lines().count();
    format!(
        "<p><a download=\"{name}\" href=\"data:application/jsonl;base64,{}\">Save {name}</a></p>\n\
         <details>\n<summary>Show its lines: {count}</summary>\n<pre>{}</pre>\n</details>\n",
        STANDARD.encode(lines),
        lines.lines().map(|line| escape(line) + "\n").collect::<Vec<_>>().concat()
    )
}
