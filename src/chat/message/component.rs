//! The platform's components, of which messages and forms are made:
//! <https://discord.com/developers/docs/components/reference>.

use serde::Serialize;

/// The numbers by which the platform tells components apart.
const ACTION_ROW: u8 = 1;
const BUTTON: u8 = 2;
const TEXT_INPUT: u8 = 4;
const TEXT_DISPLAY: u8 = 10;
const MEDIA_GALLERY: u8 = 12;
const FILE: u8 = 13;
const CONTAINER: u8 = 17;

/// The number of a text input that takes one line.
const SHORT: u8 = 1;

/// A component of a message or of a form.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(untagged)]
pub enum Component {
    /// Components side by side: up to five buttons, or one text input.
    ActionRow(ActionRow),
    /// A button.
    Button(Button),
    /// A field of a form.
    TextInput(TextInput),
    /// Text in the platform's markdown.
    TextDisplay(TextDisplay),
    /// Pictures, one to ten.
    MediaGallery(MediaGallery),
    /// A file to open.
    File(FileShown),
    /// A frame around other components.
    Container(Container),
}

/// Components side by side.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ActionRow {
    #[serde(rename = "type")]
    kind: u8,
    components: Vec<Component>,
}

/// A button that tells the bot that it was pressed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Button {
    #[serde(rename = "type")]
    kind: u8,
    style: Style,
    label: String,
    custom_id: String,
}

/// How a button looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(into = "u8")]
pub enum Style {
    /// It stands out.
    Primary,
    /// It is quiet.
    Secondary,
}

impl From<Style> for u8 {
    fn from(style: Style) -> Self {
        match style {
            Style::Primary => 1,
            Style::Secondary => 2,
        }
    }
}

/// A field of a form.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct TextInput {
    #[serde(rename = "type")]
    kind: u8,
    style: u8,
    custom_id: String,
    label: String,
    min_length: u16,
    max_length: u16,
    required: bool,
}

/// Text in the platform's markdown.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct TextDisplay {
    #[serde(rename = "type")]
    kind: u8,
    content: String,
}

/// Pictures.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct MediaGallery {
    #[serde(rename = "type")]
    kind: u8,
    items: Vec<MediaItem>,
}

/// A picture with what it shows.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct MediaItem {
    media: Media,
    description: String,
}

/// A file that comes with the message.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct FileShown {
    #[serde(rename = "type")]
    kind: u8,
    file: Media,
}

/// Where a file is: among those that come with the message.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
struct Media {
    url: String,
}

/// A frame.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Container {
    #[serde(rename = "type")]
    kind: u8,
    components: Vec<Component>,
}

impl Component {
    /// Components side by side.
    pub const fn row(components: Vec<Self>) -> Self {
        Self::ActionRow(ActionRow { kind: ACTION_ROW, components })
    }

    /// A button.
    pub fn button(style: Style, label: &str, custom_id: String) -> Self {
        Self::Button(Button { kind: BUTTON, style, label: label.to_owned(), custom_id })
    }

    /// A field of one line that must be filled in, with so many characters at least and at most.
    pub fn text_input(custom_id: &str, label: &str, (least, most): (u16, u16)) -> Self {
        Self::TextInput(TextInput {
            kind: TEXT_INPUT,
            style: SHORT,
            custom_id: custom_id.to_owned(),
            label: label.to_owned(),
            min_length: least,
            max_length: most,
            required: true,
        })
    }

    /// Text in the platform's markdown.
    pub const fn text(content: String) -> Self {
        Self::TextDisplay(TextDisplay { kind: TEXT_DISPLAY, content })
    }

    /// Pictures that come with the message: their files' names, and what they show.
    pub fn gallery<'a>(pictures: impl Iterator<Item = (&'a str, &'a str)>) -> Self {
        let item = |(name, alt): (&str, &str)| MediaItem {
            media: Media::attached(name),
            description: alt.to_owned(),
        };
        Self::MediaGallery(MediaGallery {
            kind: MEDIA_GALLERY,
            items: pictures.map(item).collect(),
        })
    }

    /// A file that comes with the message, by its name.
    pub fn file(name: &str) -> Self {
        Self::File(FileShown { kind: FILE, file: Media::attached(name) })
    }

    /// A frame around other components.
    pub const fn container(components: Vec<Self>) -> Self {
        Self::Container(Container { kind: CONTAINER, components })
    }
}

impl Media {
    /// A file of the same message, as the reference has it under “Uploading Files”.
    fn attached(name: &str) -> Self {
        Self { url: format!("attachment://{name}") }
    }
}
