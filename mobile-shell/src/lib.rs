//! Tallywater's shell: the screens, and what joins them to the border.

#[allow(
    missing_docs,
    unreachable_pub,
    unused_qualifications,
    clippy::all,
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    clippy::float_cmp,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss,
    clippy::wildcard_enum_match_arm,
    clippy::todo,
    reason = "written by the toolkit's compiler"
)]
pub mod ui {
    //! The screens, as the toolkit's compiler wrote them from `ui/app.slint`.
    slint::include_modules!();
}
