//! Has every number a role? The last look at a reading before it is handed on.
//!
//! A phrase may be found and yet drop out when phrases are put together: a second sum behind a `paid`, a second time
//! behind a `done`. Whatever figure of a phrase is neither in a meaning nor in a doubt becomes a doubt of its own, so
//! that it is asked about and never priced around (P1). Figures are compared by value, because that is what is echoed.

use rust_decimal::Decimal;
use rustc_hash::FxHashSet;

use super::cover::Cover;
use super::meaning::{
    AnswerSaid, Change, ClassSaid, ClockSaid, DaySaid, Doubt, FinishSaid, HouseSaid, LineSaid, Look, Meaning,
    MinutesSaid, PeopleSaid, PlaceSaid, QuantitySaid, Reading, Setting, Solve, Span, WhenSaid, WorkedSaid,
};
use super::phrases::{Cue, Phrase};
use super::words::Words;

/// Adds a doubt for each figure that no meaning took.
///
/// `sums` are numbers that only say what others add up to.
pub(super) fn numbers_without_role(words: &Words<'_>, cover: &Cover, sums: &[Span], reading: &mut Reading) {
    // What is in doubt already is asked about whole; counts said twice only in a quote.
    if reading
        .doubts
        .iter()
        .any(|doubt| !matches!(doubt, Doubt::CountedTwice { .. }))
    {
        return;
    }
    let mut used = Figures::default();
    let mut overruled = Figures::default();
    for said in &reading.meanings {
        used.meaning(&said.meaning);
        overruled.overruled(&said.meaning);
    }
    let used: FxHashSet<Decimal> = used.0.into_iter().collect();
    let overruled: FxHashSet<Decimal> = overruled.0.into_iter().collect();
    let taken_back = TakenBack::of(cover);
    for (index, piece) in cover.placed.iter().enumerate() {
        let mut own = Figures::default();
        own.phrase(&piece.phrase);
        let dropped = match piece.phrase {
            Phrase::Clock(left, right) | Phrase::Pair(left, right) => clock(left, right, &used),
            _ => own
                .0
                .into_iter()
                .find(|value| !used.contains(value) || overruled.contains(value)),
        };
        let in_sum = sums
            .iter()
            .any(|sum| sum.start <= piece.span.start && piece.span.end <= sum.end);
        if let Some(value) = dropped.filter(|_| !taken_back.at(cover, index) && !in_sum) {
            reading.doubts.push(Doubt::NumberWithoutRole {
                text: words.tokens.text[piece.span.start..piece.span.end].to_string(),
                value,
                span: piece.span,
            });
        }
    }
}

/// Whether two changes are of the same thing, so that the later leaves nothing of the earlier.
fn same_thing(one: &Change, other: &Change) -> bool {
    match (one, other) {
        (Change::Quantity(one), Change::Quantity(other)) => same_class(&one.class, &other.class),
        (Change::Minutes(one, _), Change::Minutes(other, _))
        | (Change::PriceEach(one, _), Change::PriceEach(other, _))
        | (Change::MaterialEach(one, _), Change::MaterialEach(other, _)) => same_class(one, other),
        (Change::ExtraMinutes(one, _), Change::ExtraMinutes(other, _))
        | (Change::ExtraMoney(one, _), Change::ExtraMoney(other, _)) => one == other,
        (
            Change::DiscountPercent(_) | Change::DiscountMoney(_),
            Change::DiscountPercent(_) | Change::DiscountMoney(_),
        )
        | (Change::Price(_), Change::Price(_))
        | (Change::Rate(_), Change::Rate(_))
        | (Change::Crew(_), Change::Crew(_))
        | (
            Change::WorkElapsed { .. } | Change::WorkManMinutes(_),
            Change::WorkElapsed { .. } | Change::WorkManMinutes(_),
        ) => true,
        _ => false,
    }
}

/// Whether two classes can be the same; what was left away fits anything.
fn same_class(one: &ClassSaid, other: &ClassSaid) -> bool {
    let fits = |one: &Option<String>, other: &Option<String>| one.is_none() || other.is_none() || one == other;
    fits(&one.service, &other.service) && fits(&one.size, &other.size)
}

/// Whether neither kind nor size was said.
fn nameless(class: &ClassSaid) -> bool {
    class.service.is_none() && class.size.is_none()
}

/// Up to where what was said is replaced by what is said behind it.
#[derive(Default)]
struct TakenBack {
    /// Anything before it is, by `no wait`.
    anything: usize,
    /// A count before it is, by `make that`.
    count: usize,
}

