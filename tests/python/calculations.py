"""Every calculation across the border, in metric and imperial, against the published rows."""

import csv
import inspect
import math
import os
import unittest

import tallywater as tw
from calculator_door import begun
from school import BorderTest, new_folder

METRIC, IMPERIAL = tw.Units.METRIC, tw.Units.IMPERIAL
FIXTURES = os.path.join(os.path.dirname(__file__), "..", "..", "fixtures")
LEVELS = {
    "0.8": tw.EvidenceLevel.EIGHTY,
    "0.9": tw.EvidenceLevel.NINETY,
    "0.95": tw.EvidenceLevel.NINETY_FIVE,
    "0.99": tw.EvidenceLevel.NINETY_NINE,
}
GROUPS = "ABCDEFGHIJKLMNOZ"
FOOT = 0.3048


def rows(*path):
    with open(os.path.join(FIXTURES, *path), encoding="utf-8") as file:
        yield from csv.DictReader(line for line in file if not line.startswith("#"))


def published(name):
    return list(rows("published", name))


def table(name):
    return list(rows("tables", f"us_navy_rev7_table_{name}.csv"))


def number(figure):
    return float(figure.text)


def group(letter):
    return tw.NoStopGroup[letter]


def clock(text):
    hours, minutes = text.split(":")
    return int(hours) * 60 + int(minutes)


def sea(temperature=18.0, altitude=0.0):
    return tw.WaterAt(
        water=tw.WaterChoice.OPEN_SEA(), temperature=temperature, altitude=altitude
    )


SUIT = tw.Suit(kind=tw.SuitKind.ONE_PIECE, thickness=5.0, age=tw.SuitAge.WORN)
BODY = {METRIC: tw.BodySize(height=175.0, mass=75.0), IMPERIAL: tw.BodySize(height=69.0, mass=165.0)}
AIR = tw.GasMix.AIR()
SITE = tw.NoStopSite(altitude=0.0, since_arrival=None)


def question(units):
    metric = units == METRIC
    return tw.LeadQuestion(
        body=BODY[units],
        age=30,
        suit=SUIT,
        at=sea(18.0 if metric else 64.4),
        cylinder=tw.starter_cylinders(units)[9],
        mix=AIR,
        reserve=50.0 if metric else 730.0,
        kit=0.0,
    )


