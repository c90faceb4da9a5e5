//! The weights of a model, read from the CTranslate2 form (`model.bin`, binary version 6).
//!
//! The form is a list of named tensors, little-endian: a name, its shape, a number for its type, its bytes; then aliases.
//! It is what the models' packagers publish, so nothing has to be converted. Read as a stream: the file is never in memory
//! as a whole. Every length in it is checked before it is believed.

use std::{collections::HashMap, io::Read};

use candle_core::{Device, Tensor};
use half::{bf16, f16};

use super::Error;

/// The binary version that is read.
const VERSION: u32 = 6;

/// Longest name of a tensor.
const NAME_BYTES_MAX: usize = 512;

/// Most dimensions of a tensor.
const RANK_MAX: usize = 4;

/// Largest tensor, in numbers: ten times the largest of the largest model that makes sense here.
const NUMBERS_MAX: usize = 1 << 29;

/// Named tensors and single numbers.
pub(super) struct Weights {
    tensors: HashMap<String, Tensor>,
    numbers: HashMap<String, i64>,
}

impl Weights {
    /// Reads the file. All weights become 32-bit floats.
    pub(super) fn read(from: impl Read) -> Result<Weights, Error> {
        let mut form = Form(from);
        let version = form.u32()?;
        if version != VERSION {
            return Err(Error::Form(format!("binary version {version}, and {VERSION} is read")));
        }
        form.text()?;
        form.u32()?;
        let mut weights = Weights {
            tensors: HashMap::new(),
            numbers: HashMap::new(),
        };
        for _ in 0..form.u32()? {
            form.variable(&mut weights)?;
        }
        for _ in 0..form.u32()? {
            let (alias, name) = (form.text()?, form.text()?);
            if let Some(tensor) = weights.tensors.get(&name).cloned() {
                weights.tensors.insert(alias, tensor);
            }
        }
        Ok(weights)
    }

    /// The tensor of this name.
    pub(super) fn tensor(&self, name: &str) -> Result<Tensor, Error> {
        let found = self.tensors.get(name).cloned();
        found.ok_or_else(|| Error::Form(format!("no tensor {name}")))
    }

    /// Whether there is one of this name.
    pub(super) fn has(&self, name: &str) -> bool {
        self.tensors.contains_key(name)
    }

    /// The single number of this name.
    pub(super) fn number(&self, name: &str) -> Result<usize, Error> {
        let found = self.numbers.get(name).and_then(|number| usize::try_from(*number).ok());
        found.ok_or_else(|| Error::Form(format!("no number {name}")))
    }
}

/// Reads the pieces of the form.
struct Form<R>(R);

impl<R: Read> Form<R> {
    fn bytes(&mut self, length: usize) -> Result<Vec<u8>, Error> {
        let mut bytes = Vec::new();
        let limit = u64::try_from(length).expect("a length in memory fits");
        self.0
            .by_ref()
            .take(limit)
            .read_to_end(&mut bytes)
            .map_err(Error::Read)?;
        if bytes.len() < length {
            return Err(Error::Form("cut short".to_string()));
        }
        Ok(bytes)
    }

    fn array<const N: usize>(&mut self) -> Result<[u8; N], Error> {
        let mut bytes = [0; N];
        self.0.read_exact(&mut bytes).map_err(Error::Read)?;
        Ok(bytes)
    }

    fn u32(&mut self) -> Result<u32, Error> {
        self.array().map(u32::from_le_bytes)
    }

    fn length(&mut self) -> Result<usize, Error> {
        let length = self.u32()?;
        usize::try_from(length).map_err(|_| Error::Form("too large for this machine".to_string()))
    }

    fn text(&mut self) -> Result<String, Error> {
        let length = usize::from(u16::from_le_bytes(self.array()?));
        if length > NAME_BYTES_MAX {
            return Err(Error::Form(format!("a name of {length} bytes")));
        }
        let bytes = self.bytes(length)?;
        Ok(String::from_utf8_lossy(bytes.strip_suffix(&[0]).unwrap_or(&bytes)).into_owned())
    }

