#!/usr/bin/env bash
# Builds the shell with Cargo where Xcode expects it. Called by the project's build step.
set -euo pipefail
program="$1"
PATH="$HOME/.cargo/bin:$PATH"

case "${PLATFORM_NAME:?}" in
    iphoneos) target=aarch64-apple-ios ;;
    iphonesimulator) target=aarch64-apple-ios-sim ;;
    *) echo "no build for ${PLATFORM_NAME}" >&2; exit 1 ;;
esac

profile=debug
flags=()
if [ "${CONFIGURATION:-Debug}" != Debug ]; then
    profile=release
    flags=(--release)
fi

# Xcode's own SDK settings confuse build scripts that run on the Mac itself.
unset SDKROOT

cd "$(dirname "$0")/../.."
cargo build --package tallywater --bin "$program" --target "$target" ${flags[@]+"${flags[@]}"}
cp "target/$target/$profile/$program" "${TARGET_BUILD_DIR:?}/${EXECUTABLE_PATH:?}"
