//! A headless Chromium of the test's own, with an empty profile, a made-up microphone and no way to the world.

#![allow(clippy::disallowed_methods, reason = "a browser is waited for in real time")]

use std::{
    io::{Read, Write},
    net::{TcpListener, TcpStream},
    path::PathBuf,
    process::{Child, Command, Stdio},
    time::Duration,
};

use fantoccini::{Client, ClientBuilder, Locator, elements::Element};
use hyper_util::client::legacy::connect::HttpConnector;
use serde_json::{Value, json};
use tempfile::TempDir;

/// A size of screen.
pub(super) struct Screen {
    pub(super) name: &'static str,
    width: u32,
    height: u32,
    touch: bool,
}

pub(super) const PHONE: Screen = Screen {
    name: "phone",
    width: 390,
    height: 844,
    touch: true,
};

pub(super) const DESK: Screen = Screen {
    name: "desk",
    width: 1280,
    height: 800,
    touch: false,
};

/// How long anything on a page may take to appear; the machine may be busy with other tests.
const PATIENCE: Duration = Duration::from_secs(60);

/// The browser and its driver.
pub(super) struct Chrome {
    driver: Child,
    address: String,
    session: String,
    /// The name of its screen.
    pub(super) screen: &'static str,
    /// Its width, in pixels of the page.
    pub(super) width: u32,
    pub(super) client: Client,
    _profile: TempDir,
}

fn program(name: &str) -> Option<PathBuf> {
    let path = std::env::var_os("PATH")?;
    std::env::split_paths(&path)
        .map(|folder| folder.join(name))
        .find(|file| file.is_file())
}

