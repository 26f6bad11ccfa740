//! `tallywater session limits`: what ends a session's dive first; gas, no-stop times and when
//! everybody may fly, from what each one has dived. Nothing is worked out here.

use std::fmt::Display;

use clap::Args;
use serde_json::{Value, json};
use tallywater_bindings::{
    EarliestView, Ends, ExposureRow, ExposureView, Fault, Figure, FigureOrigin, FlyFrom, GasOpen,
    GasRow, GasView, GivesTo, LimitedBy, ModelLimit, NoStopLimit, SessionView, ShorterOpinion,
    TurnPoint, WhoName,
};

use super::catalogue::{t, tr};
use super::session::At;
use super::turn::Turn;
use super::words::{self, EndsBy, Limit, Turning};
use super::{figure, figure_said, find};

/// A session's dive, and what is taken for it.
#[derive(Debug, Args)]
pub(super) struct Limits {
    #[command(flatten)]
    at: At,
    #[command(flatten)]
    taken: Taken,
    /// For how many minutes this water is warm enough for this class and its suits.
    #[arg(long, value_name = "MINUTES")]
    cold: Option<u32>,
}

/// What is taken for a dive unless somebody says otherwise.
#[derive(Debug, Args)]
pub(super) struct Taken {
    /// How the gas above the reserve is shared out.
    #[arg(
        long,
        value_enum,
        value_name = "RULE",
        default_value = "there-and-back"
    )]
    pub(super) turn: Turning,
    /// Everybody has become used to the altitude of the water; else they are taken to have come
    /// up from the sea just now.
    #[arg(long)]
    pub(super) live_there: bool,
}

/// What the border answers.
struct Seen {
    plan: SessionView,
    gas: GasView,
    day: Option<ExposureView>,
    earliest: EarliestView,
}

/// Says it.
pub(super) fn run(asked: &Limits, turn: &Turn) -> Result<(), Fault> {
    let opened = asked.at.of.read(turn)?;
    let (desk, course) = (&opened.desk, opened.id());
    let session = find::session(desk, &course, &asked.at.session)?
        .session
        .to_string();
    let earliest = desk.earliest(
        course.clone(),
        session.clone(),
        asked.taken.turn.into(),
        asked.taken.live_there,
        asked.cold,
    );
    let seen = Seen {
        earliest: earliest?,
        plan: desk.session(course.clone(), session.clone())?,
        gas: desk.gas(course.clone(), session.clone(), asked.taken.turn.into())?,
        day: desk.exposure(course.clone(), session.clone(), asked.taken.live_there)?,
    };
    let value = json!({
        "course": course, "session": session, "title": seen.plan.title,
        "turn": asked.taken.turn.word(), "live_there": asked.taken.live_there, "cold": asked.cold,
        "depth": seen.plan.water.max_depth.as_ref().map(figure),
        "depth_limit": Limit::from(&seen.gas.depth_against.limit).word(),
        "depth_most": seen.gas.depth_against.most.as_ref().map(figure),
        "altitude": seen.plan.water.altitude.as_ref().map(figure),
        "first": seen.earliest.first.as_ref().map(end),
        "then": seen.earliest.then.iter().map(end).collect::<Vec<_>>(),
        "without": seen.earliest.without.iter().map(|one| EndsBy::from(one).word())
            .collect::<Vec<_>>(),
        "gas": gas(&seen.gas),
        "no_stop": seen.day.as_ref().map(no_stop),
    });
    turn.answer(
        "session.limits",
        &value,
        || vec![session],
        || lines(&seen, asked),
    );
    Ok(())
}

/// What ends a dive, as JSON.
fn end(ends: &Ends) -> Value {
    json!({
        "minutes": figure(&ends.minutes), "by": EndsBy::from(&ends.by).word(),
        "whose": ends.whose.as_ref().map(words::who),
    })
}

