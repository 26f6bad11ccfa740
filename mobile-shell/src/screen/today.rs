//! Today: the sessions of the day, what calls for a decision, and the courses.

use std::rc::Rc;

use slint::{ComponentHandle, ModelRc, VecModel};
use tallywater_bindings::{
    Alert, AlertKind, CourseCard, CourseStage, Leave, SessionCard, SessionState, StudentName,
};

use crate::shell::{Route, Shell, fill, on};
use crate::ui::{
    AttentionRow, Calls, CourseRow, Load, Screen, SessionRow, SessionWhen, TodayDoor, Verdict,
    Words,
};
use crate::words;

#[derive(Default)]
struct Kept {
    sessions: Rc<VecModel<SessionRow>>,
    coming: Rc<VecModel<SessionRow>>,
    courses: Rc<VecModel<CourseRow>>,
    attention: Rc<VecModel<AttentionRow>>,
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<TodayDoor>();
    on!(shell, door.on_open_board(course, session) => {
        shell.open(Route::to(Screen::Board).course(course).session(session));
    });
    on!(shell, door.on_open_cards(course, session) => {
        shell.open(Route::to(Screen::Cards).course(course).session(session));
    });
    on!(shell, door.on_open_water(course, session) => {
        shell.open(Route::to(Screen::Water).course(course).session(session));
    });
    on!(shell, door.on_open_plan(course, session) => {
        shell.open(Route::to(Screen::Plan).course(course).session(session));
    });
    on!(shell, door.on_what_now(course, session) => {
        super::plan::now_in(shell, Route::to(Screen::Plan).course(course).session(session));
    });
    on!(shell, door.on_attend(row) => attend(shell, &row));
    on!(shell, door.on_new_course() => shell.open(Route::to(Screen::NewCourse)));
    on!(shell, door.on_all_courses() => shell.open(Route::to(Screen::Courses)));
    on!(shell, door.on_settings(course) => {
        shell.open(Route::to(Screen::Course).course(course));
    });
    on!(shell, door.on_enrol(course) => {
        shell.open(Route::to(Screen::Enrol).course(course));
    });
    on!(shell, door.on_new_session() => new_session(shell));
    on!(shell, door.on_again() => shell.show_again());
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<TodayDoor>();
    let kept = shell.kept::<Kept>();
    let today = shell.see(shell.desk().today(), |fault| {
        door.set_fault(fault);
        door.set_load(Load::Failed);
    });
    let Some(today) = today else { return };
    let shop = shell.desk().state().ok().and_then(|state| state.shop);
    let day = words::day(&today.day);
    shell.title(
        ui.global::<Words>().invoke_day_long(day.clone()),
        shop.unwrap_or_default(),
    );
    fill(
        &kept.sessions,
        today.sessions.iter().map(session_row).collect(),
    );
    fill(&kept.coming, today.coming.iter().map(session_row).collect());
    let course = |card: &CourseCard| course_row(shell, card);
    fill(&kept.courses, today.courses.iter().map(course).collect());
    fill(
        &kept.attention,
        today.alerts.iter().filter_map(attention_row).collect(),
    );
    let list = shell.see(shell.desk().course_list(None), |_| ());
    door.set_may_open(
        list.as_ref()
            .is_some_and(|list| list.may_open == Leave::Yes),
    );
    door.set_ended(
        list.map(|list| words::count(list.ended))
            .unwrap_or_default(),
    );
    door.set_empty(today.courses.is_empty() && today.sessions.is_empty());
    door.set_day(day);
    door.set_sessions(ModelRc::from(Rc::clone(&kept.sessions)));
    door.set_coming(ModelRc::from(Rc::clone(&kept.coming)));
    door.set_courses(ModelRc::from(Rc::clone(&kept.courses)));
    door.set_attention(ModelRc::from(Rc::clone(&kept.attention)));
    door.set_load(Load::Ready);
}

