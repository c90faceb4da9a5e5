//! The command line.

use std::path::PathBuf;

use clap::{Parser, Subcommand};

use super::config::folders;

/// Exit codes, shown under `--help`.
const AFTER_HELP: &str = "\
Exit codes: 0 done (an answer that asks back is an answer), 1 the book, the disk or the network failed,
2 the command line or the settings make no sense, 3 `check` or `doctor` found something wrong.

Settings come from the defaults, then the settings file, then the environment (TALLYHAND_…), then these flags.";

/// A field hand that lives in a yard-care owner's messages: counts in, price out, job in the book.
#[derive(Debug, Parser)]
#[command(version, after_help = AFTER_HELP)]
pub(super) struct Args {
    #[command(subcommand)]
    pub(super) command: Command,

    /// The book file; without it, the book in your data folder
    #[arg(long, global = true, value_name = "FILE")]
    pub(super) db: Option<String>,

    /// Who speaks, by the name in the book; without it, the owner
    #[arg(long = "as", global = true, value_name = "NAME")]
    pub(super) member: Option<String>,

    /// What time it is: 2026-01-12T15:04:05Z, or local 2026-01-12T09:00; without it, now
    #[arg(long, global = true, value_name = "TIME")]
    pub(super) at: Option<String>,

    /// The settings file; without it, tallyhand.toml in your settings folder, if it is there
    #[arg(long, global = true, value_name = "FILE")]
    config: Option<PathBuf>,
}

#[derive(Debug, Subcommand)]
pub(super) enum Command {
    /// Serve the page and the webhook, and print a one-time sign-in link
    Serve {
        /// Fill a book of its own with an invented business and its jobs
        #[arg(long)]
        demo: bool,
        /// Where to listen [default: 127.0.0.1:8484]
        #[arg(long, value_name = "ADDRESS:PORT")]
        listen: Option<String>,
    },
    /// The same conversation here in the terminal, a message a line
    Chat {
        /// Answers as JSON, one object a line
        #[arg(long)]
        json: bool,
        /// Talk to the invented business instead
        #[arg(long)]
        demo: bool,
    },
    /// Say one thing and print the answer
    Say {
        /// The answer as one JSON object
        #[arg(long)]
        json: bool,
        /// A photo or another file that goes with it
        #[arg(long, value_name = "FILE")]
        photo: Vec<PathBuf>,
        /// A recording of what to say
        #[arg(long, value_name = "FILE")]
        voice: Option<PathBuf>,
        /// What to say
        #[arg(required_unless_present_any = ["photo", "voice"], value_name = "TEXT")]
        text: Vec<String>,
    },
    /// Show how a text is read, span by span, without touching any book
    Read {
        /// What to read
        #[arg(required = true, value_name = "TEXT")]
        text: Vec<String>,
    },
    /// Print the account as it stands, or write it to files
    #[command(group(clap::ArgGroup::new("form").required(true).multiple(true)))]
    Export {
        /// As one JSON object
        #[arg(long, group = "form")]
        json: bool,
        /// Everything that was ever said, as one JSON object that `import` reads
        #[arg(long, group = "form")]
        whole: bool,
        /// Jobs, or what --of says, as comma-separated values into a file
        #[arg(long, value_name = "FILE", group = "form")]
        csv: Option<PathBuf>,
        /// Jobs, or what --of says, as a workbook with live formulas into a file
        #[arg(long, value_name = "FILE", group = "form")]
        xlsx: Option<PathBuf>,
        /// What goes into the file: jobs, payments or prices
        #[arg(long, value_name = "WHAT", default_value = "jobs")]
        of: String,
        /// Of which time: january, "last month", "this season", 2025
        #[arg(long, value_name = "TIME")]
        period: Option<String>,
    },
    /// Read an account written by `export --whole` into a new book
    Import {
        /// The file
        #[arg(value_name = "FILE")]
        file: PathBuf,
    },
    /// Look the book over: silent when all is well, else a line for each thing that is wrong
    Check,
    /// Back the book up into a new file, also while it is in use; it is looked over before it counts
    Backup {
        /// The file to make; one that ends in .zst is packed
        #[arg(value_name = "FILE")]
        file: PathBuf,
        /// Pack it with Zstandard, whatever its name
        #[arg(long)]
        zstd: bool,
        /// Encrypt it (age) for whoever has the secret key to this public key; may be given again
        #[arg(long, value_name = "AGE1...")]
        recipient: Vec<String>,
        /// Encrypt it (age) with the passphrase in this file
        #[arg(long, value_name = "FILE", conflicts_with = "recipient")]
        passphrase_file: Option<PathBuf>,
    },
    /// Put a backup in the place of the book, looked over first
    Restore {
        /// The backup
        #[arg(value_name = "FILE")]
        file: PathBuf,
        /// Move the book that is there aside
        #[arg(long)]
        replace: bool,
        /// The secret key that opens it, in a file as `age-keygen` makes it
        #[arg(long, value_name = "FILE")]
        identity_file: Option<PathBuf>,
        /// The passphrase that opens it, in a file
        #[arg(long, value_name = "FILE", conflicts_with = "identity_file")]
        passphrase_file: Option<PathBuf>,
    },
    /// Say what is wrong here and what to do about it; changes nothing
    Doctor,
    /// Voice notes: which models can listen to them, and install one
    Speech {
        #[command(subcommand)]
        what: Speech,
    },
    /// Print a fresh one-time sign-in link; with --as, for that person
    Link,
    /// Show how each messenger fares, and who writes by it
    Channels {
        #[command(subcommand)]
        what: Option<ChannelsCommand>,
    },
    /// Begin a book of its own for one more business in the same file, and print its owner a sign-in link
    Account {
        /// What its owner is called
        #[arg(value_name = "OWNER")]
        owner: String,
    },
    /// Let one more person speak in this book, by the name given
    Member {
        /// The name, as used with --as
        #[arg(value_name = "NAME")]
        name: String,
    },
}

