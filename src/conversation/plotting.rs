//! A picture of the minutes of one kind and size over time.

use chrono_tz::Tz;

use super::{
    answer::{Attachment, MinutesPicture, Part, Picture},
    ask::{Ask, Counted, Question, TimeQuestion},
    desk::{Desk, Worked},
    lines, minutes,
};
use crate::{
    journal::{Book, CoursePoint, Event, Hole, Item},
    language::{ClassSaid, Expecting},
    units::{ManMinutes, Timestamp},
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
    let zone = desk.book().settings().zone().unwrap_or(desk.ctx.zone);
    let Some(picture) = minutes_picture(desk.book(), &class.service, size, zone) else {
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
    let service = desk.book().service(&class.service);
    let row = service.and_then(|service| minutes::row_of(desk.book(), service, service.class(size)?));
    if let Some(row) = row {
        desk.say(Part::Times(vec![row]));
    }
    desk.say(Part::Attachment(Attachment::Picture(Picture::Minutes(Box::new(
        picture,
    )))));
    Ok(())
}

/// What there is to draw of a class; nothing before its first job or reading.
pub fn minutes_picture(book: &Book, service: &str, size: Option<&str>, zone: Tz) -> Option<MinutesPicture> {
    let listed = book.service(service)?;
    let newest: Vec<CoursePoint> = book.course(service, size).rev().take(POINTS_MAX).cloned().collect();
    let left_out = book.course(service, size).count() - newest.len();
    let set = listed.class(size).and_then(|class| class.minutes_each);
    (!newest.is_empty()).then(|| MinutesPicture {
        service: listed.name.clone(),
        size: size.map(str::to_string),
        unit: listed.unit,
        zone,
        course: newest.into_iter().rev().collect(),
        left_out,
        set: set.map(ManMinutes::get),
    })
}

/// The class that was measured last.
pub fn measured_last(book: &Book) -> Option<(String, Option<String>)> {
    let mut last: Option<(Timestamp, (String, Option<String>))> = None;
    for service in book.services() {
        for class in &service.classes {
            let point = book.course(&service.name, class.size.as_deref()).next_back();
            let later = point.filter(|point| last.as_ref().is_none_or(|(at, _)| point.at > *at));
            last = later
                .map(|point| (point.at, (service.name.clone(), class.size.clone())))
                .or(last);
        }
    }
    last.map(|(_, class)| class)
}
