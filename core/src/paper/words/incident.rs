//! Words of pairs and zones, of what was raised, of incidents and of what was kept of them.

macro_rules! incident_words {
    ([$next:ident $($then:ident)*] $($before:tt)*) => {
        $next! { [$($then)*] $($before)*
            // Pairs and zones, what was raised, and incidents.
            teams: "Pairs and who watches whom";
            teams_watches: "Watched by";
            teams_pairs: "Pairs";
            teams_alone: "Beside nobody: {names}";
            teams_young: "MORE YOUNG THAN OF AGE: {names}";
            teams_young_unknown: "an age is not known: {names}";
            teams_apart: "Said otherwise by {who}, {when}: {pairs}";
            raised_title: "What was raised";
            raised_missing: "Missing: {names}";
            raised_by: "Reported by {who}";
            raised_open: "NOT FOUND YET";
            raised_found: "Found";
            raised_taken: "Taken over by others";
            incident_title: "Incident";
            incident_subject: "One incident: its moments, people, what was done, and reports that are due";
            incident_moments: "Moments";
            incident_meant: "At";
            incident_written: "Written";
            incident_what: "What";
            incident_begun: "Begun";
            happening_noticed: "Noticed";
            happening_surface: "Was at the surface";
            happening_out: "Out of the water";
            happening_breathing: "Breathing checked";
            happening_resuscitation: "Resuscitation begun";
            happening_oxygen: "Oxygen begun";
            happening_called: "Emergency service called";
            happening_help: "Help arrived";
            happening_handed: "Handed over";
            happening_other: "Noted";
            incident_people: "People";
            incident_concerned: "Concerned";
            incident_witness: "Witness";
            fact_happened: "What happened";
            fact_conditions: "Conditions";
            fact_done: "What was done";
            fact_kept: "Equipment kept as it was";
            incident_reports: "Reports";
            report_to: "To";
            report_due: "Due by";
            report_made: "Made on";
            report_open: "not made";
            report_late: "OVERDUE";
            incident_withdrawn: "Withdrawn, kept and not printed here: {n}";
            caution_incident: "Times are those of the devices that wrote them, or as somebody typed them. What people wrote is their own word; nobody checked it, and it finds no cause and no fault. This sheet was sent to nobody: who must be told, and by when, local law, the training organisation and the insurer say.";
            // Photographs and sounds.
            kept_title: "Photographs and sounds";
            kept_photograph: "Photograph";
            kept_sound: "Sound";
            kept_slate: "slate {number}";
            kept_digest: "SHA-256 of the file";
            kept_length: "{n} bytes";
            kept_said: "In words, by {who}: {text}";
            kept_note: "They lie beside the record, and no mark rests on them. Whether a file is the one that was kept, its digest says.";
        }
    };
}
pub(super) use incident_words;
