//! Pairs and zones: proposed, kept, said apart, and beside each row.

use super::{Eyes, named};
use crate::course::{EntryId, Rule, SessionPlan, Setting, StationPlan};
use crate::entry::{Kind, Passage, SessionPlanned, Teams, TeamsSet, Who, Writer, Zone};
use crate::plan::propose_teams;
use crate::standing::sample::{
    ODD, OFFICE, PELLE, RENATE, Sample, plan, rule_id, session, skill_id, student,
};
use crate::view::{
    BoardOf, BoardView, HeadcountView, Leave, Limit, LineUpView, TeamsView, WatchPair,
};

fn who(n: u128) -> Who {
    Who::Student(student(n))
}

fn pairs(of: &[&[u128]]) -> Vec<Vec<Who>> {
    let pairs = of.iter();
    pairs
        .map(|pair| pair.iter().map(|n| who(*n)).collect())
        .collect()
}

fn teams(of: &[&[u128]], zones: &[(Writer, &[u128])]) -> Teams {
    let zones = zones.iter().map(|(writer, watches)| Zone {
        staff: writer.staff,
        watches: watches.iter().map(|n| student(*n)).collect(),
    });
    Teams {
        pairs: pairs(of),
        zones: zones.collect(),
    }
}

/// So many students, planned for sessions 1 and 2 in confined water.
fn class(rules: Vec<(&str, Rule)>, students: u128) -> Sample {
    let mut sample = Sample::with_rules(rules);
    for n in 3..=students {
        sample.enrol(n);
    }
    for held in [1, 2] {
        let starts = format!("2026-06-0{}T10:00:00+02:00", held + 1);
        let mut planned: SessionPlan = plan(Setting::Confined, &starts);
        planned.students = (1..=students).map(student).collect();
        let after = sample.now.session_entries(&session(held));
        let session = session(held);
        let body = SessionPlanned {
            session,
            plan: planned,
        };
        sample.add(OFFICE, &after, body);
    }
    sample
}

fn say(sample: &mut Sample, by: Writer, after: &[EntryId], held: u128, teams: Teams) -> EntryId {
    let session = session(held);
    sample.add(by, after, TeamsSet { session, teams })
}

/// Everybody of age but those, born on that day.
fn eyes(students: u128, born: &[(u128, Option<&str>)]) -> Eyes {
    let mut eyes = Eyes::new();
    for n in 1..=students {
        let born = born
            .iter()
            .find(|(one, _)| *one == n)
            .map_or(Some("1990-05-05"), |(_, born)| *born);
        let name = format!("Swimmer {}", char::from(b'A' + u8::try_from(n).unwrap()));
        eyes.people.students.insert(student(n), named(&name, born));
    }
    eyes
}

fn view(sample: &Sample, eyes: &Eyes, held: u128) -> TeamsView {
    TeamsView::of(&sample.now, &eyes.reader(RENATE), &session(held)).unwrap()
}

fn proposed(sample: &Sample, eyes: &Eyes, held: u128) -> Teams {
    let reader = eyes.reader(RENATE);
    propose_teams(&sample.now, &session(held), |id| reader.age(id))
}

const PAIR: (&str, Rule) = ("pair", Rule::PairWithAdult { under: 18 });

#[test]
fn an_odd_number_makes_one_of_three_and_everybody_is_watched_within_their_share() {
    let sample = class(Vec::new(), 5);
    let eyes = eyes(5, &[]);
    let found = proposed(&sample, &eyes, 1);
    assert_eq!(found.pairs, pairs(&[&[1, 2], &[3, 4, 5]]));
    // Four for the instructor, two more for the assistant.
    assert_eq!(
        found.zones,
        teams(&[], &[(RENATE, &[3, 4, 5]), (PELLE, &[1, 2])]).zones
    );
    let shown = view(&sample, &eyes, 1);
    assert!(shown.kept.is_none() && shown.alone.is_empty() && shown.unwatched.is_empty());
    let zones: Vec<_> = shown
        .zones
        .iter()
        .map(|row| (row.most, row.limit))
        .collect();
    assert_eq!(zones, [(Some(4), Limit::Within), (Some(2), Limit::Within)]);
    assert_eq!(shown.teams, found);
}

