//! Words of the school's kit.

macro_rules! kit_words {
    ([$next:ident $($then:ident)*] $($before:tt)*) => {
        $next! { [$($then)*] $($before)*
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
        }
    };
}
pub(super) use kit_words;
