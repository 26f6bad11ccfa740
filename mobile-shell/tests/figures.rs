//! Figures say what they are: a label that names a quantity stands on a figure of that quantity,
//! on every calculator, in both languages.

use slint::{ComponentHandle, Model as _};
use tallywater::shell::Route;
use tallywater::ui::{CalcDoor, Faults, FieldRow, MoreDoor, Screen};

use crate::support::{Stage, roomy, seen, settle};

fn place(door: &CalcDoor<'_>, id: &str) -> i32 {
    let fields = door.get_fields();
    let place = fields.iter().position(|field| field.id == id);
    i32::try_from(place.unwrap_or_else(|| panic!("no field {id}"))).unwrap()
}

fn field(door: &CalcDoor<'_>, id: &str) -> Option<FieldRow> {
    door.get_fields().iter().find(|field| field.id == id)
}

/// Types into a field, as a finger on the pad does.
fn type_in(door: &CalcDoor<'_>, id: &str, text: &str) {
    door.invoke_edit(place(door, id));
    for key in text.chars() {
        door.invoke_key(key.to_string().into());
    }
    door.invoke_done();
    settle();
}

fn choose(door: &CalcDoor<'_>, calculator: &str) {
    door.invoke_choose(calculator.into());
    settle();
}

const ALL: [&str; 21] = [
    "NoStopLimit",
    "RepetitiveDive",
    "BeforeFlying",
    "MinimumReserve",
    "TurnPressure",
    "SurfaceRate",
    "LeadStart",
    "LeadChange",
    "DropWeights",
    "Supervision",
    "CylinderContents",
    "CylinderBuoyancy",
    "SuitBuoyancy",
    "PressureAtDepth",
    "DepthAtPressure",
    "WaterDensity",
    "DensityBySalinity",
    "AirAtAltitude",
    "AltitudeByAir",
    "ShareMet",
    "Agreement",
];

/// What a label that begins so may stand on.
const NAMED: [(&[&str], &[&str]); 5] = [
    (&["Depth", "Tiefe"], &["m", "ft"]),
    (
        &["Pressure", "Druck", "Cylinder pressure", "Flaschendruck"],
        &["bar", "psi"],
    ),
    (
        &[
            "Temperature",
            "Temperatur",
            "Water temperature",
            "Gas temperature",
        ],
        &["°C", "°F"],
    ),
    (&["Weight", "Blei", "Lead"], &["kg", "lb"]),
    (
        &["Time", "Dauer", "Surface interval", "Bottom time"],
        &["min"],
    ),
];

#[test]
fn a_label_that_names_a_quantity_stands_on_a_figure_of_that_quantity() {
    roomy(|| {
        let stage = Stage::new(1280, 800);
        stage.open(Route::to(Screen::Calculators));
        let door = stage.app.global::<CalcDoor>();
        for language in ["en", "de"] {
            slint::select_bundled_translation(language).unwrap();
            for calculator in ALL {
                choose(&door, calculator);
                let fields = door.get_fields();
                let fields = fields.iter().filter(|one| one.choices.row_count() == 0);
                let fields = fields.map(|one| (one.name, one.unit));
                let answers = door.get_answers();
                let answers = answers.iter().filter(|one| !one.text.is_empty());
                for (name, unit) in fields.chain(answers.map(|one| (one.name, one.unit))) {
                    for (words, units) in NAMED {
                        if words.iter().any(|word| name.starts_with(word)) {
                            let fits = units.contains(&unit.as_str());
                            assert!(fits, "{calculator}: {name:?} stands on {unit:?}");
                        }
                    }
                }
            }
        }
        slint::select_bundled_translation("en").unwrap();
    });
}

#[test]
fn weight_worn_too_much_is_called_too_much_and_not_what_is_worn() {
    roomy(|| {
        let stage = Stage::new(1280, 800);
        stage.open(Route::to(Screen::Calculators));
        let door = stage.app.global::<CalcDoor>();
        choose(&door, "LeadChange");
        if field(&door, "body_mass").is_some_and(|one| one.text.is_empty()) {
            type_in(&door, "body_height", "175");
            type_in(&door, "body_mass", "75");
        }
        type_in(&door, "worn_lead", "20");
        let answers: Vec<_> = door.get_answers().iter().collect();
        let high: f64 = answers[2].text.parse().unwrap();
        let excess = format!("{:.1}", 20.0 - high);
        let worn = answers
            .iter()
            .find(|one| one.text == excess.as_str())
            .unwrap();
        assert!(
            worn.name.contains("too much"),
            "{excess} kg is {:?}",
            worn.name
        );
    });
}

