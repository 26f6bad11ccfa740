//! Faults in words.

use tallywater_bindings::Fault;

use super::catalogue::{t, tr};

/// What went wrong, and what a person can do about it.
pub(super) fn words(fault: &Fault) -> String {
    match fault {
        Fault::DeviceFull => tr!("the disk is full; nothing was recorded"),
        Fault::Busy => tr!("another program is using this device's file; try again"),
        Fault::Refused {
            rule,
            field,
            value,
            least,
            most,
            what,
            id,
        } => {
            let mut text = match sentence(rule) {
                Some(sentence) => sentence.to_owned(),
                None => tr!("refused by the rule {rule}", rule = rule),
            };
            // Between bounds, what it is about is the unit of the figures.
            let what = what.as_deref().filter(|what| *what != "fault");
            let bounded = least.is_some() || most.is_some();
            let (unit, about) = if bounded { (what, None) } else { (None, what) };
            let said = |figure: &String| match unit {
                Some(unit) => format!("{figure} {unit}"),
                None => figure.clone(),
            };
            let given = match rule.as_str() {
                "gaps_open" | "outline" | "policy" => t("how many"),
                _ => t("given"),
            };
            let value = match rule.as_str() {
                "not_a_number" | "policy" => value.clone(),
                // The core's own words for what the sentence has said.
                "media_unknown" | "media_moving" => None,
                _ => value.as_ref().map(said),
            };
            let parts = [
                (t("in"), field.as_deref().map(|it| t(it).to_owned())),
                (given, value),
                (t("at least"), least.as_ref().map(said)),
                (t("at most"), most.as_ref().map(said)),
                (t("about"), about.map(|it| t(it).to_owned())),
                ("id", id.clone()),
            ];
            for (name, part) in parts {
                if let Some(part) = part {
                    text += &format!(", {name} {part}");
                }
            }
            text
        }
        Fault::NewerVersion { found, known } => tr!(
            "written by a newer version ({found}; this one knows up to {known}); nothing was touched",
            found = found,
            known = known
        ),
        Fault::Damaged { how: Some(how) } => tr!(
            "this device's data is damaged: {how}. Nothing was changed, and nothing goes on in this folder; `tallywater rescue look FOLDER` shows what can be read and what can be done",
            how = hurt(how)
        ),
        Fault::Damaged { how: None } => tr!("what was read is damaged; nothing was changed"),
        Fault::NotFound { what, id } => tr!("there is no {what} {id}", what = t(what), id = id),
        Fault::Internal { detail } => {
            tr!(
                "something failed that should not: {detail}",
                detail = detail
            )
        }
    }
}

/// How a store is hurt.
pub(super) fn hurt(how: &str) -> String {
    match how {
        "gone" => tr!("the file is missing or empty, though the device has been in use"),
        "log_alone" => tr!("its log is there and the file is not"),
        "short" => tr!("the file was cut short"),
        _ => tr!("what is in the file cannot be read"),
    }
}

