//! Names, known and not.

use super::{Eyes, named};
use crate::course::StudentId;
use crate::standing::sample::{PELLE, student};
use crate::view::{Known, People};

fn shorts(names: &[(u128, &str)]) -> Vec<String> {
    let mut people = People::default();
    let ids: Vec<StudentId> = names
        .iter()
        .map(|(n, name)| {
            people.students.insert(student(*n), named(name, None));
            student(*n)
        })
        .collect();
    let roster = people.roster(&ids);
    roster.into_iter().map(|name| name.short).collect()
}

#[test]
fn a_student_whose_details_are_not_here_is_called_by_the_end_of_the_id() {
    let mut people = People::default();
    let id: StudentId = "0197f3a2-0000-7000-8000-00000000c3d4".parse().unwrap();
    let name = people.name_of(&id);
    assert_eq!((name.name.as_str(), name.known), ("#c3d4", Known::NotHere));
    people.forgotten.insert(id);
    assert_eq!(people.name_of(&id).known, Known::Forgotten);
    people.students.insert(id, named("Signe Ek", None));
    assert_eq!(people.name_of(&id).name, "Signe Ek");
}

#[test]
fn names_are_as_short_as_tells_students_apart() {
    assert_eq!(
        shorts(&[(1, "Mia Brandvoll"), (2, "Nils Ek")]),
        ["Mia", "Nils"]
    );
    assert_eq!(
        shorts(&[(1, "Mia Brandvoll"), (2, "mia Ek"), (3, "Nils Ek")]),
        ["Mia B.", "mia E.", "Nils"]
    );
    assert_eq!(
        shorts(&[(1, "Mia Ek"), (2, "Mia Eriksen")]),
        ["Mia Ek", "Mia Eriksen"]
    );
    assert_eq!(
        shorts(&[(1, "Solveig"), (2, "Solveig Ek")]),
        ["Solveig", "Solveig E."]
    );
}

#[test]
fn what_someone_likes_to_be_called_comes_before_the_first_word() {
    let mut people = People::default();
    let mut details = named("Ottilie Brandvoll", None);
    details.called = Some("Otti".to_owned());
    people.students.insert(student(1), details);
    assert_eq!(people.name_of(&student(1)).short, "Otti");
}

#[test]
fn accents_sort_with_their_letters_and_any_script_is_kept() {
    assert_eq!(
        shorts(&[
            (1, "Zoë Ek"),
            (2, "Élodie Ek"),
            (3, "Ella Ek"),
            (4, "Åse Ek"),
            (5, "美咲")
        ]),
        ["Åse", "Ella", "Élodie", "Zoë", "美咲"]
    );
}

#[test]
fn two_students_of_one_name_are_both_there() {
    assert_eq!(
        shorts(&[(1, "Mia Ek"), (2, "Mia Ek")]),
        ["Mia Ek", "Mia Ek"]
    );
}

#[test]
fn a_name_does_not_reach_a_debug_text() {
    let eyes = Eyes::new();
    let shown = format!(
        "{:?} {:?} {:?}",
        eyes.people,
        eyes.people.name_of(&student(1)),
        eyes.people.staff_name(&PELLE.staff)
    );
    for part in ["Ottilie", "Brandvoll", "Pelle"] {
        assert!(!shown.contains(part), "{shown}");
    }
}
