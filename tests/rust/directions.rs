//! Who may import whom: the rooms of the core in the order of the path, and which crates each
//! may name. The code is parsed, so nested braces, `super::super` and code after a test module
//! are all seen; only what stands under `#[cfg(test)]` is left out.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use proc_macro2::{Delimiter, TokenStream, TokenTree};
use quote::ToTokens;

/// A room with the rooms and the crates that it may name beside `core` and `alloc`.
struct May {
    room: &'static str,
    rooms: &'static [&'static str],
    crates: &'static [&'static str],
}

const fn may(
    room: &'static str,
    rooms: &'static [&'static str],
    crates: &'static [&'static str],
) -> May {
    May {
        room,
        rooms,
        crates,
    }
}

/// What is not here may name nothing. The rooms before `store` are pure: see [`IMPURE`].
const MAY: &[May] = &[
    may("calc", &[], &["std", "thiserror"]),
    may(
        "course",
        &[],
        &[
            "std",
            "chrono",
            "icu_normalizer",
            "serde",
            "serde_json",
            "thiserror",
            "uuid",
            "zeroize",
        ],
    ),
    may(
        "stamp",
        &[],
        &["std", "chrono", "getrandom", "thiserror", "uuid"],
    ),
    may(
        "entry",
        &["course"],
        &[
            "std",
            "chrono",
            "hmac",
            "serde",
            "serde_json",
            "sha2",
            "thiserror",
            "uuid",
        ],
    ),
    may(
        "trust",
        &["course", "entry", "hands"],
        &[
            "std",
            "chrono",
            "curve25519_dalek",
            "ed25519_dalek",
            "serde",
            "sha2",
            "thiserror",
            "uuid",
            "zeroize",
        ],
    ),
    may(
        "ledger",
        &["course", "entry", "hands", "trust"],
        &["std", "automerge", "sha2", "thiserror", "uuid"],
    ),
    may(
        "standing",
        &["course", "entry", "trust"],
        &["std", "chrono", "serde", "uuid"],
    ),
    may(
        "plan",
        &["course", "entry", "hands", "standing"],
        &["std", "chrono", "microlp", "thiserror", "uuid"],
    ),
    may(
        "view",
        &["calc", "course", "entry", "trust", "standing", "plan"],
        &["std", "chrono", "uuid"],
    ),
    may(
        "paper",
        &[
            "calc", "course", "entry", "trust", "ledger", "standing", "plan", "view", "words",
        ],
        &[
            "std",
            "chrono",
            "csv",
            "encoding_rs",
            "icalendar",
            "krilla",
            "parley",
            "quick_xml",
            "rust_xlsxwriter",
            "serde",
            "serde_json",
            "sha2",
            "thiserror",
            "uuid",
            "zip",
        ],
    ),
    // How what the other rooms hold crosses; what they derive for it stands in attributes.
    may(
        "border",
        &["course", "entry", "paper"],
        &["chrono", "uniffi"],
    ),
    may("words", &[], &["std"]),
    may("media", &["course"], &["std"]),
    // Starts threads for the rooms that may not, and nothing else.
    may("hands", &[], &["std"]),
    may(
        "store",
        &["course", "entry", "ledger"],
        &["std", "chrono", "rusqlite", "thiserror", "tracing", "uuid"],
    ),
    may(
        "sync",
        &["course", "entry", "ledger"],
        &[
            "std",
            "automerge",
            "chrono",
            "serde",
            "serde_json",
            "thiserror",
            "uuid",
        ],
    ),
    may(
        "link",
        &["course", "entry", "ledger", "stamp", "sync", "trust"],
        &[
            "std",
            "chrono",
            "hmac",
            "iroh",
            "iroh_mdns_address_lookup",
            "n0_future",
            "serde",
            "serde_json",
            "sha2",
            "spake2",
            "thiserror",
            "tokio",
            "tracing",
            "zeroize",
        ],
    ),
    may(
        "demo",
        &[
            "course", "desk", "entry", "plan", "stamp", "standing", "view",
        ],
        &["std", "chrono", "serde", "serde_json", "thiserror", "uuid"],
    ),
];

