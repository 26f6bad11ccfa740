//! A whole group's dive in one table, from the session and its headcount; a diver's log file from
//! the screen; and the gas plan that uses what was learnt.

use slint::{ComponentHandle, Model as _};
use tallywater::shell::Route;
use tallywater::ui::{DivesDoor, FieldRow, Load, Screen};
use tallywater_bindings::{
    FigureOrigin, Passage, Place, Request, TurnRule, WaterView, Who, WhoName,
};

use crate::support::{Stage, roomy, seen, settle};

/// Fingers on the form, counted.
struct Hand<'a> {
    door: DivesDoor<'a>,
    taps: usize,
}

impl Hand<'_> {
    fn field(&self, name: &str) -> (i32, FieldRow) {
        let fields = self.door.get_fields();
        let found = fields
            .iter()
            .enumerate()
            .find(|(_, field)| field.name == name);
        let (place, field) = found.unwrap_or_else(|| panic!("no field {name}"));
        (i32::try_from(place).unwrap(), field)
    }

    fn type_in(&mut self, name: &str, text: &str) {
        self.door.invoke_edit(self.field(name).0);
        self.taps += 1;
        self.keys(text);
    }

    fn keys(&mut self, text: &str) {
        for key in text.chars() {
            self.door.invoke_key(key.to_string().into());
            self.taps += 1;
        }
        settle();
    }

    fn form(&mut self) {
        self.door.invoke_choose_form(1);
        self.taps += 1;
        settle();
    }

    fn record(&mut self) {
        self.door.invoke_record();
        self.taps += 1;
        settle();
    }
}

fn who(name: &WhoName) -> Who {
    match name {
        WhoName::Student(name) => Who::Student {
            student: name.student.to_string(),
        },
        WhoName::Staff(name) => Who::Staff {
            staff: name.staff.to_string(),
        },
    }
}

/// Everybody who is in comes out.
fn all_out(stage: &Stage, hand: &Route) -> usize {
    let (course, session) = (hand.course.clone().unwrap(), hand.session.clone().unwrap());
    let counted = seen(stage.desk().headcount(course.clone(), session.clone()));
    let wet = counted
        .rows
        .into_iter()
        .filter(|row| row.place == Place::InWater);
    let mut many = 0;
    for row in wet {
        seen(stage.desk().record(Request::Pass {
            course: course.clone(),
            session: session.clone(),
            who: who(&row.name),
            passage: Passage::Out,
            when: None,
        }));
        many += 1;
    }
    many
}

fn water(stage: &Stage, hand: &Route) -> WaterView {
    seen(stage.desk().water(hand.course.clone().unwrap(), None))
}

#[test]
fn a_whole_groups_dive_is_logged_in_eight_taps_and_the_gas_plan_learns_from_it() {
    roomy(|| {
        let stage = Stage::demo(1280, 800);
        let route = stage.hand(Screen::Dives);
        let many = all_out(&stage, &route);
        assert!(many > 4, "{many} were in");
        let before = water(&stage, &route).dives.len();
        stage.open(route.clone());
        let door = stage.app.global::<DivesDoor>();
        assert_eq!(door.get_load(), Load::Ready);
        let mut hand = Hand { door, taps: 0 };
        hand.form();
        println!("## Who went in, when and in which water stands there");
        assert_eq!(
            hand.door.get_people().iter().filter(|one| one.on).count(),
            many
        );
        assert_eq!(hand.door.get_table().row_count(), many);
        for known in ["Descended", "Surfaced", "Date: day, month, year"] {
            assert_ne!(hand.field(known).1.text, "", "{known}");
        }
        for read in [
            "Maximum depth",
            "Average depth",
            "Cylinder pressure at the end",
        ] {
            assert_eq!(hand.field(read).1.text, "", "{read} is read off a gauge");
        }
        hand.type_in("Maximum depth", "3");
        hand.type_in("Average depth", "2");
        stage.save("dives-group");
        hand.record();
        assert_eq!(hand.door.get_form_fault(), "");
        let dives = water(&stage, &route).dives;
        assert_eq!(dives.len(), before + many);
        assert!(hand.taps <= 8, "{} taps for a group of {many}", hand.taps);

        println!("## Each one's own pressures, and what is learnt from them");
        let (course, session) = (
            route.course.clone().unwrap(),
            route.session.clone().unwrap(),
        );
        let own = |stage: &Stage| {
            let gas = seen(
                stage
                    .desk()
                    .gas(course.clone(), session.clone(), TurnRule::Thirds),
            );
            let rows = gas.students.into_iter().chain(gas.staff);
            rows.filter(|row| row.rate_origin == FigureOrigin::OwnRecord)
                .count()
        };
        assert_eq!(own(&stage), 0);
        hand.form();
        // Those who went in are logged: another dive is of those that are chosen.
        let people: Vec<_> = hand.door.get_people().iter().take(2).collect();
        assert!(
            people.iter().all(|one| !one.on),
            "nobody is logged twice unasked"
        );
        for one in &people {
            hand.door.invoke_toggle(one.id.clone());
        }
        settle();
        hand.type_in("Maximum depth", "3");
        hand.type_in("Average depth", "2");
        hand.type_in("Water capacity of the cylinder", "12");
        hand.type_in("Cylinder pressure at the start", "200");
        println!("## Half a reading is refused, and nothing is logged");
        let logged = water(&stage, &route).dives.len();
        hand.record();
        assert_ne!(hand.field("Cylinder pressure at the end").1.fault, "");
        assert_eq!(water(&stage, &route).dives.len(), logged);
        for (row, end) in hand.door.get_table().iter().zip(["170", "110"]) {
            hand.door.invoke_edit(row.end_field);
            hand.keys(end);
        }
        println!("## A time that is none is refused by name, and nothing is logged");
        // A dive that overlaps the group's would be the same dive: on the day's other half.
        let (down, up) = if hand.field("Descended").1.text.as_str() < "12" {
            ("1800", "1830")
        } else {
            ("0900", "0930")
        };
        hand.type_in("Descended", "2599");
        hand.record();
        assert_ne!(hand.field("Descended").1.fault, "");
        assert_eq!(water(&stage, &route).dives.len(), logged);
        // The pad is still open on this field, and a tap there would only close it.
        hand.door.invoke_done();
        hand.type_in("Descended", down);
        hand.type_in("Surfaced", up);
        for (name, typed) in [("Descended", down), ("Surfaced", up)] {
            assert_eq!(hand.field(name).1.text, typed, "{name}");
            assert_eq!(hand.field(name).1.fault, "", "{name}");
        }
        hand.record();
        assert_eq!(hand.door.get_form_fault(), "");
        assert_eq!(hand.door.get_form(), 0, "back at the lists");
        let dives = water(&stage, &route).dives;
        assert_eq!(dives.len(), logged + 2);
        let used: Vec<String> = dives
            .iter()
            .filter_map(|dive| dive.used.as_ref())
            .map(|used| format!("{} {:?}", used.text, used.unit))
            .collect();
        assert!(
            used.contains(&"30 Bar".into()) && used.contains(&"90 Bar".into()),
            "{used:?}"
        );
        assert!(dives.iter().any(|dive| dive.consumption.is_some()));
        // 10 and 30 L/min: who breathed more than is planned by default is planned with it at
        // once; who breathed less keeps the default until there are three dives.
        assert_eq!(own(&stage), 1, "the gas plan uses the own figure");
        let gas = seen(
            stage
                .desk()
                .gas(course.clone(), session.clone(), TurnRule::Thirds),
        );
        let learnt = gas.students.iter().filter(|row| row.dives == 1).count();
        assert_eq!(learnt, 2, "both dives are known to the gas plan");
    });
}

