//! `tallywater session pairs`, `buddy`, `watch` and `lost`: who dives beside whom in a session, who
//! watches whom; and a buddy who is not seen any more.

use clap::Args;
use serde_json::{Value, json};
use tallywater_bindings::{
    AlarmEnd, Fault, LostRow, Request, StudentName, Teams, TeamsApart, TeamsView, Who, WhoName,
    Zone,
};

use super::catalogue::{t, tr};
use super::of::Opened;
use super::session::At;
use super::turn::Turn;
use super::words::{self, Limit, Role};
use super::{find, site, when};

/// Pairs and zones of a session.
#[derive(Debug, Args)]
pub(super) struct Pairs {
    #[command(flatten)]
    at: At,
    /// A pair, or three, with commas between them; once for each. Whoever is named in none is
    /// beside nobody.
    #[arg(long, value_name = "WHO,WHO")]
    pair: Vec<String>,
    /// A member of staff and the students they watch; once for each. Whoever is named in none
    /// is watched by nobody.
    #[arg(long, value_name = "STAFF=STUDENT,STUDENT")]
    zone: Vec<String>,
    /// Keep what is proposed, as it is shown.
    #[arg(long, conflicts_with_all = ["pair", "zone"])]
    keep_proposal: bool,
}

/// One person beside another.
#[derive(Debug, Args)]
pub(super) struct Buddy {
    #[command(flatten)]
    at: At,
    /// Who moves: a student or a member of staff.
    #[arg(long)]
    who: String,
    /// Beside whom.
    #[arg(long, required_unless_present = "alone")]
    beside: Option<String>,
    /// Beside nobody.
    #[arg(long, conflicts_with = "beside")]
    alone: bool,
}

/// Who watches a student.
#[derive(Debug, Args)]
pub(super) struct Watch {
    #[command(flatten)]
    at: At,
    /// The student.
    #[arg(long)]
    student: String,
    /// Who watches: a member of staff.
    #[arg(long, required_unless_present = "nobody")]
    staff: Option<String>,
    /// Nobody watches.
    #[arg(long, conflicts_with = "staff")]
    nobody: bool,
}

/// A lost buddy.
#[derive(Debug, Args)]
pub(super) struct Lost {
    #[command(flatten)]
    at: At,
    /// Write down that a buddy is lost, and show what to do.
    #[arg(long)]
    begin: bool,
    /// The same, with who is missing, as often as there are such.
    #[arg(long, value_name = "WHO")]
    person: Vec<String>,
    /// Who reported it.
    #[arg(long, value_name = "WHO")]
    reported_by: Option<String>,
    /// Say that the one who was lost is found.
    #[arg(long, conflicts_with_all = ["begin", "person", "reported_by"])]
    found: bool,
    /// Say that others have taken it over.
    #[arg(long, conflicts_with_all = ["begin", "person", "reported_by", "found"])]
    taken_over: bool,
    /// Which one is over, where several are lost: its entry.
    #[arg(long)]
    alarm: Option<String>,
    /// When; now if left out.
    #[arg(long, allow_hyphen_values = true)]
    when: Option<String>,
}

/// The session that was asked for.
fn session(opened: &Opened, at: &At) -> Result<String, Fault> {
    Ok(find::session(&opened.desk, &opened.id(), &at.session)?
        .session
        .to_string())
}

/// Shows the pairs and zones, or says them.
pub(super) fn pairs(asked: &Pairs, turn: &Turn) -> Result<(), Fault> {
    if !asked.keep_proposal && asked.pair.is_empty() && asked.zone.is_empty() {
        let opened = asked.at.of.read(turn)?;
        let session = session(&opened, &asked.at)?;
        show(&opened.desk.teams(opened.id(), session)?, turn);
        return Ok(());
    }
    let opened = asked.at.of.write(turn)?;
    let session = session(&opened, &asked.at)?;
    let seen = opened.desk.teams(opened.id(), session)?;
    if asked.keep_proposal && seen.kept.is_some() {
        return Err(Fault::rule("nothing_open"));
    }
    let teams = asked.over(&opened, seen.teams)?;
    let receipt = opened.desk.record(Request::SetTeams {
        course: seen.course,
        session: seen.session,
        teams,
        seen: seen.seen,
    })?;
    turn.recorded(&receipt, tr!("Pairs and zones are kept."));
    Ok(())
}