#[test]
fn a_refusal_says_on_screen_what_it_says_in_the_core() {
    roomy(|| {
        let stage = Stage::new(1280, 800);
        let words = stage.app.global::<Faults>();
        let said = words.invoke_refused("not_measured".into(), "".into(), "".into(), "".into());
        // The core: "{skill} has no such figure to measure".
        assert!(said.contains("no such figure"), "{said}");
    });
}

#[test]
fn weight_after_a_change_asks_for_both_suits() {
    roomy(|| {
        let stage = Stage::new(1280, 800);
        stage.open(Route::to(Screen::Calculators));
        let door = stage.app.global::<CalcDoor>();
        choose(&door, "LeadChange");
        for key in [
            "checked_suit_kind",
            "checked_suit_thickness",
            "checked_suit_age",
        ] {
            assert!(field(&door, key).is_some(), "{key} is not asked");
        }
    });
}

#[test]
fn no_weight_is_shown_for_a_body_that_nobody_typed() {
    roomy(|| {
        let stage = Stage::demo(1280, 800);
        let course = stage.hand(Screen::Dives).course.unwrap();
        let water = seen(stage.desk().water(course, None));
        let none = water.leads.iter().find(|one| one.last.is_none()).unwrap();
        let route = stage.hand(Screen::Calculators);
        stage.open(route.student(none.student.student.to_string()));
        let door = stage.app.global::<CalcDoor>();
        assert_eq!(door.get_open(), "LeadStart");
        assert_eq!(field(&door, "body_height").unwrap().text, "");
        assert_eq!(field(&door, "body_mass").unwrap().text, "");
        assert_eq!(
            door.get_answers().row_count(),
            0,
            "a figure from nobody's body"
        );
        stage.save("weight-nobody");
    });
}

#[test]
fn height_and_weight_are_typed_once_and_kept_with_the_student() {
    roomy(|| {
        let stage = Stage::demo(1280, 800);
        let course = stage.hand(Screen::Dives).course.unwrap();
        let water = seen(stage.desk().water(course.clone(), None));
        let none = water
            .leads
            .iter()
            .find(|one| one.last.is_none() && one.age.is_none_or(|age| age >= 18));
        let student = none.unwrap().student.student.to_string();
        let route = || stage.hand(Screen::Calculators).student(student.clone());
        stage.open(route());
        let door = stage.app.global::<CalcDoor>();
        if field(&door, "age").unwrap().text.is_empty() {
            type_in(&door, "age", "31");
        }
        println!("## Beyond the source's range, with the range named");
        type_in(&door, "body_height", "130");
        type_in(&door, "body_mass", "40");
        let fault = field(&door, "body_height").unwrap().fault;
        assert!(fault.contains("145") && fault.contains("195"), "{fault}");
        assert_eq!(door.get_answers().row_count(), 0);
        assert!(!door.get_keeps());
        type_in(&door, "body_height", "168.5");
        type_in(&door, "body_mass", "61.5");
        assert!(door.get_answers().row_count() > 2);
        assert!(door.get_keeps());
        stage.save("weight-somebody");
        door.invoke_keep_body();
        settle();
        assert!(!door.get_keeps(), "kept already");
        println!("## Somebody else in between, and it is still there");
        choose(&door, "TurnPressure");
        stage.open(route());
        assert_eq!(field(&door, "body_height").unwrap().text, "168.5");
        assert_eq!(field(&door, "body_mass").unwrap().text, "61.5");
        for (height, mass) in [("0", "60"), ("168", "-3"), ("x", "60"), ("168", "900")] {
            let refused =
                stage
                    .desk()
                    .keep_body(course.clone(), student.clone(), height.into(), mass.into());
            assert!(refused.is_err(), "{height} {mass}");
        }
    });
}