#[test]
fn the_young_are_each_beside_somebody_of_age_and_an_assistant_helps_out() {
    let sample = class(vec![PAIR], 4);
    // Two young, one whose age nobody knows, one of age.
    let eyes = eyes(
        4,
        &[(1, Some("2012-01-01")), (2, Some("2012-01-01")), (4, None)],
    );
    let found = proposed(&sample, &eyes, 1);
    let with_assistant = found
        .pairs
        .iter()
        .filter(|pair| pair.contains(&Who::Staff(PELLE.staff)));
    assert_eq!(with_assistant.count(), 1, "{found:?}");
    let zones: Vec<_> = found.zones.iter().map(|zone| zone.staff).collect();
    assert_eq!(zones, [RENATE.staff], "a buddy watches nobody else");
    let shown = view(&sample, &eyes, 1);
    // Three may be young, one is known to be of age, and the assistant's age nobody recorded.
    let limits: Vec<Limit> = shown.pairs.iter().map(|pair| pair.young).collect();
    let lacking = limits
        .iter()
        .filter(|limit| matches!(limit, Limit::Over | Limit::Unknown));
    assert_eq!(lacking.count(), 1, "{limits:?}");
}

#[test]
fn two_of_the_young_together_say_so_and_so_does_an_unknown_age() {
    let mut sample = class(vec![PAIR], 6);
    let eyes = eyes(
        6,
        &[(1, Some("2012-01-01")), (2, Some("2012-01-01")), (4, None)],
    );
    say(
        &mut sample,
        RENATE,
        &[],
        1,
        teams(&[&[1, 2], &[3, 4], &[5, 6]], &[]),
    );
    let shown = view(&sample, &eyes, 1);
    let young: Vec<_> = shown
        .pairs
        .iter()
        .map(|pair| (pair.young, pair.rule.clone()))
        .collect();
    assert_eq!(
        young,
        [
            (Limit::Over, Some(rule_id("pair"))),
            (Limit::Within, Some(rule_id("pair"))),
            (Limit::NoRule, None)
        ]
    );
    let after = shown.seen;
    say(
        &mut sample,
        RENATE,
        &after,
        1,
        teams(&[&[1, 4], &[2, 3], &[5, 6]], &[]),
    );
    let shown = view(&sample, &eyes, 1);
    assert_eq!(
        shown.pairs[0].young,
        Limit::Over,
        "one young, nobody of age"
    );
    assert_eq!(shown.pairs[1].young, Limit::Within);
}

#[test]
fn an_assistant_whose_age_nobody_recorded_makes_no_pair_kept() {
    let mut sample = class(vec![PAIR], 4);
    let eyes = eyes(
        4,
        &[(1, Some("2012-01-01")), (2, Some("2012-01-01")), (3, None)],
    );
    let assistant = Who::Staff(PELLE.staff);
    let mut said = Teams {
        pairs: vec![vec![who(1), assistant], vec![who(3), who(4)]],
        zones: Vec::new(),
    };
    let limits = |sample: &Sample| -> Vec<Limit> {
        let pairs = view(sample, &eyes, 1).pairs;
        pairs.iter().map(|pair| pair.young).collect()
    };
    say(&mut sample, RENATE, &[], 1, said.clone());
    assert_eq!(limits(&sample), [Limit::Unknown, Limit::Within]);
    // Two of the young beside one assistant are more than can be of age.
    said.pairs = vec![vec![who(1), who(2), assistant], vec![who(3), who(4)]];
    let after = view(&sample, &eyes, 1).seen;
    say(&mut sample, RENATE, &after, 1, said);
    assert_eq!(limits(&sample), [Limit::Over, Limit::Within]);
}

