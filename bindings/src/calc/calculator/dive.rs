//! Dives: how long without a stop, the dive after, the wait before flying.

use super::answers::{Answers, bare, no_figure};
use super::parts::{groups, site};
use super::sheet::{Scale, Sheet, Start};
use super::{AnswerKey, AnswerNote, FieldKey, OptionKey};
use crate::{
    AfterInterval, Calculation, DayLine, DivesBefore, Fault, Figure, ModelLimit, NoStopGroup,
    NoStopLimit, PersonDay, PlannedDive, PublishedWait, Recommendation, ResidualTime,
    SecondOpinion, ShorterOpinion, after_interval, day_plan, flying_wait, second_opinion,
};

/// 190 ft, the deepest row.
const DEPTH: [f64; 2] = [0.0, 57.912];
const BOTTOM: [f64; 2] = [1.0, 1_440.0];

pub(super) fn limit(sheet: &mut Sheet<'_>) -> Result<Answers, Fault> {
    use FieldKey::{BottomTime, Depth};
    let depth = sheet.figure(Depth, Scale::Metres, DEPTH, Start(18.0, 60.0))?;
    let bottom = sheet.figure(BottomTime, Scale::Minutes, BOTTOM, Start(30.0, 30.0))?;
    let (site, water, temperature) = site(sheet)?;
    let units = &sheet.units;
    let dive = PlannedDive {
        interval: 0.0,
        depth,
        bottom,
    };
    let day = day_plan(*units, vec![dive], site.clone())?;
    let fresh = PersonDay {
        dives: vec![],
        interval: 0.0,
    };
    let opinion = second_opinion(*units, fresh, depth, site, water, temperature, None)?;
    let mut answers = opinions(opinion, None);
    match day.lines.into_iter().next() {
        None => answers = beyond(answers),
        Some(line) => {
            if let Some(group) = &line.before {
                answers = answers.also(AnswerKey::GroupBefore, letter(group));
            }
            answers = ended(answers, line);
        }
    }
    Ok(answers)
}

pub(super) fn repetitive(sheet: &mut Sheet<'_>) -> Result<Answers, Fault> {
    use FieldKey::{FirstBottomTime, FirstDepth, SecondBottomTime, SecondDepth, SurfaceInterval};
    let first = PlannedDive {
        interval: 0.0,
        depth: sheet.figure(FirstDepth, Scale::Metres, DEPTH, Start(18.0, 60.0))?,
        bottom: sheet.figure(FirstBottomTime, Scale::Minutes, BOTTOM, Start(30.0, 30.0))?,
    };
    let (longest, usual) = ([0.0, 10_080.0], Start(60.0, 60.0));
    let interval = sheet.figure(SurfaceInterval, Scale::Minutes, longest, usual)?;
    let second = PlannedDive {
        interval,
        depth: sheet.figure(SecondDepth, Scale::Metres, DEPTH, Start(12.0, 40.0))?,
        bottom: sheet.figure(SecondBottomTime, Scale::Minutes, BOTTOM, Start(30.0, 30.0))?,
    };
    let (site, water, temperature) = site(sheet)?;
    let units = &sheet.units;
    let depth = second.depth;
    let person = PersonDay {
        dives: vec![first.clone()],
        interval,
    };
    let day = day_plan(*units, vec![first, second], site.clone())?;
    let opinion = second_opinion(*units, person, depth, site, water, temperature, None)?;
    let mut lines = day.lines.into_iter();
    let Some(first) = lines.next() else {
        return Ok(opinions(opinion, Some(AnswerNote::FirstBeyondLimit)));
    };
    let mut answers =
        opinions(opinion, None).also(AnswerKey::GroupAfterFirst, letter(&first.group));
    answers = match after_interval(first.group, interval)? {
        AfterInterval::SameDive => answers.noted(
            AnswerKey::GroupBefore,
            no_figure(),
            Some(AnswerNote::SameDive),
        ),
        AfterInterval::Group { group } => answers.also(AnswerKey::GroupBefore, letter(&group)),
        AfterInterval::NotRepetitive => answers.noted(
            AnswerKey::GroupBefore,
            no_figure(),
            Some(AnswerNote::CountsAsFirst),
        ),
    };
    Ok(match lines.next() {
        None => beyond(answers),
        Some(line) => ended(answers, line),
    })
}

