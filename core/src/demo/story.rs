//! The story of the demo school: one course finished, one in mid-flight, one to come.

use chrono::{DateTime, Days, Duration, FixedOffset, Timelike as _};

use super::DemoError;
use super::held::{again, at_hour, confirm_all, days_before, hour, session, show, weigh};
use super::school::{Actor, School, Telling, ledger, tap};
use crate::course::{AgeKnown, Block, ClearanceKind, Outline, SessionId, StudentId};
use crate::desk::{Request, Scope};
use crate::entry::{ClearanceResult, Mark, Measured, Outcome, Passage, RuleText, Who};
use crate::plan::before_completion;

/// How far the story has been told, for a progress line.
pub(super) type Progress<'a> = &'a dyn Fn(u8);

/// Tells the whole story, ending now.
pub(super) fn tell(
    school: &School,
    outline: &Outline,
    now: DateTime<FixedOffset>,
    progress: Progress<'_>,
) -> Result<(), DemoError> {
    school.stamps.set(days_before(now, 80));
    let rules = crate::course::starter::policy()
        .map_err(|_| DemoError::NothingMade)?
        .rules
        .into_iter()
        .map(|rule| rule.id)
        .collect();
    school.shop.desk.record(Request::ConfirmRules {
        scope: Scope::Shop,
        rules,
        // The demo says what it is: its rules are a decision of an invented house.
        read: RuleText {
            title: "House rules of the demo school, for looking around".into(),
            edition: None,
            clause: None,
            on: days_before(now, 80).date_naive(),
        },
    })?;
    school.describe_sites()?;
    school.describe_kit(now.date_naive())?;
    school.renew_staff(now.date_naive().checked_add_days(Days::new(200)))?;
    finished(school, outline, now, progress)?;
    running(school, outline, now, progress)?;
    weekend(school, outline, now)?;
    to_come(school, outline, now)?;
    school.stamps.set(now);
    school.meet()?;
    progress(100);
    Ok(())
}

/// Four students from the first breath to completion, some weeks ago.
fn finished(
    school: &School,
    outline: &Outline,
    now: DateTime<FixedOffset>,
    progress: Progress<'_>,
) -> Result<(), DemoError> {
    let first = days_before(now, 60);
    school.stamps.set(first);
    let telling = school.begin(&school.cast.finished, first.date_naive(), (2, 3))?;
    papers(school, &telling)?;
    school.meet()?;
    let mut sessions = Vec::new();
    for (number, block) in (0_u8..).zip(&outline.blocks) {
        let starts = at_hour(days_before(now, 58 - 2 * u64::from(number)), hour(block));
        let session = session(school, &telling, outline, block, starts, |_, _| Mark::Met)?;
        sessions.push((block, session, starts));
        progress(5 + number * 4);
    }
    // What the outline asks for more often than its blocks run it is shown again.
    for round in 0..4_u32 {
        for (block, session, starts) in &sessions {
            school
                .stamps
                .set(*starts + Duration::minutes(i64::from(block.minutes) + i64::from(round)));
            again(school, &telling, outline, block.setting, *session)?;
        }
    }
    school.meet()?;
    confirm_all(school, &telling)?;
    school.stamps.set(days_before(now, 30));
    let instructor = school.actor(telling.instructor)?;
    for student in &telling.students {
        let considered = instructor
            .desk
            .with_course(&telling.course, |course| course.considered(student))?;
        let age = AgeKnown::Adult(first.date_naive());
        let left = instructor.desk.with_course(&telling.course, |course| {
            before_completion(course, student, now.date_naive(), age).len()
        })?;
        if left > 0 {
            return Err(DemoError::GapsLeft(left));
        }
        instructor.desk.record(Request::Complete {
            course: telling.course,
            student: *student,
            outcome: Outcome::Completed,
            considered,
        })?;
    }
    school.meet()
}

