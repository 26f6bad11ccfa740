//! Words: the choices that screens and requests share. Each crosses as it is; the words to
//! show for it live in the shell.

use tallywater_core::{course, entry, standing, trust, view};

use crate::cross::mirror;

mirror! {
    /// Where a skill is shown or a session is held, from dry to deep.
    both enum Setting = course::Setting {
        Classroom,
        Surface,
        Confined,
        Open,
    }

    /// The kind of water, as far as weighting and pressure need it.
    both enum WaterKind = course::WaterKind {
        Fresh,
        Brackish,
        Salt,
    }

    /// What a device's certificate makes its holder.
    both enum Role = course::Role {
        Shop,
        Instructor,
        Assistant,
    }

    /// The families a board groups its columns by.
    both enum Family = course::Family {
        Watermanship,
        Equipment,
        EntryExit,
        Surface,
        Regulator,
        Mask,
        Buoyancy,
        Propulsion,
        DescentAscent,
        GasEmergency,
        Navigation,
        Awareness,
        Assist,
    }

    /// Whether a student shows one method of a skill or all of them.
    both enum MethodsNeeded = course::MethodsNeeded {
        Any,
        All,
    }

    /// The papers and tests that gate water and completion.
    both enum ClearanceKind = course::ClearanceKind {
        Health,
        Physician,
        Consent,
        Swim,
        Float,
        Theory,
    }

    /// What a clearance must be there for.
    both enum Gate = course::Gate {
        Water,
        OpenWater,
        Completion,
    }

    /// Records that are kept for different times.
    both enum RecordClass = course::RecordClass {
        Details,
        Training,
        Incident,
    }

    /// What a session can be besides its setting.
    both enum Condition = course::Condition {
        Night,
        Current,
        Overhead,
        Ice,
        Boat,
    }

    /// What a member of staff renews from time to time.
    both enum StaffPaper = course::StaffPaper {
        TeachingStatus,
        Insurance,
        FirstAid,
        Oxygen,
        Medical,
    }

    /// Whose ascents a rule counts.
    both enum AscentsOf = course::AscentsOf {
        Staff,
        Students,
    }

    /// What an in-water weight check showed.
    both enum WeightVerdict = course::WeightVerdict {
        Right,
        Heavy,
        Light,
    }

    /// What a judge saw in one try.
    both enum Mark = entry::Mark {
        Met,
        Nearly,
        NotYet,
        SatOut,
    }

    /// How a student's course ended.
    both enum Outcome = entry::Outcome {
        Completed,
        Referred,
        Left,
    }

    /// What a clearance said.
    both enum ClearanceResult = entry::ClearanceResult {
        Cleared,
        Referred,
        NotCleared,
    }

    both enum CourseState = entry::CourseState {
        Running,
        Closed,
        HandedOver,
    }

    /// A passage through the water's surface.
    both enum Passage = entry::Passage {
        In,
        Out,
        Absent,
    }

    /// The kind of an entry.
    both enum Kind = entry::Kind {
        ShopOpened,
        StaffJoined,
        StaffRenewed,
        Certificate,
        Revocation,
        LateAccepted,
        CourseListed,
        PersonForgotten,
        HoldSet,
        CourseDropped,
        Details,
        CourseOpened,
        Enrolment,
        Amendment,
        Assignment,
        OutlineSet,
        PolicySet,
        PolicyConfirmed,
        SessionPlanned,
        SessionMoved,
        SessionCancelled,
        Clearance,
        Attendance,
        Attempt,
        Confirmation,
        Resolution,
        Exemption,
        Override,
        Withdrawal,
        Note,
        WeightChecked,
        DiveLogged,
        Incident,
        Completion,
        Debrief,
        SiteSet,
        EmergencySet,
        EmergencyConfirmed,
        AlarmRaised,
        AlarmEnded,
        TeamsSet,
        IncidentMoment,
        IncidentPerson,
        IncidentFact,
        IncidentReport,
        IncidentReported,
        Attachment,
        AttachmentText,
        SlotSet,
        AwaySet,
        OwnDive,
        KitSet,
        KitRetired,
        KitFault,
        KitMended,
        KitIssued,
        KitReturned,
    }

    /// How a cell stands.
    shown enum CellState = standing::CellState {
        Open,
        Trying,
        Shown,
        Met,
        TwoViews,
        Exempt,
    }

    /// Why a line counts for nothing.
    shown enum Doubt = trust::Doubt {
        Malformed,
        Signature,
        NoCertificate,
        NotTheWriter,
        Role,
        Late,
    }

    /// Whether the reader may.
    shown enum Leave = view::Leave {
        Yes,
        NotAdmitted,
        Role,
        NothingOpen,
        Gaps(count: u32),
    }

    /// How a figure stands to a limit of the policy.
    shown enum Limit = view::Limit {
        Within,
        Over,
        Unconfirmed,
        Unknown,
        NoRule,
    }

    /// Which units the reader works in.
    both enum Units = view::Units {
        Metric,
        Imperial,
    }
}
