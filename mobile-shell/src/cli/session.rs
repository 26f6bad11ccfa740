//! `tallywater session`: planned, moved, cancelled; and who went in and came out.

use clap::{Args, Subcommand};
use serde_json::{Value, json};
use tallywater_bindings::{
    self as border, Block, Clash, Fault, FigureKind, Passage, Request, SessionCard, SessionPlan,
    SessionView, Tallywater,
};

use super::catalogue::{t, tr};
use super::of::{Of, Opened};
use super::turn::Turn;
use super::words::{self, Condition, Limit, SessionStands, Setting, Water};
use super::{find, headcount, shown, when};

/// What is asked of sessions.
#[derive(Debug, Subcommand)]
pub(super) enum Session {
    /// List the sessions of a course.
    List {
        #[command(flatten)]
        of: Of,
    },
    /// Show one session: its plan, its limits, its run list.
    Show {
        #[command(flatten)]
        at: At,
    },
    /// Plan a session; what is not given is filled in from the outline and the course.
    Plan {
        #[command(flatten)]
        of: Of,
        /// A usual session of the outline: its id, or the beginning of its title.
        #[arg(long)]
        block: Option<String>,
        /// A make-up for this student: what they still need of a session that was held.
        #[arg(long, value_name = "STUDENT", conflicts_with = "block")]
        make_up: Option<String>,
        #[command(flatten)]
        plan: Drawn,
    },
    /// Plan a session anew; what is not given stays.
    Change {
        #[command(flatten)]
        at: At,
        #[command(flatten)]
        plan: Drawn,
    },
    /// Move a session to another time or place.
    Move {
        #[command(flatten)]
        at: At,
        /// When it starts from now on.
        #[arg(long, allow_hyphen_values = true)]
        starts: Option<String>,
        /// Where it is from now on.
        #[arg(long)]
        site: Option<String>,
        /// Why.
        #[arg(long)]
        why: String,
    },
    /// Cancel a session.
    Cancel {
        #[command(flatten)]
        at: At,
        /// Why.
        #[arg(long)]
        why: String,
    },
    /// Plan the day of a session anew that cannot be held: in the school's free slots, with the
    /// fewest changes to what people were told. It is shown first, and moved once you accept it.
    LostDay(super::lost_day::LostDay),
    /// Say that people went into the water.
    In {
        #[command(flatten)]
        pass: headcount::Pass,
    },
    /// Say that people came out of the water.
    Out {
        #[command(flatten)]
        pass: headcount::Pass,
    },
    /// Say that people did not come.
    Absent {
        #[command(flatten)]
        pass: headcount::Pass,
    },
    /// Enter or correct times in and out of the water afterwards, dive by dive. The record
    /// keeps the time that was meant and the time it was written.
    Times(super::times::Times),
    /// Say what ends a session's dive first: gas, no-stop time, cold or the plan; where each
    /// one turns, how long each one may stay, and until when nobody flies.
    Limits(super::limits::Limits),
    /// Show who dives beside whom in a session and who watches whom, or say it.
    ///
    /// What nobody has kept is a proposal, and is shown as one.
    Pairs(super::teams::Pairs),
    /// Move one person beside another, or out of every pair; the rest stays as it is.
    Buddy(super::teams::Buddy),
    /// Say who watches a student, or that nobody does; the rest stays as it is.
    Watch(super::teams::Watch),
    /// Show which buddies are lost, write down that one is, or say how it ended.
    Lost(super::teams::Lost),
    /// Show what each person of a session needs of the school's kit, has, and could be issued.
    Kit(super::issue::ForSession),
    /// Count heads: who is in the water, since when, who should be back.
    Count {
        #[command(flatten)]
        at: At,
    },
}

/// Which session of which course.
#[derive(Debug, Args)]
pub(super) struct At {
    #[command(flatten)]
    pub(super) of: Of,
    /// The session: an id, or its title or the beginning of it.
    #[arg(long)]
    pub(super) session: String,
}

