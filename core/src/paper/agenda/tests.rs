//! Calendars and tables as they come, and what is wrong with them.

use chrono::{DateTime, FixedOffset, NaiveDateTime};

use super::{AgendaEvent, AgendaReason, read_agenda};
use crate::course::Setting;

/// Two hours east of Greenwich, all the year.
fn here(at: NaiveDateTime) -> Option<DateTime<FixedOffset>> {
    at.and_local_timezone(FixedOffset::east_opt(7_200)?)
        .single()
}

fn time(text: &str) -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339(text).unwrap()
}

fn read(text: &str) -> (Vec<AgendaEvent>, Vec<(u64, AgendaReason)>) {
    let agenda = read_agenda(text.as_bytes(), &here);
    let faults = agenda.faults.iter();
    let faults = faults.map(|fault| (fault.line, fault.reason)).collect();
    (agenda.events, faults)
}

/// A calendar around these lines.
fn calendar(lines: &str) -> String {
    let text = format!("BEGIN:VCALENDAR\nVERSION:2.0\n{lines}\nEND:VCALENDAR\n");
    text.replace('\n', "\r\n")
}

/// An event around these lines.
fn event(lines: &str) -> String {
    calendar(&format!("BEGIN:VEVENT\nUID:a@pool\n{lines}\nEND:VEVENT"))
}

#[test]
fn an_event_is_read_with_its_id_hours_and_place_whatever_else_stands_there() {
    let text = event(
        "DTSTAMP:20260501T080000Z\nDTSTART:20260602T160000Z\nDTEND:20260602T173000Z\n\
         SUMMARY:Hours\nLOCATION:Hollow Lane pool\\, deep\n  end\nBEGIN:VALARM\n\
         TRIGGER:-PT15M\nUID:another\nEND:VALARM",
    );
    let (events, faults) = read(&text);
    assert_eq!(faults, []);
    assert_eq!(events.len(), 1);
    assert_eq!(events[0].uid, "a@pool");
    assert_eq!(events[0].line, 3);
    assert_eq!(events[0].place, "Hollow Lane pool, deep end");
    assert_eq!(events[0].starts, time("2026-06-02T18:00:00+02:00"));
    assert_eq!(events[0].ends, time("2026-06-02T19:30:00+02:00"));
    assert!(!events[0].cancelled);
}

#[test]
fn whole_days_floating_hours_lengths_and_what_was_called_off() {
    let (days, _) = read(&event(
        "DTSTART;VALUE=DATE:20260602\nDTEND;VALUE=DATE:20260605",
    ));
    assert_eq!(days[0].starts, time("2026-06-02T00:00:00+02:00"));
    assert_eq!(days[0].ends, time("2026-06-05T00:00:00+02:00"));
    let (day, _) = read(&event("DTSTART;VALUE=DATE:20260602"));
    assert_eq!(day[0].ends, time("2026-06-03T00:00:00+02:00"));
    let (floating, _) = read(&event("DTSTART:20260602T180000\nDURATION:PT1H30M"));
    assert_eq!(floating[0].starts, time("2026-06-02T18:00:00+02:00"));
    assert_eq!(floating[0].ends, time("2026-06-02T19:30:00+02:00"));
    let off = "DTSTART:20260602T160000Z\nDTEND:20260602T170000Z\nSTATUS:CANCELLED\nSUMMARY:Bath";
    let (off, _) = read(&event(off));
    assert!(off[0].cancelled);
    assert_eq!(off[0].place, "Bath", "where no place is given");
}

const ZONE: &str = "BEGIN:VTIMEZONE\nTZID:Some/Town\nBEGIN:DAYLIGHT\nTZOFFSETFROM:+0100\n\
    TZOFFSETTO:+0200\nDTSTART:19700329T020000\nRRULE:FREQ=YEARLY;BYMONTH=3;BYDAY=-1SU\n\
    END:DAYLIGHT\nBEGIN:STANDARD\nTZOFFSETFROM:+0200\nTZOFFSETTO:+0100\n\
    DTSTART:19701025T030000\nRRULE:FREQ=YEARLY;BYDAY=-1SU;BYMONTH=10\nEND:STANDARD\n\
    END:VTIMEZONE\n";