#[test]
fn a_divers_log_file_is_looked_at_and_taken_from_the_screen() {
    roomy(|| {
        let stage = Stage::demo(390, 844);
        let route = stage.hand(Screen::Dives);
        let course = route.course.clone().unwrap();
        let folder = tempfile::TempDir::new().unwrap();
        let file = folder.path().join("dives.uddf");
        std::fs::write(&file, "not a log").unwrap();
        stage.open(route.clone());
        let door = stage.app.global::<DivesDoor>();
        door.invoke_choose_form(3);
        settle();
        door.set_file(file.display().to_string().into());
        door.invoke_look_at_file();
        assert_ne!(door.get_file_fault(), "", "nobody is chosen");
        let chip = door.get_people().row_data(0).unwrap();
        door.invoke_toggle(chip.id.clone());
        settle();
        door.invoke_look_at_file();
        let wrong = door.get_file_fault();
        assert!(wrong.contains("UDDF"), "{wrong}");

        println!("## The own export of a student who dived is read again");
        let logged = seen(stage.desk().water(course.clone(), None)).dives.len();
        let uddf = concat!(
            "<?xml version=\"1.0\" encoding=\"utf-8\"?>",
            "<uddf xmlns=\"http://www.streit.cc/uddf/3.2/\" version=\"3.2.3\">",
            "<generator><name>a dive computer</name><type>divecomputer</type></generator>",
            "<profiledata><repetitiongroup id=\"g\"><dive id=\"d\">",
            "<informationbeforedive><datetime>2026-06-06T09:00:00+02:00</datetime></informationbeforedive>",
            "<samples>",
            "<waypoint><depth>0.0</depth><divetime>0</divetime></waypoint>",
            "<waypoint><depth>9.0</depth><divetime>120</divetime></waypoint>",
            // Samples over ten minutes apart would say nothing of an ascent.
            "<waypoint><depth>8.5</depth><divetime>660</divetime></waypoint>",
            "<waypoint><depth>8.0</depth><divetime>1200</divetime></waypoint>",
            "<waypoint><depth>5.0</depth><divetime>1260</divetime></waypoint>",
            "<waypoint><depth>5.0</depth><divetime>1440</divetime></waypoint>",
            "<waypoint><depth>0.0</depth><divetime>1500</divetime></waypoint>",
            "</samples>",
            "<informationafterdive><greatestdepth>9.0</greatestdepth><averagedepth>7.5</averagedepth><diveduration>1500</diveduration></informationafterdive>",
            "</dive></repetitiongroup></profiledata></uddf>"
        );
        std::fs::write(&file, uddf).unwrap();
        door.invoke_look_at_file();
        assert_eq!(door.get_file_fault(), "");
        assert_eq!(door.get_new_in_file(), 1);
        stage.save("dives-file");
        door.invoke_take_file();
        settle();
        let dives = seen(stage.desk().water(course, None)).dives;
        assert_eq!(dives.len(), logged + 1);
        assert!(dives.iter().any(|dive| dive.climb.is_some()));
        assert_eq!(door.get_form(), 0);
    });
}
