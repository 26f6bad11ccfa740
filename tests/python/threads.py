"""Listeners that call back, listeners that throw, and thumbs that tap at once."""

import threading
import unittest

import tallywater as tw
from school import BorderTest, School, carry, plain


def skills(school):
    return [skill.id for skill in tw.starter_outline().skills if skill.required]


class Listening(BorderTest):
    def test_a_listener_that_asks_back_does_not_hang(self):
        school = School(2)
        tablet, seen = school.instructor.tw, []

        class Asks(tw.Listener):
            def changed(self, change):
                board = tablet.board(school.course, None, tw.Columns.ALL)
                seen.append((change, board.counts.done))
                if len(seen) == 1:
                    # It may even record, from inside.
                    school.instructor.mark(school, 1, "mask-full", tw.Mark.NEARLY)

        tablet.listen(Asks())
        school.instructor.mark(school, 0, "mask-full", tw.Mark.MET)
        self.assertEqual(len(seen), 2)
        change = seen[0][0]
        self.assertEqual((change.course, change.shop), (school.course, False))
        cell = tw.CellKey(student=school.students[0], skill="mask-full")
        self.assertEqual(change.cells, [cell])
        self.assertFalse(change.from_elsewhere)

    def test_a_listener_that_throws_loses_no_mark(self):
        school = School(1)

        class Throws(tw.Listener):
            def changed(self, change):
                raise RuntimeError("a slip in the shell's own code")

        school.instructor.tw.listen(Throws())
        receipt = school.instructor.mark(school, 0, "mask-full", tw.Mark.NEARLY)
        self.assertEqual(len(receipt.entries), 1)
        self.assertEqual(
            school.cell(school.instructor, 0, "mask-full").state, tw.CellState.TRYING
        )

    def test_a_kept_board_follows_its_changes_row_by_row(self):
        school = School(3)
        tablet, changes = school.instructor.tw, []

        class Keeps(tw.Listener):
            def changed(self, change):
                changes.append(change)

        tablet.listen(Keeps())
        board = tablet.keep_board(school.course, school.session, tw.Columns.ALL)
        school.instructor.mark(school, 1, "mask-full", tw.Mark.MET)
        update = board.take(changes.pop())
        self.assertTrue(update.is_ROWS())
        names = [placed.row.name.student for placed in update.rows]
        self.assertEqual(names, [school.students[1]])
        fresh = lambda: tablet.board(school.course, school.session, tw.Columns.ALL)
        self.assertEqual(plain(board.view()), plain(fresh()))
        other = school.shop.record(tw.Request.OPEN_COURSE("July", "2026-07-04", None, tw.OutlineFrom.SCHOOL(), []))
        self.assertTrue(other.made)
        carry(school.shop, school.instructor)
        for change in changes:
            board.take(change)
        self.assertEqual(plain(board.view()), plain(fresh()))

    def test_two_threads_tap_at_once(self):
        school = School(4)
        marked, failed = [], []

        def tap(student):
            try:
                for skill in skills(school)[:12]:
                    receipt = school.instructor.mark(school, student, skill, tw.Mark.NEARLY)
                    marked.append(receipt.entries[0].entry)
                    school.instructor.tw.today()
            except Exception as error:  # a thread's own failure must reach the test
                failed.append(error)

        threads = [threading.Thread(target=tap, args=(student,)) for student in range(4)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        self.assertEqual(failed, [])
        rows = school.instructor.tw.activity(
            school.course, None, None, [tw.Kind.ATTEMPT], 1_000
        ).rows
        self.assertEqual({row.entry for row in rows}, set(marked))
        self.assertEqual(len(marked), 48)


if __name__ == "__main__":
    unittest.main()
