//! Telegram from outside: a person texts a bot, and the bot is the book.
//!
//! This file is long because one stand-in for the service serves every scene.

use std::sync::Arc;

use serde_json::{Value, json};
use tallyhand::{
    channels::{Channel, Hidden, Lines, telegram::Telegram},
    runtime::{Caller, Messengers, Round, Waits},
    store::Claimed,
};

use crate::support::{FakeTelegram, TOKEN, Yard};

/// The owner's account there.
const ANA: i64 = 42;

/// A yard with a bot that asks for news, and the stand-in that it asks.
struct Scene {
    yard: Option<Yard>,
    fake: FakeTelegram,
    messengers: Messengers,
}

fn bot(fake: &FakeTelegram, webhook: Option<&str>) -> Telegram {
    Telegram::new(Hidden::new(TOKEN), Some(&fake.url), webhook.map(Hidden::new))
}

impl Scene {
    fn new() -> Scene {
        Scene::with(None)
    }

    fn with(webhook: Option<&'static str>) -> Scene {
        let mut fake = None;
        let yard = Yard::with_lines(|runtime| {
            let started = runtime.block_on(FakeTelegram::start());
            let lines = Lines {
                telegram: Some(bot(&started, webhook)),
                ..Lines::default()
            };
            fake = Some(started);
            lines
        });
        let messengers = yard.messengers();
        Scene {
            yard: Some(yard),
            fake: fake.expect("it was started"),
            messengers,
        }
    }

    fn yard(&self) -> &Yard {
        self.yard.as_ref().expect("it is open")
    }

    /// Does something with the yard.
    fn then(&mut self, what: impl FnOnce(Yard) -> Yard) {
        self.yard = self.yard.take().map(what);
    }

    /// A scene in which the owner is connected and nothing is unread.
    fn connected() -> Scene {
        let mut scene = Scene::new();
        scene.connect(ANA);
        scene
    }

    /// The owner asks for a code on the page, and somebody sends it.
    fn connect(&mut self, person: i64) {
        let code = self.code("connect telegram");
        self.fake.says(person, &format!("/start {code}"));
        self.round();
        let told = self.fake.told(person);
        assert!(
            told.last().is_some_and(|text| text.starts_with("You are in")),
            "{told:?}"
        );
    }

    /// The code in the answer to what is said on the page.
    fn code(&mut self, text: &str) -> String {
        self.then(|yard| yard.says(text));
        let answer = self.yard.as_mut().expect("it is open").next_answer();
        let lines: Vec<&str> = answer["text"].as_str().expect("words").lines().collect();
        lines
            .iter()
            .find(|line| line.len() == 14)
            .expect("a line with the code")
            .to_string()
    }

    /// News fetched, worked off, answers sent, until nothing happens any more.
    fn round(&self) {
        self.yard().wait(async {
            let bot = self.messengers.lines.telegram.clone().expect("it is on");
            if !bot.is_webhook() {
                self.messengers.poll_telegram(&bot, 0, 1).await;
            }
            loop {
                let worked = self.messengers.work_off_inbox().await.expect("the book works");
                let sent = self.messengers.send_letters().await.expect("the book works");
                if worked + sent == 0 {
                    break;
                }
            }
        });
    }

    fn later(&mut self, minutes: i64) {
        self.then(|yard| yard.later(minutes));
    }
}

#[test]
fn a_text_is_answered_in_the_chat() {
    let scene = Scene::connected();
    scene.fake.says(ANA, "rate 95");
    scene.fake.says(ANA, "12 small 3 medium crapes at Alder Ct");
    scene.round();
    let told = scene.fake.told(ANA);
    assert_eq!(told.len(), 3, "{told:#?}");
    assert!(told[1].starts_with("Rate: $95.00"), "{}", told[1]);
    assert!(told[2].contains("Total $171.00"), "{}", told[2]);
    assert!(
        scene.yard().page().contains("12 small 3 medium crapes"),
        "it is one conversation"
    );
    scene.round();
    assert_eq!(scene.fake.told(ANA).len(), 3);
    assert_eq!(scene.fake.pending(), 0, "what was taken is left behind");
}

