//! One run with a real window and real clicks, under a virtual X server.

use std::fs;
use std::io::{BufRead as _, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use slint::{ComponentHandle, LogicalPosition};
use tallywater::drawing::has_graphics;
use tallywater::ui::{AppDoor, Screen};
use tallywater_bindings::{Kind, Tallywater};

use crate::support::{Stage, demo_folder, middle, roomy, seen};

pub(crate) fn there(program: &str) -> bool {
    let found = Command::new("sh")
        .args(["-c", &format!("command -v {program}")])
        .stdout(Stdio::null())
        .status();
    found.is_ok_and(|status| status.success())
}

/// Ends what it holds, also when the test fails.
pub(crate) struct Ended(pub(crate) Child);

impl Drop for Ended {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

pub(crate) fn server() -> (Ended, String) {
    let mut server = Command::new("Xvfb")
        .args([
            "-displayfd",
            "1",
            "-screen",
            "0",
            "1280x800x24",
            "-nolisten",
            "tcp",
        ])
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let mut number = String::new();
    let out = server.stdout.take().unwrap();
    BufReader::new(out).read_line(&mut number).unwrap();
    (Ended(server), format!(":{}", number.trim()))
}

fn xdotool(display: &str, line: &[&str]) -> String {
    let out = Command::new("xdotool")
        .args(line)
        .env("DISPLAY", display)
        .output()
        .unwrap();
    String::from_utf8_lossy(&out.stdout).trim().to_owned()
}

/// The program's window, once it is there.
fn shown(display: &str) -> String {
    let start = Instant::now();
    loop {
        let found = xdotool(
            display,
            &["search", "--onlyvisible", "--name", "^Tallywater$"],
        );
        if let Some(window) = found.lines().next() {
            return window.to_owned();
        }
        assert!(start.elapsed() < Duration::from_secs(60), "no window");
        std::thread::sleep(Duration::from_millis(300));
    }
}

fn click(display: &str, at: LogicalPosition) {
    let (x, y) = (at.x.round().to_string(), at.y.round().to_string());
    xdotool(display, &["mousemove", &x, &y]);
    std::thread::sleep(Duration::from_millis(200));
    xdotool(display, &["mousedown", "1"]);
    std::thread::sleep(Duration::from_millis(120));
    xdotool(display, &["mouseup", "1"]);
    std::thread::sleep(Duration::from_millis(1500));
}

/// Where the board's place, a cell and its mark are, found in a window of the same size.
fn places() -> [LogicalPosition; 3] {
    let stage = Stage::demo(1280, 800);
    let board = middle(&stage.find(|label| label == "Board").unwrap());
    stage.touch(board, 80);
    assert_eq!(stage.app.global::<AppDoor>().get_screen(), Screen::Board);
    let cell = stage
        .find(|label| label.contains(", ") && label.contains(": "))
        .unwrap();
    let cell = middle(&cell);
    stage.touch(cell, 80);
    let mark = stage.mark_button("Not yet").unwrap();
    [board, cell, middle(&mark)]
}

fn marks(desk: &Tallywater) -> u32 {
    let course = seen(desk.at_hand()).unwrap().course;
    seen(desk.activity(course.to_string(), None, None, vec![Kind::Attempt], 1)).of
}

#[test]
fn a_real_window_takes_real_clicks() {
    for program in ["Xvfb", "xdotool"] {
        if !there(program) {
            println!("skipped: {program} is not installed");
            return;
        }
    }
    roomy(|| {
        let places = places();
        let folder = demo_folder();
        let text = folder.path().display().to_string();
        let before = marks(&Tallywater::open(text.clone()).unwrap());
        let (server, display) = server();
        let shell = Command::new(env!("CARGO_BIN_EXE_tallywater"))
            .args(["--folder", &text])
            .env("DISPLAY", &display)
            .env_remove("WAYLAND_DISPLAY")
            .env("SLINT_BACKEND", "winit-software")
            .env("SLINT_SCALE_FACTOR", "1")
            .spawn()
            .unwrap();
        let shell = Ended(shell);
        let window = shown(&display);
        xdotool(&display, &["windowmove", &window, "0", "0"]);
        xdotool(&display, &["windowsize", &window, "1280", "800"]);
        std::thread::sleep(Duration::from_secs(2));
        for place in places {
            click(&display, place);
        }
        drop(shell);
        drop(server);
        // The program was killed: what it showed as saved is there all the same.
        let after = marks(&Tallywater::open(text).unwrap());
        assert_eq!(after, before + 1);
    });
}

#[test]
fn a_device_that_only_shows_is_none_that_draws() {
    let folder = tempfile::tempdir().unwrap();
    assert!(!has_graphics(&folder.path().join("dri")));
    assert!(!has_graphics(folder.path()));
    fs::write(folder.path().join("card0"), "").unwrap();
    assert!(!has_graphics(folder.path()));
    fs::write(folder.path().join("renderD128"), "").unwrap();
    assert!(has_graphics(folder.path()));
}

#[test]
fn without_a_graphics_device_no_drivers_compiler_is_taken_into_memory() {
    let played = ["Xvfb", "xdotool"].iter().all(|program| there(program));
    if !played || has_graphics(Path::new("/dev/dri")) {
        println!("skipped: no display to be had, or a device that draws");
        return;
    }
    let folder = demo_folder();
    let (server, display) = server();
    let shell = Command::new(env!("CARGO_BIN_EXE_tallywater"))
        .args(["--folder", &folder.path().display().to_string()])
        .env("DISPLAY", &display)
        .env_remove("WAYLAND_DISPLAY")
        .env_remove("SLINT_BACKEND")
        .spawn()
        .unwrap();
    let shell = Ended(shell);
    shown(&display);
    std::thread::sleep(Duration::from_secs(2));
    let maps = fs::read_to_string(format!("/proc/{}/maps", shell.0.id())).unwrap();
    assert!(maps.contains("tallywater"));
    for library in ["libLLVM", "_dri.so", "libGL"] {
        assert!(!maps.contains(library), "{library}");
    }
    drop(shell);
    drop(server);
}