/// The one room that knows all.
const KNOWS_ALL: &str = "desk";

/// Rooms that compute and never look: no disk, no network, no clock, no other process.
const PURE: &[&str] = &[
    "calc", "course", "entry", "trust", "ledger", "standing", "plan", "view", "words", "media",
];

/// What a pure room may not name of the standard library.
const IMPURE: &[&str] = &["fs", "net", "env", "process", "thread", "os"];

/// Calls that look at the clock or draw chance; only `stamp` may name them.
const CLOCKS: &[(&str, &str)] = &[
    ("Utc", "now"),
    ("Local", "now"),
    ("SystemTime", "now"),
    ("Instant", "now"),
    ("Uuid", "now_v7"),
    ("Uuid", "new_v4"),
];

/// What one file names: rooms of the core, crates, modules of the standard library, clocks.
#[derive(Debug, Default, PartialEq, Eq)]
struct Named {
    rooms: BTreeSet<String>,
    crates: BTreeSet<String>,
    of_std: BTreeSet<String>,
    clocks: BTreeSet<String>,
}

/// Reads a file whose module is `at` (its path from the crate's root).
fn named(text: &str, at: &[String], crates: &BTreeSet<String>) -> Named {
    let file = syn::parse_file(text).expect("a source file that parses");
    let mut found = Named::default();
    items(&file.items, at, crates, &mut found);
    found
}

fn is_test(attrs: &[syn::Attribute]) -> bool {
    attrs.iter().any(|attr| {
        attr.path().is_ident("cfg")
            && attr
                .meta
                .require_list()
                .is_ok_and(|list| list.tokens.to_string() == "test")
    })
}

fn attrs(item: &syn::Item) -> &[syn::Attribute] {
    use syn::Item::{
        Const, Enum, ExternCrate, Fn, ForeignMod, Impl, Macro, Mod, Static, Struct, Trait,
        TraitAlias, Type, Union, Use,
    };
    match item {
        Const(i) => &i.attrs,
        Enum(i) => &i.attrs,
        ExternCrate(i) => &i.attrs,
        Fn(i) => &i.attrs,
        ForeignMod(i) => &i.attrs,
        Impl(i) => &i.attrs,
        Macro(i) => &i.attrs,
        Mod(i) => &i.attrs,
        Static(i) => &i.attrs,
        Struct(i) => &i.attrs,
        Trait(i) => &i.attrs,
        TraitAlias(i) => &i.attrs,
        Type(i) => &i.attrs,
        Union(i) => &i.attrs,
        Use(i) => &i.attrs,
        _ => &[],
    }
}

fn items(items_: &[syn::Item], at: &[String], crates: &BTreeSet<String>, found: &mut Named) {
    for item in items_ {
        if is_test(attrs(item)) {
            continue;
        }
        if let syn::Item::Mod(inner) = item
            && let Some((_, content)) = &inner.content
        {
            let mut deeper = at.to_vec();
            deeper.push(inner.ident.to_string());
            items(content, &deeper, crates, found);
        } else {
            tokens(item.to_token_stream(), at, crates, found);
        }
    }
}

/// Walks tokens, macros' insides included, and notes each path by where it begins.
fn tokens(stream: TokenStream, at: &[String], crates: &BTreeSet<String>, found: &mut Named) {
    let all: Vec<TokenTree> = stream.into_iter().collect();
    let mut i = 0;
    while i < all.len() {
        match &all[i] {
            TokenTree::Group(group) if is_for_border(group) => {}
            TokenTree::Group(group) => tokens(group.stream(), at, crates, found),
            TokenTree::Ident(ident) if colons(&all, i + 1) && !colons_before(&all, i) => {
                path(&ident.to_string(), &all, i, at, crates, found);
            }
            TokenTree::Ident(ident) if ident == "use" => {
                // `use name;` of a crate, without a path behind it.
                if let Some(TokenTree::Ident(next)) = all.get(i + 1)
                    && crates.contains(&next.to_string())
                    && !colons(&all, i + 2)
                {
                    found.crates.insert(next.to_string());
                }
            }
            TokenTree::Ident(_) | TokenTree::Punct(_) | TokenTree::Literal(_) => {}
        }
        clock(&all, i, found);
        i += 1;
    }
}