/// P5: the same update again is known, whether it comes at once or after a restart.
#[test]
fn an_update_that_comes_again_is_counted_once() {
    let mut scene = Scene::connected();
    let update = scene.fake.says(ANA, "note gate code 4411");
    scene.fake.again(update.clone());
    scene.round();
    scene.fake.again(update);
    scene.then(|yard| yard.reopens());
    scene.messengers = scene.yard().messengers();
    scene.round();
    assert_eq!(scene.fake.told(ANA).len(), 2);
    assert_eq!(
        scene
            .yard()
            .count("SELECT count(*) FROM message WHERE channel = 'telegram'"),
        1
    );
}

/// P7: whoever is not known gets nothing, and leaves nothing behind.
#[test]
fn strangers_get_silence() {
    let scene = Scene::connected();
    scene.fake.says(666, "12 small crapes");
    scene.fake.says(666, "/start");
    scene.fake.says(666, "0000-0000-0000");
    scene.fake.presses(666, "1:1");
    scene.round();
    assert!(scene.fake.told(666).is_empty());
    assert_eq!(scene.fake.calls("answerCallbackQuery").len(), 0);
    assert_eq!(scene.yard().count("SELECT count(*) FROM waiting WHERE text <> ''"), 0);
    assert_eq!(scene.yard().count("SELECT count(*) FROM chat"), 1);
}

#[test]
fn a_code_works_once_and_for_ten_minutes() {
    let mut scene = Scene::new();
    let code = scene.code("connect telegram");
    scene.later(11);
    scene.fake.says(ANA, &code);
    scene.round();
    assert!(scene.fake.told(ANA).is_empty(), "it is too old");
    let code = scene.code("connect telegram");
    scene.fake.says(ANA, &code.to_lowercase().replace('-', " "));
    scene.fake.says(7, &code);
    scene.round();
    assert_eq!(scene.fake.told(ANA).len(), 1);
    assert!(scene.fake.told(7).is_empty(), "it is used up");
    // The book never held the code.
    let kept: i64 = scene.yard().count(&format!(
        "SELECT count(*) FROM reply WHERE text LIKE '%{code}%' OR json LIKE '%{code}%'"
    ));
    assert_eq!(kept, 0);
    assert_eq!(
        scene
            .yard()
            .count("SELECT count(*) FROM reply WHERE text LIKE '%####-####-####%'"),
        2
    );
}

#[test]
fn five_wrong_tries_use_a_code_up() {
    let mut scene = Scene::new();
    let code = scene.code("connect telegram");
    let wrong = format!("{}0000-0000", &code[..5]);
    assert_ne!(wrong, code);
    for _ in 0..4 {
        scene.fake.says(7, &wrong);
    }
    scene.round();
    scene.fake.says(7, &wrong);
    scene.fake.says(ANA, &code);
    scene.round();
    assert!(
        scene.fake.told(ANA).is_empty(),
        "five wrong tries, and the right one is no good"
    );
    let code = scene.code("connect telegram");
    let wrong = format!("{}0000-0000", &code[..5]);
    for _ in 0..4 {
        scene.fake.says(7, &wrong);
    }
    scene.fake.says(ANA, &code);
    scene.round();
    assert_eq!(scene.fake.told(ANA).len(), 1, "four wrong tries do no harm");
}

#[test]
fn a_helper_is_invited_and_put_out_at_once() {
    let mut scene = Scene::connected();
    let code = scene.code("invite crew Sam");
    scene.fake.says(77, &code);
    scene.fake.says(77, "note the dog bites");
    scene.round();
    assert_eq!(scene.fake.told(77).len(), 2);
    scene.fake.says(77, "put out owner");
    scene.fake.says(77, "invite crew Max");
    scene.round();
    let told = scene.fake.told(77);
    assert!(told[2..].iter().all(|text| text.contains("Only the owner")), "{told:?}");
    // One is already waiting when the owner puts Sam out.
    scene.fake.says(77, "note too late");
    scene.yard().wait(async {
        let bot = scene.messengers.lines.telegram.clone().expect("it is on");
        scene.messengers.poll_telegram(&bot, 0, 1).await;
    });
    scene.then(|yard| {
        yard.says("who is connected")
            .replies("Sam: Telegram")
            .says("put out sam")
            .replies("Sam is out")
    });
    scene.fake.says(77, "12 small crapes");
    scene.round();
    assert_eq!(scene.fake.told(77).len(), 4, "{:?}", scene.fake.told(77));
    assert_eq!(
        scene
            .yard()
            .count("SELECT count(*) FROM message WHERE text = 'note too late'"),
        0
    );
}

