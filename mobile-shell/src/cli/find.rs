//! Finding what a person named: by id, by name, or by the beginning of a name or of a part of
//! it, with or without accents. Where several fit, none is taken.

use std::path::Path;

use icu_normalizer::DecomposingNormalizerBorrowed;
use tallywater_bindings::{
    CourseRow, DeviceRow, Fault, KeptWhat, SessionCard, StaffName, StudentName, Tallywater, Who,
};

/// How many of those that fit are named.
const NAMED: usize = 12;
/// The fewest signs of an id's end that are taken for it.
const END: usize = 6;

/// The courses that are on this device.
pub(super) fn courses(desk: &Tallywater) -> Result<Vec<CourseRow>, Fault> {
    let here = desk.ledgers()?;
    let mut rows = desk.course_list(None)?.rows;
    rows.retain(|row| {
        here.iter()
            .any(|ledger| ledger.ends_with(&row.course.to_string()))
    });
    Ok(rows)
}

/// A course by id or by the beginning of its title; the only one here if none is named.
pub(super) fn course(desk: &Tallywater, asked: Option<&str>) -> Result<CourseRow, Fault> {
    let mut rows = courses(desk)?;
    match asked {
        Some(asked) => one("course", asked, rows, |row| (&row.course, vec![&row.title])),
        None if rows.len() > 1 => {
            let ids: Vec<String> = rows.iter().map(|row| row.course.to_string()).collect();
            Err(several("course_not_named", "course", &ids))
        }
        None => rows.pop().ok_or_else(|| missing("course", "")),
    }
}

/// The students of a course, by name.
pub(super) fn students(desk: &Tallywater, course: &str) -> Result<Vec<StudentName>, Fault> {
    let rows = desk.records(course.to_owned())?.rows;
    Ok(rows.into_iter().map(|row| row.name).collect())
}

/// A student of a course.
pub(super) fn student(desk: &Tallywater, course: &str, asked: &str) -> Result<StudentName, Fault> {
    let names = students(desk, course)?;
    one("student", asked, names, |name| {
        (&name.student, vec![&name.name, &name.short])
    })
}

/// The id of a student, where one was named.
pub(super) fn student_id(
    desk: &Tallywater,
    course: &str,
    asked: Option<&String>,
) -> Result<Option<String>, Fault> {
    let found = asked.map(|asked| student(desk, course, asked));
    Ok(found.transpose()?.map(|name| name.student.to_string()))
}

/// A person whose details are on this device, in whatever course.
pub(super) fn person(desk: &Tallywater, asked: &str) -> Result<String, Fault> {
    let mut people = Vec::new();
    for line in desk.kept()? {
        if let KeptWhat::Person(student) = line.row.what {
            people.push((student.to_string(), line.row.name.unwrap_or_default()));
        }
    }
    let (student, _) = one("student", asked, people, |(id, name)| (id, vec![name]))?;
    Ok(student)
}

/// A session of a course, by id or by the beginning of its title.
pub(super) fn session(desk: &Tallywater, course: &str, asked: &str) -> Result<SessionCard, Fault> {
    let rows = desk.session_list(course.to_owned())?.rows;
    one("session", asked, rows, |row| {
        (&row.session, vec![&row.title])
    })
}

/// The id of a session, where one was named.
pub(super) fn session_id(
    desk: &Tallywater,
    course: &str,
    asked: Option<&String>,
) -> Result<Option<String>, Fault> {
    let found = asked.map(|asked| session(desk, course, asked));
    Ok(found.transpose()?.map(|card| card.session.to_string()))
}

/// A member of the shop's staff.
pub(super) fn staff(desk: &Tallywater, asked: &str) -> Result<StaffName, Fault> {
    let rows = desk.staff()?.staff;
    let names = rows.into_iter().map(|row| row.name).collect();
    one("staff", asked, names, |name: &StaffName| {
        (&name.staff, vec![&name.name])
    })
}

