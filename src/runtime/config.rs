//! Raw settings in, a checked [`Config`] out: what is wrong is said once, at the start, and never met later.

use std::{
    fmt,
    net::SocketAddr,
    path::{Path, PathBuf},
    sync::Arc,
};

use chrono_tz::Tz;
use directories::ProjectDirs;

use super::{
    backups::Schedule,
    settings::Raw,
    switches::{self, Source},
};
use crate::{
    channels::{Lines, signed::Secret},
    speech::{Address, Key, USUAL_MODEL, model_folder},
    store::{self, OWNER_NAME, Recipients},
    units::Days,
    web::MetricsFor,
};

/// Settings that hold together.
#[derive(Clone)]
pub struct Config {
    /// The book file.
    pub db: PathBuf,
    /// Where the page is served.
    pub listen: SocketAddr,
    /// The address under which a phone reaches the page; no slash at the end.
    pub public_url: Option<String>,
    /// The time zone of books that have not set their own.
    pub zone: Tz,
    /// What the owner of a new book is called.
    pub owner: String,
    /// Secrets of the signed webhook; none switches it off.
    pub signed_secrets: Vec<Secret>,
    /// The messengers that are switched on.
    pub lines: Arc<Lines>,
    /// Where answers are also sent.
    pub callback_url: Option<reqwest::Url>,
    /// Backups by the clock; none when no folder is set.
    pub backups: Option<Schedule>,
    /// Messages a minute that one sender may send; 0 for no limit.
    pub sender_limit: u32,
    /// Who may read `/metrics`.
    pub metrics_for: MetricsFor,
    /// The model that listens to voice notes here.
    pub speech_model: String,
    /// Where models lie.
    pub speech_folder: PathBuf,
    /// A server that listens instead.
    pub speech_server: Option<Address>,
    /// Days that recordings are kept where the owner of an account said nothing else.
    pub voice_days: Days,
    /// What goes to standard error.
    pub log: String,
    /// Whether it goes there as JSON.
    pub log_json: bool,
}

impl fmt::Debug for Config {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Config")
            .field("db", &self.db)
            .field("listen", &self.listen)
            .finish_non_exhaustive()
    }
}

/// What is wrong with the settings.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// There is no data folder for this user.
    #[error("this user has no data folder; name a book with --db FILE")]
    NoDataFolder,
    /// An address that cannot be listened on.
    #[error("listen is {0:?}; it has to be an address and a port, such as 127.0.0.1:8484")]
    Listen(String),
    /// A time zone that does not exist.
    #[error("zone is {0:?}; it has to be a name such as America/Chicago")]
    Zone(String),
    /// A web address that is none.
    #[error("{name} is {value:?}; it has to be a web address such as https://yard.example.com")]
    Url {
        /// The setting.
        name: &'static str,
        /// As set.
        value: String,
    },
    /// A model's name that is none.
    #[error("speech_model is {0:?}; it has to be a plain name such as tiny.en")]
    SpeechModel(String),
    /// Days that make no sense.
    #[error("voice_days is {0:?}; it has to be a number of days, 0 to 3653")]
    VoiceDays(String),
    /// A secret that cannot sign. Its text is not repeated.
    #[error("signed_secret is not usable: a signing secret is `whsec_` and the base64 of at least 24 random bytes")]
    Secret,
    /// A file with a secret cannot be read.
    #[error("the file {} with a secret cannot be read", path.display())]
    SecretFile {
        /// The file.
        path: PathBuf,
        /// Why.
        source: std::io::Error,
    },
    /// A messenger cannot be switched on like that.
    #[error(transparent)]
    Channel(#[from] switches::Error),
    /// A number that is none, or out of range.
    #[error("{name} is {value:?}; it has to be a whole number from {least} to {most}")]
    Number {
        /// The setting.
        name: &'static str,
        /// As set.
        value: String,
        /// The least that is taken.
        least: u32,
        /// The most that is taken.
        most: u32,
    },
    /// What backups are to be encrypted for is no key.
    #[error("backup_recipient is not usable: {0}")]
    BackupRecipient(#[source] store::Error),
    /// A form of the log that does not exist.
    #[error("log_format is {0:?}; it has to be text or json")]
    LogFormat(String),
    /// A token that is none. Its text is not repeated.
    #[error(
        "metrics_token is not usable: it is made like a signing secret, `whsec_` and the base64 of at least 24 random bytes"
    )]
    MetricsToken,
    /// Answers cannot be carried unsigned.
    #[error("callback_url needs signed_secret or signed_secret_file, since answers are sent signed")]
    CallbackUnsigned,
}

/// The folders of this user for this program.
pub(super) fn folders() -> Option<ProjectDirs> {
    ProjectDirs::from("", "", "tallyhand")
}

