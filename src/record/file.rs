//! A record's file as a file: whose it is, what it holds, and what lies beside it.

use super::address::{Address, has_other_names};
use std::fs::{File, OpenOptions};
use std::io::{self, Read as _};
use std::path::Path;

/// What the files beside a database's own end in while it is open, or after a kill.
const ENDINGS: [&str; 3] = ["-wal", "-shm", "-journal"];

/// How such a database begins, and where its program's number is: <https://sqlite.org/fileformat.html>.
const BEGINNING: &[u8; 16] = b"SQLite format 3\0";
const HEADER: usize = 100;
const PROGRAM: usize = 68;
/// Where the count of changes to the tables is.
const SCHEMA: usize = 40;
/// The number by which a record is known, “drum”; the first migration writes it.
const OURS: &[u8; 4] = b"drum";

/// What a file holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Holds {
    /// Nothing at all, or there is no file.
    Nothing,
    /// A record.
    Record,
    /// Another program's database.
    Foreign,
    /// Something else.
    NoDatabase,
}

/// What the file holds, by its beginning alone: nothing is written and no lock is taken.
pub(super) fn holds(file: &Path) -> io::Result<Holds> {
    let mut opened = match File::open(file) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Holds::Nothing),
        opened => opened?,
    };
    let mut header = Vec::with_capacity(HEADER);
    opened.by_ref().take(HEADER as u64).read_to_end(&mut header)?;
    Ok(match header.as_slice() {
        [] => Holds::Nothing,
        header if header.len() < HEADER || !header.starts_with(BEGINNING) => Holds::NoDatabase,
        header if header[PROGRAM..].starts_with(OURS) => Holds::Record,
        // Begun, and nothing made in it yet: a run that was killed while it set a record up.
        header
            if header[PROGRAM..].starts_with(&[0; 4]) && header[SCHEMA..].starts_with(&[0; 4]) =>
        {
            Holds::Nothing
        }
        _ => Holds::Foreign,
    })
}

/// How long a database's file is by what it says of itself, in bytes.
pub(super) fn whole_length(file: &Path) -> io::Result<u64> {
    let mut header = [0; HEADER];
    File::open(file)?.read_exact(&mut header)?;
    let page = match u16::from_be_bytes([header[16], header[17]]) {
        // The largest page does not fit into two bytes.
        1 => 65_536,
        page => u64::from(page),
    };
    Ok(page * u64::from(u32::from_be_bytes([header[28], header[29], header[30], header[31]])))
}

/// Makes the file for its owner alone, unless it is there: the files that the database makes beside
/// it are then for its owner alone too.
pub(super) fn make_private(file: &Path) -> io::Result<()> {
    match private().create_new(true).open(file) {
        Err(error) if error.kind() == io::ErrorKind::AlreadyExists => Ok(()),
        made => made.map(drop),
    }
}

/// How a file for its owner alone is opened.
pub(super) fn private() -> OpenOptions {
    let mut options = OpenOptions::new();
    options.read(true).write(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    options
}

/// Opens a file of the record's own, for its owner alone, and begins it if that is asked; nothing
/// is read or written through a link.
pub(super) fn open_own(file: &Path, begin: bool) -> io::Result<File> {
    if file.symlink_metadata().is_ok_and(|found| !found.is_file()) || has_other_names(file) {
        return Err(io::ErrorKind::AlreadyExists.into());
    }
    private().create(begin).truncate(false).open(file)
}

/// A file that lies beside a database's own and holds something.
pub(super) fn leftover(record: &Address) -> Option<Address> {
    let beside = ENDINGS.map(|ending| record.beside(ending));
    beside.into_iter().find(|file| is_more_than_nothing(file.path()))
}

/// Whether there is such a file, and it is not empty.
pub(super) fn is_more_than_nothing(file: &Path) -> bool {
    file.metadata().is_ok_and(|file| file.len() > 0)
}

/// Brings the names in a file's folder to the disk.
pub(super) fn sync_folder(file: &Path) -> io::Result<()> {
    // Elsewhere a folder cannot be opened, and names are kept otherwise.
    if cfg!(unix) {
        File::open(file.parent().unwrap_or(Path::new(".")))?.sync_all()?;
    }
    Ok(())
}
