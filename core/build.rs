//! Reads the one catalogue of words (`lang/`) into tables that the `words` room searches, so
//! that a word that is missing, empty or said twice does not build.

use std::collections::BTreeMap;
use std::fmt::Write as _;

const CATALOGUE: &str = "lang/de/LC_MESSAGES/tallywater-screens.po";

/// Context (empty for none) and English text to the other language's text.
type Table = BTreeMap<(String, String), String>;

fn main() {
    println!("cargo:rerun-if-changed={CATALOGUE}");
    println!("cargo:rerun-if-changed=build.rs");
    if let Err(fault) = build() {
        println!("cargo::error={CATALOGUE}: {fault}");
        std::process::exit(1);
    }
}

fn build() -> Result<(), String> {
    let file = rspolib::pofile(CATALOGUE).map_err(|fault| fault.to_string())?;
    let mut table = Table::new();
    for entry in &file.entries {
        let entry = entry.unescaped().map_err(|fault| fault.to_string())?;
        let context = entry.msgctxt.unwrap_or_default();
        if let Some(many) = entry.msgid_plural {
            let [one_said, many_said] = entry.msgstr_plural.as_slice() else {
                return Err(format!(
                    "`{}` wants a text for one and for many",
                    entry.msgid
                ));
            };
            put(&mut table, &context, entry.msgid, one_said)?;
            // One and many may be the same word in English.
            if !table.contains_key(&(context.clone(), many.clone())) {
                put(&mut table, &context, many, many_said)?;
            }
        } else {
            put(
                &mut table,
                &context,
                entry.msgid,
                &entry.msgstr.unwrap_or_default(),
            )?;
        }
    }
    let mut code = String::from("&[\n");
    for ((context, english), said) in &table {
        // Soft hyphens are for narrow columns on screen; paper has hyphens of its own.
        let said = said.replace('\u{ad}', "");
        writeln!(
            code,
            "    ((r####\"{context}\"####, r####\"{english}\"####), r####\"{said}\"####),"
        )
        .map_err(|fault| fault.to_string())?;
    }
    code.push(']');
    let folder = std::env::var("OUT_DIR").map_err(|fault| fault.to_string())?;
    std::fs::write(std::path::Path::new(&folder).join("german.rs"), code)
        .map_err(|fault| fault.to_string())
}

fn put(table: &mut Table, context: &str, english: String, said: &str) -> Result<(), String> {
    if said.trim().is_empty() {
        return Err(format!("`{english}` has no text"));
    }
    let key = (context.to_owned(), english);
    match table.insert(key.clone(), said.to_owned()) {
        Some(other) if other != said => Err(format!("`{}` is translated twice", key.1)),
        _ => Ok(()),
    }
}
