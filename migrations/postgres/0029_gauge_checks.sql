-- Short checks of instruments between calibrations, as they are to be done and
-- as they were.
-- +goose Up
CREATE TABLE gauge_checks (
    id            uuid PRIMARY KEY,
    instrument_id uuid NOT NULL REFERENCES instruments (id),
    what          text NOT NULL CHECK (what <> ''),
    piece         text NOT NULL,
    standard_id   uuid REFERENCES instruments (id),
    reference     text NOT NULL CHECK (reference <> ''),
    low           text NOT NULL CHECK (low <> ''),
    high          text NOT NULL CHECK (high <> ''),
    added_at      timestamptz(3) NOT NULL,
    added_by      text NOT NULL,
    ended_at      timestamptz(3),
    ended_by      text,
    CHECK (standard_id IS NULL OR standard_id <> instrument_id),
    CHECK ((ended_at IS NULL) = (ended_by IS NULL))
);
CREATE INDEX gauge_checks_instrument ON gauge_checks (instrument_id);
CREATE INDEX gauge_checks_standard ON gauge_checks (standard_id) WHERE standard_id IS NOT NULL;

CREATE TABLE gauge_readings (
    id            uuid PRIMARY KEY,
    check_id      uuid NOT NULL REFERENCES gauge_checks (id),
    instrument_id uuid NOT NULL REFERENCES instruments (id),
    value         text NOT NULL CHECK (value <> ''),
    value_f       double precision NOT NULL,
    good          boolean NOT NULL,
    place         text NOT NULL,
    read_at       timestamptz(3) NOT NULL,
    read_by       text NOT NULL
);
CREATE INDEX gauge_readings_check ON gauge_readings (check_id, read_at);
CREATE INDEX gauge_readings_instrument ON gauge_readings (instrument_id, read_at);
