//! Every name that the border exports, held against what Kotlin, Swift and Python take for
//! their own. The names come from the library itself, as the generators read them.

use std::collections::{BTreeMap, BTreeSet};

use uniffi_meta::{EnumShape, FieldMetadata, FnParamMetadata, Metadata};

use crate::border::library;

/// Type names that are taken, by language.
const TAKEN: &str = include_str!("taken.txt");

/// Keywords that cannot be a name unless it is quoted. Kotlin: hard keywords,
/// kotlinlang.org/docs/keyword-reference.html. Swift: those of declarations, statements,
/// expressions and types, *The Swift Programming Language*, "Lexical Structure". Python:
/// the reference, "Keywords".
const KEYWORDS: [(&str, &str); 3] = [
    (
        "kotlin",
        "as break class continue do else false for fun if in interface is null object package \
         return super this throw true try typealias typeof val var when while",
    ),
    (
        "swift",
        "associatedtype class deinit enum extension fileprivate func import init inout internal \
         let open operator private precedencegroup protocol public rethrows static struct \
         subscript typealias var break case catch continue default defer do else fallthrough for \
         guard if in repeat return throw switch where while Any as await false is nil self Self \
         super throws true try Type",
    ),
    (
        "python",
        "False None True and as assert async await break class continue def del elif else except \
         finally for from global if import in is lambda nonlocal not or pass raise return try \
         while with yield",
    ),
];

/// Names that a language quotes or marks, and may: the word is the trade's, the generators know
/// what to do, and the compiler or the interpreter has been through each. A shell writes
/// `when` in Kotlin in backticks. Another name on this list needs as good a reason.
const QUOTED: [(&str, &str); 7] = [
    ("kotlin", "class"),
    ("kotlin", "when"),
    ("python", "class"),
    ("python", "from"),
    ("swift", "class"),
    ("swift", "in"),
    ("swift", "open"),
];

/// What the generated Kotlin writes without its package inside an enum with fields, where a
/// variant of that name would be taken for it.
const BARE: [&str; 6] = ["List", "Map", "Set", "Disposable", "Suppress", "Exception"];

/// What of an exported thing is named.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
enum Is {
    Type,
    /// Of an enum that is a fault: Swift leaves its first letter as it is.
    OfFault,
    /// Of an enum with fields: in Kotlin a class within the enum's own.
    Sealed,
    Variant,
    Member,
}

/// Every exported name, with where it stands.
fn exported() -> BTreeMap<(Is, String), String> {
    let bytes = std::fs::read(library()).expect("the library");
    let all = uniffi_bindgen::macro_metadata::extract_from_bytes(&bytes)
        .unwrap_or_else(|error| panic!("reading the library's own list: {error:#}"));
    let mut names = BTreeMap::new();
    let mut add = |is: Is, name: &str, within: &str| {
        names.insert((is, name.to_owned()), within.to_owned());
    };
    for one in &all {
        match one {
            Metadata::Func(it) => {
                add(Is::Member, &it.name, "function");
                params(&mut add, &it.inputs, &it.name);
            }
            Metadata::Constructor(it) => {
                add(Is::Member, &it.name, &it.self_name);
                params(&mut add, &it.inputs, &it.name);
            }
            Metadata::Method(it) => {
                add(Is::Member, &it.name, &it.self_name);
                params(&mut add, &it.inputs, &it.name);
            }
            Metadata::TraitMethod(it) => {
                add(Is::Member, &it.name, &it.trait_name);
                params(&mut add, &it.inputs, &it.name);
            }
            Metadata::Object(it) => add(Is::Type, &it.name, "object"),
            Metadata::CallbackInterface(it) => add(Is::Type, &it.name, "interface"),
            Metadata::CustomType(it) => add(Is::Type, &it.name, "custom type"),
            Metadata::Record(it) => {
                add(Is::Type, &it.name, "record");
                fields(&mut add, &it.fields, &it.name);
            }
            Metadata::Enum(it) => {
                add(Is::Type, &it.name, "enum");
                let sealed = it.variants.iter().any(|one| !one.fields.is_empty());
                let is = match it.shape {
                    EnumShape::Error { .. } => Is::OfFault,
                    EnumShape::Enum if sealed => Is::Sealed,
                    EnumShape::Enum => Is::Variant,
                };
                for variant in &it.variants {
                    add(is, &variant.name, &it.name);
                    fields(&mut add, &variant.fields, &it.name);
                }
            }
            Metadata::Namespace(_)
            | Metadata::UdlFile(_)
            | Metadata::UniffiTrait(_)
            | Metadata::ObjectTraitImpl(_) => {}
        }
    }
    names
}