pub(super) fn flying(sheet: &mut Sheet<'_>) -> Result<Answers, Fault> {
    use FieldKey::CabinAltitude;
    let dives = [
        (OptionKey::SingleNoStop, DivesBefore::SingleNoStop),
        (OptionKey::RepetitiveDives, DivesBefore::Repetitive),
        (OptionKey::DivesWithStops, DivesBefore::WithStops),
        (OptionKey::ExceptionalDives, DivesBefore::Exceptional),
    ];
    let before = sheet.choice(FieldKey::DivesBefore, &dives, OptionKey::RepetitiveDives)?;
    let unknown = OptionKey::GroupNotKnown;
    let highest = sheet.choice(FieldKey::HighestGroup, &groups(), unknown)?;
    // A commercial flight's cabin is taken as 8,000 ft.
    let cabin = Start(2_438.4, 8_000.0);
    let altitude = sheet.figure(CabinAltitude, Scale::Metres, [0.0, 3_048.0], cabin)?;
    let waits = flying_wait(sheet.units, before, highest, altitude)?;
    let (wait, note) = published(waits.wait);
    let longer = match waits.longer {
        Recommendation::Workshop2002 => AnswerNote::WorkshopIsLonger,
        Recommendation::Navy => AnswerNote::NavyIsLonger,
    };
    let (workshop, workshop_note) = published(waits.workshop);
    let (navy, navy_note) = published(waits.navy);
    Ok(Answers::of(Calculation::Flying, waits.caution)
        .main(AnswerKey::Wait, wait, note.or(Some(longer)))
        .noted(AnswerKey::WaitWorkshop, workshop, workshop_note)
        .noted(AnswerKey::WaitNavy, navy, navy_note))
}

/// The shorter of both, then both.
fn opinions(opinion: SecondOpinion, note: Option<AnswerNote>) -> Answers {
    let shorter = match opinion.shorter {
        ShorterOpinion::Table => AnswerNote::TableIsShorter,
        ShorterOpinion::Model => AnswerNote::ModelIsShorter,
        ShorterOpinion::Both => AnswerNote::TableAndModelAgree,
    };
    let (limit, unlimited) = minutes(opinion.limit);
    let (table, table_note) = minutes(opinion.table);
    let (model, model_note) = match opinion.model {
        ModelLimit::Minutes { minutes } => (minutes, None),
        ModelLimit::LongerThan { minutes } => (minutes, Some(AnswerNote::LongerThan)),
    };
    Answers::of(Calculation::NoStop, opinion.caution)
        .from(Calculation::SecondOpinion)
        .main(
            AnswerKey::Limit,
            limit,
            note.or(unlimited).or(Some(shorter)),
        )
        .noted(AnswerKey::TableLimit, table, table_note)
        .noted(AnswerKey::ModelLimit, model, model_note)
}

fn minutes(limit: NoStopLimit) -> (Figure, Option<AnswerNote>) {
    match limit {
        NoStopLimit::Unlimited => (no_figure(), Some(AnswerNote::Unlimited)),
        NoStopLimit::Minutes { minutes } => (minutes, None),
    }
}

fn beyond(answers: Answers) -> Answers {
    answers.noted(
        AnswerKey::GroupAfter,
        no_figure(),
        Some(AnswerNote::BeyondLimit),
    )
}

fn ended(answers: Answers, line: DayLine) -> Answers {
    let answers = answers.also(AnswerKey::TableRow, line.row);
    let answers = match line.residual {
        ResidualTime::None => answers,
        ResidualTime::Minutes { minutes } => answers.also(AnswerKey::ResidualTime, minutes),
        ResidualTime::GroupStays => answers.noted(
            AnswerKey::ResidualTime,
            no_figure(),
            Some(AnswerNote::GroupStays),
        ),
        ResidualTime::At30 { minutes } => {
            answers.noted(AnswerKey::ResidualTime, minutes, Some(AnswerNote::ReadAt30))
        }
    };
    let answers = match line.equivalent {
        None => answers,
        Some(equivalent) => answers.also(AnswerKey::EquivalentTime, equivalent),
    };
    answers.also(AnswerKey::GroupAfter, letter(&line.group))
}

fn published(wait: PublishedWait) -> (Figure, Option<AnswerNote>) {
    match wait {
        PublishedWait::AtLeast { wait } => (wait, None),
        PublishedWait::LongerThan { wait } => (wait, Some(AnswerNote::LongerThan)),
        PublishedWait::Silent => (no_figure(), Some(AnswerNote::SourceSilent)),
    }
}

fn letter(group: &NoStopGroup) -> Figure {
    bare(format!("{group:?}"))
}
