-- What the shop makes and by which limits it is judged.
-- +goose Up

-- Kinds are rows, not a CHECK: a new kind of item adds a line here, and SQLite
-- cannot change a CHECK without rebuilding the table.
CREATE TABLE item_kinds (
    kind text PRIMARY KEY
);
INSERT INTO item_kinds (kind) VALUES ('wheel'), ('pack'), ('kit'), ('motor'), ('block');

CREATE TABLE families (
    id         uuid PRIMARY KEY,
    kind       text NOT NULL REFERENCES item_kinds (kind),
    name       text COLLATE "C" NOT NULL UNIQUE CHECK (name <> ''),
    created_at timestamptz(3) NOT NULL,
    created_by text NOT NULL -- a person's id, or system
);

CREATE TABLE products (
    id         uuid PRIMARY KEY,
    family_id  uuid NOT NULL REFERENCES families (id),
    name       text COLLATE "C" NOT NULL CHECK (name <> ''),
    revision   integer NOT NULL CHECK (revision >= 1), -- derived: the newest
    created_at timestamptz(3) NOT NULL,
    created_by text NOT NULL,
    UNIQUE (family_id, name)
);

CREATE TABLE product_revisions (
    product_id uuid NOT NULL REFERENCES products (id),
    revision   integer NOT NULL CHECK (revision >= 1),
    form       json NOT NULL,
    reason     text NOT NULL,
    created_at timestamptz(3) NOT NULL,
    created_by text NOT NULL,
    PRIMARY KEY (product_id, revision)
);

CREATE TABLE specifications (
    id               uuid PRIMARY KEY,
    family_id        uuid NOT NULL REFERENCES families (id),
    product_id       uuid REFERENCES products (id),
    revision         integer NOT NULL CHECK (revision >= 1),
    grade            text NOT NULL,
    rule             text NOT NULL CHECK (rule IN ('simple', 'guarded')),
    guard_factor     text NOT NULL,
    applies_to_stock boolean NOT NULL,
    characteristics  json NOT NULL,
    reason           text NOT NULL,
    created_at       timestamptz(3) NOT NULL,
    created_by       text NOT NULL
);
CREATE UNIQUE INDEX specifications_of_family ON specifications (family_id, revision) WHERE product_id IS NULL;
CREATE UNIQUE INDEX specifications_of_product ON specifications (product_id, revision) WHERE product_id IS NOT NULL;
