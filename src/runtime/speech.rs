//! `tallyhand speech`: which models listen to voice notes, and how one gets here.

use std::path::Path;

use anyhow::{Context, bail};
use indicatif::{ProgressBar, ProgressStyle};

use super::{Config, lines};
use crate::speech::{
    MODELS, ModelSource, copy_file, fetch_file, is_in_place, is_installed, model_folder, model_source,
};

/// The files of a model in the order in which they are brought; the large one last, so that a model is there when it is.
const FILES: [&str; 3] = ["config.json", "tokenizer.json", "model.bin"];

/// Prints the models that are known and those that are here.
pub(super) fn models(config: &Config) -> anyhow::Result<()> {
    for model in MODELS {
        let here = model_folder(&config.speech_folder, model.name).is_some_and(|folder| is_installed(&folder));
        let mark = match (here, model.name == config.speech_model) {
            (true, true) => "installed, in use",
            (true, false) => "installed",
            (false, _) => "not installed",
        };
        lines::print(&format!(
            "{}: {} ({mark})\n  licence: {}",
            model.name, model.what, model.licence
        ))?;
    }
    lines::print(&format!("models lie in {}", config.speech_folder.display()))
}

/// Brings a model here.
pub(super) fn install(
    config: &Config,
    name: Option<&str>,
    from: Option<&str>,
    sha256: Option<&str>,
) -> anyhow::Result<()> {
    let name = name.unwrap_or(&config.speech_model);
    let Some(folder) = model_folder(&config.speech_folder, name) else {
        bail!("{name:?} cannot be the name of a model; it is a plain word such as tiny.en");
    };
    let known = model_source(name);
    match known {
        Some(model) => lines::print(&format!("{}: {}\nlicence: {}", model.name, model.what, model.licence))?,
        None if from.is_none() => {
            let names: Vec<&str> = MODELS.iter().map(|model| model.name).collect();
            bail!(
                "no model {name:?} is known; there are {}, or say where it is with --from",
                names.join(", ")
            );
        }
        None => lines::print("not one of the models known here; see to its licence yourself")?,
    }
    std::fs::create_dir_all(&folder).with_context(|| format!("the folder {} cannot be made", folder.display()))?;
    match from {
        Some(from) if !from.contains("://") => copy(known, Path::new(from), &folder, sha256)?,
        from => fetch(known, from, &folder, sha256)?,
    }
    lines::print(&format!("installed in {}", folder.display()))?;
    if name != config.speech_model {
        lines::print(&format!("to use it, set speech_model = {name:?}"))?;
    }
    Ok(())
}

/// What a file has to be: pinned for a model that is known, as said for the weights of another.
fn pinned<'a>(known: Option<&'static ModelSource>, name: &str, sha256: Option<&'a str>) -> Option<&'a str> {
    let file = known.and_then(|model| model.files.iter().find(|file| file.name == name));
    file.map(|file| file.sha256).or(sha256.filter(|_| name == "model.bin"))
}

fn copy(known: Option<&'static ModelSource>, from: &Path, folder: &Path, sha256: Option<&str>) -> anyhow::Result<()> {
    for name in FILES {
        copy_file(from, folder, name, pinned(known, name, sha256))?;
    }
    Ok(())
}

fn fetch(
    known: Option<&'static ModelSource>,
    from: Option<&str>,
    folder: &Path,
    sha256: Option<&str>,
) -> anyhow::Result<()> {
    if known.is_none() && sha256.is_none() {
        bail!("a model that is not known here is fetched only with the SHA-256 of its model.bin: --sha256 HEX");
    }
    let address = from.or(known.map(|model| model.url)).unwrap_or_default();
    let base = format!("{}/", address.trim_end_matches('/'));
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .context("no runtime")?;
    for name in FILES {
        let wanted = pinned(known, name, sha256);
        let there = wanted.is_some_and(|sha256| is_in_place(folder, name, sha256));
        if there {
            continue;
        }
        let url = format!("{base}{name}")
            .parse()
            .with_context(|| format!("{base}{name} is no address"))?;
        let bar = bar(name);
        let progress = |so_far: u64, total: Option<u64>| {
            if let Some(total) = total {
                bar.set_length(total);
            }
            bar.set_position(so_far);
        };
        runtime.block_on(fetch_file(&url, folder, name, wanted, &progress))?;
        bar.finish();
    }
    Ok(())
}

fn bar(name: &str) -> ProgressBar {
    let style = ProgressStyle::with_template("{prefix:15} [{bar:30}] {bytes}/{total_bytes} {bytes_per_sec} {eta}");
    let bar = ProgressBar::new(0).with_prefix(name.to_string());
    match style {
        Ok(style) => bar.with_style(style.progress_chars("=> ")),
        Err(_) => bar,
    }
}