fn gas(gas: &GasView) -> Value {
    json!({
        "open": gas.open.as_ref().map(open_word),
        "first_to_turn": first_to_turn(gas).map(words::who),
        "students": gas.students.iter().map(gas_row).collect::<Vec<_>>(),
        "staff": gas.staff.iter().map(gas_row).collect::<Vec<_>>(),
    })
}

/// Who turns first, where not all turn alike.
fn first_to_turn(gas: &GasView) -> Option<&WhoName> {
    let mut reserves = gas.students.iter().map(|row| &row.reserve);
    let first = reserves.next();
    let alike = first.is_none_or(|first| reserves.all(|one| one == first));
    gas.first_to_turn.as_ref().filter(|_| !alike)
}

/// Whose no-stop time is the shortest, where it is not everybody's.
fn shortest(day: &ExposureView) -> Option<&WhoName> {
    let left = |row: &ExposureRow| row.next.as_ref().map(|next| next.limit.clone());
    let mut all = day.people.iter().map(left);
    let first = all.next();
    let alike = first.is_none_or(|first| all.all(|one| one == first));
    day.shortest.as_ref().filter(|_| !alike)
}

const fn open_word(open: &GasOpen) -> &'static str {
    match open {
        GasOpen::Dry => "dry",
        GasOpen::NoDepth => "no-depth",
        GasOpen::NoStudents => "no-students",
        GasOpen::NoInstructor => "no-instructor",
        GasOpen::Beyond => "beyond",
    }
}

fn gas_row(row: &GasRow) -> Value {
    let some = |it: &Option<Figure>| it.as_ref().map(figure);
    let reserve = row.reserve.as_ref();
    let turns = reserve.and_then(|it| match &it.turn {
        TurnPoint::At { pressure, .. } => Some(figure(pressure)),
        TurnPoint::NotEnough { .. } => None,
    });
    json!({
        "who": words::who(&row.who), "rate": figure(&row.rate),
        "rate_is_own": row.rate_origin == FigureOrigin::OwnRecord, "dives": row.dives,
        "lowest": some(&row.lowest), "highest": some(&row.highest),
        "cylinder": figure(&row.capacity),
        "cylinder_is_own": row.cylinder_origin == FigureOrigin::OwnRecord,
        "start": figure(&row.start),
        "reserve": reserve.map(|it| figure(&it.reserve.pressure)),
        "enough": reserve.map(|_| turns.is_some()), "turn": turns,
        "until_turn": reserve.map(|it| figure(&it.until_turn)),
        "at_depth": reserve.map(|it| figure(&it.at_depth)),
        "gives_to": row.gives_to.as_ref().map(gives_to),
        "turns_early_by": row.early.as_ref().map(|early| figure(&early.by)),
        "larger_cylinder": row.early.as_ref().and_then(|early| some(&early.larger)),
    })
}

const fn gives_to(to: &GivesTo) -> u8 {
    match to {
        GivesTo::One => 1,
        GivesTo::Two => 2,
    }
}

fn no_stop(day: &ExposureView) -> Value {
    json!({
        "at": day.at.at.to_rfc3339(), "left": day.limit.as_ref().map(limit),
        "shortest": shortest(day).map(words::who),
        "no_fly": day.fly_from.as_ref().map(fly),
        "sessions_without_depth": day.without_depth, "other_courses": day.other_courses,
        "people": day.people.iter().map(person).collect::<Vec<_>>(),
    })
}

/// A limit as JSON: a figure, or the word for none.
fn limit(limit: &NoStopLimit) -> Value {
    match limit {
        NoStopLimit::Unlimited => json!("unlimited"),
        NoStopLimit::Minutes { minutes } => figure(minutes),
    }
}

fn fly(from: &FlyFrom) -> Value {
    json!({ "until": from.at.at.to_rfc3339(), "longer": from.longer })
}

