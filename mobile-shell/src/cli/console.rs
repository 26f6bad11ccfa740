//! Console: Windows opens one for a program that was started from a menu. The window needs
//! none.

/// Gives back a console that was opened for this program alone; one that somebody typed the
/// command into stays.
#[cfg(windows)]
#[expect(
    unsafe_code,
    reason = "the system's own calls, with a list that outlives them"
)]
pub(super) fn give_back_own() {
    #[link(name = "kernel32")]
    unsafe extern "system" {
        fn GetConsoleProcessList(list: *mut u32, most: u32) -> u32;
        fn FreeConsole() -> i32;
    }
    let mut list = [0_u32; 2];
    // SAFETY: the list holds as many as it is said to, and both calls only look at this process.
    unsafe {
        if GetConsoleProcessList(list.as_mut_ptr(), 2) == 1 {
            FreeConsole();
        }
    }
}

#[cfg(not(windows))]
pub(super) const fn give_back_own() {}
