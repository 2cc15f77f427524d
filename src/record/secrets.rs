//! What nobody may know yet, kept by kind: today what chains hang from.
//!
//! Nothing here is ever shown or written out but link by link, as rolls are thrown.

use super::store::Transaction;
use super::{AppendError, Record, RecordError};
use crate::digest::Digest;
use crate::fair::{Chain, Secret};
use zeroize::Zeroizing;

/// The kind of secret that a chain of links hangs from.
const LINKS: &str = "links";

impl Record {
    /// The chain of a battle that hangs above `anchor`; none in a record that was imported.
    pub async fn chain(&self, battle: &str, anchor: Digest) -> Result<Option<Chain>, RecordError> {
        let sql = "SELECT bytes, extra FROM secrets WHERE battle = $1 AND kind = $2 AND key = $3";
        let row = self.store.one(sql, [battle.into(), LINKS.into(), anchor.into()]).await?;
        let Some(row) = row else { return Ok(None) };
        let damaged = |what: &str| RecordError::Damaged(format!("a chain {what}"));
        let bytes = Zeroizing::new(row.bytes("bytes")?);
        let secret = Secret::of(&bytes);
        let secret = secret.ok_or_else(|| damaged("has a secret of other than 32 bytes"))?;
        let links = row.text("extra")?.parse().map_err(|_| damaged("has no number of links"))?;
        let chain = Chain::new(secret, links);
        if chain.anchor() != anchor {
            return Err(damaged("does not lead to its anchor"));
        }
        Ok(Some(chain))
    }
}

/// Keeps a chain of a battle.
pub(super) async fn keep_chain(
    transaction: &mut Transaction,
    battle: &str,
    chain: &Chain,
) -> Result<(), AppendError> {
    let sql = "INSERT INTO secrets (battle, kind, key, bytes, extra) VALUES ($1, $2, $3, $4, $5)";
    let values = [
        battle.into(),
        LINKS.into(),
        chain.anchor().into(),
        chain.secret().bytes().as_slice().into(),
        chain.length().to_string().into(),
    ];
    transaction.run(sql, values).await?;
    Ok(())
}
