-- Where the keys of devices are used, and customers whose time is over. The
-- first is state of access and no record of quality: no digest covers it.
-- +goose Up
CREATE TABLE device_uses (
    device_id   TEXT PRIMARY KEY NOT NULL REFERENCES devices (id),
    turn_hash   TEXT NOT NULL,
    before_hash TEXT NOT NULL,
    turned_at   DATETIME NOT NULL
);

CREATE TABLE device_sightings (
    device_id TEXT NOT NULL REFERENCES devices (id),
    agent     TEXT NOT NULL,
    address   TEXT NOT NULL,
    first_at  DATETIME NOT NULL,
    seen_at   DATETIME NOT NULL,
    PRIMARY KEY (device_id, agent, address)
);

CREATE TABLE device_doubts (
    id         TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    device_id  TEXT NOT NULL REFERENCES devices (id),
    kind       TEXT NOT NULL CHECK (kind IN ('turn', 'program', 'two')),
    agent      TEXT NOT NULL,
    address    TEXT NOT NULL,
    first_at   DATETIME NOT NULL,
    seen_at    DATETIME NOT NULL,
    times      INTEGER NOT NULL CHECK (times >= 1),
    settled_at DATETIME,
    settled_by TEXT,
    CHECK ((settled_at IS NULL) = (settled_by IS NULL))
);
CREATE UNIQUE INDEX device_doubts_open ON device_doubts (device_id, kind, agent, address) WHERE settled_at IS NULL;

CREATE INDEX customers_entered ON customers (entered_at, id);
CREATE INDEX orders_customer ON orders (customer, entered_at) WHERE customer <> '';
CREATE INDEX claims_customer ON claims (customer, opened_at) WHERE customer <> '';
