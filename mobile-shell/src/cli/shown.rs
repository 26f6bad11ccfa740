//! Shown: a session with all that is known of it, to a person and to a program.

use serde_json::{Value, json};
use tallywater_bindings::{
    self as border, ConditionRow, OverrideRow, PairingView, RatioReason, RatioView, SessionStaff,
    SessionStudent, SessionView, StaffGapRow, StaffMissing,
};

use super::catalogue::{t, tr};
use super::session::warnings;
use super::turn::Turn;
use super::words::{self, Condition, Limit, Role, SessionStands, Setting, StaffPaper, Water};

/// A session with all that is known of it.
pub(super) fn answer(seen: &SessionView, rules: &words::Rules, turn: &Turn) {
    let students = seen.students.iter().filter(|one| one.chosen).map(student);
    let staff = seen.staff.iter().filter(|one| one.chosen);
    let besides = seen.conditions.iter().filter(|one| one.on);
    let run = seen
        .run_list
        .iter()
        .map(|row| json!({ "skill": row.skill, "name": row.name, "minutes": row.minutes }));
    let water = &seen.water;
    let figure = |it: &Option<border::Figure>| it.as_ref().map(super::figure);
    let conditions = besides.clone().map(|one| {
        json!({
            "condition": Condition::from(&one.what).word(),
            "limit": Limit::from(&one.limit).word(),
        })
    });
    let expected = json!({
        "kind": Water::from(&water.kind).word(), "depth": figure(&water.max_depth),
        "depth_limit": Limit::from(&water.depth_limit).word(),
        "depth_allowed": figure(&water.depth_allowed), "depth_rule": water.depth_rule,
        "altitude": figure(&water.altitude), "temperature": figure(&water.temperature),
        "visibility": figure(&water.visibility), "moving": water.moving,
    });
    let pairing = seen.pairing.as_ref().map(|it| {
        json!({
            "under": it.under, "young": it.young, "grown": it.grown,
            "assistants": it.assistants, "unknown": it.unknown,
            "limit": Limit::from(&it.limit).word(),
        })
    });
    let value = json!({
        "id": seen.session, "course": seen.course, "title": seen.title, "block": seen.block,
        "setting": Setting::from(&seen.setting).word(), "site": seen.site, "bring": seen.bring,
        "site_missing": seen.site_missing.iter().map(super::site::missing_said).collect::<Vec<_>>(),
        "starts": seen.starts.at.to_rfc3339(), "ends": seen.ends.at.to_rfc3339(), "minutes": seen.minutes,
        "state": SessionStands::from(&seen.state).word(), "cancelled": seen.cancelled,
        "students": students.collect::<Vec<_>>(),
        "staff": staff.clone().map(|one| words::staff(&one.name)).collect::<Vec<_>>(),
        "run_list": run.collect::<Vec<_>>(), "run_minutes": seen.run_minutes, "fits": seen.fits,
        "staff_checks": staff.clone().map(staff_check).collect::<Vec<_>>(),
        "conditions": conditions.collect::<Vec<_>>(), "pairing": pairing, "water": expected,
        "ratio": seen.ratio.as_ref().map(|it| json!({
            "students": it.students, "of_other_courses": of_other_courses(it),
            "ceiling": it.ceiling, "limit": Limit::from(&it.limit).word(),
        })),
    });
    let ids = || {
        seen.run_list
            .iter()
            .map(|row| row.skill.to_string())
            .collect()
    };
    turn.answer("session.show", &value, ids, || {
        let mut lines = vec![
            format!("{}, {}", seen.title, seen.site),
            format!("{}, {} min", words::moment(&seen.starts), seen.minutes),
        ];
        lines.extend(seen.site_missing.iter().map(super::site::missing_said));
        lines.extend(seen.bring.iter().map(|bring| tr!("to bring: {what}", what = bring)));
        lines.extend(seen.cancelled.iter().map(|why| tr!("cancelled: {why}", why = why)));
        let besides: Vec<String> = besides.map(condition_said).collect();
        if !besides.is_empty() {
            lines.push(tr!("besides: {what}", what = besides.join(", ")));
        }
        if let Some(depth) = &water.depth_allowed {
            let depth = super::figure_said(depth);
            lines.push(match &water.depth_rule {
                Some(rule) => {
                    tr!("depth allowed: {depth}, by the rule {rule}", depth = depth, rule = rule)
                }
                None => tr!("depth allowed: {depth}", depth = depth),
            });
        }
        let names: Vec<&str> = staff.clone().map(|one| one.name.name.as_str()).collect();
        lines.push(names.join(", "));
        for one in staff {
            let mut parts: Vec<String> = one.gaps.iter().map(|gap| staff_gap_said(gap, rules)).collect();
            parts.extend(ascents_said(one.ascents, &one.ascents_limit));
            if !parts.is_empty() {
                lines.push(format!("  {}  {}", one.name.name, parts.join("; ")));
            }
        }
        lines.extend(seen.pairing.as_ref().map(pairing_said));
        let of_others = seen.ratio.as_ref().map_or(0, of_other_courses);
        if of_others > 0 {
            lines.push(tr!(
                "of other courses, in the same water with the same staff: {count}",
                count = of_others
            ));
        }
        for one in seen.students.iter().filter(|one| one.chosen) {
            let mut parts: Vec<String> = one.gaps.iter().map(|gap| words::gap_said(gap, rules)).collect();
            parts.extend(ascents_said(one.ascents, &one.ascents_limit));
            if one.dives_that_day > 0 {
                parts.push(tr!(
                    "dives that day: {count}, {limit}",
                    count = one.dives_that_day,
                    limit = Limit::from(&one.dives_limit).said()
                ));
            }
            lines.push(format!("  {}  {}", one.name.name, parts.join("; ")));
            lines.extend(one.overrides.iter().map(|row| format!("    {}", aside_said(row))));
        }
        for row in &seen.run_list {
            lines.push(format!("  {:<18}  {}", row.skill, row.name));
        }
        lines.extend(warnings(seen));
        lines.push(tr!("A planning aid: local law, your training organisation's standards and a licensed physician come first."));
        lines
    });
}

