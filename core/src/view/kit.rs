//! Kit: the school's pieces, what is wrong with each and who has it.

use chrono::NaiveDate;

use super::reader::{count, session_title};
use super::{Day, Leave, Moment, Reader, StaffName, WhoName};
use crate::course::{CourseId, EntryId, KitKind, KitName, KitPiece, KitWrong, PieceId, SessionId};
use crate::entry::{Kind, KitIssued, KitReturned};
use crate::standing::{Counted, CourseStanding, FaultNow};

/// The courses that this device holds in which a piece may be out, and how many running ones
/// it does not hold: what is out there is not known here.
#[derive(Debug, Clone)]
pub struct KitAround<'a> {
    /// Those that are here.
    pub courses: Vec<&'a CourseStanding>,
    /// How many running courses are not.
    pub elsewhere: u32,
}

/// The school's kit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KitView {
    /// The pieces by kind and number, those that are retired last.
    pub rows: Vec<KitRow>,
    /// The kinds that there are pieces of, in the order of the rows.
    pub kinds: Vec<KitKindRow>,
    /// How many pieces in use somebody has.
    pub out: u32,
    /// How many in use are past a date of their own.
    pub overdue: u32,
    /// How many in use are faulty.
    pub faulty: u32,
    /// How many running courses this device does not hold.
    pub elsewhere: u32,
    /// Whether the reader may describe or retire a piece.
    pub may_set: Leave,
    /// Whether the reader may report a fault.
    pub may_report: Leave,
    /// Whether the reader may say that one is mended.
    pub may_mend: Leave,
}

/// The pieces of a kind in use, or all those that are retired.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct KitKindRow {
    /// Which kind; `None` for what is retired, of whatever kind.
    pub kind: Option<KitKind>,
    /// How many pieces.
    pub pieces: u32,
    /// Whether one of them wants seeing to.
    pub care: bool,
}

/// How a piece stands: the first of these that holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum KitState {
    /// Nobody has it, and nothing is wrong with it.
    Free,
    /// Somebody has it.
    Out,
    /// It is faulty.
    Faulty,
    /// It is past a date of its own.
    Overdue,
    /// It is out of use for good.
    Retired,
}

/// One piece.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KitRow {
    /// Which.
    pub piece: PieceId,
    /// What is known of it.
    pub details: KitPiece,
    /// How it stands.
    pub state: KitState,
    /// When it was last serviced.
    pub serviced: Option<Day>,
    /// The last day before its next service.
    pub service_due: Option<Day>,
    /// The last day before its next test.
    pub test_due: Option<Day>,
    /// What is wrong with it on the day that is asked of.
    pub wrong: Vec<KitWrong>,
    /// Its faults: the open ones first, then the mended, the newest first.
    pub faults: Vec<KitFaultRow>,
    /// Who has it; several where it was issued apart.
    pub out: Vec<KitOutRow>,
    /// Other pieces in use that carry its number.
    pub same_number: Vec<PieceId>,
    /// Who took it out of use, and why.
    pub retired: Option<KitRetiredRow>,
    /// Whether it wants seeing to: in use with something wrong or with another of its number,
    /// issued twice apart, or retired while somebody has it.
    pub care: bool,
}

/// A fault of a piece.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct KitFaultRow {
    /// Its entry.
    pub entry: EntryId,
    /// What is wrong.
    pub what: String,
    /// When it was found.
    pub when: Moment,
    /// Who reported it.
    pub by: StaffName,
    /// How it was mended; `None` while it keeps the piece out.
    pub mended: Option<KitMendedRow>,
}

/// How a fault was mended.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct KitMendedRow {
    /// Its entry.
    pub entry: EntryId,
    /// How.
    pub how: String,
    /// When.
    pub when: Moment,
    /// Who says so.
    pub by: StaffName,
}

/// Why a piece is out of use.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct KitRetiredRow {
    /// Its entry.
    pub entry: EntryId,
    /// Why.
    pub why: String,
    /// On which day.
    pub on: Day,
    /// Who says so.
    pub by: StaffName,
}

