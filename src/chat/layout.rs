//! Words in the platform's form: one embed, within its limits, and files for what is too long.
//!
//! Limits are those of <https://discord.com/developers/docs/resources/message>, section
//! “Embed Limits”: 4,096 characters of description, 6,000 in all; they are counted here in UTF-16
//! units, which are never fewer than characters.

use super::buttons::Button;
use super::rest::{File, Message};
use super::{messages, spelling};
use crate::pictures::{Background, Look, Picture};
use crate::protocol::Recorded;
use crate::words::{LineKind, Post};
use serde_json::{Value, json};

/// The longest description laid out, with room for the remark that a file is attached.
const LONGEST: usize = 3900;
/// The longest headline laid out.
const LONGEST_HEADLINE: usize = 1500;
/// The longest text alternative of a picture that the platform takes.
const LONGEST_ALT: usize = 1024;
/// The width of text in files, in columns.
const FILE_WIDTH: usize = 100;
/// How pictures are drawn: on a background of their own, sharp on a phone.
const PICTURE: Look = Look::PHONE.sharp(2).on(Background::Dark);
/// The flag of a message that only one person sees.
const PRIVATE: u64 = 1 << 6;

/// The posts of events that one request made, as one message, with the last one's buttons.
///
/// The first throw of a channel's quick rulings also opens their record; together both posts stay
/// within the limit for all embeds, because an opening is short.
pub(super) fn of_events(events: &[Recorded]) -> Message {
    let (mut embeds, mut files, mut components) = (Vec::new(), Vec::new(), json!([]));
    for recorded in events {
        let post = crate::words::event(recorded);
        let (embed, more) = embed(&post, &format!("event-{}", recorded.event.seq));
        embeds.push(embed);
        files.extend(more);
        components = Button::row(recorded);
    }
    message(json!({ "embeds": embeds, "components": components }), files)
}

/// What finds an event's post again: its disclosure holds it, and no other post's does.
pub(super) fn reference(recorded: &Recorded) -> String {
    recorded.hash.short()
}

/// Anything else the referee says; `name` is what its files are called.
pub(super) fn of_post(post: &Post, name: &str) -> Message {
    of_post_with(post, name, Vec::new())
}

/// The same with further files.
pub(super) fn of_post_with(post: &Post, name: &str, further: Vec<File>) -> Message {
    let (embed, mut files) = embed(post, name);
    files.extend(further);
    message(json!({ "embeds": [embed] }), files)
}

/// Pictures as files with their text alternatives. Drawing them takes a while.
pub(super) fn drawn(pictures: &[Picture]) -> Vec<File> {
    let draw = |(n, picture): (usize, &Picture)| File {
        name: format!("picture-{}.png", n + 1),
        bytes: picture.png(PICTURE),
        alt: Some(picture.alt()),
    };
    pictures.iter().enumerate().map(draw).collect()
}

fn embed(post: &Post, name: &str) -> (Value, Vec<File>) {
    let lines: Vec<String> = post
        .lines
        .iter()
        .filter(|line| line.kind != LineKind::Verbatim)
        .map(|line| {
            let text = escape(&line.told(|hint| spelling::in_chat(&hint.to_string())));
            match line.depth {
                0 => text,
                depth => format!("{}- {text}", "  ".repeat(depth - 1)),
            }
        })
        .collect();
    let mut files = Vec::new();
    let machines = post.lines.iter().filter(|line| line.kind == LineKind::Verbatim);
    let verbatim: Vec<&str> = machines.map(|line| line.text.as_str()).collect();
    if !verbatim.is_empty() {
        files.push(File::text(format!("{name}.json"), verbatim.join("\n") + "\n"));
    }
    let (mut description, whole) = description(&post.headline, &lines);
    if !whole {
        files.push(File::text(format!("{name}.txt"), post.text(FILE_WIDTH)));
        description = format!("{description}\n{}", messages::REST_IN_FILE);
    }
    if !verbatim.is_empty() {
        description = format!("{description}\n{}", messages::FOR_MACHINES);
    }
    let mut embed = json!({ "description": description });
    if let Some(disclosure) = &post.disclosure {
        embed["footer"] = json!({ "text": disclosure });
    }
    (embed, files)
}

/// A sentence in reply; what it tells to ask is spelled as a command.
pub(super) fn of_sentence(sentence: &str) -> Message {
    let sentence = spelling::in_chat(sentence);
    of_markdown(&escape(&sentence), Vec::new())
}

/// Text that already is in the platform's form, such as a mention; with files.
pub(super) fn of_markdown(text: &str, files: Vec<File>) -> Message {
    message(json!({ "embeds": [{ "description": within(text) }] }), files)
}

