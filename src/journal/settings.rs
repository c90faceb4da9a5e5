//! The figures of the account: what every quote starts from until something else is said.
//!
//! A figure that the owner never said is `None` (or the plain neutral value), so that the export shows what was said and
//! nothing else, and a quote on the starter rate can say so.

use chrono_tz::Tz;

use crate::{
    guide::{self, MonthDay, Zone},
    pricing::{
        Step, Tax,
        cost::{self, Costs, PerPeriod},
    },
    units::{Crew, Days, HourlyCost, ManHours, ManMinutes, Money, Percent, RatePerManHour, Years},
};

/// The figures of the account as they stand.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Settings {
    /// Dollars per man-hour; `None`: the starter rate.
    pub rate: Option<RatePerManHour>,
    /// Set-up on every quote.
    pub set_up: Option<ManMinutes>,
    /// Hauling on every quote.
    pub haul: Option<ManMinutes>,
    /// Driving on every quote.
    pub drive: Option<ManMinutes>,
    /// The least that a job is done for.
    pub minimum: Option<Money>,
    /// Dump fee on every quote.
    pub dump_fee: Option<Money>,
    /// People who usually work together; `None`: one.
    pub crew: Option<Crew>,
    /// The step that prices are rounded to.
    pub step: Step,
    /// Tax.
    pub tax: Tax,
    /// Markup on material.
    pub markup: Option<Percent>,
    /// Wage for an hour.
    pub wage: Option<HourlyCost>,
    /// What an employer pays on top of the wage.
    pub burden: Option<Percent>,
    /// Overhead.
    pub overhead: Option<PerPeriod<Money>>,
    /// Man-hours that can be billed.
    pub billable_hours: Option<PerPeriod<ManHours>>,
    /// Margin wanted on the price.
    pub margin: Option<Percent>,
    /// Equipment that wears out, by name; counted into the overhead.
    pub equipment: Vec<Equipment>,
    /// Time zone by its name in the public time zone list.
    pub time_zone: Option<String>,
    /// The business as it signs.
    pub business_name: Option<String>,
    /// Days that an offer stands; `None`: the usual ones.
    pub offer_days: Option<u32>,
    /// What clients are told of payment and the rest, in place of the usual lines; semicolons stand between lines.
    pub client_terms: Option<String>,
    /// What clients are told is not in the price, beside the usual lines; semicolons stand between lines.
    pub not_included: Option<String>,
    /// USDA hardiness zone.
    pub hardiness_zone: Option<Zone>,
    /// State or province, two letters.
    pub state: Option<String>,
    /// The average last frost.
    pub last_frost: Option<MonthDay>,
    /// Days that voice recordings are kept; `None`: as the house has it.
    pub recording_days: Option<Days>,
}

/// Something bought that wears out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Equipment {
    /// What it is.
    pub name: String,
    /// What it cost.
    pub price: Money,
    /// Years of use.
    pub years: Years,
}

/// One figure that the owner said.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum SettingSet {
    /// The account's rate.
    Rate(RatePerManHour),
    /// Set-up; `None` switches it off.
    SetUp(Option<ManMinutes>),
    /// Hauling; `None` switches it off.
    Haul(Option<ManMinutes>),
    /// Driving; `None` switches it off.
    Drive(Option<ManMinutes>),
    /// The minimum; `None` switches it off.
    Minimum(Option<Money>),
    /// The dump fee; `None` switches it off.
    DumpFee(Option<Money>),
    /// People.
    Crew(Crew),
    /// The step of rounding.
    Step(Step),
    /// Tax.
    Tax(Tax),
    /// Markup on material; `None` switches it off.
    Markup(Option<Percent>),
    /// Wage for an hour.
    Wage(HourlyCost),
    /// Burden.
    Burden(Percent),
    /// Overhead.
    Overhead(PerPeriod<Money>),
    /// Billable man-hours.
    BillableHours(PerPeriod<ManHours>),
    /// Margin.
    Margin(Percent),
    /// A piece of equipment, replacing the one of that name.
    Equipment(Equipment),
    /// The piece of equipment of this name is not counted any more.
    EquipmentGone(String),
    /// Time zone.
    TimeZone(String),
    /// Name of the business.
    BusinessName(String),
    /// Days that an offer stands.
    OfferDays(u32),
    /// The terms that clients are told; `None` for the usual ones.
    ClientTerms(Option<String>),
    /// What clients are told is not in the price; `None` for nothing beside the usual.
    NotIncluded(Option<String>),
    /// USDA hardiness zone.
    HardinessZone(Zone),
    /// State or province, two letters.
    State(String),
    /// The average last frost.
    LastFrost(MonthDay),
    /// Days that voice recordings are kept.
    RecordingDays(Days),
}

impl Settings {
    /// What the owner pays, for the cost build-up.
    pub fn costs(&self) -> Costs {
        Costs {
            wage: self.wage,
            burden: self.burden,
            overhead: self.overhead,
            billable_hours: self.billable_hours,
            equipment: self
                .equipment
                .iter()
                .map(|thing| cost::Equipment {
                    price: thing.price,
                    years: thing.years,
                })
                .collect(),
            margin: self.margin,
        }
    }

    /// Where the account works, for the guide.
    pub fn guide_place(&self) -> guide::Place {
        guide::Place {
            state: self.state.clone(),
            zone: self.hardiness_zone,
            last_frost: self.last_frost,
        }
    }

    /// The account's own time zone.
    pub fn zone(&self) -> Option<Tz> {
        self.time_zone.as_deref()?.parse().ok()
    }

    /// Takes over one figure.
    pub(super) fn set(&mut self, figure: &SettingSet) {
        match figure.clone() {
            SettingSet::Rate(rate) => self.rate = Some(rate),
            SettingSet::SetUp(minutes) => self.set_up = minutes,
            SettingSet::Haul(minutes) => self.haul = minutes,
            SettingSet::Drive(minutes) => self.drive = minutes,
            SettingSet::Minimum(money) => self.minimum = money,
            SettingSet::DumpFee(money) => self.dump_fee = money,
            SettingSet::Crew(people) => self.crew = Some(people),
            SettingSet::Step(step) => self.step = step,
            SettingSet::Tax(tax) => self.tax = tax,
            SettingSet::Markup(percent) => self.markup = percent,
            SettingSet::Wage(money) => self.wage = Some(money),
            SettingSet::Burden(percent) => self.burden = Some(percent),
            SettingSet::Overhead(figure) => self.overhead = Some(figure),
            SettingSet::BillableHours(figure) => self.billable_hours = Some(figure),
            SettingSet::Margin(percent) => self.margin = Some(percent),
            SettingSet::Equipment(thing) => {
                self.equipment.retain(|known| known.name != thing.name);
                self.equipment.push(thing);
            }
            SettingSet::EquipmentGone(name) => self.equipment.retain(|known| known.name != name),
            SettingSet::TimeZone(zone) => self.time_zone = Some(zone),
            SettingSet::BusinessName(name) => self.business_name = Some(name),
            SettingSet::OfferDays(days) => self.offer_days = Some(days),
            SettingSet::ClientTerms(terms) => self.client_terms = terms,
            SettingSet::NotIncluded(words) => self.not_included = words,
            SettingSet::HardinessZone(zone) => self.hardiness_zone = Some(zone),
            SettingSet::State(state) => self.state = Some(state),
            SettingSet::LastFrost(day) => self.last_frost = Some(day),
            SettingSet::RecordingDays(days) => self.recording_days = Some(days),
        }
    }
}
