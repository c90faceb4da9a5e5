//! The messengers that are switched on, and what all of them can do.

use super::{
    Channel, MediaRef, Request, Response, Tap, Verdict, gateway::Gateway, matrix::Matrix, sms::Sms, telegram::Telegram,
    whatsapp::Whatsapp,
};

/// A piece with everything that is needed to send it.
#[derive(Clone, PartialEq, Eq)]
pub enum Unsent {
    /// Words, with buttons under them.
    Text {
        /// The words.
        text: String,
        /// The buttons.
        taps: Vec<Tap>,
    },
    /// A file.
    File {
        /// Its media type.
        media_type: String,
        /// Its name.
        name: String,
        /// Its bytes.
        bytes: Vec<u8>,
    },
}

/// How something is sent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Sending {
    /// With one request.
    Once(Request),
    /// The file goes first; its answer makes the request that sends it.
    Upload(Request),
}

/// How something sent along is fetched.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Fetching {
    /// At once.
    Get(Request),
    /// First ask where it is.
    Ask(Request),
}

/// A host that may hold what was sent along.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MediaHost {
    /// Its name, which also stands for what ends in it after a dot; or its exact address.
    name: String,
    /// The port, when it is bound to one.
    port: Option<u16>,
    /// The owner named it in the settings: it is trusted, and may be in the same house.
    pub chosen: bool,
}

impl MediaHost {
    /// A host of a provider on the public network.
    pub fn public(name: &str) -> MediaHost {
        MediaHost {
            name: name.to_ascii_lowercase(),
            port: None,
            chosen: false,
        }
    }

    /// The host of an address in the settings.
    pub fn chosen(url: &str) -> MediaHost {
        let uri: http::Uri = url.parse().unwrap_or_default();
        let default = if uri.scheme_str() == Some("http") { 80 } else { 443 };
        MediaHost {
            name: uri.host().unwrap_or_default().to_ascii_lowercase(),
            port: Some(uri.port_u16().unwrap_or(default)),
            chosen: true,
        }
    }

    /// Whether it stands for this host and port.
    pub fn covers(&self, host: &str, port: Option<u16>) -> bool {
        let host = host.to_ascii_lowercase();
        if self.name.is_empty() {
            return false;
        }
        if self.chosen {
            return host == self.name && port == self.port;
        }
        host == self.name
            || host
                .strip_suffix(&self.name)
                .is_some_and(|before| before.ends_with('.'))
    }
}

/// What a messenger can do: everything as values, nothing waits.
pub trait Line: Send + Sync {
    /// Which it is.
    fn channel(&self) -> Channel;

    /// The request that sends a piece to a room; `key` is the same on every try.
    fn send(&self, room: &str, unsent: &Unsent, key: &str) -> Sending;

    /// The request that sends a file which was taken, from the answer to its upload; or what that answer means instead.
    fn after_upload(&self, _room: &str, _unsent: &Unsent, _key: &str, uploaded: &Response) -> Result<Request, Verdict> {
        Err(self.judge(uploaded))
    }

    /// What the answer to a sending means.
    fn judge(&self, response: &Response) -> Verdict;

    /// How something sent along is fetched.
    fn fetch(&self, media: &MediaRef) -> Fetching;

    /// The request that fetches it, from the answer to the question where it is; or why it cannot be had.
    fn located(&self, _media: &MediaRef, answer: &Response) -> Result<Request, Verdict> {
        Err(self.judge(answer))
    }

    /// Hosts that may hold what was sent along.
    fn media_hosts(&self) -> Vec<MediaHost>;

    /// A sign that something is being worked on, where there is one.
    fn typing(&self, _room: &str) -> Option<Request> {
        None
    }

    /// For how many seconds after a person wrote free words go out to them; always, when none.
    fn open_s(&self) -> Option<i64> {
        None
    }

    /// The request that asks a person to write, where free words do not go out and this does.
    fn nudge(&self, _room: &str) -> Option<Request> {
        None
    }

    /// Tells the provider that a press arrived, where it has to be told.
    fn pressed(&self, _callback: &str) -> Option<Request> {
        None
    }

    /// The request that shows whether we are who we say we are.
    fn probe(&self) -> Request;

    /// What the answer to it means, in words for the owner.
    ///
    /// # Errors
    /// In words too, when we are not, or the provider is not well.
    fn judge_probe(&self, response: &Response) -> Result<String, String>;
}

/// The messengers that are switched on.
#[derive(Default, Clone)]
pub struct Lines {
    /// Telegram.
    pub telegram: Option<Telegram>,
    /// Text messages by a provider.
    pub sms: Option<Sms>,
    /// WhatsApp Cloud.
    pub whatsapp: Option<Whatsapp>,
    /// Matrix.
    pub matrix: Option<Matrix>,
    /// A gateway of one's own.
    pub gateway: Option<Gateway>,
}

impl Lines {
    /// The messenger, when it is switched on.
    pub fn line(&self, channel: Channel) -> Option<&dyn Line> {
        match channel {
            Channel::Telegram => self.telegram.as_ref().map(|line| line as &dyn Line),
            Channel::Sms => self.sms.as_ref().map(|line| line as &dyn Line),
            Channel::Whatsapp => self.whatsapp.as_ref().map(|line| line as &dyn Line),
            Channel::Matrix => self.matrix.as_ref().map(|line| line as &dyn Line),
            Channel::Gateway => self.gateway.as_ref().map(|line| line as &dyn Line),
        }
    }

    /// Those that are switched on.
    pub fn on(&self) -> Vec<Channel> {
        Channel::ALL
            .into_iter()
            .filter(|channel| self.line(*channel).is_some())
            .collect()
    }
}
