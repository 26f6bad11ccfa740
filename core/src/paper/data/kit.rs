//! The school's kit as a table: what [`crate::paper::kit_list`] reads back.

use chrono::NaiveDate;

use super::DataError;
use super::sheet::{Datatype, Field, Head, TableName, Tabular, head, needed, table};
use crate::course::KitWrong;
use crate::standing::ShopStanding;

const KIT: &[Head] = &[
    needed("piece_id", "Id of the piece", Datatype::Text),
    needed(
        "kind",
        "suit, boots, fins, mask, bcd, regulator, cylinder, weights, computer or other",
        Datatype::Text,
    ),
    needed("number", "The number on it", Datatype::Text),
    head("size", "Its size, as it stands on it", Datatype::Text),
    head("serial", "The maker's serial", Datatype::Text),
    head("serviced", "When it was last serviced", Datatype::Date),
    head(
        "service_due",
        "The last day before its next service",
        Datatype::Date,
    ),
    head(
        "test_due",
        "The last day before its next test",
        Datatype::Date,
    ),
    head("note", "A remark about the piece", Datatype::Text),
    needed(
        "faulty",
        "Whether a fault of it is not mended",
        Datatype::Boolean,
    ),
    needed(
        "overdue",
        "Whether its service or its test is overdue",
        Datatype::Boolean,
    ),
];

/// The pieces in use, by kind and number, as they are on a day. Who has one is not in it.
///
/// # Errors
/// [`DataError`].
pub fn kit_csv(shop: &ShopStanding, on: NaiveDate) -> Result<Tabular, DataError> {
    let mut pieces: Vec<_> = shop
        .pieces()
        .filter(|(_, now)| now.retired.is_none())
        .collect();
    pieces.sort_by_cached_key(|(id, now)| (now.details.place(), *id));
    let text = |text: &String| (!text.is_empty()).then(|| text.clone());
    let rows = pieces
        .into_iter()
        .map(|(id, now)| {
            let one = now.details;
            let wrong = shop.kit_wrong(&id, on);
            vec![
                Field::plain(id),
                Field::plain(one.kind.word()),
                Field::text(&one.number),
                Field::maybe_text(text(&one.size)),
                Field::maybe_text(text(&one.serial)),
                Field::maybe(one.serviced),
                Field::maybe(one.service_due),
                Field::maybe(one.test_due),
                Field::maybe_text(text(&one.note)),
                Field::plain(wrong.contains(&KitWrong::Faulty)),
                Field::plain(wrong.iter().any(|wrong| wrong.until().is_some())),
            ]
        })
        .collect();
    table(TableName::Kit, KIT, &["piece_id"], rows)
}
