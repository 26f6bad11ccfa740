-- Photographs and sounds, each once however many entries name it. state: 0 is one that is on its
-- way, 1 is whole (its bytes gave its digest), 2 is hurt (they did once and do not any more; it
-- is fetched again), 3 is one that is not what its entry says it is, and is not kept.
CREATE TABLE kept_file (
    number INTEGER PRIMARY KEY,
    digest BLOB    NOT NULL,
    size   INTEGER NOT NULL,
    state  INTEGER NOT NULL DEFAULT 0,
    UNIQUE (digest, size)
) STRICT;

-- Their bytes, in pieces in order, each beginning where the one before it ends.
CREATE TABLE kept_piece (
    file   INTEGER NOT NULL REFERENCES kept_file (number),
    begins INTEGER NOT NULL,
    bytes  BLOB    NOT NULL,
    PRIMARY KEY (file, begins)
) STRICT;

-- Which course names which, and the device that signed so. Built from the truth like the rows of
-- who is enrolled; until a ledger has been asked again, none of what is known of it holds.
CREATE TABLE names_file (
    ledger INTEGER NOT NULL REFERENCES ledger (number),
    digest BLOB    NOT NULL,
    size   INTEGER NOT NULL,
    media  TEXT    NOT NULL,
    device BLOB    NOT NULL,
    PRIMARY KEY (ledger, digest, size)
) STRICT, WITHOUT ROWID;
CREATE INDEX names_file_by_digest ON names_file (digest, size);
UPDATE ledger SET entries = NULL, heads = NULL;
