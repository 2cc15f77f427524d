//! Reads the arguments and runs one front.

use clap::Parser as _;
use drumhead::terminal::{self, Args, Trouble};
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
        Err(Trouble::DoesNotHold) => ExitCode::FAILURE,
        Err(trouble) => stop(&trouble.to_string()),
    }
}

fn stop(sentence: &str) -> ExitCode {
    eprintln!("{sentence}");
    ExitCode::FAILURE
}
