//! Pairs and zones: who dives beside whom in a session and who watches whom, moved by two taps.
//!
//! A move is recorded at once, over the proposal while nobody has kept anything; the header's
//! undo takes it back. What another device said apart stays until somebody says which holds.

use std::cell::RefCell;
use std::rc::Rc;

use slint::{ComponentHandle, ModelRc, SharedString, VecModel};
use tallywater_bindings::{
    Leave, Request, Role, StudentName, TeamOf, Teams, TeamsApart, TeamsView, Who, WhoName,
};

use crate::shell::{Shell, fill, on};
use crate::ui::{
    App, AppDoor, Load, Screen, TeamApart, TeamChip, TeamGroup, TeamWords, TeamsDoor, Verdict,
};
use crate::words;

/// The most that dive as one pair; the core refuses more.
const LARGEST_PAIR: usize = 3;

/// Which part of the screen somebody stands in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Part {
    Pairs,
    Zones,
}

#[derive(Default)]
struct Kept {
    /// Of which session.
    of: RefCell<Option<String>>,
    view: RefCell<Option<TeamsView>>,
    /// Whom the next tap moves.
    marked: RefCell<Option<(Who, Part)>>,
    pairs: Lines,
    zones: Lines,
    apart: Rc<VecModel<TeamApart>>,
}

/// The groups of one part, drawn by row: what stays is not drawn anew under a finger.
#[derive(Default)]
struct Lines {
    rows: Rc<VecModel<TeamGroup>>,
    chips: RefCell<Vec<Rc<VecModel<TeamChip>>>>,
}

/// Those who stand together: a pair, a zone, or who is in none (without an id).
struct Group {
    id: String,
    title: SharedString,
    says: SharedString,
    verdict: Verdict,
    people: Vec<WhoName>,
    /// So many at most, where that is bounded here.
    most: Option<usize>,
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<TeamsDoor>();
    on!(shell, door.on_pick_buddy(id) => pick(shell, &id, Part::Pairs));
    on!(shell, door.on_pick_watched(id) => pick(shell, &id, Part::Zones));
    on!(shell, door.on_pair_here(pair) => here(shell, &pair, Part::Pairs));
    on!(shell, door.on_watch_here(staff) => here(shell, &staff, Part::Zones));
    on!(shell, door.on_keep() => settle(shell, None));
    on!(shell, door.on_take(entry) => settle(shell, Some(&entry)));
    on!(shell, door.on_again() => shell.show_again());
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<TeamsDoor>();
    let heading = ui.global::<AppDoor>().invoke_heading(Screen::Teams);
    let kept = shell.kept::<Kept>();
    let route = shell.route();
    if *kept.of.borrow() != route.session {
        kept.marked.take();
        kept.of.replace(route.session.clone());
    }
    let (Some(course), Some(session)) = (route.course, route.session) else {
        shell.title(heading, "");
        door.set_load(Load::Empty);
        return;
    };
    shell.title(heading, shell.session_says(&course, Some(&session)));
    let view = shell.see(shell.desk().teams(course, session), |fault| {
        door.set_fault(fault);
        door.set_load(Load::Failed);
    });
    let Some(view) = view else { return };
    door.set_kept(view.kept.is_some());
    if let Some(said) = &view.kept {
        door.set_by(said.by.name.clone().into());
        door.set_at(words::moment(&said.at));
    }
    door.set_may(view.may_set == Leave::Yes);
    door.set_why_not(words::leave(&ui, &view.may_set));
    let said = view.apart.iter().map(|one| apart(&view, one));
    fill(&kept.apart, said.collect());
    door.set_apart(ModelRc::from(Rc::clone(&kept.apart)));
    kept.view.replace(Some(view));
    draw(shell);
    door.set_load(Load::Ready);
}

fn draw(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<TeamsDoor>();
    let kept = shell.kept::<Kept>();
    let (view, marked) = (kept.view.borrow(), kept.marked.borrow());
    let Some(view) = view.as_ref() else { return };
    for (part, lines) in [(Part::Pairs, &kept.pairs), (Part::Zones, &kept.zones)] {
        let marked = marked.as_ref().filter(|(_, within)| *within == part);
        lines.fill(groups(&ui, view, part), marked.map(|(who, _)| who));
    }
    door.set_pairs(ModelRc::from(Rc::clone(&kept.pairs.rows)));
    door.set_zones(ModelRc::from(Rc::clone(&kept.zones.rows)));
}