#[test]
fn a_zone_that_the_file_describes_is_known_in_summer_and_winter_and_one_that_is_named_is_not() {
    let at = |day: &str, zone: &str| {
        let lines = format!(
            "{zone}BEGIN:VEVENT\nUID:a\nDTSTART;TZID=\"Some/Town\":{day}T180000\n\
             DURATION:PT1H\nEND:VEVENT"
        );
        read(&calendar(&lines))
    };
    for (day, starts) in [
        ("20260328", "2026-03-28T18:00:00+01:00"),
        ("20260329", "2026-03-29T18:00:00+02:00"),
        ("20261024", "2026-10-24T18:00:00+02:00"),
        ("20261025", "2026-10-25T18:00:00+01:00"),
        ("20270101", "2027-01-01T18:00:00+01:00"),
    ] {
        let (events, faults) = at(day, ZONE);
        assert_eq!(faults, [], "{day}");
        assert_eq!(events[0].starts, time(starts));
        assert_eq!(events[0].starts.offset(), time(starts).offset(), "{day}");
    }
    let (events, faults) = at("20260602", "");
    assert_eq!(
        (events.len(), faults),
        (0, vec![(3, AgendaReason::UnknownZone)])
    );
    let odd = ZONE.replace("FREQ=YEARLY;BYDAY", "FREQ=MONTHLY;BYDAY");
    let (_, faults) = at("20260602", &odd);
    assert_eq!(
        faults[0].1,
        AgendaReason::UnknownZone,
        "a rule that is not read"
    );
    let (utc, _) = read(&event(
        "DTSTART;TZID=Etc/UTC:20260602T160000\nDURATION:PT1H",
    ));
    assert_eq!(utc[0].starts, time("2026-06-02T18:00:00+02:00"));
}

#[test]
fn what_cannot_be_read_of_a_calendar_is_named_with_its_line_and_the_rest_is_read() {
    let whole = "BEGIN:VEVENT\nUID:b\nDTSTART:20260603T160000Z\nDURATION:PT1H\nEND:VEVENT";
    for (lines, reason) in [
        ("DTSTART:20260602T160000Z", AgendaReason::NoEnd),
        ("DTEND:20260602T160000Z", AgendaReason::NoStart),
        (
            "DTSTART:20261302T160000Z\nDURATION:PT1H",
            AgendaReason::BadTime,
        ),
        ("DTSTART:tomorrow\nDURATION:PT1H", AgendaReason::BadTime),
        (
            "DTSTART:20260602T160000Z\nDURATION:PT",
            AgendaReason::BadTime,
        ),
        (
            "DTSTART:20260602T160000Z\nDTEND:20260602T150000Z",
            AgendaReason::EndsBeforeItBegins,
        ),
        (
            "DTSTART:20260602T160000Z\nDURATION:PT1H\nRRULE:FREQ=WEEKLY",
            AgendaReason::Repeats,
        ),
    ] {
        let bad = format!("BEGIN:VEVENT\nUID:a\n{lines}\nEND:VEVENT");
        let (events, faults) = read(&calendar(&format!("{bad}\n{whole}")));
        assert_eq!(faults, [(3, reason)], "{lines}");
        assert_eq!(events.len(), 1, "{lines}");
        assert_eq!(events[0].uid, "b");
    }
    let nameless = calendar("BEGIN:VEVENT\nDTSTART:20260603T160000Z\nEND:VEVENT");
    assert_eq!(read(&nameless).1, [(3, AgendaReason::NoId)]);
    let open = format!("BEGIN:VCALENDAR\n{whole}\nBEGIN:VEVENT\nUID:c\n");
    let (events, faults) = read(&open);
    assert_eq!(
        (events.len(), faults),
        (1, vec![(7, AgendaReason::Unclosed)])
    );
    for text in ["", "  \n", "a,b\n1,2\n", "\0\0\0"] {
        assert_eq!(read(text).1, [(1, AgendaReason::NoCalendar)], "{text:?}");
    }
}

#[test]
fn a_table_is_read_in_either_language_with_days_and_times() {
    let (events, faults) = read(
        "date;start;end;site;setting;price\n\
         2026-06-02;18:00;19:30;Hollow Lane pool;pool;40 EUR\n\
         2026-06-06;09:00;13:00;Old mill pond;open;\n",
    );
    assert_eq!(faults, []);
    assert_eq!(events[0].starts, time("2026-06-02T18:00:00+02:00"));
    assert_eq!(events[0].ends, time("2026-06-02T19:30:00+02:00"));
    assert_eq!(events[0].setting, Some(Setting::Confined));
    assert_eq!(events[0].price.as_deref(), Some("40 EUR"));
    assert_eq!(
        (events[1].setting, &events[1].price),
        (Some(Setting::Open), &None)
    );
    assert_eq!(events[0].uid, "", "no id is made up here");
    let (again, _) = read("Datum,von,bis,Ort\n02.06.2026,18:00,19:30,Hollow Lane pool\n");
    assert_eq!(again[0].starts, events[0].starts);
    let (named, _) = read("id,start,end\nA-7,2026-06-02 18:00,19:30\n");
    assert_eq!(named[0].uid, "A-7");
    assert_eq!(named[0].ends, events[0].ends);
}

