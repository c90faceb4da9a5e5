"""A calendar feed of ours, read by the Python library icalendar: what it holds, and whether it is what RFC 5545 says."""
import datetime
import json
import sys
import zoneinfo

import icalendar

case = json.load(sys.stdin)
for feed in case["feeds"]:
    text = feed["text"]
    raw = text.encode()
    # RFC 5545, section 3.1: lines end with CRLF and are folded at 75 octets.
    assert raw.endswith(b"\r\n") and b"\n" not in raw.replace(b"\r\n", b""), "bare line ends"
    assert all(len(line) <= 75 for line in raw.split(b"\r\n")), "a line of more than 75 octets"
    calendar = icalendar.Calendar.from_ical(text)
    assert calendar.name == "VCALENDAR" and calendar["VERSION"] == "2.0" and calendar["PRODID"], calendar
    assert not calendar.errors, calendar.errors
    events = {}
    for event in calendar.walk("VEVENT"):
        assert not event.errors, event.errors
        uid = str(event["UID"])
        assert uid not in events, f"{uid} twice"
        assert isinstance(event["DTSTAMP"].dt, datetime.datetime), "a stamp without a time"
        events[uid] = event
    assert len(events) == len(feed["events"]), (len(events), feed["events"])
    for wanted in feed["events"]:
        event = events[wanted["uid"]]
        zone = zoneinfo.ZoneInfo(wanted["zone"])
        start, end = event["DTSTART"].dt, event["DTEND"].dt
        assert start.utcoffset() is not None and end.utcoffset() is not None, "a floating time"
        local = start.astimezone(zone).strftime("%Y-%m-%d %H:%M")
        assert local == wanted["start"], (local, wanted["start"])
        minutes = (end - start).total_seconds() / 60
        assert minutes == wanted["minutes"], (minutes, wanted["minutes"])
        assert int(event.get("SEQUENCE", 0)) == wanted["sequence"], (event.get("SEQUENCE"), wanted)
        assert str(event["LOCATION"]) == wanted["place"], event["LOCATION"]
        assert str(event["SUMMARY"]) == wanted["summary"], event["SUMMARY"]
        assert str(event["STATUS"]) == wanted["status"], event["STATUS"]
        description = str(event["DESCRIPTION"])
        for words in wanted["describes"]:
            assert words in description, (words, description)
        assert ("$" in description) == wanted["prices"], description
    # Written again by the library, it is the same calendar.
    again = icalendar.Calendar.from_ical(calendar.to_ical())
    assert {str(event["UID"]) for event in again.walk("VEVENT")} == set(events)
print("ok")
