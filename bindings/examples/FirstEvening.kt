// A phone's first evening in Kotlin, start to mark: compiled and run by `.ci/kotlin`.

import tallywater.*

/** Keeps secrets where the platform keeps them: on Android behind the Keystore's own key. */
class PhoneKeys(private val read: (String) -> ByteArray?, private val write: (String, ByteArray) -> Unit) : KeyStore {
    override fun load(name: String): ByteArray? = read(name)
    override fun save(name: String, secret: ByteArray) = write(name, secret)
}

/** Told after each change, on the thread that made it: hop to the main thread, ask, redraw. */
class Redraws(private val onMain: (Change) -> Unit) : Listener {
    override fun changed(change: Change) = onMain(change)
}

class Evening(folder: String, keys: KeyStore) : AutoCloseable {
    // One desk a folder and a program. It may be asked from any thread.
    val desk: Tallywater = Tallywater.openWith(folder, keys, null)

    fun begin(shop: String, person: String) {
        if (desk.state().stage == Stage.FIRST_START) desk.startAlone(shop, person)
    }

    /** Opens a course with the school's own outline; answers its id. */
    fun openCourse(title: String, starts: String): String =
        desk.record(Request.OpenCourse(title, starts, null, OutlineFrom.School, listOf())).made!!

    fun enrol(course: String, name: String, born: String): String {
        val details = PersonDetails(name, null, born, null, null, null, null, null)
        return desk.record(Request.Enrol(course, details, null)).made!!
    }

    /** A board holds what was on screen with each cell: give it back when it is off. */
    fun names(course: String): List<String> =
        desk.board(course, null, Columns.ALL).use { board -> board.rows.map { it.name.name } }

    /** A tap: `on` is the cell as it was shown, so that nothing unseen is answered. */
    fun mark(course: String, student: String, skill: String, mark: Mark): CellState {
        desk.attemptSheet(course, student, skill, null).use { sheet ->
            val tap = MarkTap(
                sheet.cell.on, mark, null, listOf(), listOf(), null, null, null, Origin.Live, Again.UNSAID,
            )
            desk.record(Request.Mark(tap))
        }
        return desk.attemptSheet(course, student, skill, null).use { it.cell.state }
    }

    /** A fault has a type and fields, and no sentence: the words are the app's own. */
    fun said(fault: Fault): String = when (fault) {
        is Fault.DeviceFull -> "no room on this device"
        is Fault.Busy -> "another program holds the file: try again"
        is Fault.Refused -> "refused by ${fault.rule}: ${fault.field ?: ""} ${fault.least ?: ""} to ${fault.most ?: ""}"
        is Fault.NewerVersion -> "written by version ${fault.found}, this one knows ${fault.known}"
        is Fault.Damaged -> "damaged: see class Rescue"
        is Fault.NotFound -> "there is no such ${fault.what}"
        is Fault.Internal -> "a mistake of ours: ${fault.detail}"
    }

    override fun close() {
        desk.goOffline()
        desk.close()
    }
}
