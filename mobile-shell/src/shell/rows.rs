//! Rows: lists that change by row, so that what stays is not drawn anew.

use slint::{Model as _, ModelRc, SharedString, VecModel};

/// Makes a model hold these rows; rows that are the same stay untouched.
pub(crate) fn fill<T: Clone + PartialEq + 'static>(model: &VecModel<T>, rows: Vec<T>) {
    let many = rows.len();
    for (place, row) in rows.into_iter().enumerate() {
        match model.row_data(place) {
            Some(there) if there == row => {}
            Some(_) => model.set_row_data(place, row),
            None => model.push(row),
        }
    }
    while model.row_count() > many {
        model.remove(model.row_count().saturating_sub(1));
    }
}

/// Rows as a model that is replaced whole: for lists that nobody taps a hundred times.
pub(crate) fn rows<T: Clone + 'static>(rows: impl IntoIterator<Item = T>) -> ModelRc<T> {
    ModelRc::new(VecModel::from(rows.into_iter().collect::<Vec<T>>()))
}

/// Texts as a model that is replaced whole.
pub(crate) fn list<T: Into<SharedString>>(
    texts: impl IntoIterator<Item = T>,
) -> ModelRc<SharedString> {
    rows(texts.into_iter().map(Into::into))
}