impl Chrome {
    /// Starts it; the word why not, where it is not installed.
    pub(super) async fn start(screen: &Screen) -> Result<Chrome, &'static str> {
        // The client for commands wants one, though nothing here is encrypted; another test may have been first.
        let _ = rustls::crypto::ring::default_provider().install_default();
        let browser = program("chromium").ok_or("chromium is not installed")?;
        let driver = program("chromedriver").ok_or("chromedriver is not installed")?;
        let port = free_port();
        let driver = Command::new(driver)
            .arg(format!("--port={port}"))
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("chromedriver starts");
        let address = format!("127.0.0.1:{port}");
        let profile = TempDir::new().expect("a folder");
        let arguments = [
            "--headless=new".to_string(),
            "--no-sandbox".to_string(),
            "--disable-gpu".to_string(),
            "--disable-dev-shm-usage".to_string(),
            "--no-first-run".to_string(),
            "--disable-background-networking".to_string(),
            "--disable-component-update".to_string(),
            "--disable-sync".to_string(),
            "--disable-quic".to_string(),
            "--use-fake-device-for-media-stream".to_string(),
            "--use-fake-ui-for-media-stream".to_string(),
            format!("--window-size={},{}", screen.width, screen.height),
            format!("--user-data-dir={}", profile.path().display()),
        ];
        let mut options = json!({"args": arguments, "binary": browser});
        if screen.touch {
            options["mobileEmulation"] = json!({
                "deviceMetrics": {"width": screen.width, "height": screen.height, "pixelRatio": 2.0, "touch": true}
            });
        }
        let capabilities = json!({"goog:chromeOptions": options});
        let capabilities = capabilities.as_object().expect("an object").clone();
        let mut tries = 0;
        let client = loop {
            let mut builder = ClientBuilder::new(HttpConnector::new());
            match builder
                .capabilities(capabilities.clone())
                .connect(&format!("http://{address}"))
                .await
            {
                Ok(client) => break client,
                Err(failure) if tries > 100 => panic!("no session with chromedriver: {failure}"),
                Err(_) => tries += 1,
            }
            tokio::time::sleep(Duration::from_millis(200)).await;
        };
        let session = client.session_id().await.expect("a session").expect("an id");
        Ok(Chrome {
            driver,
            address,
            session,
            screen: screen.name,
            width: screen.width,
            client,
            _profile: profile,
        })
    }

    pub(super) async fn goto(&self, url: &str) {
        self.client.goto(url).await.expect("the page opens");
    }

    /// Waits for an element.
    #[track_caller]
    pub(super) fn see(&self, css: &str) -> impl Future<Output = Element> {
        let place = std::panic::Location::caller();
        async move {
            let found = self
                .client
                .wait()
                .at_most(PATIENCE)
                .for_element(Locator::Css(css))
                .await;
            match found {
                Ok(element) => element,
                Err(failure) => {
                    let page = self.text("body").await;
                    panic!("{place}: no {css} on the page ({failure}):\n{page}")
                }
            }
        }
    }

    /// Waits until a script says something true.
    #[track_caller]
    pub(super) fn until(&self, what: &str, script: &str) -> impl Future<Output = ()> {
        let place = std::panic::Location::caller();
        async move {
            let began = std::time::Instant::now();
            loop {
                let said = self.run(&format!("return !!({script})")).await;
                if said == Value::Bool(true) {
                    return;
                }
                if began.elapsed() > PATIENCE {
                    let page = self.text("body").await;
                    panic!("{place}: {what} did not come about:\n{page}");
                }
                tokio::time::sleep(Duration::from_millis(100)).await;
            }
        }
    }

    pub(super) async fn run(&self, script: &str) -> Value {
        self.client.execute(script, Vec::new()).await.unwrap_or(Value::Null)
    }

    /// The text of an element as it is shown.
    pub(super) async fn text(&self, css: &str) -> String {
        match self.client.find(Locator::Css(css)).await {
            Ok(element) => element.text().await.unwrap_or_default(),
            Err(_) => String::new(),
        }
    }

    /// Taps an element; again when the page put a fresh one in its place meanwhile.
    pub(super) async fn click(&self, css: &str) {
        for _ in 0..5 {
            let element = self.see(css).await;
            // What is fixed at the bottom of the page may lie over it.
            let scroll = "arguments[0].scrollIntoView({block: 'center'})";
            let argument = serde_json::to_value(&element).expect("an element");
            let scrolled = self.client.execute(scroll, vec![argument]).await;
            if scrolled.is_ok() && element.click().await.is_ok() {
                return;
            }
            tokio::time::sleep(Duration::from_millis(200)).await;
        }
        panic!("{css} cannot be clicked");
    }

    pub(super) async fn write(&self, css: &str, text: &str) {
        let element = self.see(css).await;
        element.clear().await.expect("it can be cleared");
        element.send_keys(text).await.expect("it can be written in");
    }

    /// A command of the browser itself.
    pub(super) async fn command(&self, name: &str, params: Value) {
        let url = format!("http://{}/session/{}/goog/cdp/execute", self.address, self.session);
        let body = json!({"cmd": name, "params": params});
        let answer = reqwest::Client::new()
            .post(url)
            .json(&body)
            .send()
            .await
            .expect("chromedriver answers");
        assert!(
            answer.status().is_success(),
            "{name}: {}",
            answer.text().await.unwrap_or_default()
        );
    }

    pub(super) async fn scheme(&self, scheme: &str) {
        let features = json!([{"name": "prefers-color-scheme", "value": scheme}]);
        self.command("Emulation.setEmulatedMedia", json!({"features": features}))
            .await;
    }
}

impl Drop for Chrome {
    /// Asks the driver to close the browser, also when the test has failed; then ends the driver.
    fn drop(&mut self) {
        let close = format!(
            "DELETE /session/{} HTTP/1.1\r\nhost: {}\r\nconnection: close\r\n\r\n",
            self.session, self.address
        );
        if let Ok(mut stream) = TcpStream::connect(&self.address) {
            let mut answer = String::new();
            // Whatever comes of it, the driver ends below.
            let _ = stream.set_read_timeout(Some(Duration::from_secs(10)));
            let _ = stream.write_all(close.as_bytes());
            let _ = stream.read_to_string(&mut answer);
        }
        let _ = self.driver.kill();
        let _ = self.driver.wait();
    }
}

fn free_port() -> u16 {
    let listener = TcpListener::bind("127.0.0.1:0").expect("a port");
    listener.local_addr().expect("an address").port()
}