impl Config {
    /// Checks raw settings. Reads the secret's file, if one is named, through `read`.
    pub fn check(raw: &Raw, read: impl Fn(&Path) -> std::io::Result<String>) -> Result<Config, Error> {
        let listen = raw.get("listen").unwrap_or("127.0.0.1:8484");
        let listen: SocketAddr = listen.parse().map_err(|_| Error::Listen(listen.to_string()))?;
        let public_url = url("public_url", raw)?.map(|url| url.as_str().trim_end_matches('/').to_string());
        let config = Config {
            db: match raw.get("db") {
                Some(path) => PathBuf::from(path),
                None => folders().ok_or(Error::NoDataFolder)?.data_dir().join("book.sqlite"),
            },
            listen,
            metrics_for: metrics_for(raw, listen, public_url.is_some())?,
            public_url,
            zone: zone(raw)?,
            owner: raw.get("owner").unwrap_or(OWNER_NAME).trim().to_string(),
            signed_secrets: secrets(raw, &read)?,
            lines: Arc::new(Source { raw, read: &read }.lines()?),
            callback_url: url("callback_url", raw)?,
            backups: backups(raw)?,
            sender_limit: number("sender_limit", raw, 120, (0, 1_000_000))?,
            speech_model: speech_model(raw)?,
            speech_folder: match raw.get("speech_folder") {
                Some(path) => PathBuf::from(path),
                None => folders().ok_or(Error::NoDataFolder)?.data_dir().join("models"),
            },
            speech_server: speech_server(raw, &read)?,
            voice_days: voice_days(raw)?,
            log: raw.get("log").unwrap_or("warn").to_string(),
            log_json: log_json(raw)?,
        };
        if config.callback_url.is_some() && config.signed_secrets.is_empty() {
            return Err(Error::CallbackUnsigned);
        }
        Ok(config)
    }
}

fn number(name: &'static str, raw: &Raw, otherwise: u32, (least, most): (u32, u32)) -> Result<u32, Error> {
    let Some(value) = raw.get(name) else {
        return Ok(otherwise);
    };
    match value.trim().parse() {
        Ok(number) if (least..=most).contains(&number) => Ok(number),
        _ => Err(Error::Number {
            name,
            value: value.to_string(),
            least,
            most,
        }),
    }
}

fn backups(raw: &Raw) -> Result<Option<Schedule>, Error> {
    let hours = number("backup_hours", raw, 24, (1, 24 * 366))?;
    let keep = number("backup_keep", raw, 14, (1, 10_000))?;
    let recipients = raw.get("backup_recipient").map(Recipients::parse).transpose();
    let recipients = recipients.map_err(Error::BackupRecipient)?;
    Ok(raw.get("backup_folder").map(|folder| Schedule {
        folder: PathBuf::from(folder),
        hours,
        keep,
        recipients,
    }))
}

/// Without a token the numbers are shown only where nobody but this machine can ask: behind another server everybody
/// seems to be this machine.
fn metrics_for(raw: &Raw, listen: SocketAddr, is_public: bool) -> Result<MetricsFor, Error> {
    match raw.get("metrics_token") {
        Some(token) => Secret::parse(token)
            .map(MetricsFor::Token)
            .map_err(|_| Error::MetricsToken),
        None if listen.ip().is_loopback() && !is_public => Ok(MetricsFor::ThisMachine),
        None => Ok(MetricsFor::Nobody),
    }
}

fn log_json(raw: &Raw) -> Result<bool, Error> {
    match raw.get("log_format").map(str::trim) {
        None | Some("text") => Ok(false),
        Some("json") => Ok(true),
        Some(other) => Err(Error::LogFormat(other.to_string())),
    }
}

fn speech_model(raw: &Raw) -> Result<String, Error> {
    let name = raw.get("speech_model").unwrap_or(USUAL_MODEL).trim();
    match model_folder(Path::new("models"), name) {
        Some(_) => Ok(name.to_string()),
        None => Err(Error::SpeechModel(name.to_string())),
    }
}

fn speech_server(raw: &Raw, read: impl Fn(&Path) -> std::io::Result<String>) -> Result<Option<Address>, Error> {
    let Some(url) = url("speech_url", raw)? else {
        return Ok(None);
    };
    let key = match (raw.get("speech_key"), raw.get("speech_key_file").map(PathBuf::from)) {
        (Some(key), _) => Some(Key::new(key)),
        (None, Some(path)) => {
            let text = read(&path).map_err(|source| Error::SecretFile { path, source })?;
            Some(Key::new(&text))
        }
        (None, None) => None,
    };
    Ok(Some(Address {
        url,
        key,
        model: raw.get("speech_server_model").unwrap_or("whisper-1").trim().to_string(),
    }))
}