#[test]
fn one_person_has_several_accounts_and_an_account_has_one_person() {
    let mut scene = Scene::connected();
    scene.connect(43);
    scene.fake.says(43, "rate 95");
    scene.round();
    scene.fake.says(ANA, "12 small crapes");
    scene.round();
    assert!(scene.fake.told(ANA)[1].contains("$95.00"));
    // Sam's code from Ana's second account makes it Sam's.
    let code = scene.code("invite Sam");
    scene.fake.says(43, &code);
    scene.fake.says(43, "invite crew Max");
    scene.round();
    assert!(
        scene
            .fake
            .told(43)
            .last()
            .is_some_and(|text| text.contains("Only the owner"))
    );
}

#[test]
fn a_question_has_buttons_and_a_press_answers_it() {
    let scene = Scene::connected();
    scene.fake.says(ANA, "5 hollies");
    scene.round();
    let calls = scene.fake.calls("sendMessage");
    let asked = calls.last().expect("it asks");
    let rows = asked.arguments["reply_markup"]["inline_keyboard"]
        .as_array()
        .expect("buttons");
    let buttons: Vec<&Value> = rows.iter().flat_map(|row| row.as_array().expect("a row")).collect();
    let labels: Vec<&str> = buttons
        .iter()
        .map(|button| button["text"].as_str().expect("a label"))
        .collect();
    assert_eq!(labels, ["small", "medium", "large"]);
    let data = buttons[1]["callback_data"].as_str().expect("data").to_string();
    scene.fake.presses(ANA, &data);
    scene.round();
    assert!(
        scene
            .fake
            .told(ANA)
            .last()
            .is_some_and(|text| text.contains("5 holly medium"))
    );
    assert_eq!(scene.fake.calls("answerCallbackQuery").len(), 1);
    // Once more, when the question is closed: nothing is priced twice.
    scene.fake.presses(ANA, &data);
    scene.fake.presses(ANA, "undo:1");
    scene.round();
    let told = scene.fake.told(ANA);
    assert!(
        told[told.len() - 2..]
            .iter()
            .all(|text| text.contains("not open any more")),
        "{told:#?}"
    );
}

/// P2: a button of an old question does not answer a new one.
#[test]
fn a_button_of_an_old_question_answers_nothing() {
    let scene = Scene::connected();
    scene.fake.says(ANA, "5 hollies");
    scene.round();
    let calls = scene.fake.calls("sendMessage");
    let keyboard = &calls.last().expect("it asks").arguments["reply_markup"]["inline_keyboard"];
    let old = keyboard[0][1]["callback_data"].as_str().expect("data").to_string();
    scene.fake.says(ANA, "7 boxwoods");
    scene.fake.presses(ANA, &old);
    scene.round();
    let told = scene.fake.told(ANA);
    assert!(
        told.last().is_some_and(|text| text.contains("not open any more")),
        "{told:#?}"
    );
}