fn params(add: &mut impl FnMut(Is, &str, &str), all: &[FnParamMetadata], within: &str) {
    for one in all {
        add(Is::Member, &one.name, within);
    }
}

fn fields(add: &mut impl FnMut(Is, &str, &str), all: &[FieldMetadata], within: &str) {
    for one in all {
        add(Is::Member, &one.name, within);
    }
}

/// The blocks of the list of taken names.
fn taken() -> BTreeMap<&'static str, BTreeSet<&'static str>> {
    let mut all: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    let mut language = "";
    for line in TAKEN.lines().filter(|line| !line.starts_with('#')) {
        if let Some((name, _)) = line.strip_prefix('[').and_then(|line| line.split_once(']')) {
            language = name;
        } else {
            all.entry(language)
                .or_default()
                .extend(line.split_whitespace());
        }
    }
    all
}

/// As the generators write a member in Kotlin and Swift.
fn camel(snake: &str) -> String {
    let mut parts = snake.split('_');
    let first = parts.next().unwrap_or_default().to_owned();
    parts.fold(first, |so_far, part| {
        let mut letters = part.chars();
        let head = letters.next().map(|letter| letter.to_ascii_uppercase());
        so_far + &head.into_iter().chain(letters).collect::<String>()
    })
}

/// As the generators write a variant in Swift.
fn lower_first(name: &str) -> String {
    let mut letters = name.chars();
    let head = letters.next().map(|letter| letter.to_ascii_lowercase());
    head.into_iter().chain(letters).collect()
}

/// What is wrong with these names, one line each; quoted names that are known are left out.
fn wrong(names: &BTreeMap<(Is, String), String>) -> Vec<String> {
    let taken = taken();
    let mut found = Vec::new();
    for ((is, name), within) in names {
        for (language, theirs) in &taken {
            if *is == Is::Type && theirs.contains(name.as_str()) {
                found.push(format!(
                    "{language} has a type {name} of its own ({within})"
                ));
            }
        }
        if matches!(is, Is::Sealed | Is::OfFault) && BARE.contains(&name.as_str()) {
            found.push(format!("kotlin's {name} would be hidden within {within}"));
        }
        for (language, words) in KEYWORDS {
            let written = match (is, language) {
                (Is::Member, "python") => name.clone(),
                (Is::Member, _) => camel(name),
                (Is::Variant | Is::Sealed, "swift") => lower_first(name),
                (Is::Variant | Is::Sealed | Is::OfFault, "python") => name.to_uppercase(),
                (Is::Type | Is::Variant | Is::Sealed | Is::OfFault, _) => name.clone(),
            };
            let keyword = words.split_whitespace().any(|word| word == written);
            if keyword && !QUOTED.contains(&(language, written.as_str())) {
                found.push(format!(
                    "{written} is a keyword of {language} ({is:?} in {within})"
                ));
            }
        }
    }
    found
}

#[test]
fn no_exported_name_is_one_that_kotlin_swift_or_python_takes_for_its_own() {
    let names = exported();
    let types = names.keys().filter(|(is, _)| *is == Is::Type).count();
    assert!(
        types > 300 && names.len() > 1_500,
        "{types} types, {} names",
        names.len()
    );
    let found = wrong(&names);
    assert!(found.is_empty(), "{found:#?}");
}

#[test]
fn names_that_would_not_compile_are_found() {
    let one = |is: Is, name: &str| {
        wrong(&BTreeMap::from([((is, name.to_owned()), "X".to_owned())])).join("; ")
    };
    // What the border's enum of units was called until Kotlin was compiled: 25 errors.
    assert!(one(Is::Type, "Unit").contains("kotlin has a type Unit"));
    assert!(one(Is::Type, "Clock").contains("swift has a type Clock"));
    assert!(one(Is::Type, "Warning").contains("python has a type Warning"));
    assert!(one(Is::Sealed, "List").contains("kotlin"));
    assert!(one(Is::Member, "fun").contains("keyword of kotlin"));
    assert!(one(Is::Variant, "Default").contains("keyword of swift"));
    assert!(one(Is::Member, "lambda").contains("keyword of python"));
    assert_eq!(one(Is::Type, "UnitOfMeasure"), "");
    assert_eq!(one(Is::Member, "in_water"), "");
}

#[test]
fn every_name_that_is_quoted_is_still_there() {
    let names = exported();
    let gone: Vec<_> = QUOTED
        .iter()
        .filter(|(language, word)| {
            !names.keys().any(|(is, name)| match is {
                Is::Member => name == word,
                Is::Variant | Is::Sealed => *language == "swift" && lower_first(name) == *word,
                Is::Type | Is::OfFault => false,
            })
        })
        .collect();
    assert!(gone.is_empty(), "nothing is called so any more: {gone:?}");
}