/// What stands between commas, without what is empty.
fn listed(text: &str) -> impl Iterator<Item = &str> {
    text.split(',').map(str::trim).filter(|one| !one.is_empty())
}

impl Pairs {
    /// What was given, in place of what was there.
    fn over(&self, opened: &Opened, mut teams: Teams) -> Result<Teams, Fault> {
        if !self.pair.is_empty() {
            let pair = |text: &String| {
                let people: Vec<Who> = listed(text)
                    .map(|one| find::diver(&opened.desk, &opened.course, one))
                    .collect::<Result<_, _>>()?;
                if people.is_empty() {
                    return Err(Fault::rule("text_empty").of("pair"));
                }
                Ok(people)
            };
            teams.pairs = self.pair.iter().map(pair).collect::<Result<_, _>>()?;
        }
        if !self.zone.is_empty() {
            let zone = |text: &String| {
                let parts = text.split_once('=');
                let (staff, students) =
                    parts.ok_or_else(|| Fault::rule("text_empty").of("zone"))?;
                let watches = listed(students).map(|one| {
                    Ok(find::student(&opened.desk, &opened.id(), one)?
                        .student
                        .to_string())
                });
                Ok(Zone {
                    staff: find::staff(&opened.desk, staff)?.staff.to_string(),
                    watches: watches.collect::<Result<_, Fault>>()?,
                })
            };
            let zones = self.zone.iter().map(zone);
            teams.zones = zones.collect::<Result<_, Fault>>()?;
        }
        Ok(teams)
    }
}

/// Moves one person beside another, or out of every pair.
pub(super) fn buddy(asked: &Buddy, turn: &Turn) -> Result<(), Fault> {
    let opened = asked.at.of.write(turn)?;
    let session = session(&opened, &asked.at)?;
    let beside = asked.beside.as_ref();
    let beside = beside.map(|asked| find::diver(&opened.desk, &opened.course, asked));
    let receipt = opened.desk.record(Request::MoveBuddy {
        course: opened.id(),
        session,
        who: find::diver(&opened.desk, &opened.course, &asked.who)?,
        beside: beside.transpose()?,
    })?;
    turn.recorded(&receipt, moved(receipt.entries.is_empty()));
    Ok(())
}

/// Says who watches a student, or that nobody does.
pub(super) fn watch(asked: &Watch, turn: &Turn) -> Result<(), Fault> {
    let opened = asked.at.of.write(turn)?;
    let session = session(&opened, &asked.at)?;
    let staff = asked.staff.as_ref();
    let staff =
        staff.map(|asked| Ok::<_, Fault>(find::staff(&opened.desk, asked)?.staff.to_string()));
    let receipt = opened.desk.record(Request::MoveZone {
        course: opened.id(),
        session,
        student: find::student(&opened.desk, &opened.id(), &asked.student)?
            .student
            .to_string(),
        staff: staff.transpose()?,
    })?;
    turn.recorded(&receipt, moved(receipt.entries.is_empty()));
    Ok(())
}

fn moved(nothing: bool) -> String {
    if nothing {
        tr!("It stands so already; nothing was added.")
    } else {
        tr!("Pairs and zones are kept.")
    }
}

fn show(seen: &TeamsView, turn: &Turn) {
    let ids = || seen.seen.clone();
    turn.answer("session.pairs", &value(seen), ids, || lines(seen));
}

