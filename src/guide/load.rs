//! The tables read and checked: what a row must hold, and what it becomes.

use super::{
    Error, Guide, Plant, Practice, Seen, Source, Tool, Wood,
    calendar::{Dates, Zone},
    cautions::{Moment, Trigger, Warning, Work},
    plants::{Fact, FactKind},
    season::{Closed, Code, Rule, Window},
    table::{Row, Table},
    weather::{Kind, Level},
};

/// The text of every table.
#[derive(Debug, Clone, Copy)]
pub struct Files<'a> {
    /// `sources.tsv`
    pub sources: &'a str,
    /// `plants.tsv`
    pub plants: &'a str,
    /// `facts.tsv`
    pub facts: &'a str,
    /// `windows.tsv`
    pub windows: &'a str,
    /// `disease.tsv`
    pub disease: &'a str,
    /// `practice.tsv`
    pub practice: &'a str,
    /// `tools.tsv`
    pub tools: &'a str,
    /// `cautions.tsv`
    pub cautions: &'a str,
    /// `triggers.tsv`
    pub triggers: &'a str,
    /// `work.tsv`
    pub work: &'a str,
    /// `levels.tsv`
    pub levels: &'a str,
}

impl Files<'static> {
    /// The tables built into the program.
    pub fn built_in() -> Self {
        Files {
            sources: include_str!("data/sources.tsv"),
            plants: include_str!("data/plants.tsv"),
            facts: include_str!("data/facts.tsv"),
            windows: include_str!("data/windows.tsv"),
            disease: include_str!("data/disease.tsv"),
            practice: include_str!("data/practice.tsv"),
            tools: include_str!("data/tools.tsv"),
            cautions: include_str!("data/cautions.tsv"),
            triggers: include_str!("data/triggers.tsv"),
            work: include_str!("data/work.tsv"),
            levels: include_str!("data/levels.tsv"),
        }
    }
}

/// Sources by which rows are read.
type Sources = [&'static Source];

/// Reads all tables. The sources are kept for the life of the program, so that every row can point at its own.
///
/// # Errors
/// The first row that is refused; see [`Error`].
pub fn parse(files: &Files<'_>) -> Result<Guide, Error> {
    let sources = rows("sources.tsv", files.sources, source)?;
    let sources: Vec<&'static Source> = sources
        .into_iter()
        .map(|source| &*Box::leak(Box::new(source)))
        .collect();
    let mut plants = rows("plants.tsv", files.plants, |row| plant(row, &sources))?;
    let known: Vec<String> = plants.iter().map(|plant| plant.name.clone()).collect();
    for (name, fact) in rows("facts.tsv", files.facts, |row| fact(row, &sources, &known))? {
        let of_name = plants.iter_mut().filter(|plant| plant.name == name);
        of_name.for_each(|plant| plant.facts.push(fact.clone()));
    }
    let mut warnings = rows("cautions.tsv", files.cautions, |row| warning(row, &sources))?;
    warnings.sort_by_key(|warning| warning.rank);
    let codes: Vec<String> = warnings.iter().map(|warning| warning.code.clone()).collect();
    Ok(Guide {
        windows: rows("windows.tsv", files.windows, |row| window(row, &sources, &known))?,
        closed: rows("disease.tsv", files.disease, |row| closed(row, &sources))?,
        practice: rows("practice.tsv", files.practice, |row| practice(row, &sources))?,
        tools: rows("tools.tsv", files.tools, |row| tool(row, &sources))?,
        triggers: rows("triggers.tsv", files.triggers, |row| trigger(row, &sources, &codes))?,
        works: rows("work.tsv", files.work, |row| work(row, &sources, &codes))?,
        levels: rows("levels.tsv", files.levels, |row| level(row, &sources))?,
        plants,
        warnings,
        sources,
    })
}

fn rows<T>(file: &'static str, text: &str, read: impl Fn(Row<'_>) -> Result<T, Error>) -> Result<Vec<T>, Error> {
    Table::read(file, text).rows().map(read).collect()
}

fn source(row: Row<'_>) -> Result<Source, Error> {
    let text = row.cell("source")?;
    if text.is_empty() {
        return Err(row.without_source());
    }
    Ok(Source {
        key: row.need("key")?.to_string(),
        text: text.to_string(),
        address: row.cell("address")?.to_string(),
        seen: row.parsed("seen", |seen| match seen {
            "original" => Some(Seen::Original),
            "copy" => Some(Seen::Copy),
            "practice" => Some(Seen::Practice),
            _ => None,
        })?,
        read_on: row.read_on()?.to_string(),
    })
}

fn plant(row: Row<'_>, sources: &Sources) -> Result<Plant, Error> {
    Ok(Plant {
        name: row.need("plant")?.to_string(),
        also: row.list("also")?,
        group: some(row.cell("group")?),
        form: row.need("form")?.to_string(),
        wood: row.parsed("wood", |wood| match wood {
            "old" => Some(Wood::Old),
            "new" => Some(Wood::New),
            "none" => Some(Wood::None),
            _ => None,
        })?,
        source: row.source(sources)?,
        facts: Vec::new(),
    })
}

