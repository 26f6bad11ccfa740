//! `tallywater dive` and `tallywater weight`: what was dived, and the weight that was right.

use clap::{Args, Subcommand};
use serde_json::{Value, json};
use tallywater_bindings::{
    DiveLog, DiveRow, Fault, FigureKind, GasUsed, Request, WeightCheck, WeightRow, Who,
};

use super::catalogue::tr;
use super::of::{Of, Opened};
use super::session::typed;
use super::turn::Turn;
use super::words::{self, Limit, Verdict, Water};
use super::{find, when};

/// What is asked of dives.
#[derive(Debug, Subcommand)]
#[expect(
    clippy::large_enum_variant,
    reason = "one is read from the command line, once"
)]
pub(super) enum Dive {
    /// List the dives of a course, or of one student.
    List {
        #[command(flatten)]
        of: Of,
        /// Of this student alone.
        #[arg(long, short)]
        student: Option<String>,
    },
    /// Log a dive, of one diver or of a whole group that dived together.
    Log {
        #[command(flatten)]
        of: Of,
        /// A diver, as often as there are such: a student or a member of staff.
        #[arg(long, required_unless_present = "everyone")]
        diver: Vec<String>,
        /// Every student of the session.
        #[arg(long, conflicts_with = "diver", requires = "session")]
        everyone: bool,
        /// The session: an id, or its title or the beginning of it.
        #[arg(long)]
        session: Option<String>,
        /// When they descended: "2026-06-06 10:05", "today 10:05".
        #[arg(long, allow_hyphen_values = true)]
        down: String,
        /// When they surfaced.
        #[arg(long, allow_hyphen_values = true)]
        up: String,
        /// The greatest depth.
        #[arg(long)]
        depth: String,
        /// The average depth.
        #[arg(long)]
        mean_depth: Option<String>,
        /// The water.
        #[arg(long, value_enum)]
        water: Water,
        /// Its temperature.
        #[arg(long)]
        temperature: Option<String>,
        /// Ascents made with students, of a member of staff.
        #[arg(long)]
        ascents: Option<u8>,
        #[command(flatten)]
        gas: Gas,
        /// Ask every rule, and log nothing.
        #[arg(long)]
        preview: bool,
    },
}

/// What was breathed.
#[derive(Debug, Args)]
pub(super) struct Gas {
    /// The cylinder's size.
    #[arg(long)]
    cylinder: Option<String>,
    /// Its pressure at the start, of one diver.
    #[arg(long, requires_all = ["cylinder", "end"])]
    start: Option<String>,
    /// Its pressure at the end, of one diver.
    #[arg(long, requires_all = ["cylinder", "start"])]
    end: Option<String>,
    /// One diver's pressures of several, as often as there are such: "Ottilie=200-60". Who is not
    /// named is logged without.
    #[arg(long, value_name = "NAME=START-END", requires = "cylinder", conflicts_with_all = ["start", "end"])]
    pressures: Vec<String>,
    /// The oxygen in it, in per cent.
    #[arg(long, default_value_t = 21, requires = "cylinder")]
    oxygen: u16,
}

impl Gas {
    /// What each of these divers breathed, in their order. One's pressures are never another's:
    /// each one's consumption is learnt from them.
    fn of(&self, opened: &Opened, divers: &[Who]) -> Result<Vec<Option<GasUsed>>, Fault> {
        let mut all: Vec<Option<GasUsed>> = vec![None; divers.len()];
        let Some(cylinder) = &self.cylinder else {
            return Ok(all);
        };
        let desk = &opened.desk;
        let used = |start: &str, end: &str| -> Result<GasUsed, Fault> {
            Ok(GasUsed {
                capacity_dl: typed(desk, FigureKind::Cylinder, "cylinder", cylinder)?,
                start_mbar: typed(desk, FigureKind::Pressure, "start", start)?,
                end_mbar: typed(desk, FigureKind::Pressure, "end", end)?,
                oxygen_permille: self.oxygen.saturating_mul(10),
            })
        };
        if let (Some(start), Some(end)) = (&self.start, &self.end) {
            if divers.len() > 1 {
                return Err(Fault::rule("one_diver").of("start"));
            }
            all.fill(Some(used(start, end)?));
            return Ok(all);
        }
        if self.pressures.is_empty() {
            return Err(Fault::rule("field_missing").of("pressures"));
        }
        for one in &self.pressures {
            // What was typed is not said again: a name is in it.
            let bad = || Fault::rule("bad_pressures").of("pressures");
            let (name, pressures) = one.rsplit_once('=').ok_or_else(bad)?;
            let (start, end) = pressures.split_once(['-', '–']).ok_or_else(bad)?;
            let name = name.trim();
            let who = find::diver(desk, &opened.course, name)?;
            let place = divers.iter().position(|diver| *diver == who);
            let place = place.and_then(|place| all.get_mut(place));
            let place = place.ok_or_else(|| find::missing("diver", name))?;
            if place.is_some() {
                return Err(Fault::rule("twice").of("pressures"));
            }
            *place = Some(used(start.trim(), end.trim())?);
        }
        Ok(all)
    }
}

