"""Devices on a network, on loopback: paired with a code, in step, shut out, restored."""

import time
import unittest

import tallywater as tw
from school import Device, plain

HERE = ["127.0.0.1:0"]
# Long after which a test that waits has failed. Nothing is measured against it.
GUARD = 60


def until(what, is_so):
    """Waits until it is so."""
    start = time.monotonic()
    while not is_so():
        if time.monotonic() - start > GUARD:
            raise AssertionError(f"never came about: {what}")
        time.sleep(0.01)


class Ear(tw.LinkListener):
    """Keeps what was heard."""

    def __init__(self):
        self.news = []

    def link_news(self, news):
        self.news.append(news)


class Deaf(tw.LinkListener):
    """A shell's part that fails at everything."""

    def link_news(self, news):
        raise RuntimeError("the shell's own mistake")


class LinkTest(unittest.TestCase):
    def setUp(self):
        self.shop = Device()
        self.office = self.shop.tw.start_shop("Grebe Hollow Divers", "Ansel Forde")
        self.tablet = Device()

    def tearDown(self):
        for device in [self.shop, self.tablet]:
            device.tw.go_offline()

    def refused(self, rule, call, *given):
        with self.assertRaises(tw.Fault.Refused) as caught:
            call(*given)
        self.assertEqual(caught.exception.rule, rule)
        return caught.exception

    def online(self):
        self.ear = Ear()
        self.shop.tw.go_online(HERE, False, self.ear)
        self.tablet.tw.go_online(HERE, False, Deaf())
        return self.shop.tw.link().place

    def staff(self, name):
        return self.shop.record(tw.Request.JOIN_STAFF(name)).made

    def pair(self, role=tw.Role.INSTRUCTOR, name="Renate Solheim"):
        place = self.online()
        self.renate = self.staff(name)
        code = self.shop.tw.show_code(self.renate, role, None).code
        self.tablet.tw.pair(place, code, "Blue tablet")
        until("ready", lambda: self.tablet.tw.state().stage == tw.Stage.READY)

    def open_course(self):
        made = self.shop.record(
            tw.Request.OPEN_COURSE(
                "First dives", "2026-06-06", None, tw.OutlineFrom.SCHOOL(), [tw.StaffRole(staff=self.renate, role=tw.Role.INSTRUCTOR)]
            )
        )
        self.course = made.made
        details = tw.PersonDetails(
            name="Ottilie Brandvoll", called=None, born=None, adult=None, contact=None, emergency=None, body=None,
            sizes=None
        )
        self.student = self.shop.record(tw.Request.ENROL(self.course, details, None)).made
        until("the course on the tablet", lambda: "course:" + made.made in self.tablet.tw.ledgers())
        until("its student", lambda: self.tablet.tw.records(self.course).rows)

    def mark(self, skill="mask-full", mark=tw.Mark.NOT_YET, again=tw.Again.UNSAID):
        sheet = self.tablet.tw.attempt_sheet(self.course, self.student, skill, None)
        return self.tablet.record(
            tw.Request.MARK(
                tw.MarkTap(
                    on=sheet.cell.on,
                    mark=mark,
                    method=None,
                    measured=[],
                    slips=[],
                    note=None,
                    despite=None,
                    session=None,
                    origin=tw.Origin.LIVE(),
                    again=again,
                )
            )
        )

    def test_a_code_lets_in_one_device_and_the_rest_comes_by_itself(self):
        place = self.online()
        self.renate = self.staff("Renate Solheim")
        shown = self.shop.tw.show_code(self.renate, tw.Role.INSTRUCTOR, None)
        self.assertRegex(shown.code, r"^\d{6}$")
        self.assertEqual((shown.staff.name, shown.tries), ("Renate Solheim", 3))
        self.assertLessEqual(shown.seconds, 120)
        # A wrong code costs a try, and both sides say so.
        wrong = "000000" if shown.code != "000000" else "000001"
        fault = self.refused("wrong_code", self.tablet.tw.pair, place, wrong, "Blue tablet")
        self.assertEqual(fault.value, "2")
        until("the shop to hear of it", lambda: self.shop.tw.link().code.tries == 2)
        self.tablet.tw.pair(place, shown.code, "Blue tablet")
        until("ready", lambda: self.tablet.tw.state().stage == tw.Stage.READY)
        self.assertEqual(self.tablet.tw.state().me.name.name, "Renate Solheim")
        until("the code's end", lambda: self.shop.tw.link().code_ended == tw.CodeEnd.USED)
        self.assertIsNone(self.shop.tw.link().code)
        self.open_course()
        self.mark()

        # The same on both but for what may be done from there: a shop never judges.
        def rows(device):
            board = device.tw.board(self.course, None, tw.Columns.ALL)
            return plain(board.rows, but={"on"})

        until("the mark at the shop", lambda: rows(self.shop) == rows(self.tablet))
        # Held by the shop, because the shop said so.
        held = lambda: {row.course: row.by_shop for row in self.tablet.tw.held()}
        until("held by the shop", lambda: isinstance(held()[self.course], tw.Held.THERE))
        [device] = self.shop.tw.link().devices
        self.assertEqual((device.name, device.connected), ("Blue tablet", True))
        self.assertIsNone(device.clock_minutes)
        self.assertTrue(any(isinstance(news, tw.LinkNews.ARRIVED) for news in self.ear.news))

    def test_what_a_device_may_not_do_is_refused_by_name(self):
        self.refused("offline", self.shop.tw.show_code, self.office, tw.Role.SHOP, None)
        self.refused("offline", self.tablet.tw.pair, "x", "123456", "Blue tablet")
        self.assertFalse(self.shop.tw.link().online)
        self.assertEqual(self.refused("bad_address", self.shop.tw.go_online, ["x"], False, None).field, "listen")
        self.pair()
        place = self.tablet.tw.link().place
        self.refused("bad_code", self.tablet.tw.pair, place, "12345x", "Blue tablet")
        self.refused("bad_place", self.tablet.tw.pair, "nowhere", "123456", "Blue tablet")
        self.refused("bad_place", self.tablet.tw.meet_at, "nowhere")
        # An instructor lets in assistants, and nobody else.
        fault = self.refused("role", self.tablet.tw.show_code, self.renate, tw.Role.INSTRUCTOR, None)
        self.assertIsNotNone(fault.what)
        bo = self.staff("Bo Merriweather")
        until("the new name on the tablet", lambda: len(self.tablet.tw.staff().staff) == 3)
        self.tablet.tw.show_code(bo, tw.Role.ASSISTANT, None)
        self.tablet.tw.hide_code()
        until("it is hidden", lambda: self.tablet.tw.link().code is None)
        nobody = "00000000-0000-7000-8000-000000000000"
        self.assertEqual(
            self.refused("unknown", self.shop.tw.show_code, nobody, tw.Role.ASSISTANT, None).what, "staff"
        )

    def test_what_a_lost_tablet_writes_later_waits_for_the_shop(self):
        self.pair()
        self.open_course()
        self.mark()
        until(
            "in step",
            lambda: all(isinstance(row.by_shop, tw.Held.THERE) for row in self.tablet.tw.held()),
        )
        self.tablet.tw.go_offline()
        self.assertEqual(self.shop.tw.late_entries(), [])
        self.shop.record(tw.Request.REVOKE(self.tablet.tw.card(), "lost"))
        self.mark(mark=tw.Mark.MET, again=tw.Again.ANOTHER_TRY)
        # The door is shut: it comes by a memory stick.
        ledger = "course:" + self.course
        self.shop.tw.merge(ledger, self.tablet.tw.save_ledger(ledger))
        [late] = self.shop.tw.late_entries()
        self.assertEqual((late.ledger, len(late.entries)), (ledger, 1))
        met = lambda: self.shop.tw.board(self.course, None, tw.Columns.ALL).counts.done
        self.assertEqual(met(), 0)
        self.shop.record(tw.Request.ACCEPT_LATE(late.ledger, late.entries))
        self.assertEqual(self.shop.tw.late_entries(), [])

    def test_the_sheet_restores_the_shop_and_a_mistyped_line_is_named(self):
        self.pair()
        self.assertIsNone(self.tablet.tw.recovery_lines())
        lines = self.shop.tw.recovery_lines()
        self.assertEqual(len(lines), 7)
        fresh = Device()
        fault = self.refused("sheet_length", fresh.tw.restore_shop, "short", "Ansel Forde")
        self.assertEqual((fault.value, fault.least), ("5", "63"))
        other = "C" if lines[2][0] != "C" else "D"
        typed = lines[:2] + [other + lines[2][1:]] + lines[3:]
        fault = self.refused("sheet_line", fresh.tw.restore_shop, "\n".join(typed), "Ansel Forde")
        self.assertEqual(fault.value, "3")
        mixed = lines[1:2] + lines[0:1] + lines[2:]
        self.refused("sheet_lines_mixed", fresh.tw.restore_shop, " ".join(mixed), "Ansel Forde")
        self.assertEqual(fresh.tw.state().stage, tw.Stage.FIRST_START)
        fresh.tw.restore_shop("\n".join(lines), "Ansel Forde")
        self.assertEqual(fresh.tw.state().me.role, tw.Role.SHOP)

    def test_a_copy_is_whole_and_never_written_over(self):
        copy = self.tablet.folder + "/copy.db"
        self.shop.tw.back_up(copy)
        self.assertEqual(self.refused("file_exists", self.shop.tw.back_up, copy).id, "copy.db")
        self.assertFalse(self.shop.tw.tidy())

    def test_a_question_from_another_program_is_answered_once(self):
        with self.assertRaises(tw.Fault.Busy):
            tw.ask(self.shop.folder, "status")
        self.shop.tw.answers_post(True)
        question = tw.ask(self.shop.folder, "status")
        self.assertIsNone(tw.answer(self.shop.folder, question))
        self.assertEqual(self.shop.tw.asked().text, "status")
        self.assertIsNone(self.shop.tw.asked())
        self.shop.tw.say(question, "all well")
        self.assertEqual(tw.answer(self.shop.folder, question), "all well")
        self.assertIsNone(tw.answer(self.shop.folder, question))
        with self.assertRaises(tw.Fault.Busy):
            tw.Tallywater.open(self.shop.folder)


if __name__ == "__main__":
    unittest.main()
