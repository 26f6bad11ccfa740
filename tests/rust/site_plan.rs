//! Sites, their emergency plans before water, and the moment at which something goes wrong.

use tallywater_core::course::{
    Alarm, EmergencyContact, EmergencyPlan, Position, Site, SiteId, WaterKind,
};
use tallywater_core::desk::{DeskError, Request, Scope};
use tallywater_core::entry::{Kind, Refusal};
use tallywater_core::paper::{Fonts, Language, Press, Slate, SlateSize};
use tallywater_core::plan::SiteMissing;
use tallywater_core::view::{EmergencyView, SessionView, SitesView, Units};

use crate::paper_tools::Opened;
use crate::support::devices::{Device, School, confirm_all_rules, details, meet};

fn pool() -> Site {
    Site {
        name: "Hollow Lane pool".into(),
        access: "Gate behind the school, code at the desk".into(),
        entry: "Ladder at the deep end".into(),
        hazards: "Drain cover at 4 m".into(),
        tides: String::new(),
        position: Some(Position {
            north_e4: 475_000,
            east_e4: 96_000,
        }),
        altitude_m: Some(400),
        water: Some(WaterKind::Fresh),
        depth_cm: Some(380),
        temperature_dc: Some(270),
    }
}

fn numbers() -> EmergencyPlan {
    EmergencyPlan {
        numbers: "112, then the pool desk 555 0101".into(),
        address: "Hollow Lane 4, gate B".into(),
        chamber: "Harbour clinic, 555 0199".into(),
        hospital: "County hospital, 555 0188".into(),
        oxygen: "Behind the desk, green case".into(),
        first_aid: "On the wall by the showers".into(),
        assembly: "Lawn by gate B".into(),
        roles: "Renate leads, Bo calls".into(),
    }
}

fn set_site(by: &Device) -> SiteId {
    let made = by.record(Request::SetSite {
        site: None,
        details: pool(),
    });
    made.made.unwrap().parse().unwrap()
}

fn missing(school: &School) -> Vec<SiteMissing> {
    let found = school
        .instructor
        .desk
        .look(&school.course, Units::Metric, |course, reader| {
            let view = SessionView::of(course, reader, &school.session);
            view.unwrap().site_missing
        });
    found.unwrap()
}

fn emergency(school: &School) -> EmergencyView {
    let desk = &school.instructor.desk;
    desk.look(&school.course, Units::Metric, |course, reader| {
        EmergencyView::of(course, reader, &school.session).unwrap()
    })
    .unwrap()
}

fn confirm(by: &Device, site: SiteId) {
    let plan = by
        .desk
        .look_at_shop(Units::Metric, |reader| {
            SitesView::of(reader).rows[0].plan.unwrap()
        })
        .unwrap();
    by.record(Request::ConfirmEmergency { site, plan });
}

#[test]
fn a_sites_plan_is_missing_before_water_until_somebody_confirms_it_and_again_when_it_is_old() {
    let school = School::new(2);
    let by = &school.instructor;
    println!("## Nobody knows the site");
    assert_eq!(missing(&school), [SiteMissing::NoPlan]);
    let site = set_site(by);
    assert_eq!(
        missing(&school),
        [SiteMissing::NoPlan],
        "described, without a plan"
    );
    by.record(Request::SetEmergency {
        site,
        plan: numbers(),
    });
    assert_eq!(missing(&school), [SiteMissing::NotConfirmed]);
    println!("## Confirmed by a person, with the day");
    confirm(by, site);
    assert_eq!(missing(&school), []);
    let view = emergency(&school);
    let held = view.site.as_ref().unwrap().confirmed.clone().unwrap();
    assert_eq!(
        (held.by.name.as_str(), held.on.date.to_string().as_str()),
        ("Renate Solheim", "2026-06-06")
    );
    println!("## A plan that was changed was confirmed by nobody");
    let mut other = numbers();
    other.oxygen = "In the van".into();
    by.record(Request::SetEmergency { site, plan: other });
    assert_eq!(missing(&school), [SiteMissing::NotConfirmed]);
    confirm(by, site);
    println!("## A year later it is asked for again");
    let mut plan = by
        .desk
        .with_course(&school.course, |course| {
            course.sessions()[&school.session].plan.clone()
        })
        .unwrap();
    plan.starts += chrono::Duration::days(366);
    by.record(Request::PlanSession {
        course: school.course,
        session: Some(school.session),
        plan,
    });
    let old = missing(&school);
    assert!(matches!(old[..], [SiteMissing::TooOld(_, 12)]), "{old:?}");
}

