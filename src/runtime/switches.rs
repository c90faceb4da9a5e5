//! Which messengers do the settings switch on? Checked once, at the start.

use std::path::{Path, PathBuf};

use super::settings::{Raw, SETTINGS};
use crate::channels::{
    Hidden, Lines,
    gateway::Gateway,
    matrix::Matrix,
    sms::{self, Sms},
    telegram::Telegram,
    whatsapp::{self, Whatsapp},
};

/// What is wrong with the settings of a messenger. A secret's text is never repeated.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// A setting that another one needs is missing.
    #[error("{name} needs {needs}{} as well", or_its_file(needs))]
    Needs {
        /// The setting that is there.
        name: &'static str,
        /// The one that is not.
        needs: &'static str,
    },
    /// A value that cannot be.
    #[error("{name} is not usable: {wanted}")]
    Value {
        /// The setting.
        name: &'static str,
        /// What it has to be.
        wanted: &'static str,
    },
    /// A file with a secret cannot be read.
    #[error("the file {} of {name} cannot be read", path.display())]
    File {
        /// The setting.
        name: &'static str,
        /// The file.
        path: PathBuf,
        /// Why.
        source: std::io::Error,
    },
}

/// The other way to give a setting, where there is one: in a file.
fn or_its_file(name: &str) -> String {
    let file = format!("{name}_file");
    let known = SETTINGS.iter().any(|setting| setting.name == file);
    if known { format!(" or {file}") } else { String::new() }
}

/// Whether a text is a number as providers of text messages take it: `+` and the country, a short code, or the id of a messaging
/// service.
fn is_sender(text: &str) -> bool {
    let digits = |text: &str, least: usize, most: usize| {
        (least..=most).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_digit())
    };
    // E.164 has at most 15 digits.
    text.strip_prefix('+').is_some_and(|rest| digits(rest, 7, 15))
        || digits(text, 5, 6)
        || (text.starts_with("MG") && text.bytes().all(|b| b.is_ascii_alphanumeric()))
}

/// Settings with a way to read the files that hold secrets.
pub(super) struct Source<'a> {
    pub(super) raw: &'a Raw,
    pub(super) read: &'a dyn Fn(&Path) -> std::io::Result<String>,
}

