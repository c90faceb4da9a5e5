//! How does a book get safely into another file, and back?
//!
//! A backup is a copy made inside one reading transaction, so it holds whole commits only, while others go on writing.
//! It counts only when `check` finds nothing wrong with the copy and when what was written reads back the same: until
//! then it lies beside its place under a name that ends in `.part`. Restoring goes the same way round, and a book in its
//! place is moved aside, never overwritten.
//!
//! What a backup is, is told by its first bytes: a book, one packed with Zstandard (RFC 8878), or a packed one that is
//! sealed (see `seal`). A packed one carries the checksum of what is in it, so a spoilt one either does not unpack or
//! unpacks to the very book; a sealed one is authenticated besides. A plain one has no such guard but what `check` sees.

use std::{
    fs::{self, File},
    io::{self, BufReader, Read, Write},
    path::{Path, PathBuf},
};

use rusqlite::Connection;
use sha2::{Digest, Sha256};

use super::{
    Error, check, connection,
    seal::{self, Key, Seal},
};
use crate::units::Timestamp;

/// First bytes of a book (sqlite.org/fileformat.html, section 1.3).
const BOOK_MARK: &[u8] = b"SQLite format 3\0";

/// First bytes of a Zstandard frame (RFC 8878, section 3.1.1: 0xFD2FB528, little-endian).
const ZSTD_MARK: &[u8] = &[0x28, 0xB5, 0x2F, 0xFD];

/// Zstandard's own middle way between speed and size.
const ZSTD_LEVEL: i32 = 3;

/// How a backup is written.
#[derive(Debug, Clone)]
pub enum Packing {
    /// As a book that can be opened where it lies.
    Plain,
    /// Packed with Zstandard.
    Zstd,
    /// Packed, and only for those who have the key.
    Sealed(Seal),
}

/// A backup that was made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BackedUp {
    /// Where it is.
    pub path: PathBuf,
    /// Its size, in bytes.
    pub bytes: u64,
}

/// A book that was put back.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Restored {
    /// Where the book that was there before is now.
    pub moved_aside: Option<PathBuf>,
}

/// Copies a book into a backup, while it may be in use. The copy is looked over before it counts.
///
/// # Errors
/// When there is no book or something is in the way, when the copy is not sound, and when the disk fails. The backup's
/// place is empty then.
pub fn backup(book: &Path, to: &Path, packing: &Packing) -> Result<BackedUp, Error> {
    if !book.exists() {
        return Err(Error::NoBook {
            path: book.to_path_buf(),
        });
    }
    if to.exists() {
        return Err(Error::InTheWay { path: to.to_path_buf() });
    }
    // What only the owner of a key is to read never lies open where the backup goes, not even for a moment.
    let near = match (packing, to.file_name()) {
        (Packing::Sealed(_), Some(name)) => book.with_file_name(name),
        _ => to.to_path_buf(),
    };
    let plain = Part::beside(&near, "plain.part")?;
    copy(book, &plain.0)?;
    require_sound(&plain.0)?;
    if let Packing::Plain = packing {
        settle(plain, to)?;
    } else {
        let packed = Part::beside(&near, "packed.part")?;
        pack(&plain.0, &packed.0).map_err(|source| failed(&packed.0, source))?;
        require_same(&plain.0, &packed.0)?;
        drop(plain);
        match packing {
            Packing::Sealed(with) => {
                let sealed = Part::beside(to, "part")?;
                seal_into(&packed.0, &sealed.0, with)?;
                settle(sealed, to)?;
            }
            Packing::Plain | Packing::Zstd => settle(packed, to)?,
        }
    }
    let bytes = fs::metadata(to).map_err(|source| failed(to, source))?.len();
    Ok(BackedUp {
        path: to.to_path_buf(),
        bytes,
    })
}

/// Puts a backup in the place of a book, or where none is yet. A book that is there is moved aside when `replace` says
/// so, and nobody may be using it.
///
/// # Errors
/// When the backup is none, is not sound or does not open with the key, when a book is there that may not be replaced or is in use, and when the disk
/// fails. What was there before is untouched then.
pub fn restore(from: &Path, key: Option<&Key>, book: &Path, replace: bool, now: Timestamp) -> Result<Restored, Error> {
    if book.exists() && !replace {
        return Err(Error::BookThere {
            path: book.to_path_buf(),
        });
    }
    let part = Part::beside(book, "restore.part")?;
    unpack(from, key, &part.0)?;
    require_sound(&part.0)?;
    let moved_aside = move_aside(book, now)?;
    settle(part, book)?;
    Ok(Restored { moved_aside })
}

