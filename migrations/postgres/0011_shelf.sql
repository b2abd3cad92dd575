-- Charges, where a pack stands and how warm it is there, for which day it is
-- wanted; the steps of building it, and its discharges.
-- +goose Up
CREATE TABLE charges (
    id         uuid PRIMARY KEY,
    item_id    uuid NOT NULL REFERENCES items (id),
    kind       text NOT NULL CHECK (kind IN ('charge', 'refresh', 'load')),
    charger    text NOT NULL,
    started_at timestamptz(3) NOT NULL,
    started_by uuid NOT NULL REFERENCES people (id),
    entered_at timestamptz(3) NOT NULL
);
CREATE INDEX charges_item ON charges (item_id, started_at);
CREATE INDEX charges_entered ON charges (entered_at);

CREATE TABLE charge_ends (
    charge_id   uuid PRIMARY KEY REFERENCES charges (id),
    ended_at    timestamptz(3) NOT NULL,
    end_current text NOT NULL,
    ended_by    uuid NOT NULL REFERENCES people (id),
    entered_at  timestamptz(3) NOT NULL
);
CREATE INDEX charge_ends_entered ON charge_ends (entered_at);

CREATE TABLE shelf_places (
    id        uuid PRIMARY KEY,
    item_id   uuid NOT NULL REFERENCES items (id),
    place     text COLLATE "C" NOT NULL,
    since     timestamptz(3) NOT NULL,
    placed_by uuid NOT NULL REFERENCES people (id),
    entered_at timestamptz(3) NOT NULL
);
CREATE INDEX shelf_places_item ON shelf_places (item_id, since);
CREATE INDEX shelf_places_entered ON shelf_places (entered_at);

CREATE TABLE shelf_temperatures (
    id         uuid PRIMARY KEY,
    place      text COLLATE "C" NOT NULL CHECK (place <> ''),
    c          text NOT NULL CHECK (c <> ''),
    at         timestamptz(3) NOT NULL,
    entered_by text NOT NULL,
    device_id  uuid REFERENCES devices (id),
    entered_at timestamptz(3) NOT NULL
);
CREATE INDEX shelf_temperatures_entered ON shelf_temperatures (entered_at);

CREATE TABLE wanted_dates (
    id      uuid PRIMARY KEY,
    item_id uuid NOT NULL REFERENCES items (id),
    day     text NOT NULL,
    set_by  uuid NOT NULL REFERENCES people (id),
    set_at  timestamptz(3) NOT NULL
);
CREATE INDEX wanted_dates_item ON wanted_dates (item_id, set_at);
CREATE INDEX wanted_dates_set ON wanted_dates (set_at);

CREATE TABLE build_lists (
    family_id uuid NOT NULL REFERENCES families (id),
    n         integer NOT NULL CHECK (n >= 1),
    steps     json NOT NULL,
    reason    text NOT NULL CHECK (reason <> ''),
    made_by   uuid NOT NULL REFERENCES people (id),
    made_at   timestamptz(3) NOT NULL,
    PRIMARY KEY (family_id, n)
);

CREATE TABLE build_ticks (
    id      uuid PRIMARY KEY,
    item_id uuid NOT NULL REFERENCES items (id),
    step    text COLLATE "C" NOT NULL CHECK (step <> ''),
    done    boolean NOT NULL,
    volts   json NOT NULL,
    done_by uuid NOT NULL REFERENCES people (id),
    done_at timestamptz(3) NOT NULL
);
CREATE INDEX build_ticks_item ON build_ticks (item_id, done_at);

CREATE TABLE capacity_tests (
    id            uuid PRIMARY KEY,
    item_id       uuid NOT NULL REFERENCES items (id),
    started_at    timestamptz(3) NOT NULL,
    temperature_c text NOT NULL,
    rated_ah      text NOT NULL,
    cut_off_v     text NOT NULL,
    coef_per_k    text NOT NULL,
    reference_c   text NOT NULL,
    strings       integer NOT NULL CHECK (strings >= 1),
    accept_pct    text NOT NULL,
    log           text NOT NULL, -- JSON, byte for byte
    log_hash      text NOT NULL,
    entered_by    uuid NOT NULL REFERENCES people (id),
    entered_at    timestamptz(3) NOT NULL
);
CREATE INDEX capacity_tests_item ON capacity_tests (item_id, started_at);

-- What stops a pack or lets it go again is found by when.
CREATE INDEX hold_lifts_lifted ON hold_lifts (lifted_at);

-- A block that went into a pack leaves the shelf: found by when.
CREATE INDEX fitted_parts_fitted ON fitted_parts (fitted_at) WHERE part_id IS NOT NULL;
