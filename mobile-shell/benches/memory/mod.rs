//! Memory by parts: what the process has in memory after each step of a start, and of what kind
//! it is, as Linux counts it. It is measured in a process of its own: whoever builds the demo
//! school leaves a heap behind that no tablet has.
//!
//! The parts are proportional shares: what two processes map is counted half to each. The
//! screens' own fonts are part of the program; fonts of the system are files of their own.
//! The anonymous memory beside the heap is large blocks and the stacks of threads. What is drawn
//! into is part of it here, since no window shows it: its size stands under the table.

use std::path::Path;
use std::process::Command;

use slint::{ComponentHandle, Rgb8Pixel};
use tallywater::picture::{Canvas, tour};
use tallywater::shell::Shell;
use tallywater::ui::App;
use tallywater_bindings::Tallywater;

/// What the bench calls itself with, before the folder.
const ASKED: &str = "--memory-of";

/// The window's size, in pixels.
const SIZE: (u32, u32) = (1280, 800);

/// The kinds of memory, as the table heads them.
const PARTS: [&str; 6] = [
    "heap",
    "other anon",
    "stack",
    "program",
    "fonts",
    "other files",
];

/// The folder whose school is to be opened, where this process was started to measure itself.
pub(super) fn asked() -> Option<String> {
    let mut args = std::env::args().skip_while(|arg| arg != ASKED);
    args.nth(1)
}

/// Has another process of this program open the school in this folder and print its table.
pub(super) fn by_parts(folder: &str) {
    let program = std::env::current_exe().unwrap();
    let ended = Command::new(program).arg(ASKED).arg(folder).status();
    assert!(ended.unwrap().success(), "memory was not measured");
}

/// Starts step by step and prints what is in memory after each.
pub(super) fn measure(folder: &str) {
    println!("memory by parts, MB (proportional shares), 1280 x 800, software renderer");
    print!("{:<26} {:>8} {:>8}", "after", "resident", "shares");
    for part in PARTS {
        print!(" {part:>11}");
    }
    println!();
    line("the program is loaded");

    let canvas = Canvas::new().unwrap();
    let ui = App::new().unwrap();
    ui.show().unwrap();
    canvas.resize(SIZE);
    let mut pixels: Vec<Rgb8Pixel> = Vec::new();
    canvas.draw_over(&mut pixels);
    line("the window is made");

    let desk = Tallywater::open(folder.to_owned()).unwrap();
    let shell = Shell::over(&ui, desk);
    canvas.draw_over(&mut pixels);
    line("the school is open");

    for stop in tour(&shell) {
        (stop.go)(&shell);
        assert!(canvas.draw_over(&mut pixels), "{} drew nothing", stop.name);
    }
    line("every screen was shown");
    let bytes = size_of_val(pixels.as_slice());
    println!(
        "of that, what is drawn into: {:.1} MB",
        bytes as f64 / (1024.0 * 1024.0)
    );
}

/// One line of the table.
fn line(after: &str) {
    let found = rolled_up().zip(parts());
    let Some(((resident, shares), parts)) = found else {
        println!("{after:<26} not measured on this system");
        return;
    };
    print!("{after:<26} {resident:>8.1} {shares:>8.1}");
    for mib in parts {
        print!(" {mib:>11.1}");
    }
    println!();
}

/// A figure of the kernel's, in MiB: of `Pss:    12 kB` the twelve.
fn mib(line: &str) -> Option<f64> {
    let kib: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kib / 1024.0)
}

/// All that is resident, and the process's share of it, in MiB; `None` where the system does
/// not say.
fn rolled_up() -> Option<(f64, f64)> {
    let text = std::fs::read_to_string("/proc/self/smaps_rollup").ok()?;
    let of = |key: &str| mib(text.lines().find(|line| line.starts_with(key))?);
    Some((of("Rss:")?, of("Pss:")?))
}

/// The process's share of each kind, in MiB, in the order of [`PARTS`].
fn parts() -> Option<[f64; PARTS.len()]> {
    let text = std::fs::read_to_string("/proc/self/smaps").ok()?;
    let program = std::env::current_exe().ok()?;
    let mut parts = [0.0; PARTS.len()];
    let mut at = 0;
    for line in text.lines() {
        let mut words = line.split_whitespace();
        let first = words.next()?;
        // A mapping begins with its addresses; what is said of it follows, each under its key.
        if !first.ends_with(':') {
            let name: Vec<&str> = words.skip(4).collect();
            at = part_of(&name.join(" "), &program);
        } else if first == "Pss:" {
            parts[at] += mib(line)?;
        }
    }
    Some(parts)
}

/// Of what kind a mapping is, by what it is called: its place in [`PARTS`].
fn part_of(name: &str, program: &Path) -> usize {
    let path = Path::new(name);
    let ends = |endings: &[&str]| {
        let end = path.extension().and_then(|end| end.to_str());
        end.is_some_and(|end| endings.contains(&end.to_ascii_lowercase().as_str()))
    };
    if name == "[heap]" {
        0
    } else if name.is_empty() || name.starts_with("[anon") {
        1
    } else if name.starts_with('[') {
        // The main thread's stack, and the kernel's few pages beside it.
        2
    } else if path == program || name.contains(".so") {
        3
    } else if ends(&["ttf", "otf", "ttc", "pfb", "woff", "woff2"]) {
        4
    } else {
        5
    }
}
