//! Bringing a model here: from its pinned address, or from a folder that somebody brought along.
//!
//! A file is fetched into `NAME.part` and takes up where an earlier try broke off. It gets its own name only after its
//! SHA-256 is the one that was pinned, so a model that is there is whole.

use std::{
    fs::{self, File, OpenOptions},
    io::{self, Write},
    path::{Path, PathBuf},
    time::Duration,
};

use reqwest::{StatusCode, Url, header::RANGE};

use super::sha256_of;

/// How long the other side may be silent.
const SILENCE_MAX: Duration = Duration::from_secs(60);

/// Largest file that is fetched: the largest model that makes sense here is a tenth of it.
const FILE_BYTES_MAX: u64 = 4_000_000_000;

/// Why a model was not installed.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// A file cannot be read or written.
    #[error("with the file {}", path.display())]
    Disk {
        /// The file.
        path: PathBuf,
        /// Why.
        source: io::Error,
    },
    /// The address cannot be reached, or broke off. What came is kept, and the next try goes on from there.
    #[error("fetching broke off; the next try goes on from there")]
    Fetch(#[source] reqwest::Error),
    /// The address does not give the file.
    #[error("{url} answers with status {status}")]
    Status {
        /// The address.
        url: Url,
        /// What it said.
        status: u16,
    },
    /// What came is not what was pinned.
    #[error(
        "{name} is not the file that was pinned: its SHA-256 is {found}, and {wanted} was expected; nothing was kept"
    )]
    Other {
        /// The file.
        name: String,
        /// What came.
        found: String,
        /// What should have.
        wanted: String,
    },
    /// More came than a model can be.
    #[error("{name} is larger than any model")]
    TooLarge {
        /// The file.
        name: String,
    },
}

fn disk(path: &Path) -> impl FnOnce(io::Error) -> Error {
    let path = path.to_path_buf();
    |source| Error::Disk { path, source }
}

/// A file that is in place already, with the content that was pinned.
pub fn is_in_place(folder: &Path, name: &str, sha256: &str) -> bool {
    File::open(folder.join(name))
        .and_then(sha256_of)
        .is_ok_and(|found| found.eq_ignore_ascii_case(sha256))
}

/// Copies a file of a model from another folder.
pub fn copy_file(from: &Path, folder: &Path, name: &str, sha256: Option<&str>) -> Result<(), Error> {
    let (source, part) = (from.join(name), part_of(folder, name));
    fs::copy(&source, &part).map_err(disk(&source))?;
    put_in_place(folder, name, sha256)
}

/// Fetches a file of a model. `progress` is told how many bytes there are so far, and of how many, when that is known.
pub async fn fetch_file(
    url: &Url,
    folder: &Path,
    name: &str,
    sha256: Option<&str>,
    progress: &(dyn Fn(u64, Option<u64>) + Sync),
) -> Result<(), Error> {
    // Another part may have installed it already; any provider will do then.
    let _ = rustls::crypto::ring::default_provider().install_default();
    let client = reqwest::Client::builder()
        .connect_timeout(SILENCE_MAX)
        .read_timeout(SILENCE_MAX)
        .build()
        .map_err(Error::Fetch)?;
    let part = part_of(folder, name);
    let have = fs::metadata(&part).map_or(0, |found| found.len());
    let mut request = client.get(url.clone());
    if have > 0 {
        request = request.header(RANGE, format!("bytes={have}-"));
    }
    let mut response = request.send().await.map_err(Error::Fetch)?;
    let mut so_far = match response.status() {
        StatusCode::PARTIAL_CONTENT => have,
        StatusCode::RANGE_NOT_SATISFIABLE if have > 0 => return put_in_place(folder, name, sha256),
        status if status.is_success() => 0,
        status => {
            return Err(Error::Status {
                url: url.clone(),
                status: status.as_u16(),
            });
        }
    };
    let total = response.content_length().map(|rest| so_far + rest);
    let mut file = OpenOptions::new()
        .create(true)
        .write(true)
        .append(so_far > 0)
        .truncate(so_far == 0)
        .open(&part)
        .map_err(disk(&part))?;
    while let Some(piece) = response.chunk().await.map_err(Error::Fetch)? {
        so_far += u64::try_from(piece.len()).expect("a piece in memory fits");
        if so_far > FILE_BYTES_MAX {
            return Err(Error::TooLarge { name: name.to_string() });
        }
        file.write_all(&piece).map_err(disk(&part))?;
        progress(so_far, total);
    }
    file.sync_all().map_err(disk(&part))?;
    put_in_place(folder, name, sha256)
}

fn part_of(folder: &Path, name: &str) -> PathBuf {
    folder.join(format!("{name}.part"))
}

/// Gives a file its own name, when it is what it should be.
fn put_in_place(folder: &Path, name: &str, sha256: Option<&str>) -> Result<(), Error> {
    let (part, place) = (part_of(folder, name), folder.join(name));
    if let Some(wanted) = sha256 {
        let found = File::open(&part).and_then(sha256_of).map_err(disk(&part))?;
        if !found.eq_ignore_ascii_case(wanted) {
            fs::remove_file(&part).map_err(disk(&part))?;
            return Err(Error::Other {
                name: name.to_string(),
                found,
                wanted: wanted.to_string(),
            });
        }
    }
    fs::rename(&part, &place).map_err(disk(&place))
}