#[derive(Debug, Subcommand)]
pub(super) enum ChannelsCommand {
    /// Ask a provider whether the token is good, and what it has as webhook
    Test {
        /// telegram, sms, whatsapp, matrix, gateway or signed
        #[arg(value_name = "CHANNEL")]
        name: String,
    },
}

#[derive(Debug, Subcommand)]
pub(super) enum Speech {
    /// Show the models that are known, and which are installed
    Models,
    /// Bring a model here: fetch it, or copy it from a folder; what was begun goes on where it broke off
    Install {
        /// Its name; without it, the model that the settings name
        #[arg(value_name = "MODEL")]
        name: Option<String>,
        /// A folder or a web address that holds model.bin, tokenizer.json and config.json
        #[arg(long, value_name = "FOLDER|URL")]
        from: Option<String>,
        /// What the SHA-256 of model.bin has to be, for a model that is not known here
        #[arg(long, value_name = "HEX")]
        sha256: Option<String>,
    },
}

impl Command {
    pub(super) fn is_demo(&self) -> bool {
        matches!(
            self,
            Command::Serve { demo: true, .. } | Command::Chat { demo: true, .. }
        )
    }
}

impl Args {
    /// The address from the flag.
    pub(super) fn listen(&self) -> Option<&str> {
        match &self.command {
            Command::Serve { listen, .. } => listen.as_deref(),
            _ => None,
        }
    }

    /// The settings file, and whether it was asked for by name and so has to be there.
    pub(super) fn config_file(&self) -> Option<(PathBuf, bool)> {
        let named = self
            .config
            .clone()
            .or_else(|| std::env::var_os("TALLYHAND_CONFIG").map(PathBuf::from));
        match named {
            Some(path) => Some((path, true)),
            None => folders().map(|folders| (folders.config_dir().join("tallyhand.toml"), false)),
        }
    }
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory;

    use super::Args;

    #[test]
    fn the_command_line_holds_together() {
        Args::command().debug_assert();
    }
}
