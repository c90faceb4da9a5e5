//! A day of two people and every way in, by chance: messages that come twice, out of order, cut short and in the wrong
//! charset, strangers, providers that refuse, fail, ask for pauses, say nothing, lose their answers or report afterwards that
//! nothing arrived, files that cannot be had, work cut off at any instant, restarts, and a clock that jumps.
//!
//! A seed decides everything but the instant at which work is cut off, so a failure can be repeated: it prints its seed, and the
//! seed joins [`SEEDS`]. `TALLYHAND_SIMULATIONS=1000` runs so many more.

mod sides;
mod traffic;

use std::collections::{BTreeMap, BTreeSet};

use rand::{RngExt, SeedableRng, rngs::SmallRng};
use tallyhand::{
    channels::{Channel, signed::Secret},
    runtime::{Caller, Carrier, Messengers, Waits, deliver_due},
    store,
};

use crate::support::{SECRET, Yard};
use sides::{Arrived, Fault, Sides, Way, Who};
use traffic::{Call, Manner, deliver, report, say};

/// Seeds that are always run.
const SEEDS: [u64; 20] = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20];

/// Steps of one run.
const STEPS: usize = 160;

/// People and ways by which most is said in one run.
const BUSY: usize = 4;

/// Rounds after which everything has to be through.
const ROUNDS_MAX: usize = 60;

/// Moments after which work is cut off, at most.
const MOMENTS_MAX: u32 = 3000;

/// What is said beside the number of a message: letters of every alphabet that a charset may lose.
const BESIDE: [&str; 4] = ["", " \u{e9}t\u{e9}", " 40 ft", " \u{1f33f}"];

#[test]
fn nothing_is_lost_nothing_is_doubled_and_order_is_kept() {
    let more: u64 = std::env::var("TALLYHAND_SIMULATIONS")
        .ok()
        .and_then(|count| count.parse().ok())
        .unwrap_or(0);
    let seeds: Vec<u64> = SEEDS.into_iter().chain(1000..1000 + more).collect();
    // Two at once: much of a run is waiting for a provider that says nothing.
    let (went, failed): (Vec<Tally>, Vec<u64>) = std::thread::scope(|scope| {
        let halves: Vec<_> = (0..2)
            .map(|half| {
                let own: Vec<u64> = seeds.iter().copied().skip(half).step_by(2).collect();
                scope.spawn(move || {
                    let run = |seed: u64| std::panic::catch_unwind(|| run(seed)).map_err(|_| seed);
                    own.into_iter().map(run).collect::<Vec<_>>()
                })
            })
            .collect();
        let ended = halves
            .into_iter()
            .flat_map(|half| half.join().expect("panics are caught in there"));
        let (went, failed): (Vec<_>, Vec<_>) = ended.partition(Result::is_ok);
        (
            went.into_iter().flatten().collect(),
            failed.into_iter().filter_map(Result::err).collect(),
        )
    });
    assert!(failed.is_empty(), "these seeds failed: {failed:?}");
    let all = went.into_iter().fold(Tally::default(), Tally::and);
    eprintln!("{} seeds: {all:?}", seeds.len());
    assert!(all.is_much(), "too little went wrong to show anything: {all:?}");
}

/// What went wrong and was made good in a run, so that a simulation in which nothing happens is seen.
#[derive(Debug, Default, Clone, Copy)]
struct Tally {
    messages: usize,
    brought_again: usize,
    refused: usize,
    restarts: usize,
    sent_again_in_doubt: usize,
    given_up_and_sent_again: usize,
    photos_missing: usize,
}

impl Tally {
    fn and(self, other: Tally) -> Tally {
        Tally {
            messages: self.messages + other.messages,
            brought_again: self.brought_again + other.brought_again,
            refused: self.refused + other.refused,
            restarts: self.restarts + other.restarts,
            sent_again_in_doubt: self.sent_again_in_doubt + other.sent_again_in_doubt,
            given_up_and_sent_again: self.given_up_and_sent_again + other.given_up_and_sent_again,
            photos_missing: self.photos_missing + other.photos_missing,
        }
    }