class Published(BorderTest):
    def near(self, ours, theirs, within, what=None):
        self.assertLessEqual(abs(ours - theirs), within, (what, ours, theirs))

    def test_density_is_that_of_the_published_equation(self):
        # Two equations of state, half of the last printed digit between them.
        for row in published("density_gsw.csv"):
            water = tw.WaterChoice.SALINITY(float(row["salinity"]))
            celsius, theirs = float(row["celsius"]), float(row["density"])
            self.near(number(tw.water_density(METRIC, water, celsius)), theirs, 0.065, row)
            fahrenheit = celsius * 1.8 + 32.0
            pounds = theirs * FOOT**3 / 0.45359237
            self.near(number(tw.water_density(IMPERIAL, water, fahrenheit)), pounds, 0.0055, row)

    def test_pressure_at_depth_grows_as_the_density_says_and_turns_back(self):
        density = tw.WaterChoice.DENSITY(1025.0)
        at = tw.WaterAt(water=density, temperature=10.0, altitude=0.0)
        for metres in (0.0, 3.0, 10.0, 18.0, 30.0, 40.0):
            theirs = 1.01325 + 1025.0 * 9.80665 * metres / 1e5
            found = tw.pressure_at(METRIC, at, metres)
            self.near(number(found), theirs, 0.0051)
            self.assertEqual(found.unit, tw.UnitOfMeasure.BAR)
            self.near(number(tw.depth_at(METRIC, at, theirs)), metres, 0.051)
        feet = tw.WaterAt(water=tw.WaterChoice.OPEN_SEA(), temperature=50.0, altitude=0.0)
        found = tw.pressure_at(IMPERIAL, feet, 33.0)
        self.assertEqual(found.unit, tw.UnitOfMeasure.PSI)
        self.near(number(found), 29.4, 0.1)
        self.near(number(tw.depth_at(IMPERIAL, feet, number(found))), 33.0, 0.3)
        # U.S. Standard Atmosphere, 1976: 795.0 hPa at 2,000 m.
        self.near(number(tw.surface_pressure(METRIC, 2_000.0)), 0.795, 0.0051)
        self.near(number(tw.altitude_of(METRIC, 0.795)), 2_000.0, 1.0)
        self.near(number(tw.surface_pressure(IMPERIAL, 0.0)), 14.7, 0.05)
        self.near(number(tw.altitude_of(IMPERIAL, 14.696)), 0.0, 1.0)
        salty = tw.typical_salinity(tw.Sea.RED_SEA)
        self.assertLess(number(salty.lowest), number(salty.typical))
        self.assertLess(number(salty.typical), number(salty.highest))

    def test_gas_is_as_real_as_the_reference_says(self):
        for row in published("air_coolprop.csv"):
            z = tw.compressibility(METRIC, AIR, float(row["bar"]), float(row["celsius"]))
            self.near(z / float(row["z"]), 1.0, 5e-4, row)
            kilograms = number(tw.gas_density(METRIC, AIR, float(row["bar"]), float(row["celsius"])))
            self.near(kilograms, float(row["density"]), 0.051 + 5e-4 * kilograms, row)
            psi, fahrenheit = float(row["bar"]) * 14.503774, float(row["celsius"]) * 1.8 + 32.0
            imperial = tw.compressibility(IMPERIAL, AIR, psi, fahrenheit)
            self.near(imperial, z, 1e-6, row)
        for row in published("nitrox_coolprop.csv"):
            oxygen = float(row["oxygen"]) * 100.0
            if 21.0 <= oxygen <= 40.0:
                mix = tw.GasMix.NITROX(oxygen)
                z = tw.compressibility(METRIC, mix, float(row["bar"]), float(row["celsius"]))
                self.near(z / float(row["z"]), 1.0, 1.9e-3, row)

    def test_every_row_of_the_no_stop_table_in_feet_and_in_metres(self):
        for row in table("9_7"):
            for units, depth in ((IMPERIAL, float(row["fsw"])), (METRIC, float(row["fsw"]) * FOOT)):
                limit = tw.no_stop(units, depth, None)
                self.assertEqual((limit.row.text, limit.row.unit.name), (row["fsw"], "FOOT_SEA_WATER"))
                if row["limit"] == "unlimited":
                    self.assertIsInstance(limit.limit, tw.NoStopLimit.UNLIMITED)
                else:
                    self.assertEqual(limit.limit.minutes.text, row["limit"])
                self.assertEqual(limit.caution, tw.Caution.TABLE_AND_COMPUTER_FIRST)
                for letter in GROUPS:
                    if row[letter].isdigit():
                        end = tw.no_stop_end(units, depth, None, float(row[letter]))
                        self.assertEqual(end.group, group(letter), (row["fsw"], letter))

    def test_eighteen_metres_and_a_foot_more_are_on_different_rows(self):
        for units, depth, fsw in (
            (METRIC, 18.0, "60"),
            (METRIC, 18.3, "70"),
            (IMPERIAL, 60.0, "60"),
            (IMPERIAL, 60.1, "70"),
        ):
            limits = {row["fsw"]: row["limit"] for row in table("9_7")}
            found = tw.no_stop(units, depth, None)
            self.assertEqual((found.row.text, found.limit.minutes.text), (fsw, limits[fsw]))

    def test_every_interval_and_every_residual_time(self):
        for row in table("9_8_interval"):
            before = group(row["from"])
            for letter in GROUPS:
                if row[letter]:
                    for minutes in row[letter].split("-"):
                        left = tw.after_interval(before, float(clock(minutes)))
                        self.assertEqual(left.group, group(letter), (row["from"], minutes))
            end = float(clock(row["not_repetitive_after"]))
            after = tw.after_interval(before, end + 1.0)
            self.assertIsInstance(after, tw.AfterInterval.NOT_REPETITIVE)
            self.assertIsInstance(tw.after_interval(before, 9.9), tw.AfterInterval.SAME_DIVE)
        for row in table("9_8_residual"):
            for letter in GROUPS:
                if row[letter].isdigit():
                    found = tw.no_stop(IMPERIAL, float(row["fsw"]), group(letter)).residual
                    self.assertEqual(found.minutes.text, row[letter], (row["fsw"], letter))

    def test_waits_before_flying_and_groups_on_arrival(self):
        for row in table("9_6"):
            for feet in range(1_000, 11_000, 1_000):
                for units, altitude in ((IMPERIAL, float(feet)), (METRIC, feet * FOOT)):
                    single = tw.DivesBefore.SINGLE_NO_STOP
                    waits = tw.flying_wait(units, single, group(row["group"]), altitude)
                    theirs = row[str(feet)]
                    self.assertEqual(clock(waits.navy.wait.text), clock(theirs))
                    self.assertEqual(waits.navy.wait.unit, tw.UnitOfMeasure.HOUR)
                    self.assertEqual(waits.caution, tw.Caution.SHORTEST_WAIT)
                    if isinstance(waits.wait, tw.PublishedWait.AT_LEAST):
                        self.assertGreaterEqual(clock(waits.wait.wait.text), clock(theirs))
        twice = tw.flying_wait(IMPERIAL, tw.DivesBefore.REPETITIVE, group("A"), 8_000.0)
        self.assertEqual((twice.wait.wait.text, twice.longer.name), ("18:00", "WORKSHOP2002"))
        heavy = tw.flying_wait(METRIC, tw.DivesBefore.WITH_STOPS, None, 2_438.4)
        self.assertIsInstance(heavy.workshop, tw.PublishedWait.LONGER_THAN)
        for row in table("9_5"):
            altitude, letter = list(row.values())[:2]
            self.assertEqual(tw.arrival_group(IMPERIAL, float(altitude)), group(letter))
        self.assertIsNone(tw.arrival_group(METRIC, 0.0))

    def test_evidence_is_counted_as_published(self):
        for row in published("wilson_statsmodels.csv"):
            found = tw.share_met(int(row["met"]), int(row["tries"]), LEVELS[row["level"]])
            self.near(number(found.interval.low), 100 * float(row["low"]), 0.051, row)
            self.near(number(found.interval.high), 100 * float(row["high"]), 0.051, row)
            self.assertEqual(found.caution, tw.Caution.TOO_FEW_TO_PROVE)
        for row in published("beta_scipy.csv"):
            found = tw.posterior(int(row["met"]), int(row["tries"]), 80.0, LEVELS[row["level"]])
            self.near(number(found.mean), 100 * float(row["mean"]), 0.051, row)
            self.near(number(found.interval.low), 100 * float(row["low"]), 0.051, row)
            self.near(number(found.above), 100 * float(row["above_080"]), 0.051, row)
        for row in published("kappa_statsmodels.csv"):
            marks = [[int(cell) for cell in line.split()] for line in row["table"].split(";")]
            kappa = tw.agreement(marks, tw.EvidenceLevel.NINETY_FIVE).kappa
            self.near(number(kappa.kappa), float(row["kappa"]), 0.0051, row)
            self.near(number(kappa.error), float(row["standard_error"]), 0.0051, row)
            self.near(number(kappa.error_by_chance), float(row["standard_error_null"]), 0.0051, row)
        easy = tw.agreement([[12, 0], [0, 0]], tw.EvidenceLevel.NINETY_FIVE)
        self.assertIsInstance(easy.kappa, tw.Kappa.NO_DISAGREEMENT)
        self.assertEqual((easy.kappa.items, easy.share.share.text), (12, "100"))
        # Two of three met the skill at the first and second try; one is still trying.
        tries = [
            tw.StudentTries(attempts=attempts, end=end)
            for attempts, end in (
                (1, tw.AttemptEnd.MET),
                (2, tw.AttemptEnd.MET),
                (3, tw.AttemptEnd.NOT_YET),
            )
        ]
        curve = tw.attempt_curve(tries, tw.EvidenceLevel.NINETY_FIVE)
        self.assertEqual((curve.students, curve.met, curve.median), (3, 2, 2))
        self.assertEqual([step.not_yet.text for step in curve.steps], ["66.7", "33.3"])


