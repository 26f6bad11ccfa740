//! The demo school's kit: the shelf of a small school, with one regulator past its service and
//! one BCD that somebody brought back faulty; and what is handed out on the pool evening.

use chrono::{Days, NaiveDate};

use super::DemoError;
use super::school::{School, Telling, made};
use crate::course::{KitKind, KitPiece, PieceId, SessionId, Sizes, StudentId};
use crate::desk::Request;
use crate::entry::Who;
use crate::view::{KitIssueView, Units};

/// Kind, number and size of each piece, as they hang on the shelf.
const SHELF: [(KitKind, &str, &str); 20] = [
    (KitKind::Suit, "1", "S"),
    (KitKind::Suit, "2", "M"),
    (KitKind::Suit, "3", "L"),
    (KitKind::Boots, "1", "38"),
    (KitKind::Boots, "2", "42"),
    (KitKind::Fins, "1", "38"),
    (KitKind::Fins, "2", "42"),
    (KitKind::Bcd, "1", "S"),
    (KitKind::Bcd, FAULTY, "M"),
    (KitKind::Bcd, "3", "M"),
    (KitKind::Bcd, "4", "L"),
    (KitKind::Regulator, "1", ""),
    (KitKind::Regulator, "2", ""),
    (KitKind::Regulator, "3", ""),
    (KitKind::Regulator, OVERDUE, ""),
    (KitKind::Cylinder, "1", "12 L"),
    (KitKind::Cylinder, "2", "12 L"),
    (KitKind::Cylinder, "3", "12 L"),
    (KitKind::Cylinder, "4", "10 L"),
    (KitKind::Weights, "1", ""),
];
/// The BCD that is out of the water.
const FAULTY: &str = "2";
/// The regulator that is.
const OVERDUE: &str = "4";
/// How many of the class wear the school's kit; the others bring their own.
const LENT: usize = 3;

impl School {
    /// The kit on the shelf as the office describes it, on a day.
    pub(super) fn describe_kit(&self, today: NaiveDate) -> Result<(), DemoError> {
        let ahead = |days| today.checked_add_days(Days::new(days));
        let back = |days| today.checked_sub_days(Days::new(days));
        for (kind, number, size) in SHELF {
            let serviced = matches!(kind, KitKind::Bcd | KitKind::Regulator);
            let overdue = kind == KitKind::Regulator && number == OVERDUE;
            let (last, next) = if overdue {
                (back(377), back(12))
            } else {
                (back(120), ahead(245))
            };
            let described = self.shop.desk.record(Request::SetKit {
                piece: None,
                details: KitPiece {
                    kind,
                    number: number.into(),
                    size: size.into(),
                    serial: String::new(),
                    serviced: last.filter(|_| serviced),
                    service_due: next.filter(|_| serviced),
                    test_due: ahead(500).filter(|_| kind == KitKind::Cylinder),
                    note: String::new(),
                },
            })?;
            let piece: PieceId = made(described.made)?;
            if kind == KitKind::Bcd && number == FAULTY {
                self.shop.desk.record(Request::ReportKitFault {
                    piece,
                    what: "The inflator sticks when it is cold".into(),
                    when: None,
                })?;
            }
        }
        Ok(())
    }

    /// What the class wears, as it stands on their forms.
    pub(super) fn measure(&self, telling: &Telling) -> Result<(), DemoError> {
        for (place, student) in telling.students.iter().enumerate() {
            let (suit, foot) = [("S", "38"), ("M", "42"), ("L", "44")]
                .get(place % 3)
                .copied()
                .ok_or(DemoError::NothingMade)?;
            let mut sizes = Sizes {
                suit: suit.into(),
                boots: foot.into(),
                fins: foot.into(),
                mask: String::new(),
                bcd: suit.into(),
                own: [KitKind::Mask, KitKind::Weights].into(),
            };
            if place >= LENT {
                sizes.own = KitKind::ALL.into_iter().collect();
            }
            self.shop.desk.record(Request::SetSizes {
                course: telling.course,
                student: *student,
                sizes,
            })?;
        }
        Ok(())
    }

    /// The assistant hands out what fits, before a session.
    pub(super) fn hand_out(
        &self,
        telling: &Telling,
        session: SessionId,
        swimmers: &[StudentId],
    ) -> Result<(), DemoError> {
        let by = self.actor(telling.assistant)?;
        let list = by
            .desk
            .look_at_kit_of(&telling.course, Units::Metric, |around, course, reader| {
                KitIssueView::of(around, course, reader, &session)
            })?
            .ok_or(DemoError::NothingMade)?;
        let mut requests = Vec::new();
        for row in list.rows {
            let to = row.who.who();
            if !swimmers.iter().any(|id| to == Who::Student(*id)) {
                continue;
            }
            let fitting = row.lines.into_iter().filter_map(|line| line.proposed);
            requests.extend(fitting.map(|name| Request::IssueKit {
                course: telling.course,
                session,
                piece: name.piece,
                to,
                despite: None,
                when: None,
            }));
        }
        by.desk.record_all(requests)?;
        Ok(())
    }
}
