//! The page worked with keys alone: everything is reached by Tab, the place is always to be seen, and answers are said to
//! who listens.

#![allow(clippy::disallowed_methods, reason = "a browser is waited for in real time")]

use super::{
    chrome::{Chrome, Screen},
    house::Served,
    skipped,
};

/// Keys as WebDriver names them (W3C WebDriver, section 17.4.2, keyboard actions).
const TAB: &str = "\u{E004}";
const BACK_TAB: &str = "\u{E008}\u{E004}\u{E000}";
const ENTER: &str = "\u{E007}";

/// Presses of Tab after which everything on a page was passed.
const TABS_MAX: usize = 60;

pub(super) fn tell(screen: &Screen) {
    let served = Served::open();
    served.runtime.block_on(async {
        let chrome = match Chrome::start(screen).await {
            Ok(chrome) => chrome,
            Err(why) => return skipped("the pages by keyboard", why),
        };
        let link = tallyhand::web::new_link(served.yard.deps(), served.yard.owner().id);
        let link = link.await.expect("a link");
        chrome.goto(&format!("{}{link}", served.base)).await;
        chrome.see(".first").await;
        talks(&chrome).await;
        sets_a_figure(&chrome, &served.base).await;
    });
}

/// Presses keys where the focus is.
async fn press(chrome: &Chrome, keys: &str) {
    let at = chrome.client.active_element().await.expect("something has the focus");
    at.send_keys(keys).await.expect("keys can be pressed");
}

/// Moves the focus until it is on what a selector names; each stop on the way has to show where it is.
async fn moves_to(chrome: &Chrome, key: &str, css: &str) {
    for _ in 0..TABS_MAX {
        press(chrome, key).await;
        let seen = "const at = document.activeElement, look = getComputedStyle(at.matches('input[type=file]') ? at.closest('label') : at);\
                    return at === document.body || look.outlineStyle !== 'none' && parseFloat(look.outlineWidth) >= 2";
        assert_eq!(
            chrome.run(seen).await,
            true,
            "the focus cannot be seen on the way to {css}"
        );
        let there = format!("return document.activeElement.matches({css:?})");
        if chrome.run(&there).await == true {
            return;
        }
    }
    panic!("{css} is not reached by {key:?}");
}

async fn talks(chrome: &Chrome) {
    moves_to(chrome, TAB, "#text").await;
    press(chrome, "rate 95").await;
    press(chrome, ENTER).await;
    chrome
        .until(
            "the rate",
            "document.querySelector('#latest')?.innerText.includes('$95.00')",
        )
        .await;
    chrome
        .until(
            "it is said",
            "document.querySelector('#spoken').textContent.includes('$95.00')",
        )
        .await;
    press(chrome, "5 hollies").await;
    press(chrome, ENTER).await;
    chrome.see("#latest .choice b").await;
    moves_to(chrome, BACK_TAB, "#latest .choices form:nth-child(2) button").await;
    press(chrome, ENTER).await;
    chrome
        .until(
            "the holly",
            "document.querySelector('#latest .quote')?.innerText.includes('holly medium')",
        )
        .await;
    // The focus goes on from the answer.
    chrome
        .until("the focus", "document.activeElement.id === 'latest'")
        .await;
    moves_to(chrome, TAB, "#latest .undo").await;
    press(chrome, ENTER).await;
    chrome
        .until(
            "an undo",
            "document.querySelector('#spoken').textContent.startsWith('Took back')",
        )
        .await;
}

async fn sets_a_figure(chrome: &Chrome, base: &str) {
    moves_to(chrome, BACK_TAB, "nav a[href='/settings']").await;
    press(chrome, ENTER).await;
    chrome.see("#minimum").await;
    assert_eq!(
        chrome.client.current_url().await.expect("an address").as_str(),
        format!("{base}/settings")
    );
    moves_to(chrome, TAB, "#minimum").await;
    press(chrome, "110").await;
    press(chrome, ENTER).await;
    chrome
        .until(
            "the answer",
            "document.querySelector('#news')?.innerText.includes('$110.00')",
        )
        .await;
}