impl Lines {
    fn fill(&self, groups: Vec<Group>, marked: Option<&Who>) {
        let mut all = self.chips.borrow_mut();
        let many = all.len().max(groups.len());
        all.resize_with(many, Rc::default);
        let drawn = groups.into_iter().zip(all.iter()).map(|(group, chips)| {
            let people = group.people.iter();
            fill(chips, people.map(|one| chip(one, marked)).collect());
            TeamGroup {
                room: group.takes(marked),
                id: group.id.into(),
                title: group.title,
                says: group.says,
                verdict: group.verdict,
                chips: ModelRc::from(Rc::clone(chips)),
            }
        });
        let drawn: Vec<TeamGroup> = drawn.collect();
        fill(&self.rows, drawn);
    }
}

impl Group {
    fn has(&self, who: &Who) -> bool {
        self.people.iter().any(|one| Who::from(one) == *who)
    }

    /// Whether whoever is marked can be moved here.
    fn takes(&self, marked: Option<&Who>) -> bool {
        let elsewhere = marked.is_some_and(|who| !self.has(who));
        elsewhere && self.most.is_none_or(|most| self.people.len() < most)
    }
}

fn id_of(who: &Who) -> &str {
    match who {
        Who::Student { student } => student,
        Who::Staff { staff } => staff,
    }
}

fn chip(one: &WhoName, marked: Option<&Who>) -> TeamChip {
    let who = Who::from(one);
    TeamChip {
        id: id_of(&who).into(),
        staff: matches!(who, Who::Staff { .. }),
        called: words::who(one).into(),
        on: marked == Some(&who),
    }
}

fn students(names: &[StudentName]) -> impl Iterator<Item = WhoName> + '_ {
    let names = names.iter().cloned();
    names.map(WhoName::Student)
}

fn groups(ui: &App, view: &TeamsView, part: Part) -> Vec<Group> {
    match part {
        Part::Pairs => pairs(ui, view),
        Part::Zones => zones(ui, view),
    }
}

/// The pairs, and below them whoever of the session could be in one and is in none.
fn pairs(ui: &App, view: &TeamsView) -> Vec<Group> {
    let says = ui.global::<TeamWords>();
    let pair = |row: &tallywater_bindings::PairRow| Group {
        id: row.number.to_string(),
        title: says.invoke_pair(words::count(row.number)),
        says: SharedString::new(),
        verdict: words::verdict(&row.young),
        people: row.members.clone(),
        most: Some(LARGEST_PAIR),
    };
    let mut all: Vec<Group> = view.pairs.iter().map(pair).collect();
    let assistants = view.zones.iter();
    let assistants = assistants.filter(|row| row.role == Some(Role::Assistant));
    let assistants = assistants.map(|row| WhoName::Staff(row.staff.clone()));
    let unpaired = students(&view.alone).chain(assistants);
    let unpaired: Vec<WhoName> = unpaired
        .filter(|one| !all.iter().any(|pair| pair.has(&Who::from(one))))
        .collect();
    if !(all.is_empty() && unpaired.is_empty()) {
        all.push(Group {
            id: String::new(),
            title: says.get_no_pair(),
            says: SharedString::new(),
            verdict: Verdict::NoRule,
            people: unpaired,
            most: None,
        });
    }
    all
}

