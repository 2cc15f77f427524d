//! A bare command of the same library: defer, one commit, edit the answer.

use serde_json::json;
use serenity::all::{
    ClientBuilder, Context, EventHandler, GatewayIntents, HttpBuilder, Interaction,
};
use sqlx::SqlitePool;
use sqlx::sqlite::{SqliteConnectOptions, SqliteJournalMode, SqliteSynchronous};
use std::path::PathBuf;

/// The environment variables that make this program the bare bot.
pub const REST: &str = "BARE_REST";
pub const FILE: &str = "BARE_FILE";

/// The bot: defer, commit, edit.
struct Bare(SqlitePool);

#[serenity::async_trait]
impl EventHandler for Bare {
    async fn interaction_create(&self, context: Context, interaction: Interaction) {
        let Interaction::Command(asked) = interaction else { return };
        asked.defer(&context).await.expect("it is acknowledged");
        sqlx::query("INSERT INTO events (text) VALUES (?)")
            .bind("x".repeat(2000))
            .execute(&self.0)
            .await
            .expect("it is committed");
        let text = json!({ "type": 10, "content": "Ford Wardens: stands. ".repeat(40) });
        // The library has no type for components of this kind, but sends what it is given.
        let answer = json!({
            "flags": 1 << 15,
            "components": [text],
            "allowed_mentions": { "parse": [] },
            "attachments": [],
        });
        // The stand-in does not answer with the whole message, which the library would read in vain.
        let http = &context.http;
        let _ = http.edit_original_interaction_response(&asked.token, &answer, Vec::new()).await;
    }
}

/// Serves until it is killed.
pub async fn serve(rest: &str) {
    let file = PathBuf::from(std::env::var_os(FILE).expect("a file"));
    let options = SqliteConnectOptions::new()
        .filename(file)
        .create_if_missing(true)
        .journal_mode(SqliteJournalMode::Wal)
        .synchronous(SqliteSynchronous::Full);
    let pool = SqlitePool::connect_with(options).await.expect("a file for the commits");
    sqlx::query("CREATE TABLE IF NOT EXISTS events (text TEXT)")
        .execute(&pool)
        .await
        .expect("a table");
    let http = HttpBuilder::new(super::crowd::standin::TOKEN)
        .proxy(rest)
        .ratelimiter_disabled(true)
        .build();
    let intents = GatewayIntents::empty();
    let client = ClientBuilder::new_with_http(http, intents).event_handler(Bare(pool)).await;
    client.expect("a client").start_autosharded().await.expect("it serves");
}
