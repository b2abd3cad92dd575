-- What comes in, what measures it, and the serialised things themselves.
-- +goose Up
CREATE TABLE lots (
    id            uuid PRIMARY KEY,
    code          text COLLATE "C" NOT NULL UNIQUE CHECK (code <> ''),
    material      text NOT NULL CHECK (material <> ''),
    description   text NOT NULL,
    supplier      text NOT NULL,
    supplier_code text NOT NULL,
    date_code     text NOT NULL,
    quantity      integer NOT NULL CHECK (quantity >= 0),
    received_at   timestamptz(3) NOT NULL,
    received_by   text NOT NULL -- a person's id, or system
);

CREATE TABLE instruments (
    id                 uuid PRIMARY KEY,
    code               text COLLATE "C" NOT NULL UNIQUE CHECK (code <> ''),
    kind               text NOT NULL CHECK (kind <> ''),
    name               text COLLATE "C" NOT NULL,
    place              text NOT NULL,
    unit               text NOT NULL,
    range_low          text NOT NULL,
    range_high         text NOT NULL,
    resolution         text NOT NULL,
    uncertainty        text NOT NULL,
    calibrated_on      text COLLATE "C" NOT NULL,
    due_on             text COLLATE "C" NOT NULL,
    certificate_number text NOT NULL,
    state              text NOT NULL CHECK (state IN ('in_use', 'out', 'retired')),
    created_at         timestamptz(3) NOT NULL,
    created_by         text NOT NULL
);

-- States are rows, not a CHECK: the flow of nonconforming work adds to them.
CREATE TABLE item_states (
    state text PRIMARY KEY
);
INSERT INTO item_states (state) VALUES ('in_process'), ('conforming'), ('held'), ('released');

CREATE TABLE items (
    id           uuid PRIMARY KEY,
    kind         text NOT NULL REFERENCES item_kinds (kind),
    serial       text COLLATE "C" UNIQUE,
    serial_tail  text COLLATE "C",
    supplier     text COLLATE "C" NOT NULL,
    model        text COLLATE "C" NOT NULL,
    maker_number text COLLATE "C",
    family_id    uuid REFERENCES families (id),
    product_id   uuid REFERENCES products (id),
    state        text NOT NULL REFERENCES item_states (state), -- derived
    origin       text NOT NULL CHECK (origin IN ('made', 'roll', 'received', 'demo')),
    created_at   timestamptz(3) NOT NULL,
    created_by   text NOT NULL,
    CHECK (serial IS NOT NULL OR maker_number IS NOT NULL),
    CHECK ((serial IS NULL) = (serial_tail IS NULL))
);
CREATE INDEX items_serial_tail ON items (serial_tail) WHERE serial_tail IS NOT NULL;
CREATE UNIQUE INDEX items_maker_number ON items (maker_number, supplier, model) WHERE maker_number IS NOT NULL;

CREATE TABLE fitted_parts (
    id        uuid PRIMARY KEY,
    item_id   uuid NOT NULL REFERENCES items (id),
    role      text NOT NULL CHECK (role <> ''),
    place     text COLLATE "C" NOT NULL,
    lot_id    uuid REFERENCES lots (id),
    part_id   uuid REFERENCES items (id),
    quantity  integer NOT NULL CHECK (quantity >= 0),
    fitted_at timestamptz(3) NOT NULL,
    fitted_by text NOT NULL,
    CHECK ((lot_id IS NULL) <> (part_id IS NULL)) -- a lot or a part, never both
);
CREATE INDEX fitted_parts_item ON fitted_parts (item_id);
CREATE INDEX fitted_parts_lot ON fitted_parts (lot_id) WHERE lot_id IS NOT NULL;
CREATE INDEX fitted_parts_part ON fitted_parts (part_id) WHERE part_id IS NOT NULL;

CREATE TABLE serial_counters (
    letter text NOT NULL CHECK (length(letter) = 1),
    year   integer NOT NULL CHECK (year BETWEEN 0 AND 99),
    last   integer NOT NULL CHECK (last >= 0),
    PRIMARY KEY (letter, year)
);

CREATE TABLE serial_rolls (
    id         uuid PRIMARY KEY,
    letter     text NOT NULL CHECK (length(letter) = 1),
    year       integer NOT NULL CHECK (year BETWEEN 0 AND 99),
    first      integer NOT NULL CHECK (first >= 1),
    last       integer NOT NULL,
    product_id uuid REFERENCES products (id),
    printed_at timestamptz(3) NOT NULL,
    printed_by text NOT NULL,
    CHECK (last >= first),
    UNIQUE (letter, year, first)
);