impl TakenBack {
    fn of(cover: &Cover) -> TakenBack {
        let mut found = TakenBack::default();
        for (index, piece) in cover.placed.iter().enumerate() {
            match &piece.phrase {
                Phrase::Correct => found.anything = index,
                Phrase::Cue(Cue::Make) => found.count = index,
                Phrase::Change(changes) if changes.iter().any(|change| matches!(change, Change::Quantity(_))) => {
                    found.count = index;
                }
                _ => {}
            }
        }
        found
    }

    fn at(&self, cover: &Cover, index: usize) -> bool {
        let count = matches!(cover.placed[index].phrase, Phrase::Line(_));
        index < self.anything || count && index < self.count
    }
}

/// `1:20` is 80 minutes in a finish, 1 minute 20 in a reading and twenty past one on a clock (morning or afternoon); when
/// none of them is among the figures used, its figures as written.
fn clock(left: u32, right: u32, used: &FxHashSet<Decimal>) -> Option<Decimal> {
    let (hours, minutes) = (Decimal::from(left), Decimal::from(right));
    let sixty = Decimal::from(60);
    let of_day = hours * sixty + minutes;
    let roles = [of_day, of_day + sixty * Decimal::from(12), hours + minutes / sixty];
    let has_role = roles.iter().any(|role| used.contains(&role.normalize()));
    (!has_role).then(|| hours * Decimal::ONE_HUNDRED + minutes)
}

/// The place that a meaning names.
fn place_of(meaning: &Meaning) -> Option<&PlaceSaid> {
    match meaning {
        Meaning::Quote { place, .. }
        | Meaning::Revise { place, .. }
        | Meaning::Here { place, .. }
        | Meaning::Won { place, .. }
        | Meaning::Lost { place, .. }
        | Meaning::Plan { place, .. }
        | Meaning::Paid { place, .. }
        | Meaning::Note { place, .. }
        | Meaning::Look(Look::LastTime(place) | Look::ShowQuote(place)) => place.as_ref(),
        Meaning::Finish(finish) => finish.place.as_ref(),
        Meaning::Answer(AnswerSaid::Place(place)) => Some(place),
        _ => None,
    }
}

/// Figures, as values.
#[derive(Default)]
struct Figures(Vec<Decimal>);

impl Figures {
    fn add(&mut self, value: impl Into<Decimal>) {
        self.0.push(value.into());
    }

    fn maybe(&mut self, value: Option<impl Into<Decimal>>) {
        self.0.extend(value.map(Into::into));
    }

    fn minutes(&mut self, said: &MinutesSaid) {
        self.add(said.minutes);
        if let Some((low, high)) = said.range {
            self.0.extend([low, high]);
        }
    }

    fn when(&mut self, when: &WhenSaid) {
        self.maybe(when.minute_of_day);
        if let Some(day) = &when.day {
            self.day(day);
        }
    }

    fn day(&mut self, day: &DaySaid) {
        match day {
            // `today`, `tomorrow` and `yesterday` hold no number.
            DaySaid::InDays(days) if days.abs() > 1 => self.add(*days),
            DaySaid::Later(days) => {
                self.add(days.abs());
                if days % 7 == 0 {
                    self.add(days.abs() / 7);
                }
            }
            DaySaid::DayOfMonth(day) => self.add(*day),
            DaySaid::Date { day, year, .. } => {
                self.add(*day);
                self.maybe(*year);
            }
            DaySaid::InDays(_) | DaySaid::Weekday { .. } | DaySaid::WeekAfter(_) => {}
        }
    }

    /// A quote's number; the numbers of a street are a part of its name.
    fn place(&mut self, place: &PlaceSaid) {
        self.maybe(place.quote);
    }

    fn maybe_place(&mut self, place: Option<&PlaceSaid>) {
        if let Some(place) = place {
            self.place(place);
        }
    }

    fn line(&mut self, line: &LineSaid) {
        match line.quantity {
            QuantitySaid::Exact(count) => self.add(count),
            QuantitySaid::Between(low, high) => self.0.extend([low, high]),
            QuantitySaid::Vague(_) | QuantitySaid::Unsaid => {}
        }
        if let Some(said) = &line.minutes_each {
            self.minutes(said);
        }
        self.maybe(line.price_each);
        self.maybe(line.material_each);
    }