#[test]
fn a_table_of_an_office_program_is_read_and_its_bad_lines_are_told_as_an_editor_counts_them() {
    let plain = "date,start,end,site\n\
         2026-06-02,18:00,19:30,Hollow Lane pool\n\
         2026-06-03,18:00,,Hollow Lane pool\n\n\
         2026-06-04,25:00,26:00,Hollow Lane pool\n";
    let (events, faults) = read(plain);
    assert_eq!(
        faults,
        [(3, AgendaReason::NoEnd), (5, AgendaReason::BadTime)]
    );
    let same = |bytes: &[u8], what: &str| {
        let agenda = read_agenda(bytes, &here);
        assert_eq!(agenda.events, events, "{what}");
        let found = agenda.faults.iter().map(|fault| (fault.line, fault.reason));
        assert_eq!(found.collect::<Vec<_>>(), faults, "{what}");
    };
    let office = plain.replace('\n', "\r\n");
    same(office.as_bytes(), "lines that end in CR and LF");
    let little: Vec<u8> = "\u{feff}"
        .encode_utf16()
        .chain(office.encode_utf16())
        .flat_map(u16::to_le_bytes)
        .collect();
    same(&little, "UTF-16 with a mark");
    let big: Vec<u8> = office.encode_utf16().flat_map(u16::to_be_bytes).collect();
    same(&big, "UTF-16 without one");
    let piped = plain.replace(',', "|");
    same(piped.as_bytes(), "strokes between the fields");
}

#[test]
fn a_table_that_says_what_stands_between_its_fields_is_read_by_it() {
    let (events, faults) = read(
        "sep=;\r\ndate;start;end;site\r\n\
         2026-06-02;18:00;19:30;Hollow Lane pool, deep end\r\n\
         2026-06-03;18:00;;Hollow Lane pool\r\n",
    );
    assert_eq!(events.len(), 1);
    assert_eq!(events[0].line, 3);
    assert_eq!(events[0].place, "Hollow Lane pool, deep end");
    assert_eq!(faults, [(4, AgendaReason::NoEnd)]);
}

#[test]
fn a_quote_that_is_never_closed_is_named_and_swallows_nothing_unsaid() {
    let (events, faults) = read(
        "date,start,end,site\n\
         2026-06-02,18:00,19:30,Hollow Lane pool\n\
         2026-06-03,18:00,19:30,\"Hollow Lane pool\n\
         2026-06-04,18:00,19:30,Hollow Lane pool\n",
    );
    assert_eq!(events.len(), 1);
    assert_eq!(faults, [(3, AgendaReason::Quotes)]);
}

#[test]
fn a_table_with_more_rows_than_are_read_says_so() {
    let rows = "2026-06-02,18:00,19:30\n".repeat(10_001);
    let (events, faults) = read(&format!("date,start,end\n{rows}"));
    assert_eq!((events, faults), (vec![], vec![(1, AgendaReason::TooMany)]));
}

#[test]
fn rows_of_whole_days_take_the_last_day_with_them() {
    let (days, faults) = read("from,until\n2026-06-02,2026-06-04\n2026-06-09,\n");
    assert_eq!(faults, []);
    assert_eq!(days[0].starts, time("2026-06-02T00:00:00+02:00"));
    assert_eq!(
        days[0].ends,
        time("2026-06-05T00:00:00+02:00"),
        "the last day too"
    );
    assert_eq!(days[1].ends, time("2026-06-10T00:00:00+02:00"));
}

#[test]
fn a_bad_row_is_named_and_the_rest_is_read() {
    let (events, faults) = read(
        "date,start,end,setting\n\
         2026-06-02,18:00,19:30,pool\n\
         06/02/2026,18:00,19:30,pool\n\
         2026-06-03,18:00,,pool\n\
         2026-06-03,18:00,17:00,pool\n\
         2026-06-03,18:00,19:00,moon\n\
         2026-06-03,18:00\n\
         ,18:00,19:00,pool\n\
         ,,,\n\
         2026-06-04,25:00,26:00,pool\n",
    );
    assert_eq!(events.len(), 1);
    assert_eq!(
        faults,
        [
            (3, AgendaReason::BadTime),
            (4, AgendaReason::NoEnd),
            (5, AgendaReason::EndsBeforeItBegins),
            (6, AgendaReason::BadSetting),
            (7, AgendaReason::Fields),
            (8, AgendaReason::BadTime),
            (10, AgendaReason::BadTime),
        ]
    );
}