impl Source<'_> {
    fn text(&self, name: &str) -> Option<&str> {
        self.raw.get(name).map(str::trim).filter(|text| !text.is_empty())
    }

    /// A secret, from its own setting or out of its file.
    fn secret(&self, name: &'static str, file: &'static str) -> Result<Option<Hidden>, Error> {
        if let Some(text) = self.text(name) {
            return Ok(Some(Hidden::new(text)));
        }
        let Some(path) = self.text(file).map(PathBuf::from) else {
            return Ok(None);
        };
        let text = (self.read)(&path).map_err(|source| Error::File {
            name: file,
            path,
            source,
        })?;
        Ok(Some(Hidden::new(text.trim())))
    }

    /// The address of a service, without a slash at the end.
    fn service(&self, name: &'static str) -> Result<Option<String>, Error> {
        let Some(text) = self.text(name) else { return Ok(None) };
        let url: Option<reqwest::Url> = text.parse().ok();
        match url {
            Some(url) if matches!(url.scheme(), "http" | "https") && url.has_host() => {
                Ok(Some(text.trim_end_matches('/').to_string()))
            }
            _ => Err(Error::Value {
                name,
                wanted: "it has to be a web address such as https://api.example.com",
            }),
        }
    }

    /// The messengers that the settings switch on.
    pub(super) fn lines(&self) -> Result<Lines, Error> {
        Ok(Lines {
            telegram: self.telegram()?,
            sms: self.sms()?,
            whatsapp: self.whatsapp()?,
            matrix: self.matrix()?,
            gateway: self.gateway()?,
        })
    }

    /// Whether a messenger is wanted: some of its settings are there, and then all that it needs have to be.
    fn wanted(&self, needs: &[&'static str]) -> Result<bool, Error> {
        let there = |name: &&&'static str| self.text(name).is_some() || self.text(&format!("{name}_file")).is_some();
        let Some(name) = needs.iter().find(there) else {
            return Ok(false);
        };
        match needs.iter().find(|name| !there(name)) {
            None => Ok(true),
            Some(missing) => Err(Error::Needs { name, needs: missing }),
        }
    }

    fn words(&self, name: &str) -> Vec<String> {
        let text = self.text(name).unwrap_or_default();
        text.split([' ', ',', '\n', '\t'])
            .filter(|word| !word.is_empty())
            .map(str::to_string)
            .collect()
    }

    fn required(&self, name: &'static str) -> Result<String, Error> {
        let missing = Error::Value {
            name,
            wanted: "it has to be set",
        };
        self.text(name).map(str::to_string).ok_or(missing)
    }

    fn required_secret(&self, name: &'static str, file: &'static str) -> Result<Hidden, Error> {
        let missing = Error::Value {
            name,
            wanted: "it must not be empty",
        };
        self.secret(name, file)?
            .filter(|secret| !secret.reveal().is_empty())
            .ok_or(missing)
    }

    fn sms(&self) -> Result<Option<Sms>, Error> {
        if !self.wanted(&["sms_account", "sms_token"])? {
            return Ok(None);
        }
        let in_response = match self.text("sms_reply") {
            None | Some("rest") => false,
            Some("xml") => true,
            Some(_) => {
                return Err(Error::Value {
                    name: "sms_reply",
                    wanted: "it is rest or xml",
                });
            }
        };
        let needs = |needs| Error::Needs {
            name: "sms_account",
            needs,
        };
        let number = self.text("sms_number").map(str::to_string);
        if number.is_none() && !in_response {
            return Err(needs("sms_number"));
        }
        if number.as_ref().is_some_and(|number| !is_sender(number)) {
            return Err(Error::Value {
                name: "sms_number",
                wanted: "it has to be like +15555550100, or the id of a messaging service, MG…",
            });
        }
        let public_url = self.service("public_url")?.ok_or_else(|| needs("public_url"))?;
        let mut media_hosts = self.words("sms_media_hosts");
        if media_hosts.is_empty() {
            media_hosts.push(sms::MEDIA_HOST.to_string());
        }
        Ok(Some(Sms {
            account: self.required("sms_account")?,
            token: self.required_secret("sms_token", "sms_token_file")?,
            number,
            api: self.service("sms_api")?.unwrap_or_else(|| sms::API.to_string()),
            public_url,
            in_response,
            media_hosts,
        }))
    }

    fn whatsapp(&self) -> Result<Option<Whatsapp>, Error> {
        let needs = [
            "whatsapp_token",
            "whatsapp_app_secret",
            "whatsapp_verify_token",
            "whatsapp_phone_id",
        ];
        if !self.wanted(&needs)? {
            return Ok(None);
        }
        let phone_id = self.required("whatsapp_phone_id")?;
        if !phone_id.bytes().all(|b| b.is_ascii_digit()) {
            return Err(Error::Value {
                name: "whatsapp_phone_id",
                wanted: "it has to be the id that the app shows for the number, digits alone, and not the number",
            });
        }
        Ok(Some(Whatsapp {
            token: self.required_secret("whatsapp_token", "whatsapp_token_file")?,
            app_secret: self.required_secret("whatsapp_app_secret", "whatsapp_app_secret_file")?,
            verify_token: Hidden::new(self.required("whatsapp_verify_token")?),
            phone_id,
            api: self
                .service("whatsapp_api")?
                .unwrap_or_else(|| whatsapp::API.to_string()),
            template: self.template()?,
        }))
    }

    fn template(&self) -> Result<Option<whatsapp::Template>, Error> {
        let Some(text) = self.text("whatsapp_template") else {
            return Ok(None);
        };
        let template = whatsapp::Template::read(text).ok_or(Error::Value {
            name: "whatsapp_template",
            wanted: "it has to be a template's name and its language, such as yard_news en_US",
        })?;
        Ok(Some(template))
    }

    fn matrix(&self) -> Result<Option<Matrix>, Error> {
        if !self.wanted(&["matrix_server", "matrix_token", "matrix_user"])? {
            return Ok(None);
        }
        let user = self.required("matrix_user")?;
        let server_of_user = user
            .strip_prefix('@')
            .and_then(|user| user.split_once(':'))
            .map(|(_, server)| server);
        let Some(own) = server_of_user.map(str::to_string) else {
            return Err(Error::Value {
                name: "matrix_user",
                wanted: "it has to be like @yard:example.org",
            });
        };
        let mut invites = self.words("matrix_invites");
        if invites.is_empty() {
            invites.push(own);
        }
        let server = self.service("matrix_server")?;
        Ok(Some(Matrix {
            server: server.unwrap_or_default(),
            token: self.required_secret("matrix_token", "matrix_token_file")?,
            user,
            invites,
        }))
    }

    fn gateway(&self) -> Result<Option<Gateway>, Error> {
        let needs = [
            "gateway_url",
            "gateway_key",
            "gateway_user",
            "gateway_password",
            "gateway_number",
        ];
        if !self.wanted(&needs)? {
            return Ok(None);
        }
        let key = self.required_secret("gateway_key", "gateway_key_file")?;
        let plain = |b: u8| b.is_ascii_alphanumeric() || b == b'_' || b == b'-';
        if !key.reveal().bytes().all(plain) {
            return Err(Error::Value {
                name: "gateway_key",
                wanted: "it stands in an address, so it has to be letters, digits, _ and -",
            });
        }
        Ok(Some(Gateway {
            key,
            send_url: self.service("gateway_url")?.unwrap_or_default(),
            user: self.required("gateway_user")?,
            password: self.required_secret("gateway_password", "gateway_password_file")?,
            number: self.required("gateway_number")?,
        }))
    }

    fn telegram(&self) -> Result<Option<Telegram>, Error> {
        let secret = self.text("telegram_webhook_secret");
        let Some(token) = self.secret("telegram_token", "telegram_token_file")? else {
            return match secret {
                None => Ok(None),
                Some(_) => Err(Error::Needs {
                    name: "telegram_webhook_secret",
                    needs: "telegram_token",
                }),
            };
        };
        if !Telegram::is_token(token.reveal()) {
            return Err(Error::Value {
                name: "telegram_token",
                wanted: "a token is a number, a colon and letters, as @BotFather gives it",
            });
        }
        if secret.is_some_and(|secret| !Telegram::is_webhook_secret(secret)) {
            return Err(Error::Value {
                name: "telegram_webhook_secret",
                wanted: "it has to be 1 to 256 letters, digits, _ and -",
            });
        }
        if secret.is_some() && self.text("public_url").is_none() {
            return Err(Error::Needs {
                name: "telegram_webhook_secret",
                needs: "public_url",
            });
        }
        let public_url = self.service("public_url")?.unwrap_or_default();
        if secret.is_some() && !public_url.starts_with("https://") {
            return Err(Error::Value {
                name: "public_url",
                wanted: "Telegram calls addresses with https:// alone",
            });
        }
        let api = self.service("telegram_api")?;
        Ok(Some(Telegram::new(token, api.as_deref(), secret.map(Hidden::new))))
    }
}