    fn change(&mut self, change: &Change) {
        match change {
            Change::Quantity(line) | Change::Add(line) | Change::Drop(line) | Change::Recount { from: line, .. } => {
                self.line(line);
            }
            Change::DiscountPercent(figure)
            | Change::DiscountMoney(figure)
            | Change::MoreOffPercent(figure)
            | Change::MoreOffMoney(figure)
            | Change::Times(_, figure)
            | Change::Price(figure)
            | Change::Rate(figure)
            | Change::PriceEach(_, figure)
            | Change::MaterialEach(_, figure)
            | Change::ExtraMinutes(_, figure)
            | Change::ExtraMoney(_, figure)
            | Change::Markup(figure) => self.add(*figure),
            Change::Minutes(_, said) | Change::WorkManMinutes(said) => self.minutes(said),
            Change::WorkElapsed { minutes, crew } => {
                self.minutes(minutes);
                self.add(*crew);
            }
            Change::Crew(crew) => self.add(*crew),
            Change::No(_) | Change::With(_) | Change::Place(_) | Change::UseThat | Change::BillExtra => {}
        }
    }

    fn setting(&mut self, setting: &Setting) {
        match setting {
            Setting::Service {
                minutes_each,
                material_each,
                price_each,
                ..
            } => {
                if let Some(said) = minutes_each {
                    self.minutes(said);
                }
                self.maybe(*material_each);
                self.maybe(*price_each);
            }
            Setting::Rate { rate: figure, .. }
            | Setting::ExtraMinutes(_, figure)
            | Setting::ExtraMoney(_, figure)
            | Setting::Round { step: figure, .. }
            | Setting::Tax { percent: figure, .. }
            | Setting::Markup(figure)
            | Setting::Wage(figure)
            | Setting::Burden(figure)
            | Setting::Overhead { money: figure, .. }
            | Setting::BillableHours { hours: figure, .. }
            | Setting::OfferDays(figure)
            | Setting::Margin(figure) => self.add(*figure),
            Setting::Equipment { price, years, .. } => self.0.extend([*price, *years]),
            Setting::Crew(crew) => self.add(*crew),
            Setting::LastFrost(_, day) => self.add(*day),
            // Weeks are worked out to days.
            Setting::RecordingDays(days) => self.0.extend([*days, *days / Decimal::from(7)]),
            Setting::HardinessZone(zone) => self.maybe(zone.trim_end_matches(['a', 'b']).parse::<u32>().ok()),
            Setting::KeepMinutes { .. }
            | Setting::EquipmentGone(_)
            | Setting::TimeZone(_)
            | Setting::BusinessName(_)
            | Setting::ClientTerms(_)
            | Setting::NotIncluded(_)
            | Setting::State(_) => {}
        }
    }

    fn solve(&mut self, solve: &Solve) {
        match solve {
            Solve::RateAtPrice { price: figure, .. }
            | Solve::MinutesForPrice { price: figure, .. }
            | Solve::PriceForRate { rate: figure }
            | Solve::PriceForChance(figure) => self.add(*figure),
            Solve::RateIfTime { minutes, crew, .. } => {
                self.minutes(minutes);
                self.maybe(*crew);
            }
            Solve::CompareRates(rates) => self.0.extend(rates),
            Solve::RateIfMinutes(_, said) => self.minutes(said),
            Solve::BreakEven => {}
        }
    }

    fn finish(&mut self, finish: &FinishSaid) {
        if let Some(WorkedSaid::Elapsed(said) | WorkedSaid::EachPerson(said) | WorkedSaid::ManMinutes(said)) =
            &finish.worked
        {
            self.minutes(said);
        }
        self.maybe(finish.crew);
        finish.done.iter().for_each(|line| self.line(line));
        if let Some(when) = &finish.at {
            self.when(when);
        }
    }

    fn of_clock(&mut self, said: &ClockSaid) {
        match said {
            ClockSaid::People { change, at, .. } => {
                let (PeopleSaid::Left(people) | PeopleSaid::Came(people) | PeopleSaid::Now(people)) = change;
                self.add(*people);
                if let Some(when) = at {
                    self.when(when);
                }
            }
            ClockSaid::Break { from, to, minutes } => {
                from.iter().chain(to).for_each(|when| self.when(when));
                self.maybe(*minutes);
            }
        }
    }