/// Whom each member of the session's staff watches, and below them those whom nobody does.
fn zones(ui: &App, view: &TeamsView) -> Vec<Group> {
    let says = ui.global::<TeamWords>();
    let zone = |row: &tallywater_bindings::ZoneRow| {
        let watches = words::count(row.watches.len());
        Group {
            id: row.staff.staff.to_string(),
            title: row.staff.name.clone().into(),
            says: row.most.map_or_else(SharedString::new, |most| {
                says.invoke_share(watches, words::count(most))
            }),
            // A rule on how many says nothing of one who watches nobody.
            verdict: if row.watches.is_empty() {
                Verdict::NoRule
            } else {
                words::verdict(&row.limit)
            },
            people: students(&row.watches).collect(),
            most: None,
        }
    };
    let mut all: Vec<Group> = view.zones.iter().map(zone).collect();
    all.push(Group {
        id: String::new(),
        title: says.get_unwatched(),
        says: SharedString::new(),
        verdict: Verdict::NoRule,
        people: students(&view.unwatched).collect(),
        most: None,
    });
    all
}

/// The pair of somebody and who watches them, as far as that was kept.
pub(super) fn of_one(ui: &App, of: &TeamOf) -> SharedString {
    let says = ui.global::<TeamWords>();
    let pair = of.pair.map(|n| says.invoke_pair(words::count(n)));
    let watched = of.watched_by.as_ref();
    let watched = watched.map(|staff| says.invoke_watched(staff.name.clone().into()));
    joined(pair, watched)
}

/// The same in a hand's width: one line.
pub(super) fn of_one_briefly(ui: &App, of: &TeamOf) -> SharedString {
    let says = ui.global::<TeamWords>();
    let pair = of.pair.map(|n| says.invoke_pair(words::count(n)));
    let watched = of.watched_by.as_ref();
    joined(pair, watched.map(|staff| staff.short.clone().into()))
}

fn joined(pair: Option<SharedString>, watched: Option<SharedString>) -> SharedString {
    let said: Vec<String> = pair.into_iter().chain(watched).map(String::from).collect();
    said.join(" · ").into()
}

/// What was said apart, pair by pair.
fn apart(view: &TeamsView, one: &TeamsApart) -> TeamApart {
    let pairs = one.teams.pairs.iter().filter(|pair| pair.len() > 1);
    let pairs = pairs.map(|pair| {
        let names: Vec<&str> = pair.iter().map(|who| called(view, id_of(who))).collect();
        names.join(" + ")
    });
    let zones = one.teams.zones.iter().map(|zone| {
        let names: Vec<&str> = zone.watches.iter().map(|id| called(view, id)).collect();
        format!("{}: {}", called(view, &zone.staff), names.join(", "))
    });
    let differs: Vec<&str> = one.differs.iter().map(words::who).collect();
    TeamApart {
        entry: one.entry.to_string().into(),
        by: one.by.name.clone().into(),
        when: words::moment(&one.at),
        pairs: pairs.collect::<Vec<_>>().join(" · ").into(),
        zones: zones.collect::<Vec<_>>().join(" · ").into(),
        differs: differs.join(", ").into(),
    }
}

/// What somebody who is named anywhere in the view is called.
fn called<'a>(view: &'a TeamsView, id: &str) -> &'a str {
    let pairs = view.pairs.iter().flat_map(|row| &row.members);
    let apart = view.apart.iter().flat_map(|one| &one.differs);
    let mut all = pairs.chain(apart);
    if let Some(found) = all.find(|one| id_of(&Who::from(*one)) == id) {
        return words::who(found);
    }
    let watched = view.zones.iter().flat_map(|row| &row.watches);
    let mut students = watched.chain(&view.alone).chain(&view.unwatched);
    if let Some(found) = students.find(|name| name.student == id) {
        return &found.short;
    }
    let mut staff = view.zones.iter().map(|row| &row.staff);
    staff
        .find(|name| name.staff == id)
        .map_or("–", |name| name.name.as_str())
}

/// Marks somebody; marked already, unmarks; with another marked elsewhere, the two change places.
fn pick(shell: &Rc<Shell>, id: &str, part: Part) {
    let Some(ui) = shell.ui() else { return };
    let kept = shell.kept::<Kept>();
    let Some(view) = kept.view.borrow().clone() else {
        return;
    };
    let groups = groups(&ui, &view, part);
    let mut people = groups.iter().flat_map(|group| &group.people).map(Who::from);
    let Some(who) = people.find(|who| id_of(who) == id) else {
        return;
    };
    let before = kept.marked.take().filter(|(_, within)| *within == part);
    match before {
        Some((other, _)) if other == who => {}
        Some((other, _)) if apart_in(&groups, &other, &who) => {
            let teams = swapped(view.teams.clone(), part, (&other, &who));
            let seen = answered(&view);
            shell.record(Request::SetTeams {
                course: view.course,
                session: view.session,
                teams,
                seen,
            });
        }
        Some(_) | None => {
            kept.marked.replace(Some((who, part)));
        }
    }
    draw(shell);
}

