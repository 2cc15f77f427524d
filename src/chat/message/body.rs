//! Messages, as they are posted, edited and given in answer:
//! <https://discord.com/developers/docs/resources/message>.

use super::component::Component;
use crate::chat::platform::{Parcel, Upload};
use serde::Serialize;

/// The flag of a message that only one person sees.
pub const EPHEMERAL: u64 = 1 << 6;
/// The flag of a message made of components alone: it has neither content nor embeds.
const IS_COMPONENTS_V2: u64 = 1 << 15;

/// A message, with the files that go with it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Message {
    flags: u64,
    components: Vec<Component>,
    allowed_mentions: AllowedMentions,
    /// An edit keeps only the files listed, so an edit made twice leaves the same message.
    attachments: Vec<Attachment>,
    #[serde(skip_serializing_if = "Option::is_none")]
    nonce: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    enforce_nonce: Option<bool>,
    #[serde(skip)]
    files: Vec<File>,
}

/// A file that goes with a message.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct File {
    /// Its name, alone in its message.
    pub name: String,
    /// What it holds.
    pub bytes: Vec<u8>,
    /// What a picture shows, for those who cannot see it; nothing but a picture has it.
    pub alt: Option<String>,
}

/// Who is called by what a message says: nobody, whatever names and words it quotes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
struct AllowedMentions {
    parse: [&'static str; 0],
}

/// A file that comes with the message, as its body lists it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
struct Attachment {
    /// The place of the file among those sent; a string, as the published description has it.
    id: String,
    filename: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    description: Option<String>,
}

impl File {
    /// A file of text.
    pub fn text(name: impl Into<String>, text: impl Into<String>) -> Self {
        Self { name: name.into(), bytes: text.into().into_bytes(), alt: None }
    }
}

impl Message {
    /// A message: what it says, its files (pictures in a gallery, others to be opened), and the
    /// buttons under it.
    pub fn new(said: Vec<Component>, files: Vec<File>, buttons: Option<Component>) -> Self {
        let mut components = said;
        let pictures = || files.iter().filter_map(|file| Some((&*file.name, file.alt.as_deref()?)));
        if pictures().next().is_some() {
            components.push(Component::gallery(pictures()));
        }
        let others = files.iter().filter(|file| file.alt.is_none());
        components.extend(others.map(|file| Component::file(&file.name)));
        components.extend(buttons);
        let attachment = |(n, file): (usize, &File)| Attachment {
            id: n.to_string(),
            filename: file.name.clone(),
            description: file.alt.clone(),
        };
        Self {
            flags: IS_COMPONENTS_V2,
            components,
            allowed_mentions: AllowedMentions { parse: [] },
            attachments: files.iter().enumerate().map(attachment).collect(),
            nonce: None,
            enforce_nonce: None,
            files,
        }
    }

    /// The same message for one person's eyes.
    pub const fn private(mut self) -> Self {
        self.flags |= EPHEMERAL;
        self
    }

    /// The same message with a nonce, at most 25 characters: the platform refuses a second one
    /// with the same nonce in the same channel.
    pub fn once(mut self, nonce: String) -> Self {
        self.nonce = Some(nonce);
        self.enforce_nonce = Some(true);
        self
    }

    /// The bytes of its files.
    pub fn size(&self) -> usize {
        self.files.iter().map(|file| file.bytes.len()).sum()
    }

    /// What is sent.
    pub fn parcel(&self) -> Parcel {
        let upload = |file: &File| Upload { name: file.name.clone(), bytes: file.bytes.clone() };
        Parcel::with_files(self, self.files.iter().map(upload).collect())
    }
}
