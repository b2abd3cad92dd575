-- Counts of what first sets brought and of what was found wrong, by day of the
-- shop. All of it follows from the records: no digest covers it, nothing refers to
-- it, and "tracewright rebuild" makes it anew. What is counted stands in the
-- comments of models.Tally, DefectTally and LotTally.
-- +goose Up
CREATE TABLE tallies (
    family_id  TEXT NOT NULL,
    day        TEXT NOT NULL CHECK (length(day) = 10),
    stage      TEXT NOT NULL,
    product_id TEXT NOT NULL,
    place      TEXT NOT NULL,
    person_id  TEXT NOT NULL,
    inspected  INTEGER NOT NULL,
    passed     INTEGER NOT NULL,
    failed     INTEGER NOT NULL,
    finished   INTEGER NOT NULL,
    rounds     INTEGER NOT NULL,
    minutes    INTEGER NOT NULL,
    rework     INTEGER NOT NULL,
    PRIMARY KEY (family_id, day, stage, product_id, place, person_id)
) WITHOUT ROWID;

CREATE TABLE defect_tallies (
    family_id  TEXT NOT NULL,
    day        TEXT NOT NULL CHECK (length(day) = 10),
    source     TEXT NOT NULL CHECK (source IN ('first_set', 'result', 'nonconformity', 'claim')),
    code       TEXT NOT NULL,
    stage      TEXT NOT NULL,
    product_id TEXT NOT NULL,
    place      TEXT NOT NULL,
    person_id  TEXT NOT NULL,
    severity   TEXT NOT NULL,
    currency   TEXT NOT NULL,
    items      INTEGER NOT NULL,
    rework     REAL NOT NULL,
    rework_sq  REAL NOT NULL,
    priced     INTEGER NOT NULL,
    amount     TEXT NOT NULL,
    amount_sq  REAL NOT NULL,
    PRIMARY KEY (family_id, day, source, code, stage, product_id, place, person_id, severity, currency)
) WITHOUT ROWID;

CREATE TABLE lot_tallies (
    family_id  TEXT NOT NULL,
    day        TEXT NOT NULL CHECK (length(day) = 10),
    stage      TEXT NOT NULL,
    lot_id     TEXT NOT NULL,
    product_id TEXT NOT NULL,
    passed     INTEGER NOT NULL,
    failed     INTEGER NOT NULL,
    PRIMARY KEY (family_id, day, stage, lot_id, product_id)
) WITHOUT ROWID;

-- Days of a family that are to be summed up anew. An inspection writes nothing
-- here: the log of changes tells which days changed.
CREATE TABLE tally_days (
    family_id TEXT NOT NULL,
    day       TEXT NOT NULL CHECK (length(day) = 10),
    PRIMARY KEY (family_id, day)
) WITHOUT ROWID;

-- Up to which entry of the log the days above are marked, and the zone that days
-- are cut by; empty before the first time.
CREATE TABLE tally_states (
    one  INTEGER PRIMARY KEY NOT NULL CHECK (one = 1),
    zone TEXT NOT NULL,
    seq  INTEGER NOT NULL
);
INSERT INTO tally_states (one, zone, seq) VALUES (1, '', -1);
