//! `tallywater demo`: builds the demo school and opens it, or draws it without a display.

use std::path::Path;
use std::sync::Arc;

use tallywater_bindings::{DemoProgress, Fault, Tallywater, build_demo};

/// Prints how far it is, on one line.
struct OneLine;

impl DemoProgress for OneLine {
    fn built(&self, percent: u8) {
        eprint!("\rbuilding the demo school: {percent:>3} %");
        if percent == 100 {
            eprintln!();
        }
    }
}

/// Builds the school in the folder, says what its day is, and shows it.
pub(super) fn run(folder: &Path) -> Result<(), Fault> {
    let school = build_demo(folder.display().to_string(), Arc::new(OneLine))?;
    println!("The demo school is in {}:", folder.display());
    println!("  shop computer       {}", school.shop);
    println!("  instructor's tablet {}", school.instructor);
    println!("  assistant's tablet  {}", school.assistant);
    println!();
    let instructor = Tallywater::open(school.instructor)?;
    super::today::show(&instructor)?;
    println!();
    super::board::show(&instructor, None)?;
    println!();
    if super::display() {
        return tallywater::start::window_on(&instructor);
    }
    let pictures = folder.join("pictures");
    let told = |done, all| {
        eprint!("\rdrawing: {done:>3} of {all}");
        if done == all {
            eprintln!();
        }
    };
    let drawn = tallywater::picture::pictures(&instructor, &pictures, &told)?;
    println!(
        "There is no display: {drawn} pictures of every screen are in {}.",
        pictures.display()
    );
    Ok(())
}