/// Eight students in mid-flight, with everything that can be waiting for someone.
fn running(
    school: &School,
    outline: &Outline,
    now: DateTime<FixedOffset>,
    progress: Progress<'_>,
) -> Result<(), DemoError> {
    let first = days_before(now, 9);
    school.stamps.set(first);
    let telling = school.begin(&school.cast.running, first.date_naive(), (0, 1))?;
    papers(school, &telling)?;
    let (instructor, assistant) = (school.actor(0)?, school.actor(1)?);
    // One health declaration counted until yesterday.
    let overdue = *telling.students.get(7).ok_or(DemoError::NothingMade)?;
    school.shop.desk.record(Request::Clear {
        course: telling.course,
        student: overdue,
        what: ClearanceKind::Health,
        result: ClearanceResult::Cleared,
        until: now.date_naive().checked_sub_days(Days::new(1)),
        figure: None,
    })?;
    school.meet()?;
    let pattern = |student: usize, skill: usize| match (student * 5 + skill * 3) % 11 {
        0 => Mark::NotYet,
        1 | 2 => Mark::Nearly,
        _ => Mark::Met,
    };
    let mut last = None;
    for (number, block) in (0_u8..).zip(outline.blocks.iter().take(3)) {
        let starts = at_hour(days_before(now, 8 - 2 * u64::from(number)), 18);
        let held = session(school, &telling, outline, block, starts, pattern)?;
        last = Some((block, held));
        progress(60 + number * 8);
    }
    school.meet()?;
    if let Some((block, session)) = last {
        school.stamps.set(days_before(now, 3));
        loose_ends(school, &telling, outline, block, session)?;
    }
    make_up(school, &telling, outline, now)?;
    next_evening(school, &telling, outline, now)?;
    school.describe_agenda(&telling, now)?;
    school.meet()?;
    now_in_the_pool(school, &telling, outline, now)?;
    two_views(school, &telling, outline, (instructor, assistant), now)?;
    progress(94);
    Ok(())
}

/// Three students enrolled, nothing marked, one paper still missing.
fn to_come(
    school: &School,
    outline: &Outline,
    now: DateTime<FixedOffset>,
) -> Result<(), DemoError> {
    school.stamps.set(days_before(now, 2));
    let starts = now
        .date_naive()
        .checked_add_days(Days::new(16))
        .unwrap_or(now.date_naive());
    let telling = school.begin(&school.cast.to_come, starts, (0, 3))?;
    for student in telling.students.iter().take(2) {
        school.clear(
            &school.shop,
            telling.course,
            *student,
            ClearanceKind::Health,
            None,
        )?;
    }
    school.meet()?;
    if let Some(block) = outline.blocks.first() {
        let at = now.checked_add_days(Days::new(16)).unwrap_or(now);
        school.plan(&telling, block, at_hour(at, 18))?;
    }
    Ok(())
}

/// Papers seen at the counter; consent for whoever has a guardian; theory passed.
fn papers(school: &School, telling: &Telling) -> Result<(), DemoError> {
    for (index, student) in telling.students.iter().enumerate() {
        school.clear(
            &school.shop,
            telling.course,
            *student,
            ClearanceKind::Health,
            None,
        )?;
        let score = 88 + u32::try_from(index % 4).unwrap_or(0) * 3;
        school.clear(
            &school.shop,
            telling.course,
            *student,
            ClearanceKind::Theory,
            Some(score),
        )?;
        if index == 6 {
            school.clear(
                &school.shop,
                telling.course,
                *student,
                ClearanceKind::Consent,
                None,
            )?;
        }
    }
    Ok(())
}

