//! The session sheet: for the clipboard on the pool's edge.

use chrono::TimeDelta;

use super::{BODY, Press, SMALL, furniture, heads};
use crate::course::{RuleId, RunForm, SessionId, SessionPlan, StationPlan, StudentId};
use crate::entry::{Override, Who};
use crate::paper::pdf::{Cell, Column, Flow, Mark, PdfError, Room, Row, Style, Table, Turn};
use crate::paper::say::{Figures as _, moment, signer_name};
use crate::paper::slate::Supervision;
use crate::paper::source::Source;
use crate::paper::words::{Words, fill};
use crate::plan::{Going, before_session, before_staff};
use crate::standing::{CellState, Counted, SessionNow};
use crate::view::{Allowed, Limit, Units, ascents_ahead, ascents_rule, pairing};

impl Press {
    /// A session's sheet; `None` while no plan of it stands.
    ///
    /// # Errors
    /// [`PdfError`].
    pub fn session_sheet(
        &self,
        source: &Source<'_>,
        session: SessionId,
    ) -> Result<Option<Vec<u8>>, PdfError> {
        let words = self.words();
        let Some(now) = source.course.sessions().get(&session) else {
            return Ok(None);
        };
        self.print(|set| {
            let mut flow = Flow::new(set, self.sheet, Turn::Upright, Room::OFFICE);
            let line = format!("{} · {}", words.sheet_title, super::heading_of(source));
            super::top(&mut flow, &now.plan.title, &line);
            self.facts(&mut flow, source, (session, now));
            people(&mut flow, source, words, (session, now), self.units);
            super::teams::teams(&mut flow, source, words, (session, now));
            super::teams::raised(&mut flow, source, words, session);
            super::emergency::emergency(&mut flow, source, words, now, self.units);
            run_list(&mut flow, source, words, now);
            stations(&mut flow, source, words, now);
            super::debrief::debriefs(&mut flow, source, words, (session, now));
            super::close(&mut flow, words, words.caution_plan);
            let title = format!("{} · {}", words.sheet_title, now.plan.title);
            let about = super::about(source, words, &title, words.sheet_subject);
            let state = now
                .cancelled
                .as_ref()
                .map_or(words.sheet_title, |_| words.cancelled);
            flow.finish(&about, Some(&furniture(source, words, state)))
        })
        .map(Some)
    }

    fn facts(
        &self,
        flow: &mut Flow<'_>,
        source: &Source<'_>,
        (now_id, now): (SessionId, &SessionNow),
    ) {
        let (words, units, plan) = (self.words(), self.units, &now.plan);
        let supervision = Supervision::of(source, &now_id, now);
        let mut water = vec![words.water_of(plan.water.kind).to_owned()];
        water.extend(
            plan.water
                .max_depth_cm
                .map(|cm| format!("{} {}", words.depth_planned, units.depth(cm))),
        );
        water.extend(plan.water.temperature_dc.map(|dc| units.temperature(dc)));
        water.extend(
            plan.water
                .visibility_dm
                .map(|dm| format!("{} {}", words.visibility, units.distance(dm.into()))),
        );
        let roles = source.course.staff();
        let staff: Vec<String> = plan
            .staff
            .iter()
            .map(|id| {
                let name = source.staff_name(id).unwrap_or_else(|| id.to_string());
                let named = match roles.get(id) {
                    Some(role) => format!("{name} ({})", words.role_of(*role)),
                    None => name,
                };
                let mut said = vec![named];
                let lacks = before_staff(
                    source.shop,
                    source.course,
                    id,
                    (plan.setting, plan.starts.date_naive()),
                );
                said.extend(lacks.iter().map(|gap| words.staff_gap(gap)));
                said.extend(ascents(source, words, plan, now_id, &Who::Staff(*id)));
                said.join("; ")
            })
            .collect();
        let starts = format!(
            "{}, {} {}",
            moment(plan.starts),
            plan.minutes,
            words.minutes_short
        );
        let also: Vec<&str> = plan
            .conditions()
            .into_iter()
            .map(|one| words.condition_of(one))
            .collect();
        let mut loud = Vec::new();
        let mut facts = vec![
            (words.starts, starts),
            (
                words.site,
                format!("{} ({})", plan.site, words.setting_of(plan.setting)),
            ),
            (words.water, water.join(", ")),
            (words.staff, staff.join("\n")),
            (
                words.ratio,
                super::slate::supervision(
                    words,
                    &supervision,
                    words.ratio_ceiling,
                    words.ratio_unconfirmed,
                ),
            ),
        ];
        if !also.is_empty() {
            facts.push((words.also, also.join(", ")));
        }
        for (limit, label, value) in [
            depth(source, words, plan, units),
            the_young(source, words, plan),
        ]
        .into_iter()
        .flatten()
        {
            if limit != Limit::Within {
                loud.push(label);
            }
            facts.push((label, value));
        }
        if let Some(why) = &now.cancelled {
            facts.insert(0, (words.cancelled, why.clone()));
        }
        let rows = facts
            .into_iter()
            .map(|(label, value)| {
                let ratio = label == words.ratio
                    && (supervision.is_over() || supervision.ceiling.is_none());
                let bold = ratio || loud.contains(&label);
                let style = if bold { BODY.bold() } else { BODY };
                Row::of(vec![
                    Cell::new(label, BODY.semi().grey()),
                    Cell::new(value, style),
                ])
            })
            .collect();
        flow.table(&Table {
            columns: vec![Column::left(18.0), Column::left(82.0)],
            head: Vec::new(),
            rows,
        });
    }
}

