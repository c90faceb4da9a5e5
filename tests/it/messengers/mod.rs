//! Text messages, WhatsApp, Matrix and a gateway from outside, each with a stand-in for its provider, in one scene that they
//! share.

mod gateways;
mod matrix_rooms;
mod text_messages;
mod whatsapp_cloud;

use tallyhand::{
    channels::{Channel, Lines},
    runtime::{Caller, Messengers, Waits},
};

use crate::support::{FakeProvider, Said, Seen, Yard};

const ANA: &str = "+15555550123";

/// A yard with one messenger, and its provider.
struct Scene {
    yard: Option<Yard>,
    provider: FakeProvider,
    messengers: Messengers,
}

impl Scene {
    fn new(answers: impl FnMut(&Seen) -> Said + Send + 'static, lines: impl FnOnce(&str) -> Lines) -> Scene {
        let mut provider = None;
        let yard = Yard::with_lines(|runtime| {
            let started = runtime.block_on(FakeProvider::start(answers));
            let lines = lines(&started.url);
            provider = Some(started);
            lines
        });
        let messengers = yard.messengers();
        Scene {
            yard: Some(yard),
            provider: provider.expect("it was started"),
            messengers,
        }
    }

    fn yard(&self) -> &Yard {
        self.yard.as_ref().expect("it is open")
    }

    fn then(&mut self, what: impl FnOnce(Yard) -> Yard) {
        self.yard = self.yard.take().map(what);
    }

    fn code(&mut self, text: &str) -> String {
        self.then(|yard| yard.says(text));
        let answer = self.yard.as_mut().expect("it is open").next_answer();
        let words = answer["text"].as_str().expect("words");
        let line = words.lines().find(|line| line.len() == 14);
        line.unwrap_or_else(|| panic!("a line with the code: {words}"))
            .to_string()
    }

    /// What last went wrong with a messenger; nothing when nothing did.
    fn failure(&self, channel: Channel) -> String {
        let state = self.yard().wait(self.yard().handle().channel_state(channel));
        state.expect("a state").failure.map_or_else(String::new, |(_, why)| why)
    }

    /// Worked off and sent, until nothing happens any more.
    fn round(&self) {
        self.yard().wait(async {
            loop {
                let worked = self.messengers.work_off_inbox().await.expect("the book works");
                let sent = self.messengers.send_letters().await.expect("the book works");
                if worked + sent == 0 {
                    break;
                }
            }
        });
    }
}

/// A caller that waits for less long than production does.
fn impatient() -> Caller {
    let wait = std::time::Duration::from_millis(300);
    Caller::new(Waits {
        connect: wait,
        answer: wait,
        fetch: wait,
    })
    .expect("a client")
}

fn bodies(seen: &[Seen]) -> Vec<String> {
    seen.iter().filter_map(|one| one.field("Body")).collect()
}
