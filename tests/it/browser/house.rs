//! The house that the browser comes to, and the wire between them.

use std::{
    net::SocketAddr,
    sync::{
        Arc,
        atomic::{AtomicU8, Ordering},
    },
};

use tallyhand::{
    conversation::Words,
    speech::{Error, Hints, Note, Recogniser, Transcriber},
    store::Delivery,
    web,
};
use tokio::{
    io::{AsyncReadExt, AsyncWriteExt},
    net::{TcpListener, TcpStream},
    runtime::Runtime,
};

use crate::support::Yard;

/// What the stand-in for a recogniser takes every note for.
pub(super) const HEARD: &str = "4 small hollies at Birch Ln";

/// Takes every note for the same words, after looking at whether it is one.
struct Listener;

impl Transcriber for Listener {
    fn transcribe(&mut self, note: &Note, _hints: &Hints) -> Result<Words, Error> {
        assert!(note.media_type.starts_with("audio/"), "{} is no sound", note.media_type);
        assert!(
            note.bytes.len() > 200,
            "{} bytes are no second of sound",
            note.bytes.len()
        );
        Ok(Words {
            text: HEARD.to_string(),
            others: Vec::new(),
            doubtful: false,
        })
    }
}

/// How the wire is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[repr(u8)]
pub(super) enum Wire {
    /// All passes.
    Whole = 0,
    /// Nothing passes; connections break.
    Cut = 1,
    /// What the browser sends passes, what the house answers does not.
    OneWay = 2,
}

/// A house with a port.
pub(super) struct Served {
    pub(super) runtime: Runtime,
    pub(super) yard: Yard,
    pub(super) base: String,
    wire: Arc<AtomicU8>,
}

impl Served {
    pub(super) fn open() -> Served {
        let yard = Yard::new();
        let mut deps = yard.deps().clone();
        let (recogniser, _) = Recogniser::start(Box::new(Listener)).expect("a thread");
        deps.recogniser = recogniser;
        let runtime = tokio::runtime::Builder::new_multi_thread()
            .worker_threads(2)
            .enable_all()
            .build()
            .expect("a runtime");
        let wire = Arc::new(AtomicU8::new(Wire::Whole as u8));
        let passing = Arc::clone(&wire);
        let address = runtime.block_on(async {
            let house = TcpListener::bind("127.0.0.1:0").await.expect("a port");
            let behind = house.local_addr().expect("an address");
            tokio::spawn(web::serve(house, deps, std::future::pending()));
            let front = TcpListener::bind("127.0.0.1:0").await.expect("a port");
            let address = front.local_addr().expect("an address");
            tokio::spawn(relay(front, behind, passing));
            address
        });
        Served {
            runtime,
            yard,
            base: format!("http://{address}"),
            wire,
        }
    }

    pub(super) fn set_wire(&self, wire: Wire) {
        self.wire.store(wire as u8, Ordering::SeqCst);
    }

    /// Says something from elsewhere, as another phone does.
    pub(super) async fn says_elsewhere(&self, text: &str) {
        let owner = self.yard.owner();
        let deps = self.yard.deps();
        let id = deps.ids.inbound();
        let delivery = Delivery {
            account: owner.account,
            member: owner.id,
            external_id: id.as_str().to_string(),
            id,
            channel: "elsewhere".to_string(),
            text: text.to_string(),
            heard: None,
            media: Vec::new(),
            answer_to: None,
            sent_at: None,
            at: deps.clock.now(),
        };
        deps.store.take(delivery).await.expect("it is taken");
    }
}

async fn relay(front: TcpListener, behind: SocketAddr, wire: Arc<AtomicU8>) {
    loop {
        let Ok((browser, _)) = front.accept().await else { return };
        let wire = Arc::clone(&wire);
        tokio::spawn(async move {
            if wire.load(Ordering::SeqCst) == Wire::Cut as u8 {
                return;
            }
            if let Ok(house) = TcpStream::connect(behind).await {
                pass(browser, house, &wire).await;
            }
        });
    }
}

/// Passes bytes both ways until an end is reached or the wire is cut.
async fn pass(browser: TcpStream, house: TcpStream, wire: &AtomicU8) {
    let (mut from_browser, mut to_browser) = browser.into_split();
    let (mut from_house, mut to_house) = house.into_split();
    let up = async {
        let mut bytes = vec![0; 16 * 1024];
        while let Ok(count @ 1..) = from_browser.read(&mut bytes).await {
            if wire.load(Ordering::SeqCst) == Wire::Cut as u8 || to_house.write_all(&bytes[..count]).await.is_err() {
                return;
            }
        }
    };
    let down = async {
        let mut bytes = vec![0; 16 * 1024];
        while let Ok(count @ 1..) = from_house.read(&mut bytes).await {
            if wire.load(Ordering::SeqCst) != Wire::Whole as u8 || to_browser.write_all(&bytes[..count]).await.is_err()
            {
                return;
            }
        }
    };
    let cut = async {
        while wire.load(Ordering::SeqCst) != Wire::Cut as u8 {
            tokio::time::sleep(std::time::Duration::from_millis(20)).await;
        }
    };
    tokio::select! { () = up => {}, () = down => {}, () = cut => {} }
}