/// A session in a few words; the list of sessions draws the same row.
pub(crate) fn session_row(card: &SessionCard) -> SessionRow {
    let staff: Vec<&str> = card.staff.iter().map(|one| one.name.as_str()).collect();
    SessionRow {
        id: card.session.to_string().into(),
        course: card.course.to_string().into(),
        course_title: card.course_title.clone().into(),
        title: card.title.clone().into(),
        setting: words::setting(&card.setting),
        site: card.site.clone().into(),
        day: words::day(&card.starts.day),
        starts: words::clock(&card.starts),
        minutes: words::count(card.minutes),
        students: words::count(card.students),
        staff: staff.join(", ").into(),
        state: match card.state {
            SessionState::Running => SessionWhen::Now,
            SessionState::Ahead => SessionWhen::Later,
            SessionState::Over | SessionState::Cancelled => SessionWhen::Over,
        },
        gaps: words::count(card.with_gaps),
        in_water: words::count(card.in_water),
        staff_in_water: words::count(card.staff_in_water),
        ratio: card
            .ratio
            .as_ref()
            .map_or(Verdict::NoRule, |ratio| words::verdict(&ratio.limit)),
        depth: words::verdict(&card.depth_limit),
        cancelled: card.cancelled.clone().unwrap_or_default().into(),
    }
}

fn course_row(shell: &Shell, card: &CourseCard) -> CourseRow {
    let held = shell.desk().held_by_shop(Some(card.course.to_string()));
    CourseRow {
        id: card.course.to_string().into(),
        title: card.title.clone().into(),
        starts: card.starts.as_ref().map(words::day).unwrap_or_default(),
        students: words::count(card.students),
        share: words::share(card.percent),
        ready: words::count(card.ready),
        waiting: words::count(card.waiting),
        held: held.map(|held| words::held(&held).0).unwrap_or_default(),
        closed: matches!(
            card.stage,
            Some(CourseStage::Closed | CourseStage::HandedOver)
        ),
        ..CourseRow::default()
    }
}

fn attention_row(alert: &Alert) -> Option<AttentionRow> {
    let one = match alert.students.as_slice() {
        [StudentName { student, .. }] => student.to_string(),
        _ => String::new(),
    };
    Some(AttentionRow {
        kind: match alert.what {
            AlertKind::StillInWater => Calls::StillInWater,
            AlertKind::OverRatio => Calls::OverRatio,
            AlertKind::PaperBeforeWater => Calls::GapBeforeWater,
            AlertKind::TwoViews => Calls::TwoViews,
            AlertKind::SlippedSince => Calls::Slipped,
            AlertKind::ToConfirm => Calls::Unconfirmed,
            AlertKind::RulesUnconfirmed => Calls::RulesUnconfirmed,
            AlertKind::Unverified => Calls::Unverified,
            AlertKind::Irregular => Calls::Irregular,
            AlertKind::Newer => Calls::NewerEntries,
        },
        course: alert.course.to_string().into(),
        course_title: alert.title.clone().into(),
        session: words::maybe(alert.session.as_ref()),
        student: if alert.devices.is_empty() {
            words::names(&alert.students)
        } else {
            alert.devices.join(", ").into()
        },
        student_id: alert
            .cell
            .as_ref()
            .map_or(one, |cell| cell.student.to_string())
            .into(),
        skill_id: alert
            .cell
            .as_ref()
            .map(|cell| cell.skill.to_string())
            .unwrap_or_default()
            .into(),
        count: words::count(alert.count),
        ..AttentionRow::default()
    })
}

/// Where what calls can be dealt with.
fn attend(shell: &Rc<Shell>, row: &AttentionRow) {
    let course = Route::to(Screen::Board)
        .course(row.course.clone())
        .session(row.session.clone());
    let student = course.here(Screen::Student).student(row.student_id.clone());
    shell.open(match row.kind {
        Calls::StillInWater => course.here(Screen::Water),
        Calls::OverRatio => course.here(Screen::Plan),
        Calls::GapBeforeWater if student.student.is_some() => student,
        Calls::GapBeforeWater => course.here(Screen::Students),
        Calls::Unverified | Calls::NewerEntries | Calls::Irregular => course.here(Screen::Journal),
        Calls::RulesUnconfirmed => course.here(Screen::Policy),
        Calls::ClockDiffers => Route::to(Screen::Devices),
        Calls::TwoViews | Calls::Slipped if !row.skill_id.is_empty() => course
            .here(Screen::Attempt)
            .student(row.student_id.clone())
            .skill(row.skill_id.clone()),
        Calls::TwoViews | Calls::Slipped => course,
        Calls::Unconfirmed => course.here(Screen::Confirm),
    });
}

fn new_session(shell: &Rc<Shell>) {
    match shell.desk().at_hand() {
        Ok(Some(at)) => shell.open(Route::to(Screen::Plan).course(at.course)),
        Ok(None) => shell.open(Route::to(Screen::NewCourse)),
        Err(fault) => shell.fault(&fault),
    }
}
