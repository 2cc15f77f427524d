//! Those who were acknowledged and wait for an answer, each until it is given.
//!
//! They stand in a file beside the record and not in it: who waits is noted before the
//! acknowledgement, which a turn with the database would hold up. Each has a line of the file, all
//! of one length, and it is written over as soon as they are answered: no token stays there longer.
//!
//! Only the program that serves the record writes this file. Whoever still has a line when one
//! begins to serve was left waiting by one that was killed. Nobody waits for the disk here: a kill
//! undoes no line, and a power cut may take the latest with it.

use super::address::Address;
use super::{Record, RecordError, file};
use crate::protocol::{Place, RequestId};
use serde::{Deserialize, Serialize};
use std::fs::File;
use std::io::{self, Read as _, Seek as _, Write as _};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// The bytes of a line with its end: twice what a token of the usual length needs.
const LINE: usize = 1024;

/// Somebody who waits.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Waiting {
    /// Where they asked.
    pub place: Place,
    /// What they asked.
    pub asked: RequestId,
    /// How they are answered, in the front's own words.
    pub via: String,
}

impl Record {
    /// Notes that somebody waits for an answer.
    pub fn waits(&self, waiting: Waiting) -> Result<(), RecordError> {
        self.waiting.held().add(waiting).map_err(RecordError::of_file)
    }

    /// Notes that they were answered.
    pub fn waits_no_more(&self, asked: &RequestId) -> Result<(), RecordError> {
        let mut list = self.waiting.held();
        list.clear(|waiting| waiting.asked == *asked).map_err(RecordError::of_file)
    }

    /// Everybody who waits on a platform for what no event has answered.
    pub async fn waiting_on(&self, platform: &str) -> Result<Vec<Waiting>, RecordError> {
        let waiting = self.waiting.held().all().map_err(RecordError::of_file)?;
        let mut unanswered = Vec::new();
        for waiting in waiting {
            if waiting.place.platform() == Some(platform)
                && self.answered(&waiting.place, &waiting.asked).await?.is_none()
            {
                unanswered.push(waiting);
            }
        }
        Ok(unanswered)
    }

    /// The same, before anything is asked: those whom an earlier run left waiting. Whom an event
    /// has answered is forgotten.
    pub async fn left_waiting(&self, platform: &str) -> Result<Vec<Waiting>, RecordError> {
        let left = self.waiting_on(platform).await?;
        let answered = |waiting: &Waiting| {
            waiting.place.platform() == Some(platform) && !left.contains(waiting)
        };
        self.waiting.held().clear(answered).map_err(RecordError::of_file)?;
        Ok(left)
    }
}

/// Who waits, and the file where they stand.
#[derive(Debug, Clone)]
pub(super) struct WaitingList(Arc<Mutex<Lines>>);

impl WaitingList {
    /// The list of the record at that address; in memory alone without one.
    pub fn of(record: Option<&Address>) -> Self {
        let file = record.map(|record| record.beside("-waiting"));
        Self(Arc::new(Mutex::new(Lines { file, open: None, held: None })))
    }

    /// Takes the file away if this program wrote it and nobody waits.
    pub fn close(&self) {
        let mut list = self.held();
        if list.open.take().is_some() && list.all().is_ok_and(|all| all.is_empty()) {
            list.remove();
        }
    }

    /// Takes the file away: what an earlier record left there means nothing for this one.
    pub fn remove(&self) {
        self.held().remove();
    }

    /// A panic leaves at most a line that is free for the next.
    fn held(&self) -> MutexGuard<'_, Lines> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// The lines of the file.
#[derive(Debug)]
struct Lines {
    /// None for a record in memory.
    file: Option<Address>,
    /// The file while this program writes to it.
    open: Option<File>,
    /// What each line holds, once they have been read.
    held: Option<Vec<Option<Waiting>>>,
}

impl Lines {
    /// Puts somebody on the first free line.
    fn add(&mut self, waiting: Waiting) -> io::Result<()> {
        let lines = self.lines()?;
        let free = lines.iter().position(Option::is_none).unwrap_or(lines.len());
        if free == lines.len() {
            lines.push(None);
        }
        let text = serde_json::to_vec(&Written::from(&waiting))?;
        self.write(free, text)?;
        self.lines()?[free] = Some(waiting);
        Ok(())
    }

    /// Writes over the lines of those who are meant.
    fn clear(&mut self, is_meant: impl Fn(&Waiting) -> bool) -> io::Result<()> {
        for n in 0..self.lines()?.len() {
            if self.lines()?[n].take_if(|waiting| is_meant(waiting)).is_some() {
                self.write(n, Vec::new())?;
            }
        }
        Ok(())
    }

    /// Everybody on the list.
    fn all(&mut self) -> io::Result<Vec<Waiting>> {
        Ok(self.lines()?.iter().flatten().cloned().collect())
    }

    fn lines(&mut self) -> io::Result<&mut Vec<Option<Waiting>>> {
        let lines = match self.held.take() {
            Some(lines) => lines,
            None => self.file.as_ref().map(read).transpose()?.unwrap_or_default(),
        };
        Ok(self.held.insert(lines))
    }

    /// Writes one line, filled up with blanks, in one call, so that a kill leaves all or nothing.
    fn write(&mut self, n: usize, mut text: Vec<u8>) -> io::Result<()> {
        let Some(address) = &self.file else { return Ok(()) };
        if text.len() >= LINE {
            return Err(io::ErrorKind::FileTooLarge.into());
        }
        text.resize(LINE - 1, b' ');
        text.push(b'\n');
        let file = match self.open.take() {
            Some(file) => file,
            None => file::open_own(address.path(), true)?,
        };
        let file = self.open.insert(file);
        file.seek(io::SeekFrom::Start((n * LINE) as u64))?;
        file.write_all(&text)
    }

