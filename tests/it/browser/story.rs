//! What happens in a day: signing in, a quote, a question, no signal, a voice note, another phone, a client.

#![allow(clippy::disallowed_methods, reason = "a browser is waited for in real time")]

use serde_json::Value;

use super::{
    chrome::{Chrome, Screen},
    house::{HEARD, Served, Wire},
    skipped,
};

/// Bytes that the first page may weigh in all.
const FIRST_PAGE_BYTES_MAX: i64 = 100_000;

pub(super) fn tell(screen: &Screen) {
    let served = Served::open();
    served.runtime.block_on(async {
        let chrome = match Chrome::start(screen).await {
            Ok(chrome) => chrome,
            Err(why) => return skipped(&format!("the pages on a {}", screen.name), why),
        };
        let day = Day {
            served: &served,
            chrome: &chrome,
        };
        day.signs_in().await;
        day.quotes_and_answers().await;
        day.has_no_signal().await;
        day.loses_an_answer().await;
        day.records_a_note().await;
        day.stays_in_step().await;
        day.accepts_as_the_client().await;
        day.looks_through_the_book().await;
        day.sets_a_figure().await;
    });
}

struct Day<'a> {
    served: &'a Served,
    chrome: &'a Chrome,
}

impl Day<'_> {
    async fn signs_in(&self) {
        let link = tallyhand::web::new_link(self.served.yard.deps(), self.served.yard.owner().id);
        let link = link.await.expect("a link");
        self.chrome.goto(&format!("{}{link}", self.served.base)).await;
        self.chrome.see(".first").await;
        self.chrome.looks("first").await;
        let weight = "return performance.getEntries().filter(e => e.encodedBodySize !== undefined)\
                      .reduce((sum, e) => sum + e.encodedBodySize, 0)";
        let weight = self.chrome.run(weight).await.as_i64().expect("a number");
        assert!(
            (5_000..FIRST_PAGE_BYTES_MAX).contains(&weight),
            "the first page weighs {weight} bytes"
        );
        let blocking = "document.querySelectorAll('head script:not([defer])').length === 0";
        self.chrome.until("a page that waits for no script", blocking).await;
        self.chrome
            .until(
                "a worker",
                "navigator.serviceWorker.controller || navigator.serviceWorker.ready",
            )
            .await;
    }

    async fn says(&self, text: &str) {
        self.chrome.write("#text", text).await;
        self.chrome.click("#write .send").await;
    }

    async fn messages(&self, text: &str) -> i64 {
        self.served
            .yard
            .count(&format!("SELECT count(*) FROM message WHERE text = '{text}'"))
    }

    async fn quotes_and_answers(&self) {
        self.says("rate 95").await;
        self.chrome
            .until(
                "the rate",
                "document.querySelector('#latest')?.innerText.includes('$95.00')",
            )
            .await;
        self.says("12 small 3 medium crapes at Alder Ct").await;
        self.chrome
            .until(
                "a tag",
                "document.querySelector('#latest .quote .sum')?.innerText.includes('$171.00')",
            )
            .await;
        self.chrome.looks("quote").await;
        self.says("5 hollies").await;
        self.chrome.see("#latest .choice b").await;
        self.chrome.looks("question").await;
        let medium = "#latest .choices form:nth-child(2) button";
        self.chrome.click(medium).await;
        self.chrome
            .until(
                "the holly",
                "document.querySelector('#latest .quote')?.innerText.includes('holly medium')",
            )
            .await;
        self.chrome.click("#latest .undo").await;
        self.chrome
            .until(
                "an undo",
                "document.querySelector('#latest .answer')?.innerText.startsWith('Took back')",
            )
            .await;
    }

    /// Nothing passes: the words wait on the phone, also over leaving and opening the page, and go once.
    async fn has_no_signal(&self) {
        let worker = "(await navigator.serviceWorker.ready).active?.state === 'activated'";
        let kept = format!("const done = arguments[0]; (async () => done({worker} && !!(await caches.match('/'))))()");
        // The page as it stands is kept by opening it once with the worker there.
        self.chrome.goto(&format!("{}/", self.served.base)).await;
        let is_kept = self
            .chrome
            .client
            .execute_async(&kept, Vec::new())
            .await
            .expect("it runs");
        assert_eq!(is_kept, Value::Bool(true), "the worker keeps the page");
        self.served.set_wire(Wire::Cut);
        self.says("make that 14 small").await;
        self.chrome
            .until(
                "a word about it",
                "document.querySelector('#notice').innerText.includes('No signal')",
            )
            .await;
        self.chrome
            .until(
                "waiting words",
                "document.querySelector('#waiting').innerText.includes('make that 14 small')",
            )
            .await;
        self.chrome.looks("no signal").await;
        self.chrome.goto(&format!("{}/", self.served.base)).await;
        self.chrome
            .until(
                "still waiting",
                "document.querySelector('#waiting').innerText.includes('make that 14 small')",
            )
            .await;
        self.says("add 2 large").await;
        self.chrome
            .until(
                "two waiting",
                "document.querySelectorAll('#waiting article').length === 2",
            )
            .await;
        assert_eq!(self.messages("make that 14 small").await, 0);
        self.served.set_wire(Wire::Whole);
        self.chrome.run("dispatchEvent(new Event('online'))").await;
        self.chrome
            .until(
                "nothing waits",
                "document.querySelectorAll('#waiting article').length === 0",
            )
            .await;
        self.chrome
            .until(
                "the answer",
                "document.querySelector('#latest')?.innerText.includes('2 crape myrtle large')",
            )
            .await;
        for text in ["make that 14 small", "add 2 large"] {
            assert_eq!(self.messages(text).await, 1, "{text:?} went once");
        }
    }

    /// The message arrives and its answer does not: it is sent again, and is one message.
    async fn loses_an_answer(&self) {
        self.served.set_wire(Wire::OneWay);
        self.says("note gate code 4411").await;
        let began = std::time::Instant::now();
        while self.messages("note gate code 4411").await == 0 {
            assert!(began.elapsed().as_secs() < 60, "it never arrived");
            tokio::time::sleep(std::time::Duration::from_millis(50)).await;
        }
        self.served.set_wire(Wire::Cut);
        self.chrome
            .until(
                "it waits",
                "document.querySelector('#waiting').innerText.includes('waits for a signal')",
            )
            .await;
        self.served.set_wire(Wire::Whole);
        self.chrome.run("dispatchEvent(new Event('online'))").await;
        self.chrome
            .until(
                "nothing waits",
                "document.querySelectorAll('#waiting article').length === 0",
            )
            .await;
        assert_eq!(self.messages("note gate code 4411").await, 1, "it counts once");
    }

    async fn records_a_note(&self) {
        self.chrome.click("#record").await;
        self.chrome
            .until(
                "listening",
                "document.querySelector('#enclosed').innerText.includes('Listening, 0:01')",
            )
            .await;
        self.chrome.looks("recording").await;
        self.chrome.click("#record").await;
        let drawn = "document.querySelector('#latest audio') && document.querySelector('#latest .quote')?.innerText.includes('Birch Ln')";
        self.chrome.until("what was heard, drawn", drawn).await;
        assert_eq!(self.messages(HEARD).await, 1);
        let kept = self
            .served
            .yard
            .count("SELECT count(*) FROM file WHERE way = 'in' AND media_type = 'audio/webm'");
        assert_eq!(kept, 1, "the note is kept with its message");
    }

    async fn stays_in_step(&self) {
        self.chrome.write("#text", "half a thought").await;
        self.served.says_elsewhere("note the dog is friendly").await;
        self.chrome
            .until(
                "the other phone's words",
                "document.querySelector('#latest').innerText.includes('dog is friendly')",
            )
            .await;
        let draft = self.chrome.run("return document.querySelector('#text').value").await;
        assert_eq!(draft, "half a thought", "what is being written stays");
        self.chrome.write("#text", "").await;
    }

    async fn accepts_as_the_client(&self) {
        self.says("send the quote for Alder Ct").await;
        self.chrome.see("#latest .handout a").await;
        let path = self
            .chrome
            .run("return document.querySelector('#latest .handout a').getAttribute('href')")
            .await;
        let path = path.as_str().expect("a path").to_string();
        self.chrome.goto(&format!("{}{path}", self.served.base)).await;
        self.chrome.see(".card .total").await;
        self.chrome.looks("client").await;
        self.prints_on_one_sheet().await;
        self.chrome.write("#name", "Wren").await;
        self.chrome.click(".yes .send").await;
        self.chrome
            .until(
                "thanks",
                "document.querySelector('#news').innerText.includes('Accepted by Wren')",
            )
            .await;
        self.chrome.looks("accepted").await;
        self.chrome.goto(&format!("{}/", self.served.base)).await;
        self.chrome
            .until(
                "the owner knows",
                "document.querySelector('#latest').innerText.includes('Wren said yes')",
            )
            .await;
        self.chrome.looks("told").await;
    }

    async fn prints_on_one_sheet(&self) {
        let sheet = fantoccini::wd::PrintConfiguration::default();
        let pdf = self.chrome.client.print(sheet).await.expect("it prints");
        let text = String::from_utf8_lossy(&pdf);
        let pages = text.matches("/Type /Page").count() - text.matches("/Type /Pages").count();
        assert_eq!(pages, 1, "the client page takes {pages} sheets");
    }

    async fn looks_through_the_book(&self) {
        for (path, wanted) in [
            ("/book", "Alder Ct"),
            ("/book?q=alder", "Alder Ct"),
            ("/book/1", "Accepted by"),
            ("/times", "guesses"),
            ("/week", "Say a day in the talk"),
        ] {
            self.chrome.goto(&format!("{}{path}", self.served.base)).await;
            self.chrome
                .until(wanted, &format!("document.body.innerText.includes('{wanted}')"))
                .await;
            self.chrome.looks(path.trim_start_matches('/')).await;
        }
    }

    async fn sets_a_figure(&self) {
        self.chrome.goto(&format!("{}/settings", self.served.base)).await;
        self.chrome.write("#minimum", "110").await;
        self.chrome.click("#minimum ~ button").await;
        self.chrome
            .until(
                "the answer",
                "document.querySelector('#news')?.innerText.includes('$110.00')",
            )
            .await;
        assert_eq!(self.messages("minimum 110").await, 1, "said as in the chat");
        self.chrome.looks("settings").await;
    }
}