#[test]
fn a_rule_that_nobody_confirmed_and_a_plan_of_another_site_count_for_nothing() {
    let school = School::new(1);
    let by = &school.instructor;
    let site = set_site(by);
    by.record(Request::SetEmergency {
        site,
        plan: numbers(),
    });
    confirm(by, site);
    assert_eq!(missing(&school), []);
    // The same policy, set anew in the course: its rules were confirmed by nobody.
    let policy = tallywater_core::course::starter::policy().unwrap();
    by.record(Request::SetPolicy {
        scope: Scope::Course(school.course),
        policy,
    });
    assert!(matches!(
        missing(&school)[..],
        [SiteMissing::RuleUnconfirmed(_)]
    ));
    confirm_all_rules(by, Scope::Course(school.course));
    assert_eq!(missing(&school), []);
    println!("## What nobody described is refused by name");
    let nowhere = SiteId::new(uuid::Uuid::from_u128(9));
    let refused = by.desk.record(Request::SetEmergency {
        site: nowhere,
        plan: numbers(),
    });
    let DeskError::Refused(refusal) = refused.unwrap_err() else {
        panic!("not refused");
    };
    assert_eq!(refusal, Refusal::Unknown { what: "site" });
    let refused = by.desk.record(Request::SetEmergency {
        site,
        plan: EmergencyPlan::default(),
    });
    let DeskError::Refused(refusal) = refused.unwrap_err() else {
        panic!("not refused");
    };
    assert_eq!(refusal, Refusal::TextEmpty { field: "numbers" });
    let refused = school.assistant.desk.record(Request::SetSite {
        site: None,
        details: pool(),
    });
    assert!(matches!(
        refused,
        Err(DeskError::Refused(Refusal::Role {
            kind: Kind::SiteSet,
            ..
        }))
    ));
}

#[test]
fn one_press_writes_down_a_lost_buddy_and_another_device_sees_when() {
    let school = School::new(2);
    let raised = school.assistant.record(Request::RaiseAlarm {
        course: school.course,
        session: school.session,
        what: Alarm::LostBuddy,
        when: None,
    });
    meet(&school.assistant, &school.instructor);
    let alarms = emergency(&school).alarms;
    assert_eq!(alarms.len(), 1);
    assert_eq!(alarms[0].what, Alarm::LostBuddy);
    assert_eq!(alarms[0].entry, raised.entries[0].1);
    assert_eq!(alarms[0].by.name, "Bo Merriweather");
    assert_eq!(
        (alarms[0].when.hour, alarms[0].when.day.date.to_string()),
        (9, "2026-06-06".into())
    );
    println!("## A press by mistake is taken back by whoever made it");
    school.assistant.record(Request::Withdraw {
        ledger: raised.entries[0].0,
        entry: raised.entries[0].1,
        why: None,
    });
    meet(&school.assistant, &school.instructor);
    assert!(emergency(&school).alarms.is_empty());
}

#[test]
fn the_light_of_the_day_stands_with_the_site() {
    let school = School::new(1);
    set_site(&school.instructor);
    let light = emergency(&school).light.unwrap();
    let clock = |at: Option<tallywater_core::view::Moment>| {
        let at = at.unwrap();
        (at.hour, at.minute)
    };
    // 47.5 N 9.6 E in June by summer time: no almanac at hand, so the order and the hour alone.
    assert!(clock(light.dawn) < clock(light.sunrise), "{light:?}");
    assert_eq!(clock(light.sunrise).0, 5);
    assert_eq!(clock(light.sunset).0, 21);
    assert!(clock(light.sunset) < clock(light.dusk));
}

#[test]
fn the_plan_and_whom_to_call_are_printed_on_sheet_and_slate_in_both_languages() {
    let school = School::new(3);
    let by = &school.instructor;
    let mut known = details("Ottilie Brandvoll");
    known.emergency = Some(EmergencyContact {
        name: "Marit Brandvoll".into(),
        reach: "555 0142".into(),
    });
    by.record(Request::Amend {
        course: school.course,
        student: school.students[0],
        details: known,
    });
    let site = set_site(by);
    by.record(Request::SetEmergency {
        site,
        plan: numbers(),
    });
    let papers = || by.desk.papers(&school.course).unwrap();
    let mut press = Press::new(Fonts::bundled().unwrap()).unwrap();
    for (language, nobody) in [
        (Language::English, "EMERGENCY PLAN CONFIRMED BY NOBODY"),
        (Language::German, "NOTFALLPLAN VON NIEMANDEM BESTÄTIGT"),
    ] {
        press.language = language;
        let papers = papers();
        let sheet = press
            .session_sheet(&papers.source(), school.session)
            .unwrap();
        let sheet = Opened::new(&format!("emergency-sheet-{language:?}"), &sheet.unwrap());
        sheet.check();
        sheet.nothing_overlaps();
        let slate = Slate::of(&papers.source(), school.session, language).unwrap();
        for size in [SlateSize::A5, SlateSize::A6] {
            let slate = press.slate(&slate, size).unwrap();
            let name = format!("emergency-slate-{language:?}-{size:?}");
            let slate = Opened::new(&name, &slate);
            slate.check();
            slate.nothing_overlaps();
            for paper in [&sheet, &slate] {
                let text = paper.running_text();
                for said in [
                    nobody,
                    "555 0101",
                    "Hollow Lane 4",
                    "Harbour clinic",
                    "green case",
                    "Lawn by gate B",
                    "Marit Brandvoll",
                    "555 0142",
                ] {
                    assert!(text.contains(said), "{said} in {text}");
                }
            }
        }
    }
    confirm(by, site);
    press.language = Language::English;
    let papers = papers();
    let sheet = press
        .session_sheet(&papers.source(), school.session)
        .unwrap();
    let text = Opened::new("emergency-sheet-confirmed", &sheet.unwrap()).running_text();
    assert!(
        text.contains("Confirmed by Renate Solheim, 2026-06-06"),
        "{text}"
    );
    assert!(text.contains("sunrise 05:"), "{text}");
    let cards = press.alarm_cards(by.desk.now()).unwrap();
    let cards = Opened::new("alarm-cards", &cards);
    cards.check();
    cards.nothing_overlaps();
    assert!(cards.running_text().contains("Lost buddy"));
}
