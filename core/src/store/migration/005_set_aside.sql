-- A ledger that could not be read: its bytes as they were, out of the way of everything
-- else. Nothing in here counts; it is kept so that what can be salvaged may be.
CREATE TABLE aside (
    place  INTEGER PRIMARY KEY,
    ledger TEXT NOT NULL,
    at     TEXT NOT NULL,
    bytes  BLOB NOT NULL
) STRICT;
CREATE INDEX aside_of_ledger ON aside (ledger);

-- What went wrong with a ledger, and which device brought it: one row for each sort, with
-- how often. An empty peer is this device's own disk.
CREATE TABLE fault (
    ledger TEXT    NOT NULL,
    peer   BLOB    NOT NULL,
    what   TEXT    NOT NULL,
    entry  BLOB,
    count  INTEGER NOT NULL DEFAULT 1,
    first  TEXT    NOT NULL,
    last   TEXT    NOT NULL,
    PRIMARY KEY (ledger, peer, what)
) STRICT, WITHOUT ROWID;