/// `#[cfg_attr(feature = "border", …)]`: what a type derives to cross as it is names `uniffi` and
/// nothing that the room could call.
fn is_for_border(group: &proc_macro2::Group) -> bool {
    let text = group.stream().to_string().replace(' ', "");
    group.delimiter() == Delimiter::Bracket && text.starts_with("cfg_attr(feature=\"border\",")
}

fn is_colon(tree: Option<&TokenTree>) -> bool {
    matches!(tree, Some(TokenTree::Punct(p)) if p.as_char() == ':')
}

fn colons(all: &[TokenTree], at: usize) -> bool {
    is_colon(all.get(at)) && is_colon(all.get(at + 1))
}

fn colons_before(all: &[TokenTree], at: usize) -> bool {
    at >= 2 && colons(all, at - 2)
}

/// `Utc::now`, however it was imported.
fn clock(all: &[TokenTree], i: usize, found: &mut Named) {
    let TokenTree::Ident(holder) = &all[i] else {
        return;
    };
    if colons(all, i + 1)
        && let Some(TokenTree::Ident(call)) = all.get(i + 3)
        && let Some((holder, call)) = CLOCKS.iter().find(|(h, c)| *holder == *h && *call == *c)
    {
        found.clocks.insert(format!("{holder}::{call}"));
    }
}

/// The names that stand at this place of a path: one, or those of a brace list.
fn names(all: &[TokenTree], at: usize) -> Vec<String> {
    match all.get(at) {
        Some(TokenTree::Ident(one)) => vec![one.to_string()],
        Some(TokenTree::Group(list)) if list.delimiter() == Delimiter::Brace => {
            let inner: Vec<TokenTree> = list.stream().into_iter().collect();
            inner
                .split(|tree| matches!(tree, TokenTree::Punct(p) if p.as_char() == ','))
                .filter_map(|part| match part.first() {
                    Some(TokenTree::Ident(one)) => Some(one.to_string()),
                    _ => None,
                })
                .collect()
        }
        _ => Vec::new(),
    }
}

fn path(
    first: &str,
    all: &[TokenTree],
    i: usize,
    at: &[String],
    crates: &BTreeSet<String>,
    found: &mut Named,
) {
    let rest = i + 3;
    match first {
        "crate" => found.rooms.extend(names(all, rest)),
        "super" => {
            let (mut up, mut next) = (1, rest);
            while matches!(all.get(next), Some(TokenTree::Ident(s)) if s == "super")
                && colons(all, next + 1)
            {
                up += 1;
                next += 3;
            }
            // Above the room stands the root: what follows is a room.
            if up >= at.len() {
                found.rooms.extend(names(all, next));
            }
        }
        "std" => {
            found.crates.insert(first.to_owned());
            found.of_std.extend(names(all, rest));
        }
        name if crates.contains(name) => {
            found.crates.insert(name.to_owned());
        }
        _ => {}
    }
}

fn rust_files(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            rust_files(&path, found);
        } else if path.extension().is_some_and(|end| end == "rs") {
            found.push(path);
        }
    }
}

/// Test modules in files of their own may build what they test from anywhere.
fn is_test_file(inside: &Path) -> bool {
    inside.components().any(|part| part.as_os_str() == "tests")
        || inside
            .file_stem()
            .is_some_and(|stem| stem == "tests" || stem == "sample")
}

fn module(inside: &Path) -> Vec<String> {
    let mut at: Vec<String> = inside
        .with_extension("")
        .components()
        .map(|part| part.as_os_str().to_string_lossy().into_owned())
        .collect();
    if at.last().is_some_and(|last| last == "mod") {
        at.pop();
    }
    at
}

