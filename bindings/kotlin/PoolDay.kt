// A pool day in Kotlin against the real library: what a phone's shell does, as a phone's shell
// would write it. Run by `.ci/kotlin`; prints a line a part and ends with 1 at the first
// expectation that does not hold.

import java.nio.file.Files
import java.nio.file.Path
import java.time.OffsetDateTime
import java.util.concurrent.CountDownLatch
import java.util.concurrent.TimeUnit
import java.util.concurrent.atomic.AtomicInteger
import kotlin.system.exitProcess
import tallywater.*

const val BEGINS = "2026-06-06T09:00:00+02:00"
const val MASK = "mask-full"

fun expect(holds: Boolean, what: () -> String) {
    if (!holds) throw AssertionError(what())
}

fun <T> same(found: T, expected: T, what: String) =
    expect(found == expected) { "$what: $found, not $expected" }

/** A clock that is set, and moves by a second a reading. */
class SetClock : DeviceClock {
    private var at = OffsetDateTime.parse(BEGINS)

    @Synchronized
    override fun now(): String {
        at = at.plusSeconds(1)
        return at.toString()
    }
}

/** The platform's key store, as a phone has one. */
class KeptKeys : KeyStore {
    private val secrets = HashMap<String, ByteArray>()

    @Synchronized
    override fun load(name: String): ByteArray? = secrets[name]

    @Synchronized
    override fun save(name: String, secret: ByteArray) {
        secrets[name] = secret
    }
}

class Device {
    private val folder: Path = Files.createTempDirectory("pool day, Kotlin é ")
    private val keys = KeptKeys()
    private val clock = SetClock()
    var tw: Tallywater = Tallywater.openWith(folder.toString(), keys, clock)

    /** The program ends and starts again. */
    fun restart() {
        tw.close()
        tw = Tallywater.openWith(folder.toString(), keys, clock)
    }

    fun remove() {
        tw.goOffline()
        tw.close()
        folder.toFile().deleteRecursively()
    }
}

fun details(name: String) = PersonDetails(name, null, "1990-05-05", null, null, null, null, null)

fun Device.mark(course: String, student: String, skill: String, mark: Mark, session: String? = null): Receipt {
    val sheet = tw.attemptSheet(course, student, skill, session)
    return sheet.cell.on.use { on ->
        tw.record(
            Request.Mark(
                MarkTap(on, mark, null, listOf(), listOf(), null, null, session, Origin.Live, Again.UNSAID),
            ),
        )
    }
}

fun Device.state(course: String, student: String, skill: String): CellState {
    val sheet = tw.attemptSheet(course, student, skill, null)
    return sheet.cell.use { it.state }
}

inline fun <reified F : Fault> fails(what: String, act: () -> Unit): F {
    try {
        act()
    } catch (fault: Fault) {
        return fault as? F ?: throw AssertionError("$what: ${fault::class.simpleName}")
    }
    throw AssertionError("$what: nothing was refused")
}

fun until(what: String, holds: () -> Boolean) {
    val end = System.nanoTime() + TimeUnit.SECONDS.toNanos(120)
    while (!holds()) {
        expect(System.nanoTime() < end) { "never came about: $what" }
        Thread.sleep(10)
    }
}

fun resident(): Long {
    val line = Files.readAllLines(Path.of("/proc/self/status")).first { it.startsWith("VmRSS:") }
    return line.filter(Char::isDigit).toLong()
}

fun part(name: String, run: () -> Unit) {
    val begin = System.nanoTime()
    run()
    println("ok  $name (%.1f s)".format((System.nanoTime() - begin) / 1e9))
}