/// A piece that somebody has.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct KitOutRow {
    /// The entry that issued it.
    pub entry: EntryId,
    /// In which course.
    pub course: CourseId,
    /// For which session.
    pub session: SessionId,
    /// Its title; `None` while none of its plans stands.
    pub session_title: Option<String>,
    /// Which piece.
    pub piece: KitName,
    /// Who has it.
    pub who: WhoName,
    /// Since when.
    pub since: Moment,
    /// Who issued it.
    pub by: StaffName,
    /// Why, although something was wrong with it.
    pub despite: Option<String>,
    /// What is wrong with it on the day that is asked of.
    pub wrong: Vec<KitWrong>,
    /// How many others have the same piece: it was issued apart.
    pub also: u32,
    /// Whether the reader may take it back.
    pub may_return: Leave,
}

impl KitView {
    /// The school's kit as it is today.
    pub fn of(around: &KitAround<'_>, reader: &Reader<'_>) -> Self {
        let on = reader.today();
        let mut rows: Vec<KitRow> = reader
            .shop
            .pieces()
            .filter_map(|(id, _)| KitRow::of(around, reader, &id, on))
            .collect();
        rows.sort_by_cached_key(|row| (row.retired.is_some(), row.details.place(), row.piece));
        let many = |is: &dyn Fn(&KitRow) -> bool| {
            let used = rows.iter().filter(|row| row.retired.is_none());
            count(used.filter(|row| is(row)).count())
        };
        Self {
            out: many(&|row| !row.out.is_empty()),
            overdue: many(&|row| !row.details.overdue(on).is_empty()),
            faulty: many(&|row| row.wrong.contains(&KitWrong::Faulty)),
            elsewhere: around.elsewhere,
            kinds: KitKindRow::of(&rows),
            may_set: reader.may_write(Kind::KitSet),
            may_report: reader.may_write(Kind::KitFault),
            may_mend: reader.may_write(Kind::KitMended),
            rows,
        }
    }
}

impl KitKindRow {
    /// Of rows in their order.
    fn of(rows: &[KitRow]) -> Vec<Self> {
        let mut kinds: Vec<Self> = Vec::new();
        for row in rows {
            let kind = row.retired.is_none().then_some(row.details.kind);
            match kinds.last_mut().filter(|last| last.kind == kind) {
                Some(last) => {
                    last.pieces = last.pieces.saturating_add(1);
                    last.care |= row.care;
                }
                None => kinds.push(Self {
                    kind,
                    pieces: 1,
                    care: row.care,
                }),
            }
        }
        kinds
    }
}

impl KitRow {
    /// One piece on a day; `None` for one that nobody described.
    pub fn of(
        around: &KitAround<'_>,
        reader: &Reader<'_>,
        piece: &PieceId,
        on: NaiveDate,
    ) -> Option<Self> {
        let now = reader.shop.piece(piece)?;
        let details = now.details.clone();
        let wrong = reader.shop.kit_wrong(piece, on);
        let out = KitOutRow::of_piece(around, reader, piece, on);
        let retired = now.retired.map(|(one, retired)| KitRetiredRow {
            entry: one.entry.id,
            why: retired.why.clone(),
            on: reader.day(one.entry.at.date_naive()),
            by: reader.staff(&one.entry.by),
        });
        let state = if retired.is_some() {
            KitState::Retired
        } else if !out.is_empty() {
            KitState::Out
        } else if wrong.contains(&KitWrong::Faulty) {
            KitState::Faulty
        } else if wrong.is_empty() {
            KitState::Free
        } else {
            KitState::Overdue
        };
        let mut same_number = reader.shop.pieces_numbered(details.kind, &details.number);
        same_number.retain(|other| other != piece && retired.is_none());
        let care = match retired {
            None => out.len() > 1 || !wrong.is_empty() || !same_number.is_empty(),
            Some(_) => !out.is_empty(),
        };
        let mut faults = reader.shop.kit_faults(piece);
        faults.reverse();
        faults.sort_by_key(|one| one.mended.is_some());
        let day = |given: Option<NaiveDate>| given.map(|date| reader.day(date));
        Some(Self {
            piece: *piece,
            state,
            serviced: day(details.serviced),
            service_due: day(details.service_due),
            test_due: day(details.test_due),
            wrong,
            faults: faults
                .iter()
                .map(|one| KitFaultRow::of(reader, one))
                .collect(),
            out,
            same_number,
            retired,
            care,
            details,
        })
    }

