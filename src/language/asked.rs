//! What a question for the guide is about, and what a remark of the yard tells it.

use rust_decimal::Decimal;

/// A question for the guide, or a remark that the cautions should hear.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct GuideSaid {
    /// What is asked.
    pub about: GuideAbout,
    /// The plant, when the price list names it: its name there.
    pub plant: Option<String>,
    /// The question or remark as said; other plants are found in it.
    pub words: String,
}

/// What is asked.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum GuideAbout {
    /// `there are wires over it`, `it's 15 ft tall`: nothing is asked, the cautions hear it.
    #[default]
    Remark,
    /// Something that stands high, feet.
    Tall(Decimal),
    /// `when do I prune azaleas`; the day, when one was said: month 1 to 12, day 1 to 31.
    When(Option<(u8, Option<u8>)>),
    /// `can I cut oaks now`, `in march`.
    May(Option<(u8, Option<u8>)>),
    /// `how do I cut this crape`.
    How,
    /// `what do I use on half-inch stems`: the diameter in inches.
    Tool(Option<Decimal>),
    /// `how much can I take off`.
    Share,
    /// `do I paint the cuts`: a topic of general practice, by the guide's name of it.
    Practice(&'static str),
    /// `why not top them`.
    WhyNotTop,
    /// `she wants them topped`.
    WantsTopped,
    /// `96 and 60%`, `28 with wind 15`.
    Weather {
        /// Air temperature, degrees Fahrenheit.
        fahrenheit: Option<Decimal>,
        /// Relative humidity, percent.
        humidity: Option<Decimal>,
        /// Wind, miles an hour.
        wind: Option<Decimal>,
    },
    /// `feels like 105`: the heat index or wind chill itself, degrees Fahrenheit.
    FeelsLike(Decimal),
    /// `2 hours at 100 db and 4 hours at 90 db`: minutes (0: not said) and dBA.
    Noise(Vec<(Decimal, Decimal)>),
    /// `can I lift 80 lb`: pounds.
    Lift(Decimal),
    /// `ladder at 16 ft`: working length in feet.
    Ladder(Decimal),
    /// `69 kv line`: kilovolts.
    Line(Decimal),
    /// `thunder 10 seconds after the flash`: seconds.
    Thunder(Decimal),
    /// `says who`.
    Source,
}

impl GuideAbout {
    /// The figures that were said.
    pub fn figures(&self) -> Vec<Decimal> {
        match self {
            GuideAbout::When(Some((_, Some(day)))) | GuideAbout::May(Some((_, Some(day)))) => vec![(*day).into()],
            GuideAbout::Tall(figure)
            | GuideAbout::Tool(Some(figure))
            | GuideAbout::Lift(figure)
            | GuideAbout::Ladder(figure)
            | GuideAbout::Line(figure)
            | GuideAbout::FeelsLike(figure)
            | GuideAbout::Thunder(figure) => vec![*figure],
            GuideAbout::Weather {
                fahrenheit,
                humidity,
                wind,
            } => [fahrenheit, humidity, wind].into_iter().flatten().copied().collect(),
            GuideAbout::Noise(stretches) => stretches
                .iter()
                .flat_map(|(minutes, level)| [*minutes, *level])
                .collect(),
            GuideAbout::Remark
            | GuideAbout::When(_)
            | GuideAbout::May(_)
            | GuideAbout::How
            | GuideAbout::Tool(None)
            | GuideAbout::Share
            | GuideAbout::Practice(_)
            | GuideAbout::WhyNotTop
            | GuideAbout::WantsTopped
            | GuideAbout::Source => Vec::new(),
        }
    }
}