class Both(BorderTest):
    """What has no published row: both systems say the same, and what may hurt says so."""

    def same(self, metric, imperial, per, within):
        self.assertLessEqual(abs(number(metric) * per - number(imperial)), within)

    def test_cylinders_float_and_hold_the_same_in_either_system(self):
        held = tw.cylinder_contents(METRIC, 12.0, 200.0, 20.0, AIR)
        pounds = tw.cylinder_contents(IMPERIAL, 12.0, 200.0 * 14.503774, 68.0, AIR)
        self.same(held.real, pounds.real, 1 / 28.316847, 0.06)
        self.same(held.mass, pounds.mass, 1 / 0.45359237, 0.17)
        self.assertEqual((held.caution, pounds.caution), (tw.Caution.GAUGE_FIRST,) * 2)
        # Counted at 1 bar and down to an empty gauge: 12 L times 50 bar.
        self.assertEqual(tw.pressure_holding(METRIC, 600.0, 12.0, 20.0, AIR).text, "50")
        self.assertEqual(tw.water_density(IMPERIAL, tw.WaterChoice.FRESH(), 28.4).unit.name, "POUND_CUBIC_FOOT")
        self.assertEqual(tw.pressure_holding(IMPERIAL, 1_000.0, 12.0, 68.0, AIR).unit, tw.UnitOfMeasure.PSI)
        self.assertEqual(tw.gas_density(IMPERIAL, AIR, 14.7, 68.0).text, "0.08")
        sizes = tw.starter_cylinders(METRIC)
        self.assertEqual(len(sizes), len(tw.starter_cylinders(IMPERIAL)))
        floats = tw.cylinder_buoyancy(METRIC, sizes[9], 50.0, AIR, sea(18.0))
        other = tw.cylinder_buoyancy(
            IMPERIAL, tw.starter_cylinders(IMPERIAL)[9], 725.19, AIR, sea(64.4)
        )
        self.same(floats.full, other.full, 1 / 0.45359237, 0.17)
        self.assertLess(number(floats.full), number(floats.reserve))
        self.assertLess(number(floats.reserve), number(floats.empty))
        for units in (METRIC, IMPERIAL):
            suit = tw.suit_buoyancy(units, SUIT, BODY[units], sea(50.0 if units == IMPERIAL else 10.0), 18.0)
            self.assertLess(number(suit.at_depth.likely), number(suit.surface.likely))
            self.assertEqual(suit.caution, tw.Caution.CHECK_IN_WATER)

    def test_lead_begins_with_the_estimate_and_then_with_the_own_check(self):
        for units in (METRIC, IMPERIAL):
            asked = question(units)
            start = tw.lead_start(units, asked, None)
            self.assertEqual(start.source, tw.LeadSource.ESTIMATE)
            self.assertEqual(start.caution, tw.Caution.CHECK_IN_WATER)
            self.assertEqual(len(start.to_confirm), 7)
            check = tw.OwnCheck(
                lead=6.0 if units == METRIC else 13.0,
                at=asked.at,
                cylinder=asked.cylinder,
                mix=AIR,
                pressure=asked.reserve,
                suit=SUIT,
                kit_mass=8.0,
            )
            own = tw.lead_start(units, asked, check)
            self.assertEqual(own.source, tw.LeadSource.OWN_CHECK)
            self.assertEqual(number(own.lead.likely), check.lead)
            worn = tw.judge_worn_lead(units, 38.0, asked, None)
            self.assertIsInstance(worn, tw.WornLead.OVER)
            self.assertIsInstance(tw.judge_worn_lead(units, check.lead, asked, check), tw.WornLead.WITHIN)
            drop = tw.DropQuestion(
                trimmed=check.lead,
                trimmed_at=asked.reserve,
                ditchable=check.lead,
                fixed=0.0,
                cylinder=asked.cylinder,
                mix=AIR,
                pressure=200.0 if units == METRIC else 2_900.0,
                suit=SUIT,
                body=BODY[units],
                at=asked.at,
                depth=12.0 if units == METRIC else 40.0,
            )
            outcome = tw.drop_lead(units, drop)
            self.assertEqual(outcome.caution, tw.Caution.CHECK_IN_WATER)
            self.assertGreater(number(outcome.at_surface), number(outcome.at_depth))

    def test_gas_for_a_class(self):
        for units in (METRIC, IMPERIAL):
            metric = units == METRIC
            deep, fill, rate = (18.0, 200.0, 20.0) if metric else (60.0, 3_000.0, 0.7)
            water = sea(18.0 if metric else 64.4)
            plan = tw.usual_ascent(units, deep)
            pair = [number(tw.stressed_rate(units, rate))] * 2
            least = tw.minimum_reserve(units, plan, pair, 12.0, AIR, water)
            self.assertEqual(least.caution, tw.Caution.GAUGE_FIRST)
            self.assertGreaterEqual(number(least.pressure), 50.0 if metric else 730.0)
            rule = tw.TurnRule.THERE_AND_BACK
            turn = tw.turn_pressure(units, fill, number(least.pressure), rule)
            self.assertGreaterEqual(number(turn.pressure), (fill + number(least.pressure)) / 2)
            diver = tw.ClassDiver(rate=rate, capacity=12.0, mix=AIR, start=fill)
            hungry = tw.ClassDiver(rate=1.5 * rate, capacity=10.0, mix=AIR, start=fill)
            seen = tw.class_reserve(
                units, plan, rule, [diver, hungry], diver, tw.GivesTo.TWO, water
            )
            self.assertEqual((seen.first_to_turn, seen.caution), (1, tw.Caution.GAUGE_FIRST))
            dive = tw.BreathingDive(
                capacity=12.0,
                mix=AIR,
                start=fill,
                end=fill / 2,
                start_temperature=water.temperature,
                at=water,
                exposure=tw.Exposure.AVERAGE(depth=deep, time=25.0),
            )
            found = tw.surface_rate(units, dive)
            history = tw.rate_history(units, [number(found.real)] * 3)
            self.assertEqual(history.dives, 3)
            self.assertEqual(history.origin, tw.FigureOrigin.OWN_RECORD)
            default = tw.rate_history(units, [])
            self.assertEqual(default.origin, tw.FigureOrigin.COMMON_PRACTICE)
            self.assertAlmostEqual(number(default.plan_with), tw.planning_rate(units), 1)

    def test_a_class_dives_no_longer_than_the_one_who_dived_most(self):
        for units, deep in ((METRIC, 18.0), (IMPERIAL, 60.0)):
            dive = tw.PlannedDive(interval=0.0, depth=deep, bottom=35.0)
            fresh = tw.PersonDay(dives=[], interval=0.0)
            twice = tw.PersonDay(dives=[dive], interval=60.0)
            day = tw.day_plan(units, [dive], SITE)
            self.assertEqual((day.highest, day.caution), (group("G"), tw.Caution.TABLE_AND_COMPUTER_FIRST))
            seen = tw.class_limit(units, [fresh, twice], deep, SITE)
            self.assertEqual((seen.limit.minutes.text, seen.shortest), ("28", 1))
            warm = 10.0 if units == METRIC else 50.0
            water = tw.WaterChoice.OPEN_SEA()
            both = tw.second_opinion(units, twice, deep, SITE, water, warm, None)
            self.assertLessEqual(number(both.limit.minutes), 28)
            factors = tw.GradientFactors(low=100.0, high=100.0)
            free = tw.second_opinion(units, fresh, deep, SITE, water, warm, factors)
            self.assertGreater(number(free.model.minutes), number(both.model.minutes))

    def test_ascents(self):
        for units, per in ((METRIC, 1.0), (IMPERIAL, 1 / FOOT)):
            points = ((0, 0.0), (60, 12.0), (600, 12.0), (640, 0.5), (700, 0.0))
            samples = [tw.ProfileSample(time=float(t), depth=d * per) for t, d in points]
            step = tw.SampleStep(depth=0.1 * per, time=1.0)
            report = tw.ascent_report(units, samples, tw.usual_ascent_rate(units), step)
            self.assertEqual(report.verdict, tw.AscentVerdict.TOO_FAST)
            self.assertTrue(report.too_fast)
            batches = tw.count_ascents(units, samples, 3.0 * per)
            day = tw.ascent_day(units, batches, 4)
            self.assertEqual((day.ascents, day.left), (1, 3))
            self.assertEqual(tw.ascent_day(units, batches * 5, 4).standing, tw.AscentStanding.OVER)

    def test_a_ceiling_is_never_good_on_an_unconfirmed_policy(self):
        staff = tw.StaffNow(instructors=2, assistants=[tw.AssistantCount.COUNTS] * 2)
        for units in (METRIC, IMPERIAL):
            fine = tw.WaterConditions(
                visibility=15.0 if units == METRIC else 50.0,
                motion=tw.WaterMotion.CALM,
                temperature=24.0 if units == METRIC else 75.0,
                minors=0,
                experience=tw.DiveExperience.DIVED_BEFORE,
            )
            for setting in tw.CeilingSetting:
                policy = tw.starter_ceiling(setting)
                house = tw.starter_reductions(units)
                for in_water in range(0, 40):
                    seen = tw.supervision(units, policy, staff, fine, house, in_water)
                    self.assertIn(
                        seen.standing, (tw.CeilingStanding.UNCONFIRMED, tw.CeilingStanding.OVER)
                    )
                    self.assertEqual(seen.caution, tw.Caution.CEILING_NOT_TARGET)
                policy.confirmation = tw.PolicyConfirmation.CONFIRMED
                good = tw.supervision(units, policy, staff, fine, house, 1)
                self.assertEqual(good.standing, tw.CeilingStanding.BELOW)
            # 2 x 8 and 2 x 2 more, and never more than 12 in the whole water.
            self.assertEqual(seen.ceiling, 12)

    def test_every_calculation_names_its_sources(self):
        for calculation in tw.Calculation:
            found = tw.sources(calculation)
            self.assertTrue(found and all(source.citation for source in found), calculation)