/// Whether two stand in two groups.
fn apart_in(groups: &[Group], one: &Who, other: &Who) -> bool {
    let of_one = groups.iter().find(|group| group.has(one));
    of_one.is_some_and(|group| !group.has(other))
}

/// What a move answers: the word that holds, and no word that was said apart from it.
fn answered(view: &TeamsView) -> Vec<String> {
    let apart = |id: &&String| view.apart.iter().any(|one| one.entry == **id);
    let seen = view.seen.iter();
    seen.filter(|id| !apart(id)).cloned().collect()
}

/// The same with two people in each other's place.
fn swapped(mut teams: Teams, part: Part, (one, other): (&Who, &Who)) -> Teams {
    match part {
        Part::Pairs => {
            let paired = |who: &Who| teams.pairs.iter().flatten().any(|there| there == who);
            // Who gives a place to somebody in no pair is in none.
            let left = match (paired(one), paired(other)) {
                (true, false) => Some(one),
                (false, true) => Some(other),
                (true, true) | (false, false) => None,
            };
            for there in teams.pairs.iter_mut().flatten() {
                if there == one {
                    *there = other.clone();
                } else if there == other {
                    *there = one.clone();
                }
            }
            if let Some(Who::Student { .. }) = left {
                teams.pairs.extend(left.map(|who| vec![who.clone()]));
            }
        }
        Part::Zones => {
            let (one, other) = (id_of(one), id_of(other));
            for there in teams.zones.iter_mut().flat_map(|zone| &mut zone.watches) {
                if there == one {
                    other.clone_into(there);
                } else if there == other {
                    one.clone_into(there);
                }
            }
        }
    }
    teams
}

/// Moves whoever is marked into a pair or a zone, or out of every one where it has no id.
fn here(shell: &Rc<Shell>, id: &str, part: Part) {
    let Some(ui) = shell.ui() else { return };
    let kept = shell.kept::<Kept>();
    let Some(view) = kept.view.borrow().clone() else {
        return;
    };
    let marked = kept.marked.take();
    let Some((who, _)) = marked.filter(|(_, within)| *within == part) else {
        return draw(shell);
    };
    let (course, session) = (view.course.to_string(), view.session.to_string());
    let request = match (part, who) {
        (Part::Pairs, who) => {
            let groups = pairs(&ui, &view);
            let pair = groups.iter().find(|group| group.id == id);
            let beside = pair.filter(|_| !id.is_empty());
            let beside = beside.and_then(|pair| pair.people.first()).map(Who::from);
            (beside.is_some() || id.is_empty()).then_some(Request::MoveBuddy {
                course,
                session,
                who,
                beside,
            })
        }
        (Part::Zones, Who::Student { student }) => Some(Request::MoveZone {
            course,
            session,
            student,
            staff: Some(id.to_owned()).filter(|id| !id.is_empty()),
        }),
        (Part::Zones, Who::Staff { .. }) => None,
    };
    if let Some(request) = request {
        shell.record(request);
    }
    draw(shell);
}

/// Says what holds, over everything that was on screen: these, or what was said apart.
fn settle(shell: &Rc<Shell>, entry: Option<&str>) {
    let kept = shell.kept::<Kept>();
    let Some(view) = kept.view.borrow().clone() else {
        return;
    };
    kept.marked.take();
    let teams = match entry {
        None => Some(view.teams),
        Some(entry) => {
            let mut apart = view.apart.into_iter();
            apart.find(|one| one.entry == entry).map(|one| one.teams)
        }
    };
    if let Some(teams) = teams {
        shell.record(Request::SetTeams {
            course: view.course,
            session: view.session,
            teams,
            seen: view.seen,
        });
    }
    draw(shell);
}