/// How many of the students that a ratio counts are there with other courses.
fn of_other_courses(ratio: &RatioView) -> u32 {
    let counted = ratio.reasons.iter().find_map(|reason| {
        if let RatioReason::OtherCourses(count) = reason {
            Some(*count)
        } else {
            None
        }
    });
    counted.unwrap_or(0)
}

/// A student in a session, as JSON.
fn student(one: &SessionStudent) -> Value {
    let aside = one.overrides.iter().map(|row| {
        json!({
            "entry": row.entry, "skills": row.skills, "why": row.why,
            "by": words::staff(&row.by), "at": row.at.at.to_rfc3339(),
        })
    });
    json!({
        "student": words::student(&one.name),
        "missing": one.gaps.iter().map(words::gap).collect::<Vec<_>>(),
        "overrides": aside.collect::<Vec<_>>(),
        "ascents": one.ascents, "ascents_limit": Limit::from(&one.ascents_limit).word(),
        "dives_that_day": one.dives_that_day, "dives_limit": Limit::from(&one.dives_limit).word(),
    })
}

/// What stands against a member of staff in a session, as JSON.
fn staff_check(one: &SessionStaff) -> Value {
    let missing = one.gaps.iter().map(|gap| {
        let (what, rule, paper, until, piece) = match &gap.what {
            StaffMissing::RuleUnconfirmed(rule) => ("rule", Some(rule), None, None, None),
            StaffMissing::NotRecorded(paper) => ("not-recorded", None, Some(paper), None, None),
            StaffMissing::Ended(paper, until) => {
                ("ended", None, Some(paper), Some(until.to_string()), None)
            }
            StaffMissing::Kit { piece, wrong } => {
                let what = super::kit_shown::wrong_word(wrong);
                let until = super::kit_shown::until(wrong);
                (what, None, None, until, Some(&piece.piece))
            }
        };
        let paper = paper.map(|paper| StaffPaper::from(paper).word());
        json!({ "what": what, "rule": rule, "paper": paper, "until": until, "piece": piece })
    });
    json!({
        "staff": words::staff(&one.name),
        "role": one.role.as_ref().map(|role| Role::from(role).word()),
        "missing": missing.collect::<Vec<_>>(),
        "ascents": one.ascents, "ascents_limit": Limit::from(&one.ascents_limit).word(),
    })
}

fn staff_gap_said(gap: &StaffGapRow, rules: &words::Rules) -> String {
    match &gap.what {
        StaffMissing::RuleUnconfirmed(rule) => {
            let said = rules
                .get(rule.as_str())
                .map_or(rule.as_str(), String::as_str);
            t("Rule not confirmed: {0}").replace("{0}", said)
        }
        StaffMissing::NotRecorded(paper) => {
            t("{0}: missing").replace("{0}", StaffPaper::from(paper).said())
        }
        StaffMissing::Ended(paper, until) => t("{0}: counted until {1}")
            .replace("{0}", StaffPaper::from(paper).said())
            .replace("{1}", &until.to_string()),
        StaffMissing::Kit { piece, wrong } => super::kit_shown::gap_said(piece, wrong),
    }
}

/// How often somebody comes up that day by the run list, where they do, against the rule.
fn ascents_said(count: u32, limit: &border::Limit) -> Option<String> {
    let limit = Limit::from(limit).said();
    (count > 0).then(|| {
        tr!(
            "ascents that day: {count}, {limit}",
            count = count,
            limit = limit
        )
    })
}

fn condition_said(one: &ConditionRow) -> String {
    let (what, limit) = (Condition::from(&one.what), Limit::from(&one.limit));
    match limit {
        Limit::Within | Limit::NoRule => what.said().to_owned(),
        Limit::Over | Limit::Unconfirmed | Limit::Unknown => {
            format!("{} ({})", what.said(), limit.said())
        }
    }
}

fn pairing_said(it: &PairingView) -> String {
    tr!(
        "under {age}: {young}; students of age beside them: {grown}; assistants, whose age is not recorded: {assistants}; age not known: {unknown}; {limit}",
        age = it.under,
        young = it.young,
        grown = it.grown,
        assistants = it.assistants,
        unknown = it.unknown,
        limit = Limit::from(&it.limit).said()
    )
}

/// What an instructor set aside for a student, and why.
fn aside_said(row: &OverrideRow) -> String {
    t("Set aside by {0}, {1}: {2}. {3}")
        .replace("{0}", &row.by.name)
        .replace("{1}", &row.at.day.date.to_string())
        .replace("{2}", &row.skills.join(", "))
        .replace("{3}", &row.why)
}
