//! What the chat keeps besides the record: people, officers, servers, and posts owed anywhere.

use super::read::{place, recorded};
use super::{Record, RecordError};
use crate::protocol::{Place, Recorded, Scale, Who};
use sqlx::Row as _;
use std::path::Path;

/// A post that is owed, with how the front wanted it to go.
#[derive(Debug, Clone)]
pub struct Owed {
    /// The place it is owed to.
    pub place: Place,
    /// The event whose words it is.
    pub event: Recorded,
    /// How it was to go, in the front's own words.
    pub via: Option<String>,
}

/// Somebody who may act in a battle besides its opener.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Officer {
    /// A person (`person-<n>`) or a role (`role-<id>`).
    pub who: String,
    /// The side they lead; none for a referee.
    pub side: Option<String>,
}

/// What a server's battles begin with unless asked otherwise.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ServerDefaults {
    /// The figure scale.
    pub scale: Option<Scale>,
    /// The rules by name.
    pub rules: Option<String>,
}

/// What one battle holds of a person.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Trace {
    /// The battle's name.
    pub battle: String,
    /// The place it belongs to.
    pub place: Place,
    /// Requests they asked in it.
    pub requests: u64,
}

impl Record {
    /// The number of the person with that id on the platform; a new one gets the next number.
    pub async fn person(&self, platform: &str) -> Result<i64, RecordError> {
        if let Some(n) = self.known_person(platform).await? {
            return Ok(n);
        }
        // Two requests of a newcomer at once: one writes the row, both read it.
        sqlx::query(
            "INSERT INTO people (n, platform) SELECT COALESCE(MAX(n), 0) + 1, ? FROM people \
             WHERE true ON CONFLICT DO NOTHING",
        )
        .bind(platform)
        .execute(&self.writer)
        .await?;
        let lost = || RecordError::Damaged("a person was not kept".to_owned());
        self.known_person(platform).await?.ok_or_else(lost)
    }

    /// The number of the person with that id, if the record knows them.
    pub async fn known_person(&self, platform: &str) -> Result<Option<i64>, RecordError> {
        let row = sqlx::query("SELECT n FROM people WHERE platform = ?")
            .bind(platform)
            .fetch_optional(&self.pool)
            .await?;
        Ok(row.map(|row| row.try_get(0)).transpose()?)
    }

    /// The platform's id of person `n`, unless it was taken away.
    pub async fn platform_of(&self, n: i64) -> Result<Option<String>, RecordError> {
        let row = sqlx::query("SELECT platform FROM people WHERE n = ?")
            .bind(n)
            .fetch_optional(&self.pool)
            .await?;
        Ok(row.map(|row| row.try_get(0)).transpose()?.flatten())
    }

    /// Takes away who a person is on the platform, and every office of theirs.
    pub async fn forget_person(&self, platform: &str) -> Result<bool, RecordError> {
        let Some(n) = self.known_person(platform).await? else { return Ok(false) };
        let mut transaction = self.writer.begin_with("BEGIN IMMEDIATE").await?;
        sqlx::query("UPDATE people SET platform = NULL WHERE n = ?")
            .bind(n)
            .execute(&mut *transaction)
            .await?;
        sqlx::query("DELETE FROM officers WHERE who = ?")
            .bind(format!("person-{n}"))
            .execute(&mut *transaction)
            .await?;
        transaction.commit().await?;
        Ok(true)
    }

    /// The battles in which somebody asked something, and how often.
    pub async fn traces_of(&self, who: Who) -> Result<Vec<Trace>, RecordError> {
        // In an event's text a quotation mark inside a value is escaped, so only `by` matches.
        let rows = sqlx::query(
            "SELECT battles.name, battles.place, COUNT(*) FROM events JOIN battles ON battles.id = events.battle \
             WHERE instr(events.text, ?) > 0 GROUP BY battles.id ORDER BY battles.rowid",
        )
        .bind(format!("\"by\":\"{who}\""))
        .fetch_all(&self.pool)
        .await?;
        let trace = |row: &sqlx::sqlite::SqliteRow| {
            let requests: i64 = row.try_get(2)?;
            let requests = u64::try_from(requests).unwrap_or(0);
            Ok(Trace { battle: row.try_get(0)?, place: place(row, "place")?, requests })
        };
        rows.iter().map(trace).collect()
    }

