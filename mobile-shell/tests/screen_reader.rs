//! What a screen reader finds, through the tree that the toolkit hands to the platform: every
//! control has a name, a role and a state, nothing that a finger can press is missing from the
//! tree, and what it offers to do is done.

use std::collections::BTreeSet;

use i_slint_backend_testing::{AccessibleRole, ElementHandle, ElementQuery};
use slint::ComponentHandle;
use tallywater::picture::tour;
use tallywater::ui::{AppDoor, Screen};
use tallywater_bindings::Columns;

use crate::support::{Stage, roomy, seen, settle};

/// A phone and a tablet: the layouts differ, and with them what is in the tree.
const SIZES: [(u32, u32); 2] = [(390, 844), (1280, 800)];

/// Everything that has a role.
fn tree(stage: &Stage) -> Vec<ElementHandle> {
    ElementQuery::from_root(&stage.app)
        .match_descendants()
        .match_predicate(|one| !matches!(one.accessible_role(), None | Some(AccessibleRole::None)))
        .find_all()
}

/// What is wrong with one control, in words.
fn wrong(one: &ElementHandle) -> Vec<String> {
    let role = one.accessible_role().unwrap();
    let name = one.accessible_label().unwrap_or_default();
    let mut found = Vec::new();
    // Text without letters is an empty line; whatever is worked has to be called something.
    let silent = name.trim().is_empty();
    match role {
        AccessibleRole::Text | AccessibleRole::Image => {}
        AccessibleRole::Button => {
            if silent {
                found.push("a button without a name".to_owned());
            }
            // One that says nothing can be pressed: that is what a platform takes it for.
            if one.accessible_checkable() == Some(true) && one.accessible_checked().is_none() {
                found.push(format!("{name:?} does not say whether it is on"));
            }
        }
        AccessibleRole::TextInput => {
            if silent {
                found.push("a field without a name".to_owned());
            }
            if one.accessible_value().is_none() {
                found.push(format!("the field {name:?} does not say what is in it"));
            }
        }
        _ => {
            if silent {
                found.push(format!("a {role:?} without a name"));
            }
        }
    }
    found
}

/// Whether two elements lie on the same place of the glass.
fn same_place(one: &ElementHandle, other: &ElementHandle) -> bool {
    let (at, to) = (one.absolute_position(), other.absolute_position());
    let (size, of) = (one.size(), other.size());
    (at.x - to.x).abs() < 1.5
        && (at.y - to.y).abs() < 1.5
        && (size.width - of.width).abs() < 1.5
        && (size.height - of.height).abs() < 1.5
}

/// Places that take a finger and are in no control: none but those that cover the window.
fn unnamed(stage: &Stage, tree: &[ElementHandle]) -> usize {
    let window = stage.app.window().size();
    let whole = window.width as f32 * window.height as f32;
    ElementQuery::from_root(&stage.app)
        .match_descendants()
        .match_inherits("TouchArea")
        .find_all()
        .iter()
        .filter(|area| area.size().width * area.size().height < whole * 0.5)
        .filter(|area| !tree.iter().any(|one| same_place(area, one)))
        .count()
}

#[test]
fn every_control_of_every_screen_has_a_name_a_role_and_a_state() {
    roomy(|| {
        let (mut found, mut roles, mut controls) = (BTreeSet::new(), BTreeSet::new(), 0);
        for (width, height) in SIZES {
            for stage in [Stage::demo(width, height), Stage::shop(width, height)] {
                for stop in tour(&stage.shell) {
                    stage.go(&stop);
                    let tree = tree(&stage);
                    assert!(!tree.is_empty(), "{} says nothing at all", stop.name);
                    for one in &tree {
                        roles.insert(format!("{:?}", one.accessible_role().unwrap()));
                        controls += 1;
                        for what in wrong(one) {
                            found.insert(format!("{}: {what}", stop.name));
                        }
                    }
                    // The toolkit's own widget on this screen brings areas of its own.
                    let hidden = unnamed(&stage, &tree);
                    if hidden > 0 && stop.screen != Screen::About {
                        found.insert(format!("{}: {hidden} places without a control", stop.name));
                    }
                }
            }
        }
        assert!(found.is_empty(), "{found:#?}");
        println!("{controls} elements of {roles:?}");
        assert!(controls > 3_000, "{controls}");
        for role in ["Button", "Text", "TextInput", "Table"] {
            assert!(roles.contains(role), "nowhere a {role}: {roles:?}");
        }
    });
}

#[test]
fn a_first_start_can_be_gone_through_by_name() {
    roomy(|| {
        for (width, height) in SIZES {
            let stage = Stage::new(width, height);
            settle();
            let found: Vec<String> = tree(&stage).iter().flat_map(wrong).collect();
            assert!(found.is_empty(), "{width} x {height}: {found:#?}");
        }
    });
}

#[test]
fn what_is_chosen_is_said_and_not_only_coloured() {
    roomy(|| {
        let stage = Stage::demo(1280, 800);
        let checked = |stage: &Stage| -> Vec<String> {
            tree(stage)
                .iter()
                .filter(|one| one.accessible_checkable() == Some(true))
                .filter(|one| one.accessible_checked() == Some(true))
                .filter_map(|one| Some(one.accessible_label()?.into()))
                .collect()
        };
        // The place one is in, in the navigation.
        stage.open(stage.hand(Screen::Board));
        let on_board = checked(&stage);
        stage.open(stage.hand(Screen::Water));
        let in_water = checked(&stage);
        assert!(!on_board.is_empty() && !in_water.is_empty());
        assert_ne!(on_board, in_water);
    });
}

#[test]
fn a_screen_reader_gets_to_the_board_and_marks_without_a_finger() {
    roomy(|| {
        let stage = Stage::demo(1280, 800);
        stage.button("Board").invoke_accessible_default_action();
        settle();
        assert_eq!(stage.shell.route().screen, Screen::Board);
        let at = seen(stage.desk().at_hand()).unwrap();
        let board = seen(stage.desk().board(
            at.course.to_string(),
            at.session.map(String::from),
            Columns::Session,
        ));
        let student = board.rows[0].name.student.to_string();
        let skill = board.columns[0].skill.to_string();
        let tries = || {
            let sheet = seen(stage.desk().attempt_sheet(
                at.course.to_string(),
                student.clone(),
                skill.clone(),
                at.session.map(String::from),
            ));
            sheet.cell.tries
        };
        let before = tries();
        let route = stage.hand(Screen::Attempt);
        stage.open(route.student(student.clone()).skill(skill.clone()));
        stage
            .mark_button("Nearly")
            .unwrap()
            .invoke_accessible_default_action();
        settle();
        stage.shell.take_news();
        settle();
        assert_eq!(tries(), before + 1, "one mark, by name alone");
        // And takes it back the same way.
        assert!(stage.app.global::<AppDoor>().get_can_undo());
        let undo = stage.find(|label| label.starts_with("Undo")).unwrap();
        undo.invoke_accessible_default_action();
        settle();
        assert_eq!(tries(), before);
    });
}
