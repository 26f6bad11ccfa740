"""The pool day of the manual, on three devices, through the generated Python."""

import unicodedata
import unittest

import tallywater as tw
from school import NAMES, BorderTest, Device, School


class PoolDay(BorderTest):
    def test_a_pool_day_runs_from_first_start_to_completion(self):
        school = School()
        shop, instructor, assistant = school.shop, school.instructor, school.assistant
        course, students = school.course, school.students

        # Everyone knows who they are, and every name came through as it was typed, its
        # letters composed.
        self.assertEqual(instructor.tw.state().stage, tw.Stage.READY)
        me = instructor.tw.state().me
        self.assertEqual((me.name.name, me.role), ("Renate Solheim", tw.Role.INSTRUCTOR))
        board = assistant.tw.board(course, school.session, tw.Columns.ALL)
        names = {unicodedata.normalize("NFC", name) for name in NAMES}
        self.assertEqual({row.name.name for row in board.rows}, names)
        self.assertNotEqual(names, set(NAMES), "no name was typed with a mark of its own")
        self.assertEqual(board.may_mark, tw.Leave.YES())
        shop_board = shop.tw.board(course, None, tw.Columns.ALL)
        self.assertEqual(shop_board.may_mark, tw.Leave.ROLE(), "a shop never judges")

        # Into the water, with no network: both mark.
        for student in students:
            instructor.record(
                tw.Request.PASS(
                    course, school.session, tw.Who.STUDENT(student), tw.Passage.IN, None
                )
            )
        for student in range(8):
            instructor.mark(school, student, "mask-full", tw.Mark.MET)
        assistant.mark(school, 0, "swim-200", tw.Mark.MET)
        assistant.mark(school, 1, "mask-full", tw.Mark.NOT_YET, note="mask too loose")
        head = instructor.tw.headcount(course, school.session)
        self.assertEqual((head.expected, head.in_water, head.not_seen), (10, 8, 2))
        self.assertIsNotNone(head.ratio)
        line_up = instructor.tw.line_up(course, school.session, "mask-full")
        self.assertEqual((line_up.judged, line_up.of), (8, 8))

        # They meet: both views are shown on all three, an assistant's mark waits.
        school.meet_all()
        for device in (shop, instructor, assistant):
            self.assertEqual(
                school.cell(device, 1, "mask-full").state, tw.CellState.TWO_VIEWS
            )
            self.assertEqual(school.cell(device, 0, "swim-200").state, tw.CellState.SHOWN)
        kinds = {alert.what for alert in instructor.tw.today().alerts}
        self.assertLessEqual({tw.AlertKind.TWO_VIEWS, tw.AlertKind.TO_CONFIRM}, kinds)
        sheet = instructor.tw.attempt_sheet(course, students[1], "mask-full", None)
        views = {(line.by.name, line.mark, line.note) for line in sheet.views}
        self.assertEqual(
            views,
            {
                ("Renate Solheim", tw.Mark.MET, None),
                ("Bo Merriweather", tw.Mark.NOT_YET, "mask too loose"),
            },
        )

        # The instructor settles and confirms.
        instructor.record(
            tw.Request.RESOLVE(sheet.cell.on, tw.Mark.MET, "Watched it again together")
        )
        records = instructor.tw.records(course)
        self.assertEqual(len(records.waiting), 1)
        instructor.record(tw.Request.CONFIRM(course, records.waiting))
        school.meet_all()
        self.assertEqual(school.cell(assistant, 0, "swim-200").state, tw.CellState.MET)

        # Completion refuses while a gap is open; each gap says what would close it.
        record = instructor.tw.student_record(course, students[0])
        self.assertEqual(record.may_complete, tw.Leave.GAPS(len(record.gaps)))
        complete = tw.Request.COMPLETE(
            course, students[0], tw.Outcome.COMPLETED, record.considered
        )
        with self.assertRaises(tw.Fault.Refused) as refused:
            instructor.record(complete)
        self.assertEqual(refused.exception.rule, "gaps_open")
        self.assertEqual(int(refused.exception.value), len(record.gaps))
        self.close_every_gap(school, 0)
        record = instructor.tw.student_record(course, students[0])
        self.assertEqual(record.state, tw.RecordState.READY())
        instructor.record(
            tw.Request.COMPLETE(
                course, students[0], tw.Outcome.COMPLETED, record.considered
            )
        )
        school.meet_all()
        record = shop.tw.student_record(course, students[0])
        self.assertEqual(record.state, tw.RecordState.ENDED(tw.Outcome.COMPLETED))
        self.assertEqual(record.completion.by.name, "Renate Solheim")
        self.assertTrue(all(item.lines for item in record.items if item.required))
        held = [device.tw.save_ledger(f"course:{course}") for device in (shop, assistant)]
        self.assertTrue(all(held))

    def close_every_gap(self, school, student):
        """Asks what is missing and records just that, until nothing is."""
        who, tablet = school.students[student], school.instructor
        sessions = [school.session] + [
            school.plan(tablet, f"Lake {n}", tw.Setting.OPEN, f"{12 + n}T10:00:00")
            for n in range(1, 5)
        ]
        for turn in range(12):
            gaps = tablet.tw.gaps(school.course, who).before_completion
            if not gaps:
                return
            for gap in gaps:
                missing = gap.what
                if missing.is_SKILL() or missing.is_SLIPPED_SINCE():
                    self.try_once(school, student, missing.skill, sessions, turn)
                elif missing.is_CLEARANCE():
                    school.clear(tablet, who, missing.what, 200)
                elif missing.is_DIVES():
                    for number in range(missing.need - missing.have):
                        self.dive(school, who, sessions[1 + number % 4], number)
                else:
                    self.fail(f"nobody can close {gap}")
        self.fail(f"gaps are left: {gaps}")

    def try_once(self, school, student, skill, sessions, turn):
        tablet = school.instructor
        sheet = tablet.tw.attempt_sheet(
            school.course, school.students[student], skill, None
        )
        open_ways = [way.method for way in sheet.demand.methods if way.asked and not way.met]
        for method in open_ways or [None]:
            session = sessions[turn % len(sessions)]
            tablet.mark(
                school, student, skill, tw.Mark.MET, method=method, session=session
            )

    def dive(self, school, who, session, number):
        read = school.instructor.tw.read_figure
        log = tw.DiveLog(
            down=f"2026-06-{13 + number}T10:20:00+02:00",
            up=f"2026-06-{13 + number}T10:51:00+02:00",
            max_depth_cm=read(tw.FigureKind.DEPTH, "11.5"),
            mean_depth_cm=read(tw.FigureKind.DEPTH, "7,6"),
            ascents=1,
            gas=None,
            water=tw.WaterKind.FRESH,
            temperature_dc=read(tw.FigureKind.TEMPERATURE, "16"),
            profile=[],
        )
        school.instructor.record(
            tw.Request.LOG_DIVE(school.course, tw.Who.STUDENT(who), session, log)
        )

    def test_a_mark_survives_reopening(self):
        school = School(2)
        receipt = school.instructor.mark(school, 0, "mask-full", tw.Mark.NEARLY)
        school.instructor.restart()
        self.assertEqual(
            school.cell(school.instructor, 0, "mask-full").state, tw.CellState.TRYING
        )
        rows = school.instructor.tw.activity(
            school.course, None, None, [tw.Kind.ATTEMPT], 1
        ).rows
        self.assertEqual([row.entry for row in rows], [receipt.entries[0].entry])

    def test_one_tap_undoes_and_the_next_brings_back(self):
        school = School(1)
        tablet = school.instructor
        receipt = tablet.mark(school, 0, "mask-full", tw.Mark.MET)
        self.assertEqual(receipt.told.said, tw.Said.MARK(tw.Mark.MET))
        self.assertEqual(receipt.undo, receipt.entries)
        state = lambda: school.cell(tablet, 0, "mask-full").state
        marked = state()
        undone = tablet.tw.undo(receipt)
        self.assertEqual(state(), tw.CellState.OPEN)
        tablet.tw.undo(undone)
        self.assertEqual(state(), marked)
        opened = school.shop.record(tw.Request.OPEN_COURSE("July", "2026-07-04", None, tw.OutlineFrom.SCHOOL(), []))
        self.assertEqual(opened.undo, [], "a course is not unopened")
        with self.assertRaises(tw.Fault.Refused):
            school.shop.tw.undo(opened)

    def test_an_instructor_starts_alone(self):
        tablet = Device()
        self.assertEqual(tablet.tw.state().stage, tw.Stage.FIRST_START)
        tablet.tw.start_alone("Tarn School", "Signe Halvorsen")
        state = tablet.tw.state()
        self.assertEqual((state.stage, state.shop), (tw.Stage.READY, "Tarn School"))
        self.assertEqual(state.me.role, tw.Role.INSTRUCTOR)
        opened = tablet.record(tw.Request.OPEN_COURSE("Alone", "2026-06-06", None, tw.OutlineFrom.SCHOOL(), []))
        self.assertIn(opened.made, [c.course for c in tablet.tw.today().courses])

    def test_a_session_is_drafted_checked_and_planned(self):
        school = School(3)
        tablet = school.instructor
        outline = tablet.tw.outline(tw.Scope.COURSE(school.course))
        block = next(
            b.block for b in outline.blocks if b.block.setting == tw.Setting.CONFINED
        )
        plan = tablet.tw.draft_session(school.course, block.id)
        plan.site = "Hollow Lane"
        plan.starts = tablet.tw.moment_on("2026-06-07", 10, 30).at
        checked = tablet.tw.check_plan(school.course, None, plan)
        self.assertIsNone(checked.session)
        self.assertEqual([row.skill for row in checked.run_list], block.run_list)
        self.assertEqual(checked.starts.day.day_is, tw.DayIs.TOMORROW)
        self.assertIsNotNone(checked.ratio.ceiling)
        made = tablet.record(tw.Request.PLAN_SESSION(school.course, None, plan)).made
        self.assertEqual(tablet.tw.session_plan(school.course, made), plan)
        plan.minutes = 60
        proposal = tablet.tw.propose(school.course, plan, [], [])
        self.assertTrue(proposal.plan.run_list)
        self.assertTrue(proposal.stations[0].runs)
        self.assertLessEqual(proposal.minutes, 60)
        cards = tablet.tw.briefing(school.course, made).cards
        self.assertEqual([card.skill.skill for card in cards], block.run_list)

    def test_the_way_to_the_end_and_the_season_are_asked(self):
        school = School(3)
        desk = school.instructor.tw
        asked = tw.AheadAsked(by=None, prior=tw.read_prior("8/10"), what_if=True, days_between=0)
        seen = desk.look_ahead(school.course, asked, tw.Glance())
        self.assertEqual((seen.prior_met, seen.prior_of, len(seen.rows)), (8, 10, 3))
        kinds = [tw.WhatIf.SESSION, tw.WhatIf.ASSISTANT, tw.WhatIf.WITHOUT]
        self.assertEqual(len(seen.what_if), len(kinds))
        for row, kind in zip(seen.what_if, kinds):
            self.assertIsInstance(row.what, kind)
        asked.by = "2001-01-01"
        with self.assertRaises(tw.Fault.Refused) as refused:
            desk.look_ahead(school.course, asked, tw.Glance())
        self.assertEqual(refused.exception.rule, "date_out_of_bounds")
        season = desk.season(tw.Glance())
        self.assertEqual((season.courses, season.least, season.proposals), (1, 6, []))
        with self.assertRaises(tw.Fault.NotFound):
            desk.season_outline(["minutes:nothing"])
        ended = tw.Glance()
        ended.end()
        asked.by = None
        self.assertIsNone(desk.look_ahead(school.course, asked, ended))
        self.assertIsNone(desk.season(ended))

    def test_an_outline_is_edited_checked_and_set(self):
        school = School(1)
        outline = school.shop.tw.outline(tw.Scope.SHOP()).outline
        self.assertEqual(tw.read_outline(tw.outline_text(outline)), outline)
        outline.edition += 1
        dropped = outline.skills[-1].id
        skill = outline.skills[0]
        skill.requirement.measures = []
        faults = school.shop.tw.check_outline(outline).faults
        self.assertIn(tw.OutlineFault.NOT_MEASURABLE(skill.id), faults)
        with self.assertRaises(tw.Fault.Refused) as refused:
            school.shop.record(tw.Request.SET_OUTLINE(tw.Scope.SHOP(), outline, "shorter"))
        self.assertEqual(refused.exception.rule, "outline")
        skill.requirement.measures = [tw.Measure.COUNT(3, "times")]
        self.assertEqual(school.shop.tw.check_outline(outline).faults, [])
        school.shop.record(tw.Request.SET_OUTLINE(tw.Scope.SHOP(), outline, "shorter"))
        now = school.shop.tw.outline(tw.Scope.SHOP())
        self.assertEqual(now.outline, outline)
        kept = school.shop.tw.outline(tw.Scope.COURSE(school.course))
        self.assertTrue(kept.shop_differs, "a course keeps the outline it adopted")
        self.assertIn(dropped, [card.card.skill for card in kept.skills])

    def test_figures_are_typed_and_shown_in_either_system(self):
        tablet = Device().tw
        tablet.start_alone("Tarn School", "Signe Halvorsen")
        show, read = tablet.show_figure, tablet.read_figure
        self.assertEqual(show(tw.FigureKind.DEPTH, 1_250).text, "12.5")
        self.assertEqual(read(tw.FigureKind.PRESSURE, "200"), 200_000)
        self.assertEqual(
            tablet.read_measure(tw.MeasureKind.HOLD, "1:05"), tw.Measured.SECONDS(65)
        )
        tablet.set_units(tw.Units.IMPERIAL)
        self.assertEqual(show(tw.FigureKind.DEPTH, 1_829).text, "60")
        self.assertEqual(tw.unit_symbol(show(tw.FigureKind.DEPTH, 1_829).unit), "ft")
        with self.assertRaises(tw.Fault.Refused) as refused:
            read(tw.FigureKind.DEPTH, "ten")
        self.assertEqual(refused.exception.rule, "not_a_number")

    def test_units_preferences_and_the_stopwatch_survive_a_restart(self):
        device = Device()
        device.tw.start_alone("Tarn School", "Signe Halvorsen")
        device.tw.set_units(tw.Units.IMPERIAL)
        device.tw.keep_preference("hand", "left")
        timed = tw.Timed(course="c", student="s", skill="float-10")
        device.tw.start_stopwatch(timed)
        before = device.tw.stopwatch(None)
        device.restart()
        self.assertEqual(device.tw.units(), tw.Units.IMPERIAL)
        self.assertEqual(device.tw.preference("hand"), "left")
        self.assertIsNone(device.tw.preference("theme"))
        after = device.tw.stopwatch(1)
        self.assertTrue(after.running and after.reached)
        self.assertEqual(after.timed, timed)
        self.assertGreater(after.seconds, before.seconds)
        stopped = device.tw.stop_stopwatch()
        self.assertEqual(device.tw.stopwatch(None).seconds, stopped.seconds)
        self.assertEqual(device.tw.reset_stopwatch().seconds, 0)


if __name__ == "__main__":
    unittest.main()