/// A file on its way to its place, taken away again unless it gets there.
struct Part(PathBuf);

impl Part {
    fn beside(place: &Path, ending: &str) -> Result<Part, Error> {
        let part = with_ending(place, ending);
        // What a run that was cut off has left behind is of no use to anybody.
        match fs::remove_file(&part) {
            Err(source) if source.kind() != io::ErrorKind::NotFound => Err(failed(&part, source)),
            _ => Ok(Part(part)),
        }
    }
}

impl Drop for Part {
    fn drop(&mut self) {
        for ending in ["", "-journal", "-wal", "-shm"] {
            let mut name = self.0.clone().into_os_string();
            name.push(ending);
            let _ = fs::remove_file(name);
        }
    }
}

fn with_ending(path: &Path, ending: &str) -> PathBuf {
    let mut name = path.as_os_str().to_os_string();
    name.push(".");
    name.push(ending);
    PathBuf::from(name)
}

fn failed(path: &Path, source: io::Error) -> Error {
    Error::File {
        path: path.to_path_buf(),
        source,
    }
}

fn copy(book: &Path, to: &Path) -> Result<(), Error> {
    let source = connection::open_to_copy(book)?;
    let name = to.to_str().ok_or_else(|| Error::InTheWay { path: to.to_path_buf() })?;
    source.execute(include_str!("sql/book_copy.sql"), [name])?;
    Ok(())
}

/// Refuses a copy that is not sound. A book of an older form cannot be folded by this program; of it the pages are
/// looked over, so that it can be backed up before it is brought forward.
fn require_sound(copy: &Path) -> Result<(), Error> {
    let faults = match check::check(copy) {
        Err(Error::OlderBook) => check::check_pages(copy)?,
        other => other?,
    };
    match faults.first() {
        None => Ok(()),
        Some(first) => Err(Error::Unsound {
            first: Box::new(first.clone()),
            count: faults.len(),
        }),
    }
}

fn pack(plain: &Path, to: &Path) -> io::Result<()> {
    let mut packer = zstd::Encoder::new(File::create(to)?, ZSTD_LEVEL)?;
    packer.include_checksum(true)?;
    io::copy(&mut BufReader::new(File::open(plain)?), &mut packer)?;
    packer.finish()?.flush()
}

/// A packed copy counts only when it unpacks to what was packed.
fn require_same(plain: &Path, packed: &Path) -> Result<(), Error> {
    let read_back = || -> io::Result<bool> {
        let wanted = digest(File::open(plain)?)?;
        Ok(digest(zstd::Decoder::new(File::open(packed)?)?)? == wanted)
    };
    match read_back().map_err(|source| failed(packed, source))? {
        true => Ok(()),
        false => Err(failed(packed, io::Error::other("it does not read back as written"))),
    }
}

fn digest(mut content: impl Read) -> io::Result<[u8; 32]> {
    let mut hash = Sha256::new();
    let mut chunk = [0; 64 * 1024];
    loop {
        let taken = content.read(&mut chunk)?;
        if taken == 0 {
            return Ok(hash.finalize().into());
        }
        hash.update(&chunk[..taken]);
    }
}

/// Seals a packed copy. Whoever made it may not be able to open it, so what is read back is the sealed file itself.
fn seal_into(packed: &Path, to: &Path, seal: &Seal) -> Result<(), Error> {
    let write = || -> io::Result<[u8; 32]> {
        let file = Hashing {
            to: File::create(to)?,
            hash: Sha256::new(),
        };
        let mut sealing = seal.over(file)?;
        io::copy(&mut BufReader::new(File::open(packed)?), &mut sealing)?;
        let mut written = sealing.finish()?;
        written.flush()?;
        Ok(written.hash.finalize().into())
    };
    let same = || -> io::Result<bool> { Ok(write()? == digest(File::open(to)?)?) };
    match same().map_err(|source| failed(to, source))? {
        true => Ok(()),
        false => Err(failed(to, io::Error::other("it does not read back as written"))),
    }
}