#[test]
fn nobody_is_paired_twice_with_the_same_buddy_while_others_are_there() {
    let mut sample = class(Vec::new(), 4);
    let eyes = eyes(4, &[]);
    say(&mut sample, RENATE, &[], 1, teams(&[&[1, 2], &[3, 4]], &[]));
    let found = proposed(&sample, &eyes, 2);
    for pair in pairs(&[&[1, 2], &[3, 4]]) {
        assert!(!found.pairs.contains(&pair), "{found:?}");
    }
    assert_eq!(found.pairs.len(), 2);
}

#[test]
fn the_planners_own_pairs_begin_it_and_whoever_does_not_come_is_in_none() {
    let mut sample = class(Vec::new(), 5);
    let eyes = eyes(5, &[]);
    let mut laid = sample.now.sessions()[&session(1)].plan.clone();
    laid.stations = vec![StationPlan {
        staff: PELLE.staff,
        runs: Vec::new(),
        buddies: vec![vec![student(1), student(4)], vec![student(2), student(5)]],
    }];
    let after = sample.now.session_entries(&session(1));
    let body = SessionPlanned {
        session: session(1),
        plan: laid,
    };
    sample.add(OFFICE, &after, body);
    let at = "2026-06-02T10:01:00+02:00";
    sample.pass(who(5), 1, Passage::Absent, at);
    let found = proposed(&sample, &eyes, 1);
    assert_eq!(found.pairs, pairs(&[&[1, 4], &[2, 3]]));
    assert_eq!(found.watched_by(&student(1)), Some(PELLE.staff));
    assert_eq!(found.watched_by(&student(2)), Some(RENATE.staff));
    assert_eq!(found.watched_by(&student(5)), None);
}

#[test]
fn what_two_devices_say_apart_is_shown_until_somebody_who_saw_both_says_what_holds() {
    let mut sample = class(Vec::new(), 4);
    let eyes = eyes(4, &[]);
    let by_pelle = teams(&[&[1, 2], &[3, 4]], &[(PELLE, &[1, 2])]);
    let by_renate = teams(&[&[1, 3], &[2, 4]], &[(PELLE, &[1, 2])]);
    let one = say(&mut sample, PELLE, &[], 1, by_pelle.clone());
    let two = say(&mut sample, RENATE, &[], 1, by_renate.clone());
    let shown = view(&sample, &eyes, 1);
    assert_eq!(
        shown.teams, by_renate,
        "the instructor's, of the session's staff"
    );
    assert_eq!(shown.apart.len(), 1);
    assert_eq!(shown.apart[0].entry, one);
    assert_eq!(shown.apart[0].teams, by_pelle);
    assert_eq!(shown.apart[0].by.staff, PELLE.staff);
    assert_eq!(shown.apart[0].differs.len(), 4);
    // The same in any order.
    let mut turned = sample.lines.clone();
    turned.reverse();
    let again = Sample::read(&turned);
    assert_eq!(again.teams(&session(1)), sample.now.teams(&session(1)));
    // One who saw only one of them leaves the other open.
    let three = say(&mut sample, ODD, &[one], 1, by_pelle.clone());
    let shown = view(&sample, &eyes, 1);
    assert_eq!(shown.teams, by_renate, "Odd is not of this session");
    assert_eq!(shown.apart[0].entry, three);
    // Who saw both settles it.
    say(&mut sample, PELLE, &[two, three], 1, by_pelle.clone());
    let shown = view(&sample, &eyes, 1);
    assert_eq!(shown.teams, by_pelle);
    assert!(shown.apart.is_empty());
    assert_eq!(shown.kept.unwrap().by.name, "Pelle Strand");
}

#[test]
fn the_same_said_apart_is_no_difference() {
    let mut sample = class(Vec::new(), 4);
    let eyes = eyes(4, &[]);
    say(&mut sample, PELLE, &[], 1, teams(&[&[1, 2], &[3, 4]], &[]));
    say(&mut sample, RENATE, &[], 1, teams(&[&[4, 3], &[2, 1]], &[]));
    assert!(view(&sample, &eyes, 1).apart.is_empty());
}

