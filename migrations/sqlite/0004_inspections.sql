-- What was measured and what came out of it.
-- +goose Up

-- Stages are rows, not a CHECK: a new kind of item may bring its own.
CREATE TABLE stages (
    stage TEXT PRIMARY KEY NOT NULL
);
INSERT INTO stages (stage) VALUES
    ('before_relief'), ('after_relief'), ('recheck'), ('incoming'), ('second_reading'), ('final');

CREATE TABLE inspections (
    id               TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    item_id          TEXT NOT NULL REFERENCES items (id),
    family_id        TEXT NOT NULL REFERENCES families (id),
    product_id       TEXT REFERENCES products (id),
    product_revision INTEGER,
    specification_id TEXT NOT NULL REFERENCES specifications (id),
    stage            TEXT NOT NULL REFERENCES stages (stage),
    person_id        TEXT NOT NULL REFERENCES people (id),
    device_id        TEXT REFERENCES devices (id),
    place            TEXT NOT NULL,
    started_at       DATETIME NOT NULL, -- the tablet's clock
    measured_at      DATETIME NOT NULL, -- the tablet's clock
    offset_ms        INTEGER NOT NULL,
    received_at      DATETIME NOT NULL, -- the server's clock
    conditions       TEXT NOT NULL CHECK (json_valid(conditions)),
    verdict          TEXT NOT NULL CHECK (verdict IN ('pass', 'fail', 'provisional', 'incomplete', 'none')),
    remarks          TEXT NOT NULL CHECK (json_valid(remarks)),
    supersedes       TEXT REFERENCES inspections (id),
    reason           TEXT NOT NULL,
    sent_hash        TEXT NOT NULL,
    recheck          BOOLEAN NOT NULL CHECK (recheck IN (0, 1)),
    round            INTEGER NOT NULL CHECK (round >= 0),     -- derived; 0 when replaced
    first_set        BOOLEAN NOT NULL CHECK (first_set IN (0, 1)), -- derived
    superseded_by    TEXT REFERENCES inspections (id),        -- derived
    FOREIGN KEY (product_id, product_revision) REFERENCES product_revisions (product_id, revision),
    CHECK (supersedes IS NULL OR reason <> ''),
    CHECK (NOT first_set OR (stage = 'after_relief' AND superseded_by IS NULL))
);
CREATE INDEX inspections_item ON inspections (item_id, measured_at);
CREATE INDEX inspections_received ON inspections (received_at);
-- Series of every set of a family, and of the first sets alone.
CREATE INDEX inspections_series ON inspections (family_id, measured_at);
CREATE INDEX inspections_first_sets ON inspections (family_id, measured_at) WHERE first_set;
-- One first set an item; an inspection is replaced once.
CREATE UNIQUE INDEX inspections_one_first_set ON inspections (item_id) WHERE first_set;
CREATE UNIQUE INDEX inspections_one_successor ON inspections (supersedes) WHERE supersedes IS NOT NULL;

-- A reading set is one row: the values as typed, where each was taken, and its
-- moment in milliseconds after the inspection's start, as JSON arrays.
CREATE TABLE reading_sets (
    inspection_id TEXT NOT NULL REFERENCES inspections (id),
    code          TEXT NOT NULL CHECK (code <> ''),
    method        TEXT NOT NULL CHECK (method <> ''),
    instrument_id TEXT REFERENCES instruments (id),
    person_id     TEXT NOT NULL REFERENCES people (id),
    unit          TEXT NOT NULL,
    manner        TEXT NOT NULL,
    readings      TEXT NOT NULL CHECK (json_valid(readings)),
    positions     TEXT NOT NULL CHECK (json_valid(positions)),
    moments       TEXT NOT NULL CHECK (json_valid(moments)),
    remarks       TEXT NOT NULL CHECK (json_valid(remarks)),
    PRIMARY KEY (inspection_id, code, method)
) WITHOUT ROWID;
CREATE INDEX reading_sets_instrument ON reading_sets (instrument_id) WHERE instrument_id IS NOT NULL;

-- The primary key also serves a series: it walks the inspections of a family
-- and looks one code up in each.
CREATE TABLE results (
    inspection_id TEXT NOT NULL REFERENCES inspections (id),
    code          TEXT NOT NULL CHECK (code <> ''),
    position      TEXT NOT NULL,
    value         TEXT NOT NULL,
    value_f       REAL,
    unit          TEXT NOT NULL,
    low           TEXT NOT NULL,
    high          TEXT NOT NULL,
    accept_low    TEXT NOT NULL,
    accept_high   TEXT NOT NULL,
    u             TEXT NOT NULL,
    verdict       TEXT NOT NULL CHECK (verdict IN ('pass', 'fail', 'provisional', 'incomplete', 'none')),
    reason        TEXT NOT NULL,
    method        TEXT NOT NULL,
    readings      INTEGER NOT NULL CHECK (readings >= 0),
    detail        TEXT CHECK (json_valid(detail)),
    PRIMARY KEY (inspection_id, code, position)
) WITHOUT ROWID;
