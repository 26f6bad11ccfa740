//! Kinds: the border's choices as the screens have them, and what cells look like.

use std::collections::BTreeMap;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{
    ActivityRow, CellState, CellView, ClearanceKind, Condition, Family, Figure, GapRow, Held, Kind,
    Limit, Mark, MeasureKind, Missing, Passage, Role, Said, Setting, SkillCard, StaffPaper,
    StudentName, WaterKind, WhoName, unit_symbol,
};

use super::{count, day, kit_kind, kit_wrong};
use crate::ui::{self, App, Words};

macro_rules! same {
    ($(#[$doc:meta])* $name:ident: $from:ident { $($one:ident => $two:ident),* $(,)? } $to:ident) => {
        $(#[$doc])*
        pub(crate) const fn $name(one: &$from) -> ui::$to {
            match one { $($from::$one => ui::$to::$two),* }
        }
    };
}

same!(
    /// A mark.
    mark: Mark { Met => Met, Nearly => Nearly, NotYet => NotYet, SatOut => SatOut } Mark
);
same!(
    /// A role.
    role: Role { Shop => Shop, Instructor => Instructor, Assistant => Assistant } Role
);
same!(
    /// Where a session is held.
    setting: Setting { Classroom => Classroom, Surface => Surface, Confined => Confined, Open => OpenWater } Setting
);
same!(
    /// A kind of water.
    water: WaterKind { Fresh => Fresh, Brackish => Brackish, Salt => Salt } Water
);
same!(
    /// A paper or a test.
    paper: ClearanceKind {
        Health => Health, Physician => Physician, Consent => Consent, Swim => Swim, Float => Float, Theory => Theory,
    } Paper
);
same!(
    /// A passage through the water's surface.
    passage: Passage { In => In, Out => Out, Absent => Absent } Passage
);
same!(
    /// A family of skills.
    family: Family {
        Watermanship => Watermanship, Equipment => Equipment, EntryExit => EntryExit, Surface => Surface,
        Regulator => Regulator, Mask => Mask, Buoyancy => Buoyancy, Propulsion => Propulsion,
        DescentAscent => DescentAscent, GasEmergency => GasEmergency, Navigation => Navigation,
        Awareness => Awareness, Assist => Assist,
    } Family
);
same!(
    /// A figure against a limit.
    verdict: Limit { Within => Kept, Over => Over, Unconfirmed => Unconfirmed, Unknown => Unknown, NoRule => NoRule } Verdict
);
same!(
    /// The kind of an entry.
    entry: Kind {
        ShopOpened => ShopOpened, StaffJoined => StaffJoined, Certificate => Certificate, Revocation => Revocation,
        LateAccepted => LateAccepted, CourseListed => CourseListed, PersonForgotten => PersonForgotten,
        Details => Details, CourseOpened => CourseOpened, Enrolment => Enrolment, Amendment => Amendment,
        Assignment => Assignment, OutlineSet => OutlineSet, PolicySet => PolicySet, PolicyConfirmed => PolicyConfirmed,
        SessionPlanned => SessionPlanned, SessionMoved => SessionMoved, SessionCancelled => SessionCancelled,
        Clearance => Clearance, Attendance => Attendance, Attempt => Attempt, Confirmation => Confirmation,
        Resolution => Resolution, Exemption => Exemption, Withdrawal => Withdrawal, Note => Note,
        WeightChecked => WeightChecked, DiveLogged => DiveLogged, Incident => Incident, Completion => Completion,
        HoldSet => HoldSet, CourseDropped => CourseDropped, Override => SetAside, StaffRenewed => StaffRenewed,
        Debrief => Debrief, SiteSet => SiteSet, EmergencySet => EmergencySet, EmergencyConfirmed => EmergencyConfirmed, AlarmRaised => AlarmRaised,
        AlarmEnded => AlarmEnded, TeamsSet => TeamsSet, IncidentMoment => IncidentMoment, IncidentPerson => IncidentPerson,
        IncidentFact => IncidentFact, IncidentReport => IncidentReport, IncidentReported => IncidentReported,
        Attachment => Attachment, AttachmentText => AttachmentText, SlotSet => SlotSet, AwaySet => AwaySet, OwnDive => OwnDive,
        KitSet => KitSet, KitRetired => KitRetired, KitFault => KitFault, KitMended => KitMended,
        KitIssued => KitIssued, KitReturned => KitReturned,
    } EntryKind
);

/// A mark that was tapped.
pub(crate) const fn mark_back(mark: ui::Mark) -> Mark {
    match mark {
        ui::Mark::Met => Mark::Met,
        ui::Mark::Nearly => Mark::Nearly,
        ui::Mark::NotYet => Mark::NotYet,
        ui::Mark::SatOut => Mark::SatOut,
    }
}

/// What is measured, as far as a sign says it.
pub(crate) const fn measuring(kind: Option<&MeasureKind>) -> ui::Measuring {
    match kind {
        None => ui::Measuring::None,
        Some(MeasureKind::Hold | MeasureKind::Within) => ui::Measuring::Time,
        Some(MeasureKind::Count) => ui::Measuring::Count,
        Some(MeasureKind::Distance) => ui::Measuring::Distance,
        Some(MeasureKind::DepthBand) => ui::Measuring::Depth,
        Some(MeasureKind::AscentRate | MeasureKind::Miss | MeasureKind::Reading) => {
            ui::Measuring::Other
        }
    }
}

/// Where something is held, and how many changes are here only.
pub(crate) fn held(held: &Held) -> (ui::Held, i32) {
    match held {
        Held::HereOnly { changes } => (ui::Held::HereOnly, count(*changes)),
        Held::There => (ui::Held::ByShop, 0),
        Held::NotKnown => (ui::Held::NotKnown, 0),
    }
}

/// What a cell looks like.
pub(crate) const fn look(cell: &CellView) -> ui::Look {
    match (&cell.state, &cell.last) {
        (CellState::TwoViews, _) => ui::Look::TwoViews,
        (CellState::Exempt, _) => ui::Look::Exempt,
        (_, _) if cell.slipped_since => ui::Look::Slipped,
        (CellState::Met, _) => ui::Look::Met,
        (CellState::Shown, _) => ui::Look::Shown,
        (CellState::Open | CellState::Trying, _) if cell.sat_out => ui::Look::SatOut,
        (CellState::Trying, Some(Mark::Nearly)) => ui::Look::Nearly,
        (CellState::Trying, Some(Mark::NotYet)) => ui::Look::NotYet,
        (CellState::Trying, Some(Mark::Met | Mark::SatOut) | None) => ui::Look::Part,
        (CellState::Open, _) => ui::Look::Open,
    }
}

/// "1/3" where a skill has to be met more than once, was begun and is not done; empty
/// otherwise.
pub(crate) fn part(cell: &CellView) -> SharedString {
    if cell.of > 1 && !cell.done && !matches!(cell.state, CellState::Open) {
        slint::format!("{}/{}", cell.met, cell.of)
    } else {
        SharedString::new()
    }
}

/// A figure with its unit: "12.5 m".
pub(crate) fn figure(figure: &Figure) -> SharedString {
    let unit = unit_symbol(figure.unit).unwrap_or_default();
    if unit.is_empty() {
        figure.text.clone().into()
    } else {
        slint::format!("{} {unit}", figure.text)
    }
}

/// Names beside one another.
pub(crate) fn names<'a>(students: impl IntoIterator<Item = &'a StudentName>) -> SharedString {
    let names: Vec<&str> = students.into_iter().map(|one| one.short.as_str()).collect();
    names.join(", ").into()
}

/// A person, as called on a screen.
pub(crate) fn who(name: &WhoName) -> &str {
    match name {
        WhoName::Student(name) => &name.short,
        WhoName::Staff(name) => &name.name,
    }
}

/// What a skill demands, in the outline's own words and its figures.
pub(crate) fn skill_says(skill: &SkillCard) -> SharedString {
    skill.says.clone().into()
}

/// What a session can be besides its setting, by number.
pub(crate) const fn condition(one: &Condition) -> i32 {
    match one {
        Condition::Night => 0,
        Condition::Current => 1,
        Condition::Overhead => 2,
        Condition::Ice => 3,
        Condition::Boat => 4,
    }
}

/// What staff renew, by number.
pub(crate) const fn staff_paper(one: &StaffPaper) -> i32 {
    match one {
        StaffPaper::TeachingStatus => 0,
        StaffPaper::Insurance => 1,
        StaffPaper::FirstAid => 2,
        StaffPaper::Oxygen => 3,
        StaffPaper::Medical => 4,
    }
}

/// What the rules of a course are called, by id.
pub(crate) type RuleNames = BTreeMap<String, SharedString>;

/// Gaps in words: each that can be closed by itself, then how many rules wait for somebody of the
/// school, in one. They are counted here and not named: they are the same for everybody.
pub(crate) fn gaps_said(ui: &App, gaps: &[GapRow]) -> Vec<SharedString> {
    let says = ui.global::<Words>();
    let of_rule = |gap: &&GapRow| matches!(gap.what, Missing::RuleUnconfirmed(_));
    let others = gaps.iter().filter(|gap| !of_rule(gap));
    let mut said: Vec<SharedString> = others
        .map(|gap| says.invoke_gap(gap_row(gap, &RuleNames::new())))
        .collect();
    let rules = gaps.iter().filter(of_rule).count();
    if rules > 0 {
        said.push(says.invoke_calls(ui::Calls::RulesUnconfirmed, count(rules)));
    }
    said
}

/// A gap, ready to be worded, with what the rules are called. Its target is the skill it is about,
/// where it is about one.
pub(crate) fn gap_row(gap: &GapRow, rules: &RuleNames) -> ui::GapRow {
    let named = SharedString::from(gap.skill_name.clone().unwrap_or_default());
    let mut row = ui::GapRow {
        name: named,
        ..ui::GapRow::default()
    };
    row.what = match &gap.what {
        Missing::Policy => ui::Missing::Policy,
        Missing::RuleUnconfirmed(rule) => {
            let name = rules.get(rule.as_str()).cloned();
            row.target = rule.as_str().into();
            row.name = name.unwrap_or_else(|| rule.as_str().into());
            ui::Missing::RuleUnconfirmed
        }
        Missing::Outline => ui::Missing::Outline,
        Missing::Age => ui::Missing::Age,
        Missing::TooYoung { least } => {
            row.of = count(*least);
            ui::Missing::TooYoung
        }
        Missing::Forbidden(what) => {
            row.met = condition(what);
            ui::Missing::Forbidden
        }
        Missing::TooDeepForAge { under, max_cm: _ } => {
            row.of = count(*under);
            row.name = gap.depth.as_ref().map(figure).unwrap_or_default();
            ui::Missing::TooDeepForAge
        }
        Missing::SkillNotThere(skill) => {
            (row.target, row.name) = (skill.as_str().into(), skill.as_str().into());
            ui::Missing::SkillNotThere
        }
        Missing::Clearance(what) => {
            row.paper = paper(what);
            ui::Missing::Clearance
        }
        Missing::NotCleared(what, _) => {
            row.paper = paper(what);
            ui::Missing::NotCleared
        }
        Missing::Expired(what, _) => {
            row.paper = paper(what);
            row.day = gap.expired.as_ref().map(day).unwrap_or_default();
            ui::Missing::Expired
        }
        Missing::Skill {
            skill,
            state: _,
            met,
            of,
        } => {
            row.target = skill.as_str().into();
            (row.met, row.of) = (count(*met), count(*of));
            ui::Missing::Skill
        }
        Missing::SlippedSince(skill) => {
            row.target = skill.as_str().into();
            ui::Missing::Slipped
        }
        Missing::Kit { piece, wrong } => {
            (row.target, row.name) = (piece.piece.to_string().into(), (&piece.number).into());
            (row.of, row.met) = (kit_kind(&piece.kind), kit_wrong(wrong));
            row.day = gap.expired.as_ref().map(day).unwrap_or_default();
            ui::Missing::Kit
        }
        Missing::Dives { have, need } => {
            (row.met, row.of) = (count(*have), count(*need));
            ui::Missing::Dives
        }
    };
    row
}

/// What was recorded, for the undo bar.
pub(crate) fn told(ui: &App, row: &ActivityRow, times: usize) -> ui::Told {
    let words = ui.global::<Words>();
    let kind = words.invoke_entry(entry(&row.kind));
    let (look, said) = match &row.said {
        Said::Mark(given) => (
            ui.global::<ui::Marks>().invoke_look(mark(given)),
            Some(ui.global::<ui::Marks>().invoke_word(mark(given))),
        ),
        Said::Passage(through) => (ui::Look::Met, Some(words.invoke_passage(passage(through)))),
        Said::Clearance(what, _) => (ui::Look::Met, Some(words.invoke_paper(paper(what)))),
        Said::Nothing
        | Said::Outcome(..)
        | Said::Confirmed(..)
        | Said::Withdrew(..)
        | Said::Assigned(..) => (ui::Look::Met, None),
    };
    let people: Vec<&str> = row.who.iter().map(who).collect();
    // Of nobody: what it was stands alone, and is not said twice.
    let of_nobody = if said.is_some() {
        kind.clone()
    } else {
        SharedString::new()
    };
    let what = match (&row.skill_name, said) {
        (Some(skill), Some(said)) => slint::format!("{said} · {skill}"),
        (Some(skill), None) => slint::format!("{kind} · {skill}"),
        (None, Some(said)) => said,
        (None, None) => kind,
    };
    ui::Told {
        id: SharedString::new(),
        who: match people.as_slice() {
            _ if times > 1 => words.invoke_people(count(times)),
            [] => of_nobody,
            [one] => (*one).into(),
            many => words.invoke_people(count(many.len())),
        },
        what,
        look,
        note: SharedString::new(),
        undone: false,
    }
}
