//! The house with its doors still shut: the open book, the clock, the ids, and what the handlers will be given.

use std::sync::Arc;

use anyhow::{Context, bail};
use chrono::{DateTime, NaiveDate, NaiveDateTime, NaiveTime, TimeZone};
use chrono_tz::Tz;

use super::{
    Config,
    clock::{RandomIds, StandingClock, SystemClock},
    config::folders,
    demo,
    forget::Forgetter,
};
use crate::{
    conversation,
    speech::{Installed, Recogniser, Server, Transcriber, model_folder},
    store::{Delivery, Member, Options, Store},
    units::Timestamp,
    web::{self, Clock, Deps, Ids, Watch},
};

/// Longest name of a member, in bytes; the book refuses more than as many letters.
const NAME_BYTES_MAX: usize = 80;

fn random_secret() -> [u8; 32] {
    RandomIds.secret()
}

/// The book and what goes with it.
pub(super) struct House {
    pub(super) config: Config,
    pub(super) store: Store,
    pub(super) recogniser: Recogniser,
    pub(super) clock: Arc<dyn Clock>,
    pub(super) ids: Arc<dyn Ids>,
    pub(super) watch: Watch,
}

impl House {
    /// Opens the book that the settings name, and makes it when there is none.
    pub(super) fn open(config: Config) -> anyhow::Result<House> {
        if let Some(folder) = config.db.parent().filter(|folder| !folder.as_os_str().is_empty()) {
            std::fs::create_dir_all(folder)
                .with_context(|| format!("the folder {} cannot be made", folder.display()))?;
        }
        let clock: Arc<dyn Clock> = Arc::new(SystemClock);
        let options = Options {
            handle: conversation::handle,
            zone: config.zone,
            public_url: config.public_url.clone(),
            carry_answers: config.callback_url.is_some(),
            owner: config.owner.clone(),
            channels: config.lines.on(),
            secret: random_secret,
        };
        let recogniser = listener(&config)?;
        let store = Store::open(&config.db, options, clock.now())
            .with_context(|| format!("with the book {}", config.db.display()))?;
        let watch = Watch::new(store.handle().counts(), config.metrics_for.clone(), config.sender_limit);
        Ok(House {
            config,
            watch,
            store,
            recogniser,
            clock,
            ids: Arc::new(RandomIds),
        })
    }

    /// Opens the book of the invented business instead, and fills it when it is new.
    ///
    /// A file named by the caller is used only if it is new or was a demo before: the demo never writes into a real book.
    pub(super) fn open_demo(mut config: Config, named: bool) -> anyhow::Result<House> {
        let season = demo::season()?;
        if named {
            let book = &config.db;
            if book.exists() && !demo::is_demo_book(book)? {
                bail!("{} is a real book; the demo wants a file of its own", book.display());
            }
        } else {
            let folders = folders().context("this user has no data folder; name a file for the demo with --db FILE")?;
            config.db = folders.data_dir().join("demo.sqlite");
        }
        config.callback_url = None;
        // The invented business answers nobody out there.
        config.lines = Arc::default();
        if let Some(first) = season.first() {
            config.owner.clone_from(&first.speaker);
        }
        let house = House::open(config)?;
        house.wait(demo::fill(&house, season))??;
        Ok(house)
    }

    /// Stops the clock at a time.
    pub(super) fn clock_stands_at(&mut self, at: Timestamp) {
        self.clock = Arc::new(StandingClock(at));
    }

    /// The member of that name; the owner when none is given.
    pub(super) async fn member(&self, name: Option<&str>) -> anyhow::Result<Member> {
        match name {
            None => Ok(self.store.owner().clone()),
            Some(name) => Ok(self
                .store
                .handle()
                .member(self.store.owner().account, name.to_string())
                .await?),
        }
    }

    /// A message from this machine; each is new.
    pub(super) fn delivery(&self, member: &Member, channel: &str, text: String) -> Delivery {
        let id = self.ids.inbound();
        Delivery {
            account: member.account,
            member: member.id,
            external_id: id.as_str().to_string(),
            id,
            channel: channel.to_string(),
            text,
            heard: None,
            answer_to: None,
            sent_at: None,
            media: Vec::new(),
            at: self.clock.now(),
        }
    }

    /// What the handlers are given.
    pub(super) fn deps(&self) -> Deps {
        let owner = self.store.owner();
        Deps {
            store: self.store.handle(),
            recogniser: self.recogniser.clone(),
            lines: Arc::clone(&self.config.lines),
            clock: Arc::clone(&self.clock),
            ids: Arc::clone(&self.ids),
            zone: self.config.zone,
            https: self
                .config
                .public_url
                .as_deref()
                .is_some_and(|url| url.starts_with("https://")),
            signed_secrets: self.config.signed_secrets.clone().into(),
            account: owner.account,
            owner: owner.id,
            guesses: Arc::default(),
            watch: self.watch.clone(),
            listeners: web::Listeners::default(),
        }
    }

    /// What it takes to let old recordings go.
    pub(super) fn forgetter(&self) -> Forgetter {
        Forgetter {
            store: self.store.handle(),
            clock: Arc::clone(&self.clock),
            days: self.config.voice_days,
        }
    }