fn person(row: &ExposureRow) -> Value {
    let next = row.next.as_ref();
    let model = next.map(|next| match &next.model {
        ModelLimit::Minutes { minutes } => (figure(minutes), false),
        ModelLimit::LongerThan { minutes } => (figure(minutes), true),
    });
    let (model, longer) = model.unzip();
    json!({
        "who": words::who(&row.who), "left": next.map(|next| limit(&next.limit)),
        "table": next.map(|next| limit(&next.table)),
        "model": model, "model_is_longer": longer,
        "shorter": next.map(|next| shorter(&next.shorter).0),
        "dives": row.dives, "planned": row.planned, "group": group(row),
        "no_fly": row.fly_from.as_ref().map(fly),
        "ascents": row.ascents, "ascents_limit": Limit::from(&row.ascents_limit).word(),
    })
}

/// Which of the two is shorter, for programs and for a person.
fn shorter(one: &ShorterOpinion) -> (&'static str, &'static str) {
    match one {
        ShorterOpinion::Table => ("table", t("The table is shorter, and governs")),
        ShorterOpinion::Model => ("model", t("The model is shorter, and governs")),
        ShorterOpinion::Both => ("both", t("Table and model agree")),
    }
}

fn group(row: &ExposureRow) -> Option<String> {
    let last = row.plan.as_ref()?.lines.last()?;
    Some(format!("{:?}", last.group))
}

/// A sentence of the screens with its place filled.
fn with(sentence: &str, part: impl Display) -> String {
    sentence.replace("{0}", &part.to_string())
}

fn lines(seen: &Seen, asked: &Limits) -> Vec<String> {
    let water = &seen.plan.water;
    let at = seen.day.as_ref().map_or(&seen.plan.starts, |day| &day.at);
    let mut lines = vec![format!("{}, {}", seen.plan.title, words::moment(at))];
    let depth = &seen.gas.depth_against;
    let most = depth.most.as_ref().map(figure_said).unwrap_or_default();
    if water.max_depth.is_some() {
        match Limit::from(&depth.limit) {
            Limit::Over => lines.push(with(
                t("Planned deeper than the rules allow: at most {0}. The figures below are no plan to dive by."),
                most,
            )),
            Limit::Unconfirmed => lines.push(tr!("The depth rule is confirmed by nobody.")),
            Limit::Unknown => lines.push(tr!("An age is not known, so no depth is called kept.")),
            Limit::Within | Limit::NoRule => {}
        }
    }
    lines.push(String::new());
    lines.extend(first_lines(seen));
    lines.push(String::new());
    lines.extend(gas_lines(seen, asked));
    lines.push(String::new());
    lines.extend(time_lines(seen, asked));
    lines.push(tr!(
        "A planning aid: local law, your training organisation's standards and a licensed physician come first."
    ));
    lines
}

/// What ends the dive first, what then, and what that does not rest on.
fn first_lines(seen: &Seen) -> Vec<String> {
    let said = |ends: &Ends| {
        let mut text = format!(
            "{}, {}",
            figure_said(&ends.minutes),
            EndsBy::from(&ends.by).said()
        );
        if let Some(who) = &ends.whose {
            text += &format!(", {}", with(t("by {0}"), words::who_said(who)));
        }
        text
    };
    let mut lines = vec![tr!("What ends the dive first")];
    lines.extend(
        seen.earliest
            .first
            .iter()
            .map(|ends| format!("  {}", said(ends))),
    );
    if !seen.earliest.then.is_empty() {
        lines.push(tr!("Then"));
    }
    lines.extend(
        seen.earliest
            .then
            .iter()
            .map(|ends| format!("  {}", said(ends))),
    );
    lines.extend(seen.earliest.without.iter().filter_map(|one| match one {
        LimitedBy::Gas => Some(tr!("Gas is not worked out, so it is not in this figure.")),
        LimitedBy::NoStop => Some(tr!(
            "No-stop time is not worked out, so it is not in this figure."
        )),
        LimitedBy::Cold => Some(tr!(
            "Cold is not in this figure until you say it, with --cold. Whoever shivers ends the dive."
        )),
        LimitedBy::Plan => None,
    }));
    lines
}

