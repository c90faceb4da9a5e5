//! Which messengers do the settings switch on? Checked once, at the start.

use std::path::{Path, PathBuf};

use super::settings::Raw;
use crate::channels::{Hidden, Lines, telegram::Telegram};

/// What is wrong with the settings of a messenger. A secret's text is never repeated.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// A setting that another one needs is missing.
    #[error("{name} needs {needs} as well")]
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
        })
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
        let api = check(&[("telegram_token", "123456:TEST"), ("telegram_api", "ftp://x")]);
        assert!(matches!(
            api,
            Err(Error::Value {
                name: "telegram_api",
                ..
            })
        ));
    }
}
