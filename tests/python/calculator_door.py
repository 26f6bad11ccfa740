"""The one door of a calculator screen: what it begins with is what the typed functions say."""

import unittest

import tallywater as tw
from school import BorderTest

METRIC, IMPERIAL = tw.Units.METRIC, tw.Units.IMPERIAL
SYSTEMS = (METRIC, IMPERIAL)
KEY, IS = tw.FieldKey, tw.Calculator
# What nobody need know: it begins empty.
MAY_BE_EMPTY = {KEY.WORN_LEAD}
# Nobody's body: it begins empty, and empty it is refused. Metric, imperial.
TYPED_FIRST = {
    KEY.AGE: ("30", "30"),
    KEY.BODY_HEIGHT: ("175", "69"),
    KEY.BODY_MASS: ("75", "165"),
}


def begun(field, units):
    """What stands in a figure's field once what must be typed is typed."""
    if field.key in TYPED_FIRST:
        return TYPED_FIRST[field.key][0 if units == METRIC else 1]
    return field.kind.start


def choice(kind):
    return kind.options[kind.chosen]


def starts(calculator, units):
    """What is given when nobody changes anything."""
    given = []
    for field in tw.calculator_form(calculator, units).fields:
        kind = field.kind
        if isinstance(kind, tw.FieldKind.FIGURE):
            value = tw.FieldValue.TEXT(begun(field, units))
        else:
            value = tw.FieldValue.CHOICE(choice(kind))
        given.append(tw.FieldGiven(key=field.key, value=value))
    return given


def numbers(calculator, units):
    """The figures that it begins with, by key, as numbers."""
    fields = tw.calculator_form(calculator, units).fields
    return {
        field.key: float(begun(field, units))
        for field in fields
        if isinstance(field.kind, tw.FieldKind.FIGURE) and field.key not in MAY_BE_EMPTY
    }


def changed(given, key, value):
    return [
        tw.FieldGiven(key=key, value=value) if field.key == key else field for field in given
    ]


def at(n, altitude=None):
    return tw.WaterAt(
        water=tw.WaterChoice.OPEN_SEA(),
        temperature=n[KEY.TEMPERATURE],
        altitude=n.get(KEY.ALTITUDE, 0.0) if altitude is None else altitude,
    )


def body(n):
    return tw.BodySize(height=n[KEY.BODY_HEIGHT], mass=n[KEY.BODY_MASS])


def suit(n):
    return tw.Suit(
        kind=tw.SuitKind.ONE_PIECE, thickness=n[KEY.SUIT_THICKNESS], age=tw.SuitAge.WORN
    )


def steel_12(units):
    return tw.starter_cylinders(units)[9]


def site(n):
    return tw.NoStopSite(altitude=n[KEY.ALTITUDE], since_arrival=n[KEY.SINCE_ARRIVAL])


def ten_degrees(units):
    return 10.0 if units == METRIC else 50.0


def opinion(units, dives, interval, depth, n):
    person = tw.PersonDay(dives=dives, interval=interval)
    sea = tw.WaterChoice.OPEN_SEA()
    return tw.second_opinion(units, person, depth, site(n), sea, ten_degrees(units), None)


def no_stop_limit(u, n):
    both = opinion(u, [], 0.0, n[KEY.DEPTH], n)
    dive = tw.PlannedDive(interval=0.0, depth=n[KEY.DEPTH], bottom=n[KEY.BOTTOM_TIME])
    line = tw.day_plan(u, [dive], site(n)).lines[0]
    return {
        "LIMIT": both.limit.minutes,
        "TABLE_LIMIT": both.table.minutes,
        "MODEL_LIMIT": both.model.minutes,
        "TABLE_ROW": line.row,
        "GROUP_AFTER": line.group.name,
    }