#[test]
fn a_child_is_refused_an_adults_estimate_with_the_range_named() {
    roomy(|| {
        let stage = Stage::new(1280, 800);
        stage.open(Route::to(Screen::Calculators));
        let door = stage.app.global::<CalcDoor>();
        choose(&door, "LeadStart");
        type_in(&door, "body_height", "150");
        type_in(&door, "body_mass", "45");
        type_in(&door, "age", "12");
        let fault = field(&door, "age").unwrap().fault;
        assert!(fault.contains("18") && fault.contains("70"), "{fault}");
        assert_eq!(door.get_answers().row_count(), 0);
    });
}

#[test]
fn every_figure_is_listed_with_its_source_and_its_standing() {
    roomy(|| {
        let stage = Stage::new(390, 844);
        stage.open(Route::to(Screen::Figures));
        let figures = stage
            .app
            .global::<tallywater::ui::FiguresDoor>()
            .get_figures();
        assert_eq!(
            figures.row_count(),
            tallywater_bindings::figure_sources().len()
        );
        assert!(figures.iter().all(|one| one.lines.row_count() >= 2));
        // What rests on memory or an estimate does not stand as published.
        assert!(figures.iter().any(|one| one.standing == 0));
        assert!(figures.iter().filter(|one| one.standing > 1).count() >= 5);
        assert_eq!(figures.iter().filter(|one| one.table_due).count(), 2);
        stage.save("figures");
    });
}

/// Where the table lies that a person reads.
const TABLE: &str = concat!(
    env!("CARGO_MANIFEST_DIR"),
    "/../fixtures/labels/calculators.txt"
);

/// One calculator as it is drawn: what is asked and what is answered, each with label, value
/// and unit.
fn drawn(door: &CalcDoor<'_>, calculator: &str, lines: &mut Vec<String>) {
    choose(door, calculator);
    for (id, typed) in [("age", "30"), ("body_height", "175"), ("body_mass", "75")] {
        if field(door, id).is_some_and(|one| one.text.is_empty()) {
            type_in(door, id, typed);
        }
    }
    lines.push(String::new());
    lines.push(format!("{calculator}: {}", door.get_name()));
    for one in door.get_fields().iter() {
        let chosen = usize::try_from(one.chosen).ok();
        let value = match chosen.and_then(|place| one.choices.row_data(place)) {
            Some(choice) => choice,
            None => one.text,
        };
        lines.push(format!("  asked     {} = {value} {}", one.name, one.unit));
    }
    for one in door.get_answers().iter() {
        let headline = if one.main { "ANSWER  " } else { "answered" };
        let note = if one.note.is_empty() {
            String::new()
        } else {
            format!(" ({})", one.note)
        };
        lines.push(format!(
            "  {headline}  {} = {} {}{note}",
            one.name, one.text, one.unit
        ));
    }
    lines.push(format!("  source    {}", door.get_source()));
}

#[test]
fn label_unit_and_value_of_every_calculator_stand_as_in_the_table_that_was_read() {
    roomy(|| {
        let mut lines = vec![
            "# Every calculator with the figures it opens with: label, value and unit, as drawn."
                .to_owned(),
            "# Read it line by line when it changes; the test only says that it changed."
                .to_owned(),
        ];
        for (language, units) in [("en", 0), ("en", 1), ("de", 0)] {
            let stage = Stage::new(1280, 800);
            slint::select_bundled_translation(language).unwrap();
            stage.app.global::<MoreDoor>().invoke_set_units(units);
            stage.open(Route::to(Screen::Calculators));
            let door = stage.app.global::<CalcDoor>();
            let called = if units == 0 { "metric" } else { "imperial" };
            lines.push(String::new());
            lines.push(format!("== {language}, {called}"));
            for calculator in ALL {
                drawn(&door, calculator, &mut lines);
            }
        }
        slint::select_bundled_translation("en").unwrap();
        let now = lines
            .iter()
            .map(|line| format!("{}\n", line.trim_end()))
            .collect::<String>();
        let read = std::fs::read_to_string(TABLE).unwrap_or_default();
        if now != read {
            let fresh = std::env::temp_dir().join("tallywater-calculators.txt");
            std::fs::write(&fresh, &now).unwrap();
            let differs = now.lines().zip(read.lines()).find(|(a, b)| a != b);
            panic!(
                "first difference {differs:?}; the whole stands in {}",
                fresh.display()
            );
        }
    });
}
