//! `tallywater next --shared`: make-ups that two courses of the school could hold in one slot.

use serde_json::{Value, json};
use tallywater_bindings::{
    Fault, NotShared, NotSharedBecause, Request, SessionPlan, SharedRow, SharedSide,
};

use super::catalogue::{t, tr};
use super::of::Opened;
use super::turn::Turn;
use super::{find, words};

/// Says them, or plans the first of them in both courses; whether there is one.
pub(super) fn run(
    opened: &Opened,
    beside: Option<&str>,
    plan: bool,
    turn: &Turn,
) -> Result<bool, Fault> {
    let desk = &opened.desk;
    let mut view = desk.shared_make_ups(opened.id())?;
    if let Some(asked) = beside {
        let other = find::course(desk, Some(asked))?.course.to_string();
        let with = |row: &SharedRow| row.sides.iter().any(|side| side.course == other);
        view.rows.retain(with);
        view.others.retain(|one| one.course == other);
    }
    if plan && let Some(row) = view.rows.first() {
        let receipt = desk.record_all(row.sides.iter().map(request).collect())?;
        turn.recorded(&receipt, tr!("The make-up is planned in both courses."));
        return Ok(true);
    }
    let rows = view.rows.iter().map(value);
    let others = view.others.iter().map(|one| {
        json!({ "course": one.course, "title": one.course_title, "because": word(&one.because) })
    });
    let value = json!({
        "course": opened.id(), "shared": rows.collect::<Vec<Value>>(),
        "not_shared": others.collect::<Vec<Value>>(), "free": view.free,
    });
    let ids = || {
        let courses = view.rows.iter().filter_map(|row| row.sides.last());
        courses.map(|side| side.course.to_string()).collect()
    };
    turn.answer("shared", &value, ids, || {
        let mut lines: Vec<String> = view.rows.iter().flat_map(lines).collect();
        lines.extend(view.others.iter().map(not_shared));
        if view.rows.is_empty() {
            lines.push(tr!("No make-up can be shared with another course."));
        } else {
            lines.push(tr!("Nothing is planned yet: plan it with --plan."));
        }
        lines
    });
    Ok(!view.rows.is_empty())
}

/// One side's session, as it is planned.
fn request(side: &SharedSide) -> Request {
    Request::PlanSession {
        course: side.course.to_string(),
        session: None,
        plan: SessionPlan {
            title: title(side),
            ..side.plan.clone()
        },
    }
}

fn title(side: &SharedSide) -> String {
    if side.makes_up {
        t("Make-up: {0}").replace("{0}", &side.plan.title)
    } else {
        side.plan.title.clone()
    }
}

fn value(row: &SharedRow) -> Value {
    let side = |side: &SharedSide| {
        json!({
            "course": side.course, "course_title": side.course_title, "title": title(side),
            "makes_up": side.makes_up,
            "students": side.students.iter().map(words::student).collect::<Vec<_>>(),
            "kept_out": side.kept_out.iter().map(words::student).collect::<Vec<_>>(),
            "skills": side.plan.run_list,
        })
    };
    json!({
        "starts": row.starts.at.to_rfc3339(), "ends": row.ends.at.to_rfc3339(), "site": row.site, "price": row.price,
        "staff": row.staff.iter().map(words::staff).collect::<Vec<_>>(),
        "students": row.students, "ceiling": row.ceiling, "minutes": row.minutes,
        "sides": row.sides.iter().map(side).collect::<Vec<_>>(),
    })
}

fn lines(row: &SharedRow) -> Vec<String> {
    let mut lines = vec![format!("{}, {}", words::moment(&row.starts), row.site)];
    let staff: Vec<&str> = row.staff.iter().map(|one| one.name.as_str()).collect();
    lines.push(tr!("  with {names}", names = staff.join(", ")));
    for side in &row.sides {
        let students: Vec<&str> = side.students.iter().map(|one| one.name.as_str()).collect();
        lines.push(tr!(
            "  {course}: {title}, for {names}",
            course = side.course_title,
            title = title(side),
            names = students.join(", ")
        ));
        lines.push(format!("    {}", side.skills.join(", ")));
        if !side.kept_out.is_empty() {
            let out: Vec<&str> = side.kept_out.iter().map(|one| one.name.as_str()).collect();
            lines.push(tr!(
                "    something is missing before that water: {names}",
                names = out.join(", ")
            ));
        }
    }
    if let Some(ceiling) = row.ceiling {
        lines.push(tr!(
            "  students together: {count}, at most {most}",
            count = row.students,
            most = ceiling
        ));
    }
    lines.push(tr!("  minutes that it takes: {count}", count = row.minutes));
    lines
}

fn word(because: &NotSharedBecause) -> &'static str {
    match because {
        NotSharedBecause::Staff => "staff",
        NotSharedBecause::Papers => "papers",
        NotSharedBecause::Slot => "slot",
        NotSharedBecause::Rules => "rules",
        NotSharedBecause::SoonerApart => "sooner-apart",
    }
}

fn not_shared(one: &NotShared) -> String {
    let why = match one.because {
        NotSharedBecause::Staff => t("no instructor works on both courses"),
        NotSharedBecause::Papers => {
            t("whoever leads both has something to renew, or it is not recorded")
        }
        NotSharedBecause::Slot => t("no free slot suits both"),
        NotSharedBecause::Rules => {
            t("by the rules they cannot be in the water together with those who work on both")
        }
        NotSharedBecause::SoonerApart => t("with a slot for each both are through sooner"),
    };
    format!("{}: {why}", one.course_title)
}
