//! A marked slate typed in as it is laid out on paper: by touches, and counted.

use slint::{ComponentHandle, Model as _};
use tallywater::ui::{Screen, SlateDoor};
use tallywater_bindings::Mark;

use crate::support::{roomy, seen, settle};
use crate::surface::Class;

#[test]
fn the_whole_evenings_slate_is_typed_in_under_forty_taps() {
    roomy(|| {
        let class = Class::of(9, (1280, 800));
        class.to(Screen::Slate);
        let door = class.stage.app.global::<SlateDoor>();
        assert!(door.get_dry(), "nobody is known to have been in the water");
        class.stage.save("slate-empty");
        class.tap("In, all of them");
        class.type_in("10:05");
        class.tap("Out, all of them");
        class.type_in("10:50");
        assert!(!door.get_dry());
        for head in door.get_heads().iter() {
            class.tap(&format!("{}: all, except", head.name));
        }
        // Two exceptions: one nearly, one not yet.
        let first = door.get_heads().row_data(0).unwrap().name;
        let second = door.get_heads().row_data(1).unwrap().name;
        class.tap(&format!("{}, {first}: Met", class.short(0)));
        class.tap(&format!("{}, {second}: Met", class.short(1)));
        class.tap(&format!("{}, {second}: Nearly", class.short(1)));
        class.stage.save("slate-full");
        assert_eq!(door.get_marked(), 72);
        class.tap("Record 72 marks");
        assert_eq!(door.get_fault(), "");
        println!(
            "{} taps for eight students and nine skills",
            class.taps.get()
        );
        assert!(class.taps.get() < 40, "{}", class.taps.get());
        let mut all = Vec::new();
        for skill in 0..9 {
            all.extend(class.marks(skill));
        }
        assert_eq!(
            all.iter().filter(|mark| **mark == Some(Mark::Met)).count(),
            70
        );
        assert_eq!(class.marks(0)[0], Some(Mark::Nearly));
        assert_eq!(class.marks(1)[1], Some(Mark::NotYet));
        println!("## With its own time: when they came out of this dive");
        let line = seen(class.stage.desk().attempt_sheet(
            class.course.clone(),
            class.students[0].clone(),
            class.skills[0].clone(),
            Some(class.session.clone()),
        ));
        let slate = line.history[0].from_slate.unwrap();
        assert_eq!((slate.hour, slate.minute), (10, 50));
        let count = seen(
            class
                .stage
                .desk()
                .headcount(class.course.clone(), class.session.clone()),
        );
        assert_eq!(count.out, 8);
        println!("## A second dive has times and marks of its own, and a remark");
        class.tap("In, all of them");
        class.type_in("11:10");
        class.tap("Out, all of them");
        class.type_in("11:40");
        class.tap(&format!("{}, {first}: Met before", class.short(2)));
        door.invoke_remark(class.students[2].clone().into(), "calm at last".into());
        settle();
        class.tap("Record 1 mark");
        assert_eq!(door.get_fault(), "");
        let count = seen(
            class
                .stage
                .desk()
                .headcount(class.course.clone(), class.session.clone()),
        );
        assert!(count.rows.iter().all(|row| row.dives.len() == 2));
        let line = seen(class.stage.desk().attempt_sheet(
            class.course.clone(),
            class.students[2].clone(),
            class.skills[0].clone(),
            Some(class.session.clone()),
        ));
        let slate = line.history.last().unwrap().from_slate.unwrap();
        assert_eq!((slate.hour, slate.minute), (11, 40));
        println!("## One undo takes the whole sheet back");
        class.tap("Undo");
        let count = seen(
            class
                .stage
                .desk()
                .headcount(class.course.clone(), class.session.clone()),
        );
        assert!(count.rows.iter().all(|row| row.dives.len() == 1));
    });
}

#[test]
fn the_slate_on_a_phone_is_laid_out_like_the_paper() {
    roomy(|| {
        let class = Class::of(9, (390, 844));
        class.dived(0..8);
        class.to(Screen::Slate);
        class.stage.save("slate-phone");
        class.tap("In, all of them");
        class.stage.save("slate-phone-typing");
    });
}
