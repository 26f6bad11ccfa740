//! Keys: the words that a calculator screen translates, every one an enum.

/// A calculator of the screen, in the order in which an instructor looks for it.
#[allow(missing_docs, reason = "each name says what it works out")]
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Enum)]
pub enum Calculator {
    NoStopLimit,
    RepetitiveDive,
    BeforeFlying,
    MinimumReserve,
    TurnPressure,
    SurfaceRate,
    LeadStart,
    LeadChange,
    DropWeights,
    Supervision,
    CylinderContents,
    CylinderBuoyancy,
    SuitBuoyancy,
    PressureAtDepth,
    DepthAtPressure,
    WaterDensity,
    DensityBySalinity,
    AirAtAltitude,
    AltitudeByAir,
    ShareMet,
    Agreement,
}

impl Calculator {
    pub(super) const ALL: [Self; 21] = [
        Self::NoStopLimit,
        Self::RepetitiveDive,
        Self::BeforeFlying,
        Self::MinimumReserve,
        Self::TurnPressure,
        Self::SurfaceRate,
        Self::LeadStart,
        Self::LeadChange,
        Self::DropWeights,
        Self::Supervision,
        Self::CylinderContents,
        Self::CylinderBuoyancy,
        Self::SuitBuoyancy,
        Self::PressureAtDepth,
        Self::DepthAtPressure,
        Self::WaterDensity,
        Self::DensityBySalinity,
        Self::AirAtAltitude,
        Self::AltitudeByAir,
        Self::ShareMet,
        Self::Agreement,
    ];
}

macro_rules! field_keys {
    ($($key:ident = $word:literal),* $(,)?) => {
        /// What a field asks for.
        #[allow(missing_docs, reason = "each name says what is asked")]
        #[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Enum)]
        pub enum FieldKey { $($key),* }

        impl FieldKey {
            /// What a fault calls the field; stays the same across versions.
            pub(super) const fn word(self) -> &'static str {
                match self { $(Self::$key => $word),* }
            }
        }
    };
}
field_keys! {
    Age = "age",
    AirPressure = "air_pressure",
    Altitude = "altitude",
    AmbientPressure = "ambient_pressure",
    AscentRate = "ascent_rate",
    Assistants = "assistants",
    AverageDepth = "average_depth",
    BodyHeight = "body_height",
    BodyMass = "body_mass",
    BothMet = "both_met",
    BottomTime = "bottom_time",
    CabinAltitude = "cabin_altitude",
    Cap = "cap",
    CheckedCylinder = "checked_cylinder",
    CheckedLead = "checked_lead",
    CheckedPressure = "checked_pressure",
    CheckedSuitAge = "checked_suit_age",
    CheckedSuitKind = "checked_suit_kind",
    CheckedSuitThickness = "checked_suit_thickness",
    CheckedTemperature = "checked_temperature",
    CheckedWater = "checked_water",
    Cylinder = "cylinder",
    CylinderMetal = "cylinder_metal",
    CylinderPressure = "cylinder_pressure",
    Depth = "depth",
    DitchableLead = "ditchable_lead",
    Divers = "divers",
    DivesBefore = "dives_before",
    DiveTime = "dive_time",
    EmptyMass = "empty_mass",
    EndPressure = "end_pressure",
    Experience = "experience",
    FirstBottomTime = "first_bottom_time",
    FirstDepth = "first_depth",
    FirstMetAlone = "first_met_alone",
    FixedLead = "fixed_lead",
    GasTemperature = "gas_temperature",
    HighestGroup = "highest_group",
    InWater = "in_water",
    Instructors = "instructors",
    KitBuoyancy = "kit_buoyancy",
    KitMass = "kit_mass",
    Level = "level",
    Met = "met",
    Minors = "minors",
    Motion = "motion",
    NeitherMet = "neither_met",
    Oxygen = "oxygen",
    PerAssistant = "per_assistant",
    PerInstructor = "per_instructor",
    ReactionTime = "reaction_time",
    Reserve = "reserve",
    Salinity = "salinity",
    SecondBottomTime = "second_bottom_time",
    SecondDepth = "second_depth",
    SecondMetAlone = "second_met_alone",
    SinceArrival = "since_arrival",
    StartPressure = "start_pressure",
    StartTemperature = "start_temperature",
    StopDepth = "stop_depth",
    StopTime = "stop_time",
    StressedRate = "stressed_rate",
    SuitAge = "suit_age",
    SuitKind = "suit_kind",
    SuitThickness = "suit_thickness",
    SurfaceInterval = "surface_interval",
    Temperature = "temperature",
    Tries = "tries",
    TrimmedAt = "trimmed_at",
    TrimmedLead = "trimmed_lead",
    TurnRule = "turn_rule",
    ValveMass = "valve_mass",
    Visibility = "visibility",
    Water = "water",
    WaterCapacity = "water_capacity",
    WorkingPressure = "working_pressure",
    WornLead = "worn_lead",
}

