-- Gauge studies: planned once, read one by one, ended once. Budgets of
-- uncertainty in numbered revisions. A result may be judged by a rule that knows
-- more than yes and no.
-- +goose Up
CREATE TABLE gauge_studies (
    id               TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    number           INTEGER NOT NULL UNIQUE CHECK (number >= 1),
    design           TEXT NOT NULL CHECK (design IN ('crossed', 'bias', 'linearity', 'stability')),
    instrument_id    TEXT NOT NULL REFERENCES instruments (id),
    family_id        TEXT NOT NULL REFERENCES families (id),
    specification_id TEXT NOT NULL REFERENCES specifications (id),
    characteristic   TEXT NOT NULL CHECK (characteristic <> ''),
    result           TEXT NOT NULL CHECK (result <> ''),
    unit             TEXT NOT NULL,
    units            TEXT NOT NULL CHECK (json_valid(units)),
    low              TEXT NOT NULL,
    high             TEXT NOT NULL,
    persons          TEXT NOT NULL CHECK (json_valid(persons)),
    items            TEXT NOT NULL CHECK (json_valid(items)),
    repeats          INTEGER NOT NULL CHECK (repeats >= 1),
    seed             INTEGER NOT NULL,
    turns            TEXT NOT NULL CHECK (json_valid(turns)),
    note             TEXT NOT NULL,
    planned_at       DATETIME NOT NULL,
    planned_by       TEXT NOT NULL
);

CREATE TABLE study_readings (
    id         TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    study_id   TEXT NOT NULL REFERENCES gauge_studies (id),
    turn       INTEGER NOT NULL CHECK (turn >= 0),
    typed      TEXT NOT NULL CHECK (typed <> ''),
    typed_unit TEXT NOT NULL,
    value      TEXT NOT NULL CHECK (value <> ''),
    person_id  TEXT NOT NULL REFERENCES people (id),
    entered_by TEXT NOT NULL,
    entered_at DATETIME NOT NULL,
    device_id  TEXT REFERENCES devices (id)
);
CREATE INDEX study_readings_study ON study_readings (study_id, turn);

CREATE TABLE study_strikes (
    reading_id TEXT PRIMARY KEY NOT NULL REFERENCES study_readings (id),
    reason     TEXT NOT NULL CHECK (reason <> ''),
    struck_by  TEXT NOT NULL,
    struck_at  DATETIME NOT NULL
);

CREATE TABLE study_ends (
    study_id TEXT PRIMARY KEY NOT NULL REFERENCES gauge_studies (id),
    what     TEXT NOT NULL CHECK (what IN ('confirmed', 'given_up')),
    reason   TEXT NOT NULL,
    figures  TEXT NOT NULL CHECK (json_valid(figures)),
    made_at  DATETIME NOT NULL,
    made_by  TEXT NOT NULL
);

CREATE TABLE results_anew (
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
    verdict       TEXT NOT NULL CHECK (verdict IN ('pass', 'fail', 'provisional', 'incomplete', 'none', 'conditional_pass', 'conditional_fail', 'conformity_verified', 'nonconformity_verified', 'not_verified')),
    reason        TEXT NOT NULL,
    method        TEXT NOT NULL,
    readings      INTEGER NOT NULL CHECK (readings >= 0),
    detail        TEXT CHECK (json_valid(detail)),
    PRIMARY KEY (inspection_id, code, position)
) WITHOUT ROWID;
INSERT INTO results_anew SELECT inspection_id, code, position, value, value_f, unit, low, high, accept_low, accept_high, u, verdict, reason, method, readings, detail FROM results;
DROP TABLE results;
ALTER TABLE results_anew RENAME TO results;
