-- Nonconforming work: what is decided about it and what becomes of it; defects as
-- the shop says them.
-- +goose Up
INSERT INTO item_states (state) VALUES ('concession_pending'), ('conceded'), ('rework'), ('repair'), ('reinspect'), ('scrap_pending'), ('return_pending');

-- What is here, with the states that are new.
DROP INDEX items_here;
CREATE INDEX items_here ON items (state, product_id) WHERE state IN ('in_process', 'conforming', 'held', 'concession_pending', 'conceded', 'rework', 'repair', 'reinspect', 'scrap_pending', 'return_pending', 'released');

ALTER TABLE hold_lifts DROP CONSTRAINT hold_lifts_code_check;
ALTER TABLE hold_lifts ADD CONSTRAINT hold_lifts_code_check CHECK (code IN ('no_fault_found', 'corrected', 'raised_in_error', 'other', 'disposed'));

CREATE TABLE nonconformity_counters (
    year integer PRIMARY KEY,
    last integer NOT NULL
);

CREATE TABLE nonconformities (
    id            uuid PRIMARY KEY,
    number        text NOT NULL UNIQUE,
    item_id       uuid NOT NULL REFERENCES items (id),
    inspection_id uuid REFERENCES inspections (id),
    code          text NOT NULL CHECK (code <> ''),
    severity      text NOT NULL CHECK (severity IN ('critical', 'major', 'minor')),
    note          text NOT NULL,
    failed        json NOT NULL,
    holds         json NOT NULL,
    opened_by     uuid NOT NULL REFERENCES people (id),
    opened_at     timestamptz(3) NOT NULL,
    state         text NOT NULL CHECK (state <> '') -- derived: of its item while it is open, then closed
);
CREATE UNIQUE INDEX nonconformities_open ON nonconformities (item_id) WHERE state <> 'closed'; -- one at a time
CREATE INDEX nonconformities_item ON nonconformities (item_id, opened_at);
CREATE INDEX nonconformities_waiting ON nonconformities (opened_at) WHERE state <> 'closed';
CREATE INDEX nonconformities_opened ON nonconformities (opened_at);

CREATE TABLE nonconformity_steps (
    id               uuid PRIMARY KEY,
    nonconformity_id uuid NOT NULL REFERENCES nonconformities (id),
    what             text NOT NULL CHECK (what <> ''),
    inspection_id    uuid REFERENCES inspections (id),
    results          json NOT NULL,
    work             text NOT NULL,
    again            json NOT NULL,
    supplier         text NOT NULL,
    lot              text NOT NULL,
    marked           boolean NOT NULL,
    holds            json NOT NULL,
    note             text NOT NULL,
    made_by          uuid NOT NULL REFERENCES people (id),
    made_at          timestamptz(3) NOT NULL
);
CREATE INDEX nonconformity_steps_of ON nonconformity_steps (nonconformity_id, id);

-- Which holds a nonconformity stands on: follows from it and its steps.
CREATE TABLE nonconformity_holds (
    hold_id          uuid NOT NULL REFERENCES holds (id),
    nonconformity_id uuid NOT NULL REFERENCES nonconformities (id),
    PRIMARY KEY (hold_id, nonconformity_id)
);

CREATE TABLE defect_revisions (
    id       uuid PRIMARY KEY,
    code     text NOT NULL CHECK (code <> ''),
    revision integer NOT NULL CHECK (revision >= 1),
    name     text NOT NULL, -- empty: as shipped
    severity text NOT NULL CHECK (severity IN ('critical', 'major', 'minor')),
    retired  boolean NOT NULL,
    reason   text NOT NULL,
    made_by  uuid NOT NULL REFERENCES people (id),
    made_at  timestamptz(3) NOT NULL,
    UNIQUE (code, revision)
);