fn value(seen: &TeamsView) -> Value {
    let students = |names: &[StudentName]| names.iter().map(words::student).collect::<Vec<_>>();
    let pairs = seen.pairs.iter().map(|row| {
        let (mut pupils, mut staff) = (Vec::new(), Vec::new());
        for one in &row.members {
            match one {
                WhoName::Student(name) => pupils.push(words::student(name)),
                WhoName::Staff(name) => staff.push(words::staff(name)),
            }
        }
        json!({
            "number": row.number, "students": pupils, "staff": staff,
            "limit": Limit::from(&row.young).word(), "rule": row.rule,
        })
    });
    let zones = seen.zones.iter().map(|row| {
        json!({
            "staff": words::staff(&row.staff),
            "role": row.role.as_ref().map(|role| Role::from(role).word()),
            "watches": students(&row.watches), "most": row.most,
            "limit": Limit::from(&row.limit).word(), "rule": row.rule,
        })
    });
    let apart = seen.apart.iter().map(|one| {
        json!({
            "entry": one.entry, "by": words::staff(&one.by), "at": one.at.at.to_rfc3339(),
            "differs": one.differs.iter().map(words::who).collect::<Vec<_>>(),
        })
    });
    let kept = seen.kept.as_ref();
    json!({
        "session": seen.session, "title": seen.title,
        "kept": kept.map(|kept| json!({ "by": words::staff(&kept.by), "at": kept.at.at.to_rfc3339() })),
        "pairs": pairs.collect::<Vec<_>>(), "alone": students(&seen.alone),
        "zones": zones.collect::<Vec<_>>(), "unwatched": students(&seen.unwatched),
        "apart": apart.collect::<Vec<_>>(),
    })
}

fn lines(seen: &TeamsView) -> Vec<String> {
    let called = |names: &[StudentName]| {
        let names: Vec<&str> = names.iter().map(|name| name.short.as_str()).collect();
        names.join(", ")
    };
    let stands = match &seen.kept {
        Some(kept) => t("Kept by {0}, {1}.")
            .replace("{0}", &kept.by.name)
            .replace("{1}", &words::moment(&kept.at)),
        None => t("Proposed, and kept by nobody yet.").to_owned(),
    };
    let mut lines = vec![format!("{}: {stands}", seen.title)];
    for row in &seen.pairs {
        let names: Vec<&str> = row.members.iter().map(words::who_said).collect();
        let pair = t("Pair {0}").replace("{0}", &row.number.to_string());
        lines.push(format!(
            "  {pair}: {}{}",
            names.join(", "),
            beside(&row.young)
        ));
    }
    if !seen.alone.is_empty() {
        let names = called(&seen.alone);
        lines.push(format!(
            "  {}",
            tr!("Beside nobody: {names}", names = names)
        ));
    }
    for row in seen.zones.iter().filter(|row| !row.watches.is_empty()) {
        let watched = t("watched by {0}").replace("{0}", &row.staff.name);
        let names = called(&row.watches);
        lines.push(format!("  {watched}: {names}{}", beside(&row.limit)));
    }
    if !seen.unwatched.is_empty() {
        let names = called(&seen.unwatched);
        lines.push(format!("  {}: {names}", t("Watched by nobody")));
    }
    lines.extend(seen.apart.iter().map(apart_said));
    lines
}

/// How something stands to its rule, where that is not kept.
fn beside(limit: &tallywater_bindings::Limit) -> String {
    let limit = Limit::from(limit);
    if matches!(limit, Limit::Within | Limit::NoRule) {
        String::new()
    } else {
        format!("  ({})", limit.said())
    }
}

fn apart_said(one: &TeamsApart) -> String {
    let names: Vec<&str> = one.differs.iter().map(words::who_said).collect();
    let when = words::moment(&one.at);
    t("Said otherwise by {0}, {1}: {2}")
        .replace("{0}", &one.by.name)
        .replace("{1}", &when)
        .replace("{2}", &names.join(", "))
}

