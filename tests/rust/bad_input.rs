//! Bad and extreme input over the border, as a table that a person can read: what was given,
//! and the answer with its rule, field, bounds and unit. After each, nothing has changed.

use std::sync::Arc;

use tallywater_bindings::{
    Again, BodyMeasures, DiveLog, Fault, FigureKind, GasUsed, Mark, MarkTap, MeasureKind, Measured,
    Origin, OutlineFrom, PersonDetails, Policy, Request, Role, Rule, RuleText, Scope, SessionPlan,
    StaffPaper, StaffRole, Tallywater, Units, WaterKind, WeightCheck, WeightVerdict, Who,
    starter_policy,
};
use tallywater_core::course::LedgerId;
use tallywater_core::entry::Refusal;
use tempfile::TempDir;

/// A lone instructor's tablet with a course, a student and a planned session.
struct Tablet {
    desk: Arc<Tallywater>,
    _folder: TempDir,
    staff: String,
    course: String,
    student: String,
    session: String,
}

fn made(desk: &Tallywater, request: Request) -> String {
    desk.record(request).unwrap().made.unwrap()
}

fn person(name: &str, born: Option<&str>) -> PersonDetails {
    PersonDetails {
        name: name.into(),
        called: None,
        born: born.map(str::to_owned),
        adult: None,
        contact: None,
        emergency: None,
        body: None,
        sizes: None,
    }
}

impl Tablet {
    fn new() -> Self {
        let folder = TempDir::new().unwrap();
        let desk = Tallywater::open(folder.path().display().to_string()).unwrap();
        let staff = desk.start_alone("Tarn School".into(), "Tove Askildsen".into());
        let staff = staff.unwrap();
        let course = Request::OpenCourse {
            title: "First dives".into(),
            starts: "2025-06-06".into(),
            place: None,
            outline: OutlineFrom::School,
            staff: vec![StaffRole {
                staff: staff.clone(),
                role: Role::Instructor,
            }],
        };
        let course = made(&desk, course);
        let enrol = Request::Enrol {
            course: course.clone(),
            details: person("Ottilie Brandvoll", Some("1990-02-03")),
            referred_from: None,
        };
        let student = made(&desk, enrol);
        let mut plan = desk.draft_session(course.clone(), None).unwrap();
        plan.title = "Pool one".into();
        plan.site = "Hollow Lane".into();
        plan.starts = "2025-06-07T10:00:00+02:00".into();
        plan.students = vec![student.clone()];
        let session = Request::PlanSession {
            course: course.clone(),
            session: None,
            plan,
        };
        let session = made(&desk, session);
        Self {
            desk,
            _folder: folder,
            staff,
            course,
            student,
            session,
        }
    }

    /// Where every ledger stands.
    fn everything(&self) -> Vec<(LedgerId, Vec<u8>)> {
        let core = self.desk.desk();
        let mut ledgers = core.ledgers().unwrap();
        ledgers.sort();
        let heads = |id: LedgerId| (id, core.heads(&id).unwrap().to_bytes());
        ledgers.into_iter().map(heads).collect()
    }

    fn plan(&self, change: fn(&mut SessionPlan)) -> Request {
        let plan = self
            .desk
            .session_plan(self.course.clone(), self.session.clone());
        let mut plan = plan.unwrap();
        change(&mut plan);
        Request::PlanSession {
            course: self.course.clone(),
            session: Some(self.session.clone()),
            plan,
        }
    }

    fn dive(&self, change: fn(&mut DiveLog)) -> Request {
        let mut log = DiveLog {
            down: "2025-06-07T10:20:00+02:00".into(),
            up: "2025-06-07T10:50:00+02:00".into(),
            max_depth_cm: 1_000,
            mean_depth_cm: None,
            ascents: None,
            gas: Some(GasUsed {
                capacity_dl: 120,
                start_mbar: 200_000,
                end_mbar: 80_000,
                oxygen_permille: 209,
            }),
            water: WaterKind::Fresh,
            temperature_dc: None,
            profile: Vec::new(),
        };
        change(&mut log);
        Request::LogDive {
            course: self.course.clone(),
            who: Who::Student {
                student: self.student.clone(),
            },
            session: None,
            log,
        }
    }