/// How often somebody will come up that day, where the setting has ascents, and loudly where
/// that is more than the rule.
fn ascents(
    source: &Source<'_>,
    words: &'static Words,
    plan: &SessionPlan,
    session: SessionId,
    who: &Who,
) -> Option<String> {
    let (ascents, limit) = ascents_ahead(source.course, plan, Some(session), who);
    let most = ascents_rule(source.course, who).map(|(_, most)| most.to_string());
    let pattern = if limit == Limit::Over {
        words.ascents_over
    } else {
        words.ascents_planned
    };
    (ascents > 1).then(|| {
        fill(
            pattern,
            &[
                ("n", &ascents.to_string()),
                ("most", &most.unwrap_or_default()),
            ],
        )
    })
}

/// The planned depth against every rule that somebody in the plan is under.
fn depth(
    source: &Source<'_>,
    words: &'static Words,
    plan: &SessionPlan,
    units: Units,
) -> Option<(Limit, &'static str, String)> {
    let planned = plan.water.max_depth_cm?;
    let allowed = Allowed::of(source.course, plan, |student| source.age(student));
    let limit = allowed.limit(source.course, Some(planned));
    let pattern = match limit {
        Limit::NoRule => return None,
        Limit::Within => words.depth_kept,
        Limit::Unconfirmed => words.depth_unconfirmed,
        Limit::Unknown => words.depth_unknown,
        Limit::Over => words.depth_over,
    };
    let most = allowed.most_cm().map(|cm| units.depth(cm));
    let rule = allowed.rule().map(RuleId::as_str);
    let said = fill(
        pattern,
        &[
            ("planned", &units.depth(planned)),
            ("most", &most.unwrap_or_default()),
            ("rule", rule.unwrap_or_default()),
        ],
    );
    Some((limit, words.depth_limit, said))
}

/// The young of the plan and those of age, where a rule pairs them.
fn the_young(
    source: &Source<'_>,
    words: &'static Words,
    plan: &SessionPlan,
) -> Option<(Limit, &'static str, String)> {
    let found = pairing(source.course, plan, |student| source.age(student))?;
    let mut said = fill(
        words.pairing_line,
        &[
            ("under", &found.under.to_string()),
            ("young", &found.young.to_string()),
            ("grown", &found.grown.to_string()),
        ],
    );
    let more = match found.limit {
        Limit::Over => words.pairing_over,
        Limit::Unknown => words.pairing_unknown,
        Limit::Unconfirmed => words.rule_unconfirmed,
        Limit::Within | Limit::NoRule => "",
    };
    if !more.is_empty() {
        said = format!("{said} · {more}");
    }
    Some((found.limit, words.pairing, said))
}

