//! Names: people as a screen shows them. Personal: they go to the screen and nowhere else.

use crate::{Who, WhoName};

/// Who it is, without the name.
impl From<&WhoName> for Who {
    fn from(called: &WhoName) -> Self {
        match called {
            WhoName::Student(name) => Self::Student {
                student: name.student.to_string(),
            },
            WhoName::Staff(name) => Self::Staff {
                staff: name.staff.to_string(),
            },
        }
    }
}