    fn weight(&self, change: fn(&mut WeightCheck)) -> Request {
        let mut check = WeightCheck {
            lead_g: 6_000,
            water: WaterKind::Fresh,
            suit: "5 mm two-piece".into(),
            capacity_dl: 120,
            cylinder: "steel".into(),
            pressure_mbar: 50_000,
            verdict: WeightVerdict::Right,
        };
        change(&mut check);
        Request::CheckWeight {
            course: self.course.clone(),
            student: self.student.clone(),
            session: None,
            check,
        }
    }

    fn rule(&self, id: &str, rule: Rule) -> Request {
        let mut policy: Policy = starter_policy().unwrap();
        let named = policy.rules.iter_mut().find(|one| one.id == id);
        named.unwrap().rule = rule;
        Request::SetPolicy {
            scope: Scope::Shop,
            policy,
        }
    }

    fn confirm(&self, title: &str, on: &str) -> Request {
        Request::ConfirmRules {
            scope: Scope::Course {
                course: self.course.clone(),
            },
            rules: vec!["ratio-open".into()],
            read: RuleText {
                title: title.into(),
                edition: None,
                clause: None,
                on: on.into(),
            },
        }
    }

    fn renew(&self, until: &str) -> Request {
        Request::RenewStaff {
            staff: self.staff.clone(),
            what: StaffPaper::Insurance,
            until: Some(until.into()),
        }
    }

    fn aside(&self, skills: &[&str], why: &str) -> Request {
        Request::Override {
            course: self.course.clone(),
            student: self.student.clone(),
            session: self.session.clone(),
            skills: skills.iter().map(|id| (*id).to_owned()).collect(),
            why: why.into(),
        }
    }

    fn enrol(&self, born: &str) -> Request {
        Request::Enrol {
            course: self.course.clone(),
            details: person("Wilma Oldacre", Some(born)),
            referred_from: None,
        }
    }

    fn body(&self, height_mm: u16, weight_g: u32) -> Request {
        let mut details = person("Ottilie Brandvoll", Some("1990-02-03"));
        details.body = Some(BodyMeasures {
            height_mm,
            weight_g,
        });
        Request::Amend {
            course: self.course.clone(),
            student: self.student.clone(),
            details,
        }
    }

    fn met(&self, measured: Measured) -> Request {
        let (course, student) = (self.course.clone(), self.student.clone());
        let sheet = self
            .desk
            .attempt_sheet(course, student, "mask-full".into(), None);
        Request::Mark {
            tap: MarkTap {
                on: Arc::clone(&sheet.unwrap().cell.on),
                mark: Mark::Met,
                method: None,
                measured: vec![measured],
                slips: Vec::new(),
                note: None,
                despite: None,
                session: None,
                origin: Origin::Live,
                again: Again::Unsaid,
            },
        }
    }

    /// What was refused, in one line: rule, field, least, most, unit. A bound of today is said
    /// so: nobody knows when this is run.
    fn said(&self, fault: &Fault) -> String {
        let Fault::Refused {
            rule,
            field,
            least,
            most,
            what,
            ..
        } = fault
        else {
            panic!("no refusal: {fault}");
        };
        let today = self.desk.day(None, 0).unwrap().date.to_string();
        let part = |part: &Option<String>| match part.as_deref() {
            None => "-".to_owned(),
            Some(text) if text == today => "today".to_owned(),
            Some(text) => text.to_owned(),
        };
        let parts = [part(field), part(least), part(most), part(what)];
        format!("{rule} | {}", parts.join(" | "))
    }
}

