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
                "{}{}{}{}{}{}{}",
                sentence(rule).map_or_else(|| format!("refused by the rule {rule}"), str::to_owned),
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

/// What a rule's word means, for those that a command can meet; the details follow it.
fn sentence(rule: &str) -> Option<&'static str> {
    Some(match rule {
        "bad_address" => "an address is written address:port, as 192.0.2.7:4711",
        "bad_code" => "a code is six digits",
        "bad_device_name" => "a device name is one line of 1 to 80 characters",
        "bad_place" => "a place is written key@address:port, as `tallywater code` prints it",
        "cannot_listen" => "this computer's network does not let the program listen",
        "file_exists" => "there is a file of that name already; it was left as it is",
        "folder_not_empty" => "the folder is not empty; nothing was written",
        "impostor" => "the other device is not the one that shows the code",
        "name_not_unique" => "several people on the staff list have this name: rename one first",
        "no_code" => "the other device shows no code, or it is no longer good: ask for a new one",
        "not_admitted" => "this device is not admitted to the shop, or was shut out",
        "not_let_in" => "the other device did not let this one in",
        "not_on_staff" => "nobody of this name is on the staff list; --new puts them there",
        "not_reached" => {
            "the other device was not reached: it is off, on another network, or a firewall is in the way"
        }
        "not_set_up" => "this folder belongs to no shop yet",
        "on_staff_already" => "somebody of this name is on the staff list already",
        "other_version" => "the two devices have different versions: update the older one",
        "pairing_broken" => "what the other device said made no sense",
        "pairing_busy" => "the other device is busy with another try: try again",
        "pairing_not_stored" => "this device could not store the pairing",
        "read_only" => "the folder cannot be written to",
        "role" => "the role of this device does not allow it",
        "set_up_already" => "this folder belongs to a shop already",
        "sheet_length" => "a recovery sheet has seven lines of nine letters and digits",
        "sheet_line" => "this line of the recovery sheet is not as it was printed",
        "sheet_lines_mixed" => {
            "each line of the recovery sheet is right, and they do not belong together"
        }
        "text_empty" => "a name is missing",
        "text_too_long" => "a text is too long",
        "wrong_code" => "the code is wrong; tries that are left are given here",
        _ => return None,
    })
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
