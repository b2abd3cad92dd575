-- Blocks of a delivery, what is decided about them, and the packs chosen from
-- the measured stock.
-- +goose Up
CREATE TABLE block_receipts (
    item_id     uuid PRIMARY KEY REFERENCES items (id),
    row_id      uuid NOT NULL,
    n           integer NOT NULL CHECK (n >= 1),
    lot_id      uuid REFERENCES lots (id),
    date_code   text NOT NULL,
    made_on     text NOT NULL,
    sent_hash   text NOT NULL,
    received_at timestamptz(3) NOT NULL,
    received_by uuid NOT NULL REFERENCES people (id),
    UNIQUE (row_id, n)
);
CREATE INDEX block_receipts_lot ON block_receipts (lot_id);

CREATE TABLE dispositions (
    id         uuid PRIMARY KEY,
    item_id    uuid NOT NULL REFERENCES items (id),
    decision   text NOT NULL CHECK (decision IN ('quarantine', 'release')),
    code       text NOT NULL CHECK (code <> ''),
    reason     text NOT NULL,
    decided_by uuid NOT NULL REFERENCES people (id),
    decided_at timestamptz(3) NOT NULL
);
CREATE INDEX dispositions_item ON dispositions (item_id, decided_at);

CREATE TABLE matches (
    id            uuid PRIMARY KEY,
    product_id    uuid NOT NULL REFERENCES products (id),
    block_product uuid NOT NULL REFERENCES products (id),
    content       text NOT NULL, -- JSON, byte for byte
    content_hash  text NOT NULL,
    made_by       uuid NOT NULL REFERENCES people (id),
    made_at       timestamptz(3) NOT NULL
);
CREATE INDEX matches_made ON matches (made_at);

CREATE TABLE match_placements (
    id        uuid PRIMARY KEY,
    match_id  uuid NOT NULL REFERENCES matches (id),
    pack      integer NOT NULL CHECK (pack >= 1),
    place     integer NOT NULL CHECK (place >= 1),
    item_id   uuid NOT NULL REFERENCES items (id),
    override  text NOT NULL,
    placed_by uuid NOT NULL REFERENCES people (id),
    placed_at timestamptz(3) NOT NULL,
    UNIQUE (match_id, pack, place),
    UNIQUE (match_id, item_id)
);
CREATE INDEX match_placements_item ON match_placements (item_id);

CREATE TABLE match_ends (
    match_id uuid PRIMARY KEY REFERENCES matches (id),
    kept     boolean NOT NULL,
    packs    json NOT NULL,
    reason   text NOT NULL,
    ended_by uuid NOT NULL REFERENCES people (id),
    ended_at timestamptz(3) NOT NULL
);

-- The stock of one model is found by its product.
CREATE INDEX items_blocks ON items (product_id) WHERE kind = 'block';