#[test]
fn photos_are_kept_and_a_card_is_a_note() {
    let scene = Scene::connected();
    let jpeg = [b"\xff\xd8\xff\xe0\0\x10JFIF\0".as_slice(), &[1; 500]].concat();
    scene.fake.keeps("P1", &jpeg);
    let photo = json!([{ "file_id": "P1", "file_unique_id": "u", "width": 9, "height": 9, "file_size": jpeg.len() }]);
    scene.fake.message(ANA, json!({ "photo": photo }));
    scene.fake.message(
        ANA,
        json!({ "contact": { "phone_number": "+15555550123", "first_name": "Wren" } }),
    );
    scene.round();
    assert_eq!(
        scene
            .yard()
            .count("SELECT count(*) FROM file WHERE media_type = 'image/jpeg' AND length(bytes) = 511"),
        1
    );
    let told = scene.fake.told(ANA);
    assert!(
        told.last()
            .is_some_and(|text| text.contains("contact Wren, +15555550123")),
        "{told:#?}"
    );
    assert!(!scene.fake.calls("sendChatAction").is_empty());
}

#[test]
fn what_cannot_be_had_is_said_and_holds_nothing_up() {
    let scene = Scene::connected();
    scene.fake.message(
        ANA,
        json!({ "voice": { "file_id": "GONE", "file_unique_id": "u", "duration": 3 } }),
    );
    scene.fake.message(ANA, json!({ "sticker": { "file_id": "S" } }));
    scene.fake.says(ANA, "note gate code 4411");
    scene.round();
    let told = scene.fake.told(ANA);
    assert!(told[1].contains("could not get what you sent"), "{told:#?}");
    assert!(told[2].contains("I can take words, voice notes"), "{told:#?}");
    assert!(told[3].contains("4411"), "{told:#?}");
}

#[test]
fn a_voice_note_waits_for_a_provider_that_is_not_well_and_keeps_its_place() {
    let mut scene = Scene::connected();
    scene
        .fake
        .keeps("V1", b"OggS\0\x02\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0OpusHead");
    scene.fake.refuses("getFile", 502, json!({ "ok": false }));
    scene.fake.message(
        ANA,
        json!({ "voice": { "file_id": "V1", "file_unique_id": "u", "duration": 3 } }),
    );
    scene.fake.says(ANA, "note after the voice note");
    scene.round();
    assert_eq!(scene.fake.told(ANA).len(), 1, "the text waits behind the voice note");
    scene.later(1);
    scene.round();
    let told = scene.fake.told(ANA);
    assert_eq!(told.len(), 3, "{told:#?}");
    assert!(told[2].contains("after the voice note"), "{told:#?}");
    assert_eq!(
        scene
            .yard()
            .count("SELECT count(*) FROM file WHERE media_type LIKE 'audio/%'"),
        1
    );
}

#[test]
fn an_edit_changes_nothing_and_says_so() {
    let scene = Scene::connected();
    let mut update = scene.fake.says(ANA, "12 small crapes");
    scene.round();
    update["update_id"] = json!(9000);
    let message = update["message"].take();
    update["edited_message"] = message;
    update["edited_message"]["text"] = json!("14 small crapes");
    update["edited_message"]["edit_date"] = json!(1_795_000_100);
    update.as_object_mut().expect("an object").remove("message");
    scene.fake.again(update);
    scene.round();
    assert!(
        scene
            .fake
            .told(ANA)
            .last()
            .is_some_and(|text| text.contains("say \"undo\""))
    );
    assert_eq!(
        scene
            .yard()
            .count("SELECT count(*) FROM message WHERE channel = 'telegram'"),
        1
    );
}

/// 429 holds the whole bot back for as long as it says; letters of a chat stay in order.
#[test]
fn a_pause_that_is_asked_for_is_kept_and_order_too() {
    let mut scene = Scene::connected();
    let busy = json!({ "ok": false, "error_code": 429, "description": "Too Many Requests", "parameters": { "retry_after": 90 } });
    scene.fake.refuses("sendMessage", 429, busy);
    scene.fake.says(ANA, "note one");
    scene.fake.says(ANA, "note two");
    scene.round();
    scene.later(1);
    scene.round();
    assert_eq!(scene.fake.told(ANA).len(), 1, "it is not over yet");
    scene.later(1);
    scene.round();
    let told = scene.fake.told(ANA);
    assert_eq!(told.len(), 3);
    assert!(told[1].contains("one") && told[2].contains("two"), "{told:#?}");
}

