//! How the front runs: a strict configuration file, and the token from elsewhere.

use super::platform::Token;
use super::trouble::StartError;
use crate::files::FileError;
use serde::Deserialize;
use std::io::{IsTerminal as _, Read as _};
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use zeroize::Zeroizing;

/// The environment variable that may hold the token.
const TOKEN: &str = "DRUMHEAD_TOKEN";
/// The most bytes of a token's file.
const LONGEST_TOKEN: u64 = 4096;

/// The configuration file, as `config/drumhead.example.toml` documents it.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Config {
    /// The record.
    pub record: PathBuf,
    /// A file that holds the bot's token; without it the environment does.
    pub token_file: Option<PathBuf>,
    /// Rules files to have at hand besides those that ship.
    #[serde(default)]
    pub rules_files: Vec<PathBuf>,
    /// A server that gets the commands at once and alone.
    pub test_server: Option<u64>,
    /// Where health and counts are answered; on loopback only.
    pub status: Option<SocketAddr>,
    /// How much is traced: error, warn, info, debug or trace.
    #[serde(default = "info")]
    pub log: tracing_level::Level,
    /// The form of the trace.
    #[serde(default)]
    pub log_form: LogForm,
    /// The platform's address, for the project's own tests and for proxies.
    #[serde(default)]
    pub platform: Platform,
}

/// Where the platform is.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Platform {
    /// The address in front of `/api/v10`; without it the platform's own.
    pub rest: Option<String>,
}

/// The form of the trace.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum LogForm {
    /// Lines for people.
    #[default]
    Text,
    /// One line of JSON an event.
    Json,
}

/// The level of the trace, read strictly.
mod tracing_level {
    use serde::Deserialize;

    /// How much is traced.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
    #[serde(rename_all = "lowercase")]
    pub enum Level {
        /// Faults.
        Error,
        /// And what may become one.
        Warn,
        /// And what goes as it should.
        Info,
        /// And every step.
        Debug,
        /// Everything.
        Trace,
    }

    impl Level {
        /// Its name in a filter.
        pub const fn name(self) -> &'static str {
            match self {
                Self::Error => "error",
                Self::Warn => "warn",
                Self::Info => "info",
                Self::Debug => "debug",
                Self::Trace => "trace",
            }
        }
    }
}

const fn info() -> tracing_level::Level {
    tracing_level::Level::Info
}

impl Config {
    /// Reads a configuration file.
    pub fn read(file: &Path) -> Result<Self, StartError> {
        let text = std::fs::read_to_string(file).map_err(|error| FileError::new(file, error))?;
        Self::parse(&text)
            .map_err(|error| StartError::Config { file: file.to_owned(), error: Box::new(error) })
    }

    /// Reads a configuration's text; an unknown key is an error.
    pub fn parse(text: &str) -> Result<Self, toml::de::Error> {
        let config: Self = toml::from_str(text)?;
        let wrong = |sentence: &str| Err(serde::de::Error::custom(sentence));
        if config.status.is_some_and(|address| !address.ip().is_loopback()) {
            return wrong("status must be an address on this machine, such as 127.0.0.1:9740");
        }
        let rest = config.platform.rest.as_deref();
        if rest.is_some_and(|rest| !rest.starts_with("http://") && !rest.starts_with("https://")) {
            return wrong("platform.rest must begin with http:// or https://");
        }
        Ok(config)
    }

    /// The token, from the file or from the environment.
    pub fn token(&self) -> Result<Token, StartError> {
        let text = match &self.token_file {
            Some(file) => own_alone(file)?,
            None => Zeroizing::new(std::env::var(TOKEN).map_err(|_| StartError::NoToken)?),
        };
        Token::new(&text).ok_or(StartError::NoToken)
    }

    /// Begins the trace.
    ///
    /// What the libraries trace below a warning can hold the tokens of interactions, so only this
    /// program's own level can be raised.
    pub fn begin_trace(&self) {
        // The library's gateway warns with the whole text of a frame that it cannot read.
        let filter = format!("warn,serenity::gateway::ws=off,drumhead={}", self.log.name());
        let trace = tracing_subscriber::fmt()
            .with_env_filter(tracing_subscriber::EnvFilter::new(filter))
            .with_ansi(std::io::stderr().is_terminal())
            .with_writer(std::io::stderr);
        // A trace that has begun already goes on as it is.
        let _ = match self.log_form {
            LogForm::Text => trace.try_init(),
            LogForm::Json => trace.json().try_init(),
        };
    }
}

/// The text of a file that its owner alone may read.
fn own_alone(file: &Path) -> Result<Zeroizing<String>, StartError> {
    let trouble = |error| FileError::new(file, error);
    let mut opened = std::fs::File::open(file).map_err(trouble)?;
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        if opened.metadata().map_err(trouble)?.permissions().mode() & 0o077 != 0 {
            return Err(StartError::OthersRead(file.to_owned()));
        }
    }
    let mut text = Zeroizing::new(String::new());
    std::io::Read::take(&mut opened, LONGEST_TOKEN).read_to_string(&mut text).map_err(trouble)?;
    Ok(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[cfg(unix)]
    #[test]
    fn a_token_that_others_can_read_is_refused() {
        use std::os::unix::fs::PermissionsExt as _;
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("token");
        std::fs::write(&file, "abc.def.ghi\n").unwrap();
        let config = Config {
            token_file: Some(file.clone()),
            ..Config::parse("record = \"r.db\"").unwrap()
        };
        for (mode, may) in
            [(0o600, true), (0o400, true), (0o644, false), (0o640, false), (0o604, false)]
        {
            std::fs::set_permissions(&file, std::fs::Permissions::from_mode(mode)).unwrap();
            match config.token() {
                Ok(token) => assert!(may && token == Token::new("abc.def.ghi").unwrap()),
                Err(refused) => {
                    let path = file.display();
                    assert!(!may, "{mode:o}");
                    assert_eq!(
                        refused.to_string(),
                        format!(
                            "Others can read the token in {path}. Let its owner alone read it: chmod 600 {path}"
                        )
                    );
                }
            }
        }
    }

    #[test]
    fn the_example_is_read_and_says_every_key() {
        let text = include_str!("../../config/drumhead.example.toml");
        let shown = Config::parse(text).unwrap();
        assert_eq!(shown.record, Path::new("/var/lib/drumhead/record.db"));
        // With every comment that sets a key taken in, it is still a configuration.
        let whole: String = text
            .lines()
            .map(|line| line.strip_prefix("#: ").unwrap_or(line))
            .fold(String::new(), |whole, line| whole + line + "\n");
        let config = Config::parse(&whole).unwrap();
        assert_eq!(config.test_server, Some(123_456_789_012_345_678));
        assert_eq!(config.log_form, LogForm::Json);
        assert!(config.platform.rest.is_some() && config.status.is_some());
        assert!(config.token_file.is_some() && config.rules_files.len() == 1);
    }

    #[test]
    fn what_is_unknown_or_unsafe_is_refused() {
        for (text, said) in [
            ("record = \"r.db\"\ntoken = \"x\"", "unknown field `token`"),
            ("record = \"r.db\"\nstatus = \"0.0.0.0:1\"", "an address on this machine"),
            ("record = \"r.db\"\nlog = \"loud\"", "unknown variant `loud`"),
            ("record = \"r.db\"\n[platform]\nrest = \"ftp://x\"", "must begin with http"),
            ("", "missing field `record`"),
        ] {
            let error = Config::parse(text).unwrap_err().to_string();
            assert!(error.contains(said), "{text}: {error}");
        }
    }
}
