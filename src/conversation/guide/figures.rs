//! Figures worked out from what was said: heat index, wind chill, noise, weights, ladders, lines, thunder.

use rust_decimal::{
    Decimal,
    prelude::{FromPrimitive, ToPrimitive},
};

use super::{
    super::{
        answer::{GuideSays, Refused, What},
        desk::{Desk, Worked},
    },
    show,
};
use crate::{
    guide::{Source, guide, limits, weather},
    language::{GuideAbout, GuideSaid, LineSaid, QuantitySaid},
};

/// Degrees Fahrenheit that the air has somewhere.
const DEGREES: (i64, i64) = (-80, 140);
/// dBA that are heard at work.
const DECIBELS: (i64, i64) = (60, 140);

/// Degrees Fahrenheit that `it's 96` says when there is nothing that it could count.
const BARE_DEGREES: (i64, i64) = (60, 125);

/// `it's 96`, said with no quote that it could change: the temperature.
pub(in crate::conversation) fn as_air(text: &str, line: &LineSaid) -> Option<GuideSaid> {
    let lower = text.to_lowercase().replace(['\'', '\u{2019}'], "");
    let opens = ["its ", "it is "].iter().any(|words| lower.starts_with(words));
    let bare = line.class.service.is_none() && line.class.unknown.is_none() && line.class.size.is_none();
    let (least, most) = BARE_DEGREES;
    match line.quantity {
        QuantitySaid::Exact(degrees) if opens && bare && degrees >= least.into() && degrees <= most.into() => {
            Some(GuideSaid {
                about: GuideAbout::Weather {
                    fahrenheit: Some(degrees),
                    humidity: None,
                    wind: None,
                },
                plant: None,
                words: text.to_string(),
            })
        }
        _ => None,
    }
}

/// Answers with figures.
pub(super) fn answer(desk: &mut Desk<'_>, about: &GuideAbout) -> Worked {
    match about {
        GuideAbout::Weather {
            fahrenheit,
            humidity,
            wind,
        } => weather(desk, *fahrenheit, *humidity, *wind),
        GuideAbout::FeelsLike(fahrenheit) => feels_like(desk, *fahrenheit),
        GuideAbout::Noise(stretches) => noise(desk, stretches),
        GuideAbout::Lift(pounds) => {
            let says = GuideSays::Lift {
                pounds: within(What::Weight, *pounds, (1, 100_000))?,
                ceiling: limits::LIFT_POUNDS,
            };
            show(desk, says, None, &by_key(&["NIOSH94"]));
            Ok(())
        }
        GuideAbout::Ladder(feet) => {
            let feet = within(What::Length, *feet, (1, 60))?;
            let base = limits::ladder_base_feet(feet);
            show(desk, GuideSays::Ladder { feet, base }, None, &by_key(&["LADDER"]));
            Ok(())
        }
        GuideAbout::Line(kilovolts) => {
            let kilovolts = within(What::Voltage, *kilovolts, (0, 1_500))?;
            let inches = limits::line_inches(kilovolts);
            let twelve = Decimal::from(12);
            let keep = ((inches / twelve).floor(), inches % twelve);
            show(desk, GuideSays::Line { kilovolts, keep }, None, &by_key(&["OSHALC"]));
            Ok(())
        }
        GuideAbout::Thunder(seconds) => {
            let seconds = within(What::Seconds, *seconds, (0, 600))?;
            let miles = limits::flash_miles(seconds);
            show(
                desk,
                GuideSays::Thunder { seconds, miles },
                None,
                &by_key(&["STEADY", "OSHAJ"]),
            );
            Ok(())
        }
        _ => Ok(()),
    }
}

fn by_key(keys: &[&str]) -> Vec<&'static Source> {
    let all = &guide().sources;
    keys.iter()
        .filter_map(|key| all.iter().copied().find(|source| source.key == *key))
        .collect()
}

fn within(what: What, value: Decimal, (least, most): (i64, i64)) -> Result<Decimal, Refused> {
    if value < Decimal::from(least) || value > Decimal::from(most) {
        return Err(Refused::OutOfRange { what, value });
    }
    Ok(value)
}

fn float(value: Decimal) -> f64 {
    value.to_f64().unwrap_or_default()
}

/// A figure rounded to some places, half away from zero.
fn rounded(value: f64, places: u32) -> Decimal {
    let exact = Decimal::from_f64(value).unwrap_or_default();
    exact.round_dp_with_strategy(places, rust_decimal::RoundingStrategy::MidpointAwayFromZero)
}

fn whole(value: f64) -> i64 {
    rounded(value, 0).to_i64().unwrap_or_default()
}

fn weather(
    desk: &mut Desk<'_>,
    fahrenheit: Option<Decimal>,
    humidity: Option<Decimal>,
    wind: Option<Decimal>,
) -> Worked {
    let fahrenheit = fahrenheit.map(|f| within(What::Temperature, f, DEGREES)).transpose()?;
    let humidity = humidity.map(|rh| within(What::Humidity, rh, (0, 100))).transpose()?;
    let wind = wind.map(|mph| within(What::Wind, mph, (0, 200))).transpose()?;
    match (fahrenheit, humidity, wind) {
        (Some(fahrenheit), Some(humidity), _) => {
            let index = weather::heat_index(float(fahrenheit), float(humidity));
            let levels = guide().heat_levels(index.round());
            let mut sources = by_key(&["NWSHI", "SUN"]);
            sources.extend(levels.iter().map(|level| level.source));
            let says = GuideSays::Heat {
                fahrenheit,
                humidity,
                index: whole(index),
                levels: levels.iter().map(|level| level.text.clone()).collect(),
            };
            show(desk, says, None, &sources);
        }
        (Some(fahrenheit), None, Some(wind)) => {
            let chill = weather::wind_chill(float(fahrenheit), float(wind));
            let levels = guide().chill_levels(chill.round());
            let mut sources = by_key(&["SNOW"]);
            sources.extend(levels.iter().map(|level| level.source));
            let says = GuideSays::Chill {
                fahrenheit,
                wind,
                chill: whole(chill),
                levels: levels.iter().map(|level| level.text.clone()).collect(),
            };
            show(desk, says, None, &sources);
        }
        (Some(fahrenheit), None, None) => {
            let says = GuideSays::AirAlone {
                fahrenheit,
                by_humidity: by_humidity(fahrenheit),
                by_wind: by_wind(fahrenheit),
            };
            show(desk, says, None, &by_key(&["NWSHI", "SNOW"]));
        }
        (None, _, Some(wind)) => show(desk, GuideSays::Wind(wind), None, &by_key(&["EHSN"])),
        (None, _, None) => {}
    }
    Ok(())
}

