//! `tallywater today`: the first screen, as text.

use tallywater_bindings::{AlertKind, Fault, SessionCard, Tallywater};

/// Prints today's sessions, the courses here and what waits.
pub(super) fn show(desk: &Tallywater) -> Result<(), Fault> {
    let today = desk.today()?;
    println!("Today, {}", today.day.date);
    for session in &today.sessions {
        line(session);
    }
    if let Some(next) = &today.next {
        println!("Next");
        line(next);
    }
    println!("Courses");
    for course in &today.courses {
        println!(
            "  {:<28} {:>3} of {:>3} skills done; students: {}, completed: {}",
            course.title, course.done, course.of, course.students, course.completed
        );
    }
    if !today.alerts.is_empty() {
        println!("Waiting for someone");
    }
    for alert in &today.alerts {
        let names: Vec<&str> = alert
            .students
            .iter()
            .map(|name| name.short.as_str())
            .collect();
        println!(
            "  {:<38} {:>3}  {}",
            words(&alert.what),
            alert.count,
            names.join(", ")
        );
    }
    Ok(())
}

fn line(session: &SessionCard) {
    println!(
        "  {} {:02}:{:02}  {}, {} (students: {}, in the water: {})",
        session.starts.day.date,
        session.starts.hour,
        session.starts.minute,
        session.title,
        session.site,
        session.students,
        session.in_water
    );
}

const fn words(what: &AlertKind) -> &'static str {
    match what {
        AlertKind::StillInWater => "still in the water past the end",
        AlertKind::OverRatio => "over the ratio",
        AlertKind::PaperBeforeWater => "paper missing or out of date",
        AlertKind::TwoViews => "two views to settle",
        AlertKind::SlippedSince => "slipped since it was met",
        AlertKind::ToConfirm => "assistant's mark to confirm",
        AlertKind::RulesUnconfirmed => "rule that nobody has confirmed",
        AlertKind::Unverified => "entry that counts for nothing",
        AlertKind::Irregular => "irregular change in the ledger",
        AlertKind::Newer => "entry from a newer version",
    }
}