def repetitive_dive(u, n):
    first = tw.PlannedDive(interval=0.0, depth=n[KEY.FIRST_DEPTH], bottom=n[KEY.FIRST_BOTTOM_TIME])
    second = tw.PlannedDive(
        interval=n[KEY.SURFACE_INTERVAL],
        depth=n[KEY.SECOND_DEPTH],
        bottom=n[KEY.SECOND_BOTTOM_TIME],
    )
    both = opinion(u, [first], second.interval, second.depth, n)
    lines = tw.day_plan(u, [first, second], site(n)).lines
    return {
        "LIMIT": both.limit.minutes,
        "TABLE_LIMIT": both.table.minutes,
        "GROUP_AFTER_FIRST": lines[0].group.name,
        "GROUP_BEFORE": lines[1].before.name,
        "RESIDUAL_TIME": lines[1].residual.minutes,
        "EQUIVALENT_TIME": lines[1].equivalent,
        "GROUP_AFTER": lines[1].group.name,
    }


def before_flying(u, n):
    waits = tw.flying_wait(u, tw.DivesBefore.REPETITIVE, None, n[KEY.CABIN_ALTITUDE])
    return {
        "WAIT": waits.wait.wait,
        "WAIT_WORKSHOP": waits.workshop.wait,
        "WAIT_NAVY": waits.navy.wait,
    }


def minimum_reserve(u, n):
    plan = tw.AscentPlan(
        depth=n[KEY.DEPTH],
        reaction=n[KEY.REACTION_TIME],
        rate=n[KEY.ASCENT_RATE],
        stop=n[KEY.STOP_DEPTH],
        stop_time=n[KEY.STOP_TIME],
    )
    pair = [n[KEY.STRESSED_RATE]] * int(n[KEY.DIVERS])
    least = tw.minimum_reserve(u, plan, pair, n[KEY.WATER_CAPACITY], tw.GasMix.AIR(), at(n))
    return {
        "RESERVE": least.pressure,
        "RESERVE_GAS": least.gas,
        "RESERVE_REACTION": least.parts.reaction,
        "RESERVE_ASCENT": least.parts.ascent,
        "RESERVE_STOP": least.parts.stop,
        "RESERVE_LAST": least.parts.last,
    }


def turn_pressure(u, n):
    rule = tw.TurnRule.THERE_AND_BACK
    return {"TURN": tw.turn_pressure(u, n[KEY.START_PRESSURE], n[KEY.RESERVE], rule).pressure}


def surface_rate(u, n):
    rate = tw.surface_rate(
        u,
        tw.BreathingDive(
            capacity=n[KEY.WATER_CAPACITY],
            mix=tw.GasMix.AIR(),
            start=n[KEY.START_PRESSURE],
            end=n[KEY.END_PRESSURE],
            start_temperature=n[KEY.START_TEMPERATURE],
            at=at(n),
            exposure=tw.Exposure.AVERAGE(depth=n[KEY.AVERAGE_DEPTH], time=n[KEY.DIVE_TIME]),
        ),
    )
    return {"SURFACE_RATE": rate.real, "SURFACE_RATE_IDEAL": rate.ideal, "GAS_USED": rate.used}


def question(u, n, kit):
    return tw.LeadQuestion(
        body=body(n),
        age=int(n.get(KEY.AGE, 0)),
        suit=suit(n),
        at=at(n),
        cylinder=steel_12(u),
        mix=tw.GasMix.AIR(),
        reserve=n[KEY.RESERVE],
        kit=kit,
    )


def spread(start):
    return {
        "LEAD": start.lead.likely,
        "LEAD_LOW": start.lead.low,
        "LEAD_HIGH": start.lead.high,
        **{f"LIFT_{why.cause.name}": why.lift.likely for why in start.reasons},
    }


def lead_start(u, n):
    return spread(tw.lead_start(u, question(u, n, n[KEY.KIT_BUOYANCY]), None))


def lead_change(u, n):
    check = tw.OwnCheck(
        lead=n[KEY.CHECKED_LEAD],
        at=tw.WaterAt(
            water=tw.WaterChoice.OPEN_SEA(), temperature=n[KEY.CHECKED_TEMPERATURE], altitude=0.0
        ),
        cylinder=steel_12(u),
        mix=tw.GasMix.AIR(),
        pressure=n[KEY.CHECKED_PRESSURE],
        suit=suit(n),
        kit_mass=n[KEY.KIT_MASS],
    )
    return spread(tw.lead_start(u, question(u, n, 0.0), check))


