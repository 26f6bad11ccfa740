//! One skill of an outline, being written.

use std::cell::RefCell;
use std::rc::Rc;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{
    Demand, Family, Fault, FigureKind, Measure, MethodsNeeded, MinuteRange, Requirement, RunBy,
    RunForm, RunPlace, Setting, Skill, SkillRun, Slip, count_on, unit_symbol,
};

use super::outline;
use crate::shell::{Shell, on, rows};
use crate::ui::{HouseWords, MeasureRow, OutlineDoor, Screen, SkillForm};
use crate::words;

/// What separates a slip from its fix in one line.
const ARROW: &str = " → ";

/// The skill as it is being written: figures as they were typed.
#[derive(Default)]
struct Kept {
    of: RefCell<Option<String>>,
    skill: RefCell<Option<Skill>>,
    texts: RefCell<Texts>,
    measures: RefCell<Vec<String>>,
    slips: RefCell<Vec<String>>,
}

#[derive(Debug, Clone, Default)]
struct Texts {
    times: String,
    sessions: String,
    quick: String,
    slow: String,
    setup: String,
    turn: String,
    ascents: String,
}

pub(super) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<OutlineDoor>();
    on!(shell, door.on_set_text(field, text) => set_text(shell, &field, &text));
    on!(shell, door.on_set_flag(flag, on) => set_flag(shell, &flag, on));
    on!(shell, door.on_set_run(what, n) => set_run(shell, &what, n));
    on!(shell, door.on_set_measure(n, text) => put(&shell.kept::<Kept>().measures, n, &text));
    on!(shell, door.on_add_measure(kind) => add_measure(shell, kind));
    on!(shell, door.on_drop_measure(n) => drop_measure(shell, n));
    on!(shell, door.on_set_cue(n, text) => {
        if let Some(skill) = shell.kept::<Kept>().skill.borrow_mut().as_mut()
            && let Some(cue) = usize::try_from(n).ok().and_then(|n| skill.cues.get_mut(n))
        {
            *cue = text.to_string();
        }
    });
    on!(shell, door.on_set_slip(n, text) => put(&shell.kept::<Kept>().slips, n, &text));
    on!(shell, door.on_add_cue() => {
        change(shell, |skill| skill.cues.push(String::new()));
    });
    on!(shell, door.on_add_slip() => {
        shell.kept::<Kept>().slips.borrow_mut().push(ARROW.into());
        draw(shell);
    });
    on!(shell, door.on_keep() => keep(shell));
    on!(shell, door.on_remove(_skill) => remove(shell));
}

/// A text at its place in a list.
fn put(list: &RefCell<Vec<String>>, n: i32, text: &SharedString) {
    let mut list = list.borrow_mut();
    if let Some(one) = usize::try_from(n).ok().and_then(|n| list.get_mut(n)) {
        *one = text.to_string();
    }
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let kept = shell.kept::<Kept>();
    let asked = shell.route().skill;
    if *kept.of.borrow() == asked {
        return draw(shell);
    }
    let drafts = shell.kept::<outline::Kept>();
    let found = {
        let draft = drafts.draft.borrow();
        let skills = draft.as_ref().map(|draft| &draft.skills);
        skills.and_then(|skills| {
            let same = |one: &&Skill| Some(&one.id) == asked.as_ref();
            skills.iter().find(same).cloned()
        })
    };
    let Some(skill) = found else { return };
    begin(shell, skill);
    kept.of.replace(asked);
    draw(shell);
}

/// Adds a skill with nothing in it yet, and opens it.
pub(super) fn add(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let drafts = shell.kept::<outline::Kept>();
    let id = {
        let mut draft = drafts.draft.borrow_mut();
        let Some(draft) = draft.as_mut() else { return };
        let taken = |id: &str| draft.skills.iter().any(|one| one.id == id);
        let free = (1_u32..).map(|n| format!("own-{n}")).find(|id| !taken(id));
        let Some(id) = free else { return };
        let name = ui.global::<HouseWords>().get_new_skill();
        draft.skills.push(blank(id.clone(), name.to_string()));
        id
    };
    drafts.changed.set(true);
    shell.open(shell.route().here(Screen::Skill).skill(id));
}