fun day() {
    val shop = Device()
    val tablet = Device()
    var course = ""
    var session = ""
    var renate = ""
    val students = ArrayList<String>()
    val names = listOf("Ottilie Brandvoll", "Émile Quatrefaire", "Þóra Sandsdóttir", "海野 さざなみ", "Łucja Wrzosowa 🐟")

    part("a shop opens, keeps its keys in the phone's own store, and is there again after a restart") {
        same(shop.tw.state().stage, Stage.FIRST_START, "a new folder")
        shop.tw.startShop("Grebe Hollow Divers", "Ansel Forde")
        val card = shop.tw.card()
        shop.restart()
        same(shop.tw.card(), card, "the device's key after a restart")
        same(shop.tw.state().shop, "Grebe Hollow Divers", "the shop after a restart")
    }
    part("a tablet is admitted by a code, and the two meet by themselves") {
        renate = shop.tw.record(Request.JoinStaff("Renate Solheim")).made!!
        shop.tw.goOnline(listOf("127.0.0.1:0"), false, null)
        tablet.tw.goOnline(listOf("127.0.0.1:0"), false, null)
        val code = shop.tw.showCode(renate, Role.INSTRUCTOR, null).code
        tablet.tw.pair(shop.tw.link().place!!, code, "Blue tablet")
        until("the tablet is ready") { tablet.tw.state().stage == Stage.READY }
        same(tablet.tw.state().me!!.name.name, "Renate Solheim", "whose tablet it is")
    }
    part("a course is opened, students enrolled and a session planned") {
        val staff = listOf(StaffRole(renate, Role.INSTRUCTOR))
        course = shop.tw.record(
            Request.OpenCourse("First dives, June", "2026-06-06", null, OutlineFrom.School, staff),
        ).made!!
        for (name in names) students += shop.tw.record(Request.Enrol(course, details(name), null)).made!!
        val plan = shop.tw.draftSession(course, null)
        plan.title = "Pool 1"
        plan.setting = Setting.CONFINED
        plan.block = null
        plan.runList = listOf()
        plan.site = "Hollow Lane"
        plan.starts = "2026-06-06T10:00:00+02:00"
        plan.minutes = 120u
        session = shop.tw.record(Request.PlanSession(course, null, plan)).made!!
        until("the course is on the tablet") {
            "course:$course" in tablet.tw.ledgers() &&
                runCatching { tablet.tw.board(course, session, Columns.ALL) }
                    .getOrNull()?.use { it.rows.size == names.size } == true
        }
    }
    part("names cross as they were typed") {
        // A name is in a ledger of the person's own, which may come after the course.
        until("every name on the tablet") {
            tablet.tw.board(course, session, Columns.ALL).use { board -> board.rows.all { it.name.known == Known.HERE } }
        }
        tablet.tw.board(course, session, Columns.ALL).use { board ->
            same(board.rows.map { it.name.name }.toSet(), names.toSet(), "names on the board")
            same(board.mayMark, Leave.Yes, "an instructor's leave to mark")
        }
        shop.tw.board(course, null, Columns.ALL).use { same(it.mayMark, Leave.Role, "a shop never judges") }
    }
    part("marks are heard of on another thread, and a listener may ask back") {
        val heard = CountDownLatch(students.size)
        val main = Thread.currentThread()
        val elsewhere = AtomicInteger()
        tablet.tw.listen(object : Listener {
            override fun changed(change: Change) {
                if (Thread.currentThread() !== main) elsewhere.incrementAndGet()
                if (change.course == course && change.cells.any { it.skill == MASK }) {
                    tablet.tw.today()
                    heard.countDown()
                }
            }
        })
        for (student in students) {
            tablet.tw.record(Request.Pass(course, session, Who.Student(student), Passage.IN, null))
        }
        val thumb = Thread { for (student in students) tablet.mark(course, student, MASK, Mark.MET, session) }
        thumb.start()
        thumb.join()
        expect(heard.await(60, TimeUnit.SECONDS)) { "${heard.count} marks were not heard of" }
        expect(elsewhere.get() > 0) { "nothing was heard on another thread" }
        val head = tablet.tw.headcount(course, session)
        same(head.inWater, students.size.toUInt(), "students in the water")
        until("the marks at the shop") { shop.state(course, students[0], MASK) == CellState.MET }
    }
    part("a listener that throws loses no mark") {
        tablet.tw.listen(object : Listener {
            override fun changed(change: Change): Unit = throw IllegalStateException("the shell's own slip")
        })
        tablet.mark(course, students[0], "swim-200", Mark.NEARLY)
        same(tablet.state(course, students[0], "swim-200"), CellState.TRYING, "the mark")
    }
    part("faults are caught by their type, with fields and no name in them") {
        val refused = fails<Fault.Refused>("a name too long") {
            shop.tw.record(Request.Enrol(course, details("Wrzosowa".repeat(1250)), null))
        }
        same(refused.rule, "text_too_long", "the rule")
        same(refused.most, "200", "the bound")
        expect("Wrzosowa" !in refused.toString()) { "a fault repeats a name" }
        val nobody = "00000000-0000-7000-8000-000000000000"
        val missing = fails<Fault.NotFound>("a course that is not here") { shop.tw.board(nobody, null, Columns.ALL) }
        same(missing.what, "course", "what is not here")
        val role = fails<Fault.Refused>("a shop that judges") { shop.mark(course, students[0], MASK, Mark.MET) }
        same(role.rule, "role", "the rule")
        fails<Fault.Refused>("a bad id") { shop.tw.student(course, "Ottilie") }
        val broken = object : KeyStore {
            override fun load(name: String): ByteArray? = throw IllegalStateException("the secret of Signe")
            override fun save(name: String, secret: ByteArray) = throw IllegalStateException("no")
        }
        val folder = Files.createTempDirectory("broken keys")
        val inside = fails<Fault.Internal>("a key store that throws") {
            Tallywater.openWith(folder.toString(), broken, null)
        }
        expect("Signe" !in inside.detail) { "a fault repeats a secret" }
        folder.toFile().deleteRecursively()
    }
    part("a large list: 300 names taken in one go, read back whole") {
        val july = shop.tw.record(Request.OpenCourse("July", "2026-07-04", null, OutlineFrom.School, listOf())).made!!
        val crowd = (1..300).joinToString("\n") { "Student$it Surname$it" }
        val taken = shop.tw.takeNames(july, crowd, Twins.LEAVE_OUT)
        same(taken.enrolled, 300u, "enrolled")
        shop.tw.board(july, null, Columns.ALL).use { board ->
            same(board.rows.size, 300, "rows")
            expect(board.rows.all { it.cells.size == board.columns.size }) { "a row is not whole" }
        }
    }
    part("10,000 calls leave no more behind than two thousand before them") {
        fun calls(so_many: Int) = repeat(so_many) {
            when (it % 4) {
                0 -> tablet.tw.today()
                1 -> tablet.tw.headcount(course, session)
                2 -> tablet.tw.attemptSheet(course, students[it % students.size], MASK, session).use { _ -> }
                else -> fails<Fault.Refused>("a bad id") { tablet.tw.student(course, "x") }
            }
        }
        calls(2_000)
        System.gc()
        val before = resident()
        calls(10_000)
        System.gc()
        val grown = resident() - before
        println("    resident before $before kB, grown by $grown kB")
        expect(grown < 16_000) { "grown by $grown kB" }
    }
    part("two devices that marked apart meet again: both marks are there on both") {
        tablet.tw.goOffline()
        tablet.mark(course, students[1], "swim-200", Mark.MET)
        expect(shop.state(course, students[1], "swim-200") == CellState.OPEN) { "it came without a network" }
        tablet.tw.goOnline(listOf("127.0.0.1:0"), false, null)
        tablet.tw.meetAt(shop.tw.link().place!!)
        until("the mark at the shop") { shop.state(course, students[1], "swim-200") == CellState.MET }
    }
    part("the example for app writers does what it says") {
        val folder = Files.createTempDirectory("first evening")
        val kept = HashMap<String, ByteArray>()
        val changes = AtomicInteger()
        Evening(folder.toString(), PhoneKeys(kept::get, kept::set)).use { evening ->
            evening.begin("Tarn School", "Signe Halvorsen")
            evening.desk.listen(Redraws { changes.incrementAndGet() })
            val first = evening.openCourse("First dives", "2026-06-06")
            val tove = evening.enrol(first, "Tove Lindqvist", "1990-02-03")
            same(evening.names(first), listOf("Tove Lindqvist"), "names")
            same(evening.mark(first, tove, MASK, Mark.NEARLY), CellState.TRYING, "the mark")
            expect(changes.get() >= 3) { "only ${changes.get()} changes were told" }
            val fault = fails<Fault>("a bad id") { evening.desk.student(first, "x") }
            expect(evening.said(fault).startsWith("refused by bad_id")) { evening.said(fault) }
        }
        expect("device" in kept) { "no key was kept" }
        folder.toFile().deleteRecursively()
    }
    shop.remove()
    tablet.remove()
}

fun main() {
    try {
        day()
        println("the pool day in Kotlin: everything holds")
    } catch (wrong: Throwable) {
        wrong.printStackTrace()
        exitProcess(1)
    }
    exitProcess(0)
}