#[test]
fn more_than_ones_share_is_over_and_a_rule_that_nobody_confirmed_is_never_kept() {
    let mut sample = class(Vec::new(), 4);
    let eyes = eyes(4, &[]);
    let said = teams(&[], &[(PELLE, &[1, 2, 3]), (RENATE, &[4])]);
    say(&mut sample, RENATE, &[], 1, said.clone());
    let limits = |sample: &Sample| -> Vec<(Option<u32>, Limit)> {
        let zones = view(sample, &eyes, 1).zones;
        zones.iter().map(|zone| (zone.most, zone.limit)).collect()
    };
    assert_eq!(
        limits(&sample),
        [(Some(4), Limit::Within), (Some(2), Limit::Over)]
    );
    let mut sample = Sample::new();
    say(
        &mut sample,
        RENATE,
        &[],
        1,
        teams(&[], &[(RENATE, &[1, 2])]),
    );
    assert_eq!(
        limits(&sample)[0],
        (Some(4), Limit::Unconfirmed),
        "confirmed by nobody"
    );
}

#[test]
fn rows_of_board_line_up_and_headcount_say_whose_buddy_and_whose_zone() {
    let mut sample = class(Vec::new(), 4);
    let eyes = eyes(4, &[]);
    let board = |sample: &Sample| {
        let asked = BoardOf {
            session: Some(session(1)),
            ..BoardOf::default()
        };
        BoardView::of(&sample.now, &eyes.reader(RENATE), asked)
    };
    assert_eq!(board(&sample).rows[0].team.pair, None, "a proposal is none");
    let said = teams(&[&[1, 2], &[3]], &[(RENATE, &[1, 2]), (PELLE, &[3])]);
    say(&mut sample, RENATE, &[], 1, said);
    let team = &board(&sample).rows[0].team;
    assert_eq!(team.pair, Some(1));
    assert_eq!(team.buddies[0].who(), who(2));
    assert_eq!(team.watched_by.as_ref().unwrap().staff, RENATE.staff);
    let line = LineUpView::of(
        &sample.now,
        &eyes.reader(RENATE),
        &skill_id("once"),
        Some(session(1)),
    );
    assert_eq!(line.unwrap().rows[2].team.pair, Some(2));
    sample.pass(who(1), 1, Passage::In, "2026-06-02T10:05:00+02:00");
    let count = HeadcountView::of(&sample.now, &eyes.reader(RENATE), &session(1)).unwrap();
    assert!(!count.teams_differ);
    let groups: Vec<_> = count
        .teams
        .iter()
        .map(|group| group.staff.as_ref().map(|name| name.staff))
        .collect();
    assert_eq!(groups, [Some(RENATE.staff), Some(PELLE.staff), None]);
    let pair: &WatchPair = &count.teams[0].pairs[0];
    assert_eq!((pair.number, pair.in_water, pair.split), (Some(1), 1, true));
    let nobody: &WatchPair = &count.teams[2].pairs[0];
    assert_eq!((nobody.number, nobody.members[0].who()), (None, who(4)));
    // Without pairs the headcount is what it always was.
    let other = HeadcountView::of(&sample.now, &eyes.reader(RENATE), &session(2)).unwrap();
    assert!(other.teams.is_empty());
    assert_eq!(other.may_count, Leave::Yes);
}

#[test]
fn the_office_plans_and_says_no_pairs() {
    let sample = class(Vec::new(), 2);
    let eyes = eyes(2, &[]);
    let by = |writer| {
        let view = TeamsView::of(&sample.now, &eyes.reader(writer), &session(1));
        view.unwrap().may_set
    };
    assert_eq!((by(PELLE), by(OFFICE)), (Leave::Yes, Leave::Role));
    assert_eq!(Kind::TeamsSet.word(), "teams_set");
}
