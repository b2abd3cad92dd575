-- Kits, orders, shipments and the one table of customers.
-- +goose Up
INSERT INTO item_states (state) VALUES ('shipped'), ('recalled');
-- What is not yet out of the house, by product: small however long the history.
CREATE INDEX items_here ON items (state, product_id) WHERE state IN ('in_process', 'conforming', 'held', 'released');

CREATE TABLE kit_packings (
    id        uuid PRIMARY KEY,
    kit_id    uuid NOT NULL REFERENCES items (id),
    item_id   uuid REFERENCES items (id),
    part      text NOT NULL,
    quantity  integer NOT NULL CHECK (quantity >= 1),
    added     boolean NOT NULL,
    reason    text NOT NULL,
    against   json NOT NULL,
    packed_at timestamptz(3) NOT NULL,
    packed_by text NOT NULL,
    CHECK ((item_id IS NULL) <> (part = ''))
);
CREATE INDEX kit_packings_kit ON kit_packings (kit_id, id);
CREATE INDEX kit_packings_item ON kit_packings (item_id, id) WHERE item_id IS NOT NULL;

CREATE TABLE customers (
    id         uuid PRIMARY KEY,
    name       text NOT NULL,
    address    text NOT NULL,
    email      text NOT NULL,
    phone      text NOT NULL,
    note       text NOT NULL,
    entered_at timestamptz(3) NOT NULL,
    entered_by text NOT NULL
);

CREATE TABLE customer_looks (
    id        uuid PRIMARY KEY,
    customer  text NOT NULL, -- a key that may be erased
    person_id uuid NOT NULL REFERENCES people (id),
    reason    text NOT NULL,
    looked_at timestamptz(3) NOT NULL
);
CREATE INDEX customer_looks_customer ON customer_looks (customer, looked_at);

CREATE TABLE orders (
    id         uuid PRIMARY KEY,
    ref        text NOT NULL UNIQUE CHECK (ref <> ''),
    customer   text NOT NULL,
    due_on     text NOT NULL,
    lines      json NOT NULL,
    entered_at timestamptz(3) NOT NULL,
    entered_by text NOT NULL
);

CREATE TABLE order_ends (
    order_id uuid PRIMARY KEY REFERENCES orders (id),
    reason   text NOT NULL,
    ended_at timestamptz(3) NOT NULL,
    ended_by text NOT NULL
);

CREATE TABLE shipment_counters (
    year integer PRIMARY KEY NOT NULL,
    last integer NOT NULL
);

CREATE TABLE shipments (
    id         uuid PRIMARY KEY,
    number     text NOT NULL UNIQUE,
    order_ref  text NOT NULL,
    carrier    text NOT NULL,
    tracking   text NOT NULL,
    customer   text NOT NULL,
    reason     text NOT NULL,
    against    json NOT NULL,
    shipped_at timestamptz(3) NOT NULL,
    shipped_by text NOT NULL
);
CREATE INDEX shipments_order ON shipments (order_ref) WHERE order_ref <> '';
CREATE INDEX shipments_customer ON shipments (customer) WHERE customer <> '';
CREATE INDEX shipments_shipped ON shipments (shipped_at);

CREATE TABLE shipment_items (
    shipment_id uuid NOT NULL REFERENCES shipments (id),
    item_id     uuid NOT NULL REFERENCES items (id),
    PRIMARY KEY (shipment_id, item_id)
);
CREATE INDEX shipment_items_item ON shipment_items (item_id);

CREATE TABLE shipment_voids (
    shipment_id uuid PRIMARY KEY REFERENCES shipments (id),
    reason      text NOT NULL,
    voided_at   timestamptz(3) NOT NULL,
    voided_by   text NOT NULL
);