#[test]
fn what_cannot_be_is_refused_by_rule_field_bounds_and_unit_and_nothing_changes() {
    let t = Tablet::new();
    let metres = |max_cm| Rule::DepthByAge { under: 15, max_cm };
    let counts = |least_minutes| Rule::DiveCounts {
        least_cm: 500,
        least_minutes,
    };
    #[rustfmt::skip]
    let table: Vec<(&str, Request, &str)> = vec![
        // What was given | rule | field | least | most | unit
        ("a paper until 1870", t.renew("1870-01-01"), "date_out_of_bounds | until | 2000-01-01 | 2199-12-31 | -"),
        ("a paper until no day", t.renew("2026-02-30"), "bad_date | until | - | - | -"),
        ("least age 0", t.rule("least-age", Rule::LeastAge { age: 0 }), "policy | - | 8 | 25 | fault"),
        ("least age 255", t.rule("least-age", Rule::LeastAge { age: 255 }), "policy | - | 8 | 25 | fault"),
        ("10 cm for the young", t.rule("depth-under-15", metres(10)), "policy | - | 1.0 | 40.0 | m"),
        ("1 km for the young", t.rule("depth-under-15", metres(100_000)), "policy | - | 1.0 | 40.0 | m"),
        ("a dive of 0 minutes", t.rule("dive-counts", counts(0)), "policy | - | 1 | 60 | fault"),
        ("a plan good for 0 months", t.rule("emergency-plan", Rule::EmergencyPlan { months: 0 }), "policy | - | 1 | 60 | fault"),
        ("no text read", t.confirm(" ", "2025-05-01"), "text_empty | text that was read | - | - | -"),
        ("read on a day to come", t.confirm("House decision", "2190-05-01"), "date_out_of_bounds | day it was read | 1990-01-01 | today | -"),
        ("set aside without a reason", t.aside(&["mask-full"], " "), "text_empty | reason | - | - | -"),
        ("nothing set aside", t.aside(&[], "shown at the lake"), "out_of_bounds | skills | 1 | 60 | -"),
        ("born on a day to come", t.enrol("2190-05-01"), "date_out_of_bounds | birth date | 1900-01-01 | today | -"),
        ("born in 1800", t.enrol("1800-05-01"), "date_out_of_bounds | birth date | 1900-01-01 | today | -"),
        ("a body of 10 cm", t.body(100, 60_000), "out_of_bounds | body height | 900 | 2300 | mm"),
        ("a body of 900 kg", t.body(1_700, 900_000), "out_of_bounds | body weight | 20.0 | 200.0 | kg"),
        ("50 kg of lead", t.weight(|w| w.lead_g = 50_000), "out_of_bounds | lead | 0.0 | 40.0 | kg"),
        ("a check at 400 bar", t.weight(|w| w.pressure_mbar = 400_000), "out_of_bounds | pressure | 0 | 350 | bar"),
        ("a cylinder of no size", t.weight(|w| w.capacity_dl = 0), "out_of_bounds | cylinder | 0.5 | 40 | L"),
        ("no suit", t.weight(|w| w.suit.clear()), "text_empty | suit | - | - | -"),
        ("a dive to 4 km", t.dive(|d| d.max_depth_cm = 400_000), "out_of_bounds | deepest | 0.5 | 100.0 | m"),
        ("deeper on average", t.dive(|d| d.mean_depth_cm = Some(1_200)), "out_of_bounds | average depth | 0.0 | 10.0 | m"),
        ("up before down", t.dive(|d| d.up = "2025-06-07T10:00:00+02:00".into()), "ends_before_it_begins | dive | - | - | -"),
        ("a dive of 9 hours", t.dive(|d| d.up = "2025-06-07T19:20:00+02:00".into()), "out_of_bounds | dive time | 0:00 | 6:00:00 | -"),
        ("begun at 500 bar", t.dive(|d| d.gas.as_mut().unwrap().start_mbar = 500_000), "out_of_bounds | start pressure | 1 | 350 | bar"),
        ("more gas after it", t.dive(|d| d.gas.as_mut().unwrap().end_mbar = 210_000), "out_of_bounds | end pressure | 0 | 200 | bar"),
        ("10 % oxygen", t.dive(|d| d.gas.as_mut().unwrap().oxygen_permille = 100), "out_of_bounds | oxygen | 209 | 1000 | ‰"),
        ("water of 60 degrees", t.dive(|d| d.temperature_dc = Some(600)), "out_of_bounds | temperature | -2 | 45 | °C"),
        ("no ascent at all", t.dive(|d| d.ascents = Some(0)), "out_of_bounds | ascents | 1 | 40 | -"),
        ("planned at 4 km", t.plan(|p| p.water.max_depth_cm = Some(400_000)), "out_of_bounds | depth | 0.1 | 100.0 | m"),
        ("planned at 9,000 m", t.plan(|p| p.water.altitude_m = Some(9_000)), "out_of_bounds | height | -500 | 4000 | m"),
        ("planned to see 2 km", t.plan(|p| p.water.visibility_dm = Some(20_000)), "out_of_bounds | visibility | 0 | 100 | m"),
        ("planned for 0 minutes", t.plan(|p| p.minutes = 0), "out_of_bounds | minutes | 1 | 1440 | min"),
        ("planned for two days", t.plan(|p| p.minutes = 2_880), "out_of_bounds | minutes | 1 | 1440 | min"),
        ("planned without a title", t.plan(|p| p.title.clear()), "text_empty | title | - | - | -"),
        ("planned for 1870", t.plan(|p| p.starts = "1870-06-07T10:00:00+02:00".into()), "date_out_of_bounds | start | 2000-01-01 | 2199-12-31 | -"),
        ("cleared in 95 s of 30", t.met(Measured::Seconds(95)), "below_requirement | measure | - | 0:30 | -"),
        ("cleared in 30 hours", t.met(Measured::Seconds(108_000)), "out_of_bounds | time | 0:00 | 4:00:00 | -"),
        ("40 m off in depth", t.met(Measured::Centimetres(4_001)), "out_of_bounds | depth off | 0.0 | 40.0 | m"),
        ("a rate nobody asks for", t.met(Measured::CmPerMinute(900)), "not_measured | - | - | - | skill"),
    ];
    for (given, request, says) in table {
        let before = t.everything();
        let Err(fault) = t.desk.record(request) else {
            panic!("{given} was recorded");
        };
        assert_eq!(t.said(&fault), says, "{given}");
        assert!(t.everything() == before, "{given}: something was recorded");
    }
}

