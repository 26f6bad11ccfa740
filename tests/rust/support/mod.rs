//! What tests share: devices, clocks, a school; and entries that are the same every time.

pub(crate) mod devices;
pub(crate) mod entries;
pub(crate) mod files;
pub(crate) mod hostile;
pub(crate) mod kit;
pub(crate) mod links;
pub(crate) mod media;
pub(crate) mod stamps;
pub(crate) mod stranger;

/// How many rounds are played: what this variable of the environment asks for, else this many.
pub(crate) fn asked<N: std::str::FromStr>(variable: &str, usual: N) -> N {
    let Ok(text) = std::env::var(variable) else {
        return usual;
    };
    let number = text.parse().ok();
    number.unwrap_or_else(|| panic!("{variable} is to be a number"))
}

/// How many cases a property tries.
pub(crate) fn cases(usual: u32) -> u32 {
    asked("PROPTEST_CASES", usual)
}
