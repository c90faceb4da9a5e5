//! The files that pages refer to, under names that change with their content; the manifest that makes the pages
//! installable, and the worker that keeps them openable without a signal.

use std::{borrow::Cow, sync::LazyLock};

use serde_json::json;
use sha2::{Digest, Sha256};

/// A file for the browser.
#[derive(Debug, Clone)]
pub struct Asset {
    /// Its name, with a piece of its hash in it.
    pub name: String,
    /// Its content type.
    pub kind: &'static str,
    /// Its bytes.
    pub body: Cow<'static, [u8]>,
}

struct Source(&'static str, &'static str, &'static str, &'static [u8]);

const SOURCES: [Source; 6] = [
    Source(
        "style",
        "css",
        "text/css; charset=utf-8",
        include_bytes!("assets/style.css"),
    ),
    Source(
        "chat",
        "js",
        "text/javascript; charset=utf-8",
        include_bytes!("assets/chat.js"),
    ),
    Source("icon", "svg", "image/svg+xml", include_bytes!("assets/icon.svg")),
    Source("icon-180", "png", "image/png", include_bytes!("assets/icon-180.png")),
    Source("icon-192", "png", "image/png", include_bytes!("assets/icon-192.png")),
    Source("icon-512", "png", "image/png", include_bytes!("assets/icon-512.png")),
];

const WORKER: &str = include_str!("assets/sw.js");

static ASSETS: LazyLock<[Asset; 6]> = LazyLock::new(|| SOURCES.map(named));

/// The manifest and the worker have fixed addresses: a browser asks for them again and again under the same name.
static FIXED: LazyLock<[Asset; 2]> = LazyLock::new(|| {
    let [style, script, icon, ..] = &*ASSETS;
    let kept: Vec<String> = [style, script, icon]
        .iter()
        .map(|asset| format!("/assets/{}", asset.name))
        .collect();
    let kept = json!(kept).to_string();
    let worker = WORKER.replace("{{version}}", &short_hash(kept.as_bytes()));
    let worker = worker.replace("{{assets}}", &kept);
    [
        Asset {
            name: "manifest.webmanifest".into(),
            kind: "application/manifest+json",
            body: manifest().into_bytes().into(),
        },
        Asset {
            name: "sw.js".into(),
            kind: "text/javascript; charset=utf-8",
            body: worker.into_bytes().into(),
        },
    ]
});

fn short_hash(bytes: &[u8]) -> String {
    let digest = Sha256::digest(bytes);
    digest.iter().take(6).map(|byte| format!("{byte:02x}")).collect()
}

fn named(Source(stem, extension, kind, body): Source) -> Asset {
    Asset {
        name: format!("{stem}.{}.{extension}", short_hash(body)),
        kind,
        body: body.into(),
    }
}

fn manifest() -> String {
    let [.., small, large] = &*ASSETS;
    let icon = |asset: &Asset, size: &str| json!({"src": format!("/assets/{}", asset.name), "sizes": size, "type": asset.kind, "purpose": "any maskable"});
    json!({
        "name": "Tallyhand",
        "short_name": "Tallyhand",
        "description": "Counts in, price out, job in the book.",
        "id": "/",
        "start_url": "/",
        "scope": "/",
        "display": "standalone",
        "background_color": "#fbf6e6",
        "theme_color": "#fbf6e6",
        "icons": [icon(small, "192x192"), icon(large, "512x512")],
        "shortcuts": [{"name": "Book", "url": "/book"}, {"name": "Week", "url": "/week"}],
    })
    .to_string()
}

/// The file of that name.
pub fn asset(name: &str) -> Option<&'static Asset> {
    ASSETS.iter().find(|asset| asset.name == name)
}

/// The manifest or the worker, by its fixed name.
pub fn fixed_asset(name: &str) -> Option<&'static Asset> {
    FIXED.iter().find(|asset| asset.name == name)
}

/// Addresses of the files, for templates.
#[derive(Debug, Clone, Copy)]
pub(super) struct Links {
    pub(super) style: &'static str,
    pub(super) script: &'static str,
    pub(super) icon: &'static str,
    pub(super) touch_icon: &'static str,
}

pub(super) fn links() -> Links {
    let [style, script, icon, touch_icon, ..] = &*ASSETS;
    Links {
        style: &style.name,
        script: &script.name,
        icon: &icon.name,
        touch_icon: &touch_icon.name,
    }
}

#[cfg(test)]
mod tests {
    use super::{ASSETS, FIXED, asset, fixed_asset};

    #[test]
    fn files_are_found_by_their_full_name_only() {
        assert!(
            ASSETS
                .iter()
                .all(|file| asset(&file.name).is_some_and(|found| found.body == file.body))
        );
        assert!(asset("style.css").is_none());
        assert!(asset("../templates/chat.html").is_none());
        assert!(asset("sw.js").is_none() && fixed_asset("sw.js").is_some());
    }

    /// The policy sent with every page allows nothing from elsewhere, so neither may the files ask for it.
    #[test]
    fn nothing_is_fetched_from_elsewhere() {
        for file in ASSETS
            .iter()
            .chain(FIXED.iter())
            .filter(|file| file.kind != "image/png")
        {
            let text = String::from_utf8_lossy(&file.body).replace("http://www.w3.org/2000/svg", "");
            assert!(!text.contains("://"), "{} names another host", file.name);
            assert!(!text.contains("{{"), "{} has a hole", file.name);
        }
    }

    /// What the first page needs: itself, the style, the script and the icon.
    #[test]
    fn the_first_page_is_light() {
        let [style, script, icon, ..] = &*ASSETS;
        let bytes: usize = [style, script, icon].iter().map(|file| file.body.len()).sum();
        assert!(bytes < 60_000, "{bytes} bytes");
    }
}
