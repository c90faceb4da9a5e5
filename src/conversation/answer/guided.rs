//! What the guide answers, as values: rows of its tables picked for a question, and figures worked out.

use rust_decimal::Decimal;

use crate::guide::{MonthDay, Verdict, Wood};

/// An answer of the guide with the sources that it comes from.
#[derive(Debug, Clone, PartialEq)]
pub struct GuideShown {
    /// What is said.
    pub says: GuideSays,
    /// The sources, in words.
    pub sources: Vec<String>,
}

/// What the guide says.
#[derive(Debug, Clone, PartialEq)]
pub enum GuideSays {
    /// When one plant, or each plant of an everyday name, is cut, and what that makes of a day.
    When(Vec<WhenShown>),
    /// How a plant is cut.
    How(Box<HowShown>),
    /// The tool for a diameter.
    Tool {
        /// Inches, when said.
        inches: Option<Decimal>,
        /// The tools that fit, the one to take first; all of them when no diameter was said.
        tools: Vec<ToolShown>,
        /// Sources that draw the line elsewhere.
        others: Vec<ToolShown>,
    },
    /// How much may go, by each source.
    Share {
        /// The plant and what is known of it, when one was meant.
        plant: Option<(String, Vec<String>)>,
        /// The general limits.
        limits: Vec<String>,
    },
    /// General practice, by each source.
    Practice(Vec<String>),
    /// Something stands this high, feet.
    Tall(Decimal),
    /// Why a plant is not topped.
    WhyNotTop(Vec<String>),
    /// The client wants it topped: noted, and why not.
    WantsTopped {
        /// Where it was noted.
        place: Option<String>,
        /// Why not.
        reason: String,
    },
    /// The heat index.
    Heat {
        /// Degrees Fahrenheit.
        fahrenheit: Decimal,
        /// Percent.
        humidity: Decimal,
        /// Degrees Fahrenheit, whole.
        index: i64,
        /// What the levels that it reaches ask for.
        levels: Vec<String>,
    },
    /// A temperature alone: what it comes to depends on what was not said.
    AirAlone {
        /// Degrees Fahrenheit.
        fahrenheit: Decimal,
        /// Humidity in percent and the heat index with it, where heat can matter.
        by_humidity: Vec<(u8, i64)>,
        /// Wind in miles an hour and the wind chill with it, where cold can matter.
        by_wind: Vec<(u8, i64)>,
    },
    /// A heat index or wind chill that was told as such.
    FeelsLike {
        /// Degrees Fahrenheit.
        fahrenheit: Decimal,
        /// What the levels that it reaches ask for.
        levels: Vec<String>,
    },
    /// The wind chill.
    Chill {
        /// Degrees Fahrenheit.
        fahrenheit: Decimal,
        /// Miles an hour.
        wind: Decimal,
        /// Degrees Fahrenheit, whole.
        chill: i64,
        /// What the levels that it reaches ask for.
        levels: Vec<String>,
    },
    /// Wind alone, miles an hour.
    Wind(Decimal),
    /// Noise: each level with the hours that it may last, and the dose when times were said.
    Noise {
        /// Level in dBA, hours that it may last, and hours that it lasts where that was said.
        levels: Vec<(Decimal, Decimal, Option<Decimal>)>,
        /// Percent of the day's limit, and the level that would make it in 8 hours.
        dose: Option<(Decimal, Decimal)>,
    },
    /// A weight.
    Lift {
        /// Pounds.
        pounds: Decimal,
        /// The ceiling in perfect conditions, pounds.
        ceiling: u32,
    },
    /// A leaning ladder.
    Ladder {
        /// Working length in feet.
        feet: Decimal,
        /// Feet from the wall to its foot.
        base: Decimal,
    },
    /// A line of a voltage.
    Line {
        /// Kilovolts.
        kilovolts: Decimal,
        /// Feet and inches to keep.
        keep: (Decimal, Decimal),
    },
    /// A flash and its thunder.
    Thunder {
        /// Seconds between.
        seconds: Decimal,
        /// Miles away.
        miles: Decimal,
    },
    /// Where the last answer comes from.
    Sources,
    /// Nothing was said yet that has a source.
    NoSources,
    /// Nothing is known of it; the word, when there is one, and the general rule.
    NothingKnown {
        /// The word.
        word: Option<String>,
        /// The general rule.
        rule: String,
    },
    /// What was said before for this job is not said again.
    SaidBefore,
    /// A remark that calls up nothing.
    NothingSpecial,
    /// The question of where the account works is let go.
    NotNow,
    /// Words kept for whoever comes to a place.
    PlaceCautionKept {
        /// The place.
        place: String,
        /// The words.
        text: String,
    },
}

/// When a plant is cut.
#[derive(Debug, Clone, PartialEq)]
pub struct WhenShown {
    /// Its name.
    pub plant: String,
    /// What it blooms on.
    pub wood: Wood,
    /// Times that are no dates: `after bloom`. Several that cannot both hold are sources that differ.
    pub relative: Vec<String>,
    /// The relative times cannot both hold.
    pub relative_differ: bool,
    /// Dates, nearest first.
    pub dates: Vec<DatesShown>,
    /// The day asked about.
    pub day: MonthDay,
    /// It is asked whether it may be cut then, and not only when.
    pub asked: bool,
    /// What may be said of that day.
    pub verdict: Verdict,
    /// The verdict comes from another place.
    pub elsewhere: bool,
    /// What each source says of the day, when they differ.
    pub differ: Vec<String>,
    /// Closed seasons of the account's state.
    pub closed: Vec<String>,
    /// While the state is not known: the disease, and the closed dates with the states that have them.
    pub closed_by_state: Option<(String, Vec<(String, String)>)>,
    /// The account's last frost, when the time goes by it.
    pub last_frost: Option<MonthDay>,
    /// The one caution.
    pub care: Option<String>,
}

/// Dates that a source names.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DatesShown {
    /// `Jan-Mar`.
    pub dates: String,
    /// The state.
    pub state: Option<String>,
    /// The zones.
    pub zones: Option<String>,
    /// What is said with them.
    pub note: String,
}

/// How a plant is cut.
#[derive(Debug, Clone, PartialEq)]
pub struct HowShown {
    /// Its name.
    pub plant: String,
    /// The ways.
    pub ways: Vec<String>,
    /// How much may go.
    pub share: Vec<String>,
    /// The one caution.
    pub care: Option<String>,
    /// When, in short.
    pub when: WhenShown,
}

/// A tool.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ToolShown {
    /// Its name.
    pub name: String,
    /// Inches: over this.
    pub over: Decimal,
    /// Inches: up to this.
    pub upto: Decimal,
    /// What is said with it.
    pub note: String,
}