    /// Runs something that waits, on this thread.
    pub(super) fn wait<T>(&self, work: impl Future<Output = T>) -> anyhow::Result<T> {
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .build()
            .context("no runtime")?;
        Ok(runtime.block_on(work))
    }

    /// Finishes what is queued and closes the book.
    pub(super) fn close(self) {
        self.store.close();
    }
}

/// Whatever listens to voice notes: a server when one is set, else the model that is installed. The thread ends by itself
/// when nobody can ask any more; a note that is being heard when the program ends is heard again at the next start, so
/// nobody waits for it.
fn listener(config: &Config) -> anyhow::Result<Recogniser> {
    let transcriber: Box<dyn Transcriber> = match &config.speech_server {
        Some(address) => Box::new(Server::new(address.clone()).context("with the speech server")?),
        None => match model_folder(&config.speech_folder, &config.speech_model) {
            Some(folder) => Box::new(Installed::new(folder)),
            None => return Ok(Recogniser::deaf()),
        },
    };
    let (recogniser, _) = Recogniser::start(transcriber).context("no thread to listen to voice notes")?;
    Ok(recogniser)
}

/// A person's name, if it is one.
fn checked_name(name: &str) -> anyhow::Result<&str> {
    let name = name.trim();
    if name.is_empty() || name.len() > NAME_BYTES_MAX || name.chars().any(char::is_control) {
        bail!("a name is 1 to {NAME_BYTES_MAX} letters on one line, such as Ana");
    }
    Ok(name)
}

/// Begins a book of its own for one more business, and prints its owner's sign-in link.
pub(super) fn add_account(house: &House, owner: &str) -> anyhow::Result<()> {
    let (owner, now) = (checked_name(owner)?.to_string(), house.clock.now());
    let owner = house.wait(house.store.handle().add_account(owner, now))??;
    super::lines::print(&format!(
        "{} has a book of their own now, number {}, which nobody else sees. Sign in once, within a day:",
        owner.name,
        owner.account.get()
    ))?;
    super::serve::print_link_for(house, &owner)
}

/// Lets one more person speak in the book.
pub(super) fn add_member(house: &House, name: &str) -> anyhow::Result<()> {
    let name = checked_name(name)?;
    let account = house.store.owner().account;
    let member = house.wait(
        house
            .store
            .handle()
            .ensure_crew(account, name.to_string(), house.clock.now()),
    )??;
    super::lines::print(&format!(
        "{0} may speak in this book: say it with --as {0:?}, or give them a link",
        member.name
    ))
}

/// Reads a time: RFC 3339, or a local date and time in the zone given.
pub(super) fn read_time(text: &str, zone: Tz) -> anyhow::Result<Timestamp> {
    let text = text.trim();
    if let Ok(at) = DateTime::parse_from_rfc3339(text) {
        return to_timestamp(at.timestamp(), text);
    }
    let local = [
        "%Y-%m-%dT%H:%M:%S",
        "%Y-%m-%dT%H:%M",
        "%Y-%m-%d %H:%M:%S",
        "%Y-%m-%d %H:%M",
    ]
    .iter()
    .find_map(|form| NaiveDateTime::parse_from_str(text, form).ok())
    .or_else(|| {
        Some(
            NaiveDate::parse_from_str(text, "%Y-%m-%d")
                .ok()?
                .and_time(NaiveTime::MIN),
        )
    });
    let Some(local) = local else {
        bail!("--at is {text:?}; it has to be like 2026-01-12T15:04:05Z or, in local time, 2026-01-12T09:00");
    };
    match zone.from_local_datetime(&local).earliest() {
        Some(at) => to_timestamp(at.timestamp(), text),
        None => bail!("--at is {text:?}, an hour that the clocks skip in {zone}; name another time"),
    }
}

fn to_timestamp(unix_s: i64, text: &str) -> anyhow::Result<Timestamp> {
    Timestamp::from_unix_seconds(unix_s).with_context(|| format!("--at is {text:?}, which is out of range"))
}

#[cfg(test)]
mod tests {
    use chrono_tz::America::Chicago;

    use super::read_time;

    #[track_caller]
    fn check(text: &str, wanted: &str) {
        assert_eq!(read_time(text, Chicago).expect("a time").to_string(), wanted);
    }

    #[test]
    fn times_are_read_both_ways() {
        check("2026-01-12T15:04:05Z", "2026-01-12T15:04:05Z");
        check("2026-01-12T09:04:05-06:00", "2026-01-12T15:04:05Z");
        check("2026-01-12T09:00", "2026-01-12T15:00:00Z");
        check("2026-07-12 09:00:01", "2026-07-12T14:00:01Z");
        check("2026-01-12", "2026-01-12T06:00:00Z");
        // An hour that happens twice is taken for the first time.
        check("2026-11-01T01:30", "2026-11-01T06:30:00Z");
        assert!(
            read_time("2026-03-08T02:30", Chicago).is_err(),
            "the clocks skip that hour"
        );
        assert!(read_time("monday", Chicago).is_err());
    }
}
