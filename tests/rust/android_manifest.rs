//! What the Android package asks for and what it lets go: read from its manifest as it is
//! packed, since no machine here runs it. And that its Java and the native side call each other
//! by the names and signatures that the other has: that is found out on a device alone otherwise.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::Command;

use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../mobile-shell/android")
}

/// Every element of a file with its attributes, in order.
fn elements(file: &str) -> Vec<(String, Vec<(String, String)>)> {
    let text = std::fs::read_to_string(folder().join(file)).expect(file);
    let mut reader = Reader::from_str(&text);
    let mut found = Vec::new();
    loop {
        match reader.read_event().expect("well formed") {
            Event::Start(tag) | Event::Empty(tag) => found.push(element(&tag)),
            Event::Eof => return found,
            _ => {}
        }
    }
}

fn element(tag: &BytesStart<'_>) -> (String, Vec<(String, String)>) {
    let all = tag.attributes().map(|one| {
        let one = one.expect("an attribute");
        (one.key.as_ref().to_owned(), one.value.into_owned())
    });
    (tag.name().as_ref().to_owned(), all.collect())
}

fn value(of: &[(String, String)], name: &str) -> Option<String> {
    let found = of.iter().find(|(key, _)| key == name);
    found.map(|(_, value)| value.clone())
}

#[test]
fn neither_a_backup_nor_a_move_takes_keys_or_store_along() {
    let manifest = elements("AndroidManifest.xml");
    let (_, app) = manifest
        .iter()
        .find(|(name, _)| name == "application")
        .expect("an application");
    let said = |name: &str| value(app, name).unwrap_or_default();
    assert_eq!(said("android:allowBackup"), "false");
    assert_eq!(said("android:fullBackupContent"), "@xml/no_backup");
    assert_eq!(said("android:dataExtractionRules"), "@xml/no_extraction");
    let all = ["root", "file", "database", "sharedpref", "external"];
    for (file, parts) in [
        ("res/xml/no_backup.xml", vec!["full-backup-content"]),
        (
            "res/xml/no_extraction.xml",
            vec!["cloud-backup", "device-transfer"],
        ),
    ] {
        let rules = elements(file);
        assert!(rules.iter().all(|(name, _)| name != "include"), "{file}");
        for part in parts {
            let from = rules.iter().position(|(name, _)| name == part).expect(part);
            let left_out: Vec<String> = rules[from + 1..]
                .iter()
                .take_while(|(name, _)| name == "exclude")
                .map(|(_, of)| {
                    assert_eq!(value(of, "path").as_deref(), Some("."), "{file}");
                    value(of, "domain").expect("a domain")
                })
                .collect();
            assert_eq!(left_out, all, "{file}, {part}");
        }
    }
}

#[test]
fn it_asks_for_the_network_and_nothing_else() {
    let asked: BTreeSet<String> = elements("AndroidManifest.xml")
        .iter()
        .filter(|(name, _)| name.starts_with("uses-permission"))
        .map(|(_, of)| value(of, "android:name").expect("a name"))
        .collect();
    let network = [
        "android.permission.ACCESS_NETWORK_STATE",
        "android.permission.ACCESS_WIFI_STATE",
        "android.permission.CHANGE_WIFI_MULTICAST_STATE",
        "android.permission.INTERNET",
    ];
    assert_eq!(asked, network.map(str::to_owned).into());
}

#[test]
fn a_turn_a_keyboard_or_a_larger_text_ends_no_activity() {
    let manifest = elements("AndroidManifest.xml");
    let (_, activity) = manifest
        .iter()
        .find(|(name, _)| name == "activity")
        .expect("an activity");
    let follows = value(activity, "android:configChanges").expect("what it follows");
    for change in [
        "orientation",
        "keyboardHidden",
        "screenSize",
        "density",
        "fontScale",
    ] {
        assert!(follows.split('|').any(|one| one == change), "{change}");
    }
    let keyboard = value(activity, "android:windowSoftInputMode");
    assert_eq!(keyboard.as_deref(), Some("adjustResize"));
    let library = manifest.iter().find(|(name, _)| name == "meta-data");
    let library = library.and_then(|(_, of)| value(of, "android:value"));
    assert_eq!(
        library.as_deref(),
        Some("tallywater"),
        "the library it loads"
    );
}

#[test]
fn its_icon_is_there_with_all_it_is_drawn_of() {
    let manifest = elements("AndroidManifest.xml");
    let app = manifest.iter().find(|(name, _)| name == "application");
    let icon = value(&app.expect("an application").1, "android:icon");
    assert_eq!(icon.as_deref(), Some("@mipmap/icon"));
    let mut layers = Vec::new();
    for (name, of) in elements("res/mipmap-anydpi-v26/icon.xml") {
        if let Some(drawn) = value(&of, "android:drawable") {
            let file = drawn.strip_prefix("@drawable/").expect("a drawing of ours");
            let drawing = elements(&format!("res/drawable/{file}.xml"));
            assert!(drawing.iter().any(|(name, _)| name == "path"), "{file}");
            layers.push(name);
        }
    }
    assert_eq!(layers, ["background", "foreground", "monochrome"]);
}

#[test]
fn its_version_is_the_programs_own() {
    let manifest = elements("AndroidManifest.xml");
    let version = value(&manifest[0].1, "android:versionName");
    assert_eq!(version.as_deref(), Some(env!("CARGO_PKG_VERSION")));
}