#[test]
fn what_is_refused_for_good_is_a_dead_letter_that_can_be_sent_again() {
    let mut scene = Scene::connected();
    let blocked = json!({ "ok": false, "error_code": 403, "description": "Forbidden: bot was blocked by the user" });
    scene.fake.refuses("sendMessage", 403, blocked);
    scene.fake.says(ANA, "note one");
    scene.fake.says(ANA, "note two");
    scene.round();
    assert_eq!(scene.fake.told(ANA).len(), 2, "the next one goes out all the same");
    scene.then(|yard| {
        yard.says("what did not arrive")
            .replies("1. owner by Telegram: \"Noted: one\" (Telegram 403: Forbidden: bot was blocked by the user)")
            .says("resend 2")
            .replies("There is no number 2")
            .says("send again")
            .replies("Sending it again")
            .says("undelivered")
            .replies("Nothing got stuck")
    });
    scene.round();
    assert!(scene.fake.told(ANA).last().is_some_and(|text| text.contains("one")));
}

/// The same on the page: what got stuck is listed with its reason, and a button says the words that send it again.
#[test]
fn dead_letters_are_on_the_settings_page() {
    let scene = Scene::connected();
    let settings = |scene: &Scene| scene.yard().gets("/settings", Some(scene.yard().cookie())).body;
    assert!(!settings(&scene).contains("did not arrive"));
    let blocked = json!({ "ok": false, "error_code": 403, "description": "Forbidden: bot was blocked by the user" });
    scene.fake.refuses("sendMessage", 403, blocked);
    scene.fake.says(ANA, "note one");
    scene.round();
    let page = settings(&scene);
    assert!(
        page.contains("Noted: one") && page.contains("bot was blocked by the user"),
        "{page}"
    );
    let form = scene.yard().form_token();
    let cookie = scene.yard().cookie().to_string();
    let body = format!("form={form}&key=k1&line=again&value=again");
    let headers = [
        ("cookie", cookie.as_str()),
        ("content-type", "application/x-www-form-urlencoded"),
    ];
    let given = scene.yard().posts("/settings/set", &headers, body.as_bytes());
    assert_eq!(given.header("location"), "/settings?said=1#news");
    scene.round();
    assert!(scene.fake.told(ANA).last().is_some_and(|text| text.contains("one")));
    assert!(!settings(&scene).contains("did not arrive"));
}

#[test]
fn after_a_day_a_letter_is_given_up() {
    let mut scene = Scene::connected();
    scene.fake.says(ANA, "note one");
    for _ in 0..30 {
        scene.fake.refuses("sendMessage", 502, json!({ "ok": false }));
        scene.round();
        scene.later(60);
    }
    assert_eq!(
        scene
            .yard()
            .count("SELECT count(*) FROM outbox WHERE state = 'given up'"),
        1
    );
}

#[test]
fn two_who_ask_and_a_webhook_that_is_set_are_waited_out() {
    let scene = Scene::connected();
    let conflict =
        json!({ "ok": false, "error_code": 409, "description": "Conflict: terminated by other getUpdates request" });
    scene.fake.refuses("getUpdates", 409, conflict);
    let bot = scene.messengers.lines.telegram.clone().expect("it is on");
    let waited = scene.yard().wait(scene.messengers.poll_telegram(&bot, 0, 1));
    assert_eq!(waited, Round::Wait(30));
    let state = scene
        .yard()
        .wait(scene.yard().handle().channel_state(Channel::Telegram))
        .expect("a state");
    assert!(state.failure.is_some_and(|(_, why)| why.contains("Conflict")));
    scene.fake.refuses(
        "getUpdates",
        429,
        json!({ "ok": false, "parameters": { "retry_after": 7 } }),
    );
    assert_eq!(
        scene.yard().wait(scene.messengers.poll_telegram(&bot, 0, 1)),
        Round::Wait(7)
    );
}

