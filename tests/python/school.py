"""Devices of a small invented school, each a desk over a folder of its own."""

import atexit
import faulthandler
import shutil
import tempfile
import unittest
from datetime import datetime, timedelta
from enum import Enum

import tallywater as tw

NAMES = [
    "Ottilie Brandvoll",
    "Émile Quatrefaire",
    "Þóra Sandsdóttir",
    "نجمة الرملي",
    "רותם גל-ים",
    "海野 さざなみ",
    "Łucja Wrzosowa 🐟",
    "Ngaio Whetu\u0304rangi",
]


def new_folder():
    """A folder that is gone when the tests have ended."""
    folder = tempfile.mkdtemp()
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    return folder


class SetClock(tw.DeviceClock):
    """A clock that is set, and moves by a second a reading."""

    def __init__(self, at="2026-06-06T09:00:00+02:00"):
        self.at = datetime.fromisoformat(at)

    def now(self):
        self.at += timedelta(seconds=1)
        return self.at.isoformat()


class Device:
    """One device, whose program can be ended and started again."""

    def __init__(self, folder=None):
        self.folder = folder or new_folder()
        self.clock = SetClock()
        self.tw = tw.Tallywater.open_with(self.folder, None, self.clock)

    def restart(self):
        self.tw = None
        self.tw = tw.Tallywater.open_with(self.folder, None, self.clock)

    def record(self, request):
        return self.tw.record(request)

    def mark(self, school, student, skill, mark, **more):
        return self.record(tw.Request.MARK(school.tap(self, student, skill, mark, **more)))


def carry(giver, taker):
    """Carries everything one way; the shop's ledger comes first."""
    for ledger in giver.tw.ledgers():
        taker.tw.merge(ledger, giver.tw.save_ledger(ledger))


def meet(a, b):
    carry(a, b)
    carry(b, a)


def admit(by, device, name, role):
    staff = by.record(tw.Request.JOIN_STAFF(name)).made
    by.record(
        tw.Request.ADMIT(
            tw.Admission(
                staff=staff,
                role=role,
                device=f"{name}'s tablet",
                key=device.tw.card(),
                link=None,
                until=None,
            )
        )
    )
    device.tw.join(by.tw.welcome())
    return staff


def details(name, **more):
    given = dict(called=None, born="1990-05-05", adult=None, contact=None, emergency=None, body=None, sizes=None)
    return tw.PersonDetails(name=name, **{**given, **more})


class School:
    """The shop, an instructor and an assistant, a course and its first pool session."""

    def __init__(self, students=8):
        self.shop, self.instructor, self.assistant = Device(), Device(), Device()
        self.shop.tw.start_shop("Grebe Hollow Divers", "Ansel Forde")
        role = tw.Role
        self.renate = admit(self.shop, self.instructor, "Renate Solheim", role.INSTRUCTOR)
        self.bo = admit(self.shop, self.assistant, "Bo Merriweather", role.ASSISTANT)
        rules = [rule.id for rule in tw.starter_policy().rules]
        read = tw.RuleText(title="House decision", edition=None, clause=None, on="2026-05-20")
        self.shop.record(tw.Request.CONFIRM_RULES(tw.Scope.SHOP(), rules, read))
        staff = [
            tw.StaffRole(staff=self.renate, role=role.INSTRUCTOR),
            tw.StaffRole(staff=self.bo, role=role.ASSISTANT),
        ]
        opened = self.shop.record(
            tw.Request.OPEN_COURSE("First dives, June", "2026-06-06", None, tw.OutlineFrom.SCHOOL(), staff)
        )
        self.course = opened.made
        self.students = [
            self.shop.record(tw.Request.ENROL(self.course, details(name), None)).made
            for name in NAMES[:students]
        ]
        for student in self.students:
            for what in (tw.ClearanceKind.HEALTH, tw.ClearanceKind.THEORY):
                self.clear(self.shop, student, what)
        self.session = self.plan(self.shop, "Pool 1", tw.Setting.CONFINED, "06T10:00:00")
        self.meet_all()

    def meet_all(self):
        for _ in range(2):
            meet(self.shop, self.instructor)
            meet(self.shop, self.assistant)
            meet(self.instructor, self.assistant)

    def clear(self, device, student, what, figure=None):
        cleared = tw.ClearanceResult.CLEARED
        device.record(
            tw.Request.CLEAR(self.course, student, what, cleared, None, figure)
        )

    def plan(self, device, title, setting, when):
        plan = device.tw.draft_session(self.course, None)
        plan.title, plan.setting = title, setting
        plan.block, plan.run_list = None, []
        plan.site, plan.starts, plan.minutes = (
            "Hollow Lane",
            f"2026-06-{when}+02:00",
            120,
        )
        return device.record(tw.Request.PLAN_SESSION(self.course, None, plan)).made

    def tap(self, device, student, skill, mark, **more):
        """A tap on a mark, on the attempt sheet as that device shows it."""
        given = dict(
            on=self.cell(device, student, skill).on,
            method=None,
            measured=[],
            slips=[],
            note=None,
            despite=None,
            session=self.session,
            origin=tw.Origin.LIVE(),
            again=tw.Again.UNSAID,
        )
        return tw.MarkTap(mark=mark, **{**given, **more})

    def cell(self, device, student, skill):
        sheet = device.tw.attempt_sheet(self.course, self.students[student], skill, None)
        return sheet.cell


def plain(view, but=()):
    """A view as plain values, but for some fields: of what goes back with a tap, all that it
    answers."""
    if isinstance(view, tw.OnScreen):
        may = (view.may_mark(), view.may_settle(), view.may_confirm(), view.may_exempt())
        return (view.tap(), *may)
    if isinstance(view, list):
        return [plain(one, but) for one in view]
    if isinstance(view, Enum) or not hasattr(view, "__dict__"):
        return view
    return type(view), {
        name: plain(value, but) for name, value in vars(view).items() if name not in but
    }


class BorderTest(unittest.TestCase):
    """A test that hangs is ended, and says where it hung."""

    def setUp(self):
        faulthandler.dump_traceback_later(240, exit=True)
        self.addCleanup(faulthandler.cancel_dump_traceback_later)