    fn meaning(&mut self, meaning: &Meaning) {
        self.maybe_place(place_of(meaning));
        match meaning {
            Meaning::Set(setting) => self.setting(setting),
            Meaning::Quote { lines, changes, .. } => {
                lines.iter().for_each(|line| self.line(line));
                changes.iter().for_each(|change| self.change(change));
            }
            Meaning::Revise { changes, .. } => changes.iter().for_each(|change| self.change(change)),
            Meaning::Solve(solve) => self.solve(solve),
            Meaning::Time(series) => series.iter().for_each(|of_class| self.0.extend(&of_class.readings)),
            Meaning::Here { crew, at, .. } => {
                self.maybe(*crew);
                if let Some(when) = at {
                    self.when(when);
                }
            }
            Meaning::Finish(finish) => self.finish(finish),
            Meaning::Won { price, .. } | Meaning::Lost { price, .. } => self.maybe(*price),
            Meaning::Plan { when, .. } => self.when(when),
            Meaning::Paid { amount, .. } => self.maybe(*amount),
            Meaning::Guide(guide) => self.0.extend(guide.about.figures()),
            Meaning::Undo { steps } => self.add(*steps),
            Meaning::Answer(AnswerSaid::Number(figure) | AnswerSaid::Money(figure)) => self.add(*figure),
            Meaning::Answer(AnswerSaid::Minutes(said)) => self.minutes(said),
            Meaning::Answer(AnswerSaid::Time(minute)) => self.add(*minute),
            Meaning::Pause { at } | Meaning::Resume { at } => {
                if let Some(when) = at {
                    self.when(when);
                }
            }
            Meaning::Clock(said) => self.of_clock(said),
            Meaning::Shift { from, to } => {
                self.day(from);
                self.day(to);
            }
            Meaning::Order { day, .. } => day.iter().for_each(|day| self.day(day)),
            Meaning::Look(Look::Unanswered(days)) => self.add(*days),
            Meaning::Answer(_) | Meaning::Look(_) | Meaning::Settled { .. } | Meaning::Again { .. } => {}
            Meaning::Note { .. } | Meaning::Menu | Meaning::Members(_) => {}
            Meaning::House(HouseSaid::Resend { number: Some(number) }) => self.add(*number),
            Meaning::House(_) => {}
            Meaning::PlaceCaution { .. } => {}
        }
    }

    /// The figures of a meaning of which another figure leaves nothing.
    fn overruled(&mut self, meaning: &Meaning) {
        let (lines, changes): (&[LineSaid], &[Change]) = match meaning {
            Meaning::Quote { lines, changes, .. } => (lines, changes),
            Meaning::Revise { changes, .. } => (&[], changes),
            Meaning::Finish(finish) => return self.overruled_counts(&finish.done),
            _ => return,
        };
        for line in lines {
            let other = |change: &Change| match (change, &line.minutes_each) {
                (Change::Minutes(class, said), Some(own)) => said != own && same_class(class, &line.class),
                _ => false,
            };
            if let (Some(own), true) = (&line.minutes_each, changes.iter().any(other)) {
                self.minutes(own);
            }
        }
        let timed = lines.iter().any(|line| line.minutes_each.is_some())
            || changes.iter().any(|change| matches!(change, Change::Minutes(..)));
        for (index, change) in changes.iter().enumerate() {
            let later = changes[index + 1..]
                .iter()
                .any(|other| other != change && same_thing(change, other));
            // Minutes for each and a time for all cannot both hold.
            let each = timed && matches!(change, Change::WorkElapsed { .. } | Change::WorkManMinutes(_));
            if later || each {
                self.change(change);
            }
        }
    }

    /// `did 47 azaleas 19`: the second count would replace the first.
    fn overruled_counts(&mut self, done: &[LineSaid]) {
        for (index, line) in done.iter().enumerate() {
            let later = done[index + 1..].iter().any(|other| {
                let named = !(nameless(&line.class) && nameless(&other.class));
                named && !other.more && line.quantity != other.quantity && same_class(&line.class, &other.class)
            });
            if later {
                self.line(line);
            }
        }
    }

    fn phrase(&mut self, phrase: &Phrase) {
        match phrase {
            Phrase::Line(counted) => self.line(&counted.line),
            Phrase::Minutes { said, .. } | Phrase::Time { said, .. } => self.minutes(said),
            Phrase::PriceEach { value, .. } => self.add(*value),
            Phrase::Rate(figure) | Phrase::Money(figure) | Phrase::Bare(figure) => self.add(*figure),
            Phrase::Crew(people, _) => self.add(*people),
            Phrase::When(when) => self.when(when),
            Phrase::Extra(_, figure) => self.maybe(*figure),
            Phrase::Set(setting) => self.setting(setting),
            Phrase::Change(changes) => changes.iter().for_each(|change| self.change(change)),
            Phrase::Whole(meaning) => self.meaning(meaning),
            Phrase::Heard(said) => self.0.extend(said.about.figures()),
            Phrase::Cue(Cue::Won(figure) | Cue::Paid(figure, _)) => self.maybe(*figure),
            Phrase::HereAt(place) | Phrase::Place(place) => self.place(place),
            Phrase::Clock(..) | Phrase::Pair(..) | Phrase::Class(_) | Phrase::Cue(_) => {}
            Phrase::Correct | Phrase::Stop(_) | Phrase::Lead | Phrase::Aside | Phrase::Unsure(_) => {}
        }
    }
}