#[test]
#[expect(
    clippy::result_large_err,
    reason = "a fault is as large as what it says of a refusal"
)]
fn what_is_typed_and_cannot_be_is_refused_before_it_is_a_request() {
    let t = Tablet::new();
    let before = t.everything();
    let body = |height: &str, weight: &str| {
        let (course, student) = (t.course.clone(), t.student.clone());
        let kept = t
            .desk
            .keep_body(course, student, height.into(), weight.into());
        kept.map(|_| ())
    };
    let figure = |kind, text: &str| t.desk.read_figure(kind, text.into()).map(|_| ());
    let measure = |kind, text: &str| t.desk.read_measure(kind, text.into()).map(|_| ());
    let place = |text: &str| t.desk.read_position(text.into()).map(|_| ());
    let huge = "99999999999999999999";
    #[rustfmt::skip]
    let table = [
        ("a height of 20 cm", body("20", "60"), "out_of_bounds | body_height | 90 | 230 | cm"),
        ("a weight of 900 kg", body("170", "900"), "out_of_bounds | body_mass | 20 | 200 | kg"),
        ("a height of x", body("x", "60"), "not_a_number | body_height | 90 | 230 | cm"),
        ("no height", body("", "60"), "type_first | body_height | - | - | -"),
        ("minutes beyond any", figure(FigureKind::Minutes, huge), "out_of_bounds | - | 1 | 1440 | min"),
        ("a depth in words", figure(FigureKind::Depth, "deep"), "not_a_number | - | - | - | -"),
        ("a way below nought", measure(MeasureKind::Distance, "-5"), "out_of_bounds | - | 0 | 5000 | m"),
        ("a count beyond any", measure(MeasureKind::Count, huge), "out_of_bounds | - | 0 | 1000 | -"),
        ("a place on no map", place("91 0"), "out_of_bounds | - | -90 -180 | 90 180 | °"),
        ("a depth for no field", Err(Fault::beyond(FigureKind::Depth, Units::Metric)), "out_of_bounds | - | 0.1 | 100.0 | m"),
    ];
    for (given, read, says) in table {
        let Err(fault) = read else {
            panic!("{given} was taken");
        };
        assert_eq!(t.said(&fault), says, "{given}");
    }
    assert!(t.everything() == before, "something was recorded");
    println!("## In feet and pounds too, and each bound is one that can be typed");
    t.desk.set_units(Units::Imperial).unwrap();
    let before = t.everything();
    #[rustfmt::skip]
    let table = [
        (t.plan(|p| p.water.max_depth_cm = Some(400_000)), "out_of_bounds | depth | 1 | 328 | ft"),
        (t.dive(|d| d.gas.as_mut().unwrap().start_mbar = 500_000), "out_of_bounds | start pressure | 20 | 5070 | psi"),
    ];
    for (request, says) in table {
        let fault = t.desk.record(request).err().unwrap();
        assert_eq!(t.said(&fault), says);
    }
    assert!(t.everything() == before, "something was recorded");
}

