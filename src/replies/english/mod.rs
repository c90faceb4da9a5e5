//! The words of every answer, in English.
//!
//! Each part of an answer has one place that words it, and the compiler knows when a part has none. Answers are plain
//! ASCII, short lines, so that they go out as text messages as well.

mod asks;
mod client;
mod costs;
mod guide;
mod hearing;
mod house;
mod jobs;
mod lists;
mod quote;
mod season;
mod settings;
mod solved;
mod why;
mod words;

pub(super) use asks::{label, question};
pub use client::ClientWords;
pub(super) use client::{text as client_text, words as client_words};
pub(super) use guide::{out_of_season, verdict_code};
pub(super) use house::{
    answers_again, cannot_take, connected, edited, not_all_fetched, not_fetched, question_closed, silenced, too_large,
    too_long,
};
pub(super) use season::{forgotten, reminder_text as reminder};

use self::words::{capital, clipped, joined, money, rate};
use crate::conversation::{Answer, Attachment, Kind, Part, Picture, TakenBack, UndoneShown};

/// The whole answer.
pub(super) fn answer(answer: &Answer) -> String {
    let mut text = String::new();
    let mut set_before = false;
    let file_made = answer.parts.iter().any(|part| matches!(part, Part::FileMade { .. }));
    for shown in &answer.parts {
        // A file that was asked for is told of already.
        let told = file_made && matches!(shown, Part::Attachment(Attachment::Table(_)));
        let words = if told { String::new() } else { part(shown) };
        let set = matches!(shown, Part::Set(_));
        if !text.is_empty() && !words.is_empty() {
            // Figures set in one breath are said back in one line.
            text.push(if set && set_before { ' ' } else { '\n' });
        }
        text.push_str(&words);
        set_before = set;
    }
    text
}

/// What is said when handling a message failed.
pub(super) fn failed() -> String {
    "Something went wrong here and I did not take that in. Nothing was changed. Please say it again.".to_string()
}

fn part(part: &Part) -> String {
    match part {
        Part::Set(shown) => settings::figure(shown),
        Part::ServicePriced(shown) => settings::priced_service(shown),
        Part::ServiceRate { service, rate: at } => format!("{service}: {} an hour from now on.", rate(*at)),
        Part::Quote(shown) => quote::quote(shown),
        Part::Solved(solved) => solved::solved(solved),
        Part::Job(shown) => jobs::job(shown),
        Part::Times(rows) => lists::times(rows),
        Part::Timed(shown) => lists::timed(shown),
        Part::OddTakenOut { say_again } => lists::taken_out(*say_again).to_string(),
        Part::OddKept => "Good, it stays as you said it.".to_string(),
        Part::MinutesKept { named, keep } => lists::kept(named, *keep),
        Part::PriceList(rows) => lists::price_list(rows),
        Part::Figures(shown) => settings::figures(shown),
        Part::Costs(shown) => costs::costs(shown),
        Part::Why(shown) => why::why(shown),
        Part::Quotes(shown) => lists::quotes(shown),
        Part::LastTime(shown) => season::last_time(shown),
        Part::Due(shown) => season::due(shown),
        Part::Days(shown) => season::days(shown),
        Part::Shifted(shown) => season::shifted(shown),
        Part::Report(shown) => season::report(shown),
        Part::Pays(shown) => season::pays(shown),
        Part::WinShare(shown) => season::win_share(shown),
        Part::Reminder(shown) => season::reminder(shown),
        Part::Forgotten(shown) => season::forgotten(shown),
        Part::Undone(shown) => undone(shown),
        Part::Ask(ask) => asks::ask(ask),
        Part::Heard(text) => hearing::heard(text),
        Part::Unheard(why) => hearing::unheard(*why),
        Part::HeardSeveral(ways) => hearing::several(ways),
        Part::SayAgain | Part::Misfit => asks::not_that(matches!(part, Part::Misfit)).to_string(),
        Part::LetGo(text) => format!("(I let \"{}\" go.)", clipped(text)),
        Part::Refused(refused) => settings::refused(refused),
        Part::NotUsed(words) => not_used(words),
        Part::House(shown) => house::house(shown),
        Part::Menu => menu(),
        Part::NotYet(kind) => not_yet(*kind),
        Part::Unclear(text) => unclear(text),
        Part::Noted { place, no, text } => noted(place.as_deref(), no.map(|no| no.get()), text),
        Part::ClientPage(shown) => client::page(shown),
        Part::Client(shown) => client::news(shown),
        Part::SignInCode { minutes, base } => client::code(*minutes, base.as_deref()),
        Part::FilesKept {
            photos,
            files,
            place,
            no,
        } => files_kept(*photos, *files, place.as_deref(), no.map(|no| no.get())),
        Part::Attachment(Attachment::Picture(picture)) => pictured(picture),
        Part::Attachment(Attachment::Table(table)) => {
            format!("All {} rows are in the file {}.", table.rows.len(), table.name)
        }
        Part::Attachment(Attachment::Workbook(_)) => String::new(),
        Part::Kept(shown) => season::kept(shown),
        Part::Calendar { path, base } => season::calendar(path.as_deref(), base.as_deref()),
        Part::OwnersOnly => "That is the owner's: prices, quotes and the book's figures.".to_string(),
        Part::PricesShown { name, show } => prices_shown(name.as_deref(), *show),
        Part::QuotingAllowed { name, allow } => quoting_allowed(name.as_deref(), *allow),
        Part::NobodyOfThatName { name, known } => {
            format!("Nobody here is called {}. There is {}.", clipped(name), joined(known))
        }
        Part::FileMade { name, rows } => format!("Here is the {name} file, {}.", rows_of(*rows)),
        Part::Guide(shown) => guide::guide(shown),
        Part::OutOfSeason { shown, .. } => guide::out_of_season(shown),
        Part::Caution(caution) => guide::caution(caution),
    }
}

