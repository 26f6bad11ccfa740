//! What screens show, over the sample course.

mod board;
mod chart;
mod draft;
mod ends;
mod figure;
mod gate;
mod incident;
mod lost_day;
mod people;
mod pool;
mod reckoned;
mod season;
mod shared;
mod sheet;
mod shop;
mod teams;
mod today;

use chrono::{DateTime, FixedOffset};

use super::{People, Reader, Units};
use crate::course::PersonDetails;
use crate::entry::{Authority, DeviceKey, Writer};
use crate::standing::ShopStanding;
use crate::standing::sample::{ODD, OFFICE, PELLE, RENATE, student, time};
use crate::trust::TrustBook;

/// Everything a reader knows beside the course.
pub(super) struct Eyes {
    pub(super) shop: ShopStanding,
    pub(super) people: People,
    pub(super) trust: TrustBook,
    pub(super) now: DateTime<FixedOffset>,
    pub(super) units: Units,
}

impl Eyes {
    /// Names of students 1 to 3, of all staff, on the morning of session 1.
    pub(super) fn new() -> Self {
        let mut people = People::default();
        for (n, name, born) in [
            (1, "Ottilie Brandvoll", Some("1990-05-05")),
            (2, "Émile Aasen", Some("2009-03-01")),
            (3, "Zofia Kern", None),
        ] {
            people.students.insert(student(n), named(name, born));
        }
        for (who, name) in [
            (RENATE, "Renate Solberg"),
            (ODD, "Odd Lien"),
            (PELLE, "Pelle Strand"),
            (OFFICE, "Mill Pond Divers"),
        ] {
            people.staff.insert(who.staff, name.to_owned());
        }
        Self {
            shop: ShopStanding::default(),
            people,
            trust: TrustBook::new(DeviceKey([0; 32])),
            now: time("2026-06-02T09:00:00+02:00"),
            units: Units::Metric,
        }
    }

    pub(super) fn at(mut self, now: &str) -> Self {
        self.now = time(now);
        self
    }

    pub(super) fn reader(&self, writer: Writer) -> Reader<'_> {
        Reader {
            shop: &self.shop,
            trust: &self.trust,
            people: &self.people,
            authority: Authority::new(Some(writer), None),
            device: DeviceKey([9; 32]),
            now: self.now,
            units: self.units,
            courses: &[],
        }
    }
}

pub(super) fn named(name: &str, born: Option<&str>) -> PersonDetails {
    PersonDetails {
        name: name.to_owned(),
        called: None,
        born: born.map(|day| day.parse().unwrap()),
        adult: None,
        contact: None,
        emergency: None,
        body: None,
        sizes: None,
    }
}
