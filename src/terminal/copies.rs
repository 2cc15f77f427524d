//! Whole copies of a record, and back.

use super::StartError;
use super::transfer::existing;
use crate::record;
use std::path::Path;

/// Writes a whole and consistent copy of a record, also while a front is using it.
pub(super) async fn back_up(record: &Path, copy: &Path) -> Result<(), StartError> {
    let record = existing(Some(record.to_owned())).await?;
    let done = record.back_up(copy).await;
    record.close().await;
    done?;
    println!("The copy is whole: {}", copy.display());
    Ok(())
}

/// Puts a copy where no record is, once it has been found sound.
pub(super) async fn restore(copy: &Path, record: &Path) -> Result<(), StartError> {
    record::restore(copy, record).await?;
    println!("The record is back: {}", record.display());
    Ok(())
}
