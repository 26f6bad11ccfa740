//! Held: a session of the story as it is run: planned, in, marked, weighed, dived, out.

use chrono::{DateTime, Days, Duration, FixedOffset, NaiveTime};

use super::DemoError;
use super::school::{Actor, School, Telling, tap};
use crate::course::{Block, Outline, SessionId, Setting, Skill, StudentId};
use crate::desk::Request;
use crate::entry::{Mark, Passage, Who};
use crate::standing::CellState;

/// Runs a block: planned, everyone in, every skill marked, everyone out, dives logged.
pub(super) fn session(
    school: &School,
    telling: &Telling,
    outline: &Outline,
    block: &Block,
    starts: DateTime<FixedOffset>,
    mark: impl Fn(usize, usize) -> Mark,
) -> Result<SessionId, DemoError> {
    school.stamps.set(starts - Duration::days(1));
    let session = school.plan(telling, block, starts)?;
    school.stamps.set(starts + Duration::minutes(5));
    let there: Vec<(usize, StudentId)> = telling
        .students
        .iter()
        .copied()
        .enumerate()
        .filter(|(index, _)| !misses(telling, block, *index))
        .collect();
    let wet = block.setting.is_wet();
    if wet {
        let who = there.iter().map(|(_, id)| Who::Student(*id));
        school.pass(telling, session, who, Passage::In)?;
        let missing = telling
            .students
            .iter()
            .filter(|id| !there.iter().any(|(_, t)| t == *id));
        school.pass(
            telling,
            session,
            missing.map(|id| Who::Student(*id)),
            Passage::Absent,
        )?;
    }
    let by = school.actor(telling.instructor)?;
    for (number, skill) in block
        .run_list
        .iter()
        .filter_map(|id| outline.skill(id))
        .enumerate()
    {
        for (index, student) in &there {
            show(telling, by, skill, *student, session, mark(*index, number))?;
        }
        if skill.id.as_str() == "weight-check" {
            for (index, student) in &there {
                weigh(by, telling, *student, session, *index)?;
            }
        }
    }
    if block.setting == Setting::Open && block.id.as_str() != "open-1" {
        for (number, (_, student)) in (0_u32..).zip(&there) {
            let down = starts + Duration::minutes(20);
            school.dive(telling, session, Who::Student(*student), down, number)?;
        }
        school.dive(
            telling,
            session,
            Who::Staff(by.staff),
            starts + Duration::minutes(19),
            2,
        )?;
    }
    if wet {
        school
            .stamps
            .set(starts + Duration::minutes(i64::from(block.minutes) - 10));
        let who = there.iter().map(|(_, id)| Who::Student(*id));
        school.pass(telling, session, who, Passage::Out)?;
    }
    Ok(session)
}

/// Records the weight with which a check held.
pub(super) fn weigh(
    by: &Actor,
    telling: &Telling,
    student: StudentId,
    session: SessionId,
    index: usize,
) -> Result<(), DemoError> {
    let half_kilos = u32::try_from(index % 5).unwrap_or(0);
    by.desk.record(Request::CheckWeight {
        course: telling.course,
        student,
        session: Some(session),
        check: crate::course::WeightCheck {
            lead_g: 4_000 + 500 * half_kilos,
            water: crate::course::WaterKind::Fresh,
            suit: "Two-piece, 7 mm".into(),
            capacity_dl: 120,
            cylinder: "Steel".into(),
            pressure_mbar: 50_000 + 5_000 * half_kilos,
            verdict: crate::course::WeightVerdict::Right,
        },
    })?;
    Ok(())
}

/// One student of the running course was ill on the second pool evening.
pub(super) fn misses(telling: &Telling, block: &Block, index: usize) -> bool {
    telling.instructor == 0 && block.id.as_str() == "pool-2" && index == 3
}

/// Marks a try, in each of the ways that are asked for.
pub(super) fn show(
    telling: &Telling,
    by: &Actor,
    skill: &Skill,
    student: StudentId,
    session: SessionId,
    mark: Mark,
) -> Result<(), DemoError> {
    let ways: Vec<_> = skill
        .methods_asked()
        .map(|method| Some(method.id.clone()))
        .collect();
    let ways = if ways.is_empty() { vec![None] } else { ways };
    for method in ways {
        let mut one = tap(
            &by.desk,
            telling.course,
            student,
            &skill.id,
            mark,
            session,
            method,
        )?;
        if matches!(mark, Mark::Nearly | Mark::NotYet) {
            one.slips
                .extend(skill.slips.first().map(|slip| slip.id.clone()));
        }
        by.desk.record(Request::Mark(one))?;
    }
    Ok(())
}

/// Shows what is still open once more, where it may be shown.
pub(super) fn again(
    school: &School,
    telling: &Telling,
    outline: &Outline,
    setting: Setting,
    session: SessionId,
) -> Result<(), DemoError> {
    let by = school.actor(telling.instructor)?;
    for student in &telling.students {
        for skill in outline
            .skills
            .iter()
            .filter(|skill| crate::course::suits(skill, setting))
        {
            let open = by.desk.with_course(&telling.course, |course| {
                course
                    .cells()
                    .get(&(*student, skill.id.clone()))
                    .is_some_and(|cell| matches!(cell.state, CellState::Open | CellState::Trying))
            })?;
            if open && skill.required {
                show(telling, by, skill, *student, session, Mark::Met)?;
            }
        }
    }
    Ok(())
}

pub(super) fn confirm_all(school: &School, telling: &Telling) -> Result<(), DemoError> {
    let by = school.actor(telling.instructor)?;
    let attempts: Vec<_> = by.desk.with_course(&telling.course, |course| {
        course
            .cells()
            .values()
            .flat_map(|cell| cell.unconfirmed.clone())
            .collect()
    })?;
    if !attempts.is_empty() {
        by.desk.record(Request::Confirm {
            course: telling.course,
            attempts,
        })?;
    }
    Ok(())
}

/// Pool sessions are in the evening; open water is dived by daylight.
pub(super) fn hour(block: &Block) -> u32 {
    if block.setting == Setting::Open {
        10
    } else {
        18
    }
}

/// The full hour of that day.
pub(super) fn at_hour(day: DateTime<FixedOffset>, hour: u32) -> DateTime<FixedOffset> {
    let time = NaiveTime::from_hms_opt(hour, 0, 0).unwrap_or_default();
    day.with_time(time).single().unwrap_or(day)
}

pub(super) fn days_before(now: DateTime<FixedOffset>, days: u64) -> DateTime<FixedOffset> {
    now.checked_sub_days(Days::new(days)).unwrap_or(now)
}
