//! Safe: texts that a spreadsheet would run as a formula are disarmed, and armed again when
//! our own file comes back.
//!
//! A spreadsheet evaluates a cell that begins with one of `= + - @`, a tab or a return
//! (OWASP, "CSV Injection"). Such a text gets an apostrophe before it. A text that already
//! is apostrophes before such a sign gets one more, so that taking one away always gives
//! back what was there.

const ARMED: [char; 6] = ['=', '+', '-', '@', '\t', '\r'];

fn is_armed(text: &str) -> bool {
    text.trim_start_matches('\'').starts_with(ARMED)
}

/// The text as it may stand in a cell.
pub(crate) fn guard(text: &str) -> String {
    if is_armed(text) {
        format!("'{text}")
    } else {
        text.to_owned()
    }
}

/// The text as it was meant.
pub(crate) fn unguard(cell: &str) -> &str {
    match cell.strip_prefix('\'') {
        Some(rest) if is_armed(rest) => rest,
        Some(_) | None => cell,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_text_comes_back_and_none_starts_a_formula() {
        for text in [
            "=1+1", "+49 170", "-5", "@SUM(A1)", "\tx", "'=x", "''=x", "'t Hooft", "Øre", "", "'",
        ] {
            let cell = guard(text);
            assert!(!cell.starts_with(ARMED), "{cell:?}");
            assert_eq!(unguard(&cell), text, "{cell:?}");
        }
        assert_eq!(guard("'t Hooft"), "'t Hooft");
    }
}
