-- Kits, orders, shipments and the one table of customers.
-- +goose Up
INSERT INTO item_states (state) VALUES ('shipped'), ('recalled');
-- What is not yet out of the house, by product: small however long the history.
CREATE INDEX items_here ON items (state, product_id) WHERE state IN ('in_process', 'conforming', 'held', 'released');

CREATE TABLE kit_packings (
    id        TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    kit_id    TEXT NOT NULL REFERENCES items (id),
    item_id   TEXT REFERENCES items (id),
    part      TEXT NOT NULL,
    quantity  INTEGER NOT NULL CHECK (quantity >= 1),
    added     BOOLEAN NOT NULL,
    reason    TEXT NOT NULL,
    against   TEXT NOT NULL CHECK (json_valid(against)),
    packed_at DATETIME NOT NULL,
    packed_by TEXT NOT NULL,
    CHECK ((item_id IS NULL) <> (part = ''))
);
CREATE INDEX kit_packings_kit ON kit_packings (kit_id, id);
CREATE INDEX kit_packings_item ON kit_packings (item_id, id) WHERE item_id IS NOT NULL;

CREATE TABLE customers (
    id         TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    name       TEXT NOT NULL,
    address    TEXT NOT NULL,
    email      TEXT NOT NULL,
    phone      TEXT NOT NULL,
    note       TEXT NOT NULL,
    entered_at DATETIME NOT NULL,
    entered_by TEXT NOT NULL
);

CREATE TABLE customer_looks (
    id        TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    customer  TEXT NOT NULL, -- a key that may be erased
    person_id TEXT NOT NULL REFERENCES people (id),
    reason    TEXT NOT NULL,
    looked_at DATETIME NOT NULL
);
CREATE INDEX customer_looks_customer ON customer_looks (customer, looked_at);

CREATE TABLE orders (
    id         TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    ref        TEXT NOT NULL UNIQUE CHECK (ref <> ''),
    customer   TEXT NOT NULL,
    due_on     TEXT NOT NULL,
    lines      TEXT NOT NULL CHECK (json_valid(lines)),
    entered_at DATETIME NOT NULL,
    entered_by TEXT NOT NULL
);

CREATE TABLE order_ends (
    order_id TEXT PRIMARY KEY NOT NULL REFERENCES orders (id),
    reason   TEXT NOT NULL,
    ended_at DATETIME NOT NULL,
    ended_by TEXT NOT NULL
);

CREATE TABLE shipment_counters (
    year INTEGER PRIMARY KEY NOT NULL,
    last INTEGER NOT NULL
);

CREATE TABLE shipments (
    id         TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    number     TEXT NOT NULL UNIQUE,
    order_ref  TEXT NOT NULL,
    carrier    TEXT NOT NULL,
    tracking   TEXT NOT NULL,
    customer   TEXT NOT NULL,
    reason     TEXT NOT NULL,
    against    TEXT NOT NULL CHECK (json_valid(against)),
    shipped_at DATETIME NOT NULL,
    shipped_by TEXT NOT NULL
);
CREATE INDEX shipments_order ON shipments (order_ref) WHERE order_ref <> '';
CREATE INDEX shipments_customer ON shipments (customer) WHERE customer <> '';
CREATE INDEX shipments_shipped ON shipments (shipped_at);

CREATE TABLE shipment_items (
    shipment_id TEXT NOT NULL REFERENCES shipments (id),
    item_id     TEXT NOT NULL REFERENCES items (id),
    PRIMARY KEY (shipment_id, item_id)
);
CREATE INDEX shipment_items_item ON shipment_items (item_id);

CREATE TABLE shipment_voids (
    shipment_id TEXT PRIMARY KEY NOT NULL REFERENCES shipments (id),
    reason      TEXT NOT NULL,
    voided_at   DATETIME NOT NULL,
    voided_by   TEXT NOT NULL
);
