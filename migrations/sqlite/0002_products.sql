-- What the shop makes and by which limits it is judged.
-- +goose Up

-- Kinds are rows, not a CHECK: a new kind of item adds a line here, and SQLite
-- cannot change a CHECK without rebuilding the table.
CREATE TABLE item_kinds (
    kind TEXT PRIMARY KEY NOT NULL
);
INSERT INTO item_kinds (kind) VALUES ('wheel'), ('pack'), ('kit'), ('motor'), ('block');

CREATE TABLE families (
    id         TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    kind       TEXT NOT NULL REFERENCES item_kinds (kind),
    name       TEXT NOT NULL UNIQUE CHECK (name <> ''),
    created_at DATETIME NOT NULL,
    created_by TEXT NOT NULL -- a person's id, or system
);

CREATE TABLE products (
    id         TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    family_id  TEXT NOT NULL REFERENCES families (id),
    name       TEXT NOT NULL CHECK (name <> ''),
    revision   INTEGER NOT NULL CHECK (revision >= 1), -- derived: the newest
    created_at DATETIME NOT NULL,
    created_by TEXT NOT NULL,
    UNIQUE (family_id, name)
);

CREATE TABLE product_revisions (
    product_id TEXT NOT NULL REFERENCES products (id),
    revision   INTEGER NOT NULL CHECK (revision >= 1),
    form       TEXT NOT NULL CHECK (json_valid(form)),
    reason     TEXT NOT NULL,
    created_at DATETIME NOT NULL,
    created_by TEXT NOT NULL,
    PRIMARY KEY (product_id, revision)
);

CREATE TABLE specifications (
    id               TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    family_id        TEXT NOT NULL REFERENCES families (id),
    product_id       TEXT REFERENCES products (id),
    revision         INTEGER NOT NULL CHECK (revision >= 1),
    grade            TEXT NOT NULL,
    rule             TEXT NOT NULL CHECK (rule IN ('simple', 'guarded')),
    guard_factor     TEXT NOT NULL,
    applies_to_stock BOOLEAN NOT NULL CHECK (applies_to_stock IN (0, 1)),
    characteristics  TEXT NOT NULL CHECK (json_valid(characteristics)),
    reason           TEXT NOT NULL,
    created_at       DATETIME NOT NULL,
    created_by       TEXT NOT NULL
);
CREATE UNIQUE INDEX specifications_of_family ON specifications (family_id, revision) WHERE product_id IS NULL;
CREATE UNIQUE INDEX specifications_of_product ON specifications (product_id, revision) WHERE product_id IS NOT NULL;