/// Shows who is lost, writes it down, or says how it ended.
pub(super) fn lost(asked: &Lost, turn: &Turn) -> Result<(), Fault> {
    let begins = asked.begin || !asked.person.is_empty();
    let ends = asked.found || asked.taken_over;
    if !ends && asked.alarm.is_some() {
        return Err(Fault::rule("text_empty").of("found"));
    }
    if !begins && (asked.reported_by.is_some() || (!ends && asked.when.is_some())) {
        return Err(Fault::rule("text_empty").of("begin"));
    }
    if begins {
        begin(asked, turn)
    } else if ends {
        end(asked, turn)
    } else {
        let opened = asked.at.of.read(turn)?;
        let session = session(&opened, &asked.at)?;
        let seen = opened.desk.headcount(opened.id(), session)?;
        let lost = seen.lost.iter().map(row);
        let value = json!({
            "session": seen.session, "title": seen.title, "lost": lost.collect::<Vec<_>>(),
        });
        let ids = || seen.lost.iter().map(|row| row.entry.to_string()).collect();
        turn.answer("session.lost", &value, ids, || {
            if seen.lost.is_empty() {
                return vec![tr!("Nobody is written down as lost.")];
            }
            seen.lost.iter().map(line).collect()
        });
        Ok(())
    }
}

fn row(row: &LostRow) -> Value {
    json!({
        "entry": row.entry, "since": row.since.at.to_rfc3339(), "minutes": row.elapsed.all_minutes,
        "missing": row.missing.iter().map(words::who).collect::<Vec<_>>(),
        "reported_by": row.reported_by.as_ref().map(words::who), "by": words::staff(&row.by),
    })
}

fn line(row: &LostRow) -> String {
    let names: Vec<&str> = row.missing.iter().map(words::who_said).collect();
    let since = words::moment(&row.since);
    let named = if names.is_empty() {
        t("Lost buddy").to_owned()
    } else {
        names.join(", ")
    };
    let minutes = row.elapsed.all_minutes;
    format!("{}  {since}  {minutes} min  {named}", row.entry)
}

/// Writes down that a buddy is lost, and shows what to do.
fn begin(asked: &Lost, turn: &Turn) -> Result<(), Fault> {
    let opened = asked.at.of.write(turn)?;
    let session = session(&opened, &asked.at)?;
    let found = |asked: &String| find::diver(&opened.desk, &opened.course, asked);
    let missing: Vec<Who> = asked.person.iter().map(found).collect::<Result<_, _>>()?;
    // Said outright: a command is no press that may have bounced.
    let when = match &asked.when {
        Some(typed) => when::time(&opened.desk, typed)?,
        None => opened.desk.moment(None, 0)?.at.to_rfc3339(),
    };
    let receipt = opened.desk.record(Request::LoseBuddy {
        course: opened.id(),
        session,
        missing,
        reported_by: asked.reported_by.as_ref().map(found).transpose()?,
        when: Some(when),
    })?;
    let card = site::card_lines(Some(site::Alarm::LostBuddy))?;
    turn.recorded(
        &receipt,
        format!("{}\n{}", tr!("Written down."), card.join("\n")),
    );
    Ok(())
}

/// Says that it is over: of the one that is open, or of the one that was named.
fn end(asked: &Lost, turn: &Turn) -> Result<(), Fault> {
    let opened = asked.at.of.write(turn)?;
    let session = session(&opened, &asked.at)?;
    let mut open = opened.desk.headcount(opened.id(), session)?.lost;
    let alarm = match &asked.alarm {
        Some(named) => find::one("entry", named, open, |row| (&row.entry, Vec::new()))?,
        None if open.len() > 1 => {
            let ids: Vec<String> = open.iter().map(|row| row.entry.to_string()).collect();
            let ids = ids.join(" ");
            return Err(find::refused("not_unique", "entry", Some(&ids)).value(open.len()));
        }
        None => open.pop().ok_or_else(|| Fault::rule("nothing_open"))?,
    };
    let when = asked.when.as_ref();
    let when = when.map(|typed| when::time(&opened.desk, typed));
    let receipt = opened.desk.record(Request::EndAlarm {
        course: opened.id(),
        alarm: alarm.entry.to_string(),
        how: if asked.found {
            AlarmEnd::Found
        } else {
            AlarmEnd::TakenOver
        },
        when: when.transpose()?,
    })?;
    turn.recorded(&receipt, tr!("Written down."));
    Ok(())
}
