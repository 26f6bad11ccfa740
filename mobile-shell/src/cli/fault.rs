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
        "already_enrolled" => "this student is in the course already, or was taken over before",
        "bad_address" => "an address is written address:port, as 192.0.2.7:4711",
        "bad_code" => "a code is six digits",
        "bad_delimiter" => "a delimiter is one plain character",
        "bad_device_name" => "a device name is one line of 1 to 80 characters",
        "bad_fingerprint" => "a fingerprint is 64 digits from 0 to 9 and a to f",
        "bad_part" => "a part is written name=digits, as skills=\"3f2a 91c0\"",
        "bad_state" => "a state is groups of eight digits from 0 to 9 and a to f",
        "bad_place" => "a place is written key@address:port, as `tallywater code` prints it",
        "cannot_listen" => "this computer's network does not let the program listen",
        "closed" => "it was dropped or forgotten, and is not taken in again",
        "course_file_bad_ledger" => "a part of the course file cannot be read; nothing was taken",
        "course_file_changed" => {
            "the course file was changed after it was signed; nothing was taken"
        }
        "course_file_damaged" => "the course file is damaged or was cut short; nothing was taken",
        "course_file_not_enrolled" => {
            "the course file holds details of somebody who is not in the course; nothing was taken"
        }
        "course_file_not_one" => {
            "a course file holds exactly one course and its school; nothing was taken"
        }
        "course_file_not_plain" => {
            "the course file holds what no honest device writes; nothing was taken"
        }
        "course_file_other_shop" => {
            "the course file names another school than its course does; nothing was taken"
        }
        "course_file_stranger" => {
            "the course file was signed by a device that its school never admitted; nothing was taken"
        }
        "course_not_named" => "there are several courses here: name one with --course",
        "dive_missing" => "a dive of the log lacks what every dive must have; nothing was logged",
        "dive_out_of_bounds" => {
            "a figure of a dive cannot be; most likely its unit is wrong. Nothing was logged"
        }
        "dive_unreadable" => "something in a dive of the log cannot be read; nothing was logged",
        "dives_not_uddf" => "the file is not a UDDF dive log",
        "dives_not_xml" => {
            "the file is not well-formed XML; the place where reading stopped is given here"
        }
        "dives_other_version" => {
            "the dive log is of a version of UDDF that is not read here; 3.0 to 3.3 are"
        }
        "file_exists" => "there is a file of that name already; it was left as it is",
        "file_too_large" => "the file is larger than any of its kind",
        "folder_not_empty" => "the folder is not empty; nothing was written",
        "held" => "a hold keeps it from being deleted",
        "impostor" => "the other device is not the one that shows the code",
        "is_a_folder" => "this is a folder, and a file is wanted",
        "name_not_unique" => "several people on the staff list have this name: rename one first",
        "no_code" => "the other device shows no code, or it is no longer good: ask for a new one",
        "not_a_course_file" => "this is not a course file",
        "not_admitted" => "this device is not admitted to the shop, or was shut out",
        "not_let_in" => "the other device did not let this one in",
        "not_on_staff" => "nobody of this name is on the staff list; --new puts them there",
        "not_reached" => {
            "the other device was not reached: it is off, on another network, or a firewall is in the way"
        }
        "not_set_up" => "this folder belongs to no shop yet",
        "not_unique" => "several fit: give more of it, or the id",
        "on_staff_already" => "somebody of this name is on the staff list already",
        "other_shop" => {
            "this device belongs to another shop; a code of its own shop is what it can use"
        }
        "other_version" => "the two devices have different versions: update the older one",
        "pairing_broken" => "what the other device said made no sense",
        "pairing_busy" => "the other device is busy with another try: try again",
        "pairing_not_stored" => "this device could not store the pairing",
        "read_only" => "the folder cannot be written to",
        "role" => "the role of this device does not allow it",
        "roster_bad_rows" => "some rows cannot be read; nobody was enrolled",
        "roster_empty" => "the roster is empty",
        "roster_no_name_column" => {
            "no column is headed as a name; the first line must name the columns"
        }
        "roster_not_text" => "this is not a text file: save the sheet as CSV first",
        "roster_too_many_rows" => "the roster has too many rows",
        "roster_two_columns" => "two columns are headed as the same thing",
        "set_up_already" => "this folder belongs to a shop already",
        "sheet_length" => "a recovery sheet has seven lines of nine letters and digits",
        "sheet_line" => "this line of the recovery sheet is not as it was printed",
        "sheet_lines_mixed" => {
            "each line of the recovery sheet is right, and they do not belong together"
        }
        "text_empty" => "a name is missing",
        "text_too_long" => "a text is too long",
        "twice" => "the same thing is there twice",
        "unknown" => "something named here is not there",
        "unknown_encoding" => "this encoding is not known",
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