/// What is asked of weight checks.
#[derive(Debug, Subcommand)]
pub(super) enum Weight {
    /// List the weight checks of a course, or of one student.
    List {
        #[command(flatten)]
        of: Of,
        /// Of this student alone.
        #[arg(long, short)]
        student: Option<String>,
    },
    /// Work out where a student's next weight check begins: from the last one that held, else
    /// from height and weight
    Start {
        #[command(flatten)]
        of: Of,
        /// The student: an id, or a name or its beginning.
        #[arg(long, short)]
        student: String,
        /// In the water of this session: an id, or its title or the beginning of it.
        #[arg(long)]
        session: Option<String>,
        /// What is another than is known, each as name=value, as `tallywater calculate` takes it.
        given: Vec<String>,
    },
    /// Record a weight check in the water.
    Add {
        #[command(flatten)]
        of: Of,
        /// The student: an id, or a name or its beginning.
        #[arg(long, short)]
        student: String,
        /// The session: an id, or its title or the beginning of it.
        #[arg(long)]
        session: Option<String>,
        /// The weight worn.
        #[arg(long)]
        weight: String,
        /// The water.
        #[arg(long, value_enum)]
        water: Water,
        /// The suit, in words.
        #[arg(long)]
        suit: String,
        /// The cylinder, in words.
        #[arg(long)]
        cylinder: String,
        /// The cylinder's size.
        #[arg(long)]
        size: String,
        /// Its pressure at the check.
        #[arg(long)]
        pressure: String,
        /// What it showed.
        #[arg(long, value_enum)]
        verdict: Verdict,
    },
}

/// Does what was asked of dives.
pub(super) fn run(dive: &Dive, turn: &Turn) -> Result<(), Fault> {
    match dive {
        Dive::List { of, student } => {
            let opened = of.read(turn)?;
            let student = find::student_id(&opened.desk, &opened.id(), student.as_ref())?;
            let rows = opened.desk.water(opened.id(), student)?.dives;
            let values: Vec<Value> = rows.iter().map(dive_row).collect();
            let value = json!({ "course": opened.id(), "dives": values });
            turn.answer(
                "dive.list",
                &value,
                || rows.iter().map(|row| row.entry.to_string()).collect(),
                || rows.iter().map(dive_line).collect(),
            );
            Ok(())
        }
        Dive::Log { .. } => log(dive, turn),
    }
}

fn log(asked: &Dive, turn: &Turn) -> Result<(), Fault> {
    let Dive::Log {
        of,
        diver,
        everyone,
        session,
        down,
        up,
        depth,
        mean_depth,
        water,
        temperature,
        ascents,
        gas,
        preview,
    } = asked
    else {
        return Ok(());
    };
    let opened = of.write(turn)?;
    let (desk, course) = (&opened.desk, opened.id());
    let session = find::session_id(desk, &course, session.as_ref())?;
    let mut divers = Vec::new();
    if let (true, Some(session)) = (*everyone, &session) {
        let plan = desk.session_plan(course.clone(), session.clone())?;
        let student = |student| Who::Student { student };
        divers.extend(plan.students.into_iter().map(student));
    }
    for name in diver {
        divers.push(find::diver(desk, &opened.course, name)?);
    }
    let gas = gas.of(&opened, &divers)?;
    let mean = mean_depth.as_ref();
    let mean = mean.map(|text| typed(desk, FigureKind::Depth, "mean depth", text));
    let warm = temperature.as_ref();
    let warm = warm.map(|text| typed(desk, FigureKind::Temperature, "temperature", text));
    let log = DiveLog {
        down: when::time(desk, down)?,
        up: when::time(desk, up)?,
        max_depth_cm: typed(desk, FigureKind::Depth, "depth", depth)?,
        mean_depth_cm: mean.transpose()?,
        ascents: *ascents,
        gas: None,
        water: (*water).into(),
        temperature_dc: warm.transpose()?,
        profile: Vec::new(),
    };
    let count = divers.len();
    let requests: Vec<Request> = divers
        .into_iter()
        .zip(gas)
        .map(|(who, gas)| Request::LogDive {
            course: course.clone(),
            who,
            session: session.clone(),
            log: DiveLog { gas, ..log.clone() },
        })
        .collect();
    if *preview {
        return turn.could(desk, requests);
    }
    let receipt = desk.record_all(requests)?;
    turn.recorded(&receipt, tr!("Recorded for {count}.", count = count));
    Ok(())
}