fn gas_lines(seen: &Seen, asked: &Limits) -> Vec<String> {
    let gas = &seen.gas;
    let mut head = format!("{}: {}", t("Turn rule"), asked.taken.turn.said());
    if let Some(depth) = &seen.plan.water.max_depth {
        head += &format!(", {}", with(t("from {0}"), figure_said(depth)));
    }
    let mut lines = vec![head];
    lines.push(match asked.taken.turn {
        Turning::DirectAscent => tr!(
            "The reserve is set aside first; all that is above it is for the dive."
        ),
        Turning::ThereAndBack => tr!(
            "The reserve is set aside first; of what is above it half goes out and half comes back."
        ),
        Turning::Thirds => tr!(
            "The reserve is set aside first; of what is above it a third goes out, a third comes back, a third stays."
        ),
    });
    lines.extend(gas.open.as_ref().map(|open| match open {
        GasOpen::Dry => tr!("On land nobody needs a reserve."),
        GasOpen::NoDepth => tr!("Nobody has planned a depth: no reserve can be worked out."),
        GasOpen::NoStudents => tr!("Nobody has planned students."),
        GasOpen::NoInstructor => {
            tr!("Nobody has planned an instructor, whose gas is everybody’s reserve.")
        }
        GasOpen::Beyond => tr!("A figure of the plan lies beyond what is worked out here."),
    }));
    let first = first_to_turn(gas);
    let line = |row: &GasRow| gas_line(row, first.is_some_and(|first| *first == row.who));
    lines.extend(gas.students.iter().map(line));
    if !gas.staff.is_empty() {
        lines.push(tr!("Staff, who may have to give gas"));
        lines.extend(gas.staff.iter().map(line));
    }
    lines.push(tr!("The gauge comes first"));
    lines
}

fn gas_line(row: &GasRow, first: bool) -> String {
    let who = words::who_said(&row.who);
    let title = match row.reserve.as_ref().map(|it| &it.turn) {
        None => who.to_owned(),
        Some(TurnPoint::At { pressure, .. }) => {
            with(t("{0}: turn at {1}"), who).replace("{1}", &figure_said(pressure))
        }
        Some(TurnPoint::NotEnough { .. }) => with(t("{0}: not enough gas"), who),
    };
    let mut parts = Vec::new();
    if first {
        parts.push(tr!("Turns first"));
    }
    if let Some(early) = &row.early {
        let early_by = with(
            t("turns {0} before the class would expect"),
            figure_said(&early.by),
        );
        let what = match &early.larger {
            None => tr!("turn everybody at this pressure, or fill higher"),
            Some(larger) => with(
                t("take a cylinder of {0}, or turn everybody at this pressure"),
                figure_said(larger),
            ),
        };
        parts.push(format!("{early_by}: {what}"));
    }
    if let Some(reserve) = &row.reserve {
        let sentence = match &row.gives_to {
            None => t("reserve {0}"),
            Some(GivesTo::One) => t("reserve {0}, to share with one"),
            Some(GivesTo::Two) => t("reserve {0}, to share with two"),
        };
        parts.push(with(sentence, figure_said(&reserve.reserve.pressure)));
    }
    let mut rate = if row.rate_origin == FigureOrigin::OwnRecord {
        tr!(
            "{rate}, from own dives: {count}",
            rate = figure_said(&row.rate),
            count = row.dives
        )
    } else {
        with(t("assumed {0}"), figure_said(&row.rate))
    };
    if let (Some(low), Some(high)) = (&row.lowest, &row.highest)
        && low != high
    {
        rate += &format!(" ({}–{})", low.text, high.text);
    }
    parts.push(rate);
    let cylinder = if row.cylinder_origin == FigureOrigin::OwnRecord {
        t("own cylinder {0}")
    } else {
        t("assumed {0}")
    };
    parts.push(with(cylinder, figure_said(&row.capacity)));
    parts.push(with(t("assumed fill {0}"), figure_said(&row.start)));
    format!("  {title}  {}", parts.join("; "))
}