/// The crates that the core's manifest names, as code writes them.
fn dependencies(manifest: &Path) -> BTreeSet<String> {
    let text = std::fs::read_to_string(manifest).unwrap();
    let section = text.split("[dependencies]").nth(1).unwrap();
    let section = section.split("\n[").next().unwrap();
    section
        .lines()
        .filter_map(|line| line.split(['.', ' ', '=']).next())
        .filter(|name| !name.is_empty() && !name.starts_with('#'))
        .map(|name| name.replace('-', "_"))
        .collect()
}

#[test]
fn each_room_names_only_the_rooms_and_crates_it_may() {
    let core = Path::new(env!("CARGO_MANIFEST_DIR")).join("../core");
    let root = core.join("src");
    let crates = dependencies(&core.join("Cargo.toml"));
    assert!(crates.contains("ed25519_dalek") && crates.len() > 20);
    let may: BTreeMap<&str, &May> = MAY.iter().map(|one| (one.room, one)).collect();
    let (mut wrong, mut seen) = (Vec::new(), 0);
    let mut files = Vec::new();
    rust_files(&root, &mut files);
    for file in files {
        let inside = file.strip_prefix(&root).unwrap();
        let at = module(inside);
        let room = at.first().unwrap().as_str();
        if room == "lib" || room == KNOWS_ALL || is_test_file(inside) {
            continue;
        }
        seen += 1;
        let named = named(&std::fs::read_to_string(&file).unwrap(), &at, &crates);
        let mut say = |what: &str| wrong.push(format!("{} names {what}", inside.display()));
        let Some(may) = may.get(room) else {
            say("something, and is of a room that no wall was drawn for");
            continue;
        };
        for other in &named.rooms {
            if other != room && !may.rooms.contains(&other.as_str()) {
                say(other);
            }
        }
        for other in &named.crates {
            if !may.crates.contains(&other.as_str()) {
                say(other);
            }
        }
        if PURE.contains(&room) {
            for part in &named.of_std {
                // The engine's panics are caught there, and it asks whose thread panicked.
                let guards = part == "thread" && inside == Path::new("ledger/guard.rs");
                if IMPURE.contains(&part.as_str()) && !guards {
                    say(&format!("std::{part}"));
                }
            }
        }
        if room != "stamp" && room != "demo" {
            for clock in &named.clocks {
                if !(room == "link" && clock == "Instant::now") {
                    say(clock);
                }
            }
        }
    }
    assert!(seen > 200, "the rooms were found: {seen} files");
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn the_shell_and_the_border_name_what_they_may() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let shell = dependencies(&root.join("mobile-shell/Cargo.toml"));
    assert!(shell.contains("tallywater_bindings"));
    for other in ["tallywater_core", "rusqlite", "automerge", "iroh"] {
        assert!(!shell.contains(other), "the shell names {other}");
    }
    assert!(dependencies(&root.join("bindings/Cargo.toml")).contains("tallywater_core"));
}

#[test]
fn a_path_is_seen_wherever_it_stands() {
    let crates = ["rusqlite", "chrono", "uniffi"].map(str::to_owned).into();
    let at = ["calc".to_owned(), "lead".to_owned()];
    let text = r#"
        use crate::{course::{Skill, id::{SkillId}}, entry};
        #[cfg(test)]
        mod tests { use crate::demo::Story; }
        fn after_the_tests() { let _ = super::super::desk::Desk::open; }
        mod inner { fn up() { super::super::super::store::open(); super::super::water(); } }
        fn inside_a_macro() { println!("{}", crate::view::Board::new(rusqlite::VERSION)); }
        fn time() { let _ = (std::fs::read("x"), chrono::Utc::now()); }
        #[cfg_attr(feature = "border", derive(uniffi::Record))]
        struct Crosses { #[cfg_attr(feature = "border", uniffi(name = "to"))] from: u8 }
    "#;
    let found = named(text, &at, &crates);
    let list = |set: &BTreeSet<String>| set.iter().cloned().collect::<Vec<_>>().join(" ");
    assert_eq!(list(&found.rooms), "course desk entry store view");
    assert_eq!(list(&found.crates), "chrono rusqlite std");
    assert_eq!(list(&found.of_std), "fs");
    assert_eq!(list(&found.clocks), "Utc::now");
}