/// What an instructor set aside for a student, with who, when and why.
fn overridden(source: &Source<'_>, words: &Words, one: &Counted, body: &Override) -> String {
    let outline = source.course.outline();
    let skills = outline.map_or(&[][..], |outline| &outline.skills);
    let named = skills
        .iter()
        .filter(|skill| body.skills.contains(&skill.id))
        .map(|skill| skill.name.as_str());
    let named: Vec<&str> = named.collect();
    fill(
        words.overridden,
        &[
            ("who", &signer_name(&source.signer(one))),
            ("when", &moment(one.entry.at)),
            ("what", &named.join(", ")),
            ("why", &body.why),
        ],
    )
}

fn people(
    flow: &mut Flow<'_>,
    source: &Source<'_>,
    words: &'static Words,
    (session, now): (SessionId, &SessionNow),
    units: Units,
) {
    let plan = &now.plan;
    flow.heading(2, words.students);
    let rows = (1..)
        .zip(source.roster(&plan.students, words))
        .map(|(number, (student, _)): (usize, _)| {
            let student = &student;
            let going = Going::of(plan, Some(session));
            let gaps = before_session(
                source.shop,
                source.course,
                student,
                &going,
                source.age(student),
            );
            let mut missing = if gaps.is_empty() {
                Cell::new(words.clear, SMALL)
            } else {
                let said = words.gaps(&gaps, source.course.outline(), units);
                Cell::new(said.join("; "), SMALL.bold()).marked(Mark::Cross)
            };
            let over = ascents_ahead(source.course, plan, Some(session), &Who::Student(*student));
            if over.1 == Limit::Over
                && let Some(said) = ascents(source, words, plan, session, &Who::Student(*student))
            {
                missing = missing.and(format!("\n{said}"), SMALL.bold());
            }
            for (one, body) in source.course.overrides(&session, student) {
                let said = overridden(source, words, one, body);
                missing = missing.and(format!("\n{said}"), SMALL.semi());
            }
            let call = source
                .names
                .details(student)
                .and_then(|details| details.emergency)
                .map_or_else(
                    || words.no_contact.to_owned(),
                    |contact| format!("{}, {}", contact.name, contact.reach),
                );
            let name = source.student_name(student, words);
            let name = super::legible(flow.set(), &name, student);
            Row::of(vec![
                Cell::new(number.to_string(), BODY.bold()),
                Cell::new(name, BODY.semi()),
                missing,
                Cell::new(call, SMALL),
                Cell::new("\u{a0}", Style::new(16.0)),
                Cell::new("\u{a0}", Style::new(16.0)),
            ])
        })
        .collect();
    flow.table(&Table {
        columns: vec![
            Column::right(5.0),
            Column::left(28.0),
            Column::left(26.0),
            Column::left(23.0),
            Column::left(9.0),
            Column::left(9.0),
        ],
        head: heads(&[
            words.number,
            words.name,
            words.before_water,
            words.emergency_contact,
            words.time_in,
            words.time_out,
        ]),
        rows,
    });
}

