-- On which days something was dived in which course, by UTC: a person's day is looked for
-- in every course without opening each of them. Until a ledger has been asked again, none
-- of what is known of it holds.
CREATE TABLE dived (
    ledger INTEGER NOT NULL REFERENCES ledger (number),
    day    TEXT    NOT NULL,
    PRIMARY KEY (ledger, day)
) STRICT, WITHOUT ROWID;
CREATE INDEX dived_by_day ON dived (day);
UPDATE ledger SET entries = NULL, heads = NULL;
