//! Parts: what several calculators ask for in the same words.

use tallywater_core::calc::cylinder::{CylinderSize as Size, Metal, starter_sizes};

use super::sheet::{Scale, Sheet, Start};
use super::{FieldKey, OptionKey};
use crate::{
    BodySize, CylinderSize, EvidenceLevel, Fault, GasMix, NoStopGroup, NoStopSite, Sea, Suit,
    SuitAge, SuitKind, WaterAt, WaterChoice, starter_cylinders,
};

/// What a gauge may read, and what a cylinder is usually filled to.
pub(super) const GAUGE: [f64; 2] = [0.0, 315.0];
/// Water that a class dives in.
const TEMPERATURE: [f64; 2] = [-2.0, 40.0];
/// The water's temperature where it hardly matters and is not asked: 10 degrees.
const ANY_TEMPERATURE: f64 = 10.0;

/// Air, or nitrox above 21 %.
pub(super) fn oxygen(sheet: &mut Sheet<'_>) -> Result<GasMix, Fault> {
    let usual = Start(21.0, 21.0);
    let oxygen = sheet.figure(FieldKey::Oxygen, Scale::Percent, [21.0, 40.0], usual)?;
    Ok(if oxygen > 21.0 {
        GasMix::Nitrox { oxygen }
    } else {
        GasMix::Air
    })
}

pub(super) fn water_capacity(sheet: &mut Sheet<'_>) -> Result<f64, Fault> {
    let usual = Start(12.0, 12.0);
    sheet.figure(FieldKey::WaterCapacity, Scale::Litres, [0.5, 50.0], usual)
}

pub(super) fn gauge(sheet: &mut Sheet<'_>, key: FieldKey, usual: Start) -> Result<f64, Fault> {
    sheet.figure(key, Scale::Gauge, GAUGE, usual)
}

/// What the water is, by the plain choices and the seas.
pub(super) fn water(sheet: &mut Sheet<'_>, key: FieldKey) -> Result<WaterChoice, Fault> {
    sheet.choice(key, &waters(), OptionKey::OpenSea)
}

pub(super) fn temperature(sheet: &mut Sheet<'_>, key: FieldKey) -> Result<f64, Fault> {
    sheet.figure(key, Scale::Celsius, TEMPERATURE, Start(18.0, 65.0))
}

/// The water with its temperature, at sea level.
pub(super) fn water_at(sheet: &mut Sheet<'_>) -> Result<WaterAt, Fault> {
    water_by(sheet, FieldKey::Water, FieldKey::Temperature)
}

/// The same by other fields.
pub(super) fn water_by(
    sheet: &mut Sheet<'_>,
    water_key: FieldKey,
    temperature_key: FieldKey,
) -> Result<WaterAt, Fault> {
    Ok(WaterAt {
        water: water(sheet, water_key)?,
        temperature: temperature(sheet, temperature_key)?,
        altitude: 0.0,
    })
}

/// The water with its temperature and altitude.
pub(super) fn water_high(sheet: &mut Sheet<'_>) -> Result<WaterAt, Fault> {
    let at = water_at(sheet)?;
    let bounds = [-500.0, 6_000.0];
    let altitude = sheet.figure(FieldKey::Altitude, Scale::Metres, bounds, Start(0.0, 0.0))?;
    Ok(WaterAt { altitude, ..at })
}

/// Where a no-stop dive is made, and in what: temperature hardly matters and is not asked.
pub(super) fn site(sheet: &mut Sheet<'_>) -> Result<(NoStopSite, WaterChoice, f64), Fault> {
    let water = water(sheet, FieldKey::Water)?;
    let sea = Start(0.0, 0.0);
    let altitude = sheet.figure(FieldKey::Altitude, Scale::Metres, [0.0, 3_048.0], sea)?;
    let bounds = [0.0, 10_080.0];
    let since = sheet.figure(FieldKey::SinceArrival, Scale::Minutes, bounds, sea)?;
    let site = NoStopSite {
        altitude,
        since_arrival: Some(since),
    };
    Ok((site, water, sheet.number(Scale::Celsius, ANY_TEMPERATURE)))
}

/// A body: nobody's until it is typed.
pub(super) fn body(sheet: &mut Sheet<'_>) -> Result<BodySize, Fault> {
    body_of(sheet, [90.0, 230.0])
}

/// A body whose lungs the published equation covers, with its age in years.
pub(super) fn adult(sheet: &mut Sheet<'_>) -> Result<(BodySize, u32), Fault> {
    let age = sheet.typed_count(FieldKey::Age, [18, 70], 30)?;
    Ok((body_of(sheet, [145.0, 195.0])?, age))
}