/// The same message for one person's eyes.
pub(super) fn private(mut message: Message) -> Message {
    message.body["flags"] = json!(PRIVATE);
    message
}

/// An acknowledgement: an answer will follow, for all or for one.
pub(super) fn acknowledgement(private: bool) -> Value {
    if private { json!({ "type": 5, "data": { "flags": PRIVATE } }) } else { json!({ "type": 5 }) }
}

fn message(mut body: Value, files: Vec<File>) -> Message {
    // Nobody is called by what a post says, whatever names and words it quotes.
    body["allowed_mentions"] = json!({ "parse": [] });
    // An edit keeps only the files listed, so an edit made twice leaves the same message.
    let listed = files.iter().enumerate().map(|(n, file)| {
        let mut listed = json!({ "id": n, "filename": file.name });
        if let Some(alt) = &file.alt {
            listed["description"] = json!(sentences(alt, LONGEST_ALT));
        }
        listed
    });
    body["attachments"] = listed.collect();
    Message { body, files }
}

/// Headline and as many lines as fit; whether all did.
fn description(headline: &str, lines: &[String]) -> (String, bool) {
    let (headline, mut whole) = shortened(headline);
    let mut text = format!("**{}**", escape(headline));
    for line in lines {
        if units(&text) + 1 + units(line) > LONGEST {
            whole = false;
            break;
        }
        text.push('\n');
        text.push_str(line);
    }
    (text, whole)
}

/// A headline up to the last sentence that fits; whether all of it did.
fn shortened(headline: &str) -> (&str, bool) {
    let fits = sentences(headline, LONGEST_HEADLINE);
    (fits, fits.len() == headline.len())
}

/// A text up to the last sentence that fits.
fn sentences(text: &str, longest: usize) -> &str {
    if units(text) <= longest {
        return text;
    }
    let mut end = 0;
    for (at, _) in text.match_indices(". ") {
        if units(&text[..=at]) > longest {
            break;
        }
        end = at + 1;
    }
    text[..end].trim_end()
}

/// A text that may quote something of any length, cut where it would not fit.
fn within(text: &str) -> String {
    if units(text) <= LONGEST {
        return text.to_owned();
    }
    // Two units a character at most, so that half as many characters always fit.
    text.chars().take(LONGEST / 2).collect::<String>() + "…"
}

fn units(text: &str) -> usize {
    text.encode_utf16().count()
}

/// Text that is shown as it is: whatever has a meaning in the platform's markdown loses it.
pub(super) fn escape(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len() + 8);
    let digits = text.chars().take_while(char::is_ascii_digit).count();
    for (n, c) in text.chars().enumerate() {
        let always =
            matches!(c, '\\' | '*' | '_' | '~' | '`' | '|' | '<' | '>' | '#' | '[' | ']' | '@');
        // A list begins with a sign or with a number and a dot; a bare address becomes a link.
        let first = n == 0 && matches!(c, '-' | '+');
        let numbered = digits > 0 && n == digits && c == '.';
        let address = c == ':' && text.chars().skip(n + 1).take(2).eq("//".chars());
        if always || first || numbered || address {
            escaped.push('\\');
        }
        escaped.push(c);
    }
    escaped
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn markdown_and_mentions_in_names_are_shown_as_they_are() {
        for (text, shown) in [
            ("*Ford* _Wardens_", r"\*Ford\* \_Wardens\_"),
            ("<@123> @everyone", r"\<\@123\> \@everyone"),
            ("- a list", r"\- a list"),
            ("12. May", r"12\. May"),
            ("[a](https://b)", r"\[a\](https\://b)"),
            ("فرسان الوادي 🐎", "فرسان الوادي 🐎"),
        ] {
            assert_eq!(escape(text), shown);
        }
    }

    #[test]
    fn a_long_post_keeps_its_limits_and_its_whole_text_in_a_file() {
        let mut post = Post::new("Ford Wardens: stands. ".repeat(200));
        for n in 0..400 {
            post.line(1, format!("line {n} of the working"));
        }
        let message = of_post(&post, "event-7");
        let text = message.body["embeds"][0]["description"].as_str().unwrap();
        assert!(units(text) <= 4096 && text.ends_with(messages::REST_IN_FILE), "{}", units(text));
        assert!(text.starts_with("**Ford Wardens: stands."));
        assert_eq!(message.files.len(), 1);
        assert_eq!(message.files[0].bytes, post.text(FILE_WIDTH).into_bytes());
        assert_eq!(message.body["attachments"][0]["filename"], "event-7.txt");
    }
}