fn blank(id: String, name: String) -> Skill {
    Skill {
        id,
        name,
        family: Family::Awareness,
        settings: vec![Setting::Confined],
        needs: Vec::new(),
        requirement: Requirement {
            says: String::new(),
            measures: Vec::new(),
        },
        methods: Vec::new(),
        methods_needed: MethodsNeeded::Any,
        demand: Demand {
            times: 1,
            sessions: 1,
            each_of: Vec::new(),
        },
        cues: Vec::new(),
        slips: Vec::new(),
        caution: None,
        hazard: false,
        minutes: MinuteRange { quick: 1, slow: 2 },
        run: SkillRun {
            form: RunForm::OneByOne,
            setup: None,
            turn: None,
            place: RunPlace::Depth,
            by: RunBy::Instructor,
            ascents: 0,
            cold: false,
            before: Vec::new(),
            closes: None,
        },
        required: true,
        proves: None,
    }
}

/// The kind of a measure's figure, its base value, and its place among the screen's kinds.
fn parts(measure: &Measure) -> (i32, FigureKind, i64) {
    match measure {
        Measure::Count { at_least, of: _ } => (0, FigureKind::Count, i64::from(*at_least)),
        Measure::Hold { seconds } => (1, FigureKind::Seconds, i64::from(*seconds)),
        Measure::Within { seconds } => (2, FigureKind::Seconds, i64::from(*seconds)),
        Measure::Distance { decimetres } => (3, FigureKind::Way, i64::from(*decimetres)),
        Measure::DepthBand { plus_minus_cm } => (4, FigureKind::Depth, i64::from(*plus_minus_cm)),
        Measure::AscentRate { cm_per_minute } => (5, FigureKind::Rate, i64::from(*cm_per_minute)),
        Measure::Miss { decimetres } => (6, FigureKind::Way, i64::from(*decimetres)),
        Measure::Reading { at_most, unit: _ } => (7, FigureKind::Count, i64::from(*at_most)),
    }
}

fn with_base(measure: &mut Measure, base: u32) {
    match measure {
        Measure::Count { at_least, .. } => *at_least = base,
        Measure::Hold { seconds } | Measure::Within { seconds } => *seconds = base,
        Measure::Distance { decimetres } | Measure::Miss { decimetres } => *decimetres = base,
        Measure::DepthBand { plus_minus_cm } => *plus_minus_cm = base,
        Measure::AscentRate { cm_per_minute } => *cm_per_minute = base,
        Measure::Reading { at_most, .. } => *at_most = base,
    }
}

fn shown(shell: &Shell, measure: &Measure) -> String {
    let (_, kind, base) = parts(measure);
    shell
        .desk()
        .show_figure(kind, base)
        .map(|one| one.text)
        .unwrap_or_default()
}

fn begin(shell: &Rc<Shell>, skill: Skill) {
    let kept = shell.kept::<Kept>();
    kept.texts.replace(Texts {
        times: skill.demand.times.to_string(),
        sessions: skill.demand.sessions.to_string(),
        quick: skill.minutes.quick.to_string(),
        slow: skill.minutes.slow.to_string(),
        setup: said(skill.run.setup),
        turn: said(skill.run.turn),
        ascents: skill.run.ascents.to_string(),
    });
    let measures = skill.requirement.measures.iter();
    kept.measures
        .replace(measures.map(|one| shown(shell, one)).collect());
    let slips = skill.slips.iter();
    let line = |slip: &Slip| format!("{}{ARROW}{}", slip.fault, slip.fix);
    kept.slips.replace(slips.map(line).collect());
    kept.skill.replace(Some(skill));
    if let Some(ui) = shell.ui() {
        ui.global::<OutlineDoor>().set_form_fault("".into());
    }
}

