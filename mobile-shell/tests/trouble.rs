//! What cannot be recorded is said at once, and nothing on screen shows it as saved.

use slint::ComponentHandle;
use tallywater::ui::{AppDoor, LineUpDoor, Room, Screen};
use tallywater_bindings::Columns;

use crate::support::{Stage, roomy, seen};

/// Lets the file grow no further, or grow again.
fn room(stage: &Stage, more: i64) {
    let desk = stage.desk();
    desk.desk()
        .store_for_faults(|store| store.leave_room_for_faults(more).unwrap());
}

#[test]
fn a_full_disk_says_so_and_the_mark_does_not_show_as_saved() {
    roomy(|| {
        let stage = Stage::demo(1280, 800);
        let route = stage.hand(Screen::LineUp);
        let course = route.course.clone().unwrap();
        let board = seen(stage.desk().board(
            course.clone(),
            route.session.clone(),
            Columns::Session,
        ));
        let skill = board.columns[0].skill.to_string();
        stage.open(route.clone().skill(skill.clone()));
        let door = stage.app.global::<AppDoor>();
        let line = || {
            seen(
                stage
                    .desk()
                    .line_up(course.clone(), route.session.clone(), skill.clone()),
            )
        };
        let judged = line().judged;
        let label = format!("{}: Met", line().rows[0].name.short);
        room(&stage, 0);
        let mut taps = 0;
        while door.get_notice_title().is_empty() {
            // The same mark once more would be the same press: it is taken back between.
            stage.tap(&label);
            if door.get_notice_title().is_empty() {
                stage.tap("Undo");
            }
            taps += 1;
            assert!(taps < 500, "the disk never filled");
        }
        assert_eq!(door.get_notice_title(), "This device is full");
        assert_eq!(door.get_header().room, Room::Full);
        // What the line-up draws is what is on the disk, and no more.
        let shown = stage.app.global::<LineUpDoor>().get_view().judged;
        assert_eq!(u32::try_from(shown).unwrap(), line().judged);
        stage.save("disk-full");
        room(&stage, 10_000);
        stage.tap(&label);
        assert_eq!(door.get_notice_title(), "");
        assert_ne!(door.get_told().id, "");
        assert!(line().judged >= judged);
    });
}
