// A phone's first evening in Swift, start to mark. No Swift compiler is to be had where our
// tests run: a test holds every name here against the generated module, and no more.

import Foundation
import TallywaterKit

/// Keeps secrets where the platform keeps them: in the Keychain, this device only.
final class PhoneKeys: KeyStore {
    func load(name: String) throws -> Data? {
        var found: CFTypeRef?
        let query = self.query(name).merging([kSecReturnData: true]) { $1 } as CFDictionary
        return SecItemCopyMatching(query, &found) == errSecSuccess ? found as? Data : nil
    }

    func save(name: String, secret: Data) throws {
        SecItemDelete(query(name) as CFDictionary)
        let item = query(name).merging([kSecValueData: secret]) { $1 } as CFDictionary
        guard SecItemAdd(item, nil) == errSecSuccess else {
            throw Fault.Internal(detail: "the keychain did not keep a key")
        }
    }

    private func query(_ name: String) -> [CFString: Any] {
        [kSecClass: kSecClassGenericPassword, kSecAttrService: "tallywater", kSecAttrAccount: name,
         kSecAttrAccessible: kSecAttrAccessibleAfterFirstUnlockThisDeviceOnly]
    }
}

/// Told after each change, on the thread that made it: hop to the main actor, ask, redraw.
final class Redraws: Listener {
    private let onMain: @MainActor @Sendable (Change) -> Void
    init(onMain: @escaping @MainActor @Sendable (Change) -> Void) { self.onMain = onMain }
    func changed(change: Change) throws { Task { @MainActor in onMain(change) } }
}

final class Evening {
    // One desk a folder and a program. It may be asked from any thread.
    let desk: Tallywater

    init(folder: String) throws {
        desk = try Tallywater.openWith(folder: folder, keys: PhoneKeys(), clock: nil)
    }

    func begin(shop: String, person: String) throws {
        if try desk.state().stage == .firstStart { _ = try desk.startAlone(shop: shop, person: person) }
    }

    /// Opens a course with the school's own outline; answers its id.
    func openCourse(title: String, starts: String) throws -> String? {
        try desk.record(request: .openCourse(title: title, starts: starts, place: nil, outline: .school, staff: [])).made
    }

    /// A tap: `on` is the cell as it was shown, so that nothing unseen is answered.
    func mark(course: String, student: String, skill: String, as mark: Mark) throws -> CellState {
        let sheet = try desk.attemptSheet(course: course, student: student, skill: skill, session: nil)
        let tap = MarkTap(on: sheet.cell.on, mark: mark, method: nil, measured: [], slips: [], note: nil,
                          despite: nil, session: nil, origin: .live, again: .unsaid)
        _ = try desk.record(request: .mark(tap: tap))
        return try desk.attemptSheet(course: course, student: student, skill: skill, session: nil).cell.state
    }

    /// A fault has a type and fields, and no sentence: the words are the app's own.
    func said(_ fault: Fault) -> String {
        switch fault {
        case .DeviceFull: "no room on this device"
        case .Busy: "another program holds the file: try again"
        case let .Refused(rule, field, _, least, most, _, _): "\(rule) \(field ?? "") \(least ?? "") \(most ?? "")"
        case let .NewerVersion(found, known): "written by version \(found), this one knows \(known)"
        case .Damaged: "damaged: see class Rescue"
        case let .NotFound(what, _): "there is no such \(what)"
        case let .Internal(detail): "a mistake of ours: \(detail)"
        }
    }
}
