//! Which settings are there, and where does each value come from?
//!
//! One table defines them all: the name in the TOML file, the environment variable, the default and what it does. The
//! file, the environment and the flags only fill in raw text; [`super::config`] turns that into checked values. The README
//! shows this table, and a test compares the two.

use std::collections::BTreeMap;

/// A setting.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Setting {
    /// Its name in the TOML file; the environment variable is `TALLYHAND_` and the name in capitals.
    pub name: &'static str,
    /// The flag that sets it, if there is one.
    pub flag: Option<&'static str>,
    /// What holds when nobody says otherwise, in words.
    pub default: &'static str,
    /// What it does.
    pub what: &'static str,
}

impl Setting {
    /// Its environment variable.
    pub fn variable(&self) -> String {
        format!("TALLYHAND_{}", self.name.to_uppercase())
    }
}

/// Every setting there is.
pub const SETTINGS: &[Setting] = &[
    Setting {
        name: "db",
        flag: Some("--db"),
        default: "`book.sqlite` in the user's data folder",
        what: "the book file",
    },
    Setting {
        name: "listen",
        flag: Some("--listen"),
        default: "`127.0.0.1:8484`",
        what: "where the page is served",
    },
    Setting {
        name: "public_url",
        flag: None,
        default: "none",
        what: "the address under which a phone reaches the page, such as `https://yard.example.com`",
    },
    Setting {
        name: "zone",
        flag: None,
        default: "this machine's, else UTC",
        what: "the time zone of a book that has not set its own, such as `America/Chicago`",
    },
    Setting {
        name: "owner",
        flag: None,
        default: "`owner`",
        what: "what the owner of a new book is called",
    },
    Setting {
        name: "signed_secret",
        flag: None,
        default: "none: the signed webhook is off",
        what: "secret of the signed webhook, `whsec_…`; several with spaces between while one is being changed",
    },
    Setting {
        name: "signed_secret_file",
        flag: None,
        default: "none",
        what: "a file that holds that secret instead",
    },
    Setting {
        name: "callback_url",
        flag: None,
        default: "none: answers are not carried anywhere",
        what: "where every answer is also sent, signed with the same secret",
    },
    Setting {
        name: "telegram_token",
        flag: None,
        default: "none: Telegram is off",
        what: "the bot's token, from @BotFather",
    },
    Setting {
        name: "telegram_token_file",
        flag: None,
        default: "none",
        what: "a file that holds that token instead",
    },
    Setting {
        name: "telegram_webhook_secret",
        flag: None,
        default: "none: we ask Telegram for news, which needs no public address",
        what: "1 to 256 letters, digits, `_` and `-`: Telegram calls `/hooks/telegram` under `public_url` instead",
    },
    Setting {
        name: "telegram_api",
        flag: None,
        default: "`https://api.telegram.org`",
        what: "where Telegram's Bot API is, for a server of your own",
    },
    Setting {
        name: "backup_folder",
        flag: None,
        default: "none: no backups by the clock",
        what: "where `serve` puts backups, best on another disk",
    },
    Setting {
        name: "backup_hours",
        flag: None,
        default: "`24`",
        what: "hours from one of them to the next",
    },
    Setting {
        name: "backup_keep",
        flag: None,
        default: "`14`",
        what: "how many of them are kept; the oldest go first",
    },
    Setting {
        name: "backup_recipient",
        flag: None,
        default: "none: packed only",
        what: "the public key (`age1…`) that scheduled backups are encrypted for; several with commas",
    },
    Setting {
        name: "sender_limit",
        flag: None,
        default: "`120`",
        what: "messages a minute that one sender may send; `0` for no limit",
    },
    Setting {
        name: "metrics_token",
        flag: None,
        default: "none: `/metrics` is there only while the page is for this machine alone",
        what: "who reads `/metrics` sends this as `Authorization: Bearer …`; made like `signed_secret`",
    },
    Setting {
        name: "log_format",
        flag: None,
        default: "`text`",
        what: "`text` for people, `json` for programs: an object a line",
    },
    Setting {
        name: "speech_model",
        flag: None,
        default: "`tiny.en`",
        what: "the model that listens to voice notes here; `tallyhand speech models` lists them",
    },
    Setting {
        name: "speech_folder",
        flag: None,
        default: "`models` in the user's data folder",
        what: "where models lie",
    },
    Setting {
        name: "speech_url",
        flag: None,
        default: "none: voice notes are heard here",
        what: "a server that hears them instead, such as `http://127.0.0.1:8000/v1/audio/transcriptions`",
    },
    Setting {
        name: "speech_server_model",
        flag: None,
        default: "`whisper-1`",
        what: "the model that is asked for there",
    },
    Setting {
        name: "speech_key",
        flag: None,
        default: "none",
        what: "the key that opens that server",
    },
    Setting {
        name: "speech_key_file",
        flag: None,
        default: "none",
        what: "a file that holds that key instead",
    },
    Setting {
        name: "voice_days",
        flag: None,
        default: "`30`",
        what: "days that recordings are kept where the owner said nothing else, to hear them again; what was heard is kept for good",
    },
    Setting {
        name: "sms_account",
        flag: None,
        default: "none: text messages are off",
        what: "the account's id with the provider of text messages, `AC…`",
    },
    Setting {
        name: "sms_token",
        flag: None,
        default: "none",
        what: "that account's token: it checks signatures and sends",
    },
    Setting {
        name: "sms_token_file",
        flag: None,
        default: "none",
        what: "a file that holds that token instead",
    },
    Setting {
        name: "sms_number",
        flag: None,
        default: "none",
        what: "our number, `+15555550100`, or the id of a messaging service, `MG…`",
    },
    Setting {
        name: "sms_reply",
        flag: None,
        default: "`rest`",
        what: "`xml` puts answers into the response to the provider's call instead of sending them",
    },
    Setting {
        name: "sms_api",
        flag: None,
        default: "`https://api.twilio.com`",
        what: "where the provider's REST service is",
    },
    Setting {
        name: "sms_media_hosts",
        flag: None,
        default: "`mms.twiliocdn.com`",
        what: "hosts that the provider hands out files from",
    },
    Setting {
        name: "whatsapp_token",
        flag: None,
        default: "none: WhatsApp is off",
        what: "the token that opens WhatsApp Cloud",
    },
    Setting {
        name: "whatsapp_token_file",
        flag: None,
        default: "none",
        what: "a file that holds that token instead",
    },
    Setting {
        name: "whatsapp_app_secret",
        flag: None,
        default: "none",
        what: "the app's secret: it checks signatures",
    },
    Setting {
        name: "whatsapp_app_secret_file",
        flag: None,
        default: "none",
        what: "a file that holds that secret instead",
    },
    Setting {
        name: "whatsapp_verify_token",
        flag: None,
        default: "none",
        what: "a word of your own, given to WhatsApp with the webhook's address",
    },
    Setting {
        name: "whatsapp_phone_id",
        flag: None,
        default: "none",
        what: "the id of our number there",
    },
    Setting {
        name: "whatsapp_api",
        flag: None,
        default: "`https://graph.facebook.com/v26.0`",
        what: "where the service is, with its version",
    },
    Setting {
        name: "whatsapp_template",
        flag: None,
        default: "none",
        what: "a template that asks you to write when answers wait, as its name and language: `yard_news en_US`",
    },
    Setting {
        name: "matrix_server",
        flag: None,
        default: "none: Matrix is off",
        what: "where the Matrix server is, such as `https://matrix.example.org`",
    },
    Setting {
        name: "matrix_token",
        flag: None,
        default: "none",
        what: "the token of our user there",
    },
    Setting {
        name: "matrix_token_file",
        flag: None,
        default: "none",
        what: "a file that holds that token instead",
    },
    Setting {
        name: "matrix_user",
        flag: None,
        default: "none",
        what: "our user there, such as `@yard:example.org`",
    },
    Setting {
        name: "matrix_invites",
        flag: None,
        default: "our own server",
        what: "whose invitations are followed: people (`@ana:example.org`) and servers, with spaces between",
    },
    Setting {
        name: "gateway_url",
        flag: None,
        default: "none: the gateway is off",
        what: "where an SMS gateway takes messages, such as `http://127.0.0.1:13013/cgi-bin/sendsms`",
    },
    Setting {
        name: "gateway_key",
        flag: None,
        default: "none",
        what: "a word of your own that the gateway's calls carry as `key`",
    },
    Setting {
        name: "gateway_key_file",
        flag: None,
        default: "none",
        what: "a file that holds that word instead",
    },
    Setting {
        name: "gateway_user",
        flag: None,
        default: "none",
        what: "the gateway's user for sending",
    },
    Setting {
        name: "gateway_password",
        flag: None,
        default: "none",
        what: "that user's password",
    },
    Setting {
        name: "gateway_password_file",
        flag: None,
        default: "none",
        what: "a file that holds that password instead",
    },
    Setting {
        name: "gateway_number",
        flag: None,
        default: "none",
        what: "our number, as the gateway has it",
    },
    Setting {
        name: "log",
        flag: None,
        default: "`warn`",
        what: "what goes to standard error: `error`, `warn`, `info`, `debug`",
    },
];