fn voice_days(raw: &Raw) -> Result<Days, Error> {
    let text = raw.get("voice_days").unwrap_or("30").trim();
    text.parse().map_err(|_| Error::VoiceDays(text.to_string()))
}

fn zone(raw: &Raw) -> Result<Tz, Error> {
    match raw.get("zone") {
        Some(name) => name.trim().parse().map_err(|_| Error::Zone(name.to_string())),
        None => Ok(iana_time_zone::get_timezone()
            .ok()
            .and_then(|name| name.parse().ok())
            .unwrap_or(Tz::UTC)),
    }
}

fn url(name: &'static str, raw: &Raw) -> Result<Option<reqwest::Url>, Error> {
    let Some(value) = raw.get(name) else { return Ok(None) };
    let refused = || Error::Url {
        name,
        value: value.to_string(),
    };
    let url: reqwest::Url = value.trim().parse().map_err(|_| refused())?;
    if matches!(url.scheme(), "http" | "https") && url.has_host() {
        Ok(Some(url))
    } else {
        Err(refused())
    }
}

fn secrets(raw: &Raw, read: &impl Fn(&Path) -> std::io::Result<String>) -> Result<Vec<Secret>, Error> {
    let mut text = raw.get("signed_secret").unwrap_or_default().to_string();
    if let Some(path) = raw.get("signed_secret_file").map(PathBuf::from) {
        text.push(' ');
        text.push_str(&read(&path).map_err(|source| Error::SecretFile { path, source })?);
    }
    text.split([' ', '\n', '\r', '\t', ','])
        .filter(|part| !part.is_empty())
        .map(secret)
        .collect()
}

fn secret(text: &str) -> Result<Secret, Error> {
    Secret::parse(text).map_err(|_| Error::Secret)
}

#[cfg(test)]
mod tests {
    use super::{Config, Error};
    use crate::runtime::settings::Raw;

    const SECRET: &str = "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw";

    fn check(settings: &[(&'static str, &str)]) -> Result<Config, Error> {
        let raw = settings
            .iter()
            .fold(Raw::default().with("db", Some("book".into())), |raw, (name, value)| {
                raw.with(name, Some((*value).to_string()))
            });
        Config::check(&raw, |_| Ok(format!("{SECRET}\n")))
    }

    #[test]
    fn every_wrong_value_has_its_own_error() {
        assert!(check(&[]).is_ok());
        assert!(matches!(check(&[("listen", "8484")]), Err(Error::Listen(_))));
        assert!(matches!(check(&[("zone", "Chicago")]), Err(Error::Zone(_))));
        assert!(matches!(
            check(&[("public_url", "yard.example.com")]),
            Err(Error::Url { name: "public_url", .. })
        ));
        assert!(matches!(
            check(&[("callback_url", "ftp://x")]),
            Err(Error::Url {
                name: "callback_url",
                ..
            })
        ));
        assert!(matches!(check(&[("speech_model", "../x")]), Err(Error::SpeechModel(_))));
        assert!(matches!(
            check(&[("speech_url", "localhost:8000")]),
            Err(Error::Url { name: "speech_url", .. })
        ));
        assert!(matches!(check(&[("voice_days", "ever")]), Err(Error::VoiceDays(_))));
        assert!(matches!(check(&[("signed_secret", "hunter2")]), Err(Error::Secret)));
        assert!(matches!(
            check(&[("metrics_token", "hunter2")]),
            Err(Error::MetricsToken)
        ));
        assert!(matches!(check(&[("log_format", "xml")]), Err(Error::LogFormat(_))));
        for (name, value) in [("backup_hours", "0"), ("backup_keep", "many"), ("sender_limit", "-1")] {
            assert!(matches!(check(&[(name, value)]), Err(Error::Number { .. })), "{name}");
        }
        assert!(matches!(
            check(&[("callback_url", "http://127.0.0.1:9/")]),
            Err(Error::CallbackUnsigned)
        ));
    }

    #[test]
    fn secrets_add_up_and_are_never_shown() {
        let config = check(&[
            ("signed_secret", &format!("{SECRET} {SECRET}")),
            ("signed_secret_file", "x"),
        ]);
        let config = config.expect("settings");
        assert_eq!(config.signed_secrets.len(), 3);
        assert!(!format!("{config:?} {:?}", config.signed_secrets).contains("MfKQ"));
        let Err(wrong) = check(&[("signed_secret", "whsec_hunter2")]) else {
            panic!("a short secret is refused")
        };
        assert!(!wrong.to_string().contains("hunter2"));
    }
}
