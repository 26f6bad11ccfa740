//! Lists that are drawn whole: for screens that nobody taps a hundred times.

use slint::{ModelRc, VecModel};

/// Rows as a model.
pub(super) fn rows<T: Clone + 'static>(rows: impl IntoIterator<Item = T>) -> ModelRc<T> {
    ModelRc::new(VecModel::from(rows.into_iter().collect::<Vec<T>>()))
}