    fn is_much(self) -> bool {
        let least = SEEDS.len();
        self.messages > 20 * least
            && self.brought_again > least
            && self.refused > least
            && self.restarts > least
            && self.sent_again_in_doubt > least
            && self.given_up_and_sent_again > least
            && self.photos_missing > least / 2
    }
}

struct Day {
    yard: Option<Yard>,
    sides: Sides,
    messengers: Messengers,
    carrier: Carrier,
    chance: SmallRng,
    telegram_calls: bool,
    /// Calls that were made once at least and taken.
    made: Vec<Call>,
    /// Calls that are still under way, in the order in which their messages were written.
    under_way: Vec<Call>,
    /// Numbers of each one's messages in the order in which they were taken, and the texts.
    taken: BTreeMap<Who, Vec<(u32, String)>>,
    said: BTreeMap<Who, u32>,
    photos: i64,
    /// First answers of the signed webhook by id.
    answers: BTreeMap<String, String>,
    /// Who has much to say that day.
    busy: Vec<Who>,
    tally: Tally,
}

impl Day {
    fn yard(&self) -> &Yard {
        self.yard.as_ref().expect("it is open")
    }

    fn then(&mut self, what: impl FnOnce(Yard) -> Yard) {
        self.yard = self.yard.take().map(what);
    }
}

fn run(seed: u64) -> Tally {
    let mut day = begin(seed);
    for _ in 0..STEPS {
        day = step(day);
    }
    finish(day)
}

fn carrier(yard: &Yard, sides: &Sides) -> Carrier {
    let url = sides.callback_url().parse().expect("an address");
    let secrets = vec![Secret::parse(SECRET).expect("a secret")];
    let ids = std::sync::Arc::clone(&yard.deps().ids);
    Carrier::new(yard.handle(), yard.clock(), ids, url, secrets).expect("a client")
}

