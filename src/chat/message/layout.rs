//! Words in the platform's form: text in frames, within its limits, and files for what is too long.
//!
//! Limits are those of <https://discord.com/developers/docs/components/reference>: 4,000 characters
//! of text in a message, counted here in UTF-16 units, which are never fewer.

use super::body::{File, Message};
use super::button::Button;
use super::component::Component;
use super::escape::{escape, units};
use super::messages;
use crate::battle::Told;
use crate::pictures::{Background, Look, Picture};
use crate::protocol::Recorded;
use crate::requests::spell_for_chat;
use crate::words::{LineKind, Post};

/// The most text of a message.
const MOST: usize = 4000;
/// The most text of one component: no limit is published, and this much is taken everywhere.
const MOST_AT_ONCE: usize = 2000;
/// The longest headline laid out.
const LONGEST_HEADLINE: usize = 1500;
/// The longest text alternative of a picture that the platform takes.
const LONGEST_ALT: usize = 1024;
/// The width of text in files, in columns.
const FILE_WIDTH: usize = 100;
/// How pictures are drawn: on a background of their own, sharp on a phone.
const PICTURE: Look = Look::PHONE.sharp(2).on(Background::Dark);

/// The posts of events that one request made, as one message, with the last one's buttons.
///
/// The first throw of a channel's quick rulings also opens their record; that opening is short, and
/// the throw has whatever room it leaves. `mentions` are people by their names in the record, with
/// how the platform shows them where a headline begins with one.
pub fn of_events(events: &[Recorded], mentions: &[(String, String)]) -> Message {
    let (mut frames, mut files, mut room) = (Vec::new(), Vec::new(), MOST);
    for (n, recorded) in events.iter().enumerate() {
        let post = crate::words::event(recorded);
        let is_last = n + 1 == events.len();
        let share = if is_last { room } else { room / 2 };
        let (text, more) = laid_out(&post, &format!("event-{}", recorded.event.seq), share);
        let text = with_mentions(&text, mentions);
        room = room.saturating_sub(units(&text));
        frames.push(Component::container(displays(&text)));
        files.extend(more);
    }
    Message::new(frames, files, events.last().and_then(Button::row))
}

/// A text whose headline begins with a mention where it began with that person's name.
fn with_mentions(text: &str, mentions: &[(String, String)]) -> String {
    let named = |(name, mention): &(String, String)| {
        let rest = text.strip_prefix("**")?.strip_prefix(name.as_str())?.strip_prefix(' ')?;
        Some(format!("**{mention} {rest}"))
    };
    mentions.iter().find_map(named).unwrap_or_else(|| text.to_owned())
}

/// What finds an event's post again: its disclosure holds it, and no other post's does.
pub fn reference(recorded: &Recorded) -> String {
    recorded.hash.short()
}

/// Anything else the referee says; `name` is what its files are called.
pub fn of_post(post: &Post, name: &str) -> Message {
    of_post_with(post, name, Vec::new())
}

/// The same with further files.
pub fn of_post_with(post: &Post, name: &str, further: Vec<File>) -> Message {
    let (text, mut files) = laid_out(post, name, MOST);
    files.extend(further);
    Message::new(vec![Component::container(displays(&text))], files, None)
}

/// Pictures as files with their text alternatives. Drawing them takes a while.
pub fn drawn(pictures: &[Picture]) -> Vec<File> {
    let draw = |(n, picture): (usize, &Picture)| File {
        name: format!("picture-{}.png", n + 1),
        bytes: picture.png(PICTURE),
        alt: Some(sentences(&picture.alt(), LONGEST_ALT, units).to_owned()),
    };
    pictures.iter().enumerate().map(draw).collect()
}

/// A sentence in reply.
pub fn of_sentence(sentence: &str) -> Message {
    of_markdown(&escape(sentence), Vec::new())
}

/// A sentence in reply; what it tells to ask is spelled as a command.
pub fn of_told(told: &Told) -> Message {
    of_sentence(&match &told.hint {
        Some(hint) => format!("{}: {}", told.sentence, spell_for_chat(hint)),
        None => told.sentence.clone(),
    })
}

/// Text that already is in the platform's form, such as a mention; with files.
pub fn of_markdown(text: &str, files: Vec<File>) -> Message {
    Message::new(displays(&within(text)), files, None)
}

/// A post as text of at most `room` units, and the files that hold what is left out of it.
fn laid_out(post: &Post, name: &str, room: usize) -> (String, Vec<File>) {
    let verbatim: Vec<&str> = of_kind(post, true).map(|line| line.text.as_str()).collect();
    let mut end = String::new();
    let mut files = Vec::new();
    if !verbatim.is_empty() {
        files.push(File::text(format!("{name}.json"), verbatim.join("\n") + "\n"));
        end = format!("\n{}", messages::FOR_MACHINES);
    }
    if let Some(disclosure) = &post.disclosure {
        end.extend(disclosure.lines().map(|line| format!("\n-# {}", escape(line))));
    }
    let lines: Vec<String> = of_kind(post, false).map(line).collect();
    let left_out = format!("\n{}", messages::REST_IN_FILE);
    let room = room.saturating_sub(units(&end) + units(&left_out));
    let (mut text, whole) = beginning(&post.headline, &lines, room);
    if !whole {
        files.push(File::text(format!("{name}.txt"), post.text(FILE_WIDTH)));
        text.push_str(&left_out);
    }
    (text + &end, files)
}

