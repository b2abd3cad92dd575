-- What was measured and what came out of it.
-- +goose Up

-- Stages are rows, not a CHECK: a new kind of item may bring its own.
CREATE TABLE stages (
    stage text PRIMARY KEY
);
INSERT INTO stages (stage) VALUES
    ('before_relief'), ('after_relief'), ('recheck'), ('incoming'), ('second_reading'), ('final');

CREATE TABLE inspections (
    id               uuid PRIMARY KEY,
    item_id          uuid NOT NULL REFERENCES items (id),
    family_id        uuid NOT NULL REFERENCES families (id),
    product_id       uuid REFERENCES products (id),
    product_revision integer,
    specification_id uuid NOT NULL REFERENCES specifications (id),
    stage            text NOT NULL REFERENCES stages (stage),
    person_id        uuid NOT NULL REFERENCES people (id),
    device_id        uuid REFERENCES devices (id),
    place            text COLLATE "C" NOT NULL,
    started_at       timestamptz(3) NOT NULL, -- the tablet's clock
    measured_at      timestamptz(3) NOT NULL, -- the tablet's clock
    offset_ms        bigint NOT NULL,
    received_at      timestamptz(3) NOT NULL, -- the server's clock
    conditions       json NOT NULL,
    verdict          text NOT NULL CHECK (verdict IN ('pass', 'fail', 'provisional', 'incomplete', 'none')),
    remarks          json NOT NULL,
    supersedes       uuid REFERENCES inspections (id),
    reason           text NOT NULL,
    sent_hash        text NOT NULL,
    recheck          boolean NOT NULL,
    round            integer NOT NULL CHECK (round >= 0),     -- derived; 0 when replaced
    first_set        boolean NOT NULL,                        -- derived
    superseded_by    uuid REFERENCES inspections (id),        -- derived
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
    inspection_id uuid NOT NULL REFERENCES inspections (id),
    code          text COLLATE "C" NOT NULL CHECK (code <> ''),
    method        text COLLATE "C" NOT NULL CHECK (method <> ''),
    instrument_id uuid REFERENCES instruments (id),
    person_id     uuid NOT NULL REFERENCES people (id),
    unit          text NOT NULL,
    manner        text NOT NULL,
    readings      json NOT NULL,
    positions     json NOT NULL,
    moments       json NOT NULL,
    remarks       json NOT NULL,
    PRIMARY KEY (inspection_id, code, method)
);
CREATE INDEX reading_sets_instrument ON reading_sets (instrument_id) WHERE instrument_id IS NOT NULL;

-- The primary key also serves a series: it walks the inspections of a family
-- and looks one code up in each.
CREATE TABLE results (
    inspection_id uuid NOT NULL REFERENCES inspections (id),
    code          text COLLATE "C" NOT NULL CHECK (code <> ''),
    position      text COLLATE "C" NOT NULL,
    value         text NOT NULL,
    value_f       double precision,
    unit          text NOT NULL,
    low           text NOT NULL,
    high          text NOT NULL,
    accept_low    text NOT NULL,
    accept_high   text NOT NULL,
    u             text NOT NULL,
    verdict       text NOT NULL CHECK (verdict IN ('pass', 'fail', 'provisional', 'incomplete', 'none')),
    reason        text NOT NULL,
    method        text NOT NULL,
    readings      integer NOT NULL CHECK (readings >= 0),
    detail        json,
    PRIMARY KEY (inspection_id, code, position)
);