#[cfg(test)]
mod tests {
    use super::{Error, Source};
    use crate::{channels::Channel, runtime::settings::Raw};

    #[track_caller]
    fn check(settings: &[(&'static str, &str)]) -> Result<Vec<Channel>, Error> {
        let raw = settings.iter().fold(Raw::default(), |raw, (name, value)| {
            raw.with(name, Some((*value).to_string()))
        });
        let source = Source {
            raw: &raw,
            read: &|_| Ok("123456:FROMFILE\n".to_string()),
        };
        source.lines().map(|lines| lines.on())
    }

    #[test]
    fn a_token_switches_telegram_on() {
        assert_eq!(check(&[]).expect("settings"), []);
        assert_eq!(
            check(&[("telegram_token", "123456:TEST")]).expect("settings"),
            [Channel::Telegram]
        );
        assert_eq!(
            check(&[("telegram_token_file", "x")]).expect("settings"),
            [Channel::Telegram]
        );
        let wrong = check(&[("telegram_token", "hunter2")]).expect_err("no token");
        assert!(!wrong.to_string().contains("hunter2"));
        assert!(matches!(
            check(&[("telegram_webhook_secret", "x")]),
            Err(Error::Needs { .. })
        ));
        let without_url = check(&[("telegram_token", "123456:TEST"), ("telegram_webhook_secret", "x")]);
        assert!(matches!(
            without_url,
            Err(Error::Needs {
                needs: "public_url",
                ..
            })
        ));
        let plain = check(&[
            ("telegram_token", "123456:TEST"),
            ("telegram_webhook_secret", "x"),
            ("public_url", "http://yard.example.com"),
        ]);
        assert!(plain.is_err_and(|failure| failure.to_string().contains("https:// alone")));
        let api = check(&[("telegram_token", "123456:TEST"), ("telegram_api", "ftp://x")]);
        assert!(matches!(
            api,
            Err(Error::Value {
                name: "telegram_api",
                ..
            })
        ));
    }

    /// What is missing or cannot be is said with the name of its setting, before anything is sent.
    #[test]
    fn what_cannot_be_sent_by_is_refused_at_the_start() {
        let says = |settings: &[(&'static str, &str)], wanted: &str| {
            let said = check(settings).expect_err("it is refused").to_string();
            assert!(said.contains(wanted), "{settings:?}: {said}");
        };
        says(
            &[("sms_account", "AC0")],
            "sms_account needs sms_token or sms_token_file as well",
        );
        says(
            &[("sms_account", "AC0"), ("sms_token", "t")],
            "sms_account needs sms_number as well",
        );
        let url = ("public_url", "https://yard.example.com");
        for number in ["555-0100", "5555550100", "+", "+1 555 555 0100", "MG 1"] {
            let sms = [("sms_account", "AC0"), ("sms_token", "t"), ("sms_number", number), url];
            says(&sms, "sms_number is not usable: it has to be like +15555550100");
        }
        for number in ["+15555550100", "55555", "MG00000000000000000000000000000000"] {
            let sms = [("sms_account", "AC0"), ("sms_token", "t"), ("sms_number", number), url];
            assert_eq!(check(&sms).expect("settings"), [Channel::Sms], "{number}");
        }
        let whatsapp = |id: &'static str| {
            let names = ["whatsapp_token", "whatsapp_app_secret", "whatsapp_verify_token"];
            let mut all: Vec<(&str, &str)> = names.into_iter().map(|name| (name, "x")).collect();
            all.push(("whatsapp_phone_id", id));
            all
        };
        says(&whatsapp("+1 555 555 0100"), "and not the number");
        assert_eq!(
            check(&whatsapp("106540352242922")).expect("settings"),
            [Channel::Whatsapp]
        );
        let gateway = |key: &'static str| {
            let names = ["gateway_user", "gateway_password", "gateway_number"];
            let mut all: Vec<(&str, &str)> = names.into_iter().map(|name| (name, "x")).collect();
            all.extend([
                ("gateway_url", "http://127.0.0.1:13013/cgi-bin/sendsms"),
                ("gateway_key", key),
            ]);
            all
        };
        says(&gateway("k&y"), "letters, digits, _ and -");
        assert_eq!(check(&gateway("k3y_-")).expect("settings"), [Channel::Gateway]);
    }
}