/// The lines of a post for machines, or those for people.
fn of_kind(post: &Post, verbatim: bool) -> impl Iterator<Item = &crate::words::Line> {
    post.lines.iter().filter(move |line| (line.kind == LineKind::Verbatim) == verbatim)
}

/// A line of a post, indented as a list.
fn line(line: &crate::words::Line) -> String {
    let text = escape(&line.told(spell_for_chat));
    match line.depth {
        0 => text,
        depth => format!("{}- {text}", "  ".repeat(depth - 1)),
    }
}

/// Headline and as many lines as fit; whether all did.
fn beginning(headline: &str, lines: &[String], room: usize) -> (String, bool) {
    let (headline, mut whole) = shortened(headline);
    let mut text = format!("**{}**", escape(headline));
    for line in lines {
        if units(line) > MOST_AT_ONCE || units(&text) + 1 + units(line) > room {
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
    let fits = sentences(headline, LONGEST_HEADLINE, |text| units(&escape(text)));
    (fits, fits.len() == headline.len())
}

/// A text up to the last sentence that fits, however its length is measured.
fn sentences(text: &str, longest: usize, length: impl Fn(&str) -> usize) -> &str {
    if length(text) <= longest {
        return text;
    }
    let mut end = 0;
    for (at, _) in text.match_indices(". ") {
        if length(&text[..=at]) > longest {
            break;
        }
        end = at + 1;
    }
    text[..end].trim_end()
}

/// A text that may quote something of any length, cut where it would not fit.
fn within(text: &str) -> String {
    if units(text) <= MOST {
        return text.to_owned();
    }
    // Two units a character at most, so that half as many characters always fit.
    text.chars().take(MOST / 2 - 1).collect::<String>() + "…"
}

/// A text as text displays, each within its limit; broken between lines where that can be done.
fn displays(text: &str) -> Vec<Component> {
    let mut parts: Vec<String> = vec![String::new()];
    let mut add = |piece: &str, between: &str| {
        let part = parts.last_mut().expect("there is always one part");
        if part.is_empty() || units(part) + between.len() + units(piece) <= MOST_AT_ONCE {
            part.push_str(if part.is_empty() { "" } else { between });
            part.push_str(piece);
        } else {
            parts.push(piece.to_owned());
        }
    };
    for line in text.lines() {
        // No line that is laid out is longer; a sentence that quotes without measure may be.
        let pieces: Vec<char> = line.chars().collect();
        for (n, piece) in pieces.chunks(MOST_AT_ONCE / 2).enumerate() {
            add(&piece.iter().collect::<String>(), if n == 0 { "\n" } else { "" });
        }
    }
    parts.into_iter().map(Component::text).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::Value;

    /// The text of a message, component by component.
    fn texts(message: &Message) -> Vec<String> {
        fn of(component: &Value) -> Vec<String> {
            let inner = component["components"].as_array().cloned().unwrap_or_default();
            let own = component["content"].as_str().map(str::to_owned);
            own.into_iter().chain(inner.iter().flat_map(of)).collect()
        }
        let body = serde_json::to_value(message).unwrap();
        body["components"].as_array().unwrap().iter().flat_map(of).collect()
    }

    #[test]
    fn a_long_post_keeps_its_limits_and_its_whole_text_in_a_file() {
        let mut post = Post::new("Ford Wardens: stands. ".repeat(200));
        for n in 0..400 {
            post.line(1, format!("line {n} of the working"));
        }
        post.disclosure = Some("Roll 1".to_owned());
        let message = of_post(&post, "event-7");
        let texts = texts(&message);
        assert!(texts.iter().all(|text| units(text) <= 2000 && !text.is_empty()));
        let whole = texts.join("\n");
        assert!((3900..=4000).contains(&units(&whole)), "{}", units(&whole));
        let end = format!("{}\n-# Roll 1", messages::REST_IN_FILE);
        assert!(whole.starts_with("**Ford Wardens: stands.") && whole.ends_with(&end), "{whole}");
        let body = serde_json::to_value(&message).unwrap();
        assert_eq!(body["attachments"][0]["filename"], "event-7.txt");
        assert_eq!(body["components"][1]["file"]["url"], "attachment://event-7.txt");
        assert_eq!(message, Message::new(frame(&whole), vec![kept(&post)], None));
    }

    fn frame(text: &str) -> Vec<Component> {
        vec![Component::container(displays(text))]
    }

    fn kept(post: &Post) -> File {
        File::text("event-7.txt", post.text(FILE_WIDTH))
    }

    #[test]
    fn a_sentence_that_quotes_without_measure_is_cut_and_parted() {
        let texts = texts(&of_sentence(&"🐎".repeat(5000)));
        assert!(texts.len() == 2 && texts[1].ends_with('…'), "{}", texts.len());
        assert!(texts.iter().all(|text| units(text) <= 2000));
        assert!(texts.iter().map(|text| units(text)).sum::<usize>() <= 4000);
    }
}