fn draw(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<OutlineDoor>();
    let kept = shell.kept::<Kept>();
    let (skill, texts) = (kept.skill.borrow(), kept.texts.borrow());
    let Some(skill) = skill.as_ref() else { return };
    shell.title(skill.name.clone(), "");
    let at = |setting: &Setting| skill.settings.contains(setting);
    door.set_form(SkillForm {
        id: skill.id.clone().into(),
        name: skill.name.clone().into(),
        says: skill.requirement.says.clone().into(),
        caution: skill.caution.clone().unwrap_or_default().into(),
        hazard: skill.hazard,
        required: skill.required,
        times: texts.times.clone().into(),
        sessions: texts.sessions.clone().into(),
        classroom: at(&Setting::Classroom),
        surface: at(&Setting::Surface),
        confined: at(&Setting::Confined),
        open_water: at(&Setting::Open),
        quick: texts.quick.clone().into(),
        slow: texts.slow.clone().into(),
        run: match skill.run.form {
            RunForm::Together => 0,
            RunForm::Pairs => 1,
            RunForm::OneByOne => 2,
        },
        place: match skill.run.place {
            RunPlace::Dry => 0,
            RunPlace::Surface => 1,
            RunPlace::Shallow => 2,
            RunPlace::Line => 3,
            RunPlace::Depth => 4,
        },
        assistant: skill.run.by == RunBy::Assistant,
        cold: skill.run.cold,
        setup: texts.setup.clone().into(),
        turn: texts.turn.clone().into(),
        ascents: texts.ascents.clone().into(),
        all_methods: skill.methods_needed == MethodsNeeded::All,
        ..SkillForm::default()
    });
    let typed = kept.measures.borrow();
    let measures = skill.requirement.measures.iter().zip(typed.iter());
    door.set_measures(rows(measures.map(|(measure, text)| {
        let (kind, figure, _) = parts(measure);
        let unit = shell.desk().figure_unit(figure).and_then(unit_symbol);
        MeasureRow {
            kind,
            text: text.into(),
            unit: unit.unwrap_or_default().into(),
            of: SharedString::new(),
        }
    })));
    door.set_cues(rows(skill.cues.iter().map(SharedString::from)));
    door.set_slips(rows(kept.slips.borrow().iter().map(SharedString::from)));
}

fn change(shell: &Rc<Shell>, how: impl FnOnce(&mut Skill)) {
    if let Some(skill) = shell.kept::<Kept>().skill.borrow_mut().as_mut() {
        how(skill);
    }
    draw(shell);
}

/// A text that is being written: the field keeps it, so nothing is drawn anew.
fn set_text(shell: &Rc<Shell>, field: &str, text: &SharedString) {
    let kept = shell.kept::<Kept>();
    let text = text.to_string();
    let mut texts = kept.texts.borrow_mut();
    let mut skill = kept.skill.borrow_mut();
    let Some(skill) = skill.as_mut() else { return };
    match field {
        "name" => skill.name = text,
        "says" => skill.requirement.says = text,
        "caution" => skill.caution = (!text.trim().is_empty()).then_some(text),
        "times" => texts.times = text,
        "sessions" => texts.sessions = text,
        "quick" => texts.quick = text,
        "slow" => texts.slow = text,
        "setup" => texts.setup = text,
        "turn" => texts.turn = text,
        "ascents" => texts.ascents = text,
        _ => {}
    }
}

fn set_flag(shell: &Rc<Shell>, flag: &str, on: bool) {
    let setting = match flag {
        "classroom" => Some(Setting::Classroom),
        "surface" => Some(Setting::Surface),
        "confined" => Some(Setting::Confined),
        "open" => Some(Setting::Open),
        _ => None,
    };
    change(shell, |skill| match (flag, setting) {
        (_, Some(setting)) => {
            skill.settings.retain(|one| *one != setting);
            if on {
                skill.settings.push(setting);
            }
        }
        ("required", None) => skill.required = on,
        ("hazard", None) => skill.hazard = on,
        ("cold", None) => skill.run.cold = on,
        ("assistant", None) => {
            skill.run.by = if on {
                RunBy::Assistant
            } else {
                RunBy::Instructor
            };
        }
        _ => {}
    });
}

/// How many take a turn at once, or where, by its place in the choice.
fn set_run(shell: &Rc<Shell>, what: &str, n: i32) {
    change(shell, |skill| match (what, n) {
        ("form", 0) => skill.run.form = RunForm::Together,
        ("form", 1) => skill.run.form = RunForm::Pairs,
        ("form", _) => skill.run.form = RunForm::OneByOne,
        ("place", 0) => skill.run.place = RunPlace::Dry,
        ("place", 1) => skill.run.place = RunPlace::Surface,
        ("place", 2) => skill.run.place = RunPlace::Shallow,
        ("place", 3) => skill.run.place = RunPlace::Line,
        ("place", _) => skill.run.place = RunPlace::Depth,
        _ => {}
    });
}

/// Minutes that were said; nothing where they were not.
fn said(minutes: Option<u16>) -> String {
    minutes
        .map(|minutes| minutes.to_string())
        .unwrap_or_default()
}

