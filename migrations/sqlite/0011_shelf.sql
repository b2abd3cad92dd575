-- Charges, where a pack stands and how warm it is there, for which day it is
-- wanted; the steps of building it, and its discharges.
-- +goose Up
CREATE TABLE charges (
    id         TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    item_id    TEXT NOT NULL REFERENCES items (id),
    kind       TEXT NOT NULL CHECK (kind IN ('charge', 'refresh', 'load')),
    charger    TEXT NOT NULL,
    started_at DATETIME NOT NULL,
    started_by TEXT NOT NULL REFERENCES people (id),
    entered_at DATETIME NOT NULL
);
CREATE INDEX charges_item ON charges (item_id, started_at);
CREATE INDEX charges_entered ON charges (entered_at);

CREATE TABLE charge_ends (
    charge_id   TEXT PRIMARY KEY NOT NULL REFERENCES charges (id),
    ended_at    DATETIME NOT NULL,
    end_current TEXT NOT NULL,
    ended_by    TEXT NOT NULL REFERENCES people (id),
    entered_at  DATETIME NOT NULL
);
CREATE INDEX charge_ends_entered ON charge_ends (entered_at);

CREATE TABLE shelf_places (
    id        TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    item_id   TEXT NOT NULL REFERENCES items (id),
    place     TEXT NOT NULL,
    since     DATETIME NOT NULL,
    placed_by TEXT NOT NULL REFERENCES people (id),
    entered_at DATETIME NOT NULL
);
CREATE INDEX shelf_places_item ON shelf_places (item_id, since);
CREATE INDEX shelf_places_entered ON shelf_places (entered_at);

CREATE TABLE shelf_temperatures (
    id         TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    place      TEXT NOT NULL CHECK (place <> ''),
    c          TEXT NOT NULL CHECK (c <> ''),
    at         DATETIME NOT NULL,
    entered_by TEXT NOT NULL,
    device_id  TEXT REFERENCES devices (id),
    entered_at DATETIME NOT NULL
);
CREATE INDEX shelf_temperatures_entered ON shelf_temperatures (entered_at);

CREATE TABLE wanted_dates (
    id      TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    item_id TEXT NOT NULL REFERENCES items (id),
    day     TEXT NOT NULL,
    set_by  TEXT NOT NULL REFERENCES people (id),
    set_at  DATETIME NOT NULL
);
CREATE INDEX wanted_dates_item ON wanted_dates (item_id, set_at);
CREATE INDEX wanted_dates_set ON wanted_dates (set_at);

CREATE TABLE build_lists (
    family_id TEXT NOT NULL REFERENCES families (id),
    n         INTEGER NOT NULL CHECK (n >= 1),
    steps     TEXT NOT NULL CHECK (json_valid(steps)),
    reason    TEXT NOT NULL CHECK (reason <> ''),
    made_by   TEXT NOT NULL REFERENCES people (id),
    made_at   DATETIME NOT NULL,
    PRIMARY KEY (family_id, n)
) WITHOUT ROWID;

CREATE TABLE build_ticks (
    id      TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    item_id TEXT NOT NULL REFERENCES items (id),
    step    TEXT NOT NULL CHECK (step <> ''),
    done    BOOLEAN NOT NULL,
    volts   TEXT NOT NULL CHECK (json_valid(volts)),
    done_by TEXT NOT NULL REFERENCES people (id),
    done_at DATETIME NOT NULL
);
CREATE INDEX build_ticks_item ON build_ticks (item_id, done_at);

CREATE TABLE capacity_tests (
    id            TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    item_id       TEXT NOT NULL REFERENCES items (id),
    started_at    DATETIME NOT NULL,
    temperature_c TEXT NOT NULL,
    rated_ah      TEXT NOT NULL,
    cut_off_v     TEXT NOT NULL,
    coef_per_k    TEXT NOT NULL,
    reference_c   TEXT NOT NULL,
    strings       INTEGER NOT NULL CHECK (strings >= 1),
    accept_pct    TEXT NOT NULL,
    log           TEXT NOT NULL, -- JSON, byte for byte
    log_hash      TEXT NOT NULL,
    entered_by    TEXT NOT NULL REFERENCES people (id),
    entered_at    DATETIME NOT NULL
);
CREATE INDEX capacity_tests_item ON capacity_tests (item_id, started_at);

-- What stops a pack or lets it go again is found by when.
CREATE INDEX hold_lifts_lifted ON hold_lifts (lifted_at);

-- A block that went into a pack leaves the shelf: found by when.
CREATE INDEX fitted_parts_fitted ON fitted_parts (fitted_at) WHERE part_id IS NOT NULL;
