//! The gateway's socket, with the TLS library that the rest of the program uses.
//!
//! serenity 0.12 opens its gateway with tokio-tungstenite 0.21, whose TLS is rustls 0.22 with
//! rustls-webpki 0.102: neither is mended any more, and the program would hold two TLS libraries.
//! This package stands in for it through `[patch.crates-io]` and hands on tokio-tungstenite 0.24,
//! whose calls are the same and whose TLS is rustls 0.23 with rustls-webpki 0.103.
//! It goes when a serenity is out that needs it no more.

pub use current::*;

#[cfg(test)]
mod tests;