fn begin(seed: u64) -> Day {
    let telegram_calls = seed.is_multiple_of(3);
    let mut started = None;
    let yard = Yard::with_lines_and_callback(|runtime| {
        let sides = runtime.block_on(Sides::start(telegram_calls));
        let lines = sides.lines();
        started = Some(sides);
        lines
    });
    let sides = started.expect("they were started");
    let mut day = Day {
        messengers: yard.messengers(),
        carrier: carrier(&yard, &sides),
        chance: SmallRng::seed_from_u64(seed),
        yard: Some(yard),
        sides,
        telegram_calls,
        made: Vec::new(),
        under_way: Vec::new(),
        taken: BTreeMap::new(),
        said: BTreeMap::new(),
        photos: 0,
        answers: BTreeMap::new(),
        busy: Vec::new(),
        tally: Tally::default(),
    };
    // The first asking only finds out where the end is.
    poll(&day);
    let invited = day.yard().posts_signed("invite", br#"{"text":"invite crew Sam"}"#);
    assert_eq!(invited.status, 200, "{}", invited.body);
    for way in Way::ALL.into_iter().filter(|way| *way != Way::Signed) {
        for person in 0..2 {
            connect(&mut day, Who { way, person });
        }
    }
    settle(&mut day);
    for _ in 0..BUSY {
        let way = Way::ALL[day.chance.random_range(0..Way::ALL.len())];
        let person = day.chance.random_range(0..2);
        day.busy.push(Who { way, person });
    }
    day
}

/// Somebody asks for a code by the signed webhook, and sends it by a messenger.
fn connect(day: &mut Day, who: Who) {
    let name = Who {
        way: Way::Signed,
        ..who
    }
    .address();
    let body = serde_json::json!({ "text": format!("connect {}", who.way.code()), "from": name }).to_string();
    let given = day.yard().posts_signed(&format!("connect_{who}"), body.as_bytes());
    let answer: serde_json::Value = serde_json::from_str(&given.body).expect("an answer");
    let words = answer["text"].as_str().unwrap_or_default();
    let code = words.lines().find(|line| line.len() == 14);
    let code = code.unwrap_or_else(|| panic!("no code for {who}: {words}"));
    let call = say(&day.sides, &mut day.chance, who, &format!("code_{who}"), code, false);
    if by_call(day, who.way) {
        assert_eq!(deliver(day.yard(), &call, Manner::Whole).status / 100, 2);
    }
}

/// Whether a way's provider calls us; else it is asked.
fn by_call(day: &Day, way: Way) -> bool {
    match way {
        Way::Matrix => false,
        Way::Telegram => day.telegram_calls,
        _ => true,
    }
}

fn step(mut day: Day) -> Day {
    match day.chance.random_range(0..40) {
        0..=8 => write(&mut day),
        9..=12 => bring(&mut day, Manner::Whole),
        13 => bring_again(&mut day),
        14 => {
            let manner = [Manner::Broken, Manner::Forged][day.chance.random_range(0..2)];
            bring(&mut day, manner);
        }
        15 => be_strange(&mut day),
        16..=19 => trouble(&mut day),
        20 => day
            .sides
            .gives_no_news([500, 502, 503, 429, 409][day.chance.random_range(0..5)]),
        21 | 22 => day
            .sides
            .gives_no_file([404, 500, 404, 429][day.chance.random_range(0..4)]),
        23 => restart(&mut day),
        24 | 25 => {
            let jumps = day.chance.random_range(0..40) == 0;
            let minutes = if jumps { 25 * 60 } else { day.chance.random_range(-2..6) };
            day.then(|yard| yard.later(minutes));
        }
        26..=28 => poll(&day),
        29..=31 => work(&day, true, false),
        32 | 33 => work(&day, false, true),
        34 | 35 => {
            for _ in 0..day.chance.random_range(1..5) {
                work(&day, true, true);
            }
        }
        36 => carry(&day),
        37 => cut_off(&mut day),
        38 => bounce(&mut day),
        _ => be_silent(&mut day),
    }
    day
}

/// Somebody says something; now and then they send a photo with it.
fn write(day: &mut Day) {
    let who = anybody(day);
    write_as(day, who);
}

/// Mostly one of the few who have much to say that day, so that messages queue up and troubles meet them.
fn anybody(day: &mut Day) -> Who {
    if day.chance.random_range(0..5) > 0 {
        return day.busy[day.chance.random_range(0..day.busy.len())];
    }
    let way = Way::ALL[day.chance.random_range(0..Way::ALL.len())];
    let person = day.chance.random_range(0..2);
    Who { way, person }
}

fn write_as(day: &mut Day, who: Who) {
    let number = day.said.entry(who).or_default();
    *number += 1;
    let (number, beside) = (*number, BESIDE[day.chance.random_range(0..BESIDE.len())]);
    let with_photo = !matches!(who.way, Way::Gateway | Way::Signed) && day.chance.random_range(0..4) == 0;
    let text = format!("note {number} of {who}{beside}");
    let id = format!("{who}n{number}");
    let call = say(&day.sides, &mut day.chance, who, &id, &text, with_photo);
    day.photos += i64::from(with_photo);
    if by_call(day, who.way) {
        day.under_way.push(call);
    } else {
        let text = call.text.clone();
        day.taken.entry(who).or_default().push((number, text));
        day.made.push(call);
    }
}

/// Brings one of the calls that are under way.
fn bring(day: &mut Day, manner: Manner) {
    if day.under_way.is_empty() {
        return;
    }
    let at = day.chance.random_range(0..day.under_way.len());
    let call = day.under_way[at].clone();
    let given = deliver(day.yard(), &call, manner);
    if manner != Manner::Whole {
        assert_ne!(given.status / 100, 2, "{manner:?} {call:?} was taken");
        day.tally.refused += 1;
        return;
    }
    assert_eq!(given.status / 100, 2, "{call:?}: {}", given.body);
    day.under_way.remove(at);
    let number: u32 = call
        .text
        .split(' ')
        .nth(1)
        .and_then(|number| number.parse().ok())
        .expect("a number");
    let taken = day.taken.entry(call.who).or_default();
    taken.push((number, call.text.clone()));
    if call.who.way == Way::Signed {
        assert!(
            given.body.contains(&format!("Noted: {number} of {}", call.who)),
            "{}",
            given.body
        );
        day.answers.insert(call.id.clone(), given.body);
    }
    day.made.push(call);
}

/// Brings a call that was taken before once more.
fn bring_again(day: &mut Day) {
    if day.made.is_empty() {
        return;
    }
    let call = day.made[day.chance.random_range(0..day.made.len())].clone();
    day.tally.brought_again += 1;
    if by_call(day, call.who.way) {
        let given = deliver(day.yard(), &call, Manner::Whole);
        assert_eq!(given.status / 100, 2, "{call:?} again");
        if let Some(first) = day.answers.get(&call.id) {
            assert_eq!(&given.body, first, "the first answer again");
        }
    } else {
        call.again(&day.sides);
    }
}

/// Somebody speaks whom nobody knows.
fn be_strange(day: &mut Day) {
    let way = Way::ALL[day.chance.random_range(0..Way::ALL.len())];
    let who = Who { way, person: 2 };
    let number = day.chance.random_range(0..1000);
    let call = say(
        &day.sides,
        &mut day.chance,
        who,
        &format!("{who}n{number}"),
        "12 small crapes",
        false,
    );
    if by_call(day, way) {
        let given = deliver(day.yard(), &call, Manner::Whole);
        assert!(way == Way::Signed || given.status / 100 == 2, "{who}: {}", given.status);
    }
}

/// The next thing that is sent to somebody goes wrong.
fn trouble(day: &mut Day) {
    let mut who = anybody(day);
    if who.way == Way::Signed {
        // The other program, which is told everything.
        who.person = 0;
    }
    let fault = match day.chance.random_range(0..9) {
        0 | 1 => Fault::Status([500, 502, 503][day.chance.random_range(0..3)]),
        2 => Fault::Busy,
        3 | 4 => Fault::Never,
        5 => Fault::Bounced,
        6 => Fault::Cut,
        _ => Fault::Lost,
    };
    day.sides.faults(who, fault);
}

fn restart(day: &mut Day) {
    day.tally.restarts += 1;
    day.then(Yard::reopens);
    day.messengers = day.yard().messengers();
    day.carrier = carrier(day.yard(), &day.sides);
}

fn poll(day: &Day) {
    let lines = &day.messengers.lines;
    if !day.telegram_calls {
        let bot = lines.telegram.clone().expect("it is on");
        day.yard().wait(day.messengers.poll_telegram(&bot, 0, 1));
    }
    let matrix = lines.matrix.clone().expect("it is on");
    day.yard().wait(day.messengers.sync_matrix(&matrix, 0, 1));
}

fn work(day: &Day, inbox: bool, letters: bool) {
    if inbox {
        day.yard()
            .wait(day.messengers.work_off_inbox())
            .expect("the book works");
    }
    if letters {
        day.yard().wait(day.messengers.send_letters()).expect("the book works");
    }
}

fn carry(day: &Day) {
    day.yard().wait(deliver_due(&day.carrier)).expect("the book works");
}

/// The power goes while something is done: at any instant, between two steps or in the middle of one.
fn cut_off(day: &mut Day) {
    let moments = day.chance.random_range(0..MOMENTS_MAX);
    let moments = moments >> day.chance.random_range(0..8);
    day.sides.doubts(true);
    day.yard().wait(async {
        let everything = async {
            let matrix = day.messengers.lines.matrix.clone().expect("it is on");
            day.messengers.sync_matrix(&matrix, 0, 1).await;
            let _ = tokio::join!(
                day.messengers.work_off_inbox(),
                day.messengers.send_letters(),
                deliver_due(&day.carrier)
            );
        };
        tokio::select! {
            () = everything => {}
            () = async { for _ in 0..moments { tokio::task::yield_now().await; } } => {}
        }
    });
    restart(day);
    day.sides.doubts(false);
}

/// Providers report what did not arrive, twice.
fn bounce(day: &mut Day) {
    for (who, id) in day.sides.bounces() {
        for _ in 0..2 {
            assert_eq!(report(day.yard(), who.way, &id).status / 100, 2);
        }
    }
}

/// Somebody's provider says nothing for a while. What else is sent meanwhile may be taken for lost too.
fn be_silent(day: &mut Day) {
    let who = anybody(day);
    if who.way == Way::Signed {
        return;
    }
    let taken = day.chance.random_range(0..2) == 0;
    let wait = std::time::Duration::from_millis(80);
    let waits = Waits {
        connect: wait,
        answer: wait,
        fetch: wait,
    };
    day.sides.faults(who, Fault::Silent { taken });
    day.sides.doubts(true);
    let usual = std::mem::replace(&mut day.messengers.caller, Caller::new(waits).expect("a client"));
    work(day, false, true);
    day.messengers.caller = usual;
    day.sides.doubts(false);
    day.sides.speaks_again();
}

/// Everything goes on without trouble until nothing is open any more.
fn settle(day: &mut Day) {
    for _ in 0..ROUNDS_MAX {
        poll(day);
        work(day, true, true);
        carry(day);
        let place = day
            .yard()
            .wait(day.yard().handle().cursor(Channel::Matrix))
            .expect("the book works");
        let open = "SELECT (SELECT count(*) FROM waiting WHERE state = 'waiting')
            + (SELECT count(*) FROM outbox WHERE state = 'queued' AND chat_id IS NOT NULL)";
        if day.sides.has_told_all(&place.unwrap_or_default()) && day.yard().count(open) == 0 {
            return;
        }
        day.then(|yard| yard.later(5));
    }
    panic!("it does not come to an end");
}

fn finish(mut day: Day) -> Tally {
    day.sides.recovers();
    // A last word of everybody: whoever was silent for long is open again.
    for way in Way::ALL {
        for person in 0..2 {
            write_as(&mut day, Who { way, person });
        }
    }
    while !day.under_way.is_empty() {
        bring(&mut day, Manner::Whole);
    }
    settle(&mut day);
    bounce(&mut day);
    settle(&mut day);
    let undelivered = check_first_round(&day);
    if undelivered > 0 {
        day.then(|yard| {
            yard.says("undelivered")
                .replies("Noted: ")
                .says("send again")
                .replies("Sending")
        });
        settle(&mut day);
        bounce(&mut day);
    }
    day.tally.given_up_and_sent_again = undelivered;
    day.tally.messages = day.taken.values().map(Vec::len).sum();
    check_second_round(&mut day);
    let tally = day.tally;
    check_callback(day);
    tally
}

/// Everything was stored once and in order, and answered in order or given up; gives how many answers were given up.
fn check_first_round(day: &Day) -> usize {
    let faults = store::check(day.yard().book()).expect("it can be checked");
    assert!(faults.is_empty(), "{faults:#?}");
    let given_up = day.yard().texts(
        "SELECT message.text FROM outbox JOIN message ON message.position = outbox.message_position
        WHERE outbox.state = 'given up' AND outbox.chat_id IS NOT NULL",
    );
    for way in Way::ALL {
        let of_way = format!(
            "SELECT text FROM message WHERE channel = '{}' ORDER BY position",
            way.code()
        );
        let kept: Vec<String> = day.yard().texts(&of_way);
        for person in 0..2 {
            let who = Who { way, person };
            let taken = &day.taken[&who];
            let own = format!(" of {who}");
            let kept: Vec<&String> = kept.iter().filter(|text| text.contains(&own)).collect();
            let wanted: Vec<&String> = taken.iter().map(|(_, text)| text).collect();
            assert_eq!(kept, wanted, "{who}: each stored once, in order");
            if way == Way::Signed {
                continue;
            }
            let arrived = numbers(&day.sides.arrived(who), who);
            let mut rest = taken.iter().map(|(number, _)| *number);
            for number in &arrived {
                assert!(
                    rest.any(|taken| taken == *number),
                    "{who}: {arrived:?} is not in the order of {taken:?}"
                );
            }
            for (number, text) in taken {
                let (arrived, given_up) = (arrived.contains(number), given_up.contains(text));
                assert!(
                    arrived || given_up,
                    "{who}: no answer to {number}, and nobody can see it"
                );
            }
        }
    }
    assert!(kept_strangers_out(day), "a stranger was heard or told");
    given_up.len()
}

/// What was sent again arrived as well, and nothing arrived twice that did not have to be sent twice.
fn check_second_round(day: &mut Day) {
    let photos = day
        .yard()
        .count("SELECT count(*) FROM file WHERE media_type = 'image/jpeg'");
    let missing = day
        .yard()
        .count("SELECT count(*) FROM outbox WHERE words LIKE '%could not get%what you sent%'");
    assert_eq!(
        photos + missing,
        day.photos,
        "each photo is kept, or is said to be missing"
    );
    day.tally.photos_missing = usize::try_from(missing).expect("few");
    assert_eq!(
        day.yard()
            .count("SELECT count(*) FROM outbox WHERE state <> 'sent' AND chat_id IS NOT NULL"),
        0
    );
    for way in Way::ALL.into_iter().filter(|way| *way != Way::Signed) {
        for person in 0..2 {
            let who = Who { way, person };
            let arrived = day.sides.arrived(who);
            let all: BTreeSet<u32> = numbers(&arrived, who).into_iter().collect();
            let wanted: BTreeSet<u32> = day.taken[&who].iter().map(|(number, _)| *number).collect();
            assert_eq!(all, wanted, "{who}: every answer arrived in the end");
            for number in wanted {
                let is_it = |one: &&Arrived| number_of(&one.text, who) == Some(number) && !one.bounced;
                let copies: Vec<&Arrived> = arrived.iter().filter(is_it).collect();
                let sure = copies.iter().take(copies.len() - 1).filter(|one| !one.doubtful).count();
                assert_eq!(sure, 0, "{who}: {number} was sent again without need: {copies:?}");
                day.tally.sent_again_in_doubt += copies.len() - 1;
            }
        }
    }
}

/// Every message's answer was carried to the other program, once unless that was in doubt.
fn check_callback(mut day: Day) {
    let open = "SELECT count(*) FROM outbox WHERE state = 'queued' AND chat_id IS NULL";
    for _ in 0..ROUNDS_MAX {
        carry(&day);
        if day.yard().count(open) == 0 {
            break;
        }
        day.then(|yard| yard.later(60));
    }
    let carried = day.sides.carried();
    let messages = day.yard().count("SELECT count(*) FROM message");
    assert_eq!(i64::try_from(carried.len()), Ok(messages), "every answer is carried");
    for (id, times) in carried {
        let sure = times
            .iter()
            .take(times.len() - 1)
            .filter(|doubtful| !**doubtful)
            .count();
        assert_eq!(sure, 0, "{id} was carried again without need: {times:?}");
    }
}

fn kept_strangers_out(day: &Day) -> bool {
    let told = Way::ALL
        .into_iter()
        .any(|way| !day.sides.arrived(Who { way, person: 2 }).is_empty());
    let heard = day
        .yard()
        .count("SELECT count(*) FROM message WHERE text LIKE '%small crapes%'");
    let waits = day
        .yard()
        .count("SELECT count(*) FROM waiting WHERE chat_id NOT IN (SELECT id FROM chat)");
    !told && heard == 0 && waits == 0
}

/// Numbers of the messages whose answers arrived, in the order in which each first did.
fn numbers(arrived: &[Arrived], who: Who) -> Vec<u32> {
    let mut numbers = Vec::new();
    for number in arrived
        .iter()
        .filter(|one| !one.bounced)
        .filter_map(|one| number_of(&one.text, who))
    {
        if !numbers.contains(&number) {
            numbers.push(number);
        }
    }
    numbers
}

/// The number of the message that words answer.
fn number_of(text: &str, who: Who) -> Option<u32> {
    let (_, rest) = text.split_once("Noted: ")?;
    let (number, whose) = rest.split_once(" of ")?;
    assert!(
        whose.starts_with(&who.to_string()),
        "{who} is told what is not theirs: {text}"
    );
    number.parse().ok()
}