/// What a choice offers.
#[allow(missing_docs, reason = "each name is the choice")]
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Enum)]
pub enum OptionKey {
    // Waters.
    Fresh,
    Brackish,
    OpenSea,
    Adriatic,
    ArabianGulf,
    Baltic,
    BlackSea,
    CanaryIslands,
    Caribbean,
    CoralSea,
    GulfOfAqaba,
    GulfOfThailand,
    Hawaii,
    Kattegat,
    Maldives,
    MediterraneanEast,
    MediterraneanWest,
    NorthSea,
    PacificNorthwest,
    RedSea,
    SouthernCalifornia,
    // Cylinders and their metal.
    Steel,
    Aluminium,
    Aluminium11L,
    Aluminium9L,
    Aluminium6L,
    Steel7L,
    Steel8L,
    Steel10L200,
    Steel10L232,
    Steel10L300,
    Steel12L200,
    Steel12L232,
    Steel15L200,
    Steel15L232,
    // Suits.
    NoSuit,
    Shorty,
    OnePiece,
    TwoPiece,
    DryMembrane,
    NewSuit,
    WornSuit,
    // Turning.
    DirectAscent,
    ThereAndBack,
    Thirds,
    // Before flying.
    SingleNoStop,
    RepetitiveDives,
    DivesWithStops,
    ExceptionalDives,
    GroupNotKnown,
    GroupA,
    GroupB,
    GroupC,
    GroupD,
    GroupE,
    GroupF,
    GroupG,
    GroupH,
    GroupI,
    GroupJ,
    GroupK,
    GroupL,
    GroupM,
    GroupN,
    GroupO,
    GroupZ,
    // Supervision.
    Calm,
    SomeMotion,
    StrongMotion,
    FirstDive,
    DivedBefore,
    // Levels of an interval.
    Eighty,
    Ninety,
    NinetyFive,
    NinetyNine,
}

