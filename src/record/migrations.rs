//! Bringing a record's tables up to date, one migration after another.
//!
//! A migration that has been released is never changed. Each that was run is kept with the SHA-256
//! of its text, so that a record of a later release, or of none, is recognised.

use super::RecordError;
use super::store::{Row, Store, Transaction};
use crate::digest::Digest;

/// The migrations of a `SQLite` record, from number 1.
const SQLITE: [&str; 1] = [include_str!("../../migrations/sqlite/0001_record.sql")];

const TABLE: &str = "CREATE TABLE IF NOT EXISTS migrations \
    (number INTEGER NOT NULL PRIMARY KEY, sha256 TEXT NOT NULL)";
const DONE: &str = "SELECT sha256 FROM migrations ORDER BY number";

impl Store {
    /// Every migration, in order.
    const fn migrations(&self) -> &'static [&'static str] {
        match self {
            Self::Sqlite { .. } => &SQLITE,
        }
    }

    /// Whether the tables are those of this release.
    pub async fn is_current(&self) -> Result<bool, RecordError> {
        Ok(self.run_so_far().await? == self.migrations().len())
    }

    /// Whether the tables are just as the migrations that were run make them.
    pub async fn is_as_made(&self) -> Result<(), RecordError> {
        let anew = Self::in_memory().await?;
        anew.migrate_to(self.run_so_far().await?).await?;
        let made = anew.catalogue().await?;
        anew.close().await;
        if self.catalogue().await? == made {
            return Ok(());
        }
        Err(RecordError::Damaged("its tables are not as they were made".to_owned()))
    }

    /// Runs the migrations that were not run yet: all of them or none.
    pub async fn migrate(&self) -> Result<(), RecordError> {
        self.migrate_to(self.migrations().len()).await
    }

    /// The same, up to the one with that number.
    async fn migrate_to(&self, last: usize) -> Result<(), RecordError> {
        let mut transaction = self.begin().await?;
        transaction.migrate(TABLE).await?;
        // Another program may have run some of them meanwhile.
        let so_far = so_far(&transaction.all(DONE, []).await?, self.migrations())?;
        let all = (1_u32..).zip(self.migrations());
        for (number, text) in all.take(last).skip(so_far) {
            run(&mut transaction, number, text).await?;
        }
        Ok(transaction.commit().await?)
    }

    /// How many migrations were run.
    async fn run_so_far(&self) -> Result<usize, RecordError> {
        so_far(&self.all(DONE, []).await?, self.migrations())
    }
}

fn so_far(rows: &[Row], all: &[&str]) -> Result<usize, RecordError> {
    let done = rows.iter().map(|row| row.text("sha256")).collect::<Result<Vec<_>, _>>()?;
    Ok(all.len() - behind(&done, all)?)
}

async fn run(
    transaction: &mut Transaction,
    number: u32,
    text: &'static str,
) -> Result<(), RecordError> {
    transaction.migrate(text).await?;
    let sha256 = Digest::of(text.as_bytes());
    let kept = "INSERT INTO migrations (number, sha256) VALUES ($1, $2)";
    transaction.run(kept, [number.into(), sha256.into()]).await?;
    Ok(())
}

/// How many migrations are still to be run after those that were.
fn behind(done: &[String], all: &[&str]) -> Result<usize, RecordError> {
    let Some(behind) = all.len().checked_sub(done.len()) else { return Err(RecordError::Newer) };
    let same = |(done, text): (&String, &&str)| *done == Digest::of(text.as_bytes()).to_string();
    if !done.iter().zip(all).all(same) {
        return Err(RecordError::Damaged("its tables are those of no release".to_owned()));
    }
    Ok(behind)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_run_tells_the_release() {
        let texts = ["one", "two"];
        let done = texts.map(|text| Digest::of(text.as_bytes()).to_string());
        assert_eq!(behind(&[], &texts).unwrap(), 2);
        assert_eq!(behind(&done[..1], &texts).unwrap(), 1);
        assert_eq!(behind(&done, &texts).unwrap(), 0);
        assert!(matches!(behind(&done, &texts[..1]), Err(RecordError::Newer)));
        let other = behind(&done[1..], &texts).unwrap_err().to_string();
        assert_eq!(other, "the record is damaged: its tables are those of no release");
    }
}