/// A sat-out ear, a slip since, marks that wait, a note, a withdrawn tap.
fn loose_ends(
    school: &School,
    telling: &Telling,
    outline: &Outline,
    block: &Block,
    session: SessionId,
) -> Result<(), DemoError> {
    let (by, assistant) = (
        school.actor(telling.instructor)?,
        school.actor(telling.assistant)?,
    );
    let course = telling.course;
    let student = |n: usize| {
        telling
            .students
            .get(n)
            .copied()
            .ok_or(DemoError::NothingMade)
    };
    let skill = |n: usize| {
        block
            .run_list
            .get(n)
            .and_then(|id| outline.skill(id))
            .ok_or(DemoError::NothingMade)
    };
    let mut ear = tap(
        &by.desk,
        course,
        student(5)?,
        &skill(4)?.id,
        Mark::SatOut,
        session,
        None,
    )?;
    ear.note = Some("Left ear would not clear; stayed at the surface".into());
    by.desk.record(Request::Mark(ear))?;
    let slipped = skill(1)?;
    by.desk.record(Request::Mark(tap(
        &by.desk,
        course,
        student(0)?,
        &slipped.id,
        Mark::Met,
        session,
        None,
    )?))?;
    let mut since = tap(
        &by.desk,
        course,
        student(0)?,
        &slipped.id,
        Mark::NotYet,
        session,
        None,
    )?;
    since.note = Some("Swallowed water when asked again at the end".into());
    by.desk.record(Request::Mark(since))?;
    school.meet()?;
    for n in [1, 4, 6] {
        let mut shown = tap(
            &assistant.desk,
            course,
            student(n)?,
            &skill(3)?.id,
            Mark::Met,
            session,
            None,
        )?;
        shown
            .measured
            .extend(skill(3)?.requirement.measures.first().and_then(|measure| {
                let taken = Measured::Count(1);
                crate::entry::suits(taken, measure).then_some(taken)
            }));
        assistant.desk.record(Request::Mark(shown))?;
    }
    let wrong = by.desk.record(Request::Mark(tap(
        &by.desk,
        course,
        student(2)?,
        &skill(2)?.id,
        Mark::NotYet,
        session,
        None,
    )?))?;
    if let Some((_, entry)) = wrong.entries.first() {
        let (ledger, entry) = (ledger(telling), *entry);
        by.desk.record(Request::Withdraw {
            ledger,
            entry,
            why: None,
        })?;
    }
    by.desk.record(Request::Note {
        course,
        student: Some(student(1)?),
        skill: None,
        session: Some(session),
        entry: None,
        text: "Breathes fast at first; three slow breaths before each skill help".into(),
    })?;
    by.desk.record(Request::CheckWeight {
        course,
        student: student(2)?,
        session: Some(session),
        check: crate::course::WeightCheck {
            lead_g: 5_000,
            water: crate::course::WaterKind::Fresh,
            suit: "Two-piece, 5 mm".into(),
            capacity_dl: 120,
            cylinder: "Steel".into(),
            pressure_mbar: 60_000,
            verdict: crate::course::WeightVerdict::Right,
        },
    })?;
    Ok(())
}

/// Whoever missed an evening has one of their own to come.
fn make_up(
    school: &School,
    telling: &Telling,
    outline: &Outline,
    now: DateTime<FixedOffset>,
) -> Result<(), DemoError> {
    let Some(block) = outline.blocks.get(2) else {
        return Ok(());
    };
    let at = now.checked_add_days(Days::new(1)).unwrap_or(now);
    let one = Telling {
        course: telling.course,
        students: telling.students.get(3).copied().into_iter().collect(),
        instructor: telling.instructor,
        assistant: telling.assistant,
    };
    let mut block = block.clone();
    block.title = format!("Make-up: {}", block.title);
    school.plan(&one, &block, at_hour(at, 17))?;
    Ok(())
}

/// The class's fourth pool evening is planned, three days ahead.
fn next_evening(
    school: &School,
    telling: &Telling,
    outline: &Outline,
    now: DateTime<FixedOffset>,
) -> Result<(), DemoError> {
    let Some(block) = outline
        .blocks
        .iter()
        .find(|block| block.id.as_str() == "pool-4")
    else {
        return Ok(());
    };
    let at = now.checked_add_days(Days::new(3)).unwrap_or(now);
    school.plan(telling, block, at_hour(at, 18))?;
    Ok(())
}

