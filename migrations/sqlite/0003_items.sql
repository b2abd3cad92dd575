-- What comes in, what measures it, and the serialised things themselves.
-- +goose Up
CREATE TABLE lots (
    id            TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    code          TEXT NOT NULL UNIQUE CHECK (code <> ''),
    material      TEXT NOT NULL CHECK (material <> ''),
    description   TEXT NOT NULL,
    supplier      TEXT NOT NULL,
    supplier_code TEXT NOT NULL,
    date_code     TEXT NOT NULL,
    quantity      INTEGER NOT NULL CHECK (quantity >= 0),
    received_at   DATETIME NOT NULL,
    received_by   TEXT NOT NULL -- a person's id, or system
);

CREATE TABLE instruments (
    id                 TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    code               TEXT NOT NULL UNIQUE CHECK (code <> ''),
    kind               TEXT NOT NULL CHECK (kind <> ''),
    name               TEXT NOT NULL,
    place              TEXT NOT NULL,
    unit               TEXT NOT NULL,
    range_low          TEXT NOT NULL,
    range_high         TEXT NOT NULL,
    resolution         TEXT NOT NULL,
    uncertainty        TEXT NOT NULL,
    calibrated_on      TEXT NOT NULL,
    due_on             TEXT NOT NULL,
    certificate_number TEXT NOT NULL,
    state              TEXT NOT NULL CHECK (state IN ('in_use', 'out', 'retired')),
    created_at         DATETIME NOT NULL,
    created_by         TEXT NOT NULL
);

-- States are rows, not a CHECK: the flow of nonconforming work adds to them.
CREATE TABLE item_states (
    state TEXT PRIMARY KEY NOT NULL
);
INSERT INTO item_states (state) VALUES ('in_process'), ('conforming'), ('held'), ('released');

CREATE TABLE items (
    id           TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    kind         TEXT NOT NULL REFERENCES item_kinds (kind),
    serial       TEXT UNIQUE,
    serial_tail  TEXT,
    supplier     TEXT NOT NULL,
    model        TEXT NOT NULL,
    maker_number TEXT,
    family_id    TEXT REFERENCES families (id),
    product_id   TEXT REFERENCES products (id),
    state        TEXT NOT NULL REFERENCES item_states (state), -- derived
    origin       TEXT NOT NULL CHECK (origin IN ('made', 'roll', 'received', 'demo')),
    created_at   DATETIME NOT NULL,
    created_by   TEXT NOT NULL,
    CHECK (serial IS NOT NULL OR maker_number IS NOT NULL),
    CHECK ((serial IS NULL) = (serial_tail IS NULL))
);
CREATE INDEX items_serial_tail ON items (serial_tail) WHERE serial_tail IS NOT NULL;
CREATE UNIQUE INDEX items_maker_number ON items (maker_number, supplier, model) WHERE maker_number IS NOT NULL;

CREATE TABLE fitted_parts (
    id        TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    item_id   TEXT NOT NULL REFERENCES items (id),
    role      TEXT NOT NULL CHECK (role <> ''),
    place     TEXT NOT NULL,
    lot_id    TEXT REFERENCES lots (id),
    part_id   TEXT REFERENCES items (id),
    quantity  INTEGER NOT NULL CHECK (quantity >= 0),
    fitted_at DATETIME NOT NULL,
    fitted_by TEXT NOT NULL,
    CHECK ((lot_id IS NULL) <> (part_id IS NULL)) -- a lot or a part, never both
);
CREATE INDEX fitted_parts_item ON fitted_parts (item_id);
CREATE INDEX fitted_parts_lot ON fitted_parts (lot_id) WHERE lot_id IS NOT NULL;
CREATE INDEX fitted_parts_part ON fitted_parts (part_id) WHERE part_id IS NOT NULL;

CREATE TABLE serial_counters (
    letter TEXT NOT NULL CHECK (length(letter) = 1),
    year   INTEGER NOT NULL CHECK (year BETWEEN 0 AND 99),
    last   INTEGER NOT NULL CHECK (last >= 0),
    PRIMARY KEY (letter, year)
);

CREATE TABLE serial_rolls (
    id         TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    letter     TEXT NOT NULL CHECK (length(letter) = 1),
    year       INTEGER NOT NULL CHECK (year BETWEEN 0 AND 99),
    first      INTEGER NOT NULL CHECK (first >= 1),
    last       INTEGER NOT NULL,
    product_id TEXT REFERENCES products (id),
    printed_at DATETIME NOT NULL,
    printed_by TEXT NOT NULL,
    CHECK (last >= first),
    UNIQUE (letter, year, first)
);
