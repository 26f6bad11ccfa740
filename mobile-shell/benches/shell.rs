//! Figures of the shell: a tap to changed pixels, start to the first frame, what a running
//! stopwatch takes of a core, memory by parts and with twenty live courses. Each is printed
//! beside its budget, where it has one; nothing is asserted but that the work was done, for a
//! wall clock is no test.
//!
//! `cargo bench -p tallywater --bench shell`. The frames are drawn by the software renderer
//! into memory: a window adds what the platform takes to show them.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    clippy::cast_precision_loss,
    clippy::indexing_slicing,
    missing_docs,
    reason = "a bench prints, and a broken expectation ends it"
)]

mod memory;

use std::sync::Arc;
use std::thread::sleep;
use std::time::{Duration, Instant};

use slint::ComponentHandle;
use slint::platform::WindowEvent;
use slint::{LogicalPosition, Rgb8Pixel};
use tallywater::picture::{Canvas, tour};
use tallywater::shell::{Route, Shell};
use tallywater::ui::{App, AttemptDoor, BoardDoor, Screen};
use tallywater_bindings::{Columns, DemoProgress, Request, Tallywater, build_demo};

/// How often a running stopwatch is drawn, and how often it is measured.
const TICK: Duration = Duration::from_millis(100);
const TICKS: usize = 50;

struct Silent;

impl DemoProgress for Silent {
    fn built(&self, _: u8) {}
}

fn print(what: &str, figure: f64, unit: &str, budget: f64) {
    println!(
        "{what:<58} {figure:>8.1} {unit:<2}  budget {budget:>6} {unit}  {:>4.0} % of it",
        figure / budget * 100.0
    );
}

fn ms(times: &mut [Duration], part: usize) -> f64 {
    times.sort();
    times[(times.len() - 1) * part / 100].as_secs_f64() * 1e3
}

/// Resident memory in MiB, as Linux says it; `None` elsewhere.
fn resident() -> Option<f64> {
    let text = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = text.lines().find(|line| line.starts_with("VmRSS:"))?;
    let kib: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kib / 1024.0)
}

fn main() {
    // The generated screens need more room than a main thread has in a debug build.
    let thread = std::thread::Builder::new().stack_size(64 << 20);
    let run = || match memory::asked() {
        Some(folder) => memory::measure(&folder),
        None => run(),
    };
    thread.spawn(run).unwrap().join().unwrap();
}

fn run() {
    let folder = tempfile::tempdir().unwrap();
    let into = folder.path().join("school").display().to_string();
    let school = build_demo(into, Arc::new(Silent)).unwrap();
    // Before this process opens it: one has a folder at a time.
    memory::by_parts(&school.instructor);

    let start = Instant::now();
    let desk = Tallywater::open(school.instructor.clone()).unwrap();
    let canvas = Canvas::new().unwrap();
    let ui = App::new().unwrap();
    ui.show().unwrap();
    canvas.resize((1280, 800));
    let shell = Shell::over(&ui, Arc::clone(&desk));
    let first = canvas.draw();
    let took = start.elapsed();
    assert!(
        first.iter().any(|pixel| *pixel != first[0]),
        "a blank frame"
    );
    print(
        "start to first frame, 1280 x 800",
        took.as_secs_f64() * 1e3,
        "ms",
        1_000.0,
    );

    taps(&canvas, &ui, &shell, &desk);
    stopwatch(&canvas, &ui, &shell);
    twenty_courses(&canvas, &shell, &desk);
}

