//! What is wrong with an outline that was written by hand, skill by skill, before it is refused.

use tallywater_bindings::OutlineFault;

use super::catalogue::t;
use super::rule_fault::line;

/// One fault in words, with the skill or the usual session in front and its bounds behind.
pub(super) fn said(fault: &OutlineFault) -> String {
    match fault {
        OutlineFault::Empty => line(t("Outline"), t("it has no skill"), &[]),
        OutlineFault::TooMany { what, of, most } => {
            let says = format!("{}: {}", t("there are too many of them"), part(what));
            line(part(of), &says, &[(t("at most"), most.to_string())])
        }
        OutlineFault::Edition => line(
            t("Edition of the outline"),
            t("this figure is out of bounds"),
            &[(t("at least"), "1".to_owned())],
        ),
        OutlineFault::Text { what, of, most } => {
            let says = format!("{}: {}", part(what), t("its length is out of bounds"));
            let bounds = [
                (t("at least"), "1".to_owned()),
                (t("at most"), most.to_string()),
            ];
            line(part(of), &says, &bounds)
        }
        OutlineFault::Twice { id } => line(id, t("the same thing is there twice"), &[]),
        OutlineFault::Unknown { by, id } => {
            let says = format!("{}: {id}", t("It builds on a skill that is not there"));
            line(by, &says, &[])
        }
        OutlineFault::Ring { id } => line(id, t("It builds on itself in a ring"), &[]),
        OutlineFault::NotMeasurable { id } => {
            line(id, t("It has nothing to measure or to see"), &[])
        }
        OutlineFault::Figure { id, least, most } => {
            let bounds = [
                (t("at least"), least.to_string()),
                (t("at most"), most.to_string()),
            ];
            line(id, t("A figure is out of bounds"), &bounds)
        }
        OutlineFault::NoCaution { id } => line(
            id,
            t("A try can hurt someone, and there is no caution"),
            &[],
        ),
        OutlineFault::Settings { id } => {
            line(id, t("its settings do not allow what it asks for"), &[])
        }
        OutlineFault::Demand {
            id,
            times,
            sessions,
        } => {
            let figures = [
                (t("times"), times.to_string()),
                (t("in so many sessions"), sessions.to_string()),
            ];
            line(id, t("It cannot be met as often as it asks"), &figures)
        }
        OutlineFault::Methods { id } => line(id, t("Its techniques do not fit together"), &[]),
        OutlineFault::Minutes {
            id,
            quick,
            slow,
            most,
        } => {
            let figures = [
                (t("given"), format!("{quick}-{slow}")),
                (t("at least"), "1".to_owned()),
                (t("at most"), most.to_string()),
            ];
            line(id, t("Its minutes are out of bounds"), &figures)
        }
        OutlineFault::WrongPlace { block, skill } => {
            let says = format!(
                "{}: {skill}",
                t("it runs a skill where it may not be shown")
            );
            line(block, &says, &[])
        }
    }
}

/// A part of an outline, by the core's own word for it; an id is itself.
fn part(what: &str) -> &str {
    match what {
        "the outline" => t("Outline"),
        "skills" => t("Skills"),
        "blocks" => t("Usual sessions"),
        "needs" => t("skills that come first"),
        "skills on its run list" => t("skills on its run list"),
        "cues" => t("Cues"),
        "slips" => t("faults to look for"),
        "methods" => t("Techniques"),
        "cues of a method" => t("cues of a technique"),
        "figures" => t("figures to measure"),
        "skills before it" => t("skills that are run before it"),
        "ascents" => t("Ascents"),
        "the title" => t("Title"),
        "the source" => t("where it comes from"),
        "the name" => t("Name"),
        "the requirement" => t("what it must show"),
        "a cue" => t("a cue"),
        "the name of a method" => t("the name of a technique"),
        "a slip" => t("a fault to look for"),
        "a fix" => t("what helps against a fault"),
        "the caution" => t("Caution"),
        "what is counted" => t("what is counted"),
        "the unit of a reading" => t("the unit of a reading"),
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::part;

    /// The core's words for the parts of an outline, as they stand in its check.
    const CHECK: &str = include_str!("../../../core/src/course/outline_check.rs");

    #[test]
    fn every_part_that_the_core_names_has_a_word_for_a_person() {
        super::super::catalogue::Language::De.speak();
        let before_tests = CHECK.split("impl Outline").nth(1).unwrap();
        let named: Vec<&str> = before_tests
            .split('"')
            .skip(1)
            .step_by(2)
            .filter(|word| {
                word.chars()
                    .all(|sign| sign.is_ascii_lowercase() || sign == ' ')
            })
            .collect();
        assert!(named.len() > 20, "{named:?}");
        for what in named {
            assert_ne!(part(what), what, "{what} is said as the code has it");
        }
    }
}
