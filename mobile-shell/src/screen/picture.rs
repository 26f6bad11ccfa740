//! Picture: one chart of a course, drawn, with every figure of it in words.

use std::cell::RefCell;
use std::path::PathBuf;
use std::rc::Rc;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{
    Chart, ChartBar, ChartFact, ChartLine, ChartOf, ChartShows, ChartTick, FactIs, Fault, LineIs,
    WhoName,
};

use super::papers;
use crate::shell::{Shell, on, rows};
use crate::ui::{
    App, AppDoor, CourseWords, Load, PictureBar, PictureDoor, PictureFact, PictureFactIs,
    PictureLine, PictureLineIs, PictureTick, PictureWords, Pictured, Screen, Words,
};
use crate::words;

#[derive(Default)]
struct Kept {
    /// What was written last.
    paper: RefCell<Option<PathBuf>>,
}

/// Shows this picture of the course one is in; back leads to where one is.
pub(super) fn open(shell: &Rc<Shell>, of: ChartOf) {
    shell.open(shell.route().here(Screen::Picture).picture(of));
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<PictureDoor>();
    on!(shell, door.on_print() => print(shell));
    on!(shell, door.on_show_paper() => {
        if let Some(paper) = shell.kept::<Kept>().paper.borrow().as_deref() {
            shell.system().show(paper);
        }
    });
    on!(shell, door.on_again() => shell.show_again());
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<PictureDoor>();
    shell.title(ui.global::<AppDoor>().invoke_heading(Screen::Picture), "");
    door.set_done("".into());
    door.set_refused("".into());
    door.set_written(false);
    door.set_fault("".into());
    door.set_about("".into());
    let route = shell.route();
    let course = route.in_course();
    if course.is_empty() {
        door.set_fault(ui.global::<CourseWords>().invoke_no_course());
        door.set_load(Load::Failed);
        return;
    }
    let Some(of) = route.picture else {
        door.set_load(Load::Empty);
        return;
    };
    let chart = shell.desk().chart(course.clone(), of.clone());
    let seen = chart.and_then(|chart| {
        let who = chart.as_ref().and_then(|chart| chart.who.as_ref());
        let about = about(shell, &ui, &course, &of, who)?;
        Ok((chart, about))
    });
    let seen = shell.see(seen, |fault| {
        door.set_fault(fault);
        door.set_load(Load::Failed);
    });
    let Some((chart, about)) = seen else { return };
    door.set_about(about.into());
    let Some(chart) = chart else {
        door.set_load(Load::Empty);
        return;
    };
    door.set_shows(pictured(&chart.shows));
    door.set_across(rows(chart.across.iter().map(tick)));
    door.set_down(rows(chart.down.iter().map(tick)));
    door.set_lines(rows(chart.lines.iter().map(line)));
    door.set_facts(rows(chart.facts.iter().map(fact)));
    let bars: Vec<PictureBar> = chart.bars.iter().map(|one| bar(&ui, one)).collect();
    door.set_said(said(&ui, &chart, &bars).into());
    door.set_bars(rows(bars));
    door.set_load(Load::Ready);
}

/// Whose it is, and of which session, dive or course.
fn about(
    shell: &Rc<Shell>,
    ui: &App,
    course: &str,
    of: &ChartOf,
    who: Option<&WhoName>,
) -> Result<String, Fault> {
    let desk = shell.desk();
    let which = match of {
        ChartOf::Profile { dive } => {
            let dives = desk.water(course.to_owned(), None)?.dives;
            let dive = dives.into_iter().find(|row| row.entry == *dive);
            dive.map(|row| {
                let moment = words::moment(&row.down);
                let down = ui.global::<Words>().invoke_moment(moment);
                match row.session_title {
                    Some(title) => format!("{title} · {down}"),
                    None => down.into(),
                }
            })
            .unwrap_or_default()
        }
        ChartOf::Gas { session, .. } | ChartOf::NoStop { session, .. } => {
            shell.session_says(course, Some(session))
        }
        ChartOf::Tries | ChartOf::Way { .. } => desk.course(course.to_owned())?.title,
    };
    let who = match who {
        Some(WhoName::Student(name)) => name.name.as_str(),
        Some(WhoName::Staff(name)) => name.name.as_str(),
        None => "",
    };
    let parts = [who, which.as_str()];
    let said: Vec<&str> = parts.into_iter().filter(|part| !part.is_empty()).collect();
    Ok(said.join(" · "))
}

/// The whole picture in one sentence: what it shows, then figure by figure, then bar by bar.
fn said(ui: &App, chart: &Chart, bars: &[PictureBar]) -> String {
    let say = ui.global::<PictureWords>();
    let facts = chart.facts.iter().map(|one| {
        let what = say.invoke_fact(fact_is(&one.what));
        format!("{what} {}", words::figure(&one.figure))
    });
    let bars = bars.iter().map(|bar| format!("{}: {}", bar.name, bar.says));
    let said: Vec<String> = facts.chain(bars).collect();
    let title = say.invoke_title(pictured(&chart.shows));
    format!("{title}: {}", said.join(" · "))
}

