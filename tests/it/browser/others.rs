//! What others see, and what is seen seldom: the crew's pages, answers that got stuck, a client who asks, a link that was
//! taken back.

use serde_json::Value;

use super::{
    chrome::{Chrome, Screen},
    house::Served,
    skipped,
};
use crate::support::tallyhand;

pub(super) fn tell(screen: &Screen) {
    let served = Served::open();
    let home = tempfile::TempDir::new().expect("a folder");
    let book = served.yard.book().to_str().expect("a path");
    let added = tallyhand(home.path(), &["member", "Ana", "--db", book], b"");
    assert_eq!(added.code, Some(0), "{}", added.stderr);
    served.runtime.block_on(async {
        let chrome = match Chrome::start(screen).await {
            Ok(chrome) => chrome,
            Err(why) => return skipped(&format!("what others see on a {}", screen.name), why),
        };
        for text in [
            "rate 123",
            "12 small 3 medium crapes and mow at 4411 Long Meadow Parkway",
            "won tuesday 8am",
            "note gate code 4411, the dog is friendly",
        ] {
            served.says_elsewhere(text).await;
        }
        looks_as_the_crew(&served, &chrome).await;
        looks_at_what_got_stuck(&served, &chrome).await;
        asks_as_the_client(&served, &chrome).await;
    });
}

async fn signs_in(served: &Served, chrome: &Chrome, name: &str) {
    let deps = served.yard.deps();
    let members = deps.store.members(deps.account).await.expect("members");
    let member = members.iter().find(|member| member.name == name).expect("a member");
    let link = tallyhand::web::new_link(deps, member.id).await.expect("a link");
    // A page of the house has to be open for its cookies to be forgotten.
    chrome.goto(&format!("{}/in/none", served.base)).await;
    chrome.client.delete_all_cookies().await.expect("cookies are forgotten");
    chrome.goto(&format!("{}{link}", served.base)).await;
    chrome.see("#talk").await;
}

/// No page shows the crew a price; each is as sound as the owner's.
async fn looks_as_the_crew(served: &Served, chrome: &Chrome) {
    signs_in(served, chrome, "Ana").await;
    chrome.looks("crew talk, empty").await;
    for text in ["here at Long Meadow", "tuesday"] {
        chrome.write("#text", text).await;
        chrome.click("#write .send").await;
        let shown = format!("document.querySelector('#latest .tag')?.innerText.trim() === {text:?}");
        chrome.until("what was said", &shown).await;
    }
    for path in ["/", "/book", "/book/1", "/week", "/times", "/settings"] {
        chrome.goto(&format!("{}{path}", served.base)).await;
        let words = chrome.text("main").await;
        assert!(!words.is_empty(), "{path}");
        for price in ["$", "123"] {
            assert!(!words.contains(price), "{price} on {path}:\n{words}");
        }
        chrome.looks(&format!("crew {path}")).await;
    }
}

async fn looks_at_what_got_stuck(served: &Served, chrome: &Chrome) {
    let members = format!("{}", served.yard.owner().id.get());
    let account = served.yard.owner().account.get();
    let stuck = format!(
        "INSERT INTO chat (account_id, member_id, channel, address, room, bound_at, heard_at)
            VALUES ({account}, {members}, 'telegram', '99', '99', '2026-01-12T15:00:00Z', '2026-01-12T15:00:00Z');
         INSERT INTO outbox (account_id, chat_id, words, key, queued_at, state, attempts, pieces_sent, due_at, last_failure)
            VALUES ({account}, last_insert_rowid(), 'Noted: the hose is behind the shed', 'stuck', '2026-01-12T15:00:00Z',
                'given up', 1, 0, '2026-01-12T15:00:00Z', 'Telegram 403: Forbidden: bot was blocked by the user');"
    );
    served.yard.changes_past_the_house(&stuck);
    signs_in(served, chrome, "owner").await;
    chrome.goto(&format!("{}/settings", served.base)).await;
    chrome.see(".stuck").await;
    chrome
        .run("document.querySelector('.stuck').scrollIntoView({block: 'center'})")
        .await;
    chrome.looks("undelivered").await;
    let again = "[...document.querySelectorAll('.choices button')].find(b => b.innerText === 'Send them again')";
    chrome.run(&format!("{again}.click()")).await;
    let gone = "!document.querySelector('.stuck') && document.querySelector('#news')";
    chrome.until("sent again", gone).await;
    news_is_seen(chrome).await;
    chrome.looks("sent again").await;
}

/// What was just done is answered where it can be seen: below what hangs at the top, and on the screen.
async fn news_is_seen(chrome: &Chrome) {
    let seen = "const news = document.querySelector('#news').getBoundingClientRect(), line = document.querySelector('.line');\
                return news.top >= (line?.getBoundingClientRect().bottom ?? 0) && news.bottom <= innerHeight";
    let seen = chrome.run(seen).await;
    assert_eq!(seen, true, "the news is hidden on the {}", chrome.screen);
}

async fn asks_as_the_client(served: &Served, chrome: &Chrome) {
    served.says_elsewhere("20 large hollies at 9 Cedar Ln").await;
    served.says_elsewhere("send it").await;
    chrome.goto(&format!("{}/", served.base)).await;
    chrome.see("#latest .handout a").await;
    let path = chrome
        .run("return document.querySelector('#latest .handout a').getAttribute('href')")
        .await;
    let Value::String(path) = path else {
        panic!("no path: {path}")
    };
    let card = format!("{}{path}", served.base);
    chrome.goto(&card).await;
    chrome.click(".ask summary").await;
    chrome.see(".ask[open] #words").await;
    chrome.looks("client asks").await;
    chrome.write("#asker", "Wren").await;
    chrome.write("#words", "Do you take the branches along?").await;
    chrome.click(".ask .choice").await;
    chrome.see("#news .stamp").await;
    news_is_seen(chrome).await;
    chrome.looks("client asked").await;
    served.says_elsewhere("take the link back").await;
    chrome.goto(&card).await;
    chrome.looks("client, taken back").await;
    let words = chrome.text("body").await;
    assert!(!words.contains("Cedar") && !words.contains('$'), "{words}");
}
