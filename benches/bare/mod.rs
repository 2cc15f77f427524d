//! A bare command of the same library: defer, one commit, edit the answer.

use poise::serenity_prelude as serenity;
use sqlx::SqlitePool;
use sqlx::sqlite::{SqliteConnectOptions, SqliteJournalMode, SqliteSynchronous};
use std::path::PathBuf;

/// The environment variables that make this program the bare bot.
pub const REST: &str = "BARE_REST";
pub const FILE: &str = "BARE_FILE";

type Failed = Box<dyn std::error::Error + Send + Sync>;

/// Defer, commit, edit.
#[poise::command(slash_command)]
async fn bare(ctx: poise::ApplicationContext<'_, SqlitePool, Failed>) -> Result<(), Failed> {
    ctx.defer_response(false).await?;
    sqlx::query("INSERT INTO events (text) VALUES (?)")
        .bind("x".repeat(2000))
        .execute(ctx.framework.user_data)
        .await?;
    let embed = serenity::CreateEmbed::new().description("Ford Wardens: stands. ".repeat(40));
    let quiet = serenity::CreateAllowedMentions::new();
    let answer = serenity::EditInteractionResponse::new().embed(embed).allowed_mentions(quiet);
    // The stand-in does not answer with the whole message, which the library would read in vain.
    let _ = ctx.interaction.edit_response(ctx.framework.serenity_context, answer).await;
    Ok(())
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
    let options = poise::FrameworkOptions { commands: vec![bare()], ..Default::default() };
    let framework = poise::Framework::builder()
        .options(options)
        .initialize_owners(false)
        .setup(|_, _, _| Box::pin(async move { Ok(pool) }))
        .build();
    let http = serenity::HttpBuilder::new(super::crowd::standin::TOKEN)
        .proxy(rest)
        .ratelimiter_disabled(true)
        .build();
    let intents = serenity::GatewayIntents::empty();
    let client = serenity::ClientBuilder::new_with_http(http, intents).framework(framework).await;
    client.expect("a client").start_autosharded().await.expect("it serves");
}
