//! Compiles the screens: translations and pictures are bundled, element names are kept
//! for tests in debug builds only.

fn main() {
    println!("cargo:rerun-if-changed=../../core/lang");
    let debug = std::env::var("PROFILE").as_deref() == Ok("debug");
    let how = slint_build::CompilerConfiguration::new()
        .with_debug_info(debug)
        .with_bundled_translations("../../core/lang")
        .with_default_translation_context(slint_build::DefaultTranslationContext::None)
        .embed_resources(slint_build::EmbedResourcesKind::EmbedFiles);
    if let Err(fault) = slint_build::compile_with_config("app.slint", how) {
        println!("cargo::error={fault}");
        std::process::exit(1);
    }
}