/// Asking, sending and fetching each end by themselves when Telegram takes a call and never answers.
#[test]
fn a_telegram_that_never_answers_is_given_a_while_and_no_more() {
    let mut scene = Scene::connected();
    let wait = std::time::Duration::from_millis(300);
    let waits = Waits {
        connect: wait,
        answer: wait,
        fetch: wait,
    };
    scene.messengers.caller = Caller::new(waits).expect("a client");
    let bot = bot(&scene.fake, None);
    scene.fake.hangs(Some("getUpdates"));
    scene.fake.says(ANA, "note gate code 4411");
    let round = scene.yard().wait(scene.messengers.poll_telegram(&bot, 0, 1));
    assert!(matches!(round, Round::Wait(_)));
    scene.fake.hangs(Some("sendMessage"));
    scene.round();
    let queued = "SELECT count(*) FROM outbox WHERE state = 'queued' AND last_failure LIKE '%took too long'";
    assert_eq!(scene.yard().count(queued), 1, "it was taken in, and its answer waits");
    scene.later(15);
    scene.fake.hangs(Some("getFile"));
    scene.fake.keeps("P1", b"\xff\xd8\xff\xe0 a photo");
    let photo = json!({ "photo": [{ "file_id": "P1", "file_unique_id": "u", "width": 9, "height": 9 }] });
    scene.fake.message(ANA, photo);
    scene.round();
    let waiting = "SELECT count(*) FROM waiting WHERE state = 'waiting' AND last_failure LIKE '%took too long'";
    assert_eq!(scene.yard().count(waiting), 1, "the photo waits");
    scene.fake.hangs(None);
    scene.later(15);
    scene.round();
    assert_eq!(scene.yard().count("SELECT count(*) FROM file"), 1);
    assert_eq!(
        scene.yard().count("SELECT count(*) FROM outbox WHERE state <> 'sent'"),
        0,
        "{:?}",
        scene.fake.told(ANA)
    );
}

#[test]
fn a_webhook_takes_what_carries_the_secret_and_nothing_else() {
    let mut scene = Scene::with(Some("k3y_Only"));
    scene.code("connect telegram");
    let update = |text: &str, id: i64| {
        json!({ "update_id": id, "message": { "message_id": id, "date": 1, "text": text,
            "from": { "id": ANA, "is_bot": false, "first_name": "Ana" }, "chat": { "id": ANA, "type": "private" } } })
    };
    let post = |scene: &Scene, secret: Option<&str>, body: &str| {
        let mut headers = Vec::new();
        headers.extend(secret.map(|secret| ("x-telegram-bot-api-secret-token", secret)));
        scene.yard().posts("/hooks/telegram", &headers, body.as_bytes()).status
    };
    let code = scene.code("connect telegram");
    assert_eq!(post(&scene, None, &update(&code, 1).to_string()), 404);
    assert_eq!(post(&scene, Some("k3y_only"), &update(&code, 1).to_string()), 404);
    assert_eq!(post(&scene, Some("k3y_Only"), &update(&code, 1).to_string()), 200);
    assert_eq!(post(&scene, Some("k3y_Only"), &update("rate 95", 2).to_string()), 200);
    assert_eq!(post(&scene, Some("k3y_Only"), &update("rate 95", 2).to_string()), 200);
    for nonsense in ["", "{", "[]", "null", "{\"update_id\":3}", "\u{1F33F}"] {
        assert_eq!(
            post(&scene, Some("k3y_Only"), nonsense),
            200,
            "{nonsense:?} would come again for a day"
        );
    }
    assert_eq!(post(&scene, Some("k3y_Only"), &"x".repeat(1024 * 1024 + 1)), 413);
    scene.round();
    assert_eq!(scene.fake.told(ANA).len(), 2);
}

/// Acknowledged means kept: what there is no room for is not acknowledged, and nothing behind it is passed over.
#[test]
fn a_flood_is_refused_and_comes_again() {
    let scene = Scene::connected();
    for n in 0..205 {
        scene.fake.says(ANA, &format!("note number {n}"));
    }
    let bot = scene.messengers.lines.telegram.clone().expect("it is on");
    let poll = || scene.yard().wait(scene.messengers.poll_telegram(&bot, 0, 1));
    assert_eq!(poll(), Round::Brought(100));
    assert_eq!(poll(), Round::Brought(100));
    assert_eq!(poll(), Round::Wait(1), "200 wait");
    scene.round();
    scene.round();
    assert_eq!(scene.fake.told(ANA).len(), 206);
    let order: Vec<String> = (0..205).map(|n| format!("Noted: number {n}")).collect();
    assert_eq!(scene.fake.told(ANA)[1..], order);
}

