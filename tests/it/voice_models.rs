//! Models of other sizes: a made-up one, with its own width, heads, layers and word pieces, is read by what its files say.
//!
//! Its weights are drawn from a seed, so it hears nothing sensible; what is shown is that nothing about the usual model's
//! size is built in, and that a model whose files do not fit together is refused with a word. The form of the file is that
//! of CTranslate2, binary version 6 (`model.bin` as its converters write it).

use std::{fs, path::Path};

use rand::{RngExt, SeedableRng, rngs::StdRng};
use serde_json::{Value, json};
use tallyhand::speech::{Hints, Whisper, decode};
use tempfile::TempDir;

use crate::support::tallyhand;

/// The size of a made-up model.
#[derive(Clone, Copy)]
struct Size {
    width: usize,
    heads: usize,
    encoder_layers: usize,
    decoder_layers: usize,
    inner: usize,
    /// Half-frames that the encoder looks at.
    frames: usize,
    /// Pieces that a text may have.
    pieces: usize,
}

/// None of its figures are those of tiny.en or base.
const ODD: Size = Size {
    width: 64,
    heads: 4,
    encoder_layers: 1,
    decoder_layers: 3,
    inner: 96,
    frames: 900,
    pieces: 192,
};

/// Letters, digits and the mark of a space, as a tokenizer of bytes has them.
const LETTERS: &str = "abcdefghijklmnopqrstuvwxyz0123456789Ġ,.";

/// Pieces with a meaning of their own, after the letters.
const SPECIAL: [&str; 5] = [
    "<|endoftext|>",
    "<|startoftranscript|>",
    "<|nospeech|>",
    "<|startofprev|>",
    "<|notimestamps|>",
];

/// Writes `model.bin`.
struct Writer {
    random: StdRng,
    count: u32,
    body: Vec<u8>,
}

impl Writer {
    fn name(&mut self, name: &str) {
        let length = u16::try_from(name.len() + 1).expect("short");
        self.body.extend(length.to_le_bytes());
        self.body.extend(name.as_bytes());
        self.body.push(0);
    }

    fn whole(&mut self, number: usize) {
        self.body.extend(u32::try_from(number).expect("small").to_le_bytes());
    }

    fn tensor(&mut self, name: &str, shape: &[usize]) {
        self.count += 1;
        self.name(name);
        self.body.push(u8::try_from(shape.len()).expect("few dimensions"));
        for dimension in shape {
            self.whole(*dimension);
        }
        let length = shape.iter().product::<usize>();
        // 0: 32-bit floats.
        self.body.push(0);
        self.whole(length * 4);
        for _ in 0..length {
            let weight: f32 = self.random.random_range(-0.2..0.2);
            self.body.extend(weight.to_le_bytes());
        }
    }

    fn number(&mut self, name: &str, number: usize) {
        self.count += 1;
        self.name(name);
        // No dimensions, 1: one byte.
        self.body.extend([0, 1]);
        self.whole(1);
        self.body.push(u8::try_from(number).expect("small"));
    }

    fn linear(&mut self, name: &str, out: usize, into: usize) {
        self.tensor(&format!("{name}/weight"), &[out, into]);
        self.tensor(&format!("{name}/bias"), &[out]);
    }

    fn norm(&mut self, name: &str, width: usize) {
        self.tensor(&format!("{name}/layer_norm/gamma"), &[width]);
        self.tensor(&format!("{name}/layer_norm/beta"), &[width]);
    }

    fn layer(&mut self, name: &str, size: Size, to_sound: bool) {
        let (width, inner) = (size.width, size.inner);
        let own = format!("{name}/self_attention");
        self.norm(&own, width);
        self.linear(&format!("{own}/linear_0"), 3 * width, width);
        self.linear(&format!("{own}/linear_1"), width, width);
        if to_sound {
            let other = format!("{name}/attention");
            self.norm(&other, width);
            self.linear(&format!("{other}/linear_0"), width, width);
            self.linear(&format!("{other}/linear_1"), 2 * width, width);
            self.linear(&format!("{other}/linear_2"), width, width);
        }
        self.norm(&format!("{name}/ffn"), width);
        self.linear(&format!("{name}/ffn/linear_0"), inner, width);
        self.linear(&format!("{name}/ffn/linear_1"), width, inner);
    }
}

fn weights(size: Size, vocabulary: usize) -> Vec<u8> {
    let mut writer = Writer {
        random: StdRng::seed_from_u64(11),
        count: 0,
        body: Vec::new(),
    };
    let width = size.width;
    writer.tensor("encoder/conv1/weight", &[width, 80, 3]);
    writer.tensor("encoder/conv1/bias", &[width]);
    writer.tensor("encoder/conv2/weight", &[width, width, 3]);
    writer.tensor("encoder/conv2/bias", &[width]);
    writer.tensor("encoder/position_encodings/encodings", &[size.frames, width]);
    for layer in 0..size.encoder_layers {
        writer.layer(&format!("encoder/layer_{layer}"), size, false);
    }
    writer.norm("encoder", width);
    writer.number("encoder/num_heads", size.heads);
    writer.tensor("decoder/embeddings/weight", &[vocabulary, width]);
    writer.tensor("decoder/position_encodings/encodings", &[size.pieces, width]);
    for layer in 0..size.decoder_layers {
        writer.layer(&format!("decoder/layer_{layer}"), size, true);
    }
    writer.norm("decoder", width);
    let mut file = 6_u32.to_le_bytes().to_vec();
    let mut head = Writer {
        random: writer.random,
        count: 0,
        body: Vec::new(),
    };
    head.name("WhisperSpec");
    head.whole(3);
    head.whole(usize::try_from(writer.count).expect("few"));
    file.extend(head.body);
    file.extend(writer.body);
    file.extend(0_u32.to_le_bytes());
    file
}

