-- Baselines of control charts, causes of their signals, and events beside them.
-- +goose Up
CREATE TABLE chart_baselines (
    id               uuid PRIMARY KEY,
    family_id        uuid NOT NULL REFERENCES families (id),
    product_id       uuid REFERENCES products (id),
    place            text NOT NULL,
    result           text NOT NULL CHECK (result <> ''),
    specification_id uuid NOT NULL REFERENCES specifications (id),
    first_inspection uuid NOT NULL REFERENCES inspections (id),
    last_inspection  uuid NOT NULL REFERENCES inspections (id),
    holds_from       timestamptz(3) NOT NULL,
    limits           text NOT NULL,
    excluded         json NOT NULL,
    note             text NOT NULL,
    made_by          uuid NOT NULL REFERENCES people (id),
    made_at          timestamptz(3) NOT NULL
);
CREATE INDEX chart_baselines_of ON chart_baselines (family_id, result, place, holds_from);

CREATE TABLE signal_causes (
    id            uuid PRIMARY KEY,
    family_id     uuid NOT NULL REFERENCES families (id),
    product_id    uuid REFERENCES products (id),
    place         text NOT NULL,
    result        text NOT NULL CHECK (result <> ''),
    rule          text NOT NULL CHECK (rule <> ''),
    side          text NOT NULL CHECK (side IN ('high', 'low', 'either')),
    inspection_id uuid NOT NULL REFERENCES inspections (id),
    code          text NOT NULL CHECK (code <> ''),
    note          text NOT NULL,
    action        text NOT NULL,
    made_by       uuid NOT NULL REFERENCES people (id),
    made_at       timestamptz(3) NOT NULL
);
CREATE INDEX signal_causes_of ON signal_causes (family_id, result, place, id);

CREATE TABLE chart_events (
    id        uuid PRIMARY KEY,
    family_id uuid REFERENCES families (id),
    place     text NOT NULL,
    at        timestamptz(3) NOT NULL,
    words     text NOT NULL CHECK (words <> ''),
    made_by   uuid NOT NULL REFERENCES people (id),
    made_at   timestamptz(3) NOT NULL
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