fn run_list(flow: &mut Flow<'_>, source: &Source<'_>, words: &'static Words, now: &SessionNow) {
    let plan = &now.plan;
    let Some(outline) = source.course.outline() else {
        return;
    };
    if plan.run_list.is_empty() {
        return;
    }
    flow.heading(2, words.run_list);
    let roster = source.roster(&plan.students, words);
    let rows = (1..)
        .zip(&plan.run_list)
        .filter_map(|(number, id): (usize, _)| Some((number, outline.skill(id)?)))
        .map(|(number, skill)| {
            let needs = |student: &StudentId| {
                let cell = source.course.cells().get(&(*student, skill.id.clone()));
                cell.is_none_or(|cell| {
                    !matches!(cell.state, CellState::Met | CellState::Exempt) || cell.slipped_since
                })
            };
            let needing: Vec<_> = roster.iter().filter(|(id, _)| needs(id)).collect();
            let who = if needing.is_empty() {
                words.nobody.to_owned()
            } else if needing.len() == plan.students.len() {
                words.everyone.to_owned()
            } else {
                let names: Vec<String> = needing
                    .iter()
                    .map(|(student, called)| super::legible(flow.set(), called, student))
                    .collect();
                names.join(", ")
            };
            let minutes = skill.run_minutes(needing.len());
            let minutes = fill(words.minutes, &[("n", &minutes.to_string())]);
            let mut name = Cell::new(format!("{}\n", skill.name), BODY.semi())
                .and(&skill.requirement.says, SMALL);
            if let Some(caution) = &skill.caution {
                name = name.and(format!("\n{}: {caution}", words.caution), SMALL.semi());
            }
            Row::of(vec![
                Cell::new(number.to_string(), BODY.bold()),
                name,
                Cell::new(minutes, SMALL),
                Cell::new(who, SMALL),
            ])
        })
        .collect();
    flow.table(&Table {
        columns: vec![
            Column::right(5.0),
            Column::left(57.0),
            Column::right(10.0),
            Column::left(28.0),
        ],
        head: heads(&[words.number, words.skill, words.time, words.who_needs]),
        rows,
    });
}

/// Who runs what with whom, as it was laid down; what does not fit the plan any more is
/// left out.
fn stations(flow: &mut Flow<'_>, source: &Source<'_>, words: &'static Words, now: &SessionNow) {
    let plan = &now.plan;
    let laid: Vec<&StationPlan> = plan
        .stations
        .iter()
        .filter(|station| plan.staff.contains(&station.staff))
        .collect();
    if laid.is_empty() {
        return;
    }
    flow.heading(2, words.stations);
    let roster = source.roster(&plan.students, words);
    for station in laid {
        let name = source.staff_name(&station.staff);
        flow.heading(3, &name.unwrap_or_else(|| station.staff.to_string()));
        let mut called = |ids: &[StudentId], between: &str| {
            let here = roster.iter().filter(|(id, _)| ids.contains(id));
            let names: Vec<String> = here
                .map(|(id, called)| super::legible(flow.set(), called, id))
                .collect();
            names.join(between)
        };
        let buddies: Vec<String> = station
            .buddies
            .iter()
            .map(|pair| called(pair, " + "))
            .filter(|pair| !pair.is_empty())
            .collect();
        let mut rows = Vec::new();
        let listed = station.runs.iter();
        for run in listed.filter(|run| plan.run_list.contains(&run.skill)) {
            let outline = source.course.outline();
            let Some(skill) = outline.and_then(|outline| outline.skill(&run.skill)) else {
                continue;
            };
            let from = plan
                .starts
                .checked_add_signed(TimeDelta::minutes(run.starts.into()));
            let mut form = match skill.run.form {
                RunForm::Together => words.together,
                RunForm::Pairs => words.in_pairs,
                RunForm::OneByOne => words.one_by_one,
            }
            .to_owned();
            if run.kept > 0 {
                let kept = fill(words.turns_kept, &[("n", &run.kept.to_string())]);
                form = format!("{form}\n{kept}");
            }
            let who = if run.students.is_empty() {
                words.unjudged.to_owned()
            } else {
                called(&run.students, ", ")
            };
            let minutes = fill(words.minutes, &[("n", &run.minutes.to_string())]);
            let from = from.unwrap_or(plan.starts).format("%H:%M").to_string();
            rows.push(Row::of(vec![
                Cell::new(from, BODY.bold()),
                Cell::new(minutes, SMALL),
                Cell::new(format!("{}\n", skill.name), BODY.semi()).and(form, SMALL),
                Cell::new(who, SMALL),
            ]));
        }
        flow.table(&Table {
            columns: vec![
                Column::left(10.0),
                Column::right(10.0),
                Column::left(35.0),
                Column::left(45.0),
            ],
            head: heads(&[words.from, words.time, words.skill, words.students]),
            rows,
        });
        if !buddies.is_empty() {
            let line = fill(words.buddies, &[("names", &buddies.join(", "))]);
            flow.paragraph(&[(&line, SMALL)]);
        }
    }
}
