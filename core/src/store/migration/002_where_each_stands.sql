-- Where each ledger stands, so that a meeting can say so without opening it; empty when it
-- is not known, and then the ledger is asked. Built from the truth like the rows above.
ALTER TABLE ledger ADD COLUMN entries INTEGER;
ALTER TABLE ledger ADD COLUMN heads   BLOB;

-- Who is enrolled in which course: who may have a course may have its people.
CREATE TABLE enrolled (
    ledger  INTEGER NOT NULL REFERENCES ledger (number),
    student BLOB    NOT NULL,
    PRIMARY KEY (ledger, student)
) STRICT, WITHOUT ROWID;
CREATE INDEX enrolled_by_student ON enrolled (student);