fn tokenizer() -> Value {
    let letters = LETTERS.chars().count();
    let vocabulary: serde_json::Map<String, Value> = LETTERS
        .chars()
        .enumerate()
        .map(|(at, letter)| (letter.to_string(), json!(at)))
        .collect();
    let special: Vec<Value> = SPECIAL
        .iter()
        .enumerate()
        .map(|(at, name)| {
            json!({"id": letters + at, "content": name, "single_word": false, "lstrip": false, "rstrip": false,
                "normalized": false, "special": true})
        })
        .collect();
    let bytes = json!({"type": "ByteLevel", "add_prefix_space": false, "trim_offsets": true, "use_regex": true});
    json!({"version": "1.0", "truncation": null, "padding": null, "added_tokens": special, "normalizer": null,
        "pre_tokenizer": bytes, "post_processor": null, "decoder": bytes,
        "model": {"type": "BPE", "dropout": null, "unk_token": null, "continuing_subword_prefix": null,
            "end_of_word_suffix": null, "fuse_unk": false, "vocab": vocabulary, "merges": []}})
}

/// A model of some size in a folder; one piece for a time comes after the special ones.
fn make(folder: &Path, size: Size) {
    let vocabulary = LETTERS.chars().count() + SPECIAL.len() + 1;
    fs::create_dir_all(folder).expect("a folder");
    fs::write(folder.join("model.bin"), weights(size, vocabulary)).expect("written");
    fs::write(folder.join("tokenizer.json"), tokenizer().to_string()).expect("written");
    let config = json!({"suppress_ids": [], "suppress_ids_begin": []});
    fs::write(folder.join("config.json"), config.to_string()).expect("written");
}

fn hints() -> Hints {
    Hints {
        kinds: vec!["crapes".into()],
        sizes: vec!["small".into()],
        places: vec!["Alder Court".into()],
    }
}

#[test]
fn a_model_of_another_size_is_read_by_what_its_files_say() {
    let home = TempDir::new().expect("a folder");
    for size in [
        ODD,
        Size {
            width: 32,
            heads: 2,
            encoder_layers: 3,
            decoder_layers: 1,
            inner: 64,
            ..ODD
        },
    ] {
        make(home.path(), size);
        let whisper = Whisper::load(home.path()).expect("a model");
        let clip = decode(&tallyhand::speech::wav(&vec![0.1; 24_000])).expect("a note");
        let listened = whisper.listen_to(&clip, &hints()).expect("it listens");
        assert_eq!(listened.len(), 1);
        assert!((0.0..=1.0).contains(&listened[0].no_speech));
        assert!(listened[0].guesses.iter().all(|guess| guess.ln <= 0.001));
    }
}

#[test]
fn a_model_brought_in_a_folder_is_chosen_by_its_name() {
    let home = TempDir::new().expect("a folder");
    make(&home.path().join("brought"), ODD);
    let settings = home.path().join("settings.toml");
    let models = home.path().join("models");
    let text = format!(
        "speech_folder = {:?}\nspeech_model = \"odd\"\n",
        models.to_string_lossy()
    );
    fs::write(&settings, text).expect("written");
    let (settings, brought) = (settings.to_string_lossy(), home.path().join("brought"));
    let brought = brought.to_string_lossy();
    let run = |arguments: &[&str]| {
        let all: Vec<&str> = ["--config", &settings].iter().chain(arguments).copied().collect();
        tallyhand(home.path(), &all, b"")
    };
    let clip = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/speech/clips/opus.ogg");
    let clip = clip.to_string_lossy();
    let before = run(&["say", "--json", "--voice", &clip]);
    assert!(before.stdout.contains("tallyhand speech install"), "{before:?}");
    let installed = run(&["speech", "install", "odd", "--from", &brought]);
    assert_eq!(installed.code, Some(0), "{installed:?}");
    assert!(
        installed.stdout.contains("see to its licence yourself"),
        "{installed:?}"
    );
    let said = run(&["say", "--json", "--voice", &clip]);
    assert_eq!(said.code, Some(0), "{said:?}");
    assert!(
        !said.stdout.contains("tallyhand speech install"),
        "it listens now: {said:?}"
    );
}

#[test]
fn files_of_different_models_are_refused_with_a_word() {
    let home = TempDir::new().expect("a folder");
    let refused = || match Whisper::load(home.path()) {
        Ok(_) => panic!("it was taken"),
        Err(error) => error.to_string(),
    };
    make(home.path(), ODD);
    fs::write(home.path().join("model.bin"), weights(ODD, 20)).expect("written");
    assert!(refused().contains("those of another model"), "{}", refused());
    make(home.path(), Size { heads: 5, ..ODD });
    assert!(refused().contains("5 heads"), "{}", refused());
    make(home.path(), ODD);
    fs::write(home.path().join("tokenizer.json"), "{}").expect("written");
    assert!(refused().contains("not usable"), "{}", refused());
}