    fn variable(&mut self, weights: &mut Weights) -> Result<(), Error> {
        let name = self.text()?;
        let [rank] = self.array()?;
        let rank = usize::from(rank);
        if rank > RANK_MAX {
            return Err(Error::Form(format!("{name} has {rank} dimensions")));
        }
        let shape = (0..rank)
            .map(|_| self.length())
            .collect::<Result<Vec<usize>, Error>>()?;
        let [kind] = self.array()?;
        let length = self.length()?;
        let width = match kind {
            0 | 3 => 4,
            1 => 1,
            2 | 4 | 5 => 2,
            _ => return Err(Error::Form(format!("{name} is of an unknown kind {kind}"))),
        };
        let count = shape
            .iter()
            .try_fold(1_usize, |all, dimension| all.checked_mul(*dimension));
        if count.is_none_or(|count| count > NUMBERS_MAX || count * width != length) {
            return Err(Error::Form(format!(
                "{name} has {length} bytes for the shape {shape:?}"
            )));
        }
        let bytes = self.bytes(length)?;
        if let Some(number) = single(rank, kind, &bytes) {
            weights.numbers.insert(name, number);
            return Ok(());
        }
        let floats: Vec<f32> = match kind {
            0 => four(&bytes).map(f32::from_le_bytes).collect(),
            4 => two(&bytes).map(|half| f16::from_le_bytes(half).to_f32()).collect(),
            5 => two(&bytes).map(|half| bf16::from_le_bytes(half).to_f32()).collect(),
            _ => {
                let whole = format!("{name} is stored in whole numbers; floats are read");
                return Err(Error::Form(whole));
            }
        };
        weights
            .tensors
            .insert(name, Tensor::from_vec(floats, shape, &Device::Cpu)?);
        Ok(())
    }
}

/// A whole number that stands alone.
fn single(rank: usize, kind: u8, bytes: &[u8]) -> Option<i64> {
    match (rank, kind, bytes) {
        (0, 1, [byte]) => Some(i64::from(i8::from_le_bytes([*byte]))),
        (0, 2, [low, high]) => Some(i64::from(i16::from_le_bytes([*low, *high]))),
        (0, 3, [a, b, c, d]) => Some(i64::from(i32::from_le_bytes([*a, *b, *c, *d]))),
        _ => None,
    }
}

fn two(bytes: &[u8]) -> impl Iterator<Item = [u8; 2]> {
    bytes.chunks_exact(2).map(|pair| [pair[0], pair[1]])
}

fn four(bytes: &[u8]) -> impl Iterator<Item = [u8; 4]> {
    bytes.chunks_exact(4).map(|four| [four[0], four[1], four[2], four[3]])
}

#[cfg(test)]
mod tests {
    use super::Weights;

    fn text(name: &str) -> Vec<u8> {
        let length = u16::try_from(name.len() + 1).expect("short");
        [length.to_le_bytes().to_vec(), name.as_bytes().to_vec(), vec![0]].concat()
    }

    /// Two half floats named `w`, one small number named `heads`, and `alias` for `w`.
    fn file() -> Vec<u8> {
        let word = |number: u32| number.to_le_bytes().to_vec();
        [
            word(6),
            text("WhisperSpec"),
            word(3),
            word(2),
            text("w"),
            vec![1],
            word(2),
            vec![4],
            word(4),
            vec![0x00, 0x3c, 0x00, 0xc0],
            text("heads"),
            vec![0, 1],
            word(1),
            vec![6],
            word(1),
            text("alias"),
            text("w"),
        ]
        .concat()
    }

    #[test]
    fn tensors_numbers_and_aliases_are_read() {
        let weights = Weights::read(file().as_slice()).expect("a file");
        let read = |name| weights.tensor(name).expect("there").to_vec1::<f32>().expect("floats");
        // IEEE 754 half precision: 0x3c00 is 1, 0xc000 is -2.
        assert_eq!(read("w"), [1.0, -2.0]);
        assert_eq!(read("alias"), [1.0, -2.0]);
        assert_eq!(weights.number("heads").expect("there"), 6);
        assert!(weights.tensor("v").is_err());
    }

    #[test]
    fn a_file_cut_anywhere_is_refused_and_no_length_in_it_is_believed() {
        let whole = file();
        for length in 0..whole.len() {
            assert!(Weights::read(&whole[..length]).is_err(), "cut at {length}");
        }
        for place in 0..whole.len() {
            let mut changed = whole.clone();
            changed[place] = 0xff;
            // Whatever comes of it, nothing is allocated that is not there and nothing panics.
            let _ = Weights::read(changed.as_slice());
        }
    }
}
