//! Faults in words.

use tallywater_bindings::{Fault, Parting};

/// What went wrong, and what a person can do about it.
pub(super) fn words(fault: &Fault) -> String {
    match fault {
        Fault::DeviceFull => "the disk is full; nothing was recorded".into(),
        Fault::Busy => "another program is using this device's file; try again".into(),
        Fault::Refused {
            rule,
            field,
            value,
            least,
            most,
            what,
            id,
        } => {
            let part = |name: &str, text: &Option<String>| {
                text.as_ref()
                    .map(|text| format!(", {name} {text}"))
                    .unwrap_or_default()
            };
            format!(
                "refused by the rule {rule}{}{}{}{}{}{}",
                part("in", field),
                part("given", value),
                part("at least", least),
                part("at most", most),
                part("about", what),
                part("id", id)
            )
        }
        Fault::NewerVersion { found, known } => format!(
            "written by a newer version ({found}; this one knows up to {known}); nothing was touched"
        ),
        Fault::Damaged {
            moved_to: Some(name),
        } => {
            format!("the file is damaged; it was kept as {name}")
        }
        Fault::Damaged { moved_to: None } => "what was read is damaged; nothing was changed".into(),
        Fault::NotFound { what, id } => format!("there is no {what} {id}"),
        Fault::Internal { detail } => format!("something failed that should not: {detail}"),
    }
}

/// Why a device is not connected, and what a person can do about it.
pub(super) const fn parting(why: &Parting) -> &'static str {
    match why {
        Parting::Stopped => "this device left the network",
        Parting::TheyStopped => "it left the network",
        Parting::NotReached => {
            "not reached: it is off, asleep, on another network, or a firewall is in the way"
        }
        Parting::Lost => "the connection broke off",
        Parting::Slow => "it was too slow",
        Parting::NotAdmitted => {
            "it does not admit this device: it was shut out there, or has not heard of the pairing yet"
        }
        Parting::TurnedAway => "it was turned away: it is shut out, or its last day is past",
        Parting::Version => "one of the two must be updated",
        Parting::Broken => "what it said made no sense",
        Parting::BrokenThere => "it could make no sense of what this device said",
        Parting::Replaced => "another connection took its place",
        Parting::OwnStore => "this device could not read or write its own store",
        Parting::Other => "it closed the connection; it may be busy, or newer",
    }
}