/// A tap on a cell of the board opens its sheet; a tap on its cross closes it again.
fn taps(canvas: &Canvas, ui: &App, shell: &std::rc::Rc<Shell>, desk: &Arc<Tallywater>) {
    let at = desk.at_hand().unwrap().unwrap();
    let route = Route::to(Screen::Board).course(at.course).session(
        at.session
            .as_ref()
            .map_or_else(String::new, ToString::to_string),
    );
    shell.open(route);
    let mut before = canvas.draw();
    let board = desk
        .board(
            at.course.to_string(),
            at.session.map(|id| id.to_string()),
            Columns::Session,
        )
        .unwrap();
    let door = ui.global::<BoardDoor>();
    let mut times = Vec::new();
    for turn in 0..60 {
        let row = turn % board.rows.len();
        let student = board.rows[row].name.student;
        let skill = board.columns[turn % board.columns.len()].skill.clone();
        let start = Instant::now();
        // The press itself, through the window's own event path, and what a cell then says.
        ui.window().dispatch_event(WindowEvent::PointerMoved {
            position: LogicalPosition::new(640.0, 400.0),
        });
        door.invoke_open(student.to_string().into(), skill.to_string().into(), 0, 0);
        let after: Vec<Rgb8Pixel> = canvas.draw();
        times.push(start.elapsed());
        assert!(after != before, "a tap changed nothing");
        before = after;
    }
    print(
        "tap to changed pixels, 1280 x 800, p50",
        ms(&mut times, 50),
        "ms",
        33.0,
    );
    print(
        "tap to changed pixels, 1280 x 800, p99",
        ms(&mut times, 99),
        "ms",
        33.0,
    );
}

/// A stopwatch that runs, drawn as often as it asks to be: what of it is new, as a window draws
/// that keeps its pixels, and the whole window, as one that does not.
fn stopwatch(canvas: &Canvas, ui: &App, shell: &std::rc::Rc<Shell>) {
    let timed = tour(shell)
        .into_iter()
        .find(|stop| stop.name == "attempt-timed")
        .unwrap();
    (timed.go)(shell);
    let door = ui.global::<AttemptDoor>();
    let mut pixels = Vec::new();
    for _ in 0..2 {
        canvas.draw_over(&mut pixels);
        ui.window().request_redraw();
    }
    canvas.draw_over(&mut pixels);
    door.invoke_watch_toggle();
    assert!(door.get_watch().running, "the watch does not run");
    let mut spent = Duration::ZERO;
    let mut drawn = 0;
    for _ in 0..TICKS {
        sleep(TICK);
        let start = Instant::now();
        // The watch's own timer, and what it made new.
        drawn += usize::from(canvas.draw_over(&mut pixels));
        spent += start.elapsed();
    }
    assert!(drawn * 10 > TICKS * 9, "drawn {drawn} times of {TICKS}");
    print(
        "a running stopwatch, what is new",
        of_a_core(spent),
        "%",
        10.0,
    );
    let mut spent = Duration::ZERO;
    for _ in 0..TICKS {
        sleep(TICK);
        let start = Instant::now();
        canvas.draw();
        spent += start.elapsed();
    }
    print(
        "a running stopwatch, the whole window each time",
        of_a_core(spent),
        "%",
        10.0,
    );
    door.invoke_watch_toggle();
    assert!(!door.get_watch().running, "the watch does not stop");
}

/// What so much work over all ticks is of one core, in per cent: at ten ticks a second, the
/// milliseconds of a second over ten.
fn of_a_core(spent: Duration) -> f64 {
    let a_tick = spent.as_secs_f64() / TICKS as f64;
    a_tick / TICK.as_secs_f64() * 100.0
}

/// Twenty courses, each opened to its board once, as a tablet has them in a busy month.
fn twenty_courses(canvas: &Canvas, shell: &std::rc::Rc<Shell>, desk: &Arc<Tallywater>) {
    let starts = desk.day(None, 1).unwrap().date;
    let mut courses = desk.today().unwrap().courses.len();
    while courses < 20 {
        let title = format!("Course {courses}");
        let open = Request::OpenCourse {
            place: None,
            outline: tallywater_bindings::OutlineFrom::School,
            title,
            starts: starts.to_string(),
            staff: Vec::new(),
        };
        desk.record(open).unwrap();
        courses += 1;
    }
    for card in desk.today().unwrap().courses {
        shell.open(Route::to(Screen::Board).course(card.course));
        canvas.draw();
    }
    match resident() {
        Some(mib) => print("memory with 20 live courses", mib, "MB", 150.0),
        None => println!("memory with 20 live courses: not measured on this system"),
    }
}