fn body_of(sheet: &mut Sheet<'_>, heights: [f64; 2]) -> Result<BodySize, Fault> {
    use FieldKey::{BodyHeight, BodyMass};
    Ok(BodySize {
        height: sheet.typed(BodyHeight, Scale::Centimetres, heights, Start(175.0, 69.0))?,
        mass: sheet.typed(
            BodyMass,
            Scale::Kilograms,
            [20.0, 200.0],
            Start(75.0, 165.0),
        )?,
    })
}

/// A suit; of a dry suit the thickness is the undergarment's loft.
pub(super) fn suit(sheet: &mut Sheet<'_>) -> Result<Suit, Fault> {
    use FieldKey::{SuitAge, SuitKind, SuitThickness};
    suit_by(sheet, [SuitKind, SuitThickness, SuitAge])
}

/// The suit that was worn at a check.
pub(super) fn checked_suit(sheet: &mut Sheet<'_>) -> Result<Suit, Fault> {
    use FieldKey::{CheckedSuitAge, CheckedSuitKind, CheckedSuitThickness};
    suit_by(
        sheet,
        [CheckedSuitKind, CheckedSuitThickness, CheckedSuitAge],
    )
}

fn suit_by(sheet: &mut Sheet<'_>, [kind, thickness, age]: [FieldKey; 3]) -> Result<Suit, Fault> {
    let kinds = [
        (OptionKey::NoSuit, SuitKind::None),
        (OptionKey::Shorty, SuitKind::Shorty),
        (OptionKey::OnePiece, SuitKind::OnePiece),
        (OptionKey::TwoPiece, SuitKind::TwoPiece),
        (OptionKey::DryMembrane, SuitKind::DryMembrane),
    ];
    let ages = [
        (OptionKey::NewSuit, SuitAge::New),
        (OptionKey::WornSuit, SuitAge::Worn),
    ];
    let (usual, bounds) = (Start(5.0, 5.0), [0.5, 25.0]);
    Ok(Suit {
        kind: sheet.choice(kind, &kinds, OptionKey::OnePiece)?,
        thickness: sheet.figure(thickness, Scale::Millimetres, bounds, usual)?,
        age: sheet.choice(age, &ages, OptionKey::WornSuit)?,
    })
}

/// The suit that a check was recorded with in words, as far as they can be read, in English or
/// German: how it is cut, and how thick in millimetres. A person looks at what it was taken for.
pub(super) fn suit_like(words: &str) -> Option<(OptionKey, Option<String>)> {
    let said = words.to_lowercase();
    let says = |any: &[&str]| any.iter().any(|word| said.contains(word));
    let figure = said.split_once("mm").map(|(before, _)| before.trim_end());
    let digits = figure.map(|before| {
        let number = |letter: char| !(letter.is_ascii_digit() || letter == '.' || letter == ',');
        before.rsplit(number).next().unwrap_or_default().to_owned()
    });
    let digits = digits.filter(|digits| !digits.is_empty());
    let kind = if says(&["dry", "trocken"]) {
        OptionKey::DryMembrane
    } else if says(&["short", "kurz"]) {
        OptionKey::Shorty
    } else if says(&["two", "zwei", "2 p"]) {
        OptionKey::TwoPiece
    } else if says(&["none", "no suit", "kein", "ohne"]) {
        OptionKey::NoSuit
    } else if digits.is_some() || says(&["one piece", "one-piece", "einteil", "wetsuit"]) {
        OptionKey::OnePiece
    } else {
        return None;
    };
    Some((kind, digits))
}

/// One of the sizes to begin with.
pub(super) fn cylinder(sheet: &mut Sheet<'_>, key: FieldKey) -> Result<CylinderSize, Fault> {
    let sizes = starter_cylinders(sheet.units)?;
    let options: Vec<(OptionKey, CylinderSize)> = CYLINDERS.into_iter().zip(sizes).collect();
    sheet.choice(key, &options, OptionKey::Steel12L232)
}

/// In the order of the sizes to begin with.
const CYLINDERS: [OptionKey; 12] = [
    OptionKey::Aluminium11L,
    OptionKey::Aluminium9L,
    OptionKey::Aluminium6L,
    OptionKey::Steel7L,
    OptionKey::Steel8L,
    OptionKey::Steel10L200,
    OptionKey::Steel10L232,
    OptionKey::Steel10L300,
    OptionKey::Steel12L200,
    OptionKey::Steel12L232,
    OptionKey::Steel15L200,
    OptionKey::Steel15L232,
];

