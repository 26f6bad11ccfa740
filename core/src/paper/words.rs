//! Words: every word that is printed, in one table, each language beside the other. A word
//! that is missing in one does not compile.

use std::fmt;

/// The languages papers are printed in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Language {
    /// English.
    #[default]
    English,
    /// German.
    German,
}

impl Language {
    /// Its words.
    pub(crate) const fn words(self) -> &'static Words {
        match self {
            Self::English => &ENGLISH,
            Self::German => &GERMAN,
        }
    }
}

macro_rules! words {
    ($($name:ident: $english:literal, $german:literal;)+) => {
        /// The words of one language. Parts in braces are filled in.
        pub(crate) struct Words {
            /// RFC 5646 tag.
            pub(crate) tag: &'static str,
            $(pub(crate) $name: &'static str,)+
        }

        const ENGLISH: Words = Words { tag: "en", $($name: $english,)+ };
        const GERMAN: Words = Words { tag: "de", $($name: $german,)+ };

        #[cfg(test)]
        const TABLE: &[(&str, &str, &str)] = &[$((stringify!($name), $english, $german),)+];
    };
}

impl fmt::Debug for Words {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Words({})", self.tag)
    }
}

/// Fills in the parts in braces.
pub(crate) fn fill(pattern: &str, parts: &[(&str, &str)]) -> String {
    parts
        .iter()
        .fold(pattern.to_owned(), |text, (name, value)| {
            text.replace(&format!("{{{name}}}"), value)
        })
}