    /// Who may act in a battle besides its opener.
    pub async fn officers(&self, battle: &str) -> Result<Vec<Officer>, RecordError> {
        let rows = sqlx::query("SELECT who, side FROM officers WHERE battle = ? ORDER BY rowid")
            .bind(battle)
            .fetch_all(&self.pool)
            .await?;
        let officer = |row: &sqlx::sqlite::SqliteRow| {
            let side: String = row.try_get(1)?;
            Ok(Officer { who: row.try_get(0)?, side: (!side.is_empty()).then_some(side) })
        };
        rows.iter().map(officer).collect()
    }

    /// Lets somebody act in a battle.
    pub async fn appoint(&self, battle: &str, officer: &Officer) -> Result<(), RecordError> {
        sqlx::query(
            "INSERT INTO officers (battle, who, side) VALUES (?, ?, ?) ON CONFLICT DO NOTHING",
        )
        .bind(battle)
        .bind(&officer.who)
        .bind(officer.side.as_deref().unwrap_or_default())
        .execute(&self.writer)
        .await?;
        Ok(())
    }

    /// Ends that; false if it was not so.
    pub async fn relieve(&self, battle: &str, officer: &Officer) -> Result<bool, RecordError> {
        let done = sqlx::query("DELETE FROM officers WHERE battle = ? AND who = ? AND side = ?")
            .bind(battle)
            .bind(&officer.who)
            .bind(officer.side.as_deref().unwrap_or_default())
            .execute(&self.writer)
            .await?;
        Ok(done.rows_affected() > 0)
    }

    /// What a server's battles begin with.
    pub async fn server(&self, server: &str) -> Result<ServerDefaults, RecordError> {
        let row = sqlx::query("SELECT scale, rules FROM servers WHERE server = ?")
            .bind(server)
            .fetch_optional(&self.pool)
            .await?;
        let Some(row) = row else { return Ok(ServerDefaults::default()) };
        let scale: Option<u32> = row.try_get(0)?;
        Ok(ServerDefaults { scale: scale.and_then(Scale::new), rules: row.try_get(1)? })
    }

    /// Sets what a server's battles begin with.
    pub async fn set_server(
        &self,
        server: &str,
        defaults: &ServerDefaults,
    ) -> Result<(), RecordError> {
        sqlx::query(
            "INSERT INTO servers (server, scale, rules) VALUES (?, ?, ?) \
             ON CONFLICT (server) DO UPDATE SET scale = excluded.scale, rules = excluded.rules",
        )
        .bind(server)
        .bind(defaults.scale.map(Scale::men))
        .bind(&defaults.rules)
        .execute(&self.writer)
        .await?;
        Ok(())
    }

    /// Every post owed to a place whose name begins with `prefix`, oldest first.
    pub async fn owed_under(&self, prefix: &str) -> Result<Vec<Owed>, RecordError> {
        let rows = sqlx::query(
            "SELECT owed_to, owed_via, battle, seq, text FROM events \
             WHERE owed_to LIKE ? || '%' ORDER BY rowid",
        )
        .bind(prefix)
        .fetch_all(&self.pool)
        .await?;
        let owed = |row: &sqlx::sqlite::SqliteRow| {
            Ok(Owed { place: place(row, "owed_to")?, via: row.try_get(1)?, event: recorded(row)? })
        };
        rows.iter().map(owed).collect()
    }