    fn remove(&mut self) {
        if let Some(file) = &self.file {
            // It may not be there.
            let _ = std::fs::remove_file(file.path());
        }
    }
}

/// What the lines of a file hold; what a power cut or a full disk left of a line is a free one.
fn read(address: &Address) -> io::Result<Vec<Option<Waiting>>> {
    let mut bytes = Vec::new();
    match file::open_own(address.path(), false) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Vec::new()),
        file => file?.read_to_end(&mut bytes)?,
    };
    let waiting = |line: &[u8]| serde_json::from_slice::<Written>(line).ok()?.waiting();
    Ok(bytes.chunks(LINE).map(waiting).collect())
}

/// Somebody who waits, as a line says it.
#[derive(Serialize, Deserialize)]
struct Written {
    place: String,
    asked: String,
    via: String,
}

impl Written {
    fn waiting(self) -> Option<Waiting> {
        let (place, asked) = (self.place.parse().ok()?, self.asked.parse().ok()?);
        Some(Waiting { place, asked, via: self.via })
    }
}

impl From<&Waiting> for Written {
    fn from(Waiting { place, asked, via }: &Waiting) -> Self {
        Self { place: place.to_string(), asked: asked.to_string(), via: via.clone() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn waiting(n: u32, via: &str) -> Waiting {
        let asked = RequestId::new("chat", &n.to_string()).unwrap();
        Waiting { place: Place::channel("chat", 7, 8), asked, via: via.to_owned() }
    }

    fn record(folder: &tempfile::TempDir) -> Address {
        Address::of(&folder.path().join("record.db")).unwrap()
    }

    #[test]
    fn a_line_is_written_over_once_it_is_answered_and_used_again() {
        let folder = tempfile::tempdir().unwrap();
        let address = record(&folder);
        let list = WaitingList::of(Some(&address));
        let [ida, una, bea] =
            [waiting(1, "to Ida"), waiting(2, "to Una"), waiting(3, "to \"Bea\"")];
        list.held().add(ida.clone()).unwrap();
        list.held().add(una.clone()).unwrap();
        let text = || std::fs::read_to_string(address.beside("-waiting").path()).unwrap();
        assert!(text().contains("to Ida") && text().len() == 2 * LINE, "{}", text());
        list.held().clear(|waiting| waiting.asked == ida.asked).unwrap();
        assert!(!text().contains("to Ida") && text().contains("to Una"), "{}", text());
        list.held().add(bea.clone()).unwrap();
        assert_eq!(text().len(), 2 * LINE);
        // Whoever reads the file anew finds the same, after a kill too.
        assert_eq!(WaitingList::of(Some(&address)).held().all().unwrap(), [bea, una]);
        list.close();
        assert!(address.beside("-waiting").path().exists(), "somebody waits");
        list.held().clear(|_| true).unwrap();
        assert_eq!(text().trim(), "");
        WaitingList::of(Some(&address)).close();
        assert!(address.beside("-waiting").path().exists(), "others leave it alone");
        list.close();
        assert!(!address.beside("-waiting").path().exists());
    }

    #[test]
    fn a_broken_line_is_a_free_one_and_a_line_too_long_is_refused() {
        let folder = tempfile::tempdir().unwrap();
        let address = record(&folder);
        let file = address.beside("-waiting");
        let list = WaitingList::of(Some(&address));
        for n in 1..=3 {
            list.held().add(waiting(n, "here")).unwrap();
        }
        let mut bytes = std::fs::read(file.path()).unwrap();
        bytes[LINE..LINE + 20].fill(0);
        bytes.truncate(2 * LINE + 9);
        std::fs::write(file.path(), bytes).unwrap();
        let list = WaitingList::of(Some(&address));
        assert_eq!(list.held().all().unwrap(), [waiting(1, "here")]);
        assert!(list.held().add(waiting(4, &"x".repeat(LINE))).is_err());
        list.held().add(waiting(5, "there")).unwrap();
        assert_eq!(list.held().all().unwrap(), [waiting(1, "here"), waiting(5, "there")]);
        assert_eq!(WaitingList::of(Some(&address)).held().all().unwrap().len(), 2);
    }

    #[test]
    fn nothing_is_written_through_a_link_and_nobody_else_may_read() {
        use std::os::unix::fs::PermissionsExt as _;
        let folder = tempfile::tempdir().unwrap();
        let address = record(&folder);
        let file = address.beside("-waiting");
        std::os::unix::fs::symlink("elsewhere", file.path()).unwrap();
        assert!(WaitingList::of(Some(&address)).held().add(waiting(1, "here")).is_err());
        assert!(!folder.path().join("elsewhere").exists());
        std::fs::remove_file(file.path()).unwrap();
        WaitingList::of(Some(&address)).held().add(waiting(1, "here")).unwrap();
        assert_eq!(file.path().metadata().unwrap().permissions().mode() & 0o777, 0o600);
    }

    #[test]
    fn a_list_in_memory_needs_no_file() {
        let list = WaitingList::of(None);
        list.held().add(waiting(1, "here")).unwrap();
        assert_eq!(list.held().all().unwrap(), [waiting(1, "here")]);
        list.held().clear(|_| true).unwrap();
        assert!(list.held().all().unwrap().is_empty());
        list.close();
    }
}
