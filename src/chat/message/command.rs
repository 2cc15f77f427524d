//! Commands, as they are registered, and the choices that their options offer:
//! <https://discord.com/developers/docs/interactions/application-commands>.

use serde::Serialize;

/// The number of a command that is typed behind a slash.
const CHAT_INPUT: u8 = 1;

/// Where a command can be used.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(into = "u8")]
pub enum Context {
    /// In a server's channels and threads.
    Server,
    /// In private messages with the bot.
    Private,
}

impl From<Context> for u8 {
    fn from(context: Context) -> Self {
        match context {
            Context::Server => 0,
            Context::Private => 1,
        }
    }
}

/// A command to be registered.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Command {
    #[serde(rename = "type")]
    kind: u8,
    name: String,
    description: String,
    /// A number or null, as the published description has it: null leaves it to everyone.
    default_member_permissions: Option<u64>,
    contexts: Vec<Context>,
    options: Vec<CommandOption>,
}

/// What an option takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(into = "u8")]
pub enum OptionKind {
    /// It is a command of its own.
    SubCommand,
    /// Text.
    Text,
    /// A whole number.
    Integer,
    /// Yes or no.
    Boolean,
    /// Somebody.
    User,
    /// A role.
    Role,
}

impl From<OptionKind> for u8 {
    fn from(kind: OptionKind) -> Self {
        match kind {
            OptionKind::SubCommand => 1,
            OptionKind::Text => 3,
            OptionKind::Integer => 4,
            OptionKind::Boolean => 5,
            OptionKind::User => 6,
            OptionKind::Role => 8,
        }
    }
}

/// An option of a command.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct CommandOption {
    #[serde(rename = "type")]
    kind: OptionKind,
    name: String,
    description: String,
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    required: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    min_value: Option<i64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    max_value: Option<i64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    max_length: Option<u16>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    choices: Vec<Choice>,
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    autocomplete: bool,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    options: Vec<Self>,
}

/// Something to choose: shown and sent as the same word.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Choice {
    name: String,
    value: String,
}

impl Command {
    /// A command for everyone, in those places.
    pub fn new(
        name: &str,
        description: &str,
        contexts: Vec<Context>,
        options: Vec<CommandOption>,
    ) -> Self {
        Self {
            kind: CHAT_INPUT,
            name: name.to_owned(),
            description: description.to_owned(),
            default_member_permissions: None,
            contexts,
            options,
        }
    }
}

impl CommandOption {
    /// An option that may be left out.
    pub fn new(kind: OptionKind, name: &str, description: &str) -> Self {
        Self {
            kind,
            name: name.to_owned(),
            description: description.to_owned(),
            required: false,
            min_value: None,
            max_value: None,
            max_length: None,
            choices: Vec::new(),
            autocomplete: false,
            options: Vec::new(),
        }
    }

    /// A command inside a command, with its options.
    pub fn sub_command(name: &str, description: &str, options: Vec<Self>) -> Self {
        Self { options, ..Self::new(OptionKind::SubCommand, name, description) }
    }

    /// The same option, to be given always if so.
    pub const fn required(mut self, required: bool) -> Self {
        self.required = required;
        self
    }

    /// The same option with its least and greatest number.
    pub const fn within(mut self, least: i64, most: i64) -> Self {
        (self.min_value, self.max_value) = (Some(least), Some(most));
        self
    }

    /// The same option with the most characters it takes.
    pub const fn at_most(mut self, characters: u16) -> Self {
        self.max_length = Some(characters);
        self
    }

    /// The same option as one of a few words.
    pub fn one_of(mut self, choices: Vec<Choice>) -> Self {
        self.choices = choices;
        self
    }

    /// The same option with completion while it is typed.
    pub const fn completed(mut self) -> Self {
        self.autocomplete = true;
        self
    }
}

impl Choice {
    /// The platform takes at most so many choices at once.
    pub const MOST: usize = 25;
    /// The most characters of a choice.
    pub const LONGEST: usize = 100;

    /// A word to choose; none if the platform would not take it.
    pub fn new(word: &str) -> Option<Self> {
        let fits = (1..=Self::LONGEST).contains(&word.encode_utf16().count());
        fits.then(|| Self { name: word.to_owned(), value: word.to_owned() })
    }
}
