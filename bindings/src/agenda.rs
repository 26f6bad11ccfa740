//! Agenda: the school's slots and who is away; a calendar looked at before it is taken; a lost
//! day planned anew.

use tallywater_core::course::{CourseId, SessionId};
use tallywater_core::{course, desk::paper as desk, entry, paper::agenda, view};

use crate::cross::{Asked as _, Shown as _, mirror};
use crate::{
    Fault, HeldAnew, Leave, LostAlong, LostApart, Moment, Receipt, SessionPlan, Setting, StaffName,
    StudentName, Tallywater, Who, WhoName,
};

mirror! {
    /// Hours of a pool or a site that the school may use.
    both record Slot = course::Slot {
        uid: String,
        setting: Setting,
        site: String,
        starts: String,
        minutes: u16,
        price: Option<String>,
    }

    /// A time when somebody does not come.
    both record Away = course::Away {
        uid: String,
        from: String,
        until: String,
    }

    /// Slots and absences, as a course sees them.
    shown record AgendaView = view::AgendaView {
        course: String,
        slots: Vec<SlotRow>,
        free: u32,
        away: Vec<AwayRow>,
        people: Vec<WhoName>,
        may_set: Leave,
    }

    /// A slot.
    shown record SlotRow = view::SlotRow {
        slot: Slot,
        starts: Moment,
        ends: Moment,
        held: Option<String>,
        other_course: Option<String>,
    }

    /// An absence.
    shown record AwayRow = view::AwayRow {
        who: WhoName,
        away: Away,
        from: Moment,
        until: Moment,
        whole_days: bool,
    }

    /// A lost day, planned anew.
    both record LostDayView = view::LostDayView {
        rows: Vec<LostDayRow>,
        unplaced: u32,
        free: u32,
        proven: bool,
        days_between: u16,
        dives_a_day: Option<u8>,
        may_plan: Leave,
    }

    /// One session of a lost day.
    both record LostDayRow = view::LostDayRow {
        session: String,
        title: String,
        before: Moment,
        before_site: String,
        after: Option<HeldAnew>,
        together: Option<HeldTogether>,
        along: Vec<LostAlong>,
        apart: Vec<LostApart>,
        students: Vec<StudentName>,
        staff: Vec<StaffName>,
        away: Vec<WhoName>,
    }

    /// A session of another course in whose water one of a lost day could be held.
    both record HeldTogether = view::HeldTogether {
        course_title: String,
        title: String,
        starts: Moment,
        ends: Moment,
        site: String,
        staff: Vec<StaffName>,
        students: u32,
        ceiling: Option<u32>,
        plan: SessionPlan,
    }

    /// How an event of a file stands to what is here.
    shown enum ReadIs = desk::ReadIs {
        New,
        Changed,
        Here,
        Dropped,
        LeftOut,
    }

    /// A slot of a file.
    shown record SlotRead = desk::SlotRead {
        line: u32,
        slot: Slot,
        stands: ReadIs,
    }

    /// The slots of a file; nothing has been recorded yet.
    shown record SlotsRead = desk::SlotsRead {
        rows: Vec<SlotRead>,
        faults: Vec<AgendaFault>,
    }

    /// An absence of a file.
    shown record AwayRead = desk::AwayRead {
        line: u32,
        away: Away,
        stands: ReadIs,
    }

    /// The absences of a file; nothing has been recorded yet.
    shown record AwaysRead = desk::AwaysRead {
        rows: Vec<AwayRead>,
        faults: Vec<AgendaFault>,
    }

    /// One line of a file that cannot be read.
    shown record AgendaFault = agenda::AgendaFault {
        line: u32,
        reason: AgendaReason,
    }

    /// Why a line cannot be read.
    shown enum AgendaReason = agenda::AgendaReason {
        NoCalendar,
        Unclosed,
        NoId,
        NoStart,
        NoEnd,
        BadTime,
        UnknownZone,
        EndsBeforeItBegins,
        Repeats,
        Fields,
        Quotes,
        BadSetting,
        TooMany,
    }
}

#[uniffi::export]
impl Tallywater {
    /// The school's slots from now on, what is held in them, and who is away when.
    pub fn agenda(&self, course: String) -> Result<AgendaView, Fault> {
        Ok(self.look_among(&course, view::AgendaView::of)?.shown())
    }

    /// The slots of a calendar (iCalendar) or a table (CSV) beside those that the school has.
    /// What the file does not say is held in `setting`. Each that is new, changed or dropped is
    /// taken by [`Request::SetSlot`](crate::Request::SetSlot).
    pub fn look_at_slots(&self, bytes: Vec<u8>, setting: Setting) -> Result<SlotsRead, Fault> {
        Ok(self.desk.look_at_slots(&bytes, setting)?.shown())
    }

    /// The times in such a file at which somebody is away, beside those that are known: of a
    /// student in a course, of staff in none. Each that is new, changed or dropped is taken by
    /// [`Request::SetAway`](crate::Request::SetAway).
    pub fn look_at_away(
        &self,
        course: Option<String>,
        who: Who,
        bytes: Vec<u8>,
    ) -> Result<AwaysRead, Fault> {
        let course: Option<CourseId> = course.asked()?;
        let who: entry::Who = who.asked()?;
        Ok(self
            .desk
            .look_at_away(course.as_ref(), who, &bytes)?
            .shown())
    }

    /// The day of a session that cannot be held, planned anew in free slots with the fewest
    /// changes to what people were told, no day with more dives than the course's rule allows,
    /// and at least `days_between` days from one session of a student to the next. Sessions of
    /// other courses that share the water of one go with it where a slot suits all of them.
    /// Nothing moves before it is asked for, all of it together, by
    /// [`Tallywater::accept_lost_day`].
    pub fn lost_day(
        &self,
        course: String,
        session: String,
        days_between: u16,
    ) -> Result<LostDayView, Fault> {
        let id: SessionId = session.clone().asked()?;
        let found = self.look_among(&course, |course, all, reader| {
            view::LostDayView::of(course, all, reader, id, days_between)
        })?;
        let found = found.ok_or_else(|| Fault::not_found("session", &session))?;
        Ok(found.shown())
    }

    /// Accepts a lost day of a course as it was shown: all of it is recorded, or nothing. A
    /// session moves where a slot is found, and what shares its water moves with it; it is planned
    /// anew where it can be held together with another course's, and cancelled where neither is.
    pub fn accept_lost_day(
        &self,
        course: String,
        seen: LostDayView,
        why: String,
    ) -> Result<Receipt, Fault> {
        let course: CourseId = course.asked()?;
        let seen: view::LostDayView = seen.asked()?;
        let recorded = self.desk.record_all(seen.requests(course, &why));
        let recorded = recorded.map_err(|error| self.refused(error))?;
        Ok(self.receipt(recorded))
    }
}