/// The setting that was meant, if one is spelled nearly so; else all of them.
fn known(name: &str) -> String {
    let near = SETTINGS
        .iter()
        .map(|setting| (strsim::osa_distance(setting.name, name), setting.name));
    match near.min() {
        Some((1 | 2, meant)) => format!("did you mean {meant}?"),
        _ => format!("it knows {}", names()),
    }
}

/// Why raw settings could not be read.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// The file is not TOML.
    #[error("the settings file is not TOML")]
    NotToml(#[source] Box<toml::de::Error>),
    /// The file holds a name that is no setting.
    #[error("the settings file says {name:?}, which is no setting; {}", known(name))]
    Unknown {
        /// The name.
        name: String,
    },
    /// The value is neither text nor a list of texts.
    #[error("the setting {name} has to be text in quotes")]
    NotText {
        /// The name.
        name: String,
    },
}

fn names() -> String {
    SETTINGS
        .iter()
        .map(|setting| setting.name)
        .collect::<Vec<_>>()
        .join(", ")
}

/// Settings as text, from every source, the stronger over the weaker.
#[derive(Debug, Clone, Default)]
pub struct Raw(BTreeMap<&'static str, String>);

impl Raw {
    /// What a TOML file says.
    pub fn from_toml(text: &str) -> Result<Raw, Error> {
        let table: toml::Table = text.parse().map_err(|source| Error::NotToml(Box::new(source)))?;
        let mut raw = Raw::default();
        for (name, value) in table {
            let Some(setting) = SETTINGS.iter().find(|setting| setting.name == name) else {
                return Err(Error::Unknown { name });
            };
            raw.0
                .insert(setting.name, text_of(&value).ok_or(Error::NotText { name })?);
        }
        Ok(raw)
    }

    /// What the environment says: a look-up by variable name.
    pub fn from_environment(variable: impl Fn(&str) -> Option<String>) -> Raw {
        let said = SETTINGS
            .iter()
            .filter_map(|setting| Some((setting.name, variable(&setting.variable())?)));
        Raw(said.filter(|(_, value)| !value.trim().is_empty()).collect())
    }

    /// The same with one value set, if there is one; for flags.
    pub fn with(mut self, name: &'static str, value: Option<String>) -> Raw {
        debug_assert!(
            SETTINGS.iter().any(|setting| setting.name == name),
            "{name} is in the table"
        );
        if let Some(value) = value {
            self.0.insert(name, value);
        }
        self
    }

    /// These settings, overruled by stronger ones.
    pub fn overruled_by(mut self, stronger: Raw) -> Raw {
        self.0.extend(stronger.0);
        self
    }

    /// The text of a setting.
    pub fn get(&self, name: &str) -> Option<&str> {
        self.0.get(name).map(String::as_str)
    }
}

/// A string, or a list of strings with spaces between.
fn text_of(value: &toml::Value) -> Option<String> {
    match value {
        toml::Value::String(text) => Some(text.clone()),
        toml::Value::Array(items) => items
            .iter()
            .map(|item| item.as_str())
            .collect::<Option<Vec<_>>>()
            .map(|items| items.join(" ")),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::{Error, Raw};

    #[test]
    fn stronger_sources_win_and_unknown_names_are_refused() {
        let file = Raw::from_toml("listen = '127.0.0.1:1'\nsigned_secret = ['a', 'b']").expect("settings");
        let environment = Raw::from_environment(|name| (name == "TALLYHAND_LISTEN").then(|| "127.0.0.1:2".to_string()));
        let both = file
            .overruled_by(environment)
            .with("db", Some("x".into()))
            .with("listen", None);
        assert_eq!(
            (both.get("listen"), both.get("signed_secret"), both.get("db")),
            (Some("127.0.0.1:2"), Some("a b"), Some("x"))
        );
        assert!(matches!(Raw::from_toml("lisen = 'x'"), Err(Error::Unknown { name }) if name == "lisen"));
        assert!(matches!(Raw::from_toml("listen = 8484"), Err(Error::NotText { name }) if name == "listen"));
        assert!(matches!(Raw::from_toml("listen = "), Err(Error::NotToml(_))));
    }
}
