//! Who is in the water, and what was logged of it: headcount, dives, weight checks.

use super::*;
use crate::course::{DiveLog, GasUsed, WaterKind, WeightCheck, WeightVerdict};
use crate::entry::{DiveLogged, WeightChecked};
use crate::standing::sample::ODD;
use crate::view::{HeadcountView, Place, WaterView};

#[test]
fn the_headcount_knows_who_is_in_since_when_and_who_should_be_back() {
    let mut sample = Sample::new();
    let [otti, emile] = [1, 2].map(|n| Who::Student(student(n)));
    let renate = Who::Staff(RENATE.staff);
    sample.pass(otti, 1, Passage::In, "2026-06-02T10:05:00+02:00");
    sample.pass(emile, 1, Passage::In, "2026-06-02T10:06:00+02:00");
    sample.pass(renate, 1, Passage::In, "2026-06-02T10:04:00+02:00");
    sample.pass(emile, 1, Passage::Out, "2026-06-02T11:00:30+02:00");
    let view = |at: &str| {
        let eyes = Eyes::new().at(at);
        HeadcountView::of(&sample.now, &eyes.reader(PELLE), &session(1)).unwrap()
    };
    let during = view("2026-06-02T11:10:00+02:00");
    let rows: Vec<(&str, Place)> = during
        .rows
        .iter()
        .map(|row| (row.name.name(), row.place))
        .collect();
    assert_eq!(
        rows,
        [
            ("Émile Aasen", Place::Out),
            ("Ottilie Brandvoll", Place::InWater),
            ("Pelle Strand", Place::NotSeen),
            ("Renate Solberg", Place::InWater)
        ]
    );
    assert_eq!(
        (
            during.expected,
            during.in_water,
            during.out,
            during.not_seen
        ),
        (4, 2, 1, 1)
    );
    let span = during.rows[0].elapsed.unwrap();
    assert_eq!(
        (span.all_minutes, span.seconds),
        (54, 30),
        "how long Émile was in"
    );
    assert_eq!(during.rows[1].elapsed.unwrap().all_minutes, 65);
    assert_eq!((during.overdue, during.past_end), (0, None));
    let ratio = during.ratio.unwrap();
    assert_eq!(
        (ratio.students, ratio.instructors, ratio.ceiling),
        (1, 1, Some(4))
    );
    let late = view("2026-06-02T11:40:00+02:00");
    assert_eq!(late.overdue, 2);
    assert_eq!(late.past_end.unwrap().all_minutes, 10);
    assert!(late.rows[1].overdue && !late.rows[0].overdue);
    assert_eq!(late.may_count, Leave::Yes);
}

#[test]
fn two_counts_made_apart_are_said_to_differ() {
    let mut sample = Sample::new();
    let who = Who::Student(student(1));
    sample.pass(who, 1, Passage::In, "2026-06-02T10:05:00+02:00");
    let seen = sample.now.passages(&session(1), &who);
    for passage in [Passage::Out, Passage::In] {
        let attendance = crate::entry::Attendance {
            who,
            session: session(1),
            passage,
            when: time("2026-06-02T10:30:00+02:00"),
        };
        sample.add(PELLE, &seen, attendance);
    }
    let eyes = Eyes::new().at("2026-06-02T10:40:00+02:00");
    let view = HeadcountView::of(&sample.now, &eyes.reader(PELLE), &session(1)).unwrap();
    let row = view.rows.iter().find(|row| row.name.who() == who).unwrap();
    assert_eq!((row.place, row.counted_apart), (Place::InWater, true));
    assert_eq!(row.after.len(), 3);
}

#[test]
fn someone_who_was_not_planned_is_counted_all_the_same() {
    let mut sample = Sample::new();
    sample.pass(
        Who::Staff(ODD.staff),
        1,
        Passage::In,
        "2026-06-02T10:05:00+02:00",
    );
    let eyes = Eyes::new().at("2026-06-02T10:40:00+02:00");
    let view = HeadcountView::of(&sample.now, &eyes.reader(PELLE), &session(1)).unwrap();
    let odd = view
        .rows
        .iter()
        .find(|row| row.name.name() == "Odd Lien")
        .unwrap();
    assert!(!odd.planned);
    assert_eq!((view.in_water, view.expected), (1, 5));
}

