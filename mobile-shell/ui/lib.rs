//! The screens, as the toolkit's compiler wrote them from `app.slint`.
#![allow(clippy::all, reason = "written by the toolkit's compiler")]

slint::include_modules!();
