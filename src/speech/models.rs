//! The models that can be installed: where each comes from, and what its files have to be to the byte.

use std::{
    io::{self, Read},
    path::{Path, PathBuf},
};

use sha2::{Digest, Sha256};

/// The model used unless another is set.
pub const USUAL_MODEL: &str = "tiny.en";

/// A model that can be installed by name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ModelSource {
    /// Its name.
    pub name: &'static str,
    /// What it is, in a line.
    pub what: &'static str,
    /// Its licence.
    pub licence: &'static str,
    /// Where its files are; a file's name comes after it.
    pub url: &'static str,
    /// Its files.
    pub files: [ModelFile; 3],
}

/// A file of a model.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ModelFile {
    /// Its name.
    pub name: &'static str,
    /// Its length.
    pub bytes: u64,
    /// The SHA-256 of its content, in hexadecimal.
    pub sha256: &'static str,
}

/// Every model that is known by name.
pub const MODELS: [ModelSource; 2] = [
    ModelSource {
        name: USUAL_MODEL,
        what: "Whisper tiny.en: English, 39 million weights; the one that the figures in DEVELOPERS.md are of",
        licence: "MIT, OpenAI; packaged for CTranslate2 by Systran",
        url: "https://huggingface.co/Systran/faster-whisper-tiny.en/resolve/0d3d19a32d3338f10357c0889762bd8d64bbdeba/",
        files: [
            ModelFile {
                name: "model.bin",
                bytes: 75_537_502,
                sha256: "1a5afae06a4db91c975c9a9d78be5cc110ee4ea022ad57d55492e4550e936b2a",
            },
            ModelFile {
                name: "tokenizer.json",
                bytes: 2_128_466,
                sha256: "929c5252409436dce1b38a75d1abbcb5e132d170d8e324e4e04ed915fa2d22df",
            },
            ModelFile {
                name: "config.json",
                bytes: 2_317,
                sha256: "14b1b421a90349bc551b881461426b561a874049cb9e4c4864f2ca384f6a7cc5",
            },
        ],
    },
    ModelSource {
        name: "base",
        what: "Whisper base: many languages, 74 million weights, twice the time",
        licence: "MIT, OpenAI; packaged for CTranslate2 by Systran",
        url: "https://huggingface.co/Systran/faster-whisper-base/resolve/main/",
        files: [
            ModelFile {
                name: "model.bin",
                bytes: 145_217_532,
                sha256: "d01c3014881c9c6f3133c182f3d2887eb6ca1c789a7538c5c007196857a0a6a9",
            },
            ModelFile {
                name: "tokenizer.json",
                bytes: 2_203_239,
                sha256: "fb7b63191e9bb045082c79fd742a3106a12c99513ab30df4a0d47fa6cb6fd0ab",
            },
            ModelFile {
                name: "config.json",
                bytes: 2_309,
                sha256: "56a6d8110d311f19c8f0471e562832c7527f146b567275bfca59fcf7c184da9a",
            },
        ],
    },
];

/// The model of this name.
pub fn model_source(name: &str) -> Option<&'static ModelSource> {
    MODELS.iter().find(|model| model.name == name)
}

/// Where a model lies below the folder of all models. A name is a plain word, so that it cannot lead out of there.
pub fn model_folder(models: &Path, name: &str) -> Option<PathBuf> {
    let plain = |letter: char| letter.is_ascii_alphanumeric() || matches!(letter, '.' | '-' | '_');
    (!name.is_empty() && name.chars().all(plain) && !name.starts_with('.')).then(|| models.join(name))
}

/// Whether all files of a model are in a folder.
pub fn is_installed(folder: &Path) -> bool {
    ["model.bin", "tokenizer.json", "config.json"]
        .iter()
        .all(|name| folder.join(name).is_file())
}

/// The SHA-256 of what is read, in hexadecimal.
pub fn sha256_of(mut from: impl Read) -> io::Result<String> {
    let mut hash = Sha256::new();
    let mut piece = vec![0; 1 << 16];
    loop {
        match from.read(&mut piece)? {
            0 => return Ok(hash.finalize().iter().map(|byte| format!("{byte:02x}")).collect()),
            length => hash.update(&piece[..length]),
        }
    }
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::{MODELS, model_folder, sha256_of};

    #[test]
    fn a_model_stays_below_its_folder() {
        let models = Path::new("models");
        assert_eq!(model_folder(models, "tiny.en"), Some(models.join("tiny.en")));
        for name in ["", "..", ".hidden", "a/b", "a\\b", "../../etc"] {
            assert_eq!(model_folder(models, name), None, "{name}");
        }
    }

    #[test]
    fn names_are_plain_and_hashes_are_whole() {
        // FIPS 180-4, the example of one block: "abc".
        let abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(sha256_of(b"abc".as_slice()).expect("read"), abc);
        for model in MODELS {
            assert!(model_folder(Path::new("m"), model.name).is_some());
            assert!(model.files.iter().all(|file| file.sha256.len() == abc.len()));
        }
    }
}
