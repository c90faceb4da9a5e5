//! A sheet in stored form: every figure that a price was made from, as text.

use super::form::{Form, Written};
use crate::{
    journal::Error,
    pricing::{Basis, Discount, Effort, FeeKind, Sheet, SheetLine, Step, Tax},
    units::{Crew, Money},
};

pub(super) fn write(sheet: &Sheet) -> Written {
    let written = Written::new()
        .list("lines", &sheet.lines, write_line)
        .put("rate", sheet.rate)
        .put_some("rate_said", sheet.rate_said)
        .put("crew", sheet.crew)
        .put_some("set_up", sheet.set_up)
        .put_some("set_up_learned", sheet.set_up_learned.then_some("yes"))
        .put_some("haul", sheet.haul)
        .put_some("drive", sheet.drive)
        .list("fees", &sheet.fees, |(kind, money)| {
            Written::new().put("fee", fee_text(*kind)).put("price", money)
        })
        .put_some("minimum", sheet.minimum)
        .put_some("price_said", sheet.price_said)
        .put("markup", sheet.markup);
    let written = write_off(written, sheet.discount);
    let written = if sheet.more_off.is_empty() {
        written
    } else {
        written.list("more_off", &sheet.more_off, |off| write_off(Written::new(), *off))
    };
    write_tax(write_step(written, sheet.step), sheet.tax)
}

pub(super) fn read(form: Form<'_>) -> Result<Sheet, Error> {
    Ok(Sheet {
        lines: form.list("lines", read_line)?,
        rate: form.need("rate")?,
        rate_said: form.maybe("rate_said")?,
        crew: read_crew(form, "crew")?,
        set_up: form.maybe("set_up")?,
        set_up_learned: form.maybe::<String>("set_up_learned")?.is_some(),
        haul: form.maybe("haul")?,
        drive: form.maybe("drive")?,
        fees: form.list("fees", read_fee)?,
        minimum: form.maybe("minimum")?,
        step: read_step(form)?,
        discount: read_off(form)?,
        more_off: form.list("more_off", read_off)?,
        price_said: form.maybe("price_said")?,
        tax: read_tax(form)?,
        markup: form.need("markup")?,
    })
}

fn write_off(written: Written, discount: Discount) -> Written {
    match discount {
        Discount::None => written,
        Discount::Percent(percent) => written.put("discount_percent", percent),
        Discount::Money(money) => written.put("discount", money),
    }
}

fn read_off(form: Form<'_>) -> Result<Discount, Error> {
    Ok(match (form.maybe("discount_percent")?, form.maybe("discount")?) {
        (Some(percent), _) => Discount::Percent(percent),
        (None, Some(money)) => Discount::Money(money),
        (None, None) => Discount::None,
    })
}

pub(super) fn write_step(written: Written, step: Step) -> Written {
    match step {
        Step::None => written,
        Step::Nearest(money) => written.put("round_to", money),
        Step::Up(money) => written.put("round_up_to", money),
    }
}

pub(super) fn read_step(form: Form<'_>) -> Result<Step, Error> {
    Ok(match (form.maybe("round_to")?, form.maybe("round_up_to")?) {
        (Some(money), _) => Step::Nearest(money),
        (None, Some(money)) => Step::Up(money),
        (None, None) => Step::None,
    })
}

pub(super) fn write_tax(written: Written, tax: Tax) -> Written {
    match tax {
        Tax::None => written,
        Tax::All(percent) => written.put("tax", percent),
        Tax::Materials(percent) => written.put("tax_materials", percent),
    }
}

pub(super) fn read_tax(form: Form<'_>) -> Result<Tax, Error> {
    Ok(match (form.maybe("tax")?, form.maybe("tax_materials")?) {
        (Some(percent), _) => Tax::All(percent),
        (None, Some(percent)) => Tax::Materials(percent),
        (None, None) => Tax::None,
    })
}

/// People; text that is no crew is refused like any other figure.
pub(super) fn read_crew(form: Form<'_>, field: &'static str) -> Result<Crew, Error> {
    let people: u32 = form.need(field)?;
    Crew::new(people).map_err(|_| form.unfit(field, &people.to_string()))
}

/// People, when they were said.
pub(super) fn maybe_crew(form: Form<'_>, field: &'static str) -> Result<Option<Crew>, Error> {
    let Some(people) = form.maybe::<u32>(field)? else {
        return Ok(None);
    };
    Crew::new(people)
        .map(Some)
        .map_err(|_| form.unfit(field, &people.to_string()))
}

pub(super) fn basis_text(basis: Basis) -> &'static str {
    match basis {
        Basis::Set => "set",
        Basis::Learned => "learned",
        Basis::Starter => "starter",
        Basis::Said => "said",
    }
}

fn fee_text(kind: FeeKind) -> &'static str {
    match kind {
        FeeKind::DumpFee => "dump fee",
    }
}

fn read_fee(form: Form<'_>) -> Result<(FeeKind, Money), Error> {
    let name = form.text("fee")?;
    let kind = match name.as_str() {
        "dump fee" => FeeKind::DumpFee,
        other => return Err(form.unfit("fee", other)),
    };
    Ok((kind, form.need("price")?))
}

fn write_line(line: &SheetLine) -> Written {
    let written = Written::new()
        .put("service", &line.service)
        .put_some("size", line.size.as_ref())
        .put("unit", line.unit)
        .put("quantity", line.quantity)
        .put_some("rate", line.rate)
        .put_some("material_each", line.material_each)
        .put_some("price_each", line.price_each)
        .put("basis", basis_text(line.basis));
    match line.effort {
        Effort::Each(minutes) => written.put("minutes_each", minutes),
        Effort::Whole(minutes) => written.put("man_minutes", minutes),
    }
}

fn read_line(form: Form<'_>) -> Result<SheetLine, Error> {
    let basis = form.text("basis")?;
    Ok(SheetLine {
        service: form.text("service")?,
        size: form.maybe_string("size")?,
        unit: form.need("unit")?,
        quantity: form.need("quantity")?,
        effort: match form.maybe("minutes_each")? {
            Some(minutes) => Effort::Each(minutes),
            None => Effort::Whole(form.need("man_minutes")?),
        },
        rate: form.maybe("rate")?,
        material_each: form.maybe("material_each")?,
        price_each: form.maybe("price_each")?,
        basis: match basis.as_str() {
            "set" => Basis::Set,
            "learned" => Basis::Learned,
            "starter" => Basis::Starter,
            "said" => Basis::Said,
            other => return Err(form.unfit("basis", other)),
        },
    })
}
