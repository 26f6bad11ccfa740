//! Cast: the invented people of the demo school, from `fixtures/school/school.json`.

use serde::Deserialize;

use crate::course::{EmergencyContact, EmergencyPlan, Role, Site};

/// Everyone and everything that has a name.
#[derive(Deserialize)]
pub(super) struct Cast {
    pub(super) shop: String,
    pub(super) office: String,
    pub(super) pool: String,
    pub(super) lake: String,
    pub(super) sites: Vec<CastSite>,
    pub(super) staff: Vec<CastStaff>,
    pub(super) running: CastCourse,
    pub(super) weekend: CastCourse,
    pub(super) finished: CastCourse,
    pub(super) to_come: CastCourse,
}

/// A site and what is done there in an emergency.
#[derive(Deserialize)]
pub(super) struct CastSite {
    pub(super) details: Site,
    pub(super) plan: EmergencyPlan,
}

/// A member of staff, with the folder of the device.
#[derive(Deserialize)]
pub(super) struct CastStaff {
    pub(super) name: String,
    pub(super) role: Role,
    pub(super) folder: String,
}

/// A course and who is in it.
#[derive(Deserialize)]
pub(super) struct CastCourse {
    pub(super) title: String,
    pub(super) students: Vec<CastStudent>,
}

/// A student.
#[derive(Deserialize)]
pub(super) struct CastStudent {
    pub(super) name: String,
    #[serde(default)]
    pub(super) called: Option<String>,
    #[serde(default)]
    pub(super) contact: Option<String>,
    pub(super) emergency: EmergencyContact,
    #[serde(default)]
    pub(super) born_years_ago: Option<i32>,
    #[serde(default)]
    pub(super) referred_from: Option<String>,
}

/// Reads the cast.
pub(super) fn cast() -> Result<Cast, serde_json::Error> {
    serde_json::from_str(include_str!("../../../fixtures/school/school.json"))
}

#[cfg(test)]
mod tests {
    #[test]
    fn the_cast_can_be_read_and_has_its_eight_students() {
        let cast = super::cast().unwrap();
        assert_eq!(cast.running.students.len(), 8);
        assert_eq!(cast.staff.len(), 4);
        for (site, name) in cast.sites.iter().zip([&cast.pool, &cast.lake]) {
            assert!(site.details.is_called(name), "{name}");
        }
        for course in [&cast.running, &cast.weekend, &cast.finished, &cast.to_come] {
            for student in &course.students {
                let number = &student.emergency.reach;
                // The range that the United Kingdom's regulator keeps free for drama.
                assert!(number.starts_with("01632 960"), "{number}");
            }
        }
    }
}
