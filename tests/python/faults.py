"""Every fault, caught by its name with its fields, and never with a name in it."""

import inspect
import os
import sqlite3
import subprocess
import sys
import unittest
import uuid

import tallywater as tw
from school import BorderTest, Device, School, details, new_folder

CONTRACT = {
    "DeviceFull": [],
    "Busy": [],
    "Refused": ["rule", "field", "value", "least", "most", "what", "id"],
    "NewerVersion": ["found", "known"],
    "Damaged": ["how"],
    "NotFound": ["what", "id"],
    "Internal": ["detail"],
}


HOLD = """
import sqlite3, sys
other = sqlite3.connect(sys.argv[1], isolation_level=None)
other.execute("BEGIN IMMEDIATE")
print("held", flush=True)
sys.stdin.read()
"""


def store(folder):
    return os.path.join(folder, "tallywater.db")


class Faults(BorderTest):
    def refused(self, rule, act, *given):
        with self.assertRaises(tw.Fault.Refused) as caught:
            act(*given)
        self.assertEqual(caught.exception.rule, rule)
        return caught.exception

    def test_a_shell_can_act_on_seven_faults_and_no_others(self):
        variants = {
            name: list(inspect.signature(variant).parameters)
            for name, variant in vars(tw.Fault).items()
            if inspect.isclass(variant)
        }
        self.assertEqual(variants, CONTRACT)
        for name, fields in CONTRACT.items():
            given = {field: 3 if field in ("found", "known") else "x" for field in fields}
            with self.assertRaises(tw.Fault):
                raise getattr(tw.Fault, name)(**given)

    def test_another_program_holding_the_file_is_busy(self):
        device = Device()
        device.tw.start_alone("Tarn School", "Signe Halvorsen")
        # A process of its own: two SQLites in one do not see each other's locks.
        pipe = subprocess.PIPE
        command = [sys.executable, "-c", HOLD, store(device.folder)]
        with subprocess.Popen(command, stdin=pipe, stdout=pipe) as other:
            self.assertEqual(other.stdout.readline().strip(), b"held")
            with self.assertRaises(tw.Fault.Busy):
                device.record(tw.Request.RENAME_SHOP("Other School"))
        device.record(tw.Request.RENAME_SHOP("Other School"))
        self.assertEqual(device.tw.state().shop, "Other School")

    def test_a_newer_file_is_refused_with_both_versions_and_left_alone(self):
        folder = new_folder()
        device = Device(folder)
        device.tw.start_alone("Tarn School", "Signe Halvorsen")
        device.tw = None
        newer = sqlite3.connect(store(folder))
        (known,) = newer.execute("PRAGMA user_version").fetchone()
        newer.execute("PRAGMA user_version = 999")
        newer.close()
        with self.assertRaises(tw.Fault.NewerVersion) as caught:
            tw.Tallywater.open(folder)
        self.assertEqual((caught.exception.found, caught.exception.known), (999, known))
        kept = sqlite3.connect(store(folder))
        self.assertEqual(kept.execute("PRAGMA user_version").fetchone(), (999,))
        kept.close()

    def test_a_damaged_store_is_left_as_it_is_and_damaged_bytes_are_refused(self):
        folder = new_folder()
        hurt = b"no database at all " * 400
        with open(store(folder), "wb") as file:
            file.write(hurt)
        with self.assertRaises(tw.Fault.Damaged) as caught:
            tw.Tallywater.open(folder)
        self.assertEqual(caught.exception.how, "content")
        with open(store(folder), "rb") as file:
            self.assertEqual(file.read(), hurt)
        rescue = tw.Rescue.begin(folder)
        self.assertEqual((rescue.how(), rescue.readable().entries), ("content", 0))
        aside = rescue.begin_anew()
        with open(aside, "rb") as file:
            self.assertEqual(file.read(), hurt)
        self.assertEqual(tw.Tallywater.open(folder).state().set_aside, [aside])
        school = School(1)
        ledger = f"course:{school.course}"
        bytes_ = bytearray(school.shop.tw.save_ledger(ledger))
        bytes_[len(bytes_) // 2] ^= 0xFF
        with self.assertRaises(tw.Fault.Damaged) as caught:
            school.assistant.tw.merge(ledger, bytes(bytes_))
        self.assertIsNone(caught.exception.how)
        school.assistant.tw.merge(ledger, school.shop.tw.save_ledger(ledger))

    def test_what_is_not_here_is_named(self):
        school = School(1)
        stranger = str(uuid.uuid4())
        asks = {
            "course": lambda: school.shop.tw.board(stranger, None, tw.Columns.ALL),
            "session": lambda: school.shop.tw.session(school.course, stranger),
            "student": lambda: school.shop.tw.student(school.course, stranger),
        }
        for what, ask in asks.items():
            with self.assertRaises(tw.Fault.NotFound) as caught:
                ask()
            self.assertEqual((caught.exception.what, caught.exception.id), (what, stranger))
        with self.assertRaises(tw.Fault.NotFound) as caught:
            school.shop.tw.line_up(school.course, None, "no-such-skill")
        self.assertEqual(caught.exception.what, "skill")

    def test_a_key_store_that_throws_is_an_internal_fault(self):
        class Broken(tw.KeyStore):
            def load(self, name):
                raise ValueError("the secret of Signe Halvorsen")

            def save(self, name, secret):
                raise ValueError("no")

        folder = new_folder()
        with self.assertRaises(tw.Fault.Internal) as caught:
            tw.Tallywater.open_with(folder, Broken(), None)
        self.assertIn("key", caught.exception.detail)
        self.assertNotIn("Halvorsen", str(caught.exception))

    def test_a_key_store_of_the_platform_keeps_the_keys(self):
        class Kept(tw.KeyStore):
            def __init__(self):
                self.secrets = {}

            def load(self, name):
                return self.secrets.get(name)

            def save(self, name, secret):
                self.secrets[name] = secret

        keys, folder = Kept(), new_folder()
        card = tw.Tallywater.open_with(folder, keys, None).card()
        self.assertEqual(len(keys.secrets["device"]), 32)
        self.assertEqual(tw.Tallywater.open_with(folder, keys, None).card(), card)
        self.assertFalse(os.path.exists(os.path.join(folder, "keys")))

    def test_a_refusal_names_the_rule_the_field_and_the_bounds(self):
        school = School(1)
        tablet, course = school.instructor, school.course
        long = "Wrzosowa" * 1_250
        fault = self.refused(
            "text_too_long",
            tablet.record,
            tw.Request.ENROL(course, details(long), None),
        )
        self.assertEqual((fault.field, fault.value, fault.most), ("name", "10000", "200"))
        self.assertNotIn("Wrzosowa", str(fault))
        self.refused("text_empty", tablet.record, tw.Request.ENROL(course, details(" "), None))
        old = details("Baldo Cantavento", born="1870-01-01")
        fault = self.refused(
            "date_out_of_bounds", tablet.record, tw.Request.ENROL(course, old, None)
        )
        self.assertEqual(
            (fault.field, fault.value, fault.least),
            ("birth date", "1870-01-01", "1900-01-01"),
        )
        log = tw.DiveLog(
            down="2026-06-13T10:20:00+02:00",
            up="2026-06-13T10:51:00+02:00",
            max_depth_cm=400_000,
            mean_depth_cm=None,
            ascents=None,
            gas=None,
            water=tw.WaterKind.SALT,
            temperature_dc=None,
            profile=[],
        )
        who = tw.Who.STUDENT(school.students[0])
        fault = self.refused(
            "out_of_bounds", tablet.record, tw.Request.LOG_DIVE(course, who, None, log)
        )
        self.assertEqual(
            (fault.field, fault.value, fault.least, fault.most),
            ("deepest", "4000.0", "0.5", "100.0"),
        )
        log.max_depth_cm, log.up = 1_000, "2026-06-13T09:51:00+02:00"
        self.refused(
            "ends_before_it_begins",
            tablet.record,
            tw.Request.LOG_DIVE(course, who, None, log),
        )
        twin = tw.Request.ENROL(course, details("Ottilie  BRANDVOLL"), None)
        self.refused("already_enrolled", tablet.record, twin)

    def test_a_role_that_does_not_judge_is_refused(self):
        school = School(1)
        tap = lambda by: tw.Request.MARK(school.tap(by, 0, "mask-full", tw.Mark.MET))
        fault = self.refused("role", school.shop.record, tap(school.shop))
        self.assertEqual(fault.what, "attempt")
        # What an instructor has on screen is no way round it.
        self.refused("other_desk", school.shop.record, tap(school.instructor))
        # A skill that is not there is on no screen.
        fault = self.refused(
            "unknown",
            school.instructor.tw.on_screen,
            school.course,
            school.students[0],
            "no-such-skill",
        )
        self.assertEqual(fault.what, "skill")

    def test_a_bad_id_says_of_what_it_was_and_not_what_was_typed(self):
        school = School(1)
        fault = self.refused("bad_id", school.shop.tw.student, school.course, "Ottilie")
        self.assertEqual(fault.what, "student")
        self.assertNotIn("Ottilie", str(fault))
        look = school.instructor.tw.on_screen
        fault = self.refused("bad_id", look, school.course, school.students[0], "Mask Full")
        self.assertEqual(fault.what, "skill")
        self.assertNotIn("Mask", str(fault))
        # In a request the field is named as well.
        tap = school.tap(school.instructor, 0, "mask-full", tw.Mark.MET, session="Pool 1")
        fault = self.refused("bad_id", school.instructor.record, tw.Request.MARK(tap))
        self.assertEqual((fault.what, fault.field), ("session", "session"))
        self.assertNotIn("Pool", str(fault))
        fault = self.refused(
            "bad_date", school.shop.record, tw.Request.OPEN_COURSE("July", "4 July", None, tw.OutlineFrom.SCHOOL(), [])
        )
        self.assertEqual(fault.field, "starts")

    def test_a_device_that_has_no_shop_says_so(self):
        device = Device()
        self.refused("not_set_up", device.tw.today)
        device.tw.start_alone("Tarn School", "Signe Halvorsen")
        self.refused("set_up_already", device.tw.start_shop, "Again", "Signe Halvorsen")

    def test_a_stranger_records_nothing(self):
        school, stranger = School(1), Device()
        stranger.tw.join(school.shop.tw.welcome())
        self.assertEqual(stranger.tw.state().stage, tw.Stage.NOT_ADMITTED)
        self.refused("not_admitted", stranger.record, tw.Request.JOIN_STAFF("Nobody"))


if __name__ == "__main__":
    unittest.main()