def drop_weights(u, n):
    outcome = tw.drop_lead(
        u,
        tw.DropQuestion(
            trimmed=n[KEY.TRIMMED_LEAD],
            trimmed_at=n[KEY.TRIMMED_AT],
            ditchable=n[KEY.DITCHABLE_LEAD],
            fixed=n[KEY.FIXED_LEAD],
            cylinder=steel_12(u),
            mix=tw.GasMix.AIR(),
            pressure=n[KEY.CYLINDER_PRESSURE],
            suit=suit(n),
            body=body(n),
            at=at(n),
            depth=n[KEY.DEPTH],
        ),
    )
    return {"AFTER_DROP_AT_DEPTH": outcome.at_depth, "AFTER_DROP_AT_SURFACE": outcome.at_surface}


def supervision(u, n):
    policy = tw.starter_ceiling(tw.CeilingSetting.OPEN_WATER)
    seen = tw.supervision(
        u,
        policy,
        tw.StaffNow(instructors=1, assistants=[tw.AssistantCount.COUNTS]),
        tw.WaterConditions(
            visibility=n[KEY.VISIBILITY],
            motion=tw.WaterMotion.CALM,
            temperature=n[KEY.TEMPERATURE],
            minors=0,
            experience=tw.DiveExperience.FIRST_DIVE,
        ),
        tw.starter_reductions(u),
        0,
    )
    return {"CEILING": str(seen.ceiling)}


def cylinder_contents(u, n):
    held = tw.cylinder_contents(
        u,
        n[KEY.WATER_CAPACITY],
        n[KEY.CYLINDER_PRESSURE],
        n[KEY.GAS_TEMPERATURE],
        tw.GasMix.AIR(),
    )
    return {"GAS_HELD": held.real, "GAS_HELD_IDEAL": held.ideal, "GAS_MASS": held.mass}


def cylinder_buoyancy(u, n):
    size = tw.CylinderSize(
        metal=tw.CylinderMetal.STEEL,
        capacity=n[KEY.WATER_CAPACITY],
        working_pressure=n[KEY.WORKING_PRESSURE],
        empty_mass=n[KEY.EMPTY_MASS],
        valve_mass=n[KEY.VALVE_MASS],
        origin=tw.FigureOrigin.TYPED,
    )
    floats = tw.cylinder_buoyancy(u, size, n[KEY.RESERVE], tw.GasMix.AIR(), at(n))
    return {
        "CYLINDER_AT_RESERVE": floats.reserve,
        "CYLINDER_FULL": floats.full,
        "CYLINDER_EMPTY": floats.empty,
    }


def suit_buoyancy(u, n):
    floats = tw.suit_buoyancy(u, suit(n), body(n), at(n), n[KEY.DEPTH])
    return {
        "SUIT_AT_SURFACE": floats.surface.likely,
        "SUIT_AT_DEPTH_LOW": floats.at_depth.low,
        "SUIT_AT_DEPTH": floats.at_depth.likely,
        "SUIT_AT_DEPTH_HIGH": floats.at_depth.high,
        "SUIT_KEPT": floats.kept.likely,
    }


def density(u, n):
    sea = tw.WaterChoice.OPEN_SEA()
    return {"DENSITY": tw.water_density(u, sea, n[KEY.TEMPERATURE])}


def by_salinity(u, n):
    water = tw.WaterChoice.SALINITY(n[KEY.SALINITY])
    return {"DENSITY": tw.water_density(u, water, n[KEY.TEMPERATURE])}


def agreement(u, n):
    both, first = int(n[KEY.BOTH_MET]), int(n[KEY.FIRST_MET_ALONE])
    second, neither = int(n[KEY.SECOND_MET_ALONE]), int(n[KEY.NEITHER_MET])
    agreed = tw.agreement([[both, first], [second, neither]], tw.EvidenceLevel.NINETY_FIVE)
    return {
        "KAPPA": agreed.kappa.kappa,
        "KAPPA_LOW": agreed.kappa.low,
        "KAPPA_HIGH": agreed.kappa.high,
        "SAME_MARKS": agreed.share.share,
    }


