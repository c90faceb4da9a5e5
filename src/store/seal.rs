//! How is a backup kept from whoever finds it, and who can still open it?
//!
//! A sealed backup is a file in the age format (age-encryption.org/v1): made for public keys, so that the machine that
//! makes it need not be able to read it, or with a passphrase. What is inside is always packed first, since nothing packs
//! once it is encrypted. Each piece of the file is authenticated, so a spoilt or a shortened one does not open.

use std::{
    fmt,
    io::{self, BufReader, Read, Write},
    path::Path,
};

use age::{
    DecryptError, Decryptor, EncryptError, Encryptor, IdentityFile, scrypt,
    secrecy::{ExposeSecret, SecretString},
    x25519,
};

use super::Error;

/// First bytes of a sealed backup (age-encryption.org/v1, "file format").
pub(super) const MARK: &[u8] = b"age-encryption.org/v1\n";

/// Least letters of a passphrase: a shorter one is guessed.
const PASSPHRASE_MIN: usize = 12;

/// Who can open a sealed backup.
#[derive(Clone)]
pub enum Seal {
    /// Whoever has the secret key to one of these.
    Recipients(Recipients),
    /// Whoever knows the passphrase.
    Passphrase(SecretString),
}

/// Public keys that a backup is sealed for, as `age-keygen` prints them.
#[derive(Clone, PartialEq, Eq)]
pub struct Recipients(Vec<x25519::Recipient>);

/// What opens a sealed backup.
pub enum Key {
    /// Secret keys, from a file as `age-keygen` makes it.
    Identities(Vec<Box<dyn age::Identity>>),
    /// The passphrase.
    Passphrase(SecretString),
}

impl fmt::Debug for Seal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Seal::Recipients(_) => "Seal::Recipients",
            Seal::Passphrase(_) => "Seal::Passphrase",
        })
    }
}

impl fmt::Debug for Recipients {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Recipients({})", self.0.len())
    }
}

impl Recipients {
    /// Reads public keys with spaces or commas between them. [`Error::Recipient`] for one that is none, and for no key at
    /// all.
    pub fn parse(text: &str) -> Result<Recipients, Error> {
        let words = text.split(|letter: char| letter.is_whitespace() || letter == ',');
        let keys = words
            .filter(|word| !word.is_empty())
            .map(|word| word.parse().map_err(|_| Error::Recipient(word.to_string())))
            .collect::<Result<Vec<_>, _>>()?;
        if keys.is_empty() {
            return Err(Error::Recipient(text.to_string()));
        }
        Ok(Recipients(keys))
    }
}

impl Seal {
    /// With the passphrase in a file. [`Error::File`] when it cannot be read, [`Error::Passphrase`] when it is too short.
    pub fn with_passphrase_file(path: &Path) -> Result<Seal, Error> {
        let passphrase = read_passphrase(path)?;
        if passphrase.expose_secret().chars().count() < PASSPHRASE_MIN {
            return Err(Error::Passphrase { least: PASSPHRASE_MIN });
        }
        Ok(Seal::Passphrase(passphrase))
    }

    /// A writer that seals what is written into `to`; it has to be finished.
    pub(super) fn over<W: Write>(&self, to: W) -> io::Result<age::stream::StreamWriter<W>> {
        let encryptor = match self {
            Seal::Passphrase(passphrase) => Encryptor::with_user_passphrase(passphrase.clone()),
            Seal::Recipients(Recipients(keys)) => {
                let keys = keys.iter().map(|key| key as &dyn age::Recipient);
                Encryptor::with_recipients(keys).map_err(|failure| match failure {
                    EncryptError::Io(failure) => failure,
                    other => io::Error::other(other.to_string()),
                })?
            }
        };
        encryptor.wrap_output(to)
    }
}

impl Key {
    /// The secret keys in a file as `age-keygen` makes it. [`Error::File`] when it cannot be read, [`Error::NoKeys`] when
    /// there is none in it.
    pub fn from_identity_file(path: &Path) -> Result<Key, Error> {
        let text = read_text(path)?;
        let no_keys = || Error::NoKeys {
            path: path.to_path_buf(),
        };
        let file = IdentityFile::from_buffer(text.as_bytes()).map_err(|_| no_keys())?;
        let keys = file.into_identities().map_err(|_| no_keys())?;
        if keys.is_empty() {
            return Err(no_keys());
        }
        Ok(Key::Identities(keys))
    }

    /// The passphrase in a file. [`Error::File`] when it cannot be read.
    pub fn from_passphrase_file(path: &Path) -> Result<Key, Error> {
        read_passphrase(path).map(Key::Passphrase)
    }
}

/// What is inside a sealed backup. [`Error::WrongKey`] when the key does not open it.
pub(super) fn open<'r>(sealed: impl Read + 'r, key: &Key, path: &Path) -> Result<Box<dyn Read + 'r>, Error> {
    let failed = |failure: DecryptError| match failure {
        DecryptError::Io(source) => Error::File {
            path: path.to_path_buf(),
            source,
        },
        DecryptError::InvalidHeader | DecryptError::UnknownFormat => Error::NotABackup {
            path: path.to_path_buf(),
        },
        _ => Error::WrongKey {
            path: path.to_path_buf(),
        },
    };
    let decryptor = Decryptor::new_buffered(BufReader::new(sealed)).map_err(failed)?;
    let opened = match key {
        Key::Passphrase(passphrase) => {
            let identity = scrypt::Identity::new(passphrase.clone());
            decryptor.decrypt(std::iter::once(&identity as &dyn age::Identity))
        }
        Key::Identities(keys) => decryptor.decrypt(keys.iter().map(AsRef::as_ref)),
    };
    Ok(Box::new(opened.map_err(failed)?))
}

/// The first line of a file: what follows it is an editor's line end.
fn read_passphrase(path: &Path) -> Result<SecretString, Error> {
    let text = read_text(path)?;
    Ok(SecretString::from(text.lines().next().unwrap_or_default().to_string()))
}

fn read_text(path: &Path) -> Result<String, Error> {
    std::fs::read_to_string(path).map_err(|source| Error::File {
        path: path.to_path_buf(),
        source,
    })
}

#[cfg(test)]
mod tests {
    use super::{Recipients, x25519};

    #[test]
    fn keys_are_read_one_or_many() {
        let keys = [1, 2].map(|_| x25519::Identity::generate().to_public().to_string());
        for text in [keys[0].clone(), keys.join(" "), format!(" {},\n{} ", keys[0], keys[1])] {
            assert!(Recipients::parse(&text).is_ok(), "{text:?}");
        }
        for text in ["", " ", "age1", "AGE-SECRET-KEY-1", &format!("{} mum", keys[0])] {
            assert!(Recipients::parse(text).is_err(), "{text:?}");
        }
    }
}
