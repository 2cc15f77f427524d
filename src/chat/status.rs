//! Health and counts, answered on loopback for a service manager and for measuring.

use super::config::Config;
use super::platform::{Counts, Watch};
use super::trouble::StartError;
use std::net::SocketAddr;
use std::sync::Arc;
use std::time::Duration;
use tokio::io::{
    AsyncBufRead, AsyncBufReadExt as _, AsyncReadExt as _, AsyncWriteExt as _, BufReader,
};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::Semaphore;
use tokio::time::timeout;

/// The longest line that is read at the status address, in bytes.
const LONGEST: u64 = 64 * 1024;
/// Callers that are answered at the same time; others wait to be accepted.
const CALLERS: usize = 16;
/// How long either end of the status address is waited for.
const PATIENCE: Duration = Duration::from_secs(3);

/// Answers at the status address until the program ends.
///
/// # Errors
/// If the address cannot be used.
pub(super) async fn listen(
    address: SocketAddr,
    counts: Arc<Counts>,
    watch: Arc<Watch>,
) -> Result<(), StartError> {
    let listener =
        TcpListener::bind(address).await.map_err(|error| StartError::Status { address, error })?;
    // Where the system chose the port, this is the only place that says which.
    if let Ok(address) = listener.local_addr() {
        tracing::info!(%address, "health and counts are answered");
    }
    let callers = Arc::new(Semaphore::new(CALLERS));
    tokio::spawn(async move {
        while let Ok(turn) = Arc::clone(&callers).acquire_owned().await
            && let Ok((stream, _)) = listener.accept().await
        {
            let (counts, watch) = (Arc::clone(&counts), Arc::clone(&watch));
            tokio::spawn(async move {
                let _turn = turn;
                // A caller that hangs or goes away is no concern of the bot's.
                let _ = timeout(PATIENCE, answer(stream, &counts, &watch)).await;
            });
        }
    });
    Ok(())
}

async fn answer(stream: TcpStream, counts: &Counts, watch: &Watch) -> std::io::Result<()> {
    let mut stream = BufReader::new(stream);
    let line = first_line(&mut stream).await?;
    let connected = watch.is_connected().await;
    let (status, body) = match line.split(' ').nth(1) {
        _ if line.len() as u64 > LONGEST => {
            ("414 URI Too Long", "a line of at most 64 KiB\n".to_owned())
        }
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

/// The first line, of which no more is read than shows that it is too long.
async fn first_line(from: &mut (impl AsyncBufRead + Unpin)) -> std::io::Result<String> {
    let mut line = String::new();
    from.take(LONGEST + 1).read_line(&mut line).await?;
    Ok(line)
}

/// Asks the bot that serves under this configuration whether it is well.
pub async fn health(config: &Config) -> Result<String, StartError> {
    let not_well = |why: String| StartError::NotWell(why);
    let address = config.status.ok_or(StartError::NoStatus)?;
    let asked = async {
        let mut stream = TcpStream::connect(address).await?;
        stream.write_all(b"GET /health HTTP/1.1\r\nHost: drumhead\r\n\r\n").await?;
        let mut answer = String::new();
        stream.take(LONGEST).read_to_string(&mut answer).await?;
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

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test]
    async fn no_more_is_read_of_a_line_than_64_kib() {
        let mut endless = BufReader::new(tokio::io::repeat(b'x'));
        assert_eq!(first_line(&mut endless).await.unwrap().len(), 64 * 1024 + 1);
        let mut short = BufReader::new(&b"GET /health HTTP/1.1\r\nHost: x\r\n"[..]);
        assert_eq!(first_line(&mut short).await.unwrap(), "GET /health HTTP/1.1\r\n");
    }
}
