-- Where the keys of devices are used, and customers whose time is over. The
-- first is state of access and no record of quality: no digest covers it.
-- +goose Up
CREATE TABLE device_uses (
    device_id   uuid PRIMARY KEY REFERENCES devices (id),
    turn_hash   text NOT NULL,
    before_hash text NOT NULL,
    turned_at   timestamptz(3) NOT NULL
);

CREATE TABLE device_sightings (
    device_id uuid NOT NULL REFERENCES devices (id),
    agent     text NOT NULL,
    address   text NOT NULL,
    first_at  timestamptz(3) NOT NULL,
    seen_at   timestamptz(3) NOT NULL,
    PRIMARY KEY (device_id, agent, address)
);

CREATE TABLE device_doubts (
    id         uuid PRIMARY KEY,
    device_id  uuid NOT NULL REFERENCES devices (id),
    kind       text NOT NULL CHECK (kind IN ('turn', 'program', 'two')),
    agent      text NOT NULL,
    address    text NOT NULL,
    first_at   timestamptz(3) NOT NULL,
    seen_at    timestamptz(3) NOT NULL,
    times      integer NOT NULL CHECK (times >= 1),
    settled_at timestamptz(3),
    settled_by text,
    CHECK ((settled_at IS NULL) = (settled_by IS NULL))
);
CREATE UNIQUE INDEX device_doubts_open ON device_doubts (device_id, kind, agent, address) WHERE settled_at IS NULL;

CREATE INDEX customers_entered ON customers (entered_at, id);
CREATE INDEX orders_customer ON orders (customer, entered_at) WHERE customer <> '';
CREATE INDEX claims_customer ON claims (customer, opened_at) WHERE customer <> '';