class Quiet(tw.DemoProgress):
    def built(self, percent):
        pass


class OfCourse(BorderTest):
    """What is reckoned from what the demo school has logged and judged."""

    @classmethod
    def setUpClass(cls):
        school = tw.build_demo(new_folder(), Quiet())
        cls.shop = tw.Tallywater.open(school.shop)
        courses = [row.course for row in cls.shop.course_list(None).rows]
        water = {course: cls.shop.water(course, None) for course in courses}
        cls.dived = [course for course in courses if water[course].dives]
        cls.weighed = [course for course in courses if water[course].weights]
        cls.water = water
        cls.courses = courses

    def test_every_session_says_who_turns_first_or_why_not(self):
        reserves, own = 0, 0
        for course in self.courses:
            sessions = self.shop.session_list(course)
            for card in sessions.rows:
                seen = self.shop.gas(course, card.session, tw.TurnRule.THERE_AND_BACK)
                everybody = seen.students + seen.staff
                if seen.open is None:
                    reserves += 1
                    self.assertIsNotNone(seen.first_to_turn)
                    for row in everybody:
                        self.assertEqual(row.reserve.reserve.caution, tw.Caution.GAUGE_FIRST)
                own += sum(row.dives > 0 for row in everybody)
                for row in everybody:
                    if row.dives == 0:
                        self.assertEqual(row.rate_origin, tw.FigureOrigin.COMMON_PRACTICE)
        self.assertTrue(reserves and own)
        with self.assertRaises(tw.Fault.NotFound):
            other = "00000000-0000-0000-0000-000000000000"
            self.shop.gas(self.courses[0], other, tw.TurnRule.THIRDS)

    def test_every_day_of_dives_has_its_groups_its_limit_and_its_wait(self):
        self.assertTrue(self.dived)
        for course in self.dived:
            days = {row.day.date for row in self.water[course].days}
            for day in days:
                evening = f"{day}T23:00:00+00:00"
                sea = tw.NoStopSite(altitude=0.0, since_arrival=None)
                seen = self.shop.exposure_at(course, evening, 12.0, sea, tw.WaterKind.SALT)
                self.assertTrue(any(row.dives for row in seen.people))
                for row in seen.people:
                    self.assertIsNotNone(row.next)
                    self.assertEqual(len(row.plan.lines), row.dives + row.planned)
                    if row.plan.lines:
                        self.assertEqual(row.flying.caution, tw.Caution.SHORTEST_WAIT)
                lake = tw.NoStopSite(altitude=2_000.0, since_arrival=0.0)
                high = self.shop.exposure_at(course, evening, 12.0, lake, tw.WaterKind.FRESH)
                self.assertLess(number(high.limit.minutes), number(seen.limit.minutes))
            for depth, site in ((60.0, sea), (12.0, tw.NoStopSite(altitude=9_000.0, since_arrival=None))):
                with self.assertRaises(tw.Fault.Refused) as caught:
                    self.shop.exposure_at(course, evening, depth, site, tw.WaterKind.SALT)
                self.assertEqual(caught.exception.rule, "outside_table")

    def test_a_planned_session_has_its_limit_and_one_on_land_has_none(self):
        planned = 0
        for course in self.courses:
            for session in self.shop.session_list(course).rows:
                seen = self.shop.exposure(course, session.session, False)
                wet = session.setting != tw.Setting.CLASSROOM
                self.assertEqual(seen is not None, wet)
                if wet:
                    planned += 1
                    self.assertTrue(seen.people)
        self.assertTrue(planned)
        with self.assertRaises(tw.Fault.NotFound):
            self.shop.exposure(self.courses[0], "01900000-0000-7000-8000-000000000000", False)

    def test_the_next_check_begins_with_the_last_that_held(self):
        self.assertTrue(self.weighed)
        for course in self.weighed:
            checked = {
                row.who.name.student for row in self.water[course].weights
                if row.verdict == tw.WeightVerdict.RIGHT
            }
            for student in checked:
                found = self.shop.lead_form(course, student, None)
                self.assertEqual(found.form.calculator, tw.Calculator.LEAD_CHANGE)
                filled = {field.key: field.kind for field in found.form.fields}
                lead = filled[tw.FieldKey.CHECKED_LEAD]
                self.assertEqual(lead.start, found.known.last.lead.text)
                pressure = filled[tw.FieldKey.CHECKED_PRESSURE]
                self.assertEqual(pressure.start, found.known.last.pressure.text)

    def test_without_a_check_an_estimate_is_asked_for_in_the_water_of_the_session(self):
        asked = 0
        for course in self.courses:
            weighed = {row.who.name.student for row in self.water[course].weights}
            sessions = self.shop.session_list(course).rows
            for row in self.shop.board(course, None, tw.Columns.ALL).rows if sessions else []:
                if row.name.student in weighed:
                    continue
                session = sessions[-1].session
                found = self.shop.lead_form(course, row.name.student, session)
                self.assertEqual(found.form.calculator, tw.Calculator.LEAD_START)
                self.assertIsNone(found.known.last)
                water = next(f for f in found.form.fields if f.key == tw.FieldKey.WATER)
                fresh = found.known.water == tw.WaterKind.FRESH
                offered = water.kind.options[water.kind.chosen]
                self.assertEqual(offered == tw.OptionKey.FRESH, fresh)
                asked += 1
        self.assertTrue(asked)
        with self.assertRaises(tw.Fault.NotFound):
            self.shop.lead_form(self.courses[0], "01900000-0000-7000-8000-000000000000", None)

    def test_the_worn_lead_is_held_against_the_start_and_may_be_left_empty(self):
        def answers(worn):
            given = []
            for field in tw.calculator_form(tw.Calculator.LEAD_START, METRIC).fields:
                if field.key == tw.FieldKey.WORN_LEAD:
                    value = tw.FieldValue.TEXT(worn)
                elif isinstance(field.kind, tw.FieldKind.FIGURE):
                    value = tw.FieldValue.TEXT(begun(field, METRIC))
                else:
                    value = tw.FieldValue.CHOICE(field.kind.options[field.kind.chosen])
                given.append(tw.FieldGiven(key=field.key, value=value))
            return {one.key: one for one in tw.calculate(tw.Calculator.LEAD_START, METRIC, given).answers}
        none = answers("")
        within, too_little, too_much = (
            tw.AnswerKey.WORN,
            tw.AnswerKey.WORN_TOO_LITTLE,
            tw.AnswerKey.WORN_TOO_MUCH,
        )
        said = lambda answers: {within, too_little, too_much} & set(answers)
        self.assertEqual(said(none), set())
        low, high = (float(none[key].text) for key in (tw.AnswerKey.LEAD_LOW, tw.AnswerKey.LEAD_HIGH))
        over = answers(str(high + 3))
        # How it stands has a key of its own, so that a label says what the figure is.
        self.assertEqual(said(over), {too_much})
        self.assertEqual(over[too_much].note, tw.AnswerNote.WORN_OVER)
        self.assertAlmostEqual(float(over[too_much].text), 3.0, delta=0.11)
        # A kilogram of lead too much wants a little less than a litre of gas in the jacket.
        self.assertAlmostEqual(float(over[tw.AnswerKey.WORN_JACKET].text), 2.7, delta=0.3)
        less = answers(str(low - 1))
        self.assertEqual(said(less), {too_little})
        self.assertEqual(less[too_little].note, tw.AnswerNote.WORN_UNDER)
        self.assertAlmostEqual(float(less[too_little].text), 1.0, delta=0.11)
        right = answers(str(high))
        self.assertEqual(said(right), {within})
        self.assertEqual((right[within].text, right[within].note), ("", tw.AnswerNote.WORN_WITHIN))
        with self.assertRaises(tw.Fault.Refused) as caught:
            answers("41")
        self.assertEqual((caught.exception.rule, caught.exception.field), ("out_of_bounds", "worn_lead"))

    def test_the_marks_come_with_their_intervals(self):
        judged = [self.shop.judging(course) for course in self.courses]
        self.assertTrue(any(view.skills for view in judged))
        for view in judged:
            for skill in view.skills:
                self.assertEqual(skill.curve.students, skill.share.tries)
                self.assertLessEqual(number(skill.share.interval.low), number(skill.share.share))
            for pair in view.judges:
                self.assertLessEqual(pair.agreement.same, pair.agreement.items)


