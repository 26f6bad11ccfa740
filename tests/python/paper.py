"""Papers and files through the border: printed, exported, taken in, checked."""

import csv
import io
import os
import unittest

import tallywater as tw
from school import School, meet, new_folder

SETUP = tw.PaperSetup(
    sheet=tw.OfficeSheet.A4, language=tw.PaperLanguage.ENGLISH, device_fonts=False
)
HINTS = tw.RosterHints(encoding=None, delimiter=None)


def claim(fingerprint, state=None):
    return tw.Claim(fingerprint=fingerprint, state=state)


class Tray(tw.PaperTray):
    def __init__(self, most=99):
        self.printed, self.most = [], most

    def take(self, printed):
        self.printed.append(printed)
        return len(self.printed) < self.most


class Papers(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.school = School(3)
        cls.tw = cls.school.instructor.tw

    def test_every_paper_is_a_pdf(self):
        course, session = self.school.course, self.school.session
        papers = [
            self.tw.print_record(course, self.school.students[0], SETUP),
            self.tw.print_class_summary(course, SETUP),
            self.tw.print_session_sheet(course, session, SETUP),
            self.tw.print_slate(course, session, tw.SlateSize.A6, SETUP),
            self.tw.print_briefing_cards(course, [], SETUP),
            self.tw.print_activity([], SETUP),
        ]
        for paper in papers:
            self.assertTrue(paper.startswith(b"%PDF-"))
            self.assertTrue(paper.rstrip().endswith(b"%%EOF"))

    def test_a_class_is_printed_as_one_job_that_can_be_stopped(self):
        tray = Tray()
        self.assertEqual(self.tw.print_records([self.school.course], SETUP, tray), 3)
        self.assertEqual([one.done for one in tray.printed], [1, 2, 3])
        self.assertEqual({one.of for one in tray.printed}, {3})
        self.assertEqual(self.tw.print_records([], SETUP, Tray(most=2)), 2)

    def test_what_is_not_there_is_a_fault_with_fields(self):
        nobody = "01900000-0000-7000-8000-000000000001"
        with self.assertRaises(tw.Fault.NotFound) as caught:
            self.tw.print_record(self.school.course, nobody, SETUP)
        self.assertEqual(caught.exception.what, "student")
        with self.assertRaises(tw.Fault.NotFound) as caught:
            self.tw.print_session_sheet(self.school.course, nobody, SETUP)
        self.assertEqual(caught.exception.what, "session")
        with self.assertRaises(tw.Fault.NotFound) as caught:
            self.tw.print_briefing_cards(self.school.course, ["juggling"], SETUP)
        self.assertEqual(caught.exception.what, "skill")

    def test_a_file_is_never_written_over_unless_told(self):
        path = os.path.join(new_folder(), "record.pdf")
        tw.save_file(path, b"one", False)
        with self.assertRaises(tw.Fault.Refused) as caught:
            tw.save_file(path, b"two", False)
        self.assertEqual(caught.exception.rule, "file_exists")
        with open(path, "rb") as file:
            self.assertEqual(file.read(), b"one")
        tw.save_file(path, b"two", True)
        with open(path, "rb") as file:
            self.assertEqual(file.read(), b"two")
        self.assertEqual(os.listdir(os.path.dirname(path)), ["record.pdf"])
        with self.assertRaises(tw.Fault.NotFound):
            tw.save_file(os.path.join(path + "-no", "such", "x"), b"", False)

    def test_a_file_is_not_written_through_a_link_of_its_unfinished_name(self):
        folder, elsewhere = new_folder(), os.path.join(new_folder(), "kept.txt")
        with open(elsewhere, "wb") as file:
            file.write(b"kept")
        part = os.path.join(folder, f".{os.getpid()}-record.pdf.part")
        for target in [elsewhere, elsewhere + "-not-there"]:
            os.symlink(target, part)
            with self.assertRaises(tw.Fault.Refused) as caught:
                tw.save_file(os.path.join(folder, "record.pdf"), b"one", True)
            self.assertEqual(caught.exception.rule, "file_exists")
            os.remove(part)
        with open(elsewhere, "rb") as file:
            self.assertEqual(file.read(), b"kept")
        self.assertFalse(os.path.exists(elsewhere + "-not-there"))
        self.assertEqual(os.listdir(folder), [])


class Files(unittest.TestCase):
    def test_tables_are_read_by_another_program(self):
        school = School(2)
        school.instructor.mark(school, 0, "mask-full", tw.Mark.MET)
        files = school.instructor.tw.export_tables(school.course, [])
        names = [file.name for file in files]
        self.assertIn("csv-metadata.json", names)
        marks = next(file for file in files if file.name == "marks.csv").bytes
        rows = list(csv.DictReader(io.StringIO(marks.decode("utf-8-sig"))))
        self.assertEqual(len(rows), 1)
        self.assertEqual(rows[0]["mark"], "met")
        self.assertEqual(rows[0]["student"], "Ottilie Brandvoll")
        calendar = school.instructor.tw.export_calendar(
            school.course, tw.PaperLanguage.ENGLISH
        )
        self.assertIn(b"BEGIN:VEVENT", calendar)
        self.assertNotIn(b"Ottilie", calendar)

    def test_every_bad_row_of_a_roster_is_named_and_nobody_is_enrolled(self):
        school = School(1)
        bad = "name,born\nTove Lindqvist,1990-02-03\n,1991-01-01\nHannu Kivelä,soon\n"
        desk = school.shop.tw
        seen = desk.look_at_roster(school.course, bad.encode(), HINTS)
        self.assertEqual([row.line for row in seen.rows], [2])
        self.assertEqual([fault.line for fault in seen.faults], [3, 4])
        self.assertTrue(seen.faults[0].reason.is_no_name())
        self.assertTrue(seen.faults[1].reason.is_no_date())
        with self.assertRaises(tw.Fault.Refused) as caught:
            desk.take_roster(school.course, bad.encode(), HINTS, tw.Twins.LEAVE_OUT)
        self.assertEqual(caught.exception.rule, "roster_bad_rows")
        self.assertEqual(caught.exception.value, "2")
        self.assertEqual(len(desk.records(school.course).rows), 1)
        good = "name;born\nTove Lindqvist;1990-02-03\nOttilie Brandvoll;\n"
        taken = desk.take_roster(
            school.course, good.encode(), HINTS, tw.Twins.LEAVE_OUT
        )
        self.assertEqual((taken.enrolled, taken.again, taken.left_out), (1, 0, [3]))
        self.assertEqual(len(desk.records(school.course).rows), 2)

    def test_a_slate_is_typed_in_with_its_own_time(self):
        school = School(2)
        desk = school.instructor.tw
        marks = [
            tw.SlateMark(student=student, skill="mask-full", mark=tw.Mark.MET)
            for student in school.students
        ]
        seen = desk.moment(None, -10).at
        # The whole slate is one receipt: one tap takes back every mark of it.
        receipt = desk.type_slate(school.course, school.session, None, seen, marks)
        self.assertEqual((len(receipt.entries), receipt.people), (2, 2))
        self.assertEqual(receipt.undo, receipt.entries)
        with self.assertRaises(tw.Fault.Refused) as caught:
            desk.type_slate(school.course, school.session, None, seen, [marks[0], marks[0]])
        self.assertEqual(caught.exception.rule, "twice")
        with self.assertRaises(tw.Fault.Refused) as caught:
            to_come = desk.moment(None, 1).at
            desk.type_slate(school.course, school.session, None, to_come, marks)
        self.assertEqual(caught.exception.rule, "still_to_come")
        record = desk.student_record(school.course, school.students[0])
        item = next(item for item in record.items if item.skill == "mask-full")
        self.assertIsNotNone(item.lines[0].from_slate)

    def test_dives_go_out_and_come_in_once(self):
        school = School(1)
        desk = school.instructor.tw
        who = tw.Who.STUDENT(school.students[0])
        log = tw.DiveLog(
            down="2026-06-05T10:00:00+02:00",
            up="2026-06-05T10:31:00+02:00",
            max_depth_cm=1150,
            mean_depth_cm=None,
            ascents=1,
            gas=None,
            water=tw.WaterKind.FRESH,
            temperature_dc=None,
            profile=[],
        )
        desk.record(tw.Request.LOG_DIVE(school.course, who, None, log))
        file = desk.export_dives(school.course, who)
        self.assertTrue(desk.look_at_dives(school.course, who, file).dives[0].here)
        taken = desk.take_dives(school.course, who, None, file)
        self.assertEqual((taken.logged, taken.left_out), (0, 1))
        with self.assertRaises(tw.Fault.Refused) as caught:
            desk.take_dives(school.course, who, None, b"")
        self.assertEqual(caught.exception.rule, "dives_not_uddf")

    def test_a_students_own_log_comes_in_as_none_of_the_course(self):
        school = School(1)
        desk = school.instructor.tw
        student = school.students[0]
        file = b"""<uddf xmlns="http://www.streit.cc/uddf/3.2/" version="3.2.3">
<profiledata><repetitiongroup id="g"><dive id="d"><informationbeforedive>
<datetime>2020-06-06T12:00:00+02:00</datetime></informationbeforedive>
<informationafterdive><greatestdepth>14.2</greatestdepth><diveduration>2100</diveduration>
</informationafterdive></dive></repetitiongroup></profiledata></uddf>"""
        seen = desk.look_at_own_dives(school.course, student, file)
        self.assertEqual([one.here for one in seen.dives], [False])
        self.assertEqual(desk.take_own_dives(school.course, student, file).logged, 1)
        record = desk.student_record(school.course, student)
        self.assertEqual((len(record.own_dives), record.dives), (1, []))
        page = desk.student_page(school.course, student, SETUP)
        self.assertEqual(page.uddf.count(b"own dive, not of the course"), 1)


class CourseFiles(unittest.TestCase):
    def test_a_course_file_is_verified_merged_and_continued(self):
        school = School(2)
        school.instructor.mark(school, 0, "mask-full", tw.Mark.MET)
        file = school.instructor.tw.export_bundle(school.course, school.students)
        verified = tw.verify_bundle(file, None)
        self.assertIsNone(verified.printed)
        same = tw.verify_bundle(file, claim(verified.fingerprint.upper()))
        self.assertTrue(same.printed.is_same())
        own = verified.records[0].own
        self.assertTrue(tw.verify_bundle(file, claim(own)).printed.is_record())
        self.assertTrue(tw.verify_bundle(file, claim("0" * 64)).printed.is_other())
        with self.assertRaises(tw.Fault.Refused) as caught:
            tw.verify_bundle(file, claim("12 34"))
        self.assertEqual(caught.exception.rule, "bad_fingerprint")
        at = tw.verify_bundle(file, claim(verified.fingerprint, verified.state))
        self.assertTrue(at.printed.is_same())
        with self.assertRaises(tw.Fault.Refused) as caught:
            tw.verify_bundle(file, claim(verified.fingerprint, "12 34"))
        self.assertEqual(caught.exception.rule, "bad_state")
        taken = school.shop.tw.take_bundle(file)
        self.assertTrue(taken.is_merged())
        self.assertEqual(taken.new, 1)
        # Another school looks at it, and an instructor there continues it.
        other = School(1)
        seen = other.instructor.tw.look_at_bundle(file)
        self.assertEqual(seen.whose, tw.Whose.ANOTHER_SCHOOLS)
        self.assertEqual(seen.shop, "Grebe Hollow Divers")
        with self.assertRaises(tw.Fault.Refused) as caught:
            other.shop.tw.take_bundle(file)
        self.assertEqual(caught.exception.rule, "role")
        continued = other.instructor.tw.take_bundle(file)
        self.assertTrue(continued.is_continued())
        self.assertEqual(continued.students, 2)
        names = [row.name.name for row in other.instructor.tw.records(continued.course).rows]
        self.assertIn("Ottilie Brandvoll", names)

    def test_a_changed_course_file_is_refused(self):
        school = School(1)
        file = school.instructor.tw.export_bundle(school.course, [])
        changed = bytearray(file)
        changed[len(changed) // 2] ^= 1
        for desk in (None, school.shop.tw):
            with self.assertRaises(tw.Fault.Refused) as caught:
                if desk is None:
                    tw.verify_bundle(bytes(changed), None)
                else:
                    desk.take_bundle(bytes(changed))
            self.assertEqual(caught.exception.rule, "course_file_changed")


class Keeping(unittest.TestCase):
    def test_a_hold_keeps_a_person_and_a_course_from_being_deleted(self):
        school = School(1)
        desk, student = school.shop.tw, school.students[0]
        held = school.shop.record(
            tw.Request.SET_HOLD(tw.HoldOn.STUDENT(student), "a claim is open", None)
        )
        with self.assertRaises(tw.Fault.Refused) as caught:
            desk.record(tw.Request.FORGET(student, "asked for it"))
        self.assertEqual(caught.exception.rule, "held")
        self.assertEqual(caught.exception.what, "person")
        self.assertEqual(caught.exception.id, held.entries[0].entry)
        self.assertTrue(all(not line.due for line in desk.kept()))
        ref = held.entries[0]
        desk.record(tw.Request.WITHDRAW(ref.ledger, ref.entry, None))
        desk.record(tw.Request.FORGET(student, "asked for it"))
        meet(school.shop, school.instructor)
        people = [ledger for ledger in school.instructor.tw.ledgers() if student in ledger]
        self.assertEqual(people, [])

    def test_free_texts_with_a_name_are_listed(self):
        school = School(1)
        school.instructor.record(
            tw.Request.NOTE(
                school.course, None, None, school.session, None, "Brandvoll waits."
            )
        )
        texts = school.instructor.tw.texts_to_read(school.students[0])
        self.assertEqual(texts[0].texts, ["Brandvoll waits."])
        self.assertTrue(texts[0].at.names)


if __name__ == "__main__":
    unittest.main()
