//! Whole copies of a record, and back.

use super::StartError;
use super::transfer::existing;
use crate::files::FileError;
use crate::referee::{Referee, RulesLibrary};
use std::io::ErrorKind;
use std::path::Path;

/// Writes a whole and consistent copy of a record, also while a front is using it.
pub(super) async fn back_up(record: &Path, copy: &Path) -> Result<(), StartError> {
    must_be_new(copy)?;
    let referee = existing(Some(record.to_owned())).await?;
    let done = referee.back_up(copy).await;
    referee.close().await;
    done?;
    println!("The copy is whole: {}", copy.display());
    Ok(())
}

/// Puts a copy where no record is, once it has been found sound.
pub(super) async fn restore(copy: &Path, record: &Path) -> Result<(), StartError> {
    must_be_new(record)?;
    // Until it is found sound the copy has another name, so that nothing serves it.
    let mut beside = record.as_os_str().to_owned();
    beside.push(".restoring");
    let beside = Path::new(&beside);
    must_be_new(beside)?;
    std::fs::copy(copy, beside).map_err(|error| FileError::new(copy, error))?;
    let sound = soundness(beside).await;
    if let Err(trouble) = sound {
        // What is left of it is of no use to anyone.
        let _ = std::fs::remove_file(beside);
        return Err(trouble);
    }
    std::fs::rename(beside, record).map_err(|error| FileError::new(record, error))?;
    println!("The record is back: {}", record.display());
    Ok(())
}

async fn soundness(file: &Path) -> Result<(), StartError> {
    let referee = Referee::open(file, RulesLibrary::shipped()).await?;
    let sound = referee.is_sound().await;
    referee.close().await;
    Ok(sound?)
}

fn must_be_new(file: &Path) -> Result<(), StartError> {
    if file.exists() {
        return Err(FileError::new(file, ErrorKind::AlreadyExists).into());
    }
    Ok(())
}
