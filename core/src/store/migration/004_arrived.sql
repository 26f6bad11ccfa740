-- When what others wrote reached this device, by its own clock: a mark typed in later answers
-- only what was here when it was made. What came before this step has no line, and counts as
-- not having been here.
CREATE TABLE arrived (
    ledger INTEGER NOT NULL REFERENCES ledger (number),
    entry  BLOB    NOT NULL,
    at     TEXT    NOT NULL,
    PRIMARY KEY (ledger, entry)
) STRICT, WITHOUT ROWID;