/// What is left, for a person; where it cannot be said nothing is.
fn limit_said(limit: Option<&NoStopLimit>) -> String {
    match limit {
        Some(NoStopLimit::Minutes { minutes }) => figure_said(minutes),
        Some(NoStopLimit::Unlimited) => tr!("No limit"),
        None => tr!("None"),
    }
}

fn time_lines(seen: &Seen, asked: &Limits) -> Vec<String> {
    let mut lines = vec![tr!("No-stop time")];
    let Some(day) = &seen.day else {
        lines.push(tr!("No depth is planned, so there is no limit to name."));
        return lines;
    };
    let mut left = format!(
        "  {} {}",
        limit_said(day.limit.as_ref()),
        with(t("at {0} for everybody"), figure_said(&day.depth))
    );
    if let Some(who) = shortest(day) {
        left += &format!(", {}", with(t("by {0}"), words::who_said(who)));
    }
    let of_shortest = day.shortest.as_ref().and_then(|who| {
        let row = day.people.iter().find(|row| row.who == *who)?;
        row.next.as_ref()
    });
    if let Some(next) = of_shortest {
        left += &format!("; {}", shorter(&next.shorter).1);
    }
    lines.push(left);
    if let Some(altitude) = &seen.plan.water.altitude {
        lines.push(if asked.taken.live_there {
            with(
                t("Everybody is acclimatised to this altitude: {0}"),
                figure_said(altitude),
            )
        } else {
            tr!("Taken to have come up from the sea just now.")
        });
    }
    if day.without_depth > 0 {
        lines.push(tr!(
            "Sessions planned before that have no depth and do not count: {count}",
            count = day.without_depth
        ));
    }
    if let Some(from) = &day.fly_from {
        let sentence = if from.longer {
            t("No-fly time of the class: until well after {0}, by the shortest time published.")
        } else {
            t("No-fly time of the class: not before {0}, by the shortest time published.")
        };
        lines.push(with(sentence, words::moment(&from.at)));
    }
    lines.extend(day.people.iter().map(person_line));
    lines.push(tr!("Table and dive computer come first"));
    if day.other_courses > 0 {
        lines.push(tr!(
            "Other courses on this device whose dives count: {count}",
            count = day.other_courses
        ));
    }
    lines.push(tr!(
        "Ask everybody for dives elsewhere: this device does not know them."
    ));
    lines
}

fn person_line(row: &ExposureRow) -> String {
    let mut parts = Vec::new();
    if row.dives == 0 && row.planned == 0 {
        parts.push(tr!("No dive before"));
    }
    if row.dives > 0 {
        parts.push(tr!("dives: {count}", count = row.dives));
    }
    if row.planned > 0 {
        parts.push(tr!("planned: {count}", count = row.planned));
    }
    if let Some(group) = group(row) {
        parts.push(with(t("group {0}"), group));
    }
    if let Some(next) = &row.next
        && next.limit != NoStopLimit::Unlimited
    {
        let model = match &next.model {
            ModelLimit::Minutes { minutes } => figure_said(minutes),
            ModelLimit::LongerThan { minutes } => format!("> {}", figure_said(minutes)),
        };
        let table = limit_said(Some(&next.table));
        parts.push(with(t("table {0}, model {1}"), table).replace("{1}", &model));
    }
    if let Some(from) = &row.fly_from {
        let sentence = if from.longer {
            t("no flying until well after {0}")
        } else {
            t("no flying before {0}")
        };
        parts.push(with(sentence, words::moment(&from.at)));
    }
    if matches!(row.who, WhoName::Staff(..)) && row.ascents > 0 {
        let mut ascents = tr!("ascents: {count}", count = row.ascents);
        let limit = Limit::from(&row.ascents_limit);
        if limit != Limit::NoRule {
            ascents += &format!(", {}", limit.said());
        }
        parts.push(ascents);
    }
    format!(
        "  {:<20}  {:>10}  {}",
        words::who_said(&row.who),
        limit_said(row.next.as_ref().map(|next| &next.limit)),
        parts.join("; ")
    )
}