fn not_used(words: &[String]) -> String {
    let quoted: Vec<String> = words.iter().map(|words| format!("\"{}\"", clipped(words))).collect();
    format!("I did not use: {}.", joined(&quoted))
}

/// What a picture shows.
fn pictured(picture: &Picture) -> String {
    let shown = match picture {
        Picture::Minutes(shown) => shown,
        Picture::Report(_) => {
            return "Drawn: what came in over that time, and what each kind of work made.".to_string();
        }
    };
    let left_out = match shown.left_out {
        0 => String::new(),
        left_out => format!(" The {left_out} before that are left out."),
    };
    match shown.course.len() {
        1 => format!("Plotted: the only one so far.{left_out}"),
        count => format!("Plotted: {count} jobs and sittings.{left_out}"),
    }
}

fn undone(shown: &UndoneShown) -> String {
    if shown.taken.is_empty() {
        return "There is nothing of yours to take back.".to_string();
    }
    let taken: Vec<String> = shown
        .taken
        .iter()
        .map(|taken| match taken {
            TakenBack::Said(text, facts) => format!("\"{}\"{}", clipped(text), season::undone(facts)),
            TakenBack::Question(text) => format!("\"{}\"", clipped(text)),
            TakenBack::ThisMessage => "what came before in this message".to_string(),
        })
        .collect();
    let all = usize::try_from(shown.asked).is_ok_and(|asked| taken.len() < asked);
    let end = if all { " That is all there was." } else { "" };
    let many = if taken.len() > 1 {
        format!("{}: ", taken.len())
    } else {
        String::new()
    };
    format!("Took back {many}{}.{end}", joined(&taken))
}

fn rows_of(count: usize) -> String {
    if count == 1 {
        "1 row".to_string()
    } else {
        format!("{count} rows")
    }
}

fn prices_shown(name: Option<&str>, show: bool) -> String {
    let who = name.unwrap_or("The crew");
    let may = if show {
        "may see prices now"
    } else {
        "does not see prices"
    };
    format!("{who} {may}.")
}

fn quoting_allowed(name: Option<&str>, allow: bool) -> String {
    let who = name.unwrap_or("The crew");
    if allow {
        format!("{who} may make and change quotes now, and sees prices. Rates, payments and reports stay yours.")
    } else {
        format!("{who} makes no quotes.")
    }
}

fn menu() -> String {
    [
        "Say it as you would to a hand:",
        "\"12 small 3 medium crapes at Alder Ct\" - a price",
        "\"make that 14\", \"knock 10% off\", \"call it 250\" - change it",
        "\"what do I make an hour at 250\" - work it backwards",
        "\"won\", \"friday at 9\", \"done 85 min with 2 guys\", \"paid\" - the job",
        "\"rate 120\", \"holly small 5 min\", \"minimum 95\" - your figures",
        "\"times\", \"price list\", \"open quotes\", \"owed\", \"why\" - a look",
        "\"tuesday\", \"last time at Alder\", \"who is due\", \"how was january\", \"which work pays\" - the season",
        "\"when do I prune azaleas\", \"wires over it\", \"96 and 60%\" - the guide",
        "\"undo\" - take the last thing back",
    ]
    .join("\n")
}

fn not_yet(kind: Kind) -> String {
    let what = match kind {
        Kind::Look => "that look",
        _ => "that",
    };
    format!("I know what you mean, but I cannot do {what} yet. Nothing was changed. What else can I do?")
}

fn unclear(text: &str) -> String {
    let text = text.trim();
    if text.is_empty() {
        return "I got an empty message. What did you count?".to_string();
    }
    format!(
        "I did not get \"{}\". Nothing was changed. What did you count, or what should I change?",
        clipped(text)
    )
}

/// Letters of a note up to which it is told whole, so that a figure in it is seen to be right.
const NOTE_LETTERS_MAX: usize = 500;

fn noted(place: Option<&str>, no: Option<u32>, text: &str) -> String {
    let text = if text.chars().count() > NOTE_LETTERS_MAX {
        clipped(text)
    } else {
        text.to_string()
    };
    match (place, no) {
        (Some(place), _) => format!("Noted for {place}: {text}"),
        (None, Some(no)) => format!("Noted with quote {no}: {text}"),
        (None, None) => format!("Noted: {text}"),
    }
}

fn files_kept(photos: usize, files: usize, place: Option<&str>, no: Option<u32>) -> String {
    let count = |count: usize, one: &str| match count {
        0 => None,
        1 => Some(one.to_string()),
        many => Some(format!("{many} {one}s")),
    };
    let what: Vec<String> = [count(photos, "photo"), count(files, "file")]
        .into_iter()
        .flatten()
        .collect();
    let what = joined(&what);
    let kept = match (place, no) {
        (Some(place), Some(no)) => format!("{what} kept with quote {no}, {place}."),
        (Some(place), None) => format!("{what} kept with {place}."),
        (None, Some(no)) => format!("{what} kept with quote {no}."),
        (None, None) => format!("{what} kept."),
    };
    capital(&kept)
}

/// Dollars, or a word for none.
fn money_or_none(amount: Option<crate::units::Money>) -> String {
    amount.map_or_else(|| "0, off".to_string(), money)
}