/// Writes, and keeps the hash of what was written.
struct Hashing {
    to: File,
    hash: Sha256,
}

impl Write for Hashing {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let written = self.to.write(bytes)?;
        self.hash.update(&bytes[..written]);
        Ok(written)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.to.flush()
    }
}

fn unpack(from: &Path, key: Option<&Key>, to: &Path) -> Result<(), Error> {
    let read = |source| failed(from, source);
    let (mark, content) = marked(File::open(from).map_err(read)?).map_err(read)?;
    let (mark, content) = if mark.starts_with(seal::MARK) {
        let key = key.ok_or_else(|| Error::Sealed {
            path: from.to_path_buf(),
        })?;
        // A piece that was spoilt is refused here, before anything is made of it.
        marked(seal::open(content, key, from)?).map_err(read)?
    } else {
        (mark, content)
    };
    let content: Box<dyn Read + '_> = if mark.starts_with(BOOK_MARK) {
        content
    } else if mark.starts_with(ZSTD_MARK) {
        Box::new(zstd::Decoder::new(content).map_err(read)?)
    } else {
        return Err(Error::NotABackup {
            path: from.to_path_buf(),
        });
    };
    let mut file = File::create(to).map_err(|source| failed(to, source))?;
    // A backup that is cut short or damaged fails here or at the check that follows.
    io::copy(&mut BufReader::new(content), &mut file).map_err(read)?;
    Ok(())
}

/// The first bytes of something, and all of it.
fn marked<'r>(mut content: impl Read + 'r) -> io::Result<(Vec<u8>, Box<dyn Read + 'r>)> {
    let mut mark = Vec::new();
    (&mut content).take(seal::MARK.len() as u64).read_to_end(&mut mark)?;
    Ok((mark.clone(), Box::new(io::Cursor::new(mark).chain(content))))
}

/// Moves a file to its place once it is safely on the disk.
fn settle(part: Part, place: &Path) -> Result<(), Error> {
    let done = || -> io::Result<()> {
        File::options().write(true).open(&part.0)?.sync_all()?;
        fs::rename(&part.0, place)?;
        sync_folder(place)
    };
    done().map_err(|source| failed(place, source))
}

/// Makes a new name last through a power cut. Only some systems open folders for that; the others need no asking.
fn sync_folder(file: &Path) -> io::Result<()> {
    let folder = match file.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    if cfg!(unix) {
        File::open(folder)?.sync_all()?;
    }
    Ok(())
}

/// Moves a book out of the way, when there is one.
fn move_aside(book: &Path, now: Timestamp) -> Result<Option<PathBuf>, Error> {
    let mut moved = None;
    if book.exists() {
        require_unused(book)?;
        let aside = with_ending(book, &format!("before-{}", now.to_string().replace(':', "")));
        if aside.exists() {
            return Err(Error::InTheWay { path: aside });
        }
        fs::rename(book, &aside).map_err(|source| failed(book, source))?;
        moved = Some(aside);
    }
    // A log that was left behind must never be read into another book.
    for ending in ["-wal", "-shm"] {
        let mut left = book.as_os_str().to_os_string();
        left.push(ending);
        let left = PathBuf::from(left);
        if left.exists() {
            fs::rename(&left, with_ending(&left, "left")).map_err(|source| failed(&left, source))?;
        }
    }
    Ok(moved)
}

/// Refuses a book that somebody has open. Leaving the write-ahead log is possible for the only connection alone
/// (sqlite.org/wal.html, "persistence of WAL mode"), and it puts everything into the one file. A file that is no book, or
/// a damaged one, is in nobody's use.
fn require_unused(book: &Path) -> Result<(), Error> {
    let alone = || -> rusqlite::Result<String> {
        let connection = Connection::open(book)?;
        connection.pragma_update_and_check(None, "journal_mode", "DELETE", |row| row.get(0))
    };
    match alone().map_err(Error::from) {
        Err(Error::Busy) => Err(Error::InUse {
            path: book.to_path_buf(),
        }),
        Ok(mode) if mode.eq_ignore_ascii_case("wal") => Err(Error::InUse {
            path: book.to_path_buf(),
        }),
        Ok(_) | Err(Error::NotABook | Error::Damaged(_)) => Ok(()),
        Err(failure) => Err(failure),
    }
}
