//! Android: what the system starts. It is compiled for that platform alone, and no CI of
//! ours has its SDK: see the README.

use slint::android::AndroidApp;
use tallywater_bindings::Fault;

/// Called by the system on a thread of its own; the window is its activity.
#[expect(unsafe_code, reason = "the system finds it by this name")]
#[unsafe(no_mangle)]
fn android_main(app: AndroidApp) {
    if let Err(fault) = run(app) {
        // There is no window to say it in.
        tracing::error!(%fault, "the window did not open");
    }
}

fn run(app: AndroidApp) -> Result<(), Fault> {
    let failed = |what: &str| Fault::Internal {
        detail: what.to_owned(),
    };
    let folder = app
        .internal_data_path()
        .ok_or_else(|| failed("the app has no folder of its own"))?;
    slint::android::init(app).map_err(|error| failed(&error.to_string()))?;
    crate::start::window(&folder)
}
