//! What is kept: listed, held back, deleted.

use crate::support::{SHOP, done, out, own_school, refused, tallywater};

#[test]
fn what_is_kept_is_listed_held_back_and_deleted_only_when_it_is_meant() {
    let own = own_school();
    let within = own.path();
    let listed = done(within, &["keep", "list", SHOP]);
    assert!(
        listed.contains("no confirmed rule") || listed.contains("until"),
        "{listed}"
    );
    assert!(
        listed.contains("person") && listed.contains("course"),
        "{listed}"
    );
    // Whose course has ended may be asked for; nobody is deleted without a yes.
    let free = listed
        .lines()
        .find(|line| line.starts_with("person") && !line.contains("still goes on"))
        .unwrap();
    let id = free.split_whitespace().nth(1).unwrap();
    let delete = [
        "keep",
        "delete",
        SHOP,
        "-s",
        id,
        "--why",
        "asked for by the person",
    ];
    let asked = tallywater(within, &delete);
    assert_eq!(asked.status.code(), Some(1));
    assert!(
        out(&asked).contains("Nothing was deleted"),
        "{}",
        out(&asked)
    );
    let count = |said: &str| said.matches("person  ").count();
    assert_eq!(
        count(&done(within, &["keep", "list", SHOP])),
        count(&listed)
    );
    done(within, &["keep", "read", SHOP, "-s", id]);

    let hold = ["keep", "hold", SHOP, "-s", id, "--why", "an inquiry"];
    done(within, &hold);
    let held = done(within, &["keep", "list", SHOP]);
    assert!(held.contains("held back: an inquiry"), "{held}");
    let mut sure = delete.to_vec();
    sure.push("--yes");
    let said = refused(within, &sure, 4);
    assert!(said.contains("a hold keeps it"), "{said}");

    let other = held
        .lines()
        .filter(|line| line.starts_with("person"))
        .filter(|line| !line.contains("still goes on") && !line.contains("held back"))
        .find_map(|line| line.split_whitespace().nth(1));
    if let Some(other) = other {
        done(
            within,
            &[
                "keep",
                "delete",
                SHOP,
                "-s",
                other,
                "--why",
                "kept long enough",
                "--yes",
            ],
        );
        let after = done(within, &["keep", "list", SHOP]);
        assert_eq!(count(&after), count(&held) - 1);
        assert!(!after.contains(other));
    }
    let said = refused(within, &["keep", "read", SHOP, "-s", "Nobody At All"], 3);
    assert!(said.contains("no student"), "{said}");
    let both = ["keep", "hold", SHOP, "-s", "a", "-c", "b", "--why", "x"];
    refused(within, &both, 2);
}
