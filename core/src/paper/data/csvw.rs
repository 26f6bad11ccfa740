//! Csvw: what the tables mean, for machines (W3C, "Metadata Vocabulary for Tabular Data",
//! 2015).

use serde_json::{Value, json};

use super::DataError;
use super::opened::{Opened, opened};
use super::sheet::Tabular;

/// The description of a group of tables that lie beside it, as `csv-metadata.json`.
///
/// # Errors
/// [`DataError`].
pub fn csvw(tables: &[&Tabular]) -> Result<Vec<u8>, DataError> {
    let tables: Vec<Value> = tables
        .iter()
        .map(|table| {
            let columns: Vec<Value> = table
                .heads
                .iter()
                .map(|head| {
                    json!({
                        "name": head.name,
                        "titles": head.name,
                        "dc:description": head.says,
                        "datatype": head.datatype.name(),
                        "required": head.required,
                    })
                })
                .collect();
            json!({
                "url": table.name.file(),
                "tableSchema": { "columns": columns, "primaryKey": table.key },
            })
        })
        .collect();
    let metadata = json!({
        "@context": "http://www.w3.org/ns/csvw",
        "dialect": {
            "encoding": "utf-8",
            "header": true,
            "delimiter": ",",
            "quoteChar": "\"",
            "doubleQuote": true,
            "lineTerminators": ["\r\n"],
        },
        "dc:description": "A text that begins with an apostrophe before one of = + - @, a tab or a return is meant without it: the apostrophe keeps a spreadsheet from taking it for a formula.",
        "tables": tables,
    });
    let bytes = serde_json::to_vec_pretty(&metadata)
        .map_err(|error| DataError::of("description")(error.to_string()))?;
    opened(Opened::Json, bytes)
}
