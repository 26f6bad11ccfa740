//! What to expect: exact small cases from scipy, and whether four in five is four in five.
//!
//! The exact values are of scipy 1.17.1, as in `fixtures/published/expect_scipy.py`.

use crate::course::RunForm;
use crate::plan::expect::{
    Course, Draws, Evidence, Held, Load, MOST_SESSIONS, Prior, Spread, Tally, Task, bit, expect,
};

/// Name and value, as `expect_scipy.py` writes them.
const SCIPY: &str = include_str!("../../../../fixtures/published/expect_scipy.csv");

fn exact(name: &str) -> f64 {
    let row = SCIPY.lines().skip(1).find_map(|line| {
        let (row, value) = line.split_once(',')?;
        (row == name).then(|| value.parse().unwrap())
    });
    row.unwrap_or_else(|| panic!("{name} is not in the file"))
}

fn task(needs: Vec<usize>, form: RunForm) -> Task {
    Task {
        setup: 2,
        turn: 2,
        form,
        needs,
        places: bit(0) | bit(1),
        weight: 1,
        helped: false,
    }
}

/// A class that has one skill to meet `times` times, a session each, all at once; a session
/// is as long as one round of it.
fn one_skill(students: usize, times: u32) -> Course {
    let load = Load {
        more: times,
        ..Load::default()
    };
    Course {
        tasks: vec![task(Vec::new(), RunForm::Together)],
        held: Held {
            loads: vec![vec![load]; students],
            dives: vec![0; students],
        },
        minutes: vec![4, 4],
        planned: Vec::new(),
        stations: 1,
        helpers: 0,
    }
}

/// The mean sessions of the slowest, over so many ways.
fn slowest(students: usize, chance: f64, times: u32) -> f64 {
    let course = one_skill(students, times);
    let chances = vec![vec![chance]; students];
    let mut draws = Draws::new(7);
    let ways = 20_000;
    let all = (0..ways).map(|_| {
        let end = course.roll(&chances, &mut draws);
        f64::from(end.students.into_iter().max().unwrap())
    });
    all.sum::<f64>() / f64::from(ways)
}

#[test]
fn the_slowest_of_a_class_takes_as_long_as_the_exact_distribution_says() {
    // Four standard errors of 20,000 ways are 0.04 at most.
    for (name, students, chance, times) in [
        ("slowest_8_0.7_1", 8, 0.7, 1),
        ("slowest_12_0.6_1", 12, 0.6, 1),
        ("slowest_8_0.7_2", 8, 0.7, 2),
        ("slowest_8_0.7_3", 8, 0.7, 3),
    ] {
        let found = slowest(students, chance, times);
        assert!((found - exact(name)).abs() < 0.04, "{name}: {found}");
    }
}

#[test]
fn a_share_drawn_from_the_prior_gives_the_beta_geometric() {
    let mut draws = Draws::new(3);
    let ways = 20_000;
    let shares: Vec<f64> = (0..ways).map(|_| draws.beta(7, 3)).collect();
    for tries in 1..=4_u32 {
        let met = shares
            .iter()
            .map(|share| 1.0 - (0..tries).fold(1.0, |left, _| left * (1.0 - share)));
        let mean = met.sum::<f64>() / f64::from(ways);
        let name = format!("beta_geometric_7_3_{tries}");
        assert!((mean - exact(&name)).abs() < 0.005, "{name}: {mean}");
    }
}

#[test]
fn the_generator_is_the_published_one() {
    // SplitMix64 from 1234567, as its reference implementation prints.
    let mut draws = Draws::new(1_234_567);
    let first = [draws.bits(), draws.bits(), draws.bits()];
    assert_eq!(
        first,
        [
            6_457_827_717_110_365_317,
            3_203_168_211_198_807_973,
            9_817_491_932_198_370_423
        ]
    );
}