/// A device of the shop, by its key, the key's first digits, or its name.
pub(super) fn device(desk: &Tallywater, asked: &str) -> Result<DeviceRow, Fault> {
    let rows = desk.staff()?.devices.into_iter();
    let rows = rows.map(|row| (row.key.to_string(), row)).collect();
    let (_, row) = one("device", asked, rows, |(key, row): &(String, DeviceRow)| {
        (key, vec![&row.name, &row.fingerprint, key])
    })?;
    Ok(row)
}

/// A skill of a course's outline: by id, or by the beginning of its name.
pub(super) fn skill(desk: &Tallywater, course: &str, asked: &str) -> Result<String, Fault> {
    let scope = tallywater_bindings::Scope::Course {
        course: course.to_owned(),
    };
    let cards = desk.outline(scope)?.skills.into_iter();
    let names = cards
        .map(|row| (row.card.skill.to_string(), row.card.name))
        .collect();
    let (skill, _) = one("skill", asked, names, |(id, name)| (id, vec![id, name]))?;
    Ok(skill)
}

/// A diver: a student of the course, or one of its staff.
pub(super) fn diver(desk: &Tallywater, course: &CourseRow, asked: &str) -> Result<Who, Fault> {
    let students = students(desk, &course.course.to_string())?
        .into_iter()
        .map(|name| {
            let who = Who::Student {
                student: name.student.to_string(),
            };
            (who, name.student.to_string(), vec![name.name, name.short])
        });
    let staff = course.staff.iter().map(|name| {
        let who = Who::Staff {
            staff: name.staff.to_string(),
        };
        (who, name.staff.to_string(), vec![name.name.clone()])
    });
    let all = students.chain(staff).collect();
    let (who, _, _) = one("diver", asked, all, |(_, id, names)| {
        (id, names.iter().collect())
    })?;
    Ok(who)
}

/// The one that is named: by its id or its id's end, by a name, by the beginning of a name or
/// of a word in it. What fits more exactly goes before what fits less; of several that fit
/// alike none is taken, and all are named by id.
pub(super) fn one<T, I: ToString>(
    what: &str,
    asked: &str,
    rows: Vec<T>,
    texts: impl for<'a> Fn(&'a T) -> (&'a I, Vec<&'a String>),
) -> Result<T, Fault> {
    let low = fold(asked);
    if low.is_empty() {
        return Err(missing(what, asked));
    }
    let fits = |row: &T| -> Option<u8> {
        let (id, names) = texts(row);
        let id = id.to_string();
        if id.to_lowercase() == low {
            return Some(0);
        }
        if names.iter().any(|name| **name == asked) {
            return Some(1);
        }
        let names: Vec<String> = names.into_iter().map(|name| fold(name)).collect();
        if names.contains(&low) {
            return Some(2);
        }
        let within = |name: &String| {
            name.starts_with(&low)
                || name
                    .match_indices(&low)
                    .any(|(at, _)| begins_word(name, at))
        };
        let id_fits =
            low.len() >= END && (id.to_lowercase().ends_with(&low) || id.starts_with(&low));
        (names.iter().any(within) || id_fits).then_some(3)
    };
    let mut best: Vec<T> = Vec::new();
    let mut rank = u8::MAX;
    for row in rows {
        let Some(found) = fits(&row) else { continue };
        if found < rank {
            best.clear();
            rank = found;
        }
        if found == rank {
            best.push(row);
        }
    }
    if best.len() > 1 {
        let ids: Vec<String> = best.iter().map(|row| texts(row).0.to_string()).collect();
        return Err(several("not_unique", what, &ids));
    }
    best.pop().ok_or_else(|| missing(what, asked))
}

fn begins_word(name: &str, at: usize) -> bool {
    let before = name.get(..at).and_then(|part| part.chars().next_back());
    before.is_some_and(|letter| !letter.is_alphanumeric())
}

