-- Baselines of control charts, causes of their signals, and events beside them.
-- +goose Up
CREATE TABLE chart_baselines (
    id               TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    family_id        TEXT NOT NULL REFERENCES families (id),
    product_id       TEXT REFERENCES products (id),
    place            TEXT NOT NULL,
    result           TEXT NOT NULL CHECK (result <> ''),
    specification_id TEXT NOT NULL REFERENCES specifications (id),
    first_inspection TEXT NOT NULL REFERENCES inspections (id),
    last_inspection  TEXT NOT NULL REFERENCES inspections (id),
    holds_from       DATETIME NOT NULL,
    limits           TEXT NOT NULL CHECK (json_valid(limits)),
    excluded         TEXT NOT NULL CHECK (json_valid(excluded)),
    note             TEXT NOT NULL,
    made_by          TEXT NOT NULL REFERENCES people (id),
    made_at          DATETIME NOT NULL
);
CREATE INDEX chart_baselines_of ON chart_baselines (family_id, result, place, holds_from);

CREATE TABLE signal_causes (
    id            TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    family_id     TEXT NOT NULL REFERENCES families (id),
    product_id    TEXT REFERENCES products (id),
    place         TEXT NOT NULL,
    result        TEXT NOT NULL CHECK (result <> ''),
    rule          TEXT NOT NULL CHECK (rule <> ''),
    side          TEXT NOT NULL CHECK (side IN ('high', 'low', 'either')),
    inspection_id TEXT NOT NULL REFERENCES inspections (id),
    code          TEXT NOT NULL CHECK (code <> ''),
    note          TEXT NOT NULL,
    action        TEXT NOT NULL,
    made_by       TEXT NOT NULL REFERENCES people (id),
    made_at       DATETIME NOT NULL
);
CREATE INDEX signal_causes_of ON signal_causes (family_id, result, place, id);

CREATE TABLE chart_events (
    id        TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    family_id TEXT REFERENCES families (id),
    place     TEXT NOT NULL,
    at        DATETIME NOT NULL,
    words     TEXT NOT NULL CHECK (words <> ''),
    made_by   TEXT NOT NULL REFERENCES people (id),
    made_at   DATETIME NOT NULL
);
CREATE INDEX chart_events_at ON chart_events (at);

-- The newest first sets of a chart, without a look at those of others.
DROP INDEX inspections_first_sets;
CREATE INDEX inspections_first_sets ON inspections (family_id, measured_at, id) WHERE first_set;
CREATE INDEX inspections_first_sets_place ON inspections (family_id, place, measured_at, id) WHERE first_set;
CREATE INDEX inspections_first_sets_product ON inspections (product_id, measured_at, id) WHERE first_set;
-- Of packs and blocks the first inspection that judges: fewer, at few places.
CREATE INDEX inspections_first_rounds ON inspections (family_id, measured_at, id) WHERE round = 1 AND stage IN ('final', 'incoming');
-- Events taken from what is recorded.
CREATE INDEX calibration_reports_at ON calibration_reports (made_at);
CREATE INDEX corrective_action_steps_done ON corrective_action_steps (made_at) WHERE what = 'done';
CREATE INDEX specifications_made ON specifications (family_id, created_at);