/// A plan.
#[derive(Debug, Args)]
pub(super) struct Drawn {
    /// What it is called.
    #[arg(long)]
    title: Option<String>,
    /// Where it is held.
    #[arg(long, value_enum)]
    setting: Option<Setting>,
    /// The place.
    #[arg(long)]
    site: Option<String>,
    /// What each student is to bring; empty for nothing.
    #[arg(long)]
    bring: Option<String>,
    /// When it starts: "2026-06-06 18:00", "tomorrow 18:00".
    #[arg(long, allow_hyphen_values = true)]
    starts: Option<String>,
    /// How long it lasts, in minutes.
    #[arg(long)]
    minutes: Option<u16>,
    /// A student, as often as there are such.
    #[arg(long, short)]
    student: Vec<String>,
    /// A member of staff, as often as there are such.
    #[arg(long)]
    staff: Vec<String>,
    /// A skill of the run list, in its order: an id, or the beginning of its name.
    #[arg(long)]
    skill: Vec<String>,
    /// The water.
    #[arg(long, value_enum)]
    water: Option<Water>,
    /// The greatest depth.
    #[arg(long)]
    depth: Option<String>,
    /// The altitude of the water.
    #[arg(long)]
    altitude: Option<String>,
    /// The temperature of the water.
    #[arg(long)]
    temperature: Option<String>,
    /// How far one sees.
    #[arg(long)]
    visibility: Option<String>,
    /// There is current or surf to reckon with.
    #[arg(long)]
    moving: bool,
    /// What the session is besides, as often as there is such: a rule may forbid it.
    #[arg(long, value_enum)]
    also: Vec<Condition>,
    /// What the session is not after all, as often as there is such.
    #[arg(long, value_enum)]
    without: Vec<Condition>,
    /// Show what the plan comes to, ask every rule, and plan nothing.
    #[arg(long)]
    preview: bool,
    /// Do nothing if a session of this title and start is planned already.
    #[arg(long)]
    skip_existing: bool,
}

/// A figure as it was typed, in base units, within what the plan can hold.
pub(super) fn typed<T: TryFrom<i64>>(
    desk: &Tallywater,
    kind: FigureKind,
    field: &str,
    text: &str,
) -> Result<T, Fault> {
    let read = desk.read_figure(kind, text.to_owned());
    let read =
        read.and_then(|base| T::try_from(base).map_err(|_| Fault::beyond(kind, desk.units())));
    read.map_err(|fault| fault.of(field).value(text))
}

impl Drawn {
    fn over(&self, opened: &Opened, mut plan: SessionPlan) -> Result<SessionPlan, Fault> {
        let (desk, course) = (&opened.desk, opened.id());
        if let Some(title) = &self.title {
            plan.title.clone_from(title);
        }
        if let Some(setting) = self.setting {
            plan.setting = setting.into();
        }
        if let Some(site) = &self.site {
            plan.site.clone_from(site);
        }
        if let Some(bring) = &self.bring {
            plan.bring = Some(bring.trim().to_owned()).filter(|text| !text.is_empty());
        }
        if let Some(starts) = &self.starts {
            plan.starts = when::time(desk, starts)?;
        }
        plan.minutes = self.minutes.unwrap_or(plan.minutes);
        if !self.student.is_empty() {
            let found = self.student.iter();
            let found =
                found.map(|asked| Ok(find::student(desk, &course, asked)?.student.to_string()));
            plan.students = found.collect::<Result<_, Fault>>()?;
        }
        if !self.staff.is_empty() {
            let found = self.staff.iter();
            let found = found.map(|asked| Ok(find::staff(desk, asked)?.staff.to_string()));
            plan.staff = found.collect::<Result<_, Fault>>()?;
        }
        if !self.skill.is_empty() {
            let found = self.skill.iter();
            let found = found.map(|asked| find::skill(desk, &course, asked));
            plan.run_list = found.collect::<Result<_, Fault>>()?;
        }
        if !(self.student.is_empty() && self.staff.is_empty() && self.skill.is_empty()) {
            // Who runs what with whom was worked out for others.
            plan.stations.clear();
        }
        let water = &mut plan.water;
        if let Some(kind) = self.water {
            water.kind = kind.into();
        }
        if let Some(text) = &self.depth {
            water.max_depth_cm = Some(typed(desk, FigureKind::Depth, "depth", text)?);
        }
        if let Some(text) = &self.altitude {
            water.altitude_m = Some(typed(desk, FigureKind::Altitude, "altitude", text)?);
        }
        if let Some(text) = &self.temperature {
            let read = typed(desk, FigureKind::Temperature, "temperature", text)?;
            water.temperature_dc = Some(read);
        }
        if let Some(text) = &self.visibility {
            water.visibility_dm = Some(typed(desk, FigureKind::Way, "visibility", text)?);
        }
        let current = |said: &[Condition]| said.contains(&Condition::Current);
        water.moving =
            (water.moving || self.moving || current(&self.also)) && !current(&self.without);
        let also = self.also.iter().filter(|one| **one != Condition::Current);
        plan.also
            .extend(also.map(|one| border::Condition::from(*one)));
        plan.also
            .retain(|one| !self.without.contains(&Condition::from(one)));
        Ok(plan)
    }
}