def share_met(u, n):
    share = tw.share_met(int(n[KEY.MET]), int(n[KEY.TRIES]), tw.EvidenceLevel.NINETY_FIVE)
    return {
        "SHARE_MET": share.share,
        "SHARE_LOW": share.interval.low,
        "SHARE_HIGH": share.interval.high,
    }


TYPED = {
    IS.NO_STOP_LIMIT: no_stop_limit,
    IS.REPETITIVE_DIVE: repetitive_dive,
    IS.BEFORE_FLYING: before_flying,
    IS.MINIMUM_RESERVE: minimum_reserve,
    IS.TURN_PRESSURE: turn_pressure,
    IS.SURFACE_RATE: surface_rate,
    IS.LEAD_START: lead_start,
    IS.LEAD_CHANGE: lead_change,
    IS.DROP_WEIGHTS: drop_weights,
    IS.SUPERVISION: supervision,
    IS.CYLINDER_CONTENTS: cylinder_contents,
    IS.CYLINDER_BUOYANCY: cylinder_buoyancy,
    IS.SUIT_BUOYANCY: suit_buoyancy,
    IS.PRESSURE_AT_DEPTH: lambda u, n: {
        "AMBIENT_PRESSURE": tw.pressure_at(u, at(n), n[KEY.DEPTH]),
        "SURFACE_PRESSURE": tw.surface_pressure(u, n[KEY.ALTITUDE]),
    },
    IS.DEPTH_AT_PRESSURE: lambda u, n: {"DEPTH": tw.depth_at(u, at(n), n[KEY.AMBIENT_PRESSURE])},
    IS.WATER_DENSITY: density,
    IS.DENSITY_BY_SALINITY: by_salinity,
    IS.AIR_AT_ALTITUDE: lambda u, n: {
        "SURFACE_PRESSURE": tw.surface_pressure(u, n[KEY.ALTITUDE]),
        "ARRIVAL_GROUP": tw.arrival_group(u, n[KEY.ALTITUDE]).name,
    },
    IS.ALTITUDE_BY_AIR: lambda u, n: {"ALTITUDE": tw.altitude_of(u, n[KEY.AIR_PRESSURE])},
    IS.SHARE_MET: share_met,
    IS.AGREEMENT: agreement,
}