#[test]
fn a_claim_says_what_became_of_each() {
    let scene = Scene::connected();
    let bot = scene.messengers.lines.telegram.clone().expect("it is on");
    let known = bot.read_call(scene.fake.says(ANA, "note x").to_string().as_bytes());
    let stranger = bot.read_call(scene.fake.says(5, "note x").to_string().as_bytes());
    let brought = [known.clone(), stranger, known]
        .into_iter()
        .map(|one| (None, one.expect("an update").expect("a message")))
        .collect();
    let now = tallyhand::web::Clock::now(&*scene.yard().clock());
    let claimed = scene
        .yard()
        .wait(scene.yard().handle().claim(Channel::Telegram, brought, None, now));
    assert_eq!(
        claimed.expect("the book works"),
        [Claimed::Kept, Claimed::Stranger, Claimed::Again]
    );
    scene.round();
    let _: &Arc<Lines> = &scene.messengers.lines;
}

/// Sent without a signal: `here` and `done` count at the times that the Bot API gives them (`date` of a Message, in unix
/// seconds), though they came late and together. A time ahead or too long ago is not believed.
#[test]
fn what_was_sent_without_a_signal_counts_at_its_own_time() {
    let mut scene = Scene::connected();
    scene.then(|yard| {
        yard.says("rate 120")
            .says("mow 80 min")
            .says("mow at Alder Ct")
            .says("won")
            .whatever()
    });
    let now = tallyhand::web::Clock::now(scene.yard().clock().as_ref()).unix_seconds();
    scene
        .fake
        .message(ANA, json!({ "text": "here with 2 guys", "date": now - 50 * 60 }));
    scene
        .fake
        .message(ANA, json!({ "text": "done", "date": now - 10 * 60 }));
    scene.round();
    let told = scene.fake.told(ANA);
    assert!(
        told.last()
            .is_some_and(|text| text.contains("40 min by the clock x 2 people (the job's crew) = 80 man-min")),
        "{told:?}"
    );
    scene.then(|yard| yard.says("mow at Birch Rd").says("won").whatever());
    scene.fake.message(ANA, json!({ "text": "here", "date": now + 3600 }));
    scene.round();
    scene.then(|yard| yard.later(25));
    scene
        .fake
        .message(ANA, json!({ "text": "done", "date": now - 8 * 24 * 3600 }));
    scene.round();
    let told = scene.fake.told(ANA);
    assert!(
        told.last()
            .is_some_and(|text| text.contains("25 min by the clock, 1 person")),
        "{told:?}"
    );
}

/// A clock that runs for more than a day's work is asked about by itself, once, where its `here` came from.
#[test]
fn a_forgotten_clock_is_asked_about_unasked() {
    let mut scene = Scene::connected();
    scene.fake.says(ANA, "mow at Alder Ct");
    scene.fake.says(ANA, "here");
    scene.round();
    let nudged = |scene: &Scene| {
        scene.yard().wait(scene.messengers.nudge()).expect("the book works");
        scene.round();
        scene.fake.told(ANA)
    };
    let before = nudged(&scene).len();
    scene.later(9 * 60 + 5);
    let told = nudged(&scene);
    assert_eq!(told.len(), before + 1, "{told:?}");
    let last = told.last().expect("a letter");
    assert!(
        last.contains("you have been at Alder Ct") && last.contains("9 h 5 min"),
        "{last}"
    );
    scene.later(60);
    assert_eq!(nudged(&scene).len(), before + 1, "once");
    scene.fake.says(ANA, "done at 4");
    scene.round();
    assert_eq!(
        nudged(&scene).len(),
        before + 2,
        "the answer to the finish, and no more"
    );
}