/// Does what was asked.
pub(super) fn run(session: &Session, turn: &Turn) -> Result<(), Fault> {
    match session {
        Session::List { of } => list(of, turn),
        Session::Show { at } => {
            let opened = at.of.read(turn)?;
            let id = find::session(&opened.desk, &opened.id(), &at.session)?
                .session
                .to_string();
            let seen = opened.desk.session(opened.id(), id)?;
            let rules = super::rules::in_words(&opened.desk, &opened.id())?;
            shown::answer(&seen, &rules, turn);
            Ok(())
        }
        Session::Plan {
            of,
            block,
            make_up,
            plan,
        } => {
            let opened = of.write(turn)?;
            let draft = if let Some(asked) = make_up {
                let student = find::student(&opened.desk, &opened.id(), asked)?
                    .student
                    .to_string();
                let mut draft = opened.desk.draft_make_up(opened.id(), student)?;
                draft.title = t("Make-up: {0}").replace("{0}", &draft.title);
                draft
            } else {
                let block = block.as_ref().map(|asked| self::block(&opened, asked));
                opened.desk.draft_session(opened.id(), block.transpose()?)?
            };
            let drawn = plan.over(&opened, draft)?;
            record(&opened, None, drawn, plan, turn)
        }
        Session::Change { at, plan } => {
            let opened = at.of.write(turn)?;
            let id = find::session(&opened.desk, &opened.id(), &at.session)?
                .session
                .to_string();
            let known = opened.desk.session_plan(opened.id(), id.clone())?;
            let drawn = plan.over(&opened, known)?;
            record(&opened, Some(id), drawn, plan, turn)
        }
        Session::Move {
            at,
            starts,
            site,
            why,
        } => {
            let opened = at.of.write(turn)?;
            let course = opened.id();
            let session = find::session(&opened.desk, &course, &at.session)?;
            let starts = match starts {
                Some(typed) => when::time(&opened.desk, typed)?,
                None => session.starts.at.to_rfc3339(),
            };
            let (session, site) = (session.session, site.clone().unwrap_or(session.site));
            let moved = SessionPlan {
                starts: starts.clone(),
                site: site.clone(),
                ..opened
                    .desk
                    .session_plan(course.clone(), session.to_string())?
            };
            let beside = clashes(&opened, Some(session.to_string()), moved)?;
            let receipt = opened.desk.record(Request::MoveSession {
                course,
                session: session.to_string(),
                starts,
                site,
                why: why.clone(),
            })?;
            for line in beside {
                turn.warn(line);
            }
            turn.recorded(&receipt, tr!("The session is moved."));
            Ok(())
        }
        Session::Cancel { at, why } => {
            let opened = at.of.write(turn)?;
            let course = opened.id();
            let session = find::session(&opened.desk, &course, &at.session)?
                .session
                .to_string();
            let why = why.clone();
            let receipt = opened.desk.record(Request::CancelSession {
                course,
                session,
                why,
            })?;
            turn.recorded(&receipt, tr!("The session is cancelled."));
            Ok(())
        }
        Session::LostDay(asked) => super::lost_day::run(asked, turn),
        Session::In { pass } => headcount::pass(pass, Passage::In, turn),
        Session::Out { pass } => headcount::pass(pass, Passage::Out, turn),
        Session::Absent { pass } => headcount::pass(pass, Passage::Absent, turn),
        Session::Times(times) => super::times::run(times, turn),
        Session::Limits(limits) => super::limits::run(limits, turn),
        Session::Pairs(asked) => super::teams::pairs(asked, turn),
        Session::Buddy(asked) => super::teams::buddy(asked, turn),
        Session::Watch(asked) => super::teams::watch(asked, turn),
        Session::Lost(asked) => super::teams::lost(asked, turn),
        Session::Kit(asked) => super::issue::session(asked, turn),
        Session::Count { at } => headcount::count(at, turn),
    }
}

fn block(opened: &Opened, asked: &str) -> Result<String, Fault> {
    let course = opened.id();
    let seen = opened
        .desk
        .outline(tallywater_bindings::Scope::Course { course })?;
    let blocks: Vec<Block> = seen.blocks.into_iter().map(|row| row.block).collect();
    Ok(find::one("block", asked, blocks, |block| {
        (&block.id, vec![&block.id, &block.title])
    })?
    .id)
}