class Outside(BorderTest):
    def outside(self, field, act, *given):
        with self.assertRaises(tw.Fault.Refused) as caught:
            act(*given)
        fault = caught.exception
        self.assertEqual((fault.rule, fault.field), ("outside_table", field))
        self.assertIsNotNone(fault.value)
        self.assertLess(float(fault.least), float(fault.most))
        return fault

    def test_what_is_not_covered_is_refused_with_the_bounds_in_the_asked_units(self):
        high = self.outside("altitude", tw.surface_pressure, METRIC, 9_000.0)
        self.assertEqual((high.value, high.least, high.most, high.what), ("9000", "-500", "6000", "m"))
        feet = self.outside("altitude", tw.surface_pressure, IMPERIAL, 30_000.0)
        self.assertEqual((feet.value, feet.what), ("30000", "ft"))
        self.outside("depth", tw.no_stop, IMPERIAL, 190.5, None)
        self.outside("temperature", tw.water_density, METRIC, tw.WaterChoice.FRESH(), 41.0)
        self.outside("oxygen_share", tw.compressibility, METRIC, tw.GasMix.NITROX(50.0), 10.0, 20.0)
        self.outside("met", tw.share_met, 4, 3, tw.EvidenceLevel.NINETY)

    def test_what_is_no_number_is_refused_everywhere(self):
        fresh = tw.WaterChoice.FRESH()
        fresh_day = tw.PersonDay(dives=[], interval=0.0)
        for bad in (math.nan, math.inf, -math.inf):
            for units in (METRIC, IMPERIAL):
                rule = tw.TurnRule.THIRDS
                plan = tw.usual_ascent(units, bad)
                warm = sea(10.0 if units == METRIC else 50.0)
                for act, given in (
                    (tw.water_density, (units, fresh, bad)),
                    (tw.surface_pressure, (units, bad)),
                    (tw.altitude_of, (units, bad)),
                    (tw.pressure_at, (units, warm, bad)),
                    (tw.depth_at, (units, warm, bad)),
                    (tw.cylinder_contents, (units, 12.0, bad, 20.0, AIR)),
                    (tw.cylinder_contents, (units, bad, 100.0, 20.0, AIR)),
                    (tw.pressure_holding, (units, bad, 12.0, 20.0, AIR)),
                    (tw.compressibility, (units, AIR, bad, 20.0)),
                    (tw.gas_density, (units, AIR, 100.0, bad)),
                    (tw.suit_buoyancy, (units, SUIT, BODY[units], warm, bad)),
                    (tw.judge_worn_lead, (units, bad, question(units), None)),
                    (tw.stressed_rate, (units, bad)),
                    (tw.rate_history, (units, [bad])),
                    (tw.minimum_reserve, (units, plan, [20.0], 12.0, AIR, warm)),
                    (tw.turn_pressure, (units, bad, 50.0, rule)),
                    (tw.no_stop, (units, bad, None)),
                    (tw.no_stop_end, (units, 10.0, None, bad)),
                    (tw.arrival_group, (units, bad)),
                    (tw.flying_wait, (units, tw.DivesBefore.REPETITIVE, None, bad)),
                    (tw.class_limit, (units, [fresh_day], bad, SITE)),
                    (tw.count_ascents, (units, [], bad)),
                ):
                    with self.assertRaises(tw.Fault.Refused, msg=(act.__name__, bad)) as caught:
                        act(*given)
                    self.assertEqual(caught.exception.rule, "outside_table")
            with self.assertRaises(tw.Fault.Refused):
                tw.after_interval(group("C"), bad)
            with self.assertRaises(tw.Fault.Refused):
                tw.posterior(1, 2, bad, tw.EvidenceLevel.NINETY)

    def test_every_function_of_the_calculations_is_called_here_or_at_the_door(self):
        """A new calculation without a test of its own does not pass unseen."""
        folder = os.path.dirname(__file__)
        said = ""
        for name in ("calculations.py", "calculator_door.py"):
            with open(os.path.join(folder, name), encoding="utf-8") as file:
                said += file.read()
        takes_units = [
            name
            for name, function in vars(tw).items()
            if inspect.isfunction(function)
            and not name.startswith("_")
            and "units" in inspect.signature(function).parameters
        ]
        self.assertGreater(len(takes_units), 25)
        others = ["after_interval", "agreement", "attempt_curve", "posterior", "share_met"]
        others += ["sources", "starter_ceiling", "typical_salinity", "calculators"]
        for name in takes_units + others:
            self.assertIn(f"tw.{name}", said, name)


if __name__ == "__main__":
    unittest.main()
