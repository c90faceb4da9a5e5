//! How long does a voice note take, from its bytes to its words?
//!
//!     TALLYHAND_TEST_MODEL=FOLDER TALLYHAND_TEST_NOTES=FOLDER cargo bench --bench voice_speed
//!
//! `TALLYHAND_TEST_NOTES` is a folder that `tests/voice/make_clips.py` has filled; its notes `speed-04.ogg`,
//! `speed-10.ogg` and `speed-25.ogg` are as long as they are called. Decoding is timed apart. The most memory that the
//! process ever held is printed last.

use std::{env, fs, path::PathBuf, time::Duration};

use criterion::Criterion;
use tallyhand::speech::{Hints, Whisper, decode};

fn main() {
    let folders = (env::var_os("TALLYHAND_TEST_MODEL"), env::var_os("TALLYHAND_TEST_NOTES"));
    let (Some(model), Some(notes)) = folders else {
        println!("voice_speed: skipped, TALLYHAND_TEST_MODEL and TALLYHAND_TEST_NOTES name no folders");
        return;
    };
    let whisper = Whisper::load(&PathBuf::from(model)).expect("a model");
    let hints = Hints {
        kinds: vec!["crape myrtle".into(), "holly".into(), "hedge".into(), "mulch".into()],
        sizes: vec!["small".into(), "medium".into(), "large".into()],
        places: vec!["Alder Court".into(), "Birch Lane".into()],
    };
    let mut criterion = Criterion::default()
        .sample_size(10)
        .measurement_time(Duration::from_secs(6))
        .warm_up_time(Duration::from_secs(1))
        .configure_from_args();
    for seconds in ["04", "10", "25"] {
        let bytes = fs::read(PathBuf::from(&notes).join(format!("speed-{seconds}.ogg"))).expect("a note");
        let clip = decode(&bytes).expect("sound");
        println!("{seconds}: {:.1} s, {:?}", clip.seconds(), whisper.hear(&clip, &hints));
        criterion.bench_function(&format!("decode {seconds} s"), |bencher| {
            bencher.iter(|| decode(&bytes).expect("sound"));
        });
        criterion.bench_function(&format!("hear {seconds} s"), |bencher| {
            bencher.iter(|| whisper.hear(&clip, &hints).expect("words"));
        });
    }
    if let Ok(status) = fs::read_to_string("/proc/self/status") {
        for line in status.lines().filter(|line| line.starts_with("VmHWM")) {
            println!("most memory: {line}");
        }
    }
    criterion.final_summary();
}