words! {
    // The trade's words.
    student: "Student", "Tauchschüler";
    students: "Students", "Tauchschüler";
    instructor: "instructor", "Ausbilder";
    assistant: "assistant", "Assistent";
    shop: "shop", "Tauchschule";
    staff: "Staff", "Personal";
    course: "Course", "Kurs";
    outline: "Outline", "Lehrplan";
    edition: "edition {n}", "Ausgabe {n}";
    policy: "Rules", "Regeln";
    policy_confirmed: "{n} of {of} rules confirmed by a person", "{n} von {of} Regeln von einer Person bestätigt";
    none_set: "none set", "nicht festgelegt";
    skill: "Skill", "Fertigkeit";
    site: "Place", "Ort";
    setting: "Setting", "Umgebung";
    water: "Water", "Wasser";
    starts: "Begins", "Beginn";
    date: "Date", "Datum";
    by: "By", "Von";
    minutes_short: "min", "min";
    seconds_short: "s", "s";

    // Settings and waters.
    classroom: "classroom", "Unterrichtsraum";
    surface: "surface", "Oberfläche";
    confined: "confined water", "begrenztes Freiwasser";
    open: "open water", "Freiwasser";
    fresh: "fresh", "Süßwasser";
    brackish: "brackish", "Brackwasser";
    salt: "salt", "Salzwasser";

    // Families.
    watermanship: "Watermanship", "Wasservertrautheit";
    equipment: "Equipment", "Ausrüstung";
    entry_exit: "Entry and exit", "Ein- und Ausstieg";
    at_surface: "At the surface", "An der Oberfläche";
    regulator: "Regulator", "Atemregler";
    mask: "Mask", "Maske";
    buoyancy: "Buoyancy", "Tarierung";
    propulsion: "Propulsion", "Vortrieb";
    descent_ascent: "Descent and ascent", "Ab- und Aufstieg";
    gas_emergency: "Gas emergencies", "Gasnotfälle";
    navigation: "Navigation", "Orientierung";
    awareness: "Awareness", "Achtsamkeit";
    assist: "Helping a diver", "Hilfe für andere";

    // Marks and states.
    met: "met", "erfüllt";
    nearly: "nearly", "fast";
    not_yet: "not yet", "noch nicht";
    sat_out: "sat out", "ausgesetzt";
    state_open: "not tried", "nicht versucht";
    state_trying: "tried", "versucht";
    state_shown: "shown, not confirmed", "gezeigt, unbestätigt";
    state_met: "met", "erfüllt";
    state_two_views: "two views", "zwei Ansichten";
    state_exempt: "not asked", "erlassen";
    slipped_since: "slipped since", "seither nachgelassen";
    optional: "optional", "freiwillig";
    of_needed: "{n} of {of}", "{n} von {of}";

    // The record.
    record_title: "Training record", "Ausbildungsnachweis";
    record_subject: "Training record of one student: skills, sessions, dives, papers, and the proof of who judged what", "Ausbildungsnachweis: Fertigkeiten, Übungen, Tauchgänge, Unterlagen und der Beleg, wer was beurteilt hat";
    born: "Born", "Geboren";
    id: "Id", "Kennung";
    forgotten: "Details were removed as the retention rules ask. The record still verifies.", "Die Angaben wurden nach den Aufbewahrungsregeln entfernt. Der Nachweis bleibt prüfbar.";
    no_details: "This device holds no details of this student. The record still verifies.", "Dieses Gerät hat keine Angaben zu dieser Person. Der Nachweis bleibt prüfbar.";
    referred_from: "Earlier part at", "Früherer Teil bei";
    completed: "Completed", "Abgeschlossen";
    completed_state: "COMPLETED", "ABGESCHLOSSEN";
    not_completed: "Not completed", "Nicht abgeschlossen";
    not_completed_state: "NOT COMPLETED", "NICHT ABGESCHLOSSEN";
    referred: "Referred: to be finished elsewhere", "Überwiesen: wird anderswo abgeschlossen";
    left: "Left before completion", "Vor dem Abschluss ausgeschieden";
    reopened: "Completed, and open again since", "Abgeschlossen und seither wieder offen";
    completed_line: "Stated by {who} on {when}, over {n} entries about this student.", "Erklärt von {who} am {when}, über {n} Einträge zu dieser Person.";
    added_since: "Entries about this student were added after that statement.", "Seit dieser Erklärung kamen Einträge zu dieser Person hinzu.";
    skills_met: "{n} of {of} required skills met", "{n} von {of} verlangten Fertigkeiten erfüllt";
    gaps_open: "{n} open", "{n} offen";
    nothing_open: "Nothing is open; an instructor's completion is missing.", "Nichts ist offen; es fehlt der Abschluss durch einen Ausbilder.";
    still_open: "Still open", "Noch offen";
    papers: "Papers and tests", "Unterlagen und Prüfungen";
    papers_note: "Only that a paper was seen, by whom, and until when it counts. Answers on a health form are never stored.", "Nur dass eine Unterlage eingesehen wurde, von wem, und bis wann sie gilt. Antworten auf Gesundheitsfragen werden nie gespeichert.";
    what: "What", "Was";
    result: "Result", "Ergebnis";
    until: "Counts until", "Gilt bis";
    seen_by: "Seen by", "Eingesehen von";
    health: "Health declaration", "Gesundheitserklärung";
    physician: "Physician's clearance", "Ärztliche Freigabe";
    consent: "Guardian's consent", "Einwilligung der Sorgeberechtigten";
    swim: "Swim", "Schwimmen";
    float: "Float or tread", "Schweben oder Wassertreten";
    theory: "Theory", "Theorie";
    cleared: "cleared", "frei";
    passed: "passed", "bestanden";
    referred_to_physician: "referred to a physician", "an Arzt verwiesen";
    not_cleared: "not cleared", "nicht frei";
    not_passed: "not passed", "nicht bestanden";
    metres: "{n} m", "{n} m";
    minutes: "{n} min", "{n} min";
    percent: "{n} %", "{n} %";
    skills: "Skills", "Fertigkeiten";
    mark: "Mark", "Urteil";
    judged_by: "Judged by", "Beurteilt von";
    device: "Device", "Gerät";
    where_: "Session and place", "Einheit und Ort";
    details: "Details", "Angaben";
    withdrawn: "withdrawn by {who}, {when}", "zurückgezogen von {who}, {when}";
    confirmed_by: "confirmed by {who}, {when}", "bestätigt von {who}, {when}";
    not_confirmed: "not confirmed by an instructor", "von keinem Ausbilder bestätigt";
    from_slate: "from slate, seen {when}", "von der Tafel, gesehen {when}";
    settled: "settled as {mark}", "entschieden: {mark}";
    exempted: "not asked", "erlassen";
    one_of_two: "one of two views, not settled", "eine von zwei Ansichten, nicht entschieden";
    method: "way: {name}", "Weise: {name}";
    seen_slip: "seen: {what}", "gesehen: {what}";
    attendance: "Sessions and attendance", "Übungseinheiten und Anwesenheit";
    in_water: "In and out of the water", "Im und aus dem Wasser";
    absent: "absent", "abwesend";
    cancelled: "not held", "ausgefallen";
    not_recorded: "not recorded", "nicht verzeichnet";
    in_: "in", "ein";
    out: "out", "aus";
    dives: "Dives", "Tauchgänge";
    down: "Down", "Abtauchen";
    time: "Time", "Zeit";
    deepest: "Deepest", "Größte Tiefe";
    average: "average", "mittel";
    gas: "Gas", "Gas";
    air: "air", "Luft";
    oxygen: "{n} % oxygen", "{n} % Sauerstoff";
    ascents: "Ascents", "Aufstiege";
    weights: "Weight checks", "Bleikontrollen";
    lead: "Lead", "Blei";
    suit: "Suit", "Anzug";
    cylinder: "Cylinder", "Flasche";
    verdict: "Check", "Kontrolle";
    right: "right", "richtig";
    heavy: "too heavy", "zu schwer";
    light: "too light", "zu leicht";
    none_recorded: "None recorded.", "Nichts verzeichnet.";
    kept_apart: "Kept and not printed here: {remarks} remarks, {incidents} incident reports.", "Aufbewahrt und hier nicht gedruckt: {remarks} Bemerkungen, {incidents} Vorfallberichte.";
    signatures: "If it must be signed on paper", "Falls auf Papier zu unterschreiben";
    sign_student: "Student, date", "Tauchschüler, Datum";
    sign_instructor: "Instructor, date", "Ausbilder, Datum";
    sign_guardian: "Guardian, date", "Sorgeberechtigte, Datum";
    proof: "How to check this record", "So lässt sich dieser Nachweis prüfen";
    proof_how: "Every line above is an entry that was signed on a device when it was written. Ask the shop for the course file and run:  tallywater verify FILE --fingerprint \"…\" --state \"…\"  It works the figure below out anew and says whether it is the same, whatever has come since, or where it differs.", "Jede Zeile oben ist ein Eintrag, der beim Schreiben auf einem Gerät unterschrieben wurde. Die Kursdatei von der Tauchschule erbitten und ausführen:  tallywater verify DATEI --fingerprint \"…\" --state \"…\"  Das Programm rechnet den Wert unten neu und sagt, ob er gleich ist, was immer seither hinzukam, oder wo er abweicht.";
    fingerprint_all: "Fingerprint of the whole course, {n} entries (SHA-256)", "Fingerabdruck des ganzen Kurses, {n} Einträge (SHA-256)";
    state: "State of the course then", "Stand des Kurses damals";
    fingerprint_own: "Fingerprint of the {n} entries this record rests on", "Fingerabdruck der {n} Einträge, auf denen dieser Nachweis ruht";
    part: "Part", "Teil";
    entries: "Entries", "Einträge";
    check: "Check", "Prüfwert";
    part_enrolment: "Enrolment", "Anmeldung";
    part_papers: "Papers and tests", "Unterlagen und Prüfungen";
    part_skills: "Skills", "Fertigkeiten";
    part_sessions: "Sessions", "Übungseinheiten";
    part_dives: "Dives", "Tauchgänge";
    part_weights: "Weight checks", "Bleikontrollen";
    part_completion: "Completion", "Abschluss";
    devices: "Devices that signed", "Unterschreibende Geräte";
    key: "Key", "Schlüssel";
    root_device: "shop's own key", "Schlüssel der Tauchschule";
    newer_kept: "{n} entries of this course are from a newer version of the program: kept, and not read here.", "{n} Einträge dieses Kurses stammen aus einer neueren Programmversion: aufbewahrt und hier nicht gelesen.";
    unverified_kept: "{n} entries of this course could not be verified: kept, shown on screen, and counted for nothing here.", "{n} Einträge dieses Kurses ließen sich nicht prüfen: aufbewahrt, am Bildschirm gezeigt und hier nicht gezählt.";
    irregular_kept: "The change log holds {n} things that no device of this program writes. What was there first stands.", "Das Änderungsprotokoll enthält {n} Dinge, die kein Gerät dieses Programms schreibt. Es gilt, was zuerst da war.";
    boxes_stand: "A box (□) stands for a character that no font of the printing device has. The file itself holds the true text.", "Ein Kästchen (□) steht für ein Zeichen, das keine Schrift des druckenden Geräts hat. Die Datei selbst enthält den wahren Text.";
    caution_record: "This is a record of training and no permission to dive. Local law, the training organisation's current standards and a licensed physician come first.", "Dies ist ein Nachweis über Ausbildung und keine Erlaubnis zu tauchen. Örtliches Recht, die geltenden Standards der Ausbildungsorganisation und ein zugelassener Arzt gehen vor.";
    printed: "Printed {when}", "Gedruckt {when}";
    page: "Page {n} of {of}", "Seite {n} von {of}";

    // Gaps.
    gap_policy: "The course has no rules set", "Für den Kurs sind keine Regeln festgelegt";
    gap_rule: "A rule this rests on has been confirmed by nobody: {what}", "Eine Regel, auf der dies ruht, hat niemand bestätigt: {what}";
    gap_outline: "The course has no outline", "Der Kurs hat keinen Lehrplan";
    gap_clearance: "{what}: not recorded", "{what}: nicht verzeichnet";
    gap_not_cleared: "{what}: {result}", "{what}: {result}";
    gap_expired: "{what}: counted until {when}", "{what}: galt bis {when}";
    gap_skill: "{what}: {state}", "{what}: {state}";
    gap_slipped: "{what}: met, and a later try was not", "{what}: erfüllt, ein späterer Versuch nicht";
    gap_dives: "Open-water dives: {n} of {of}", "Freiwassertauchgänge: {n} von {of}";

    // Class summary.
    summary_title: "Class summary", "Klassenübersicht";
    summary_subject: "Students by skills, as they stand", "Tauchschüler nach Fertigkeiten, Stand";
    number: "No.", "Nr.";
    name: "Name", "Name";
    still_missing: "Missing", "Fehlt";

    // Session sheet.
    sheet_title: "Session sheet", "Einsatzblatt";
    sheet_subject: "One session: who, where, what, and what is still missing before water", "Eine Übungseinheit: wer, wo, was, und was vor dem Wasser noch fehlt";
    depth_planned: "deepest planned", "größte geplante Tiefe";
    visibility: "visibility", "Sicht";
    moving: "current or surf", "Strömung oder Brandung";
    ratio: "Supervision", "Betreuung";
    ratio_line: "students {students} · instructors {instructors} · assistants {assistants}", "Tauchschüler {students} · Ausbilder {instructors} · Assistenten {assistants}";
    ratio_ceiling: "ceiling {n} before reductions for the day's conditions", "Obergrenze {n} vor Abzügen für die Bedingungen des Tages";
    ratio_over: "OVER THE CEILING of {n}", "ÜBER DER OBERGRENZE von {n}";
    ratio_unconfirmed: "no confirmed rule: there is no ratio to go by", "keine bestätigte Regel: es gibt kein Verhältnis, nach dem man gehen könnte";
    before_water: "Before water", "Vor dem Wasser";
    clear: "nothing missing", "nichts fehlt";
    emergency_contact: "In an emergency call", "Im Notfall anrufen";
    no_contact: "no contact held", "kein Kontakt hinterlegt";
    run_list: "Run list", "Ablauf";
    who_needs: "Still needed by", "Noch nötig für";
    everyone: "everyone", "alle";
    nobody: "nobody", "niemand";
    time_in: "In", "Ein";
    time_out: "Out", "Aus";
    caution_plan: "A planning aid. It records and calculates; it clears nobody. Local law, the training organisation's standards, the equipment maker's instructions and a licensed physician come first. If it and your judgement differ, take the more cautious.", "Eine Planungshilfe. Sie verzeichnet und rechnet; sie gibt niemanden frei. Örtliches Recht, die Standards der Ausbildungsorganisation, die Angaben der Gerätehersteller und ein zugelassener Arzt gehen vor. Wo sie und das eigene Urteil auseinandergehen, gilt das Vorsichtigere.";

    // Staff activity.
    activity_title: "Staff activity", "Tätigkeit des Personals";
    activity_subject: "Dives, ascents and time under water of each member of staff", "Tauchgänge, Aufstiege und Zeit unter Wasser je Person";
    day: "Day", "Tag";
    under_water: "Under water", "Unter Wasser";
    ascents_limit: "{n} a day", "{n} am Tag";
    over_limit: "over the house limit", "über der Hausgrenze";
    limit_unconfirmed: "no confirmed house limit", "keine bestätigte Hausgrenze";
    ascents_unknown: "{n} dives without a count", "{n} Tauchgänge ohne Zählung";
    activity_caution: "Repeated ascents raise the load of bubbles and the risk to the lungs; no universal limit exists. This list counts what was logged here, and knows nothing of other dives.", "Wiederholte Aufstiege erhöhen die Blasenlast und das Risiko für die Lunge; eine allgemeingültige Grenze gibt es nicht. Die Liste zählt, was hier verzeichnet wurde, und weiß nichts von anderen Tauchgängen.";
    from_to: "{from} to {to}", "{from} bis {to}";
    house_limit: "House limit", "Hausgrenze";
    exposure: "Table group", "Tabellengruppe";
    beyond_limit: "beyond the limit", "über der Grenze";
    not_on_table: "not on the table", "nicht in der Tabelle";
    exposure_note: "Table group: US Navy Diving Manual, revision 7, air, every dive's whole time taken for bottom time, at the greatest height above the sea that a plan of the day names. A planning aid; the diver's own computer and tables come first.", "Tabellengruppe: US Navy Diving Manual, Revision 7, Luft, die ganze Zeit jedes Tauchgangs als Grundzeit gerechnet, auf der größten Höhe über dem Meer, die ein Plan des Tages nennt. Eine Planungshilfe; eigener Computer und eigene Tabellen gehen vor.";

    // Slate.
    slate_title: "Slate", "Schreibtafel";
    slate_subject: "A session on waterproof paper", "Eine Übungseinheit auf wasserfestem Papier";
    slate_key: "tick met · ring nearly · cross not yet · dash sat out", "Haken erfüllt · Ring fast · Kreuz noch nicht · Strich ausgesetzt";
    slate_done: "black: already met · bar: not asked", "schwarz: schon erfüllt · Balken: erlassen";
    slate_back: "Cues", "Stichworte";
    slate_ceiling: "at most {n} in good conditions", "höchstens {n} bei guten Bedingungen";
    slate_unconfirmed: "NO CONFIRMED RATIO", "KEIN BESTÄTIGTES VERHÄLTNIS";
    remarks: "Remarks", "Bemerkungen";
    slate_of: "{n}/{of}", "{n}/{of}";
    emergency: "EMERGENCY: fill in before the session", "NOTFALL: vor der Einheit ausfüllen";
    emergency_number: "Number", "Nummer";
    nearest_chamber: "Nearest chamber", "Nächste Druckkammer";
    oxygen_where: "Oxygen is", "Sauerstoff ist";
    assembly: "Assembly point", "Sammelpunkt";
    address: "Address to give", "Adresse nennen";
    emergency_caution: "Suspected bubble or lung injury: oxygen by someone trained, keep lying down, call, even if it passes. Local procedures come first.", "Verdacht auf Blasen- oder Lungenschaden: Sauerstoff durch Geschulte, liegen bleiben, anrufen, auch wenn es nachlässt. Örtliche Verfahren gehen vor.";

    // Briefing.
    briefing_title: "Briefing cards", "Besprechungskarten";
    briefing_subject: "What to say and what to watch, skill by skill", "Was zu sagen und worauf zu achten ist, je Fertigkeit";
    shows: "To be shown", "Zu zeigen";
    cues: "Say", "Sagen";
    slips: "If you see", "Wenn zu sehen";
    caution: "Caution", "Vorsicht";
    ways: "Ways", "Weisen";
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_is_there_in_both_languages_with_the_same_parts() {
        let parts = |text: &str| {
            let mut found: Vec<String> = text
                .split('{')
                .skip(1)
                .filter_map(|rest| rest.split_once('}').map(|(name, _)| name.to_owned()))
                .collect();
            found.sort();
            found
        };
        for (name, english, german) in TABLE {
            assert!(!english.is_empty() && !german.is_empty(), "{name}");
            assert_eq!(parts(english), parts(german), "{name}");
        }
    }

    #[test]
    fn parts_are_filled_in() {
        assert_eq!(
            fill(ENGLISH.page, &[("n", "2"), ("of", "5")]),
            "Page 2 of 5"
        );
    }
}