#[test]
fn the_same_seed_gives_the_same_answer_and_asking_to_stop_stops() {
    let course = one_skill(5, 2);
    let evidence = Evidence {
        prior: Prior::default(),
        tries: vec![vec![Tally::default()]; 5],
    };
    let of = |seed| expect(&evidence, &course, 200, seed, &mut || true).unwrap();
    assert_eq!(of(1), of(1));
    assert_ne!(of(1).class, of(2).class);
    let mut left = 3;
    let mut go_on = || {
        left -= 1;
        left > 0
    };
    assert_eq!(expect(&evidence, &course, 200, 1, &mut go_on), None);
    assert_eq!(left, 0, "it stopped at once");
}

#[test]
fn a_course_that_cannot_end_is_said_not_to_and_is_not_waited_for() {
    let mut course = one_skill(2, 1);
    // Longer than any session.
    course.tasks[0].turn = 90;
    let found = expect(&Evidence::default(), &course, 20, 1, &mut || true).unwrap();
    assert_eq!(
        (found.unended, found.class.quantile(10)),
        (20, MOST_SESSIONS)
    );
}

#[test]
fn whoever_misses_goes_again_once_the_same_day_where_minutes_are_left() {
    let mut course = one_skill(1, 1);
    // Nobody ever meets it: the tries of one session are counted.
    let tries = |course: &Course| {
        let (_, tries) = course.begin(&[vec![0.0]], 1, &mut Draws::new(1));
        tries[0][0].missed
    };
    assert_eq!(tries(&course), 1, "no minutes are left");
    course.minutes = vec![6, 6];
    assert_eq!(tries(&course), 2, "without showing it again");
    course.minutes = vec![60, 60];
    assert_eq!(tries(&course), 2, "then another day");
}

#[test]
fn an_assistant_is_a_station_more_for_what_an_assistant_may_run_and_for_nothing_else() {
    let mut course = one_skill(4, 1);
    // Two turns of ten minutes a session.
    course.tasks = vec![Task {
        setup: 0,
        turn: 10,
        ..task(Vec::new(), RunForm::OneByOne)
    }];
    course.minutes = vec![20, 20];
    let sessions = |course: &Course| {
        let end = course.roll(&vec![vec![1.0]; 4], &mut Draws::new(1));
        end.students.into_iter().max().unwrap()
    };
    assert_eq!(sessions(&course), 2);
    course.helpers = 1;
    assert_eq!(sessions(&course), 2, "only an instructor may run it");
    course.tasks[0].helped = true;
    assert_eq!(sessions(&course), 1);
}

#[test]
fn a_span_of_whole_sessions_holds_as_nearly_as_it_can_what_it_says() {
    let spread = Spread::of([1, 2, 2, 2, 2, 2, 2, 3, 3, 3].into());
    assert_eq!((spread.quantile(10), spread.quantile(90)), (1, 3));
    assert_eq!(spread.most(), (2, 3), "nine of ten, not seven and not all");
    assert_eq!(Spread::of(vec![4; 10]).most(), (4, 4));
    // The middle is in both, and the half in the four of five.
    let even = Spread::of([2, 2, 3, 3].into());
    assert_eq!((even.quantile(50), even.half()), (2, (2, 2)));
    let skew = Spread::of([[2; 13].as_slice(), &[3; 15], &[4; 22]].concat());
    assert_eq!((skew.most(), skew.half()), ((3, 4), (3, 3)));
}

#[test]
fn spans_are_counted_and_nothing_gives_nought() {
    let spread = Spread::of((1..=10).collect());
    // From the third to the eighth are six of ten; half are five, the later of two such.
    assert_eq!((spread.half(), spread.most()), ((4, 8), (2, 9)));
    assert_eq!(
        (spread.within_per_mille(4), spread.within_per_mille(0)),
        (400, 0)
    );
    let none = Spread::of(Vec::new());
    assert_eq!((none.quantile(50), none.within_per_mille(3)), (0, 0));
}

/// A course of pool and dives like a real one in small: lines, pairs and together, chains,
/// skills of both waters and of two sessions.
fn like_a_course(students: usize) -> Course {
    let forms = [RunForm::OneByOne, RunForm::Pairs, RunForm::Together];
    let skills = 12_usize;
    let tasks = (0..skills).map(|at| Task {
        weight: u32::try_from(skills - at).unwrap(),
        ..task(at.checked_sub(3).into_iter().collect(), forms[at % 3])
    });
    let load = |at: usize| Load {
        at: if at.is_multiple_of(4) {
            bit(0) | bit(1)
        } else {
            bit(0)
        },
        more: u32::from(at.is_multiple_of(5)),
        once: false,
    };
    Course {
        tasks: tasks.collect(),
        held: Held {
            loads: vec![(0..skills).map(load).collect(); students],
            dives: vec![4; students],
        },
        minutes: vec![45, 40],
        planned: Vec::new(),
        stations: 1,
        helpers: 0,
    }
}