fn record(
    opened: &Opened,
    session: Option<String>,
    plan: SessionPlan,
    asked: &Drawn,
    turn: &Turn,
) -> Result<(), Fault> {
    let course = opened.id();
    if asked.skip_existing {
        let rows = opened.desk.session_list(course.clone())?.rows;
        let same = |row: &&SessionCard| {
            let cancelled = SessionStands::from(&row.state) == SessionStands::Cancelled;
            !cancelled && row.title == plan.title && row.starts.at.to_rfc3339() == plan.starts
        };
        if let Some(there) = rows.iter().find(same) {
            let value = json!({ "session": there.session });
            let sentence = tr!("Such a session is planned already.");
            let ids = || vec![there.session.to_string()];
            turn.answer("session.there", &value, ids, || vec![sentence]);
            return Ok(());
        }
    }
    let request = Request::PlanSession {
        course: course.clone(),
        session: session.clone(),
        plan: plan.clone(),
    };
    let beside = clashes(opened, session.clone(), plan.clone())?;
    let seen = opened.desk.check_plan(course, session.clone(), plan)?;
    if asked.preview {
        opened.desk.would_record(vec![request])?;
        for line in beside {
            turn.warn(line);
        }
        let rules = super::rules::in_words(&opened.desk, &opened.id())?;
        shown::answer(&seen, &rules, turn);
        return Ok(());
    }
    let receipt = opened.desk.record(request)?;
    let id = receipt.made.clone().or(session).unwrap_or_default();
    for line in warnings(&seen).into_iter().chain(beside) {
        turn.warn(line);
    }
    turn.recorded(&receipt, tr!("The session is planned: {id}", id = id));
    Ok(())
}

/// What else is on at the hours of a plan, in any course of this device. Students are counted,
/// not named: this goes beside the answer, where a log may keep it.
fn clashes(
    opened: &Opened,
    session: Option<String>,
    plan: SessionPlan,
) -> Result<Vec<String>, Fault> {
    let said = |one: &Clash| {
        let mut line = t("At the same hour: {0}, {1}, {2} to {3}.")
            .replace("{2}", &words::moment(&one.starts))
            .replace(
                "{3}",
                &format!("{:02}:{:02}", one.ends.hour, one.ends.minute),
            )
            .replace("{0}", &one.title)
            .replace("{1}", &one.course_title);
        let staff: Vec<&str> = one.staff.iter().map(|it| it.name.as_str()).collect();
        if !staff.is_empty() {
            line += &format!(" {}", t("In both: {0}.").replace("{0}", &staff.join(", ")));
        }
        if one.students > 0 {
            line += &format!(
                " {}",
                tr!("Students in both: {count}.", count = one.students)
            );
        }
        line
    };
    let found = opened.desk.clashes(session, plan)?;
    Ok(found.iter().map(said).collect())
}

/// What a person who plans should know: limits that are not kept, or that nobody confirmed.
pub(super) fn warnings(seen: &SessionView) -> Vec<String> {
    let mut lines = Vec::new();
    if let Some(ratio) = &seen.ratio {
        let limit = Limit::from(&ratio.limit);
        if limit != Limit::Within {
            lines.push(tr!("ratio: {limit}", limit = limit.said()));
        }
    }
    let depth = Limit::from(&seen.water.depth_limit);
    if seen.water.max_depth.is_some() && depth != Limit::Within {
        lines.push(tr!("depth: {limit}", limit = depth.said()));
    }
    if !seen.fits {
        lines.push(tr!("The run list takes longer than the session."));
    }
    if !seen.away.is_empty() {
        // Counted, not named: this goes beside the answer, where a log may keep it.
        lines.push(tr!("Away then: {count}", count = seen.away.len()));
    }
    lines
}

fn list(of: &Of, turn: &Turn) -> Result<(), Fault> {
    let opened = of.read(turn)?;
    let rows = opened.desk.session_list(opened.id())?.rows;
    let values: Vec<Value> = rows.iter().map(card).collect();
    let value = json!({ "course": opened.id(), "sessions": values });
    turn.answer(
        "session.list",
        &value,
        || rows.iter().map(|row| row.session.to_string()).collect(),
        || rows.iter().map(line).collect(),
    );
    Ok(())
}

/// A session in a list, as JSON.
pub(super) fn card(row: &SessionCard) -> Value {
    json!({
        "id": row.session, "course": row.course, "title": row.title,
        "setting": Setting::from(&row.setting).word(), "site": row.site,
        "starts": row.starts.at.to_rfc3339(), "ends": row.ends.at.to_rfc3339(), "minutes": row.minutes,
        "state": SessionStands::from(&row.state).word(), "cancelled": row.cancelled,
        "students": row.students, "with_something_missing": row.with_gaps,
        "staff": row.staff.iter().map(words::staff).collect::<Vec<_>>(),
        "skills": row.skills, "in_water": row.in_water,
        "ratio": row.ratio.as_ref().map(|it| Limit::from(&it.limit).word()),
        "depth_limit": Limit::from(&row.depth_limit).word(),
    })
}

fn line(row: &SessionCard) -> String {
    let state = SessionStands::from(&row.state).said();
    let starts = words::moment(&row.starts);
    format!(
        "{}  {starts}  {state:<10}  {}, {}",
        row.session, row.title, row.site
    )
}
