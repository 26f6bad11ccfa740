//! Faults in words.

use tallywater_bindings::Fault;

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