/// Three who have everything that the pool asks for, were at the lake's surface a week ago, and
/// have their first dive planned in four days, by daylight.
fn weekend(
    school: &School,
    outline: &Outline,
    now: DateTime<FixedOffset>,
) -> Result<(), DemoError> {
    let first = days_before(now, 34);
    school.stamps.set(first);
    let telling = school.begin(&school.cast.weekend, first.date_naive(), (0, 1))?;
    papers(school, &telling)?;
    school.meet()?;
    let mut held = Vec::new();
    for (number, block) in (0_u8..).zip(outline.blocks.iter().take(7)) {
        let starts = at_hour(days_before(now, 31 - 4 * u64::from(number)), 10);
        let one = session(school, &telling, outline, block, starts, |_, _| Mark::Met)?;
        held.push((block, one, starts));
    }
    for (block, one, starts) in held.iter().rev().take(2) {
        school
            .stamps
            .set(*starts + Duration::minutes(i64::from(block.minutes)));
        again(school, &telling, outline, block.setting, *one)?;
    }
    school.meet()?;
    school.stamps.set(days_before(now, 1));
    if let Some(block) = outline
        .blocks
        .iter()
        .find(|block| block.id.as_str() == "open-2")
    {
        let at = now.checked_add_days(Days::new(4)).unwrap_or(now);
        school.plan(&telling, block, at_hour(at, 10))?;
    }
    school.meet()
}

/// The third pool evening is under way: everyone is in, and the marking has begun.
fn now_in_the_pool(
    school: &School,
    telling: &Telling,
    outline: &Outline,
    now: DateTime<FixedOffset>,
) -> Result<(), DemoError> {
    let Some(block) = outline.blocks.get(3) else {
        return Ok(());
    };
    school.stamps.set(now - Duration::hours(20));
    let minutes = i64::from(now.minute() % 5);
    let starts = now - Duration::minutes(40 + minutes) - Duration::seconds(i64::from(now.second()));
    let session = school.plan(telling, block, starts)?;
    school.measure(telling)?;
    school.meet()?;
    school.stamps.set(starts + Duration::minutes(9));
    let by = school.actor(telling.instructor)?;
    let swimmers: Vec<StudentId> = telling.students.iter().take(7).copied().collect();
    school.hand_out(telling, session, &swimmers)?;
    school.pass(
        telling,
        session,
        swimmers.iter().map(|id| Who::Student(*id)),
        Passage::In,
    )?;
    school.pass(telling, session, [Who::Staff(by.staff)], Passage::In)?;
    for student in swimmers.iter().take(3) {
        weigh(by, telling, *student, session, 1)?;
    }
    for (number, skill) in block
        .run_list
        .iter()
        // The partner check was done ashore.
        .skip(1)
        .take(3)
        .filter_map(|id| outline.skill(id))
        .enumerate()
    {
        for (index, student) in swimmers.iter().enumerate() {
            if number == 2 && index > 3 {
                continue;
            }
            let mark = if (index + number) % 4 == 3 {
                Mark::Nearly
            } else {
                Mark::Met
            };
            show(telling, by, skill, *student, session, mark)?;
        }
    }
    Ok(())
}

/// The instructor and the assistant mark the same try apart, then meet.
fn two_views(
    school: &School,
    telling: &Telling,
    outline: &Outline,
    (instructor, assistant): (&Actor, &Actor),
    now: DateTime<FixedOffset>,
) -> Result<(), DemoError> {
    let Some(skill) = outline
        .blocks
        .get(3)
        .and_then(|block| block.run_list.get(4))
    else {
        return Ok(());
    };
    school.meet()?;
    let session = instructor.desk.with_course(&telling.course, |course| {
        course
            .sessions()
            .iter()
            .filter(|(_, session)| session.plan.starts <= now)
            .max_by_key(|(_, session)| session.plan.starts)
            .map(|(id, _)| *id)
    })?;
    let (Some(student), Some(session)) = (telling.students.get(1).copied(), session) else {
        return Ok(());
    };
    let course = telling.course;
    let seen = tap(
        &instructor.desk,
        course,
        student,
        skill,
        Mark::Met,
        session,
        None,
    )?;
    instructor.desk.record(Request::Mark(seen))?;
    let mut other = tap(
        &assistant.desk,
        course,
        student,
        skill,
        Mark::NotYet,
        session,
        None,
    )?;
    other.note = Some("Hands were moving".into());
    assistant.desk.record(Request::Mark(other))?;
    school.meet()
}