    /// The pieces in use of a kind to choose from on a day: those of this size that are free
    /// first, then the other free ones, those that ask for a reason, and those that somebody
    /// has. An empty size is any.
    pub fn choice(
        around: &KitAround<'_>,
        reader: &Reader<'_>,
        (kind, size): (KitKind, &str),
        on: NaiveDate,
    ) -> Vec<Self> {
        let of_kind = reader
            .shop
            .pieces()
            .filter(|(_, now)| now.retired.is_none() && now.details.kind == kind);
        let mut rows: Vec<Self> = of_kind
            .filter_map(|(id, _)| Self::of(around, reader, &id, on))
            .collect();
        let rank = |row: &Self| match row.state {
            KitState::Free if size.is_empty() || row.details.is_of_size(size) => 0,
            KitState::Free => 1,
            KitState::Faulty | KitState::Overdue => 2,
            KitState::Out | KitState::Retired => 3,
        };
        rows.sort_by_cached_key(|row| (rank(row), row.details.place(), row.piece));
        rows
    }
}

impl KitFaultRow {
    fn of(reader: &Reader<'_>, one: &FaultNow<'_>) -> Self {
        Self {
            entry: one.one.entry.id,
            what: one.fault.what.clone(),
            when: reader.when(one.fault.when),
            by: reader.staff(&one.one.entry.by),
            mended: one.mended.map(|(by, mended)| KitMendedRow {
                entry: by.entry.id,
                how: mended.how.clone(),
                when: reader.when(mended.when),
                by: reader.staff(&by.entry.by),
            }),
        }
    }
}

impl KitOutRow {
    /// Everybody who has a piece, in the courses that are here.
    fn of_piece(
        around: &KitAround<'_>,
        reader: &Reader<'_>,
        piece: &PieceId,
        on: NaiveDate,
    ) -> Vec<Self> {
        let courses = around.courses.iter();
        let mut rows: Vec<Self> = courses
            .flat_map(|course| {
                let held = course.piece_with(piece).into_iter();
                held.map(|(one, issued)| Self::of(around, course, reader, (one, issued), on))
            })
            .collect();
        rows.sort_by_key(|row| (row.since.at, row.entry));
        rows
    }

    /// One piece that somebody has.
    pub(super) fn of(
        around: &KitAround<'_>,
        course: &CourseStanding,
        reader: &Reader<'_>,
        (one, issued): (&Counted, &KitIssued),
        on: NaiveDate,
    ) -> Self {
        let issue = one.entry.id;
        let with = around.courses.iter();
        let with = with.map(|course| course.piece_with(&issued.piece).len());
        let returned = KitReturned {
            issue,
            when: reader.now,
        };
        Self {
            entry: issue,
            course: *course.id(),
            session: issued.session,
            session_title: session_title(course, &issued.session),
            piece: name_of(reader, &issued.piece),
            who: reader.who(&issued.to),
            since: reader.when(issued.when),
            by: reader.staff(&one.entry.by),
            despite: issued.despite.clone(),
            wrong: reader.shop.kit_wrong(&issued.piece, on),
            also: count(with.sum::<usize>().saturating_sub(1)),
            may_return: reader.may_record(course, returned),
        }
    }
}

/// What a piece is called out as; the end of its id where the shop's entries have not come.
pub(super) fn name_of(reader: &Reader<'_>, piece: &PieceId) -> KitName {
    reader.shop.piece_name(piece).unwrap_or_else(|| {
        let id = piece.to_string();
        let end = id.chars().skip(id.len().saturating_sub(4));
        KitName {
            piece: *piece,
            kind: KitKind::Other,
            number: std::iter::once('#').chain(end).collect(),
            size: String::new(),
        }
    })
}