/// About normal: the sum of twelve draws.
fn normal(draws: &mut Draws) -> f64 {
    (0..12).map(|_| draws.unit()).sum::<f64>() - 6.0
}

/// A thousand courses from seeds that no constant of the forecast was chosen by. Each has
/// its own shares, students who differ by a spread of their own, and three sessions behind
/// it; then the truth goes on by the same hand.
#[test]
fn four_in_five_is_four_in_five_on_a_thousand_courses_never_seen() {
    let (courses, ways) = (1_000_u64, 99_u32);
    let mut tenths = [0_u32; 10];
    let (mut held, mut inside) = (0_u32, 0_u32);
    for number in 0..courses {
        let mut draws = Draws::new(5_000_000_000 + number * 7_919);
        let students = 3 + usize::try_from(number % 4).unwrap();
        let course = like_a_course(students);
        let spread = 0.2 + draws.unit();
        let shares: Vec<f64> = (0..12).map(|_| draws.beta(7, 3)).collect();
        let truth: Vec<Vec<f64>> = (0..students)
            .map(|_| {
                let odds = (normal(&mut draws) * spread).exp();
                shares
                    .iter()
                    .map(|share| share * odds / (share * odds + 1.0 - share))
                    .collect()
            })
            .collect();
        let (left, tries) = course.begin(&truth, 3, &mut draws);
        let now = Course {
            held: left,
            ..course
        };
        let evidence = Evidence {
            prior: Prior::default(),
            tries,
        };
        let end = now
            .roll(&truth, &mut draws)
            .students
            .into_iter()
            .max()
            .unwrap();
        let found = expect(&evidence, &now, ways, number, &mut || true)
            .unwrap()
            .class;
        let (from, to) = found.most();
        held += u32::from((from..=to).contains(&end));
        // The rank of the truth among the ways, ties broken by a draw.
        let below = found.all().iter().filter(|one| **one < end).count();
        let same = found.all().iter().filter(|one| **one == end).count();
        let rank = below + usize::try_from(draws.bits() % (same as u64 + 1)).unwrap();
        tenths[(rank / 10).min(9)] += 1;
        inside += u32::from((10..90).contains(&rank));
    }
    let share = f64::from(inside) / 1_000.0;
    assert!(
        (0.76..=0.84).contains(&share),
        "{share} of the truths lie within, ties broken"
    );
    // Sessions are whole: what is told is whichever span of whole numbers is nearest.
    assert!(
        (760..=840).contains(&held),
        "{held} of {courses} within whole sessions"
    );
    // Flat ranks: chi squared of ten equal classes, nine degrees of freedom, one in a hundred.
    let flat: f64 = tenths
        .iter()
        .map(|one| (f64::from(*one) - 100.0).powi(2) / 100.0)
        .sum();
    assert!(flat < exact("chi2_9_0.99"), "{flat}: {tenths:?}");
}

#[test]
fn who_misses_often_is_expected_to_take_longer_and_nobody_is_certain() {
    let course = one_skill(2, 3);
    let tally = |met, missed| vec![Tally { met, missed }; 6];
    let evidence = Evidence {
        prior: Prior::default(),
        tries: vec![tally(0, 3), tally(3, 0)],
    };
    let mut wide = course;
    wide.minutes = vec![60, 60];
    wide.tasks = vec![task(Vec::new(), RunForm::Together); 6];
    for loads in &mut wide.held.loads {
        *loads = vec![loads[0]; 6];
    }
    let found = expect(&evidence, &wide, 400, 1, &mut || true).unwrap();
    let middle = |student: usize| found.students[student].quantile(50);
    assert!(middle(0) > middle(1));
    let (from, to) = found.students[0].most();
    assert!(to > from);
}
