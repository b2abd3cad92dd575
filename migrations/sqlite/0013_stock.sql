-- Blocks of a delivery, what is decided about them, and the packs chosen from
-- the measured stock.
-- +goose Up
CREATE TABLE block_receipts (
    item_id     TEXT PRIMARY KEY NOT NULL REFERENCES items (id),
    row_id      TEXT NOT NULL CHECK (length(row_id) = 36),
    n           INTEGER NOT NULL CHECK (n >= 1),
    lot_id      TEXT REFERENCES lots (id),
    date_code   TEXT NOT NULL,
    made_on     TEXT NOT NULL,
    sent_hash   TEXT NOT NULL,
    received_at DATETIME NOT NULL,
    received_by TEXT NOT NULL REFERENCES people (id),
    UNIQUE (row_id, n)
);
CREATE INDEX block_receipts_lot ON block_receipts (lot_id);

CREATE TABLE dispositions (
    id         TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    item_id    TEXT NOT NULL REFERENCES items (id),
    decision   TEXT NOT NULL CHECK (decision IN ('quarantine', 'release')),
    code       TEXT NOT NULL CHECK (code <> ''),
    reason     TEXT NOT NULL,
    decided_by TEXT NOT NULL REFERENCES people (id),
    decided_at DATETIME NOT NULL
);
CREATE INDEX dispositions_item ON dispositions (item_id, decided_at);

CREATE TABLE matches (
    id            TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    product_id    TEXT NOT NULL REFERENCES products (id),
    block_product TEXT NOT NULL REFERENCES products (id),
    content       TEXT NOT NULL, -- JSON, byte for byte
    content_hash  TEXT NOT NULL,
    made_by       TEXT NOT NULL REFERENCES people (id),
    made_at       DATETIME NOT NULL
);
CREATE INDEX matches_made ON matches (made_at);

CREATE TABLE match_placements (
    id        TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    match_id  TEXT NOT NULL REFERENCES matches (id),
    pack      INTEGER NOT NULL CHECK (pack >= 1),
    place     INTEGER NOT NULL CHECK (place >= 1),
    item_id   TEXT NOT NULL REFERENCES items (id),
    override  TEXT NOT NULL,
    placed_by TEXT NOT NULL REFERENCES people (id),
    placed_at DATETIME NOT NULL,
    UNIQUE (match_id, pack, place),
    UNIQUE (match_id, item_id)
);
CREATE INDEX match_placements_item ON match_placements (item_id);

CREATE TABLE match_ends (
    match_id TEXT PRIMARY KEY NOT NULL REFERENCES matches (id),
    kept     BOOLEAN NOT NULL,
    packs    TEXT NOT NULL CHECK (json_valid(packs)),
    reason   TEXT NOT NULL,
    ended_by TEXT NOT NULL REFERENCES people (id),
    ended_at DATETIME NOT NULL
);

-- The stock of one model is found by its product.
CREATE INDEX items_blocks ON items (product_id) WHERE kind = 'block';
