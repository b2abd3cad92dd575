-- What calibrations found, what an instrument out of tolerance had measured, and
-- reading sets by instrument and moment.
-- +goose Up
CREATE TABLE calibration_reports (
    id            uuid PRIMARY KEY,
    instrument_id uuid NOT NULL REFERENCES instruments (id),
    n             integer NOT NULL CHECK (n >= 1),
    made_at       timestamptz(3) NOT NULL,
    made_by       text NOT NULL,
    points        json NOT NULL,
    adjusted      boolean NOT NULL,
    as_found_good boolean NOT NULL,
    as_left_good  boolean NOT NULL,
    standard_id   uuid REFERENCES instruments (id),
    standard      text NOT NULL,
    note          text NOT NULL,
    entered_at    timestamptz(3) NOT NULL,
    entered_by    text NOT NULL,
    UNIQUE (instrument_id, n),
    FOREIGN KEY (instrument_id, n) REFERENCES calibrations (instrument_id, n),
    CHECK (standard_id IS NULL OR standard_id <> instrument_id)
);
CREATE INDEX calibration_reports_made ON calibration_reports (instrument_id, made_at);
CREATE INDEX calibration_reports_standard ON calibration_reports (standard_id, made_at) WHERE standard_id IS NOT NULL;

CREATE TABLE gauge_traces (
    id            uuid PRIMARY KEY,
    instrument_id uuid NOT NULL REFERENCES instruments (id),
    cause         text NOT NULL CHECK (cause IN ('calibration', 'check')),
    cause_id      uuid NOT NULL,
    n             integer NOT NULL CHECK (n >= 1),
    content       text NOT NULL, -- JSON, byte for byte
    content_hash  text NOT NULL,
    made_at       timestamptz(3) NOT NULL,
    made_by       text NOT NULL,
    UNIQUE (cause_id, n)
);
CREATE INDEX gauge_traces_instrument ON gauge_traces (instrument_id, made_at);

-- Why readings of an instrument that is out are judged all the same.
ALTER TABLE instruments ADD COLUMN out_note text NOT NULL DEFAULT '';

-- The moment of a set is that of its inspection: here too, so that what a gauge
-- measured in a window is found without reading all that it ever did.
ALTER TABLE reading_sets ADD COLUMN taken_at timestamptz(3);
UPDATE reading_sets SET taken_at = inspections.measured_at FROM inspections WHERE inspections.id = inspection_id;
DROP INDEX reading_sets_instrument;
CREATE INDEX reading_sets_instrument ON reading_sets (instrument_id, taken_at) WHERE instrument_id IS NOT NULL;
