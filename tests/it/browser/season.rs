//! Every page over two seasons of work: what the demo's book holds is what a book looks like when it is in use.

use super::{
    chrome::{Chrome, Screen},
    skipped,
};
use crate::support::Server;

pub(super) fn look_through(screen: &Screen) {
    let home = tempfile::TempDir::new().expect("a folder");
    let server = Server::start_demo(home.path());
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .expect("a runtime");
    runtime.block_on(async {
        match Chrome::start(screen).await {
            Ok(chrome) => look(&chrome, &server).await,
            Err(why) => skipped(&format!("the season on a {}", screen.name), why),
        }
    });
    server.kill();
}

async fn look(chrome: &Chrome, server: &Server) {
    let address = &server.address;
    chrome.goto(&format!("{address}/book")).await;
    chrome.see("#code").await;
    chrome.looks("signed out").await;
    chrome.goto(&server.link).await;
    chrome.see("#latest").await;
    chrome.looks("season talk").await;
    for path in [
        "/?before=60",
        "/book",
        "/book?show=owed",
        "/book?q=zzzz",
        "/times",
        "/week",
        "/settings",
        "/nowhere",
        "/q/0000",
    ] {
        chrome.goto(&format!("{address}{path}")).await;
        chrome.see("main").await;
        chrome.looks(&format!("season {}", path.trim_start_matches('/'))).await;
    }
    chrome
        .run("document.querySelectorAll('details').forEach(d => d.open = true)")
        .await;
    chrome.looks("season everything open").await;
    let job = "return document.querySelector('.jobs a').getAttribute('href')";
    chrome.goto(&format!("{address}/book?show=done")).await;
    let job = chrome.run(job).await;
    chrome
        .goto(&format!("{address}{}", job.as_str().expect("a job that is done")))
        .await;
    chrome.see(".facts").await;
    chrome.looks("season job").await;
    says(chrome, address, "sign-in code").await;
    chrome
        .until(
            "a code",
            "/\\d{4} \\d{4}/.test(document.querySelector('#latest').innerText)",
        )
        .await;
    chrome.looks("season code").await;
    says(chrome, address, "plot small crapes").await;
    chrome.see("#latest .picture").await;
    chrome.looks("season picture").await;
    says(
        chrome,
        address,
        "18 small 6 medium 2 large crapes and 5 large hollies at 4411 Long Meadow Parkway",
    )
    .await;
    chrome.see("#latest .quote").await;
    chrome.looks("season long quote").await;
    says(chrome, address, "?").await;
    chrome.looks("season menu").await;
}

async fn says(chrome: &Chrome, address: &str, text: &str) {
    chrome.goto(&format!("{address}/")).await;
    chrome.write("#text", text).await;
    chrome.click("#write .send").await;
    let shown = format!("document.querySelector('#latest .tag')?.innerText.trim() === {text:?}");
    chrome.until("what was said", &shown).await;
}
