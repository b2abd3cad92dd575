-- Nonconforming work: what is decided about it and what becomes of it; defects as
-- the shop says them.
-- +goose Up
INSERT INTO item_states (state) VALUES ('concession_pending'), ('conceded'), ('rework'), ('repair'), ('reinspect'), ('scrap_pending'), ('return_pending');

-- What is here, with the states that are new.
DROP INDEX items_here;
CREATE INDEX items_here ON items (state, product_id) WHERE state IN ('in_process', 'conforming', 'held', 'concession_pending', 'conceded', 'rework', 'repair', 'reinspect', 'scrap_pending', 'return_pending', 'released');

CREATE TABLE hold_lifts_anew (
    hold_id   TEXT PRIMARY KEY NOT NULL CHECK (length(hold_id) = 36) REFERENCES holds (id),
    code      TEXT NOT NULL CHECK (code IN ('no_fault_found', 'corrected', 'raised_in_error', 'other', 'disposed')),
    reason    TEXT NOT NULL CHECK (reason <> ''),
    lifted_by TEXT NOT NULL REFERENCES people (id),
    lifted_at DATETIME NOT NULL
);
INSERT INTO hold_lifts_anew SELECT * FROM hold_lifts;
DROP TABLE hold_lifts;
ALTER TABLE hold_lifts_anew RENAME TO hold_lifts;

CREATE TABLE nonconformity_counters (
    year INTEGER PRIMARY KEY NOT NULL,
    last INTEGER NOT NULL
);

CREATE TABLE nonconformities (
    id            TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    number        TEXT NOT NULL UNIQUE,
    item_id       TEXT NOT NULL REFERENCES items (id),
    inspection_id TEXT REFERENCES inspections (id),
    code          TEXT NOT NULL CHECK (code <> ''),
    severity      TEXT NOT NULL CHECK (severity IN ('critical', 'major', 'minor')),
    note          TEXT NOT NULL,
    failed        TEXT NOT NULL CHECK (json_valid(failed)),
    holds         TEXT NOT NULL CHECK (json_valid(holds)),
    opened_by     TEXT NOT NULL REFERENCES people (id),
    opened_at     DATETIME NOT NULL,
    state         TEXT NOT NULL CHECK (state <> '') -- derived: of its item while it is open, then closed
);
CREATE UNIQUE INDEX nonconformities_open ON nonconformities (item_id) WHERE state <> 'closed'; -- one at a time
CREATE INDEX nonconformities_item ON nonconformities (item_id, opened_at);
CREATE INDEX nonconformities_waiting ON nonconformities (opened_at) WHERE state <> 'closed';
CREATE INDEX nonconformities_opened ON nonconformities (opened_at);

CREATE TABLE nonconformity_steps (
    id               TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    nonconformity_id TEXT NOT NULL REFERENCES nonconformities (id),
    what             TEXT NOT NULL CHECK (what <> ''),
    inspection_id    TEXT REFERENCES inspections (id),
    results          TEXT NOT NULL CHECK (json_valid(results)),
    work             TEXT NOT NULL,
    again            TEXT NOT NULL CHECK (json_valid(again)),
    supplier         TEXT NOT NULL,
    lot              TEXT NOT NULL,
    marked           BOOLEAN NOT NULL,
    holds            TEXT NOT NULL CHECK (json_valid(holds)),
    note             TEXT NOT NULL,
    made_by          TEXT NOT NULL REFERENCES people (id),
    made_at          DATETIME NOT NULL
);
CREATE INDEX nonconformity_steps_of ON nonconformity_steps (nonconformity_id, id);

-- Which holds a nonconformity stands on: follows from it and its steps.
CREATE TABLE nonconformity_holds (
    hold_id          TEXT NOT NULL REFERENCES holds (id),
    nonconformity_id TEXT NOT NULL REFERENCES nonconformities (id),
    PRIMARY KEY (hold_id, nonconformity_id)
);

CREATE TABLE defect_revisions (
    id       TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    code     TEXT NOT NULL CHECK (code <> ''),
    revision INTEGER NOT NULL CHECK (revision >= 1),
    name     TEXT NOT NULL, -- empty: as shipped
    severity TEXT NOT NULL CHECK (severity IN ('critical', 'major', 'minor')),
    retired  BOOLEAN NOT NULL,
    reason   TEXT NOT NULL,
    made_by  TEXT NOT NULL REFERENCES people (id),
    made_at  DATETIME NOT NULL,
    UNIQUE (code, revision)
);
