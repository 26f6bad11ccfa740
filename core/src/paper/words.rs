//! Words: every word that is printed, by name. The English stands here; the other languages
//! come from the catalogue (`crate::words`), and a test fails where one is missing.

use std::fmt;
use std::sync::LazyLock;

pub use crate::words::Language;
pub(crate) use crate::words::fill;

impl Language {
    /// Its words on paper.
    pub(crate) fn words(self) -> &'static Words {
        match self {
            Self::English => &ENGLISH,
            Self::German => &GERMAN,
        }
    }
}

macro_rules! context {
    () => {
        ""
    };
    ($context:literal) => {
        $context
    };
}

macro_rules! words {
    ($($name:ident: $([$context:literal])? $english:literal;)+) => {
        /// The words of one language. Parts in braces are filled in.
        pub(crate) struct Words {
            /// RFC 5646 tag.
            pub(crate) tag: &'static str,
            $(pub(crate) $name: &'static str,)+
        }

        static ENGLISH: Words = Words { tag: "en", $($name: $english,)+ };
        static GERMAN: LazyLock<Words> = LazyLock::new(|| Words {
            tag: Language::German.tag(),
            $($name: Language::German
                .said(context!($($context)?), $english)
                .unwrap_or($english),)+
        });

        #[cfg(test)]
        const TABLE: &[(&str, &str)] = &[$((context!($($context)?), $english),)+];
    };
}

impl fmt::Debug for Words {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Words({})", self.tag)
    }
}