    /// Erases every battle of the places whose names begin with `prefix`: how many there were, and
    /// whether the file was then written anew, so that nothing of them stays in it.
    ///
    /// Meanwhile others wait.
    pub async fn erase_under(&self, prefix: &str) -> Result<(u64, bool), RecordError> {
        let mut connection = self.writer.acquire().await?;
        let mut transaction =
            sqlx::Connection::begin_with(&mut *connection, "BEGIN IMMEDIATE").await?;
        for table in ["officers", "chains", "events"] {
            let sql = format!(
                "DELETE FROM {table} WHERE battle IN (SELECT id FROM battles WHERE place LIKE ? || '%')"
            );
            sqlx::query(sqlx::AssertSqlSafe(sql)).bind(prefix).execute(&mut *transaction).await?;
        }
        let gone = sqlx::query("DELETE FROM battles WHERE place LIKE ? || '%'")
            .bind(prefix)
            .execute(&mut *transaction)
            .await?;
        sqlx::query("DELETE FROM boards WHERE place LIKE ? || '%'")
            .bind(prefix)
            .execute(&mut *transaction)
            .await?;
        transaction.commit().await?;
        // Copies of what was erased stand in unused parts of pages and in the log of pages.
        let anew = async {
            sqlx::query("VACUUM").execute(&mut *connection).await?;
            let row = sqlx::query("PRAGMA wal_checkpoint(TRUNCATE)");
            // The first column says whether somebody who reads was in the way.
            Ok::<bool, sqlx::Error>(
                row.fetch_one(&mut *connection).await?.try_get::<i64, _>(0)? == 0,
            )
        };
        let anew = anew.await.unwrap_or_else(|error| {
            tracing::error!(%error, "the record could not be written anew after erasing");
            false
        });
        Ok((gone.rows_affected(), anew))
    }

    /// Forgets what a server's battles begin with.
    pub async fn erase_server(&self, server: &str) -> Result<(), RecordError> {
        sqlx::query("DELETE FROM servers WHERE server = ?")
            .bind(server)
            .execute(&self.writer)
            .await?;
        Ok(())
    }

    /// The place of the battle with that id.
    pub async fn place_of(&self, battle: &str) -> Result<Option<Place>, RecordError> {
        let row = sqlx::query("SELECT place FROM battles WHERE id = ?")
            .bind(battle)
            .fetch_optional(&self.pool)
            .await?;
        row.map(|row| place(&row, "place")).transpose()
    }

    /// The message that is a place's board.
    pub async fn board(&self, place: &Place) -> Result<Option<String>, RecordError> {
        let row = sqlx::query("SELECT message FROM boards WHERE place = ?")
            .bind(place.to_string())
            .fetch_optional(&self.pool)
            .await?;
        Ok(row.map(|row| row.try_get(0)).transpose()?)
    }

    /// Every place with a board whose name begins with `prefix`.
    pub async fn boards_under(&self, prefix: &str) -> Result<Vec<Place>, RecordError> {
        let rows = sqlx::query("SELECT place FROM boards WHERE place LIKE ? || '%' ORDER BY rowid")
            .bind(prefix)
            .fetch_all(&self.pool)
            .await?;
        rows.iter().map(|row| self::place(row, "place")).collect()
    }

    /// Makes a message the board of a place.
    pub async fn set_board(&self, place: &Place, message: &str) -> Result<(), RecordError> {
        sqlx::query(
            "INSERT INTO boards (place, message) VALUES (?, ?) \
             ON CONFLICT (place) DO UPDATE SET message = excluded.message",
        )
        .bind(place.to_string())
        .bind(message)
        .execute(&self.writer)
        .await?;
        Ok(())
    }

    /// Forgets the board of a place.
    pub async fn take_down_board(&self, place: &Place) -> Result<(), RecordError> {
        sqlx::query("DELETE FROM boards WHERE place = ?")
            .bind(place.to_string())
            .execute(&self.writer)
            .await?;
        Ok(())
    }

    /// Writes a whole and consistent copy of the record to a new file, while others go on writing.
    pub async fn back_up(&self, file: &Path) -> Result<(), RecordError> {
        sqlx::query("VACUUM INTO ?").bind(file.display().to_string()).execute(&self.pool).await?;
        Ok(())
    }

    /// Whether the file holds together as a database.
    pub async fn is_sound(&self) -> Result<(), RecordError> {
        let row = sqlx::query("PRAGMA integrity_check").fetch_one(&self.pool).await?;
        let said: String = row.try_get(0)?;
        if said == "ok" { Ok(()) } else { Err(RecordError::Damaged(said)) }
    }
}
