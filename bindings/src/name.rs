//! Names: people as a screen shows them. Personal: they go to the screen and nowhere else.

use tallywater_core::view;

use crate::Who;
use crate::cross::mirror;

mirror! {
    /// Whether a student's details are here.
    shown enum Known = view::Known {
        Here,
        NotHere,
        Forgotten,
    }

    /// How a student is called on a screen.
    shown private record StudentName = view::StudentName {
        student: String,
        name: String,
        short: String,
        known: Known,
    }

    /// How a member of staff is called on a screen.
    shown private record StaffName = view::StaffName {
        staff: String,
        name: String,
        short: String,
        known: bool,
    }

    /// A student or a member of staff, by name.
    shown enum WhoName = view::WhoName {
        Student(name: StudentName),
        Staff(name: StaffName),
    }
}

/// Who it is, without the name.
impl From<&WhoName> for Who {
    fn from(called: &WhoName) -> Self {
        match called {
            WhoName::Student { name } => Self::Student {
                student: name.student.clone(),
            },
            WhoName::Staff { name } => Self::Staff {
                staff: name.staff.clone(),
            },
        }
    }
}

/// Whether a name is found by what was typed: each word of it begins a word of the name, in any
/// order, with or without accents. Nothing typed finds everybody.
#[uniffi::export]
pub fn finds_name(typed: String, name: String) -> bool {
    tallywater_core::course::finds(&typed, &name)
}
