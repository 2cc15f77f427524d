//! Reads the arguments and runs one front.

use clap::Parser as _;
use drumhead::terminal::{self, Args, Trouble};
use std::io::{ErrorKind, Write as _};
use std::process::ExitCode;
use tracing_subscriber::EnvFilter;

fn main() -> ExitCode {
    let args = Args::parse();
    // Faults go to standard error with all their causes; RUST_LOG asks for more.
    let filter = EnvFilter::try_from_default_env().unwrap_or_else(|_| EnvFilter::new("error"));
    tracing_subscriber::fmt().with_env_filter(filter).with_writer(std::io::stderr).init();
    let runtime = match tokio::runtime::Runtime::new() {
        Ok(runtime) => runtime,
        Err(error) => return stop(&format!("This system gives no threads to work with: {error}")),
    };
    match runtime.block_on(terminal::run(args)) {
        Ok(()) => ExitCode::SUCCESS,
        // What was found has been said; and nobody listens any more at a closed pipe.
        Err(Trouble::DoesNotHold) => ExitCode::FAILURE,
        Err(Trouble::Output(error)) if error.kind() == ErrorKind::BrokenPipe => ExitCode::FAILURE,
        Err(trouble) => stop(&trouble.to_string()),
    }
}

fn stop(sentence: &str) -> ExitCode {
    // Without a standard error there is nobody left to tell.
    let _ = writeln!(std::io::stderr(), "{sentence}");
    ExitCode::FAILURE
}