/// The size nearest to a cylinder that was recorded as so many litres and in words: of the
/// metal that the words name as far as they can be read, of steel otherwise.
pub(super) fn cylinder_like(litres: &str, words: &str) -> Option<OptionKey> {
    let litres: f64 = litres.parse().ok()?;
    let light = words.to_lowercase().contains("alu");
    let sizes = CYLINDERS.into_iter().zip(starter_sizes());
    let apart = |size: &Size| (size.capacity.0 - litres).abs();
    sizes
        .filter(|(_, size)| (size.metal == Metal::Aluminium) == light)
        // Of two as near as each other the later: filled to 232 bar it is the commoner.
        .rev()
        .min_by(|(_, one), (_, other)| apart(one).total_cmp(&apart(other)))
        .map(|(option, _)| option)
}

pub(super) fn level(sheet: &mut Sheet<'_>) -> Result<EvidenceLevel, Fault> {
    let levels = [
        (OptionKey::Eighty, EvidenceLevel::Eighty),
        (OptionKey::Ninety, EvidenceLevel::Ninety),
        (OptionKey::NinetyFive, EvidenceLevel::NinetyFive),
        (OptionKey::NinetyNine, EvidenceLevel::NinetyNine),
    ];
    sheet.choice(FieldKey::Level, &levels, OptionKey::NinetyFive)
}

/// The groups of the table, after the choice of one who does not know it.
pub(super) fn groups() -> [(OptionKey, Option<NoStopGroup>); 17] {
    use NoStopGroup::{A, B, C, D, E, F, G, H, I, J, K, L, M, N, O, Z};
    [
        (OptionKey::GroupNotKnown, None),
        (OptionKey::GroupA, Some(A)),
        (OptionKey::GroupB, Some(B)),
        (OptionKey::GroupC, Some(C)),
        (OptionKey::GroupD, Some(D)),
        (OptionKey::GroupE, Some(E)),
        (OptionKey::GroupF, Some(F)),
        (OptionKey::GroupG, Some(G)),
        (OptionKey::GroupH, Some(H)),
        (OptionKey::GroupI, Some(I)),
        (OptionKey::GroupJ, Some(J)),
        (OptionKey::GroupK, Some(K)),
        (OptionKey::GroupL, Some(L)),
        (OptionKey::GroupM, Some(M)),
        (OptionKey::GroupN, Some(N)),
        (OptionKey::GroupO, Some(O)),
        (OptionKey::GroupZ, Some(Z)),
    ]
}

fn waters() -> Vec<(OptionKey, WaterChoice)> {
    let plain = [
        (OptionKey::Fresh, WaterChoice::Fresh),
        (OptionKey::Brackish, WaterChoice::Brackish),
        (OptionKey::OpenSea, WaterChoice::OpenSea),
    ];
    let seas = seas().into_iter();
    let named = seas.map(|(key, sea)| (key, WaterChoice::Named { sea }));
    plain.into_iter().chain(named).collect()
}

/// The seas that have a salinity of their own.
pub(super) fn seas() -> [(OptionKey, Sea); 18] {
    [
        (OptionKey::Adriatic, Sea::Adriatic),
        (OptionKey::ArabianGulf, Sea::ArabianGulf),
        (OptionKey::Baltic, Sea::Baltic),
        (OptionKey::BlackSea, Sea::BlackSea),
        (OptionKey::CanaryIslands, Sea::CanaryIslands),
        (OptionKey::Caribbean, Sea::Caribbean),
        (OptionKey::CoralSea, Sea::CoralSea),
        (OptionKey::GulfOfAqaba, Sea::GulfOfAqaba),
        (OptionKey::GulfOfThailand, Sea::GulfOfThailand),
        (OptionKey::Hawaii, Sea::Hawaii),
        (OptionKey::Kattegat, Sea::Kattegat),
        (OptionKey::Maldives, Sea::Maldives),
        (OptionKey::MediterraneanEast, Sea::MediterraneanEast),
        (OptionKey::MediterraneanWest, Sea::MediterraneanWest),
        (OptionKey::NorthSea, Sea::NorthSea),
        (OptionKey::PacificNorthwest, Sea::PacificNorthwest),
        (OptionKey::RedSea, Sea::RedSea),
        (OptionKey::SouthernCalifornia, Sea::SouthernCalifornia),
    ]
}