/// A place in the box, as the screens have numbers.
fn place(at: u16) -> f32 {
    at.into()
}

fn tick(one: &ChartTick) -> PictureTick {
    PictureTick {
        at: place(one.at),
        says: one.says.clone().into(),
    }
}

fn line(one: &ChartLine) -> PictureLine {
    let (x, y) = one.named_at.map_or((0, 0), |spot| (spot.x, spot.y));
    PictureLine {
        what: match one.what {
            LineIs::Depth => PictureLineIs::Depth,
            LineIs::TooFast => PictureLineIs::TooFast,
            LineIs::Stop => PictureLineIs::Stop,
            LineIs::Pressure => PictureLineIs::Pressure,
            LineIs::Turn => PictureLineIs::Turn,
            LineIs::Reserve => PictureLineIs::Reserve,
            LineIs::NoStop => PictureLineIs::NoStop,
            LineIs::NoLimit => PictureLineIs::NoLimit,
            LineIs::Met => PictureLineIs::Met,
            LineIs::Required => PictureLineIs::Required,
        },
        path: one.path.clone().into(),
        named: one.named_at.is_some(),
        part: one.part,
        x: place(x),
        y: place(y),
    }
}

fn fact(one: &ChartFact) -> PictureFact {
    PictureFact {
        what: fact_is(&one.what),
        figure: words::figure(&one.figure),
    }
}

fn bar(ui: &App, one: &ChartBar) -> PictureBar {
    let say = ui.global::<PictureWords>();
    let name = slint::format!("{} ({})", one.name, one.of);
    let [first, second, third, all] = one.parts.as_slice() else {
        return PictureBar {
            name,
            says: say.invoke_too_few(),
            ..PictureBar::default()
        };
    };
    let share = |end: &u16| -> SharedString {
        let percent = end.saturating_add(5) / 10;
        slint::format!("{percent} %")
    };
    PictureBar {
        name,
        known: true,
        first: place(*first),
        second: place(*second),
        third: place(*third),
        all: place(*all),
        says: say.invoke_shares(share(first), share(second), share(third), share(all)),
    }
}

const fn pictured(shows: &ChartShows) -> Pictured {
    match shows {
        ChartShows::Profile => Pictured::Profile,
        ChartShows::Gas => Pictured::Gas,
        ChartShows::NoStop => Pictured::NoStop,
        ChartShows::Tries => Pictured::Tries,
        ChartShows::Way => Pictured::Way,
        ChartShows::Minutes => Pictured::Minutes,
    }
}

const fn fact_is(what: &FactIs) -> PictureFactIs {
    match what {
        FactIs::Deepest => PictureFactIs::Deepest,
        FactIs::Lasted => PictureFactIs::Lasted,
        FactIs::Fastest => PictureFactIs::Fastest,
        FactIs::FastestAllowed => PictureFactIs::FastestAllowed,
        FactIs::StoppedFor => PictureFactIs::StoppedFor,
        FactIs::Fill => PictureFactIs::Fill,
        FactIs::TurnAt => PictureFactIs::TurnAt,
        FactIs::KeptBack => PictureFactIs::KeptBack,
        FactIs::UntilTurn => PictureFactIs::UntilTurn,
        FactIs::UntilAscent => PictureFactIs::UntilAscent,
        FactIs::AskedDepth => PictureFactIs::AskedDepth,
        FactIs::LeftAtFirst => PictureFactIs::LeftAtFirst,
        FactIs::LeftAtLast => PictureFactIs::LeftAtLast,
        FactIs::NoLimitAtFirst => PictureFactIs::NoLimitAtFirst,
        FactIs::NoLimitAtLast => PictureFactIs::NoLimitAtLast,
        FactIs::DrawnUpTo => PictureFactIs::DrawnUpTo,
        FactIs::SkillsMet => PictureFactIs::SkillsMet,
        FactIs::SkillsRequired => PictureFactIs::SkillsRequired,
    }
}

/// Writes the picture as a sheet and shows it; says where it is, or why there is none.
fn print(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<PictureDoor>();
    let Some(of) = shell.route().picture else {
        return;
    };
    match papers::picture(shell, &door.get_about(), of) {
        Ok(Some(path)) => {
            let said = path.display().to_string();
            door.set_done(ui.global::<CourseWords>().invoke_written(said.into()));
            door.set_refused("".into());
            door.set_written(true);
            shell.kept::<Kept>().paper.replace(Some(path));
        }
        // What it was drawn from was taken back meanwhile: that is said in its place.
        Ok(None) => shell.show_again(),
        Err(fault) => door.set_refused(words::fault(&ui, &fault)),
    }
}
