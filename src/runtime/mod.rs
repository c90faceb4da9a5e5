//! How is the program put together and run?
//!
//! Arguments and settings in, a running house out: this part builds the real clock, the real ids, the book, the server and
//! the workers, hands them to the parts that need them, and takes them down again. Nothing is decided here that a message
//! could notice.
//!
//! Invariants: the clock and the random source are read here and nowhere else; settings are checked before anything is
//! opened; every worker has a name, an end and somebody who waits for it.

mod args;
mod attachments;
mod backups;
mod chat;
mod clock;
mod config;
mod deliver;
mod demo;
mod doctor;
mod forget;
mod house;
mod lines;
mod messengers;
mod moving;
mod reading;
mod serve;
mod settings;
mod speech;
mod switches;

use std::{path::Path, process::ExitCode};

use anyhow::Context;
use clap::Parser;

use crate::{store, web::Clock};

use args::{Args, ChannelsCommand, Command, Speech};
use house::House;
use settings::Raw;

pub use backups::{Schedule, when_due};
pub use clock::{RandomIds, SystemClock};
pub use config::{Config, Error as ConfigError};
pub use deliver::{Carrier, deliver_due};
pub use messengers::{CallError, Caller, Messengers, Round, Waits};
pub use settings::{Error as SettingsError, Raw as RawSettings, SETTINGS, Setting};

/// Something failed: the book, the network, the disk.
const EXIT_FAILED: u8 = 1;

/// The command line or the settings make no sense. It is what the argument parser exits with, too.
const EXIT_USAGE: u8 = 2;

/// `check` found something.
const EXIT_FAULTS: u8 = 3;

/// Why a command ended badly.
enum Ended {
    /// The command line or the settings.
    Usage(anyhow::Error),
    /// Anything else that failed.
    Failed(anyhow::Error),
    /// `check` found something and has said what.
    Faults,
}

impl From<anyhow::Error> for Ended {
    fn from(failure: anyhow::Error) -> Self {
        match failure.downcast_ref::<store::Error>() {
            Some(store::Error::UnknownMember { .. }) => Ended::Usage(failure),
            _ => Ended::Failed(failure),
        }
    }
}

/// The whole program: arguments from the command line, an exit code for the shell.
pub fn main() -> ExitCode {
    match run(Args::parse()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(Ended::Usage(failure)) => complain(&failure, EXIT_USAGE),
        Err(Ended::Failed(failure)) if is_broken_pipe(&failure) => ExitCode::SUCCESS,
        Err(Ended::Failed(failure)) => complain(&failure, EXIT_FAILED),
        Err(Ended::Faults) => ExitCode::from(EXIT_FAULTS),
    }
}

fn complain(failure: &anyhow::Error, code: u8) -> ExitCode {
    eprintln!("tallyhand: {failure:#}");
    ExitCode::from(code)
}

/// Whoever reads our output has had enough of it: `tallyhand export --json | head`.
fn is_broken_pipe(failure: &anyhow::Error) -> bool {
    failure
        .downcast_ref::<std::io::Error>()
        .is_some_and(|error| error.kind() == std::io::ErrorKind::BrokenPipe)
}

fn run(args: Args) -> Result<(), Ended> {
    if let Command::Read { text } = &args.command {
        return Ok(reading::print(&text.join(" "))?);
    }
    let config = config(&args).map_err(Ended::Usage)?;
    start_log(&config).map_err(Ended::Usage)?;
    match &args.command {
        Command::Check => return check(&config.db),
        Command::Backup {
            file,
            zstd,
            recipient,
            passphrase_file,
        } => {
            let packing = backups::packing(file, *zstd, recipient, passphrase_file.as_deref()).map_err(Ended::Usage)?;
            return Ok(backups::backup(&config.db, file, &packing)?);
        }
        Command::Restore {
            file,
            replace,
            identity_file,
            passphrase_file,
        } => {
            let key = backups::key(identity_file.as_deref(), passphrase_file.as_deref()).map_err(Ended::Usage)?;
            return Ok(backups::restore(
                file,
                key.as_ref(),
                &config.db,
                *replace,
                SystemClock.now(),
            )?);
        }
        Command::Doctor => {
            return match doctor::look(&config, SystemClock.now())? {
                true => Err(Ended::Faults),
                false => Ok(()),
            };
        }
        _ => {}
    }
    if let Command::Speech { what } = &args.command {
        return Ok(match what {
            Speech::Models => speech::models(&config),
            Speech::Install { name, from, sha256 } => {
                speech::install(&config, name.as_deref(), from.as_deref(), sha256.as_deref())
            }
        }?);
    }
    if let Some(at) = &args.at {
        // A time that makes no sense in any zone is refused before a book is opened for it.
        house::read_time(at, config.zone).map_err(Ended::Usage)?;
    }
    let demo = args.command.is_demo();
    let mut house = if demo {
        House::open_demo(config, args.db.is_some())?
    } else {
        House::open(config)?
    };
    let done = stop_clock(&mut house, args.at.as_deref()).and_then(|()| carry_out(&mut house, args, demo));
    house.close();
    done
}

