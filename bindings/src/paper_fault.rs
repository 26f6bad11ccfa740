//! What can be wrong with a paper or a file, as a fault: fields and no sentences.

use tallywater_core::desk::paper::PaperError;
use tallywater_core::paper::bundle::BundleError;
use tallywater_core::paper::data::{DataError, UddfError};
use tallywater_core::paper::kit_list::{KitField, KitListFault};
use tallywater_core::paper::roster::{RosterFault, RosterField, SheetFault};
use tallywater_core::paper::{PdfError, TwoColumns};

use crate::Fault;

impl From<PaperError> for Fault {
    fn from(error: PaperError) -> Self {
        match error {
            PaperError::Desk(error) => error.into(),
            PaperError::Pdf(error) => error.into(),
            PaperError::Data(error) => error.into(),
            PaperError::Bundle(error) => error.into(),
            PaperError::Roster(fault) => fault.into(),
            PaperError::KitList(fault) => fault.into(),
            PaperError::Uddf(error) => error.into(),
        }
    }
}

impl From<PdfError> for Fault {
    fn from(error: PdfError) -> Self {
        Self::Internal {
            detail: error.to_string(),
        }
    }
}

impl From<DataError> for Fault {
    fn from(error: DataError) -> Self {
        Self::Internal {
            detail: error.to_string(),
        }
    }
}

impl From<BundleError> for Fault {
    fn from(error: BundleError) -> Self {
        match error {
            BundleError::NotABundle => Self::rule("not_a_course_file"),
            BundleError::Newer { found, known } => Self::NewerVersion {
                found: found.into(),
                known: known.into(),
            },
            BundleError::Damaged { what } => Self::rule("course_file_damaged").what(what),
            BundleError::TooMany { most } => Self::rule("course_file_too_many").value(most),
            BundleError::Unsound => Self::Internal {
                detail: error.to_string(),
            },
            BundleError::TooLarge { most } => too_large(most),
            BundleError::Tampered => Self::rule("course_file_changed"),
            BundleError::Stranger { key } => Self::rule("course_file_stranger").id(key),
            BundleError::OtherRoot | BundleError::OtherShop => Self::rule("course_file_other_shop"),
            BundleError::NotOne { what } => Self::rule("course_file_not_one").what(what),
            BundleError::Twice { ledger } => Self::rule("twice").what("ledger").id(ledger),
            BundleError::NotNamed => Self::rule("course_file_not_named"),
            BundleError::NotEnrolled { ledger } => {
                Self::rule("course_file_not_enrolled").id(ledger)
            }
            BundleError::NotPlain { ledger, source: _ } => {
                Self::rule("course_file_not_plain").id(ledger)
            }
            BundleError::Ledger { ledger, source: _ } => {
                Self::rule("course_file_bad_ledger").id(ledger)
            }
        }
    }
}

impl From<SheetFault> for Fault {
    fn from(fault: SheetFault) -> Self {
        match fault {
            SheetFault::Empty => Self::rule("roster_empty"),
            SheetFault::TooLong { most } => too_large(most),
            SheetFault::TooManyRows { most } => {
                Self::rule("roster_too_many_rows").bounds(None, Some(most.to_string()))
            }
            SheetFault::NotText => Self::rule("roster_not_text"),
            SheetFault::UnknownEncoding { asked } => Self::rule("unknown_encoding").value(asked),
        }
    }
}

impl From<RosterFault> for Fault {
    fn from(fault: RosterFault) -> Self {
        match fault {
            RosterFault::Sheet(fault) => fault.into(),
            RosterFault::NoNameColumn { columns } => {
                Self::rule("roster_no_name_column").value(columns)
            }
            RosterFault::TwoColumns(two) => Self::rule("roster_two_columns")
                .of(word(two.field))
                .value(columns(&two)),
            RosterFault::BadRows { count } => Self::rule("roster_bad_rows").value(count),
        }
    }
}

impl From<KitListFault> for Fault {
    fn from(fault: KitListFault) -> Self {
        match fault {
            KitListFault::Sheet(fault) => fault.into(),
            KitListFault::NoColumn { field, columns } => Self::rule("kit_no_column")
                .of(kit_word(field))
                .value(columns),
            KitListFault::TwoColumns(two) => Self::rule("kit_two_columns")
                .of(kit_word(two.field))
                .value(columns(&two)),
            KitListFault::BadRows { count } => Self::rule("kit_bad_rows").value(count),
        }
    }
}

impl From<UddfError> for Fault {
    fn from(error: UddfError) -> Self {
        match error {
            UddfError::TooLong { most } => too_large(most),
            UddfError::NotXml { at } => Self::rule("dives_not_xml").value(at),
            UddfError::NotUddf => Self::rule("dives_not_uddf"),
            UddfError::OtherVersion { found } => Self::rule("dives_other_version").value(found),
            UddfError::Missing { dive, element } => Self::rule("dive_missing").of(element).id(dive),
            UddfError::Unreadable { dive, element } => {
                Self::rule("dive_unreadable").of(element).id(dive)
            }
            UddfError::StillToCome { dive } => Self::rule("dive_still_to_come").id(dive),
            UddfError::OutOfBounds {
                dive,
                element,
                least,
                most,
                unit,
                hint: _,
            } => Self::rule("dive_out_of_bounds")
                .of(element)
                .id(dive)
                .bounds(Some(least.to_owned()), Some(most.to_owned()))
                .what(unit),
        }
    }
}

fn too_large(most: usize) -> Fault {
    Fault::rule("file_too_large").bounds(None, Some(most.to_string()))
}

fn columns<F>(two: &TwoColumns<F>) -> String {
    format!("{}, {}", two.first, two.second)
}

const fn kit_word(field: KitField) -> &'static str {
    match field {
        KitField::Kind => "kind",
        KitField::Number => "number",
        KitField::Size => "size",
        KitField::Serial => "serial",
        KitField::Serviced => "serviced",
        KitField::ServiceDue => "service_due",
        KitField::TestDue => "test_due",
        KitField::Note => "note",
    }
}

const fn word(field: RosterField) -> &'static str {
    match field {
        RosterField::Name => "name",
        RosterField::GivenName => "given_name",
        RosterField::FamilyName => "family_name",
        RosterField::Called => "called",
        RosterField::Born => "born",
        RosterField::Contact => "contact",
        RosterField::EmergencyName => "emergency_name",
        RosterField::EmergencyReach => "emergency_reach",
        RosterField::SuitSize => "suit",
        RosterField::BootsSize => "boots",
        RosterField::FinsSize => "fins",
        RosterField::MaskSize => "mask",
        RosterField::BcdSize => "bcd",
        RosterField::OwnKit => "own_kit",
    }
}