#[test]
fn every_figure_of_an_entry_is_refused_with_its_unit() {
    // Which unit a person reads the field in; none for a bare number and for a stopwatch.
    #[rustfmt::skip]
    let units: &[(&str, &[&str])] = &[
        ("m", &["depth", "deepest", "average depth", "profile depth", "height", "visibility"]),
        ("°C", &["temperature"]),
        ("bar", &["start pressure", "end pressure", "pressure"]),
        ("kg", &["lead", "body weight"]),
        ("mm", &["body height"]),
        ("L", &["cylinder"]),
        ("min", &["minutes"]),
        ("‰", &["oxygen"]),
        ("°", &["latitude", "longitude"]),
        ("", &["dive time", "students", "staff", "run list", "stations", "buddies", "ascents"]),
        ("", &["profile", "skills", "entries", "rules", "attempts", "figure", "zones", "missing"]),
    ];
    let core = concat!(env!("CARGO_MANIFEST_DIR"), "/../core/src/entry");
    let mut fields = std::collections::BTreeSet::new();
    let folders = ["", "/bounds", "/judging"];
    let files = folders.map(|folder| std::fs::read_dir(format!("{core}{folder}")).unwrap());
    let files = files.into_iter().flatten().map(|file| file.unwrap().path());
    for file in files.filter(|file| file.is_file()) {
        let text = std::fs::read_to_string(file).unwrap();
        for call in ["figure(", "inside("] {
            for rest in text.split(call).skip(1) {
                let quoted = rest.trim_start().strip_prefix('"');
                let field = quoted.and_then(|rest| rest.split_once('"'));
                fields.extend(field.map(|(field, _)| field.to_owned()));
            }
        }
    }
    assert!(fields.len() > 30, "{fields:?}");
    for field in fields {
        let row = units.iter().find(|(_, of)| of.contains(&field.as_str()));
        let Some((unit, of)) = row else {
            panic!("{field}: say in which unit it is read, here and in the border");
        };
        let named = of.iter().find(|named| **named == field).unwrap();
        let fault = Fault::from(Refusal::OutOfBounds {
            field: named,
            value: -9_999_999,
            least: 0,
            most: 1_000,
        });
        let Fault::Refused {
            value, least, what, ..
        } = fault
        else {
            panic!("{field}");
        };
        assert_eq!(what.unwrap_or_default(), *unit, "{field}");
        assert!(value.is_some() && least.is_some(), "{field}");
    }
}