/// Stops the clock at the time given, which is read in the book's own zone.
fn stop_clock(house: &mut House, at: Option<&str>) -> Result<(), Ended> {
    let Some(at) = at else { return Ok(()) };
    let zone = house.wait(
        house
            .store
            .handle()
            .zone(house.store.owner().account, house.config.zone),
    )?;
    let zone = zone.map_err(anyhow::Error::from)?;
    house.clock_stands_at(house::read_time(at, zone).map_err(Ended::Usage)?);
    Ok(())
}

fn carry_out(house: &mut House, args: Args, demo: bool) -> Result<(), Ended> {
    let done = match args.command {
        Command::Serve { .. } => serve::run(house, demo),
        Command::Chat { json, .. } => chat::run(house, args.member.as_deref(), json),
        Command::Say {
            json,
            photo,
            voice,
            text,
        } => {
            let with = (photo.as_slice(), voice.as_deref());
            chat::say(house, args.member.as_deref(), &text.join(" "), with, json)
        }
        Command::Export {
            json,
            whole,
            csv,
            xlsx,
            of,
            period,
        } => moving::export(
            house,
            &moving::Wanted {
                json,
                whole,
                csv,
                xlsx,
                of,
                period,
            },
        ),
        Command::Import { file } => moving::import(house, &file),
        Command::Link => serve::print_link(house, args.member.as_deref()),
        Command::Account { owner } => house::add_account(house, &owner),
        Command::Member { name } => house::add_member(house, &name),
        Command::Channels { what } => match what {
            None => messengers::show(house),
            Some(ChannelsCommand::Test { name }) => messengers::test(house, &name),
        },
        Command::Read { .. }
        | Command::Check
        | Command::Speech { .. }
        | Command::Backup { .. }
        | Command::Restore { .. }
        | Command::Doctor => {
            unreachable!("these were done above, without opening a house")
        }
    };
    Ok(done?)
}

/// Defaults, then the file, then the environment, then flags.
fn config(args: &Args) -> anyhow::Result<Config> {
    let file = match args.config_file() {
        Some((path, must_be)) if must_be || path.exists() => std::fs::read_to_string(&path)
            .with_context(|| format!("the settings file {} cannot be read", path.display()))
            .and_then(|text| Raw::from_toml(&text).with_context(|| format!("in {}", path.display())))?,
        _ => Raw::default(),
    };
    let environment = Raw::from_environment(|name| std::env::var(name).ok());
    let flags = Raw::default()
        .with("db", args.db.clone())
        .with("listen", args.listen().map(ToString::to_string));
    let raw = file.overruled_by(environment).overruled_by(flags);
    Ok(Config::check(&raw, |path| std::fs::read_to_string(path))?)
}

fn start_log(config: &Config) -> anyhow::Result<()> {
    let filter = &config.log;
    let filter = tracing_subscriber::EnvFilter::try_new(filter)
        .with_context(|| format!("log is {filter:?}; it has to be error, warn, info or debug"))?;
    let log = tracing_subscriber::fmt()
        .with_env_filter(filter)
        .with_writer(std::io::stderr)
        .with_target(false);
    if config.log_json {
        log.json().flatten_event(true).init();
    } else {
        log.init();
    }
    Ok(())
}

fn check(path: &Path) -> Result<(), Ended> {
    let faults = store::check(path).map_err(anyhow::Error::from)?;
    for fault in &faults {
        println!("{fault}");
    }
    if faults.is_empty() { Ok(()) } else { Err(Ended::Faults) }
}
