//! The season by touches, on a device that began empty: an order that was run six times is
//! proposed, asked about, and stands in the school's outline; nothing before that.

use std::thread;
use std::time::Duration;

use slint::{ComponentHandle, Model as _};
use tallywater::ui::{Load, Screen, SeasonDoor};
use tallywater_bindings::{
    Again, Mark, MarkTap, Origin, OutlineFrom, PersonDetails, Request, Role, Scope, StaffRole,
};

use crate::hands::{By, Desktop, Hands};
use crate::support::{Stage, roomy, seen, settle};

fn made(stage: &Stage, request: Request) -> String {
    seen(stage.desk().record(request)).made.unwrap()
}

/// Six sessions of a block that are on now, in each of which its second skill is marked first.
fn six_sessions(stage: &Stage) {
    let desk = stage.desk();
    let me = seen(desk.start_alone("Grebe Hollow".into(), "Renate Solheim".into()));
    let course = made(
        stage,
        Request::OpenCourse {
            place: None,
            outline: OutlineFrom::School,
            title: "First dives".into(),
            starts: seen(desk.day(None, 0)).date.to_string(),
            staff: vec![StaffRole {
                staff: me,
                role: Role::Instructor,
            }],
        },
    );
    let details = PersonDetails {
        name: "Thora Sandsdottir".into(),
        called: None,
        born: None,
        adult: None,
        contact: None,
        emergency: None,
        body: None,
        sizes: None,
    };
    let student = made(
        stage,
        Request::Enrol {
            course: course.clone(),
            details,
            referred_from: None,
        },
    );
    for _ in 0..6 {
        let mut plan = seen(desk.draft_session(course.clone(), Some("pool-1".into())));
        plan.starts = seen(desk.moment(None, 0)).at.to_rfc3339();
        plan.site = "Hollow Lane pool".into();
        let session = made(
            stage,
            Request::PlanSession {
                course: course.clone(),
                session: None,
                plan,
            },
        );
        for skill in ["float-10", "swim-200"] {
            let on = seen(desk.on_screen(course.clone(), student.clone(), skill.into()));
            seen(desk.record(Request::Mark {
                tap: MarkTap {
                    on,
                    mark: Mark::Met,
                    method: None,
                    measured: Vec::new(),
                    slips: Vec::new(),
                    note: None,
                    despite: None,
                    session: Some(session.clone()),
                    origin: Origin::Live,
                    again: Again::AnotherTry,
                },
            }));
        }
    }
}

/// Until the season has been looked at on its own thread.
fn looked_at(hands: &Hands, proposals: usize) {
    let door = hands.stage.app.global::<SeasonDoor>();
    for _ in 0..600 {
        hands.stage.shell.take_news();
        settle();
        if door.get_load() == Load::Ready && door.get_proposals().row_count() == proposals {
            return;
        }
        thread::sleep(Duration::from_millis(50));
    }
    panic!("{proposals} proposals did not come");
}

fn pool(hands: &Hands) -> Vec<String> {
    let outline = seen(hands.stage.desk().outline(Scope::Shop)).outline;
    let mut blocks = outline.blocks.into_iter();
    blocks.find(|one| one.id == "pool-1").unwrap().run_list
}

fn played(by: By, language: &'static str, (width, height): (u32, u32)) {
    let stage = Stage::new(width, height);
    six_sessions(&stage);
    stage.shell.stand_behind(stage.desk());
    settle();
    let mut hands = Hands::on(stage, Desktop::new(), by);
    if language == "de" {
        slint::select_bundled_translation("de").unwrap();
        hands.speaks("de");
    }
    let before = pool(&hands);
    assert_eq!(before[..2], ["swim-200", "float-10"]);
    hands.press("More");
    hands.press_row("Season");
    assert_eq!(hands.stage.shell.route().screen, Screen::Season);
    looked_at(&hands, 1);
    let why = hands
        .say("So it was run {0} of {1} times ({2} to {3} %)")
        .replace("{0}", "6")
        .replace("{1}", "6");
    let why = why.split(" (").next().unwrap().to_owned();
    assert!(hands.reads(|text| text.starts_with(&why)), "{why}");
    hands.stage.save(&format!("season-{language}-{width}"));
    assert_eq!(pool(&hands), before, "looking changes nothing");

    hands.press("Print the season");
    let door = hands.stage.app.global::<SeasonDoor>();
    assert_ne!(door.get_done(), "", "{}", door.get_refused());
    let sheet = hands.desktop.shown.take().unwrap();
    assert!(std::fs::read(sheet).unwrap().starts_with(b"%PDF"));

    let label = format!("{}: ", hands.say("Take it over"));
    hands.press_like("the proposal", |said| said.starts_with(&label));
    hands
        .stage
        .save(&format!("season-asked-{language}-{width}"));
    assert_eq!(pool(&hands), before, "it is asked about first");
    hands.press("Take it over");
    let after = pool(&hands);
    assert_eq!(after[..2], ["float-10", "swim-200"]);
    assert_eq!(after[2..], before[2..]);
    looked_at(&hands, 0);
    let nothing = hands.say("Nothing is proposed.");
    assert!(hands.reads(|text| text == nothing));
}

#[test]
fn an_order_is_taken_over_by_touches_on_a_phone() {
    roomy(|| played(By::Touch, "en", (390, 844)));
}

#[test]
fn an_order_is_taken_over_by_touches_on_a_tablet_in_german() {
    roomy(|| played(By::Touch, "de", (1280, 800)));
}
