//! Finding what a person named: by id, by name, or by the beginning of it.

use std::path::Path;

use tallywater_bindings::{CourseRow, Fault, SessionCard, StudentName, Tallywater, Who};

/// The courses that are on this device.
pub(super) fn courses(desk: &Tallywater) -> Result<Vec<CourseRow>, Fault> {
    let here = desk.ledgers()?;
    let mut rows = desk.course_list(None)?.rows;
    rows.retain(|row| here.iter().any(|ledger| ledger.ends_with(&row.course)));
    Ok(rows)
}

/// A course by id or by the beginning of its title; the only one here if none is named.
pub(super) fn course(desk: &Tallywater, asked: Option<&str>) -> Result<CourseRow, Fault> {
    let rows = courses(desk)?;
    match asked {
        Some(asked) => one("course", asked, rows, |row| [&row.course, &row.title]),
        None if rows.len() > 1 => Err(refused("course_not_named", "course", None)),
        None => rows.into_iter().next().ok_or_else(|| missing("course", "")),
    }
}

/// A student of a course.
pub(super) fn student(desk: &Tallywater, course: &str, asked: &str) -> Result<StudentName, Fault> {
    let rows = desk.records(course.to_owned())?.rows;
    let names = rows.into_iter().map(|row| row.name).collect();
    one("student", asked, names, |name: &StudentName| {
        [&name.student, &name.name, &name.short]
    })
}

/// A session of a course, by id or by the beginning of its title.
pub(super) fn session(desk: &Tallywater, course: &str, asked: &str) -> Result<SessionCard, Fault> {
    let rows = desk.session_list(course.to_owned())?.rows;
    one("session", asked, rows, |row| [&row.session, &row.title])
}

/// A diver: a student of the course, or one of its staff.
pub(super) fn diver(desk: &Tallywater, course: &CourseRow, asked: &str) -> Result<Who, Fault> {
    match student(desk, &course.course, asked) {
        Ok(name) => Ok(Who::Student {
            student: name.student,
        }),
        Err(Fault::NotFound { .. }) => {
            let staff = course.staff.clone();
            let found = one("diver", asked, staff, |name| [&name.staff, &name.name])?;
            Ok(Who::Staff { staff: found.staff })
        }
        Err(fault) => Err(fault),
    }
}

/// Exactly this, or the one whose text begins so.
pub(super) fn one<T, const N: usize>(
    what: &str,
    asked: &str,
    rows: Vec<T>,
    texts: impl for<'a> Fn(&'a T) -> [&'a String; N],
) -> Result<T, Fault> {
    let low = asked.to_lowercase();
    let is = |row: &T| texts(row).iter().any(|text| text.to_lowercase() == low);
    let begins = |row: &T| {
        let begins = |text: &&String| text.to_lowercase().starts_with(&low);
        texts(row).iter().any(begins)
    };
    let (exact, rest): (Vec<T>, Vec<T>) = rows.into_iter().partition(is);
    let mut found = if exact.is_empty() {
        rest.into_iter().filter(begins).collect()
    } else {
        exact
    };
    match (found.pop(), found.is_empty()) {
        (Some(found), true) => Ok(found),
        (Some(_), false) => Err(refused("not_unique", what, Some(asked))),
        (None, _) => Err(missing(what, asked)),
    }
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
