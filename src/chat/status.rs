//! Health and counts, answered on loopback for a service manager and for measuring.

use super::{Config, StartError};
use poise::serenity_prelude::{ConnectionStage, ShardId, ShardManager};
use std::collections::HashSet;
use std::fmt::Write as _;
use std::net::SocketAddr;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};
use std::time::Duration;
use tokio::io::{AsyncBufReadExt as _, AsyncReadExt as _, AsyncWriteExt as _, BufReader};
use tokio::net::{TcpListener, TcpStream};
use tokio::time::timeout;

/// How long either end of the status address is waited for.
const PATIENCE: Duration = Duration::from_secs(3);

/// What has happened since the start.
#[derive(Debug, Default)]
pub(super) struct Counts {
    /// Who runs the connections; they tell when they stand, and are gone when they do not.
    gateway: OnceLock<Arc<ShardManager>>,
    /// Every shard that has ever stood.
    shards: Mutex<HashSet<ShardId>>,
    granted: AtomicU64,
    refused: AtomicU64,
    faults: AtomicU64,
    posted: AtomicU64,
    given_up: AtomicU64,
    tries_again: AtomicU64,
    limits: AtomicU64,
    acknowledged: AtomicU64,
    acknowledged_us: AtomicU64,
    answered: AtomicU64,
    answered_us: AtomicU64,
}

fn count(counter: &AtomicU64) {
    counter.fetch_add(1, Ordering::Relaxed);
}

fn add(counter: &AtomicU64, sum: &AtomicU64, time: Duration) {
    count(counter);
    sum.fetch_add(u64::try_from(time.as_micros()).unwrap_or(u64::MAX), Ordering::Relaxed);
}

impl Counts {
    /// These connections are to be watched.
    pub fn watch(&self, gateway: Arc<ShardManager>) {
        // There is one gateway from the start to the end.
        let _ = self.gateway.set(gateway);
    }

    /// A shard is connected.
    pub fn connected(&self, shard: ShardId) {
        self.shards.lock().unwrap_or_else(PoisonError::into_inner).insert(shard);
    }

    pub fn granted(&self) {
        count(&self.granted);
    }

    pub fn refused(&self) {
        count(&self.refused);
    }

    pub fn fault(&self) {
        count(&self.faults);
    }

    pub fn posted(&self) {
        count(&self.posted);
    }

    pub fn gave_up(&self) {
        count(&self.given_up);
    }

    pub fn tried_again(&self) {
        count(&self.tries_again);
    }

    pub fn limited(&self) {
        count(&self.limits);
    }

    /// An acknowledgement was taken, so long after the interaction came.
    pub fn acknowledged(&self, after: Duration) {
        add(&self.acknowledged, &self.acknowledged_us, after);
    }

    /// A request's post was taken, so long after the interaction came.
    pub fn answered(&self, after: Duration) {
        add(&self.answered, &self.answered_us, after);
    }

    /// Everything in the text form that measuring programs read, one name and one number a line.
    pub fn text(&self, connected: bool) -> String {
        let mut text = format!("drumhead_connected {}\n", u8::from(connected));
        for (name, counter) in [
            ("requests_granted_total", &self.granted),
            ("requests_refused_total", &self.refused),
            ("faults_total", &self.faults),
            ("posts_total", &self.posted),
            ("posts_given_up_total", &self.given_up),
            ("tries_again_total", &self.tries_again),
            ("limits_total", &self.limits),
            ("acknowledge_microseconds_count", &self.acknowledged),
            ("acknowledge_microseconds_sum", &self.acknowledged_us),
            ("answer_microseconds_count", &self.answered),
            ("answer_microseconds_sum", &self.answered_us),
        ] {
            let value = counter.load(Ordering::Relaxed);
            writeln!(text, "drumhead_{name} {value}").expect("a String takes all");
        }
        text
    }

    /// Whether every shard that ever stood stands now.
    async fn is_connected(&self) -> bool {
        let Some(gateway) = self.gateway.get() else { return false };
        let runners = gateway.runners.lock().await;
        let stands = |shard: &ShardId| {
            runners.get(shard).is_some_and(|runner| runner.stage == ConnectionStage::Connected)
        };
        let shards = self.shards.lock().unwrap_or_else(PoisonError::into_inner);
        !shards.is_empty() && shards.iter().all(stands)
    }
}

/// Answers at the status address until the program ends.
pub(super) async fn listen(address: SocketAddr, counts: Arc<Counts>) -> Result<(), StartError> {
    let listener =
        TcpListener::bind(address).await.map_err(|error| StartError::Status { address, error })?;
    tokio::spawn(async move {
        while let Ok((stream, _)) = listener.accept().await {
            let counts = Arc::clone(&counts);
            tokio::spawn(async move {
                // A caller that hangs or goes away is no concern of the bot's.
                let _ = timeout(PATIENCE, answer(stream, &counts)).await;
            });
        }
    });
    Ok(())
}

async fn answer(stream: TcpStream, counts: &Counts) -> std::io::Result<()> {
    let mut stream = BufReader::new(stream);
    let mut line = String::new();
    stream.read_line(&mut line).await?;
    let connected = counts.is_connected().await;
    let (status, body) = match line.split(' ').nth(1) {
        Some("/health") if connected => ("200 OK", "well\n".to_owned()),
        Some("/health") => ("503 Service Unavailable", "not connected\n".to_owned()),
        Some("/metrics") => ("200 OK", counts.text(connected)),
        _ => ("404 Not Found", "/health or /metrics\n".to_owned()),
    };
    let answer = format!(
        "HTTP/1.1 {status}\r\nContent-Type: text/plain; charset=utf-8\r\nContent-Length: {}\r\nConnection: close\r\n\r\n{body}",
        body.len()
    );
    stream.get_mut().write_all(answer.as_bytes()).await?;
    stream.get_mut().shutdown().await
}

/// Asks the bot that serves under this configuration whether it is well.
pub async fn health(config: &Config) -> Result<String, StartError> {
    let not_well = |why: String| StartError::NotWell(why);
    let address = config.status.ok_or(StartError::NoStatus)?;
    let asked = async {
        let mut stream = TcpStream::connect(address).await?;
        stream.write_all(b"GET /health HTTP/1.1\r\nHost: drumhead\r\n\r\n").await?;
        let mut answer = String::new();
        stream.read_to_string(&mut answer).await?;
        std::io::Result::Ok(answer)
    };
    let answer = match timeout(PATIENCE, asked).await {
        Ok(Ok(answer)) => answer,
        Ok(Err(error)) => return Err(not_well(format!("{address}: {error}"))),
        Err(_) => return Err(not_well(format!("{address} gives no answer"))),
    };
    let body = answer.rsplit("\r\n").next().unwrap_or_default().trim().to_owned();
    if answer.starts_with("HTTP/1.1 200") { Ok(body) } else { Err(not_well(body)) }
}
