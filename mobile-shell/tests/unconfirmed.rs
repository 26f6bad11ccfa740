//! Rules that nobody confirmed yet, as they stand on every new school's screens: each is called
//! what it is called among the rules, in the language of the screens, and never by its id.

use tallywater::shell::Route;
use tallywater::ui::Screen;
use tallywater_bindings::Scope;

use crate::support::{roomy, seen, settle};
use crate::surface::Class;

/// Where something that waits for a rule is shown, or could be.
const SCREENS: [Screen; 14] = [
    Screen::Today,
    Screen::Board,
    Screen::Course,
    Screen::Students,
    Screen::Student,
    Screen::Forms,
    Screen::Sessions,
    Screen::Plan,
    Screen::Limits,
    Screen::Water,
    Screen::Records,
    Screen::Record,
    Screen::Policy,
    Screen::Issue,
];

#[test]
fn a_rule_that_nobody_confirmed_has_its_name_on_every_screen_and_never_its_id() {
    roomy(|| {
        let class = Class::of(2, (1280, 4800));
        class.dived(0..8);
        let course = class.course.clone();
        let rules = seen(class.stage.desk().policy(Scope::Course { course })).rules;
        let open = rules.iter().filter(|rule| rule.confirmed.is_none());
        assert!(open.count() > 10, "a new school has confirmed none");
        let mut named = 0;
        for (tongue, not_confirmed) in [
            ("en", "Rule not confirmed: "),
            ("de", "Regel nicht bestätigt: "),
        ] {
            slint::select_bundled_translation(tongue).unwrap();
            for screen in SCREENS {
                let route = Route::to(screen).course(class.course.clone());
                let route = route.session(class.session.clone());
                class.stage.open(route.student(class.students[0].clone()));
                settle();
                for label in class.stage.labels() {
                    let id = rules.iter().find(|rule| label.contains(rule.id.as_str()));
                    assert!(id.is_none(), "{screen:?}, {tongue}: {label}");
                    named += usize::from(label.contains(not_confirmed));
                }
                class
                    .stage
                    .save(&format!("unconfirmed-{screen:?}-{tongue}"));
            }
        }
        slint::select_bundled_translation("en").unwrap();
        assert!(named > 40, "{named}");
    });
}