/// What an answer is.
#[allow(missing_docs, reason = "each name says what is answered")]
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Enum)]
pub enum AnswerKey {
    // No-stop.
    Limit,
    TableLimit,
    ModelLimit,
    TableRow,
    GroupAfter,
    GroupBefore,
    GroupAfterFirst,
    ResidualTime,
    EquivalentTime,
    // Before flying.
    Wait,
    WaitWorkshop,
    WaitNavy,
    // Gas.
    Reserve,
    ReserveGas,
    ReserveReaction,
    ReserveAscent,
    ReserveStop,
    ReserveLast,
    Turn,
    SurfaceRate,
    SurfaceRateIdeal,
    GasUsed,
    StressedRate,
    GasHeld,
    GasHeldIdeal,
    GasMass,
    // Lead.
    Lead,
    LeadLow,
    LeadHigh,
    LiftBody,
    LiftLungs,
    LiftSuit,
    LiftCylinder,
    LiftKit,
    LiftCheckedFigure,
    LiftOtherWater,
    LiftOtherCylinder,
    LiftOtherSuit,
    SinksWithoutLead,
    /// How the weight that is worn stands, where it lies within the range: no figure.
    Worn,
    /// By how much the weight that is worn is less than the lowest.
    WornTooLittle,
    /// By how much it is more than the highest.
    WornTooMuch,
    /// The gas that the BCD must hold for what is too much.
    WornJacket,
    AfterDropAtSurface,
    AfterDropAtDepth,
    // What floats. Positive floats.
    CylinderEmpty,
    CylinderAtReserve,
    CylinderFull,
    SuitAtSurface,
    SuitAtSurfaceLow,
    SuitAtSurfaceHigh,
    SuitAtDepth,
    SuitAtDepthLow,
    SuitAtDepthHigh,
    SuitKept,
    // Water and air.
    Density,
    SalinityUsual,
    SalinityLowest,
    SalinityHighest,
    AmbientPressure,
    SurfacePressure,
    Depth,
    Altitude,
    ArrivalGroup,
    // Supervision: the ceiling, and each step to it as the number after it.
    Ceiling,
    StepInstructors,
    StepAssistant,
    StepCap,
    StepVisibility,
    StepMotion,
    StepTemperature,
    StepMinors,
    StepFirstDive,
    // Evidence.
    ShareMet,
    ShareLow,
    ShareHigh,
    Kappa,
    KappaLow,
    KappaHigh,
    KappaError,
    SameMarks,
    SameMarksLow,
    SameMarksHigh,
}

/// What must be said of an answer beside its figure; where there is no figure, instead of one.
#[allow(
    missing_docs,
    reason = "each name is what is said, unless a line says more"
)]
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Enum)]
pub enum AnswerNote {
    /// The source sets no limit.
    Unlimited,
    /// At least this long; how much longer the source does not say.
    LongerThan,
    TableIsShorter,
    ModelIsShorter,
    TableAndModelAgree,
    /// The dive that was asked lies beyond the limit: no such dive.
    BeyondLimit,
    /// The first dive lies beyond its own limit already.
    FirstBeyondLimit,
    /// The group has no time on this row that could be added; it stays as it is.
    GroupStays,
    /// Read on the row of 30 ft.
    ReadAt30,
    /// So long an interval that the dive counts as a first one.
    CountsAsFirst,
    /// So short an interval that both are one dive.
    SameDive,
    /// The source says nothing for this altitude.
    SourceSilent,
    WorkshopIsLonger,
    NavyIsLonger,
    /// The gas of the ascent sets the figure.
    AscentGoverns,
    /// The floor of 50 bar sets it: the ascent needs less.
    FloorGoverns,
    /// The cylinder holds no more than the reserve: no dive on it.
    NotEnoughGas,
    /// The reserve is set aside first; all that is above it is for the dive.
    AllAboveReserve,
    /// The same; half of what is above it each way.
    HalfAboveReserve,
    /// The same; of what is above it a third out, a third back, a third kept.
    ThirdAboveReserve,
    /// From the student's own last check.
    FromOwnCheck,
    /// An estimate: a start for the check in the water, never an answer.
    FromEstimate,
    /// So wide a range that an assistant belongs beside the student.
    WideRange,
    /// The worn lead lies within the range; the check in the water still decides.
    WornWithin,
    /// Too little: the diver may not be able to stay down at reserve.
    WornUnder,
    /// Too much: the jacket must hold gas for it, which grows on the way up.
    WornOver,
    PositiveAtDepth,
    PositiveAtSurfaceOnly,
    NotPositive,
    /// The policy's figures are confirmed by nobody: never to be shown as good.
    PolicyUnconfirmed,
    OverCeiling,
    NoInstructor,
    /// So poor a sight that each student needs a member of staff.
    OneForEachStaff,
    StrongMotion,
    PoorVisibility,
    Cold,
    /// Both gave one and the same mark throughout: agreement beyond chance cannot be computed.
    KappaUndefined,
}
