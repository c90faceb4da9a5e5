//! A picture of the minutes of one kind and size over time.

use super::{
    answer::{Attachment, MinutesPicture, Part, Picture},
    ask::{Ask, Counted, Question, TimeQuestion},
    desk::{Desk, Worked},
    lines, minutes,
};
use crate::{
    journal::{CoursePoint, Event, Hole, Item},
    language::{ClassSaid, Expecting},
};

/// How many jobs and sittings are drawn at most; older ones would be a blur on a phone.
const POINTS_MAX: usize = 200;

/// Draws the minutes of a class, or says what is missing for it.
pub(super) fn plot(desk: &mut Desk<'_>, said: &ClassSaid) -> Worked {
    let topic = desk.talk().services;
    let class = lines::resolve_class(desk, Item::Whole, said, &lines::class_counted(said), &topic)?;
    if desk.talk().services != [class.service.as_str()] {
        desk.record(Event::ServiceMentioned {
            service: class.service.clone(),
        });
    }
    let size = class.size.as_deref();
    let newest: Vec<CoursePoint> = desk
        .book()
        .course(&class.service, size)
        .rev()
        .take(POINTS_MAX)
        .cloned()
        .collect();
    let all = desk.book().course(&class.service, size).count();
    let service = desk.book().service(&class.service).cloned();
    let (Some(service), false) = (service, newest.is_empty()) else {
        let counted = Counted {
            quantity: None,
            unit: None,
            service: Some(class.service),
            size: class.size,
        };
        let slot = desk.slot(Item::Whole, Hole::Minutes);
        let question = Question::Time(TimeQuestion::NothingTimed(counted));
        return Err(Ask::value(slot, question, Expecting::Nothing).into());
    };
    let known = service.class(size).cloned();
    if let Some(row) = known
        .as_ref()
        .and_then(|known| minutes::row_of(desk.book(), &service, known))
    {
        desk.say(Part::Times(vec![row]));
    }
    let zone = desk.book().settings().zone().unwrap_or(desk.ctx.zone);
    let left_out = all - newest.len();
    desk.say(Part::Attachment(Attachment::Picture(Picture::Minutes(Box::new(
        MinutesPicture {
            service: service.name,
            size: class.size,
            unit: service.unit,
            zone,
            course: newest.into_iter().rev().collect(),
            left_out,
            set: known.and_then(|known| known.minutes_each).map(|minutes| minutes.get()),
        },
    )))));
    Ok(())
}
