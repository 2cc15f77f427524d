//! Who asked, where, and under which id. Each has one spelling, which events hold and hash; no
//! other file takes these texts apart.

use crate::fair::{LONGEST_ID, is_origin, is_request_id};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::fmt;
use std::str::FromStr;
use std::sync::Arc;

/// A text that spells none of these.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("“{text}” is not {expected}")]
pub struct NotAnIdentity {
    /// The text, at most 60 characters of it.
    pub text: String,
    /// What it should be.
    pub expected: &'static str,
}

/// Where a battle is fought: a table, or a channel of a server. Each has a second place beside it
/// for the quick rulings that belong to no battle.
///
/// ```
/// use drumhead::protocol::Place;
/// let place: Place = "chat:7/42".parse().unwrap();
/// assert_eq!(place, Place::channel("chat", 7, 42));
/// assert_eq!(place.quick().to_string(), "chat:7/42#quick");
/// assert_eq!(place.quick().beside(), place);
/// ```
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Place {
    site: Site,
    quick: bool,
}

#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
enum Site {
    Table,
    Channel { platform: Arc<str>, server: u64, channel: u64 },
}

/// What comes behind a place's text for its quick rulings.
const QUICK: &str = "#quick";
/// The text of the table, as a place, as who asks there, and as where an id comes from.
const TABLE: &str = "table";

impl Place {
    /// The table in front of a terminal.
    pub const fn table() -> Self {
        Self { site: Site::Table, quick: false }
    }

    /// A channel or thread of a platform's server.
    pub fn channel(platform: &str, server: u64, channel: u64) -> Self {
        Self { site: Site::Channel { platform: platform.into(), server, channel }, quick: false }
    }

    /// The place beside this one that keeps its quick rulings.
    #[must_use]
    pub fn quick(&self) -> Self {
        Self { site: self.site.clone(), quick: true }
    }

    /// The place itself, where this is the one that keeps its quick rulings.
    #[must_use]
    pub fn beside(&self) -> Self {
        Self { site: self.site.clone(), quick: false }
    }

    /// Whether it keeps quick rulings.
    pub const fn is_quick(&self) -> bool {
        self.quick
    }

    /// The platform; none at a table.
    pub fn platform(&self) -> Option<&str> {
        match &self.site {
            Site::Table => None,
            Site::Channel { platform, .. } => Some(platform),
        }
    }

    /// The server's id; none at a table.
    pub const fn server(&self) -> Option<u64> {
        match self.site {
            Site::Table => None,
            Site::Channel { server, .. } => Some(server),
        }
    }

    /// The channel's or thread's id; none at a table.
    pub const fn channel_id(&self) -> Option<u64> {
        match self.site {
            Site::Table => None,
            Site::Channel { channel, .. } => Some(channel),
        }
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.site {
            Site::Table => f.write_str(TABLE)?,
            Site::Channel { platform, server, channel } => {
                write!(f, "{platform}:{server}/{channel}")?;
            }
        }
        if self.quick { f.write_str(QUICK) } else { Ok(()) }
    }
}

impl FromStr for Place {
    type Err = NotAnIdentity;

    fn from_str(text: &str) -> Result<Self, NotAnIdentity> {
        let wrong = || NotAnIdentity::new(text, "a place: table, or platform:server/channel");
        let (site, quick) = match text.strip_suffix(QUICK) {
            Some(site) => (site, true),
            None => (text, false),
        };
        if site == TABLE {
            return Ok(Self { site: Site::Table, quick });
        }
        let (platform, rest) = site.split_once(':').ok_or_else(wrong)?;
        let (server, channel) = rest.split_once('/').ok_or_else(wrong)?;
        let (Some(server), Some(channel), true) =
            (number(server), number(channel), is_origin(platform))
        else {
            return Err(wrong());
        };
        Ok(Self { quick, ..Self::channel(platform, server, channel) })
    }
}

/// The id of a request: where it comes from, and its id there. It is unique at its place across
/// battles, so that asking again never throws again.
///
/// ```
/// use drumhead::protocol::RequestId;
/// let id: RequestId = "table:m-1".parse().unwrap();
/// assert_eq!((id.origin(), id.id()), ("table", "m-1"));
/// assert!("table:two words".parse::<RequestId>().is_err());
/// ```
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct RequestId {
    text: String,
    colon: usize,
}

impl RequestId {
    /// The longest id behind its origin, in characters.
    pub const LONGEST: usize = LONGEST_ID;

    /// An id of that origin.
    ///
    /// # Errors
    /// If the origin is not 1 to 20 small letters, or the id not 1 to [`Self::LONGEST`] letters,
    /// digits, dots, hyphens, underscores or slashes, all of ASCII.
    pub fn new(origin: &str, id: &str) -> Result<Self, NotAnIdentity> {
        format!("{origin}:{id}").parse()
    }

    /// Where it comes from.
    pub fn origin(&self) -> &str {
        &self.text[..self.colon]
    }

    /// The id there.
    pub fn id(&self) -> &str {
        &self.text[self.colon + 1..]
    }

    /// The id of a request that this one needed first; at most one of each name.
    #[must_use]
    pub fn part(&self, name: &str) -> Self {
        Self { text: format!("{}/{name}", self.text), colon: self.colon }
    }

    /// The id of the request that needed this one first, up to its first slash; itself, if none
    /// did.
    #[must_use]
    pub fn whole(&self) -> Self {
        let end = self.id().find('/').map_or(self.text.len(), |slash| self.colon + 1 + slash);
        Self { text: self.text[..end].to_owned(), colon: self.colon }
    }
}

impl fmt::Display for RequestId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text)
    }
}

impl FromStr for RequestId {
    type Err = NotAnIdentity;

