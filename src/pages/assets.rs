//! The files that pages refer to, under names that change with their content.

use std::sync::LazyLock;

use sha2::{Digest, Sha256};

/// A file for the browser.
#[derive(Debug, Clone)]
pub struct Asset {
    /// Its name, with a piece of its hash in it.
    pub name: String,
    /// Its content type.
    pub kind: &'static str,
    /// Its bytes.
    pub body: &'static str,
}

const STYLE: (&str, &str, &str, &str) = (
    "style",
    "css",
    "text/css; charset=utf-8",
    include_str!("assets/style.css"),
);
const SCRIPT: (&str, &str, &str, &str) = (
    "chat",
    "js",
    "text/javascript; charset=utf-8",
    include_str!("assets/chat.js"),
);
const ICON: (&str, &str, &str, &str) = ("icon", "svg", "image/svg+xml", include_str!("assets/icon.svg"));

static ASSETS: LazyLock<[Asset; 3]> = LazyLock::new(|| [STYLE, SCRIPT, ICON].map(named));

fn named((stem, extension, kind, body): (&str, &str, &'static str, &'static str)) -> Asset {
    let hash: String = Sha256::digest(body.as_bytes())
        .iter()
        .take(6)
        .map(|byte| format!("{byte:02x}"))
        .collect();
    Asset {
        name: format!("{stem}.{hash}.{extension}"),
        kind,
        body,
    }
}

/// The file of that name.
pub fn asset(name: &str) -> Option<&'static Asset> {
    ASSETS.iter().find(|asset| asset.name == name)
}

/// Addresses of the files, for templates.
#[derive(Debug, Clone, Copy)]
pub(super) struct Links {
    pub(super) style: &'static str,
    pub(super) script: &'static str,
    pub(super) icon: &'static str,
}

pub(super) fn links() -> Links {
    let [style, script, icon] = &*ASSETS;
    Links {
        style: &style.name,
        script: &script.name,
        icon: &icon.name,
    }
}

#[cfg(test)]
mod tests {
    use super::{ASSETS, asset};

    #[test]
    fn files_are_found_by_their_full_name_only() {
        assert!(
            ASSETS
                .iter()
                .all(|file| asset(&file.name).is_some_and(|found| found.body == file.body))
        );
        assert!(asset("style.css").is_none());
        assert!(asset("../templates/chat.html").is_none());
    }

    /// The policy sent with every page allows nothing from elsewhere, so neither may the files ask for it.
    #[test]
    fn nothing_is_fetched_from_elsewhere() {
        for file in ASSETS.iter() {
            let without_namespace = file.body.replace("http://www.w3.org/2000/svg", "");
            assert!(!without_namespace.contains("://"), "{} names another host", file.name);
        }
    }
}
