-- Short checks of instruments between calibrations, as they are to be done and
-- as they were.
-- +goose Up
CREATE TABLE gauge_checks (
    id            TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    instrument_id TEXT NOT NULL REFERENCES instruments (id),
    what          TEXT NOT NULL CHECK (what <> ''),
    piece         TEXT NOT NULL,
    standard_id   TEXT REFERENCES instruments (id),
    reference     TEXT NOT NULL CHECK (reference <> ''),
    low           TEXT NOT NULL CHECK (low <> ''),
    high          TEXT NOT NULL CHECK (high <> ''),
    added_at      DATETIME NOT NULL,
    added_by      TEXT NOT NULL,
    ended_at      DATETIME,
    ended_by      TEXT,
    CHECK (standard_id IS NULL OR standard_id <> instrument_id),
    CHECK ((ended_at IS NULL) = (ended_by IS NULL))
);
CREATE INDEX gauge_checks_instrument ON gauge_checks (instrument_id);
CREATE INDEX gauge_checks_standard ON gauge_checks (standard_id) WHERE standard_id IS NOT NULL;

CREATE TABLE gauge_readings (
    id            TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    check_id      TEXT NOT NULL REFERENCES gauge_checks (id),
    instrument_id TEXT NOT NULL REFERENCES instruments (id),
    value         TEXT NOT NULL CHECK (value <> ''),
    value_f       REAL NOT NULL,
    good          BOOLEAN NOT NULL CHECK (good IN (0, 1)),
    place         TEXT NOT NULL,
    read_at       DATETIME NOT NULL,
    read_by       TEXT NOT NULL
);
CREATE INDEX gauge_readings_check ON gauge_readings (check_id, read_at);
CREATE INDEX gauge_readings_instrument ON gauge_readings (instrument_id, read_at);
