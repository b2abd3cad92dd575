-- What calibrations found, what an instrument out of tolerance had measured, and
-- reading sets by instrument and moment.
-- +goose Up
CREATE TABLE calibration_reports (
    id            TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    instrument_id TEXT NOT NULL REFERENCES instruments (id),
    n             INTEGER NOT NULL CHECK (n >= 1),
    made_at       DATETIME NOT NULL,
    made_by       TEXT NOT NULL,
    points        TEXT NOT NULL CHECK (json_valid(points)),
    adjusted      BOOLEAN NOT NULL CHECK (adjusted IN (0, 1)),
    as_found_good BOOLEAN NOT NULL CHECK (as_found_good IN (0, 1)),
    as_left_good  BOOLEAN NOT NULL CHECK (as_left_good IN (0, 1)),
    standard_id   TEXT REFERENCES instruments (id),
    standard      TEXT NOT NULL,
    note          TEXT NOT NULL,
    entered_at    DATETIME NOT NULL,
    entered_by    TEXT NOT NULL,
    UNIQUE (instrument_id, n),
    FOREIGN KEY (instrument_id, n) REFERENCES calibrations (instrument_id, n),
    CHECK (standard_id IS NULL OR standard_id <> instrument_id)
);
CREATE INDEX calibration_reports_made ON calibration_reports (instrument_id, made_at);
CREATE INDEX calibration_reports_standard ON calibration_reports (standard_id, made_at) WHERE standard_id IS NOT NULL;

CREATE TABLE gauge_traces (
    id            TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    instrument_id TEXT NOT NULL REFERENCES instruments (id),
    cause         TEXT NOT NULL CHECK (cause IN ('calibration', 'check')),
    cause_id      TEXT NOT NULL,
    n             INTEGER NOT NULL CHECK (n >= 1),
    content       TEXT NOT NULL, -- JSON, byte for byte
    content_hash  TEXT NOT NULL,
    made_at       DATETIME NOT NULL,
    made_by       TEXT NOT NULL,
    UNIQUE (cause_id, n)
);
CREATE INDEX gauge_traces_instrument ON gauge_traces (instrument_id, made_at);

-- Why readings of an instrument that is out are judged all the same.
ALTER TABLE instruments ADD COLUMN out_note TEXT NOT NULL DEFAULT '';

-- The moment of a set is that of its inspection: here too, so that what a gauge
-- measured in a window is found without reading all that it ever did.
ALTER TABLE reading_sets ADD COLUMN taken_at DATETIME;
UPDATE reading_sets SET taken_at = (SELECT inspections.measured_at FROM inspections WHERE inspections.id = inspection_id);
DROP INDEX reading_sets_instrument;
CREATE INDEX reading_sets_instrument ON reading_sets (instrument_id, taken_at) WHERE instrument_id IS NOT NULL;
