//! Everything that a person may ask for, as the border lists it, has a command.

use std::path::Path;

use crate::support::{done, folder};

/// The command that sends each request.
const COMMANDS: &[(&str, &[&str])] = &[
    ("RenameShop", &["school", "rename"]),
    ("JoinStaff", &["staff", "join"]),
    ("RenameStaff", &["staff", "rename"]),
    ("RenewStaff", &["staff", "renew"]),
    // A device is admitted by the code that it types: no key is copied by hand.
    ("Admit", &["code"]),
    ("Revoke", &["device", "revoke"]),
    ("AcceptLate", &["device", "accept-late"]),
    ("SetOutline", &["outline", "set"]),
    ("SetPolicy", &["rules", "set"]),
    ("ConfirmRules", &["rules", "confirm"]),
    ("OpenCourse", &["course", "open"]),
    ("RetitleCourse", &["course", "retitle"]),
    ("ListCourse", &["course", "close"]),
    ("AssignStaff", &["staff", "assign"]),
    ("TakeOffStaff", &["staff", "take-off"]),
    ("Enrol", &["student", "enrol"]),
    ("EnrolAgain", &["student", "again"]),
    ("Amend", &["student", "amend"]),
    ("PlanSession", &["session", "plan"]),
    ("MoveSession", &["session", "move"]),
    ("CancelSession", &["session", "cancel"]),
    ("Clear", &["form", "seen"]),
    ("Pass", &["session", "in"]),
    ("SetTimes", &["session", "times"]),
    ("Mark", &["skill", "mark"]),
    ("Confirm", &["skill", "confirm"]),
    ("Resolve", &["skill", "settle"]),
    ("Exempt", &["skill", "exempt"]),
    ("Override", &["skill", "let-in"]),
    ("Withdraw", &["entry", "withdraw"]),
    ("Note", &["note", "add"]),
    ("CheckWeight", &["weight", "add"]),
    ("LogDive", &["dive", "log"]),
    ("ReportIncident", &["incident", "report"]),
    ("BeginIncident", &["incident", "begin"]),
    ("AddIncidentMoment", &["incident", "moment"]),
    ("AddIncidentPerson", &["incident", "person"]),
    ("AddIncidentFact", &["incident", "fact"]),
    ("AddIncidentReport", &["incident", "report-due"]),
    ("ReportMade", &["incident", "report-made"]),
    ("SayOfAttachment", &["file", "say"]),
    ("Debrief", &["debrief", "keep"]),
    ("SetSite", &["site", "set"]),
    ("SetSlot", &["agenda", "slot"]),
    ("SetAway", &["agenda", "away"]),
    ("SetEmergency", &["site", "plan"]),
    ("ConfirmEmergency", &["site", "confirm"]),
    ("RaiseAlarm", &["emergency", "raise"]),
    ("SetTeams", &["session", "pairs"]),
    ("MoveBuddy", &["session", "buddy"]),
    ("MoveZone", &["session", "watch"]),
    ("LoseBuddy", &["session", "lost"]),
    ("EndAlarm", &["session", "lost"]),
    ("SetKit", &["kit", "add"]),
    ("RetireKit", &["kit", "retire"]),
    ("ReportKitFault", &["kit", "fault"]),
    ("MendKit", &["kit", "mended"]),
    ("IssueKit", &["kit", "issue"]),
    ("ReturnKit", &["kit", "return"]),
    ("SetSizes", &["student", "sizes"]),
    ("Complete", &["record", "complete"]),
    ("Forget", &["keep", "delete"]),
    ("SetHold", &["keep", "hold"]),
    ("DropCourse", &["keep", "delete"]),
];

fn source(path: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(path);
    std::fs::read_to_string(path).unwrap()
}

/// The requests that the border lists.
fn requests() -> Vec<String> {
    let border = source("../bindings/src/request.rs");
    let list = border.split("enum Request =").nth(1).unwrap();
    let list = list.split("\n    }").next().unwrap();
    let names = list.lines().filter_map(|line| {
        let name = line.strip_prefix("        ")?;
        let first = name.chars().next()?;
        let end = name.find([' ', '(', ',']).unwrap_or(name.len());
        first.is_ascii_uppercase().then(|| name[..end].to_owned())
    });
    names.collect()
}

#[test]
fn every_request_of_the_border_has_a_command_that_sends_it() {
    let asked = requests();
    assert!(asked.len() >= 34, "{asked:?}");
    let folder_of = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/cli");
    let mut commands = String::new();
    for file in std::fs::read_dir(folder_of).unwrap() {
        commands += &std::fs::read_to_string(file.unwrap().path()).unwrap();
    }
    let within = folder();
    for request in &asked {
        let command = COMMANDS.iter().find(|(name, _)| name == request);
        let (_, command) = command.unwrap_or_else(|| panic!("no command sends {request}"));
        if request != "Admit" {
            let sent = format!("Request::{request}");
            assert!(commands.contains(&sent), "no command sends {request}");
        }
        let help = done(within.path(), &[command, &["--help"][..]].concat());
        assert!(help.contains("Usage"), "{command:?}: {help}");
    }
    for (name, _) in COMMANDS {
        assert!(
            asked.iter().any(|it| it == name),
            "{name} is no request any more"
        );
    }
}
