//! A gateway of one's own from outside: its calls, and a stand-in for where it takes messages.

use tallyhand::channels::{Channel, Hidden, Lines, gateway::Gateway};

use super::{Scene, impatient};
use crate::support::{Said, Seen, cut};

fn scene() -> Scene {
    let takes = |_: &Seen| -> Said { (202, Vec::new(), b"0: Accepted for delivery".to_vec()) };
    Scene::new(takes, |url| Lines {
        gateway: Some(Gateway {
            key: Hidden::new("k3y"),
            send_url: format!("{url}/cgi-bin/sendsms"),
            user: "tester".into(),
            password: Hidden::new("foobar"),
            number: "15550100".into(),
        }),
        ..Lines::default()
    })
}

#[test]
fn a_text_comes_by_get_and_is_answered_by_get() {
    let mut scene = scene();
    let code = scene.code("connect gateway");
    let get = |scene: &Scene, query: &str| scene.yard().gets(&format!("/hooks/gateway?{query}"), None);
    let given = get(&scene, &format!("key=k3y&from=15550123&id=1&text={code}"));
    assert_eq!(
        (given.status, given.body.as_str()),
        (200, ""),
        "a body would go to the phone"
    );
    for _ in 0..3 {
        get(
            &scene,
            "key=k3y&from=15550123&id=2&text=note+gate+code+4411&charset=UTF-8",
        );
    }
    assert_eq!(get(&scene, "key=no&from=15550123&id=3&text=undo").status, 404);
    assert!(scene.failure(Channel::Gateway).contains("another key than gateway_key"));
    scene.then(|yard| yard.later(2));
    assert_eq!(get(&scene, "key=k3y&from=15550123&text=undo").status, 200);
    assert!(scene.failure(Channel::Gateway).contains("without from or id"));
    assert_eq!(
        get(&scene, "key=k3y&from=15550999&id=4&text=12+small+crapes").status,
        200
    );
    scene.round();
    let texts: Vec<Option<String>> = scene
        .provider
        .seen("/cgi-bin/sendsms")
        .iter()
        .map(|one| one.field("text"))
        .collect();
    assert_eq!(texts.len(), 2, "{texts:?}");
    assert_eq!(texts[1].as_deref(), Some("Noted: gate code 4411"));
    // Nobody else says goodbye for a gateway of one's own.
    get(&scene, "key=k3y&from=15550123&id=5&text=STOP");
    get(&scene, "key=k3y&from=15550123&id=6&text=note+x");
    scene.round();
    let seen = scene.provider.seen("/cgi-bin/sendsms");
    assert_eq!(seen.len(), 3);
    assert!(
        seen[2]
            .field("text")
            .is_some_and(|text| text.contains("START brings them back"))
    );
}

/// A provider that takes a letter and never says so: the letter stays queued, and chats of other people go on.
#[test]
fn a_gateway_that_never_answers_is_given_a_while_and_no_more() {
    let mut scene = scene();
    scene.messengers.caller = impatient();
    let code = scene.code("connect gateway");
    let get = |scene: &Scene, query: &str| scene.yard().gets(&format!("/hooks/gateway?{query}"), None).status;
    get(&scene, &format!("key=k3y&from=15550123&id=1&text={code}"));
    for begun in [false, true] {
        scene.provider.hangs("/cgi-bin/sendsms", begun);
        scene.round();
        let state = scene
            .yard()
            .wait(scene.yard().handle().channel_state(Channel::Gateway))
            .expect("a state");
        assert_eq!((state.queued, state.given_up), (1, 0));
        assert!(
            state.failure.is_some_and(|(_, why)| why.contains("took too long")),
            "begun: {begun}"
        );
        scene.then(|yard| yard.later(15));
    }
    scene.provider.hangs_no_more();
    scene.round();
    let state = scene.yard().wait(scene.yard().handle().channel_state(Channel::Gateway));
    assert_eq!(state.expect("a state").queued, 0);
}

/// A provider that is down, slow to come back or cuts its answers short costs time and nothing else.
#[test]
fn a_gateway_that_is_down_is_waited_for() {
    let mut scene = scene();
    let code = scene.code("connect gateway");
    let get = |scene: &Scene, query: &str| scene.yard().gets(&format!("/hooks/gateway?{query}"), None).status;
    get(&scene, &format!("key=k3y&from=15550123&id=1&text={code}"));
    for status in [500, 503, 429] {
        scene.provider.answers(move |_| (status, Vec::new(), Vec::new()));
        scene.round();
        scene.then(|yard| yard.later(15));
    }
    // An answer that ends before it should: it may have been taken or not, so it is tried again.
    scene
        .provider
        .answers(|_| cut((202, Vec::new(), b"0: Accepted".to_vec())));
    scene.round();
    scene.then(|yard| yard.later(15));
    let state = scene
        .yard()
        .wait(scene.yard().handle().channel_state(Channel::Gateway))
        .expect("a state");
    assert_eq!((state.queued, state.given_up), (1, 0));
    assert!(state.failure.is_some());
    scene
        .provider
        .answers(|_| (202, Vec::new(), b"0: Accepted for delivery".to_vec()));
    scene.round();
    let state = scene
        .yard()
        .wait(scene.yard().handle().channel_state(Channel::Gateway))
        .expect("a state");
    assert_eq!((state.queued, state.given_up), (0, 0));
}

/// Words are taken in though their messenger was switched off since; the answer waits until it is on again.
#[test]
fn what_was_taken_is_not_lost_when_its_messenger_is_switched_off() {
    let mut scene = scene();
    let code = scene.code("connect gateway");
    let get = |scene: &Scene, query: &str| scene.yard().gets(&format!("/hooks/gateway?{query}"), None).status;
    get(&scene, &format!("key=k3y&from=15550123&id=1&text={code}"));
    scene.round();
    get(&scene, "key=k3y&from=15550123&id=2&text=note+gate+code+4411");
    let on = std::mem::replace(&mut scene.messengers.lines, std::sync::Arc::new(Lines::default()));
    scene.then(|yard| yard.later(60));
    scene.round();
    assert_eq!(
        scene.yard().texts("SELECT text FROM message WHERE channel = 'gateway'"),
        ["note gate code 4411"]
    );
    scene.messengers.lines = on;
    scene.then(|yard| yard.later(60));
    scene.round();
    let last = scene
        .provider
        .seen("/cgi-bin/sendsms")
        .pop()
        .and_then(|one| one.field("text"));
    assert_eq!(last.as_deref(), Some("Noted: gate code 4411"));
}