words! {
    // The trade's words.
    student: "Student";
    students: "Students";
    instructor: "instructor";
    assistant: "assistant";
    shop: "dive centre";
    staff: "Staff";
    course: "Course";
    outline: "Outline";
    edition: "edition {n}";
    policy: "Rules";
    policy_confirmed: "{n} of {of} rules confirmed by a person";
    none_set: "none set";
    skill: "Skill";
    site: "Place";
    setting: "Setting";
    water: "Water";
    starts: "Begins";
    date: "Date";
    by: "By";
    minutes_short: "min";
    seconds_short: "s";

    // Settings and waters.
    classroom: "classroom";
    surface: "surface";
    confined: "confined water";
    open: "open water";
    fresh: "fresh water";
    brackish: "brackish water";
    salt: "salt water";

    // Families.
    watermanship: "Watermanship";
    equipment: "Equipment";
    entry_exit: "Entry and exit";
    at_surface: "At the surface";
    regulator: "Regulator";
    mask: "Mask";
    buoyancy: "Buoyancy";
    propulsion: "Propulsion";
    descent_ascent: "Descent and ascent";
    gas_emergency: "Gas emergencies";
    navigation: "Navigation";
    awareness: "Awareness";
    assist: "Helping a diver";

    // Marks and states.
    met: "met";
    nearly: "nearly";
    not_yet: "not yet";
    sat_out: "sat out";
    state_open: "not tried";
    state_trying: "tried";
    state_shown: "shown, not confirmed";
    state_met: "met";
    state_two_views: "marks differ";
    state_exempt: "not asked";
    slipped_since: "not held since";
    optional: "optional";
    of_needed: "{n} of {of}";

    // The record.
    record_title: "Training record";
    record_subject: "Training record of one student: skills, sessions, dives, forms and checks, and the proof of who assessed what";
    born: "Born";
    id: "Id";
    forgotten: "Details were removed as the retention rules ask. The record still verifies.";
    no_details: "This device holds no details of this student. The record still verifies.";
    referred_from: "Earlier part at";
    met_elsewhere: "met at {school} on {when}, judged by {who}; their course file {file}";
    met_elsewhere_undated: "met at {school}; their course file {file}";
    completed: "Completed";
    completed_state: "COMPLETED";
    not_completed: "Not completed";
    not_completed_state: "NOT COMPLETED";
    referred: "Referred: to be finished elsewhere";
    left: "Left before completion";
    reopened: "Completed, and open again since";
    completed_line: "Stated by {who} on {when}, over {n} entries about this student.";
    added_since: "Entries about this student were added after that statement.";
    skills_met: "{n} of {of} required skills met";
    gaps_open: "{n} open";
    nothing_open: "Nothing is open; an instructor's completion is missing.";
    still_open: "Still open";
    papers: "Forms and checks";
    papers_note: "Only that a form was seen, by whom, and until when it is valid. Answers on a health form are never stored.";
    what: "What";
    result: "Result";
    until: "Valid until";
    seen_by: "Seen by";
    health: "Health declaration";
    physician: "Physician's clearance";
    consent: "Guardian's consent";
    swim: "Swim";
    float: "Float or tread";
    theory: "Theory";
    cleared: "cleared";
    passed: "passed";
    referred_to_physician: "referred to a physician";
    not_cleared: "not cleared";
    not_passed: "not passed";
    metres: "{n} m";
    minutes: "{n} min";
    percent: "{n} %";
    skills: "Skills";
    mark: "Mark";
    judged_by: "Assessed by";
    device: "Device";
    where_: "Session and place";
    details: "Details";
    withdrawn: "withdrawn by {who}, {when}";
    written: "written {when}";
    confirmed_by: "confirmed by {who}, {when}";
    not_confirmed: "not confirmed by an instructor";
    from_slate: "from slate, seen {when}";
    from_memory: "from memory at the surface, seen {when}";
    settled: "settled as {mark}";
    exempted: "not asked";
    one_of_two: "one of two marks that differ, not settled";
    method: "technique: {name}";
    seen_slip: "fault: {what}";
    attendance: "Sessions and attendance";
    in_water: "In and out of the water";
    absent: "absent";
    cancelled: "not held";
    not_recorded: "not recorded";
    in_: ["time"] "in";
    out: ["time"] "out";
    dives: "Dives";
    down: "Down";
    time: "Time";
    deepest: "Maximum depth";
    average: "average";
    gas: "Gas";
    air: "air";
    oxygen: "{n} % oxygen";
    ascents: "Ascents";
    weights: "Weight checks";
    lead: "Weight";
    suit: "Suit";
    cylinder: "Cylinder";
    verdict: "Check";
    right: ["weights"] "right";
    heavy: "too heavy";
    light: "too light";
    none_recorded: "None recorded.";
    kept_apart: "Kept and not printed here: {remarks} remarks, {incidents} incident reports.";
    signatures: "If it must be signed on paper";
    sign_student: "Student, date";
    sign_instructor: "Instructor, date";
    sign_guardian: "Guardian, date";
    proof: "How to check this record";
    proof_how: "Every line above is an entry that was signed on a device when it was written. Ask the dive centre for the course file and run:  tallywater verify FILE --fingerprint \"…\" --state \"…\"  It works the figure below out anew and says whether it is the same, whatever has come since, or where it differs.";
    fingerprint_all: "Fingerprint of the whole course, {n} entries (SHA-256)";
    state: "State of the course then";
    fingerprint_own: "Fingerprint of this record: the {n} entries about this person";
    part: "Part";
    entries: "Entries";
    check: "Check";
    part_enrolment: "Enrolment";
    part_papers: "Forms and checks";
    part_skills: "Skills";
    part_sessions: "Sessions";
    part_dives: "Dives";
    part_weights: "Weight checks";
    part_completion: "Completion";
    devices: "Devices that signed";
    key: "Key";
    root_device: "dive centre's own key";
    newer_kept: "{n} entries of this course are from a newer version of the program: kept, and not read here.";
    unverified_kept: "{n} entries of this course could not be verified: kept, shown on screen, and counted for nothing here.";
    irregular_kept: "The change log holds {n} things that no device of this program writes. What was there first stands.";
    boxes_stand: "A box (□) stands for a character that no font of the printing device has. The file itself holds the true text.";
    caution_record: "This is a record of training and no permission to dive. Local law, the training organisation's current standards and a licensed physician come first.";
    printed: "Printed {when}";
    page: "Page {n} of {of}";

    // Gaps.
    gap_policy: "The course has no rules set";
    gaps_rules: "Rules confirmed by nobody: {n}";
    gap_staff_rule: "The rule on staff papers is confirmed by nobody";
    gap_site_rule: "The rule on emergency plans is confirmed by nobody";
    gap_rule: "A rule this rests on has been confirmed by nobody: {what}";
    gap_outline: "The course has no outline";
    gap_clearance: "{what}: not recorded";
    gap_not_cleared: "{what}: {result}";
    gap_expired: "{what}: expired on {when}";
    gap_skill: "{what}: {state}";
    gap_slipped: "{what}: not held since it was met";
    gap_dives: "Open-water dives: {n} of {of}";

    // The gate.
    text_read: "{n} by {text}, read {on} by {who}";
    adult_seen: "of age; identity seen by {who}, {when}";
    despite: "MET ALTHOUGH BELOW WHAT IS ASKED: {why}";
    gap_age: "Age not known: birth date, or of age by a paper that was seen";
    gap_forbidden: "A rule forbids it for this course: {what}";
    night: "at night";
    overhead: "with an overhead";
    ice: "under or between ice";
    boat: "from a boat";
    also: "Besides";
    teaching_status: "Teaching status";
    insurance: "Insurance";
    first_aid: "First aid";
    oxygen_provider: "Oxygen provider";
    staff_medical: "Fit to dive";
    ascents_planned: "ascents that day about {n}";
    ascents_over: "MORE THAN THE RULE: {n} ascents that day, at most {most}";
    gap_too_young: "Younger than {n}, the least age of this course";
    gap_too_deep: "Under {n}: at most {depth}, and planned deeper";
    gap_skill_gone: "A rule asks for a skill that the outline does not have: {what}";
    ratio_age_unknown: "an age is not known: there is no ratio to go by";
    depth_limit: "Depth";
    depth_over: "BEYOND THE RULE: planned {planned}, at most {most} ({rule})";
    depth_unconfirmed: "at most {most} by a rule that nobody confirmed ({rule})";
    depth_unknown: "an age is not known: no depth can be called kept";
    depth_kept: "at most {most} ({rule})";
    pairing: "The young";
    pairing_line: "under {under}: {young} · of age to dive beside them: {grown}";
    rule_unconfirmed: "a rule that nobody confirmed";
    pairing_over: "NOT ENOUGH OF AGE";
    pairing_unknown: "an age is not known";
    overridden: "Set aside by {who}, {when}: {what}. {why}";

    // Class summary.
    summary_title: "Class summary";
    summary_subject: "Students by skills, as they stand";
    number: "No.";
    name: "Name";
    still_missing: "Missing";

    // Forms and checks to chase.
    chase_title: "Missing forms and checks";
    chase_subject: "What is still to be brought or done, and before what";
    chase_nothing: "Nothing is missing.";
    chase_before: "Needed";
    before_open_water: "Before open water";
    before_completion: "Before completion";
    reached_at: "Telephone or e-mail";
    chase_caution: "Personal: for whoever asks after these, and for nobody else. That a form was seen is no medical opinion; local law and a licensed physician come first.";

    // Session sheet.
    sheet_title: "Session sheet";
    sheet_subject: "One session: who, where, what, and what is still missing before water";
    depth_planned: "maximum depth planned";
    visibility: "visibility";
    moving: "current or surf";
    ratio: "Supervision";
    ratio_line: "students {students} · instructors {instructors} · assistants {assistants}";
    ratio_ceiling: "ceiling {n} before reductions for the day's conditions";
    ratio_over: "OVER THE CEILING of {n}";
    ratio_unconfirmed: "no confirmed rule: there is no ratio to go by";
    before_water: "Before water";
    clear: "nothing missing";
    emergency_contact: "In an emergency call";
    no_contact: "no contact held";
    run_list: "Run list";
    stations: "Stations";
    buddies: "Buddies: {names}";
    together: "together";
    in_pairs: "in pairs";
    one_by_one: "one by one";
    unjudged: "all, not assessed";
    turns_kept: "turns kept for second tries: {n}";
    from: "From";
    who_needs: "Still needed by";
    everyone: "everyone";
    nobody: "nobody";
    time_in: ["time"] "In";
    time_out: ["time"] "Out";
    caution_plan: "A planning aid. It records and calculates; it clears nobody. Local law, the training organisation's standards, the equipment maker's instructions and a licensed physician come first. If it and your judgement differ, take the more cautious.";

    // Staff activity.
    activity_title: "Staff activity";
    activity_subject: "Dives, ascents and time under water of each member of staff";
    day: "Day";
    under_water: "Under water";
    ascents_limit: "{n} a day";
    over_limit: "over the school's limit";
    limit_unconfirmed: "no confirmed limit of the school";
    ascents_unknown: "{n} dives without a count";
    activity_caution: "Repeated ascents raise the load of bubbles and the risk to the lungs; no universal limit exists. This list counts what was logged here, and knows nothing of other dives.";
    from_to: "{from} to {to}";
    house_limit: "School's limit";
    exposure: "Table group";
    beyond_limit: "beyond the limit";
    not_on_table: "not on the table";
    exposure_note: "Table group: US Navy Diving Manual, revision 7, air, every dive's whole time taken for bottom time, at the greatest altitude that a plan of the day names. A planning aid; the diver's own computer and tables come first.";

    // Slate.
    slate_title: "Slate";
    slate_subject: "A session on waterproof paper";
    slate_key: "tick met · ring nearly · cross not yet · dash sat out";
    slate_done: "black: already met · bar: not asked";
    slate_back: "Cues";
    slate_ceiling: "at most {n} in good conditions";
    slate_unconfirmed: "NO CONFIRMED RATIO";
    remarks: "Remarks";
    slate_of: "{n}/{of}";
    emergency: "EMERGENCY: fill in before the session";
    emergency_number: "Number";
    nearest_chamber: "Nearest chamber";
    oxygen_where: "Oxygen is";
    assembly: "Assembly point";
    address: "Address to give";
    emergency_caution: "Suspected bubble or lung injury: oxygen by someone trained, keep lying down, call, even if it passes. Local procedures come first.";

    // Briefing.
    briefing_title: "Briefing cards";
    briefing_subject: "What to say and what to watch, skill by skill";
    shows: "Must show";
    cues: "Say";
    slips: "If you see";
    caution: "Caution";
    ways: "Techniques";

    // What is done in an emergency, and after a session.
    alarm_lost: "Lost buddy";
    alarm_lost_1: "Look for no longer than one minute: turn once, look up, look for bubbles.";
    alarm_lost_2: "Come up at a normal rate, and look for bubbles on the way.";
    alarm_lost_3: "At the surface look, call and whistle. Keep the others together and out of the water.";
    alarm_lost_4: "Not up within a few minutes: mark the place and the time, call the emergency number.";
    alarm_lost_5: "Send nobody down alone. Only people trained and equipped for it search under water.";
    alarm_panic: "Panic at the surface";
    alarm_panic_1: "Keep your distance. Hold out something that floats, or come from behind.";
    alarm_panic_2: "Make them float: inflate the BCD, or drop the weights.";
    alarm_panic_3: "Speak calmly, say what you do, signal for help.";
    alarm_panic_4: "Grabbed: go down, swim away, come back from behind.";
    alarm_panic_5: "Bring them out, look for injuries, end the dive.";
    alarm_unresponsive: "Unresponsive diver";
    alarm_unresponsive_1: "Bring them up at once, the regulator held in, the head back.";
    alarm_unresponsive_2: "Make both float, face up. Shout for help; somebody calls the emergency number.";
    alarm_unresponsive_3: "Tow them out. Rescue breaths on the way only if trained for it.";
    alarm_unresponsive_4: "Not breathing normally: five breaths first, then 30 compressions and 2 breaths, with oxygen. Fetch a defibrillator.";
    alarm_unresponsive_5: "Go on until help takes over. Leave computer and kit as they are; note the times.";
    alarm_injury: "Suspected bubble or lung injury";
    alarm_injury_1: "Every sign after a dive counts, also one that passes: pain, tingling, weakness, dizziness, cough, blood, odd behaviour.";
    alarm_injury_2: "Lay them flat and keep them lying. Oxygen, as close to 100 % as there is, by someone trained.";
    alarm_injury_3: "Call the emergency number, then the chamber or the diving doctor as the plan says.";
    alarm_injury_4: "Water to drink only if wide awake and not sick. Keep them warm, not hot.";
    alarm_injury_5: "Note the dives, depths, times, gas, and when the signs began. Watch the buddy as well. No diving, no flying, no altitude.";
    alarm_oxygen: "Giving oxygen";
    alarm_oxygen_1: "Only somebody trained gives it. No flame, no smoking, no oil or grease; fresh air.";
    alarm_oxygen_2: "Open the valve slowly and read the pressure.";
    alarm_oxygen_3: "Say what you do, put the mask on tight, set the flow as trained.";
    alarm_oxygen_4: "Note when it began and at which pressure. Stay with them and watch the breathing.";
    alarm_oxygen_5: "Do not stop because it gets better. Hand over with the times in writing.";
    alarm_recall: "Recall";
    alarm_recall_1: "Give the agreed signal, and give it again.";
    alarm_recall_2: "Everybody comes up at a normal rate with their buddy and goes to the assembly point.";
    alarm_recall_3: "Count heads against the list, aloud, twice.";
    alarm_recall_4: "Nobody goes back in before the count is right and the instructor says so.";
    alarm_recall_5: "Somebody is missing: the card for a lost buddy.";
    alarm_practice: "Common practice, no published source.";
    alarm_breaths: "Five breaths first, then 30 to 2: guidelines of the European Resuscitation Council (2021) on drowning, from memory. The rest is common practice, no published source.";
    alarm_bubbles: "Oxygen to everybody suspected of it, lying flat: published first-aid consensus for diving injuries, from memory, without an edition at hand. The rest is common practice, no published source.";
    alarm_first: "Local emergency procedures, local law and your own training come first. Do only what you are trained for.";
    alarm_cards: "Action cards";
    alarm_source: "Source: {what}";
    emergency_plan: "Emergency plan";
    numbers_to_call: "Numbers to call";
    first_aid_is: "First-aid kit is";
    nearest_hospital: "Nearest hospital";
    who_does_what: "Who does what";
    emergency_confirmed: "Confirmed by {who}, {when}";
    site_no_plan: "NO EMERGENCY PLAN OF THIS SITE";
    site_not_confirmed: "EMERGENCY PLAN CONFIRMED BY NOBODY";
    site_too_old: "EMERGENCY PLAN LAST CONFIRMED ON {when}, asked for every {n} months";
    daylight: "Daylight";
    light_line: "twilight from {dawn} · sunrise {rise} · sunset {set} · twilight until {dusk}";
    site_access: "Access";
    site_entry: "Entry and exit";
    site_hazards: "Hazards";
    site_tides: "Tides";
    emergency_head: "EMERGENCY";
    debrief_title: "Debrief";
    debrief_met: "Met today";
    debrief_fault: "One fault";
    debrief_fix: "What mends it";
    debrief_next: "What comes next";
    debrief_practise: "To practise";
    debrief_proposed: "proposed from the marks, not changed yet";
    debrief_kept: "kept by {who}, {when}";

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

    // The school's kit.
    kit_boots: ["kit"] "Boots";
    kit_fins: ["kit"] "Fins";
    kit_bcd: ["kit"] "BCD";
    kit_weights: ["kit"] "Weights";
    kit_computer: ["kit"] "Computer";
    kit_other: ["kit"] "Other";
    kit_title: ["kit"] "The school's kit";
    kit_subject: "Every piece of kit: number, size, dates, what is wrong with it and who has it";
    kit_none: "No piece of kit is described.";
    kit_caution: "Personal: it names people. Dates and faults are as somebody typed them. That a piece is in date does not make it fit to dive: look at it, and keep to its maker's instructions.";
    kit_elsewhere: "{n} running courses are not on this device: what is out there is not known here.";
    kit_kind: ["kit"] "Kind";
    kit_size: ["kit"] "Size";
    kit_issued: ["kit"] "Issued";
    kit_fits: ["kit"] "Would fit";
    kit_back: ["kit"] "Back";
    kit_state: ["kit"] "State";
    kit_service_due: ["kit"] "Service due";
    kit_test_due: ["kit"] "Test due";
    kit_own: ["kit"] "brings own";
    kit_missing: ["kit"] "MISSING";
    kit_free: ["kit"] "free";
    kit_with: "with {who} since {when}";
    kit_weight: "Weight at the last check that held: {what}";
    kit_despite: "ISSUED ALTHOUGH: {why}";
    kit_also: "THE SAME PIECE IS WITH {n} MORE";
    kit_wrong_faulty: "faulty, not mended";
    kit_wrong_service: "service was due until {when}";
    kit_wrong_test: "test was due until {when}";
    kit_wrong_retired: ["kit"] "out of use";
    issue_title: "Issue list";
    issue_subject: "One session: what everybody has, wants and lacks of the school's kit";
    nobody_asks: "Nothing of the school's kit is asked for.";

    // The student's page.
    page_title: "Your course so far";
    page_subject: "What one student takes home: met, open, what comes next, own dives";
    page_met: "Met";
    page_none_met: "Nothing is marked as met yet.";
    page_next: "Next session";
    page_no_next: "No session is planned for you yet.";
    page_bring: "To bring";
    page_settle: "To be settled before it";
    page_dives: "Your dives";
    page_no_dives: "No dive of yours is logged yet.";
    page_logged: "logged by {who}";
    page_own_dives: "Own dives, not of the course";
    page_own_note: "From your own dive log. Nobody of the course saw them, and they count for nothing in it.";
    page_own_taken: "taken in by {who} on {when}";
    page_fly: "Do not fly before {when}";
    page_fly_longer: "Do not fly until well after {when}";
    page_fly_note: "By the shortest time published, from the dives that the school knows of. Dives elsewhere are not in it. Your dive computer, an airline or a physician may ask for longer.";
    chart_profile: "Depth over time";
    chart_gas: "Cylinder pressure over time at depth";
    chart_no_stop: "No-stop time over the clock";
    chart_tries: "Met by the first try, the second, the third, and in the end";
    chart_way: "Skills met, day by day";
    chart_caution: "A picture of the figures, and no permission to dive. The figures and their cautions count.";
    line_depth: "Depth";
    line_too_fast: "Up too fast";
    line_stop: "Safety stop";
    line_pressure: "Cylinder pressure";
    line_turn: "Turn pressure";
    line_reserve: "Reserve";
    line_no_stop: "No-stop time left";
    line_no_limit: "longer, or no limit";
    line_met: "Skills met";
    line_required: "Skills required";
    fact_fastest: "fastest 30 s on the way up";
    fact_allowed: "held against";
    fact_stopped: "at the stop";
    fact_fill: "filled to";
    fact_until_turn: "until the turn";
    fact_until_ascent: "until the ascent";
    fact_left_first: "no-stop time at first";
    fact_left_last: "no-stop time in the end";
    fact_free_first: "at first no limit at";
    fact_free_last: "in the end no limit at";
    fact_drawn_to: "longer, or no limit, is drawn as";
    bar_shares: "{first}, {second}, {third}, {all}";
    bar_too_few: "too few have tried it to say";
    bar_minutes: "{planned} min planned, {taken} min taken; the middle line takes {percent} % of its plan ({low} to {high})";

    // The season.
    season_title: "Season";
    season_subject: "What the marks of many courses say of the school's outline";
    season_rests: "Courses it rests on: {n}. Of fewer than {least} nothing is said; ranges are of 95 % confidence.";
    season_proposed: "Proposed for the outline";
    season_none_proposed: "Nothing is proposed.";
    season_no_outline: "The school has no outline.";
    season_other_minutes: "{name}: to show it {setup} min, not {setup_now}; a turn {turn} min, not {turn_now}";
    season_by_minutes: "{lines} lines; the middle one takes {percent} % of its plan ({low} to {high})";
    season_other_order: "{title}: {name} before {before}";
    season_by_order: "So it was run {turned} of {of} times ({low} to {high} %)";
    season_minutes: "Minutes planned and taken";
    season_timed: "Dark as far as the middle line surely takes, pale as far as it may; 100 % is the plan. A line is timed from the last mark before it to its own last mark: our own definition, no published source.";
    season_held: "Held when tried again on another day";
    season_share: "{held} of {of} ({low} to {high} %)";
    season_week: "within 7 days";
    season_month: "after 8 to 30 days";
    season_longer: "after more than 30 days";
    season_few: "Too few to say: {n}";
    season_nothing: "Nothing yet.";
    season_caution: "Nothing is changed by itself, and this sheet names nobody. Whose marks differ is looked at on a screen.";
    page_check: "How to check this page";
    page_check_how: "Made on a device of the school on {when}, from entries that were signed when they were written. Only your own data is on this page. The school works the digits below out anew from its course file and says whether they are the same, also years later.";
}

#[cfg(test)]
mod tests;