/// A text for comparing: small letters without their accents.
pub(super) fn fold(text: &str) -> String {
    let apart = DecomposingNormalizerBorrowed::new_nfkd();
    let mut plain = String::with_capacity(text.len());
    for letter in apart
        .normalize(text.trim())
        .chars()
        .flat_map(char::to_lowercase)
    {
        match letter {
            // Combining marks: Unicode's block of them.
            '\u{300}'..='\u{36f}' => {}
            // Letters that Unicode does not take apart.
            'ł' => plain.push('l'),
            'ø' => plain.push('o'),
            'đ' | 'ð' => plain.push('d'),
            'ı' => plain.push('i'),
            'ß' => plain.push_str("ss"),
            'æ' => plain.push_str("ae"),
            'œ' => plain.push_str("oe"),
            'þ' => plain.push_str("th"),
            other => plain.push(other),
        }
    }
    plain
}

/// Several fit: how many, and which.
fn several(rule: &str, what: &str, ids: &[String]) -> Fault {
    let named: Vec<&str> = ids.iter().map(String::as_str).take(NAMED).collect();
    refused(rule, what, Some(&named.join(" "))).value(ids.len())
}

/// Something that is not here.
pub(super) fn missing(what: &str, asked: &str) -> Fault {
    Fault::NotFound {
        what: what.to_owned(),
        id: asked.to_owned(),
    }
}

/// Something the command line itself refuses.
pub(super) fn refused(rule: &str, what: &str, id: Option<&str>) -> Fault {
    let fault = Fault::rule(rule).what(what);
    match id {
        Some(id) => fault.id(id),
        None => fault,
    }
}

/// Reads a file that was named.
pub(super) fn file(path: &Path) -> Result<Vec<u8>, Fault> {
    let name = path.display().to_string();
    std::fs::read(path).map_err(|error| {
        let kind = error.kind();
        if kind == std::io::ErrorKind::NotFound {
            missing("file", &name)
        } else if kind == std::io::ErrorKind::IsADirectory {
            refused("is_a_folder", "file", Some(&name))
        } else {
            Fault::Internal {
                detail: format!("could not read {name}: {kind}"),
            }
        }
    })
}

#[cfg(test)]
mod tests {
    use super::{fold, one};
    use tallywater_bindings::Fault;

    fn found(asked: &str) -> Result<&'static str, Fault> {
        let rows = vec![
            ("0199-aa-000001".to_owned(), "Émile Vance".to_owned()),
            ("0199-aa-000002".to_owned(), "Łucja Sørby".to_owned()),
            ("0199-aa-000003".to_owned(), "First dives".to_owned()),
            (
                "0199-aa-000004".to_owned(),
                "First dives, autumn".to_owned(),
            ),
            ("0199-aa-000005".to_owned(), "Þóra Vance".to_owned()),
        ];
        let (_, name) = one("student", asked, rows, |(id, name)| (id, vec![name]))?;
        Ok(name.leak())
    }

    #[test]
    fn a_name_is_found_without_its_accents_and_by_its_surname() {
        assert_eq!(found("emile").unwrap(), "Émile Vance");
        assert_eq!(found("E\u{301}mile").unwrap(), "Émile Vance");
        assert_eq!(found("sorby").unwrap(), "Łucja Sørby");
        assert_eq!(found("thora").unwrap(), "Þóra Vance");
        assert_eq!(found("000002").unwrap(), "Łucja Sørby");
        assert_eq!(fold("  STRAßE "), "strasse");
    }

    #[test]
    fn a_whole_title_goes_before_those_that_begin_so_and_of_several_none_is_taken() {
        assert_eq!(found("First dives").unwrap(), "First dives");
        for (asked, count) in [("First d", "2"), ("vance", "2"), ("0199-a", "5")] {
            match found(asked) {
                Err(Fault::Refused {
                    rule, value, id, ..
                }) => {
                    assert_eq!(
                        (rule.as_str(), value.as_deref()),
                        ("not_unique", Some(count))
                    );
                    assert!(id.unwrap().contains("0199-aa-00000"), "{asked}");
                }
                other => panic!("{asked}: {other:?}"),
            }
        }
        assert!(matches!(found("vanc e"), Err(Fault::NotFound { .. })));
        assert!(matches!(found(""), Err(Fault::NotFound { .. })));
    }
}
