//! Kit: the school's pieces, who has which, what a session still needs, and lists of kit as
//! files.

use tallywater_core::course::{SessionId, StudentId};
use tallywater_core::paper::kit_list;
use tallywater_core::{course, view};

use crate::cross::{Asked as _, Shown as _, mirror};
use crate::{
    Day, Fault, KitFaultRow, KitField, KitIssueView, KitKind, KitKindRow, KitListTaken, KitOutRow,
    KitRetiredRow, KitRowReason, KitState, KitThere, KitWrong, Leave, NamedFile, PaperSetup,
    RosterHints, StudentName, Tallywater, WeightRow,
};

mirror! {
    /// A piece of the school's kit; what nobody knows is left empty.
    both record KitPiece = course::KitPiece {
        kind: KitKind,
        number: String,
        size: String,
        serial: String,
        serviced: Option<String>,
        service_due: Option<String>,
        test_due: Option<String>,
        note: String,
    }

    /// The sizes that a person wears; empty where nobody knows.
    both private record Sizes = course::Sizes {
        suit: String,
        boots: String,
        fins: String,
        mask: String,
        bcd: String,
        own: Vec<KitKind>,
    }

    /// The school's kit.
    shown record KitView = view::KitView {
        rows: Vec<KitRow>,
        kinds: Vec<KitKindRow>,
        out: u32,
        overdue: u32,
        faulty: u32,
        elsewhere: u32,
        may_set: Leave,
        may_report: Leave,
        may_mend: Leave,
    }

    /// One piece.
    shown record KitRow = view::KitRow {
        piece: String,
        details: KitPiece,
        state: KitState,
        serviced: Option<Day>,
        service_due: Option<Day>,
        test_due: Option<Day>,
        wrong: Vec<KitWrong>,
        faults: Vec<KitFaultRow>,
        out: Vec<KitOutRow>,
        same_number: Vec<String>,
        retired: Option<KitRetiredRow>,
        care: bool,
    }

    /// The sizes that a student wears.
    shown private record SizesView = view::SizesView {
        course: String,
        name: StudentName,
        sizes: Option<Sizes>,
        weight: Option<WeightRow>,
        out: Vec<KitOutRow>,
        may_set: Leave,
    }

    /// A column's head, and what it was matched to; unmatched columns are left alone.
    shown tuple KitColumn = (String, Option<KitField>) {
        head: String,
        field: Option<KitField>,
    }

    /// A good row.
    shown record KitListRow = kit_list::KitListRow {
        line: u32,
        details: KitPiece,
        there: Option<String>,
        same: bool,
    }

    /// One bad row.
    shown record KitRowFault = kit_list::KitRowFault {
        line: u32,
        field: Option<KitField>,
        reason: KitRowReason,
    }

    /// A list of kit as it was read; nothing has been taken yet.
    shown record KitListPreview = kit_list::KitListPreview {
        encoding: String,
        delimiter: String,
        columns: Vec<KitColumn>,
        rows: Vec<KitListRow>,
        faults: Vec<KitRowFault>,
    }
}

#[uniffi::export]
impl Tallywater {
    /// The school's kit, by kind and number.
    pub fn kit(&self) -> Result<KitView, Fault> {
        let units = self.units();
        let seen = self.desk.look_at_kit(units, view::KitView::of)?;
        Ok(seen.shown())
    }

    /// The issue list of a session: what everybody has, wants and lacks.
    pub fn kit_issue(&self, course: String, session: String) -> Result<KitIssueView, Fault> {
        self.issue_list(course, session)
    }

    /// The pieces in use of a kind to choose from for a session: free ones of this size first,
    /// then the other free ones, those that ask for a reason, and those that somebody has. An
    /// empty size is any.
    pub fn kit_for(
        &self,
        course: String,
        session: String,
        kind: KitKind,
        size: String,
    ) -> Result<Vec<KitRow>, Fault> {
        let id: SessionId = session.clone().asked()?;
        let course = course.asked()?;
        let units = self.units();
        let seen = self
            .desk
            .look_at_kit_of(&course, units, |around, course, reader| {
                let now = course.sessions().get(&id)?;
                let on = now.plan.starts.date_naive();
                Some(view::KitRow::choice(around, reader, (kind, &size), on))
            })?;
        let rows = seen.ok_or_else(|| Fault::not_found("session", &session))?;
        Ok(rows.shown())
    }

    /// The sizes that a student wears, and what the student has of the school's kit.
    pub fn sizes(&self, course: String, student: String) -> Result<SizesView, Fault> {
        let id: StudentId = student.clone().asked()?;
        let course = course.asked()?;
        let units = self.units();
        let seen = self
            .desk
            .look_at_kit_of(&course, units, |around, course, reader| {
                view::SizesView::of(around, course, reader, &id)
            })?;
        let seen = seen.ok_or_else(|| Fault::not_found("student", &student))?;
        Ok(seen.shown())
    }

    /// A list of kit (CSV) as it would be taken: every bad row with its reason, every piece
    /// whose number is in use already. Nothing is recorded.
    pub fn look_at_kit_list(
        &self,
        bytes: Vec<u8>,
        hints: RosterHints,
    ) -> Result<KitListPreview, Fault> {
        let preview = self.desk.look_at_kit_list(&bytes, hints.hints()?)?;
        Ok(preview.shown())
    }

    /// Describes every piece of a list of kit, or none while one row is bad.
    pub fn take_kit_list(
        &self,
        bytes: Vec<u8>,
        hints: RosterHints,
        there: KitThere,
    ) -> Result<KitListTaken, Fault> {
        let taken = self.desk.take_kit_list(&bytes, hints.hints()?, there)?;
        Ok(taken)
    }

    /// The school's kit in use as CSV, which a list of kit is read back from.
    pub fn export_kit(&self) -> Result<NamedFile, Fault> {
        let table = self.desk.kit_table()?;
        Ok(NamedFile {
            name: table.name.file().to_owned(),
            bytes: table.csv,
        })
    }

    /// The list of the school's kit as PDF.
    pub fn print_kit_list(&self, setup: PaperSetup) -> Result<Vec<u8>, Fault> {
        let press = self.press(setup)?;
        let units = self.units();
        let (shop, seen, now) = self.desk.look_at_kit(units, |around, reader| {
            let shop = reader.shop.name().unwrap_or_default().to_owned();
            (shop, view::KitView::of(around, reader), reader.now)
        })?;
        Ok(press.kit_list(&shop, &seen, now)?)
    }

    /// The issue list of a session as PDF.
    pub fn print_issue_list(
        &self,
        course: String,
        session: String,
        setup: PaperSetup,
    ) -> Result<Vec<u8>, Fault> {
        let press = self.press(setup)?;
        let seen = self.issue_list(course, session)?;
        let units = self.units();
        let (shop, now) = self.desk.look_at_shop(units, |reader| {
            let shop = reader.shop.name().unwrap_or_default();
            (shop.to_owned(), reader.now)
        })?;
        Ok(press.issue_list(&shop, &seen, now)?)
    }
}

impl Tallywater {
    fn issue_list(&self, course: String, session: String) -> Result<KitIssueView, Fault> {
        let id: SessionId = session.clone().asked()?;
        let course = course.asked()?;
        let units = self.units();
        let seen = self
            .desk
            .look_at_kit_of(&course, units, |around, course, reader| {
                KitIssueView::of(around, course, reader, &id)
            })?;
        seen.ok_or_else(|| Fault::not_found("session", &session))
    }
}
