//! Reads the arguments and runs one front.

use clap::Parser as _;
use drumhead::args::{Args, Command};
use drumhead::chat;
use drumhead::terminal::{self, StartError};
use drumhead::text::seen_lines;
use std::io::{ErrorKind, IsTerminal as _, Write as _};
use std::process::ExitCode;
use tracing_subscriber::EnvFilter;

fn main() -> ExitCode {
    let runtime = tokio::runtime::Runtime::new().expect("the system gives threads");
    let code = runtime.block_on(run(Args::parse().command()));
    // Odds that are still being worked out must not hold up the end.
    runtime.shutdown_background();
    code
}

async fn run(command: Command) -> ExitCode {
    match command {
        Command::Serve(args) => done(match args.read() {
            Ok(config) => chat::serve(&config).await,
            Err(trouble) => Err(trouble),
        }),
        Command::Erase(args) => done(match args.config.read() {
            Ok(config) => chat::erase(&config, args.server).await.map(|said| println!("{said}")),
            Err(trouble) => Err(trouble),
        }),
        Command::Health(args) => done(match args.read() {
            Ok(config) => chat::health(&config).await.map(|well| println!("{well}")),
            Err(trouble) => Err(trouble),
        }),
        Command::Local(command) => {
            // Faults go to standard error with all their causes; RUST_LOG asks for more.
            let filter =
                EnvFilter::try_from_default_env().unwrap_or_else(|_| EnvFilter::new("error"));
            tracing_subscriber::fmt()
                .with_env_filter(filter)
                .with_ansi(std::io::stderr().is_terminal())
                .with_writer(std::io::stderr)
                .init();
            match terminal::run(command).await {
                // What was found has been said; and nobody listens any more at a closed pipe.
                Err(StartError::DoesNotHold) => ExitCode::FAILURE,
                Err(StartError::Output(error)) if error.kind() == ErrorKind::BrokenPipe => {
                    ExitCode::FAILURE
                }
                ran => done(ran),
            }
        }
    }
}

fn done(done: Result<(), impl std::fmt::Display>) -> ExitCode {
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(trouble) => {
            // What is wrong may quote a file of somebody else's. Without a standard error there is
            // nobody left to tell.
            let _ = writeln!(std::io::stderr(), "{}", seen_lines(&trouble.to_string()));
            ExitCode::FAILURE
        }
    }
}