/// Percent of humidity that a temperature alone is shown with.
const HUMIDITIES: [u8; 3] = [30, 50, 70];
/// Miles an hour that a temperature alone is shown with.
const WINDS: [u8; 2] = [10, 20];
/// The published chart ends here, degrees Fahrenheit: air that is hotter and damper is not met with.
const CHART_MOST: i64 = 137;
/// Degrees Fahrenheit from which heat, and up to which cold, has an index of its own.
const HOT_AND_COLD: (i64, i64) = (80, 50);

/// The heat index by humidity, where the air is hot enough for it to matter and the chart goes so far.
fn by_humidity(fahrenheit: Decimal) -> Vec<(u8, i64)> {
    let index = |humidity: u8| whole(weather::heat_index(float(fahrenheit), f64::from(humidity)));
    let rows = HUMIDITIES.iter().map(|humidity| (*humidity, index(*humidity)));
    rows.filter(|(_, index)| fahrenheit >= HOT_AND_COLD.0.into() && *index <= CHART_MOST)
        .collect()
}

/// The wind chill by wind, where the air is cold enough for it to matter.
fn by_wind(fahrenheit: Decimal) -> Vec<(u8, i64)> {
    let chill = |mph: u8| whole(weather::wind_chill(float(fahrenheit), f64::from(mph)));
    let rows = WINDS.iter().map(|mph| (*mph, chill(*mph)));
    rows.filter(|_| fahrenheit <= HOT_AND_COLD.1.into()).collect()
}

/// What the published levels ask for at a heat index or wind chill that was told as such.
fn feels_like(desk: &mut Desk<'_>, fahrenheit: Decimal) -> Worked {
    let fahrenheit = within(What::Temperature, fahrenheit, (DEGREES.0, CHART_MOST + 40))?;
    let levels = levels_at(float(fahrenheit).round());
    let mut sources = by_key(&["NWSHI"]);
    sources.extend(levels.iter().map(|level| level.source));
    let says = GuideSays::FeelsLike {
        fahrenheit,
        levels: levels.iter().map(|level| level.text.clone()).collect(),
    };
    show(desk, says, None, &sources);
    Ok(())
}

/// The levels that an index reaches, of heat or of cold.
fn levels_at(index: f64) -> Vec<&'static weather::Level> {
    let heat = guide().heat_levels(index);
    if heat.is_empty() {
        guide().chill_levels(index)
    } else {
        heat
    }
}

/// The caution that the weather's figures call up: from the first published level on.
pub(super) fn weather_code(about: &GuideAbout) -> Option<&'static str> {
    if let GuideAbout::FeelsLike(fahrenheit) = about {
        let level = levels_at(float(*fahrenheit).round()).first().map(|level| level.kind);
        return level.map(|kind| match kind {
            weather::Kind::Heat => "heat",
            weather::Kind::Chill => "cold",
        });
    }
    let GuideAbout::Weather {
        fahrenheit: Some(fahrenheit),
        humidity,
        wind,
    } = about
    else {
        return None;
    };
    match (humidity, wind) {
        (Some(humidity), _) => {
            let index = weather::heat_index(float(*fahrenheit), float(*humidity));
            (!guide().heat_levels(index.round()).is_empty()).then_some("heat")
        }
        (None, Some(wind)) => {
            let chill = weather::wind_chill(float(*fahrenheit), float(*wind));
            (!guide().chill_levels(chill.round()).is_empty()).then_some("cold")
        }
        (None, None) => {
            let hot = by_humidity(*fahrenheit).first().map(|(_, index)| *index as f64);
            hot.filter(|index| !guide().heat_levels(*index).is_empty())
                .map(|_| "heat")
        }
    }
}

fn noise(desk: &mut Desk<'_>, stretches: &[(Decimal, Decimal)]) -> Worked {
    let mut levels = Vec::new();
    let mut noises = Vec::new();
    for (minutes, decibels) in stretches {
        let decibels = within(What::Decibels, *decibels, DECIBELS)?;
        let minutes = within(What::Minutes, *minutes, (0, 1_440))?;
        let lasts = (!minutes.is_zero()).then(|| (minutes / Decimal::from(60)).round_dp(2));
        levels.push((decibels, rounded(limits::noise_hours(float(decibels)), 2), lasts));
        noises.push(limits::Noise {
            decibels: float(decibels),
            hours: float(minutes) / 60.0,
        });
    }
    let dose = limits::noise_dose(&noises);
    let says = GuideSays::Noise {
        levels,
        dose: (dose > 0.0).then(|| (rounded(dose, 0), rounded(limits::noise_average(dose), 1))),
    };
    show(desk, says, None, &by_key(&["OSHAG16A"]));
    Ok(())
}
