//! Judging: what the marks of the course say.

use std::rc::Rc;

use slint::ComponentHandle;
use tallywater_bindings::{Caution, ChartOf, JudgesAgree, Kappa, SkillJudged, share_of};

use super::picture;
use crate::shell::{Shell, on, rows};
use crate::ui::{AppDoor, CourseWords, JudgesSay, JudgingDoor, Load, Screen, SkillSays};
use crate::words;

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<JudgingDoor>();
    on!(shell, door.on_by_which_try() => picture::open(shell, ChartOf::Tries));
    on!(shell, door.on_again() => shell.show_again());
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<JudgingDoor>();
    shell.title(ui.global::<AppDoor>().invoke_heading(Screen::Judging), "");
    let course = shell.route().in_course();
    if course.is_empty() {
        door.set_fault(ui.global::<CourseWords>().invoke_no_course());
        door.set_load(Load::Failed);
        return;
    }
    let view = shell.see(shell.desk().judging(course), |fault| {
        door.set_fault(fault);
        door.set_load(Load::Failed);
    });
    let Some(view) = view else { return };
    door.set_caution(words::caution(&ui, &Caution::TooFewToProve));
    door.set_fault("".into());
    door.set_load(if view.skills.is_empty() {
        Load::Empty
    } else {
        Load::Ready
    });
    door.set_skills(rows(view.skills.iter().map(skill)));
    door.set_judges(rows(view.judges.iter().map(judges)));
}

fn skill(one: &SkillJudged) -> SkillSays {
    SkillSays {
        name: one.name.clone().into(),
        met: words::count(one.share.met),
        tried: words::count(one.share.tries),
        low: words::figure(&one.share.interval.low),
        high: words::figure(&one.share.interval.high),
        median: one.curve.median.map(words::count).unwrap_or_default(),
        met_some: one.share.met > 0,
        share: share_of(one.share.met, one.share.tries),
        too_few: one.too_few,
    }
}

fn judges(one: &JudgesAgree) -> JudgesSay {
    let (kappa, low, high) = match &one.agreement.kappa {
        // An interval of no width says that there were too few, not that all is known.
        Kappa::Of {
            kappa, low, high, ..
        } if low != high => (
            words::figure(kappa),
            words::figure(low),
            words::figure(high),
        ),
        Kappa::Of { .. } | Kappa::NoDisagreement { .. } => Default::default(),
    };
    JudgesSay {
        one: one.first.name.clone().into(),
        other: one.second.name.clone().into(),
        same: words::count(one.agreement.same),
        of: words::count(one.agreement.items),
        kappa,
        low,
        high,
    }
}
