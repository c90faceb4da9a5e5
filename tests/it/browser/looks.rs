//! How a page looks: judged, measured, and kept as a picture for whoever wants to see it.

use std::path::{Path, PathBuf};

use serde_json::Value;

use super::{chrome::Chrome, skipped};

impl Chrome {
    /// The page as it stands: judged by axe-core in both colour schemes, nothing wider than the screen, nothing to tap that
    /// is too small for a thumb, and a picture of it for whoever wants to look.
    pub(super) async fn looks(&self, name: &str) {
        for scheme in ["light", "dark"] {
            self.scheme(scheme).await;
            // A page that is too wide makes a phone's window wider too: what counts is the screen.
            let over = format!(
                "return document.documentElement.scrollWidth - Math.min(innerWidth, {})",
                self.width
            );
            let over = self.run(&over).await;
            assert!(
                over.as_i64().is_some_and(|over| over <= 0),
                "{name}: {over} pixels wider than the screen"
            );
            self.keeps_picture(name, scheme).await;
            self.is_accessible(name, scheme).await;
        }
        self.scheme("light").await;
        self.has_room_for_thumbs(name).await;
    }

    async fn keeps_picture(&self, name: &str, scheme: &str) {
        let Some(folder) = std::env::var_os("TALLYHAND_SHOTS") else {
            return;
        };
        let picture = self.client.screenshot().await.expect("a picture");
        let name = name.replace(['/', '?', '=', ' '], "_");
        let file = format!("{}-{name}-{scheme}.png", self.screen);
        std::fs::write(PathBuf::from(folder).join(file), picture).expect("it is kept");
    }

    /// Whatever can be tapped on its own is 44 pixels high (WCAG 2.2, success criterion 2.5.5); links inside sentences and
    /// tables are as high as their line.
    async fn has_room_for_thumbs(&self, name: &str) {
        let small = "return [...document.querySelectorAll('button, summary, input:not([type=hidden]):not([type=file]), textarea, a.choice, nav a, .slips a, .jobs a')]\
                     .filter(e => e.getClientRects().length && e.getBoundingClientRect().height < 44)\
                     .map(e => e.outerHTML.slice(0, 120) + ' ' + e.getBoundingClientRect().height)";
        let small = self.run(small).await;
        let small = small.as_array().expect("a list");
        assert!(
            small.is_empty(),
            "{name}, {}: too small for a thumb: {small:#?}",
            self.screen
        );
    }

    async fn is_accessible(&self, name: &str, scheme: &str) {
        let Some(axe) = axe() else {
            return skipped("accessibility", "axe-core is not in target/axe; .ci/run puts it there");
        };
        self.run(&axe).await;
        let judge = "const done = arguments[0]; axe.run(document, {resultTypes: ['violations']}).then(r => \
                     done(r.violations.map(v => v.id + ': ' + v.help + '\\n  ' + v.nodes.map(n => n.html + ' ' + \
                     (n.any[0]?.message ?? '')).join('\\n  '))), e => done([String(e)]))";
        let violations = self.client.execute_async(judge, Vec::new()).await.expect("axe runs");
        let violations: Vec<&str> = violations
            .as_array()
            .expect("a list")
            .iter()
            .filter_map(Value::as_str)
            .collect();
        assert!(
            violations.is_empty(),
            "{name}, {scheme}, {}:\n{}",
            self.screen,
            violations.join("\n")
        );
    }
}

/// The judge's script, where it was put.
fn axe() -> Option<String> {
    let target = std::env::var_os("CARGO_TARGET_DIR")
        .map_or_else(|| Path::new(env!("CARGO_MANIFEST_DIR")).join("target"), PathBuf::from);
    std::fs::read_to_string(target.join("axe/node_modules/axe-core/axe.min.js")).ok()
}