/// What a rule's word means; the details follow it. A test reads every word that a rule of the
/// core has and fails for one that has no sentence.
fn sentence(rule: &str) -> Option<&'static str> {
    Some(match rule {
        "bad_date" => {
            t("a day is written year-month-day, as 2026-06-06; today, tomorrow and +3 are read too")
        }
        "bad_time" => t("a time is written as 2026-06-06 18:00, as 18:00 for today, or as now"),
        "bad_id" => t("this is not an id"),
        "below_requirement" => {
            t("a figure is below what is asked: say with --despite why it counts as met")
        }
        "counts_not" => t("that entry no longer counts"),
        "date_out_of_bounds" => t("this day cannot be"),
        "device_folder" => {
            t("this lies in a device's folder, and nothing but the device itself writes there")
        }
        "ends_before_it_begins" => t("it ends before it begins"),
        "gaps_open" => t("something is still missing"),
        "host_stopped" => t(
            "the host stopped before it answered: look whether it was done before you do it again",
        ),
        "looked_at_earlier" => {
            t("something arrived since this was looked at: look again, then decide")
        }
        "malformed" => t("this is not something Tallywater wrote"),
        "kit_bad_rows" => t("rows of the kit list cannot be read; nothing was taken"),
        "kit_no_column" => t("no column of the kit list is headed as the kind, or as the number"),
        "kit_two_columns" => t("two columns of the kit list are headed as the same thing"),
        "media_damaged" => t("the picture or sound is damaged or was cut short; it is not kept"),
        "media_moving" => t("this is a film, and only sound is kept"),
        "media_unknown" => t("this is no JPEG or PNG picture and no Ogg, WAV or MP4 sound"),
        "microphone_failed" => {
            t("the microphone cannot be used, another program may have it; nothing was kept")
        }
        "microphone_not_allowed" => {
            t("the system does not let this program use the microphone; nothing was kept")
        }
        "microphone_not_built" => t(
            "this program was built without the microphone (on Linux it is the feature microphone of the build); a sound can be kept from a file",
        ),
        "microphone_not_lent" => t(
            "a host records nothing for another terminal: stop it meanwhile, or keep a sound from a file",
        ),
        "microphone_not_there" => t(
            "this computer has no microphone, or lost it; nothing was kept, and a sound can be kept from a file",
        ),
        "not_a_choice" => t("this is none of the choices"),
        "not_a_file" => {
            t("there is something of that name that is no file, and it is left as it is")
        }
        "not_a_number" => t("this is not a number"),
        "not_measured" => t("the figure fits no part of what the skill asks for"),
        "not_yours" => t("only its writer or an instructor may take this back"),
        "nothing_heard" => t("nothing was heard, and nothing was kept"),
        "nothing_open" => t("there is nothing here to do that with"),
        "nothing_to_draw" => t(
            "there are no figures for this picture yet: no profile, no depth or reserve, or nothing met or tried",
        ),
        "nothing_to_make_up" => t("this student needs nothing more of the course's sessions"),
        "offline" => t("this device is not on the network"),
        "other_desk" => t("this was shown by another device"),
        "other_ledger" => t("this belongs to another ledger"),
        "other_program" => t("this file was written by another program; it was left as it is"),
        "out_of_bounds" => t("this figure is out of bounds"),
        "outline" => t("the outline has faults; nothing was adopted"),
        "outside_table" => t("this lies outside the table"),
        "piece_asks" => t(
            "this piece is faulty or past its date: say with --despite why it is issued all the same",
        ),
        "piece_number" => t("another piece of this kind that is in use has this number"),
        "piece_out" => t("somebody has this piece: take it back first, by the entry that is given"),
        "policy" => t("the rules have faults; nothing was adopted"),
        "port_taken" => t(
            "the port that was asked for is taken, or may not be used: stop the program that has it, or give another",
        ),
        "stopped" => t("it was stopped on the way; nothing was recorded"),
        "still_running" => t("the course is still running: close it first"),
        "still_to_come" => t("this time is still to come"),
        "taken" => t("a file of that name is there already"),
        "wrong_ledger" => t("this does not belong into this book"),
        "already_enrolled" => t("this student is in the course already, or was taken over before"),
        "bad_address" => t("an address is written address:port, as 192.0.2.7:4711"),
        "bad_code" => t("a code is six digits"),
        "bad_delimiter" => t("a delimiter is one plain character"),
        "bad_device_name" => t("a device name is one line of 1 to 80 characters"),
        "bad_given" => t("what is given is written name=value, as depth=18"),
        "bad_fingerprint" => t("a fingerprint is 64 digits from 0 to 9 and a to f"),
        "bad_part" => t("a part is written name=digits, as skills=\"3f2a 91c0\""),
        "bad_pressures" => t("pressures are written name=start-end, as Ottilie=200-60"),
        "bad_state" => t("a state is groups of eight digits from 0 to 9 and a to f"),
        "bad_place" => t("a place is written key@address:port, as `tallywater code` prints it"),
        "cannot_listen" => t("this computer's network does not let the program listen"),
        "closed" => t("it was dropped or forgotten, and is not taken in again"),
        "course_file_bad_ledger" => {
            t("a part of the course file cannot be read; nothing was taken")
        }
        "course_file_changed" => {
            t("the course file was changed after it was signed; nothing was taken")
        }
        "course_file_damaged" => {
            t("the course file is damaged or was cut short; nothing was taken")
        }
        "course_file_not_enrolled" => t(
            "the course file holds details of somebody who is not in the course; nothing was taken",
        ),
        "course_file_not_named" => t(
            "the course file holds a photograph or a sound that its course does not name; nothing was taken",
        ),
        "course_file_not_one" => {
            t("a course file holds exactly one course and its school; nothing was taken")
        }
        "course_file_not_plain" => {
            t("the course file holds what no honest device writes; nothing was taken")
        }
        "course_file_other_shop" => {
            t("the course file names another school than its course does; nothing was taken")
        }
        "course_file_too_many" => t("the course file has too many parts; nothing was taken"),
        "course_file_stranger" => t(
            "the course file was signed by a device that its school never admitted; nothing was taken",
        ),
        "course_not_named" => t("there are several courses here: name one with --course"),
        "dive_missing" => {
            t("a dive of the log lacks what every dive must have; nothing was logged")
        }
        "dive_out_of_bounds" => {
            t("a figure of a dive cannot be; most likely its unit is wrong. Nothing was logged")
        }
        "dive_still_to_come" => {
            t("a dive of the log begins at a time still to come; nothing was logged")
        }
        "dive_unreadable" => t("something in a dive of the log cannot be read; nothing was logged"),
        "dives_not_uddf" => t("the file is not a UDDF dive log"),
        "dives_not_xml" => {
            t("the file is not well-formed XML; the place where reading stopped is given here")
        }
        "dives_other_version" => {
            t("the dive log is of a version of UDDF that is not read here; 3.0 to 3.3 are")
        }
        "field_missing" => t("a figure is missing"),
        "field_twice" => t("a figure is given twice"),
        "field_unknown" => t("this figure is not asked for here"),
        "file_exists" => t("there is a file of that name already; it was left as it is"),
        "file_gone" => t("this photograph or sound is not kept any more"),
        "file_hurt" => t(
            "this photograph or sound is damaged here; it is fetched again at the next meeting with a device that has it whole",
        ),
        "file_on_its_way" => {
            t("this photograph or sound has not all come yet; it comes after everything else")
        }
        "file_too_large" => t("the file is larger than any of its kind"),
        "folder_not_empty" => t("the folder is not empty; nothing was written"),
        "held" => t("a hold keeps it from being deleted"),
        "impostor" => t("the other device is not the one that shows the code"),
        "is_a_folder" => t("this is a folder, and a file is wanted"),
        "marked_already" => t(
            "you have marked this already: say --again try for one more try, or --again correction",
        ),
        "name_not_unique" => t("several people on the staff list have this name: rename one first"),
        "nobody_in_water" => t("nobody of this session is in the water"),
        "nobody_on_deck" => t("nobody of this session is left on deck"),
        "nobody_ready" => t(
            "nobody is cleared: `student missing` says what each one lacks, and --who lets somebody in all the same; on deck are as many as are given here",
        ),
        "no_code" => {
            t("the other device shows no code, or it is no longer good: ask for a new one")
        }
        "not_a_course_file" => t("this is not a course file"),
        "not_admitted" => t("this device is not admitted to the shop, or was shut out"),
        "not_in_sweep" => t("this student is left out, and so is no exception"),
        "not_let_in" => t("the other device did not let this one in"),
        "not_on_staff" => t("nobody of this name is on the staff list; --new puts them there"),
        "not_reached" => t(
            "the other device was not reached: it is off, on another network, or a firewall is in the way",
        ),
        "not_set_up" => t("this folder belongs to no shop yet"),
        "not_unique" => t("several fit, and none was taken: give more of it, or the id"),
        "older_format" => t(
            "it is from before the first release, in a format that is not read any more; nothing was touched",
        ),
        "one_diver" => t(
            "each diver breathes from their own cylinder: with several divers, give each one's with --pressures NAME=START-END",
        ),
        "dives_whose" => t(
            "dives that began while no session of the course was on for the student, counted here: say with --own that they are the student's own, or with --of-course or --session that they are the course's",
        ),
        "on_staff_already" => t("somebody of this name is on the staff list already"),
        "other_shop" => {
            t("this device belongs to another shop; a code of its own shop is what it can use")
        }
        "other_version" => t("the two devices have different versions: update the older one"),
        "pairing_broken" => t("what the other device said made no sense"),
        "pairing_busy" => t("the other device is busy with another try: try again"),
        "pairing_not_stored" => t("this device could not store the pairing"),
        "read_only" => t("the folder cannot be written to"),
        "role" => t("the role of this device does not allow it"),
        "roster_bad_rows" => t("some rows cannot be read; nobody was enrolled"),
        "roster_empty" => t("the roster is empty"),
        "roster_no_name_column" => {
            t("no column is headed as a name; the first line must name the columns")
        }
        "roster_not_text" => t("this is not a text file: save the sheet as CSV first"),
        "roster_too_many_rows" => t("the roster has too many rows"),
        "roster_two_columns" => t("two columns are headed as the same thing"),
        "set_up_already" => t("this folder belongs to a shop already"),
        "sheet_length" => t("a recovery sheet has seven lines of nine letters and digits"),
        "sheet_line" => t("this line of the recovery sheet is not as it was printed"),
        "sheet_lines_mixed" => {
            t("each line of the recovery sheet is right, and they do not belong together")
        }
        "text_empty" => t("something is left empty"),
        "type_first" => t("type it first: no figure is shown for a body that nobody gave"),
        "text_too_long" => t("a text is too long"),
        "twice" => t("the same thing is there twice"),
        "unknown" => t("something named here is not there"),
        "unknown_encoding" => t("this encoding is not known"),
        "wrong_code" => t("the code is wrong; tries that are left are given here"),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;
    use std::path::Path;

    use super::sentence;

    /// Every text in quotes that stands right after this in a source.
    fn after(text: &str, mark: &str, into: &mut BTreeSet<String>) {
        for part in text.split(mark).skip(1) {
            let quoted = part.trim_start().strip_prefix('"');
            if let Some((word, _)) = quoted.and_then(|rest| rest.split_once('"')) {
                into.insert(word.to_owned());
            }
        }
    }

    fn sources(folder: &Path, into: &mut Vec<String>) {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                sources(&path, into);
            } else {
                into.push(std::fs::read_to_string(&path).unwrap());
            }
        }
    }

    #[test]
    fn every_rule_of_the_core_and_of_the_border_has_a_sentence() {
        let here = Path::new(env!("CARGO_MANIFEST_DIR"));
        let mut words = BTreeSet::new();
        let core = here.join("../core/src/entry/refusal.rs");
        let core = std::fs::read_to_string(core).unwrap();
        after(core.split("fn rule").nth(1).unwrap(), "=>", &mut words);
        let mut border = Vec::new();
        sources(&here.join("../bindings/src"), &mut border);
        for text in &border {
            let text = text.split("#[cfg(test)]").next().unwrap();
            after(text, "rule(", &mut words);
        }
        assert!(words.len() > 60, "{words:?}");
        let raw: Vec<&String> = words
            .iter()
            .filter(|word| sentence(word).is_none())
            .collect();
        assert!(raw.is_empty(), "no sentence for {raw:?}");
        let screens = here.join("ui/fault.slint");
        let screens = std::fs::read_to_string(screens).unwrap();
        let raw: Vec<&String> = words
            .iter()
            .filter(|word| !screens.contains(&format!("\"{word}\"")))
            .collect();
        assert!(raw.is_empty(), "no sentence on a screen for {raw:?}");
    }
}