fn add_measure(shell: &Rc<Shell>, kind: i32) {
    let measure = match kind {
        0 => Measure::Count {
            at_least: 1,
            of: String::new(),
        },
        1 => Measure::Hold { seconds: 30 },
        _ => Measure::Distance { decimetres: 100 },
    };
    let text = shown(shell, &measure);
    shell.kept::<Kept>().measures.borrow_mut().push(text);
    change(shell, |skill| skill.requirement.measures.push(measure));
}

fn drop_measure(shell: &Rc<Shell>, n: i32) {
    let Ok(n) = usize::try_from(n) else { return };
    {
        let kept = shell.kept::<Kept>();
        let mut measures = kept.measures.borrow_mut();
        if n < measures.len() {
            measures.remove(n);
        }
    }
    change(shell, |skill| {
        if n < skill.requirement.measures.len() {
            skill.requirement.measures.remove(n);
        }
    });
}

/// The skill as it was written, with its figures read.
fn written(shell: &Rc<Shell>) -> Result<Option<Skill>, Fault> {
    let kept = shell.kept::<Kept>();
    let Some(mut skill) = kept.skill.borrow().clone() else {
        return Ok(None);
    };
    let desk = shell.desk();
    let texts = kept.texts.borrow().clone();
    let small = |text: String| -> Result<u8, Fault> {
        let read = desk.read_figure(FigureKind::Count, text)?;
        Ok(u8::try_from(read).unwrap_or(u8::MAX))
    };
    let minutes = |text: String| -> Result<u16, Fault> {
        let read = desk.read_figure(FigureKind::Minutes, text)?;
        Ok(u16::try_from(read).unwrap_or(u16::MAX))
    };
    skill.demand.times = small(texts.times)?;
    skill.demand.sessions = small(texts.sessions)?;
    skill.minutes.quick = minutes(texts.quick)?;
    skill.minutes.slow = minutes(texts.slow)?;
    let maybe = |text: String| {
        let said = !text.trim().is_empty();
        said.then(|| minutes(text)).transpose()
    };
    skill.run.setup = maybe(texts.setup)?;
    skill.run.turn = maybe(texts.turn)?;
    skill.run.ascents = small(texts.ascents)?;
    let typed = kept.measures.borrow().clone();
    for (measure, text) in skill.requirement.measures.iter_mut().zip(typed) {
        let (_, kind, _) = parts(measure);
        let base = desk.read_figure(kind, text)?;
        with_base(measure, u32::try_from(base).unwrap_or(u32::MAX));
    }
    skill.cues.retain(|cue| !cue.trim().is_empty());
    let lines = kept.slips.borrow().clone();
    let before = skill.slips.clone();
    skill.slips = lines
        .into_iter()
        .enumerate()
        .filter_map(|(n, line)| slip(&before, n, &line))
        .collect();
    Ok(Some(skill))
}

/// A slip from its line; one that was there keeps its id, so that marks still name it.
fn slip(before: &[Slip], n: usize, line: &str) -> Option<Slip> {
    let (fault, fix) = line.split_once('→').unwrap_or((line, ""));
    let (fault, fix) = (fault.trim().to_owned(), fix.trim().to_owned());
    if fault.is_empty() {
        return None;
    }
    let id = match before.get(n) {
        Some(there) => there.id.clone(),
        None => format!("own-{}", count_on(u32::try_from(n).unwrap_or(0), 1)),
    };
    Some(Slip { id, fault, fix })
}

fn keep(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    match written(shell) {
        Ok(Some(skill)) => {
            let drafts = shell.kept::<outline::Kept>();
            if let Some(draft) = drafts.draft.borrow_mut().as_mut() {
                for one in draft.skills.iter_mut().filter(|one| one.id == skill.id) {
                    *one = skill.clone();
                }
            }
            drafts.changed.set(true);
            shell.kept::<Kept>().of.take();
            shell.back();
        }
        Ok(None) => {}
        Err(fault) => {
            let door = ui.global::<OutlineDoor>();
            door.set_form_fault(words::fault(&ui, &fault));
        }
    }
}

fn remove(shell: &Rc<Shell>) {
    let kept = shell.kept::<Kept>();
    let Some(id) = kept.of.take() else { return };
    let drafts = shell.kept::<outline::Kept>();
    if let Some(draft) = drafts.draft.borrow_mut().as_mut() {
        draft.skills.retain(|one| one.id != id);
        for block in &mut draft.blocks {
            block.run_list.retain(|one| *one != id);
        }
    }
    drafts.changed.set(true);
    shell.back();
}
