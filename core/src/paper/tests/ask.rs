//! The doors through which the rooms ask.

use std::collections::BTreeSet;

use super::fake::Fake;
use super::{id, is_asked, sample};
use crate::course::{CourseId, EntryId, LedgerId, Role, ShopId, StaffId, StudentId};
use crate::entry::{Body, Entry, KeptAs, Kind, Who, Writer, may_record, may_withdraw, may_write};
use crate::paper::Grounds;
use crate::paper::bundle::is_public;
use crate::trust::Line;

const ROLES: [Role; 3] = [Role::Shop, Role::Instructor, Role::Assistant];

fn ledgers() -> [LedgerId; 3] {
    [
        LedgerId::Shop(ShopId::new(id(6))),
        LedgerId::Course(CourseId::new(id(5))),
        LedgerId::Person(StudentId::new(id(1))),
    ]
}

/// An id by its last digits.
fn short(id: impl ToString) -> String {
    let id = id.to_string();
    let digits = id.rsplit('-').next().unwrap().trim_start_matches('0');
    u128::from_str_radix(digits, 16).unwrap_or(0).to_string()
}

fn shown(said: &impl std::fmt::Debug) -> String {
    let mut text = format!("{said:?}");
    for n in 1..=20 {
        text = text.replace(&id(n).to_string(), &format!("@{n}"));
    }
    text.replace("  ", " ")
}

pub(super) fn answers(entry: &Entry) -> String {
    let body = &entry.body;
    let lines = [
        format!("written by {}", written_by(body)),
        format!("taken back {}", taken_back(body.kind())),
        format!("about {}", about(body)),
        format!("dates {}", dates(body)),
        format!("texts {}", texts(body)),
        format!("filed under {}", filed(body)),
        format!("record {}", record(entry)),
        format!("kept as a report {}", body.kind().kept() == KeptAs::Report),
        format!("public {}", public(body)),
        format!("says {:?}", body.says()),
        format!("refused {}", refused(body)),
    ];
    lines.map(|line| format!("  {line}\n")).concat()
}

fn written_by(body: &Body) -> String {
    let mut found = Vec::new();
    for ledger in ledgers() {
        let roles = ROLES.into_iter();
        let roles = roles.filter(|role| may_write(*role, body, &ledger).is_ok());
        let roles: Vec<String> = roles.map(|role| format!("{role:?}")).collect();
        if !roles.is_empty() {
            let ledger = ledger.to_string();
            let (ledger, _) = ledger.split_once(':').unwrap();
            found.push(format!("{ledger}: {}", roles.join(" ")));
        }
    }
    found.join("; ")
}

/// By each role: another's, another's that is confirmed, one's own, one's own that is confirmed.
fn taken_back(kind: Kind) -> String {
    let staff = StaffId::new(id(2));
    let by = |role| {
        let cases = [(3, false), (3, true), (2, false), (2, true)];
        let asked = cases.map(|(writer, confirmed)| {
            let writer = StaffId::new(id(writer));
            if may_withdraw(Writer { staff, role }, kind, writer, confirmed) {
                "y"
            } else {
                "-"
            }
        });
        format!("{role:?} {}", asked.concat())
    };
    ROLES.map(by).join("; ")
}

fn about(body: &Body) -> String {
    if !is_asked(body) {
        return "what no course is asked".into();
    }
    let about = body.about();
    format!(
        "{}; skill {}; session {}",
        shown(&about.who),
        about.skill.map_or("-".into(), ToString::to_string),
        about.session.map_or("-".into(), short)
    )
}

fn dates(body: &Body) -> String {
    let dates = body.dates().into_iter();
    dates
        .map(|date| date.to_string())
        .collect::<Vec<_>>()
        .join(" ")
}

fn texts(body: &Body) -> String {
    let texts = body.texts();
    let student = Who::Student(StudentId::new(id(1)));
    let read = !texts.is_empty() && body.about().who.contains(&student);
    format!(
        "{texts:?}{}",
        if read { ", of whom it is about" } else { "" }
    )
}

fn filed(body: &Body) -> String {
    shown(
        &crate::standing::students_of(body)
            .into_iter()
            .map(short)
            .collect::<Vec<_>>(),
    )
}

/// The parts it stands in beside a planned session of student 1 and an attempt of theirs.
fn record(entry: &Entry) -> String {
    let known = [
        sample(
            9,
            "attempt",
            r#"{"student":"@1","skill":"signals","mark":"met"}"#,
        ),
        sample(
            30,
            "attendance",
            r#"{"who":{"student":"@1"},"session":"@3","passage":"in","when":"2026-06-02T10:15:00+02:00"}"#,
        ),
        entry.clone().into(),
    ];
    let lines: Vec<(EntryId, Line)> = known
        .into_iter()
        .map(|entry| {
            let line = Line {
                key: None,
                prev: None,
                signed: true,
                reading: crate::entry::Reading::Known(entry.clone()),
            };
            (entry.id, line)
        })
        .collect();
    let grounds = Grounds::of(lines.iter().map(|(id, line)| (id, line)));
    let found = grounds.students().flat_map(|student| {
        let parts = grounds.parts_of(&student, &entry.id);
        parts
            .into_iter()
            .map(move |part| format!("{}: {}", short(student), part.word()))
    });
    found.collect::<Vec<_>>().join("; ")
}

fn public(body: &Body) -> String {
    let (one, none) = (BTreeSet::from([StudentId::new(id(1))]), BTreeSet::new());
    let with = [(5, &one), (5, &none), (6, &one), (6, &none)];
    let asked = with.map(|(course, students)| {
        if is_public(body, CourseId::new(id(course)), students) {
            "y"
        } else {
            "-"
        }
    });
    asked.concat()
}

/// By the first who may write it: where nothing is known, and where everything is.
fn refused(body: &Body) -> String {
    let mut may = ledgers().into_iter().flat_map(|ledger| {
        [Role::Instructor, Role::Shop, Role::Assistant].map(|role| (ledger, role))
    });
    let (ledger, role) = may
        .find(|(ledger, role)| may_write(*role, body, ledger).is_ok())
        .unwrap();
    let writer = Writer {
        staff: StaffId::new(id(2)),
        role,
    };
    let today = "2026-06-02".parse().unwrap();
    let asked = [Fake::NOTHING, Fake::EVERYTHING].map(|facts| {
        match may_record(&facts, writer, &ledger, body, today) {
            Ok(()) => "by nothing".to_owned(),
            Err(refusal) => shown(&refusal),
        }
    });
    asked.join("; knowing all ")
}
