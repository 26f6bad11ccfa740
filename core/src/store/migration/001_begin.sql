-- The truth: a ledger's snapshot and the changes since, and which of its entries came in
-- with a signature that does not hold.
CREATE TABLE ledger (
    number INTEGER PRIMARY KEY,
    name   TEXT NOT NULL UNIQUE
) STRICT;

-- In the order they were stored, which is an order that can be applied.
CREATE TABLE change (
    place  INTEGER PRIMARY KEY,
    ledger INTEGER NOT NULL REFERENCES ledger (number),
    hash   BLOB    NOT NULL,
    bytes  BLOB    NOT NULL,
    UNIQUE (ledger, hash)
) STRICT;

-- settled = 0 is one that has been written and not yet read back: it does not count.
CREATE TABLE snapshot (
    place   INTEGER PRIMARY KEY,
    ledger  INTEGER NOT NULL REFERENCES ledger (number),
    settled INTEGER NOT NULL DEFAULT 0,
    heads   BLOB    NOT NULL,
    bytes   BLOB    NOT NULL
) STRICT;
CREATE INDEX snapshot_of_ledger ON snapshot (ledger, settled);

CREATE TABLE unsigned (
    ledger INTEGER NOT NULL REFERENCES ledger (number),
    entry  BLOB    NOT NULL,
    PRIMARY KEY (ledger, entry)
) STRICT, WITHOUT ROWID;

-- What can be dropped and built again from the truth.
CREATE TABLE cell (
    ledger  INTEGER NOT NULL REFERENCES ledger (number),
    student BLOB    NOT NULL,
    skill   TEXT    NOT NULL,
    state   TEXT    NOT NULL,
    detail  TEXT    NOT NULL DEFAULT '',
    PRIMARY KEY (ledger, student, skill)
) STRICT, WITHOUT ROWID;

CREATE TABLE summary (
    ledger   INTEGER PRIMARY KEY REFERENCES ledger (number),
    title    TEXT    NOT NULL DEFAULT '',
    starts   TEXT    NOT NULL,
    students INTEGER NOT NULL DEFAULT 0,
    open     INTEGER NOT NULL DEFAULT 0,
    detail   TEXT    NOT NULL DEFAULT ''
) STRICT;

-- The device's own: settings, the devices it has met and what each said it has stored.
CREATE TABLE setting (
    key   TEXT NOT NULL PRIMARY KEY,
    value BLOB NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE peer (
    key     BLOB NOT NULL PRIMARY KEY,
    link    BLOB,
    address TEXT,
    seen    TEXT
) STRICT, WITHOUT ROWID;

-- By the ledger's name: a peer may hold a ledger that is not here.
CREATE TABLE held (
    ledger TEXT NOT NULL,
    peer   BLOB NOT NULL,
    heads  BLOB NOT NULL,
    PRIMARY KEY (ledger, peer)
) STRICT, WITHOUT ROWID;