class CalculatorDoor(BorderTest):
    def each(self, check):
        for calculator in tw.calculators():
            for units in SYSTEMS:
                with self.subTest(calculator=calculator.name, units=units.name):
                    check(calculator, units)

    def refused(self, rule, calculator, units, given):
        with self.assertRaises(tw.Fault.Refused) as caught:
            tw.calculate(calculator, units, given)
        self.assertEqual(caught.exception.rule, rule)
        return caught.exception

    def test_every_calculator_is_listed_once_and_every_key_is_used(self):
        listed = tw.calculators()
        self.assertEqual(len(listed), len(set(listed)))
        self.assertEqual(set(listed), set(tw.Calculator))
        self.assertEqual(set(listed), set(TYPED))
        asked = {
            field.key
            for calculator in listed
            for field in tw.calculator_form(calculator, METRIC).fields
        }
        self.assertEqual(asked, set(tw.FieldKey))
        offered = {
            option
            for calculator in listed
            for field in tw.calculator_form(calculator, METRIC).fields
            if isinstance(field.kind, tw.FieldKind.CHOICE)
            for option in field.kind.options
        }
        self.assertEqual(offered, set(tw.OptionKey))

    def test_what_it_begins_with_is_what_the_typed_function_says(self):
        def check(calculator, units):
            seen = tw.calculate(calculator, units, starts(calculator, units))
            answers = {answer.key.name: answer for answer in seen.answers}
            self.assertEqual(len(answers), len(seen.answers), "a key twice")
            self.assertTrue(any(answer.main for answer in seen.answers))
            self.assertTrue(seen.cautions and seen.sources)
            typed = TYPED[calculator](units, numbers(calculator, units))
            self.assertTrue(typed)
            for key, expected in typed.items():
                if isinstance(expected, str):
                    self.assertEqual(answers[key].text, expected, key)
                else:
                    found = (answers[key].text, answers[key].unit)
                    self.assertEqual(found, (expected.text, expected.unit), key)

        self.each(check)

    def test_every_figure_can_be_typed_with_a_comma_and_its_bounds_can_be_typed(self):
        def check(calculator, units):
            given = starts(calculator, units)
            plain = tw.calculate(calculator, units, given)
            for field in tw.calculator_form(calculator, units).fields:
                kind = field.kind
                if not isinstance(kind, tw.FieldKind.FIGURE):
                    continue
                least, most = float(kind.least), float(kind.most)
                if field.key in MAY_BE_EMPTY or field.key in TYPED_FIRST:
                    self.assertEqual(kind.start, "")
                else:
                    self.assertTrue(least <= float(kind.start) <= most, field.key)
                comma = begun(field, units).replace(".", ",")
                typed = changed(given, field.key, tw.FieldValue.TEXT(f" {comma} "))
                self.assertEqual(tw.calculate(calculator, units, typed), plain)
                for bound in (kind.least, kind.most):
                    typed = changed(given, field.key, tw.FieldValue.TEXT(bound))
                    # On its bound a field is read; whether it goes with the others is
                    # the calculation's to say.
                    try:
                        tw.calculate(calculator, units, typed)
                    except tw.Fault.Refused as fault:
                        self.assertEqual(fault.rule, "outside_table", (field.key, bound))
                        # Refused for what it is together with the others, never for a
                        # bound that was shown and is not one.
                        beyond = not float(fault.least) <= float(fault.value) <= float(fault.most)
                        self.assertTrue(beyond, (field.key, fault))

        self.each(check)

    def test_nonsense_is_refused_by_the_name_of_its_field_and_with_its_bounds(self):
        nonsense = ["", " ", "x", "NaN", "inf", "1e3", "--1", "1.2.3", "1,2,3", "0x10", "٣", "1.2345"]
        def check(calculator, units):
            given = starts(calculator, units)
            for field in tw.calculator_form(calculator, units).fields:
                kind = field.kind
                if isinstance(kind, tw.FieldKind.FIGURE):
                    for text in nonsense:
                        if not text.strip() and field.key in MAY_BE_EMPTY:
                            continue
                        typed = changed(given, field.key, tw.FieldValue.TEXT(text))
                        if not text.strip() and field.key in TYPED_FIRST:
                            # Not typed yet is no nonsense: it has missed no bound.
                            rule, bounds = "type_first", (None, None)
                        else:
                            rule, bounds = "not_a_number", (kind.least, kind.most)
                        fault = self.refused(rule, calculator, units, typed)
                        found = (fault.field, fault.least, fault.most)
                        self.assertEqual(found, (field.word, *bounds))
                    for beyond in (float(kind.least) - 1, float(kind.most) + 1):
                        text = f"{beyond:.{kind.decimals}f}"
                        typed = changed(given, field.key, tw.FieldValue.TEXT(text))
                        fault = self.refused("out_of_bounds", calculator, units, typed)
                        self.assertEqual(fault.field, field.word)
                        self.assertEqual((fault.least, fault.most), (kind.least, kind.most))
                        self.assertEqual(fault.value, text)
                    wrong = tw.FieldValue.CHOICE(tw.OptionKey.FRESH)
                    typed = changed(given, field.key, wrong)
                    self.refused("not_a_number", calculator, units, typed)
                else:
                    typed = changed(given, field.key, tw.FieldValue.TEXT("1"))
                    self.refused("not_a_choice", calculator, units, typed)
                    other = next(one for one in tw.OptionKey if one not in kind.options)
                    typed = changed(given, field.key, tw.FieldValue.CHOICE(other))
                    fault = self.refused("not_a_choice", calculator, units, typed)
                    self.assertEqual(fault.field, field.word)

        self.each(check)

    def test_a_field_left_out_given_twice_or_not_asked_is_refused(self):
        def check(calculator, units):
            given = starts(calculator, units)
            word = tw.calculator_form(calculator, units).fields[0].word
            self.assertEqual(
                self.refused("field_missing", calculator, units, given[1:]).field, word
            )
            twice = given + given[:1]
            self.assertEqual(self.refused("field_twice", calculator, units, twice).field, word)
            keys = {field.key for field in given}
            other = next(key for key in tw.FieldKey if key not in keys)
            more = given + [tw.FieldGiven(key=other, value=tw.FieldValue.TEXT("1"))]
            self.refused("field_unknown", calculator, units, more)

        self.each(check)

    def test_every_choice_can_be_made(self):
        def check(calculator, units):
            given = starts(calculator, units)
            for field in tw.calculator_form(calculator, units).fields:
                if isinstance(field.kind, tw.FieldKind.CHOICE):
                    for option in field.kind.options:
                        value = tw.FieldValue.CHOICE(option)
                        seen = tw.calculate(calculator, units, changed(given, field.key, value))
                        self.assertTrue(seen.answers, option)

        self.each(check)

    def answer(self, calculator, key, given):
        seen = tw.calculate(calculator, METRIC, given)
        return next(answer for answer in seen.answers if answer.key == key)

    def test_what_has_no_figure_says_so_in_a_note(self):
        note, key = tw.AnswerNote, tw.AnswerKey

        def text(given, field, value):
            return changed(given, field, tw.FieldValue.TEXT(value))

        shallow = text(starts(IS.NO_STOP_LIMIT, METRIC), KEY.DEPTH, "3")
        table = self.answer(IS.NO_STOP_LIMIT, key.TABLE_LIMIT, shallow)
        self.assertEqual((table.text, table.note), ("", note.UNLIMITED))
        long = text(starts(IS.NO_STOP_LIMIT, METRIC), KEY.BOTTOM_TIME, "64")
        after = self.answer(IS.NO_STOP_LIMIT, key.GROUP_AFTER, long)
        self.assertEqual((after.text, after.note), ("", note.BEYOND_LIMIT))
        first = text(starts(IS.REPETITIVE_DIVE, METRIC), KEY.FIRST_BOTTOM_TIME, "64")
        limit = self.answer(IS.REPETITIVE_DIVE, key.LIMIT, first)
        self.assertEqual((limit.text, limit.note), ("0", note.FIRST_BEYOND_LIMIT))
        full = text(starts(IS.TURN_PRESSURE, METRIC), KEY.RESERVE, "200")
        turn = self.answer(IS.TURN_PRESSURE, key.TURN, full)
        self.assertEqual((turn.text, turn.note), ("", note.NOT_ENOUGH_GAS))
        easy = starts(IS.AGREEMENT, METRIC)
        for field in (KEY.FIRST_MET_ALONE, KEY.SECOND_MET_ALONE, KEY.NEITHER_MET):
            easy = text(easy, field, "0")
        kappa = self.answer(IS.AGREEMENT, key.KAPPA, easy)
        self.assertEqual((kappa.text, kappa.note), ("", note.KAPPA_UNDEFINED))

    def test_a_ceiling_of_typed_figures_is_never_a_good_one(self):
        given = starts(IS.SUPERVISION, METRIC)
        for in_water in range(0, 20):
            value = tw.FieldValue.TEXT(str(in_water))
            seen = self.answer(
                IS.SUPERVISION, tw.AnswerKey.CEILING, changed(given, KEY.IN_WATER, value)
            )
            over = in_water > int(seen.text)
            expected = tw.AnswerNote.OVER_CEILING if over else tw.AnswerNote.POLICY_UNCONFIRMED
            self.assertEqual(seen.note, expected)

    def test_metres_and_feet_fall_on_their_own_rows(self):
        for units, depth, row in (
            (METRIC, "18", "60"),
            (METRIC, "18,2", "60"),
            (METRIC, "18.3", "70"),
            (IMPERIAL, "60", "60"),
            (IMPERIAL, "60.1", "70"),
        ):
            given = starts(IS.NO_STOP_LIMIT, units)
            given = changed(given, KEY.DEPTH, tw.FieldValue.TEXT(depth))
            seen = tw.calculate(IS.NO_STOP_LIMIT, units, given)
            rows = {answer.key: answer.text for answer in seen.answers}
            self.assertEqual(rows[tw.AnswerKey.TABLE_ROW], row, depth)


if __name__ == "__main__":
    unittest.main()
