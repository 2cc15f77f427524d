//! What is kept of a platform's servers besides their battles: what these begin with, and where they
//! are shown.

use super::read::place;
use super::{Record, RecordError};
use crate::protocol::{Place, Scale};

/// What a server's battles begin with unless asked otherwise.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ServerDefaults {
    /// The figure scale.
    pub scale: Option<Scale>,
    /// The rules by name.
    pub rules: Option<String>,
}

impl Record {
    /// What a server's battles begin with.
    pub async fn server(&self, platform: &str, server: u64) -> Result<ServerDefaults, RecordError> {
        let sql = "SELECT scale, rules FROM servers WHERE platform = $1 AND server = $2";
        let row = self.store.one(sql, [platform.into(), server.into()]).await?;
        let Some(row) = row else { return Ok(ServerDefaults::default()) };
        let men = row.maybe_number("scale")?.and_then(|men| u32::try_from(men).ok());
        Ok(ServerDefaults { scale: men.and_then(Scale::new), rules: row.maybe_text("rules")? })
    }

    /// Sets what a server's battles begin with.
    pub async fn set_server(
        &self,
        platform: &str,
        server: u64,
        defaults: &ServerDefaults,
    ) -> Result<(), RecordError> {
        let sql = "INSERT INTO servers (platform, server, scale, rules) VALUES ($1, $2, $3, $4) \
            ON CONFLICT (platform, server) \
            DO UPDATE SET scale = excluded.scale, rules = excluded.rules";
        let scale = defaults.scale.map(Scale::men);
        let values =
            [platform.into(), server.into(), scale.into(), defaults.rules.as_deref().into()];
        self.store.run(sql, values).await?;
        Ok(())
    }

    /// The message that is a place's board.
    pub async fn board(&self, place: &Place) -> Result<Option<String>, RecordError> {
        let sql = "SELECT message FROM boards WHERE place = $1";
        self.store.find(sql, [place.into()], |row| Ok(row.text("message")?)).await
    }

    /// Every place of a platform with a board, in the order in which they got one.
    pub async fn boards_on(&self, platform: &str) -> Result<Vec<Place>, RecordError> {
        let sql = "SELECT place FROM boards WHERE platform = $1 ORDER BY n";
        self.store.find_all(sql, [platform.into()], place).await
    }

    /// Makes a message the board of a place.
    pub async fn set_board(&self, place: &Place, message: &str) -> Result<(), RecordError> {
        let sql = "INSERT INTO boards (place, platform, server, message) VALUES ($1, $2, $3, $4) \
            ON CONFLICT (place) DO UPDATE SET message = excluded.message";
        let (platform, server) = (place.platform(), place.server());
        self.store.run(sql, [place.into(), platform.into(), server.into(), message.into()]).await?;
        Ok(())
    }

    /// Forgets the board of a place.
    pub async fn take_down_board(&self, place: &Place) -> Result<(), RecordError> {
        self.store.run("DELETE FROM boards WHERE place = $1", [place.into()]).await?;
        Ok(())
    }
}