    fn from_str(text: &str) -> Result<Self, NotAnIdentity> {
        let wrong =
            || NotAnIdentity::new(text, "a request's id: where it comes from, a colon, an id");
        let colon = text.find(':').filter(|_| is_request_id(text)).ok_or_else(wrong)?;
        Ok(Self { colon, text: text.to_owned() })
    }
}

/// Who asked, as the record names them: never who they are on a platform.
///
/// ```
/// use drumhead::protocol::Who;
/// assert_eq!("person-4".parse(), Ok(Who::Person(4)));
/// assert_eq!(Who::Referee.to_string(), "referee");
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Who {
    /// Whoever sits at the table.
    Table,
    /// A person of a chat, by the number under which the record knows them, from 1.
    Person(u64),
    /// The referee itself, where a deadline asks and no person.
    Referee,
}

impl fmt::Display for Who {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Table => f.write_str(TABLE),
            Self::Person(n) => write!(f, "person-{n}"),
            Self::Referee => f.write_str("referee"),
        }
    }
}

impl FromStr for Who {
    type Err = NotAnIdentity;

    fn from_str(text: &str) -> Result<Self, NotAnIdentity> {
        match text {
            TABLE => return Ok(Self::Table),
            "referee" => return Ok(Self::Referee),
            _ => {}
        }
        let n = text.strip_prefix("person-").and_then(number).filter(|n| *n > 0);
        n.map(Self::Person)
            .ok_or_else(|| NotAnIdentity::new(text, "who asked: table, person-N or referee"))
    }
}

/// Who holds an office besides the one who opened the battle.
///
/// ```
/// use drumhead::protocol::Appointee;
/// assert_eq!("role-9".parse(), Ok(Appointee::Role(9)));
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Appointee {
    /// A person, by the number under which the record knows them.
    Person(u64),
    /// Everyone with that role on the platform, by the platform's id.
    Role(u64),
}

impl fmt::Display for Appointee {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Person(n) => write!(f, "person-{n}"),
            Self::Role(id) => write!(f, "role-{id}"),
        }
    }
}

impl FromStr for Appointee {
    type Err = NotAnIdentity;

    fn from_str(text: &str) -> Result<Self, NotAnIdentity> {
        let person = text.strip_prefix("person-").and_then(number).filter(|n| *n > 0);
        let role = text.strip_prefix("role-").and_then(number).filter(|id| *id > 0);
        person
            .map(Self::Person)
            .or(role.map(Self::Role))
            .ok_or_else(|| NotAnIdentity::new(text, "who holds an office: person-N or role-ID"))
    }
}

/// The office in which something was asked.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Office {
    /// A referee of the battle: whoever opened it, or was appointed.
    Referee,
    /// A captain of that side.
    Captain(String),
    /// Whoever may manage the server.
    Manager,
    /// None: what anyone may ask.
    Anyone,
}

impl NotAnIdentity {
    fn new(text: &str, expected: &'static str) -> Self {
        let start: String = text.chars().take(60).collect();
        Self { text: crate::text::harmless(&start), expected }
    }
}

/// A whole number in its one spelling: without a sign or a leading zero.
fn number(text: &str) -> Option<u64> {
    text.parse().ok().filter(|number: &u64| number.to_string() == text)
}

macro_rules! as_text {
    ($($identity:ty),*) => {$(
        impl Serialize for $identity {
            fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.collect_str(self)
            }
        }

        impl<'de> Deserialize<'de> for $identity {
            fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                let text = std::borrow::Cow::<'de, str>::deserialize(deserializer)?;
                text.parse().map_err(serde::de::Error::custom)
            }
        }
    )*};
}

as_text!(Appointee, Place, RequestId, Who);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_reads_back_in_its_one_spelling_and_nothing_else_does() {
        for text in ["table", "table#quick", "chat:1/2", "chat:1/2#quick"] {
            assert_eq!(text.parse::<Place>().unwrap().to_string(), text);
        }
        for text in
            ["", "table#", "chat:1", "chat:01/2", "chat:1/2#quick#quick", "Chat:1/2", ":1/2"]
        {
            assert!(text.parse::<Place>().is_err(), "{text}");
        }
        for text in ["table:m-1", "demo:7", "chat:1234/opening"] {
            assert_eq!(text.parse::<RequestId>().unwrap().to_string(), text);
        }
        for text in ["", "table", "table:", ":x", "table:ä", "table:a\nb", "Table:x"] {
            assert!(text.parse::<RequestId>().is_err(), "{text}");
        }
        for text in ["table", "person-1", "referee"] {
            assert_eq!(text.parse::<Who>().unwrap().to_string(), text);
        }
        for text in ["person-1", "role-123"] {
            assert_eq!(text.parse::<Appointee>().unwrap().to_string(), text);
        }
        for text in ["", "person-0", "role-", "role-0", "table", "referee"] {
            assert!(text.parse::<Appointee>().is_err(), "{text}");
        }
        for text in ["", "person-", "person-0", "person-01", "person--1", "role-1", "Table"] {
            assert!(text.parse::<Who>().is_err(), "{text}");
        }
    }

    #[test]
    fn a_part_of_a_request_leads_back_to_the_whole() {
        let whole: RequestId = "chat:1234".parse().unwrap();
        assert_eq!(whole.part("opening").to_string(), "chat:1234/opening");
        assert_eq!(whole.part("opening").whole(), whole);
        assert_eq!(whole.whole(), whole);
    }

    #[test]
    fn a_wrong_one_says_what_it_should_be() {
        assert_eq!(
            "somebody".parse::<Who>().unwrap_err().to_string(),
            "“somebody” is not who asked: table, person-N or referee"
        );
    }
}