fn fact(row: Row<'_>, sources: &Sources, plants: &[String]) -> Result<(String, Fact), Error> {
    let fact = Fact {
        kind: row.parsed("what", |what| match what {
            "how" => Some(FactKind::How),
            "care" => Some(FactKind::Care),
            "share" => Some(FactKind::Share),
            "top" => Some(FactKind::Top),
            _ => None,
        })?,
        text: row.need("text")?.to_string(),
        source: row.source(sources)?,
    };
    Ok((one_of(row, "plant", plants)?, fact))
}

fn window(row: Row<'_>, sources: &Sources, plants: &[String]) -> Result<Window, Error> {
    let dates = row.parsed("dates", Dates::read)?;
    let relative = some(row.cell("rel")?);
    if dates.is_empty() && relative.is_none() {
        row.need("dates")?;
    }
    Ok(Window {
        plant: one_of(row, "plant", plants)?,
        code: row.parsed("code", |code| match code {
            "best" => Some(Code::Best),
            "fine" => Some(Code::Fine),
            "avoid" => Some(Code::Avoid),
            _ => None,
        })?,
        dates,
        relative,
        state: some(row.cell("state")?),
        zones: match row.cell("zones")? {
            "" => None,
            _ => Some(row.parsed("zones", Zone::read)?),
        },
        note: row.cell("note")?.to_string(),
        source: row.source(sources)?,
    })
}

fn closed(row: Row<'_>, sources: &Sources) -> Result<Closed, Error> {
    Ok(Closed {
        plants: row.need("plants")?.to_string(),
        disease: row.need("disease")?.to_string(),
        state: row.need("state")?.to_string(),
        rule: row.parsed("code", |code| match code {
            "avoid" => Some(Rule::Avoid),
            "best" => Some(Rule::Best),
            "paint" => Some(Rule::Paint),
            _ => None,
        })?,
        dates: row.parsed("dates", Dates::read)?,
        text: row.need("text")?.to_string(),
        source: row.source(sources)?,
    })
}

fn practice(row: Row<'_>, sources: &Sources) -> Result<Practice, Error> {
    Ok(Practice {
        topic: row.need("topic")?.to_string(),
        text: row.need("text")?.to_string(),
        source: row.source(sources)?,
    })
}

fn tool(row: Row<'_>, sources: &Sources) -> Result<Tool, Error> {
    Ok(Tool {
        name: row.need("tool")?.to_string(),
        over: row.parsed("over", |figure| figure.parse().ok())?,
        upto: row.parsed("upto", |figure| figure.parse().ok())?,
        main: row.parsed("view", |view| match view {
            "main" => Some(true),
            "other" => Some(false),
            _ => None,
        })?,
        note: row.cell("note")?.to_string(),
        source: row.source(sources)?,
    })
}

fn warning(row: Row<'_>, sources: &Sources) -> Result<Warning, Error> {
    Ok(Warning {
        code: row.need("code")?.to_string(),
        rank: row.parsed("rank", |rank| rank.parse().ok())?,
        text: row.need("text")?.to_string(),
        crew: row.need("crew")?.to_string(),
        source: row.source(sources)?,
    })
}

fn trigger(row: Row<'_>, sources: &Sources, codes: &[String]) -> Result<Trigger, Error> {
    row.source(sources)?;
    row.need("words")?;
    Ok(Trigger::new(
        one_of(row, "code", codes)?,
        &row.list("words")?,
        &row.list("unless")?,
    ))
}

fn work(row: Row<'_>, sources: &Sources, codes: &[String]) -> Result<Work, Error> {
    row.need("kinds")?;
    let months = match row.cell("months")? {
        "" => None,
        _ => Some(row.parsed("months", |months| {
            let (from, to) = months.split_once('-')?;
            Some((from.parse().ok()?, to.parse().ok()?))
        })?),
    };
    let moment = row.parsed("moment", |moment| match moment {
        "quote" => Some(Moment::Quote),
        "here" => Some(Moment::Here),
        _ => None,
    })?;
    let code = one_of(row, "code", codes)?;
    Ok(Work::new(
        code,
        &row.list("kinds")?,
        row.list("size")?,
        months,
        moment,
        row.source(sources)?,
    ))
}

fn level(row: Row<'_>, sources: &Sources) -> Result<Level, Error> {
    Ok(Level {
        kind: row.parsed("kind", |kind| match kind {
            "heat" => Some(Kind::Heat),
            "chill" => Some(Kind::Chill),
            _ => None,
        })?,
        from: row.parsed("from", |figure| figure.parse().ok())?,
        text: row.need("text")?.to_string(),
        source: row.source(sources)?,
    })
}

fn some(cell: &str) -> Option<String> {
    (!cell.is_empty()).then(|| cell.to_string())
}

/// A cell that names something of another table.
fn one_of(row: Row<'_>, column: &'static str, names: &[String]) -> Result<String, Error> {
    row.parsed(column, |cell| names.iter().find(|name| *name == cell).cloned())
}
