//! What each figure rests on, by command.

use serde_json::Value;

use crate::support::{done, folder, refused};

#[test]
fn every_calculation_says_its_sources_its_checks_and_how_far_to_trust_it() {
    let within = folder();
    let within = within.path();
    let said = done(within, &["figures"]);
    for part in [
        "is still due",
        "None of them is permission to dive",
        "No-stop times and groups",
        "Its table was typed in",
        "Daylight",
        "checked by a second way",
        "An estimate of our own takes part",
    ] {
        assert!(said.contains(part), "{part}: {said}");
    }
    let german = done(within, &["figures", "--language", "de"]);
    for part in [
        "steht noch aus",
        "Nullzeiten und Gruppen",
        "Tageslicht",
        "Gasverbrauch",
        "geprüft auf einem zweiten Weg",
    ] {
        assert!(german.contains(part), "{part}: {german}");
    }
    assert!(!german.contains("permission"), "{german}");
    let whole: Value = serde_json::from_str(&done(within, &["figures", "--json"])).unwrap();
    assert_eq!(whole["answer"], "figures");
    let figures = whole["value"]["figures"].as_array().unwrap();
    let ids = done(within, &["figures", "--ids"]);
    let words: Vec<&str> = figures
        .iter()
        .map(|one| one["calculation"].as_str().unwrap())
        .collect();
    assert_eq!(ids.lines().collect::<Vec<_>>(), words);
    assert!(words.contains(&"no-stop") && words.contains(&"cylinder-buoyancy"));
    for one in figures {
        assert!(!one["sources"].as_array().unwrap().is_empty(), "{one}");
        assert!(!one["checks"].as_array().unwrap().is_empty(), "{one}");
    }
    assert!(figures.iter().any(|one| one["standing"] == "published"));
    assert!(figures.iter().any(|one| one["standing"] == "estimate"));
    refused(within, &["figures", "light"], 2);
}