/// A dive as JSON.
pub(super) fn dive_row(row: &DiveRow) -> Value {
    let figure = |it: &Option<tallywater_bindings::Figure>| it.as_ref().map(super::figure);
    json!({
        "entry": row.entry, "who": words::who(&row.who), "number": row.number,
        "session": row.session, "down": row.down.at.to_rfc3339(), "up": row.up.at.to_rfc3339(),
        "minutes": row.span.all_minutes, "depth": super::figure(&row.max_depth),
        "mean_depth": figure(&row.mean_depth), "depth_limit": Limit::from(&row.depth_limit).word(),
        "ascents": row.ascents, "cylinder": figure(&row.capacity), "start": figure(&row.start),
        "end": figure(&row.end), "water": Water::from(&row.water).word(),
        "temperature": figure(&row.temperature), "by": words::staff(&row.by),
    })
}

fn dive_line(row: &DiveRow) -> String {
    let (down, who) = (words::moment(&row.down), words::who_said(&row.who));
    let (minutes, depth) = (row.span.all_minutes, super::figure_said(&row.max_depth));
    format!("{}  {down}  {who:<20}  {minutes} min, {depth}", row.entry)
}

/// Does what was asked of weight checks.
pub(super) fn weight(weight: &Weight, turn: &Turn) -> Result<(), Fault> {
    match weight {
        Weight::List { of, student } => {
            let opened = of.read(turn)?;
            let student = find::student_id(&opened.desk, &opened.id(), student.as_ref())?;
            let rows = opened.desk.water(opened.id(), student)?.weights;
            let value = rows.iter().map(|row| {
                json!({
                    "entry": row.entry, "who": words::who(&row.who), "at": row.at.at.to_rfc3339(),
                    "session": row.session, "weight": super::figure(&row.lead),
                    "water": Water::from(&row.water).word(), "suit": row.suit,
                    "cylinder": row.cylinder, "size": super::figure(&row.capacity),
                    "pressure": super::figure(&row.pressure),
                    "verdict": Verdict::from(&row.verdict).word(), "by": words::staff(&row.by),
                })
            });
            let value = json!({ "course": opened.id(), "weights": value.collect::<Vec<_>>() });
            turn.answer(
                "weight.list",
                &value,
                || rows.iter().map(|row| row.entry.to_string()).collect(),
                || {
                    let line = |row: &WeightRow| {
                        let (at, who) = (words::moment(&row.at), words::who_said(&row.who));
                        let (worn, verdict) = (
                            super::figure_said(&row.lead),
                            Verdict::from(&row.verdict).said(),
                        );
                        format!(
                            "{}  {at}  {who:<20}  {worn}, {}: {verdict}",
                            row.entry, row.suit
                        )
                    };
                    rows.iter().map(line).collect()
                },
            );
            Ok(())
        }
        Weight::Start {
            of,
            student,
            session,
            given,
        } => {
            let opened = of.read(turn)?;
            let (desk, course) = (&opened.desk, opened.id());
            let student = find::student(desk, &course, student)?.student.to_string();
            let session = find::session_id(desk, &course, session.as_ref())?;
            let form = desk.lead_form(course, student, session)?.form;
            super::calculate::work_out(&form, desk.units(), given, turn)
        }
        Weight::Add {
            of,
            student,
            session,
            weight,
            water,
            suit,
            cylinder,
            size,
            pressure,
            verdict,
        } => {
            let opened = of.write(turn)?;
            let (desk, course) = (&opened.desk, opened.id());
            let receipt = desk.record(Request::CheckWeight {
                student: find::student(desk, &course, student)?.student.to_string(),
                session: find::session_id(desk, &course, session.as_ref())?,
                course,
                check: WeightCheck {
                    lead_g: typed(desk, FigureKind::Lead, "weight", weight)?,
                    water: (*water).into(),
                    suit: suit.clone(),
                    capacity_dl: typed(desk, FigureKind::Cylinder, "size", size)?,
                    cylinder: cylinder.clone(),
                    pressure_mbar: typed(desk, FigureKind::Pressure, "pressure", pressure)?,
                    verdict: (*verdict).into(),
                },
            })?;
            turn.recorded(&receipt, tr!("The weight check is recorded."));
            Ok(())
        }
    }
}
