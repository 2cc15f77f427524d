//! A report as one HTML file: no network, no script, light or dark as the reader's system is.

use super::page::{Block, Item, Page, Table};
use crate::pictures::{Background, Fonts, Look, Picture};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use maud::{DOCTYPE, Markup, PreEscaped, html};

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

/// A second lock beside the escaping of every name: nothing is loaded and nothing runs.
const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; img-src data:";

pub(super) fn write(page: &Page, fonts: &Fonts) -> String {
    let markup = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                meta http-equiv="Content-Security-Policy" content=(POLICY);
                title { (page.title) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                header {
                    h1 { (page.title) }
                    (contents(page))
                }
                main { (body(page, fonts)) }
            }
        }
    };
    markup.into_string()
}

/// Links to the sections.
fn contents(page: &Page) -> Markup {
    let headings = page.blocks.iter().filter_map(|block| match block {
        Block::Heading(2, text) => Some(text),
        _ => None,
    });
    html! {
        nav aria-label="Contents" {
            ul {
                @for (n, text) in headings.enumerate() {
                    li { a href={ "#s" (n) } { (text) } }
                }
            }
        }
    }
}

/// What stands before the first section, then each section with its heading.
fn body(page: &Page, fonts: &Fonts) -> Markup {
    let begins = |block: &Block| matches!(block, Block::Heading(2, _));
    let first = page.blocks.iter().position(begins).unwrap_or(page.blocks.len());
    let (before, sections) = page.blocks.split_at(first);
    html! {
        @for block in before { (self::block(block, fonts)) }
        @for (n, section) in sections.chunk_by(|_, next| !begins(next)).enumerate() {
            section aria-labelledby={ "s" (n) } {
                @for block in section {
                    @if let Block::Heading(2, text) = block {
                        h2 id={ "s" (n) } { (text) }
                    } @else {
                        (self::block(block, fonts))
                    }
                }
            }
        }
    }
}

fn block(block: &Block, fonts: &Fonts) -> Markup {
    match block {
        Block::Heading(2, text) => html! { h2 { (text) } },
        Block::Heading(_, text) => html! { h3 { (text) } },
        Block::Text(text) => html! { p { (text) } },
        Block::Items(items) => html! { ul { @for item in items { (self::item(item)) } } },
        Block::Table(table) => self::table(table),
        Block::Picture(picture) => self::picture(picture, fonts),
        Block::File { name, lines } => file(name, lines),
    }
}

fn item(item: &Item) -> Markup {
    html! {
        li {
            (item.text)
            @if !item.under.is_empty() {
                ul { @for line in &item.under { li { (line) } } }
            }
        }
    }
}

fn table(table: &Table) -> Markup {
    html! {
        table {
            thead {
                tr { @for cell in &table.head { th scope="col" { (cell) } } }
            }
            tbody {
                @for row in &table.rows {
                    tr {
                        @for (n, cell) in row.iter().enumerate() {
                            @if n == 0 { th scope="row" { (cell) } } @else { td { (cell) } }
                        }
                    }
                }
            }
        }
    }
}

/// A picture for every reader: phone or page, light or dark, or its text alternative.
fn picture(picture: &Picture, fonts: &Fonts) -> Markup {
    let data = |look: Look, ground| {
        let svg = picture.svg_with(look.on(ground), fonts);
        format!("data:image/svg+xml;base64,{}", STANDARD.encode(svg))
    };
    let sources = [
        (format!("{WIDE} and {DARK}"), data(Look::PAGE, Background::Dark)),
        (DARK.to_owned(), data(Look::PHONE, Background::Dark)),
        (WIDE.to_owned(), data(Look::PAGE, Background::Light)),
    ];
    html! {
        figure {
            picture {
                @for (media, data) in sources {
                    source media=(media) srcset=(data) type="image/svg+xml";
                }
                img src=(data(Look::PHONE, Background::Light)) alt=(picture.alt());
            }
        }
    }
}

/// Lines for a machine, to be saved and to be seen.
fn file(name: &str, lines: &str) -> Markup {
    let data = format!("data:application/jsonl;base64,{}", STANDARD.encode(lines));
    html! {
        p { a download=(name) href=(data) { "Save " (name) } }
        details {
            summary { "Show its lines: " (lines.lines().count()) }
            pre { (lines) }
        }
    }
}