/// The activity of the manifest, and the text of its Java.
fn activity() -> (String, String) {
    let manifest = elements("AndroidManifest.xml");
    let (_, activity) = manifest
        .iter()
        .find(|(name, _)| name == "activity")
        .expect("an activity");
    let name = value(activity, "android:name").expect("a name");
    let file = format!("java/{}.java", name.replace('.', "/"));
    let text = std::fs::read_to_string(folder().join(&file)).expect(&file);
    (name, text)
}

#[test]
fn the_activity_is_our_own_and_its_java_is_packed() {
    let (name, text) = activity();
    let (package, class) = name.rsplit_once('.').expect("a full name");
    assert!(text.contains(&format!("package {package};")), "{name}");
    let is = format!("class {class} extends NativeActivity ");
    assert!(text.contains(&is), "{name}");
    let manifest = elements("AndroidManifest.xml");
    let of = |tag: &str, what: &str| {
        let found = manifest.iter().find(|(name, _)| name == tag);
        found.and_then(|(_, of)| value(of, what))
    };
    assert_eq!(of("manifest", "package").as_deref(), Some(package));
    let code = of("application", "android:hasCode");
    assert_eq!(code.as_deref(), Some("true"));
}

/// A type of Java as JNI writes it.
fn jni(java: &str) -> &'static str {
    match java {
        "void" => "V",
        "int" => "I",
        "boolean" => "Z",
        "String" => "Ljava/lang/String;",
        other => panic!("{other} is in no signature yet"),
    }
}

/// The methods that the activity declares for the native side to call, or those it is told by
/// (`native`): name and signature.
fn declared(java: &str, native: bool) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    for line in java.lines() {
        // A method of the class stands four spaces deep; one with a modifier is not meant.
        let Some(line) = line.strip_prefix("    ") else {
            continue;
        };
        let line = match (line.strip_prefix("native "), native) {
            (Some(rest), true) => rest,
            (None, false) if line.ends_with(") {") => line,
            _ => continue,
        };
        let Some((head, rest)) = line.split_once('(') else {
            continue;
        };
        let [gives, name] = head.split(' ').collect::<Vec<_>>()[..] else {
            continue;
        };
        if gives.is_empty() {
            continue;
        }
        let (takes, _) = rest.split_once(')').expect("a closed list");
        let takes: String = takes
            .split(", ")
            .filter(|one| !one.is_empty())
            .map(|one| jni(one.split_once(' ').expect("type and name").0))
            .collect();
        found.insert(format!("{name}({takes}){}", jni(gives)));
    }
    found
}

/// What is quoted after each of these, in order.
fn quoted<'a>(text: &'a str, after: &str) -> Vec<&'a str> {
    let parts = text.split(after).skip(1);
    parts.filter_map(|part| part.split('"').next()).collect()
}

#[test]
fn the_java_and_the_native_side_call_each_other_by_what_the_other_has() {
    let (_, java) = activity();
    let rust = folder().join("../src/android/poolside.rs");
    let rust = std::fs::read_to_string(rust).expect("the native side");
    println!("## What Java tells, and what is registered for it");
    let mut registered = BTreeSet::new();
    for part in rust.split("native_method! {").skip(1) {
        let (_, part) = part.split_once("fn ").expect("a function");
        let (name, rest) = part.split_once('(').expect("what it takes");
        let (takes, _) = rest.split_once(')').expect("a closed list");
        let mut camel = String::new();
        for (at, word) in name.split('_').enumerate() {
            let (first, others) = word.split_at(1);
            if at == 0 {
                camel += first;
            } else {
                camel += &first.to_uppercase();
            }
            camel += others;
        }
        let takes: String = takes
            .split(", ")
            .map(|one| match one.split_once(": ").expect("name and type").1 {
                "jint" => "I",
                "jboolean" => "Z",
                "JString" => "Ljava/lang/String;",
                other => panic!("{other} is in no signature yet"),
            })
            .collect();
        registered.insert(format!("{camel}({takes})V"));
    }
    assert_eq!(registered.len(), 2);
    assert_eq!(declared(&java, true), registered);
    println!("## What is asked of Java");
    let names = quoted(&rust, "jni_str!(\"");
    let signatures = quoted(&rust, "jni_sig!(\"");
    assert_eq!(names.len(), signatures.len());
    let asked: BTreeSet<String> = names
        .iter()
        .zip(&signatures)
        .map(|(name, signature)| format!("{name}{signature}"))
        .collect();
    assert_eq!(declared(&java, false), asked);
    println!("## And the numbers of what came of choosing a file");
    for name in ["CHOSEN", "NONE", "TOO_LARGE"] {
        let number = |text: &str, before: &str| {
            let part = text.split(before).nth(1).expect(before);
            let digits = part.trim_start().chars();
            digits.take_while(char::is_ascii_digit).collect::<String>()
        };
        let java = number(&java, &format!("static final int {name} ="));
        let rust = number(&rust, &format!("const {name}: jint ="));
        assert!(!java.is_empty(), "{name}");
        assert_eq!(java, rust, "{name}");
    }
}

#[test]
fn the_java_compiles_where_there_is_a_compiler() {
    if Command::new("javac").arg("-version").output().is_err() {
        println!("left out: there is no javac here");
        return;
    }
    for (given, says) in [
        (vec![], "the Java compiles against the stand-ins"),
        (vec!["--seeded"], "three errors in the Java are seen"),
    ] {
        let ran = Command::new("bash")
            .arg(folder().join("../../.ci/android-java"))
            .args(given)
            .output()
            .expect("bash");
        let said = String::from_utf8_lossy(&ran.stdout);
        let errors = String::from_utf8_lossy(&ran.stderr);
        assert!(
            ran.status.success() && said.contains(says),
            "{said}{errors}"
        );
    }
}