fn log(down: &str, up: &str, cm: u32) -> DiveLog {
    DiveLog {
        down: time(down),
        up: time(up),
        max_depth_cm: cm,
        mean_depth_cm: None,
        ascents: Some(2),
        gas: Some(GasUsed {
            capacity_dl: 120,
            start_mbar: 200_000,
            end_mbar: 80_000,
            oxygen_permille: 209,
        }),
        water: WaterKind::Fresh,
        temperature_dc: Some(180),
        profile: Vec::new(),
    }
}

#[test]
fn dives_are_numbered_by_when_they_were_made_and_held_against_the_policy() {
    let mut sample = Sample::new();
    sample.confirm_rules();
    let who = Who::Student(student(1));
    for (down, up, cm) in [
        (
            "2026-06-06T11:00:00+02:00",
            "2026-06-06T11:25:00+02:00",
            1_500,
        ),
        (
            "2026-06-06T09:30:00+02:00",
            "2026-06-06T09:50:00+02:00",
            1_300,
        ),
        (
            "2026-06-06T13:30:00+02:00",
            "2026-06-06T13:50:00+02:00",
            1_000,
        ),
    ] {
        let dive = DiveLogged {
            site: None,
            who,
            session: Some(session(3)),
            log: log(down, up, cm),
        };
        sample.add(RENATE, &[], dive);
    }
    let dive = DiveLogged {
        site: None,
        who: Who::Staff(RENATE.staff),
        session: Some(session(3)),
        log: log(
            "2026-06-06T09:29:00+02:00",
            "2026-06-06T09:51:00+02:00",
            1_300,
        ),
    };
    sample.add(RENATE, &[], dive);
    let eyes = Eyes::new();
    let view = WaterView::of(&sample.now, &eyes.reader(RENATE), Some(&student(1)));
    let dives: Vec<(Option<u32>, String, Limit, u32)> = view
        .dives
        .iter()
        .map(|dive| {
            (
                dive.number,
                dive.max_depth.to_string(),
                dive.depth_limit,
                dive.span.all_minutes,
            )
        })
        .collect();
    assert_eq!(
        dives,
        [
            (Some(1), "13.0 m".to_owned(), Limit::Over, 20),
            (Some(2), "15.0 m".to_owned(), Limit::Within, 25),
            (Some(3), "10.0 m".to_owned(), Limit::Within, 20)
        ]
    );
    assert_eq!(view.dives[0].used.as_ref().unwrap().to_string(), "120 bar");
    assert_eq!(
        (view.days[0].dives, view.days[0].dives_limit),
        (3, Limit::Over)
    );
    assert_eq!(
        view.days[0].ascents_limit,
        Limit::NoRule,
        "that rule is about staff"
    );
    let all = WaterView::of(&sample.now, &eyes.reader(RENATE), None);
    let staff = all
        .days
        .iter()
        .find(|day| matches!(day.who.who(), Who::Staff(_)));
    let staff = staff.unwrap();
    assert_eq!((staff.ascents, staff.ascents_limit), (2, Limit::Within));

    // How often they came up was not said of a second dive: nothing is called kept.
    sample.dive(Who::Staff(RENATE.staff), Some(3), ("15:00", "15:20"), 800);
    let all = WaterView::of(&sample.now, &eyes.reader(RENATE), None);
    let mut days = all.days.iter();
    let staff = days.find(|day| matches!(day.who.who(), Who::Staff(_)));
    let staff = staff.unwrap();
    assert_eq!((staff.ascents, staff.ascents_limit), (3, Limit::Unknown));
}

#[test]
fn the_latest_weight_check_comes_first() {
    let mut sample = Sample::new();
    for lead_g in [8_000, 6_000] {
        let check = WeightCheck {
            lead_g,
            water: WaterKind::Fresh,
            suit: "5 mm".to_owned(),
            capacity_dl: 120,
            cylinder: "steel".to_owned(),
            pressure_mbar: 50_000,
            verdict: WeightVerdict::Right,
        };
        let checked = WeightChecked {
            student: student(1),
            session: None,
            check,
        };
        sample.add(RENATE, &[], checked);
    }
    let eyes = Eyes::new();
    let view = WaterView::of(&sample.now, &eyes.reader(OFFICE), None);
    assert_eq!(view.weights[0].lead.to_string(), "6.0 kg");
    let held = |one: &crate::view::WeightingView| one.last.as_ref().map(|row| row.lead.to_string());
    assert_eq!(view.leads.len(), sample.now.students().len());
    let checked = view.leads.iter().filter_map(held).collect::<Vec<_>>();
    assert_eq!(checked, ["6.0 kg"]);
    assert_eq!((view.may_weigh, view.may_log), (Leave::Role, Leave::Yes));
}
