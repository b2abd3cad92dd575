-- What stops an item, and the paper that lets it go.
-- +goose Up
CREATE TABLE holds (
    id           uuid PRIMARY KEY,
    item_id      uuid REFERENCES items (id),
    lot_id       uuid REFERENCES lots (id),
    code         text NOT NULL CHECK (code <> ''),
    reason       text NOT NULL,
    state_before text NOT NULL,
    raised_by    uuid NOT NULL REFERENCES people (id),
    raised_at    timestamptz(3) NOT NULL,
    CHECK ((item_id IS NULL) <> (lot_id IS NULL)) -- exactly one
);
CREATE INDEX holds_item ON holds (item_id) WHERE item_id IS NOT NULL;
CREATE INDEX holds_lot ON holds (lot_id) WHERE lot_id IS NOT NULL;
CREATE INDEX holds_raised ON holds (raised_at);

CREATE TABLE hold_lifts (
    hold_id   uuid PRIMARY KEY REFERENCES holds (id),
    code      text NOT NULL CHECK (code IN ('no_fault_found', 'corrected', 'raised_in_error', 'other')),
    reason    text NOT NULL CHECK (reason <> ''),
    lifted_by uuid NOT NULL REFERENCES people (id),
    lifted_at timestamptz(3) NOT NULL
);

CREATE TABLE certificates (
    id            uuid PRIMARY KEY,
    number        text COLLATE "C" NOT NULL CHECK (number <> ''),
    revision      integer NOT NULL CHECK (revision >= 1),
    item_id       uuid NOT NULL REFERENCES items (id),
    inspection_id uuid NOT NULL REFERENCES inspections (id),
    content       text NOT NULL, -- canonical JSON, byte for byte
    content_hash  text NOT NULL,
    replaces      uuid UNIQUE REFERENCES certificates (id),
    reason        text NOT NULL,
    issued_by     uuid NOT NULL REFERENCES people (id),
    issued_at     timestamptz(3) NOT NULL,
    UNIQUE (number, revision),
    CHECK ((revision = 1) = (replaces IS NULL))
);
CREATE INDEX certificates_item ON certificates (item_id);

CREATE TABLE certificate_changes (
    certificate_id uuid PRIMARY KEY REFERENCES certificates (id),
    state          text NOT NULL CHECK (state IN ('superseded', 'void')),
    reason         text NOT NULL,
    changed_by     uuid NOT NULL REFERENCES people (id),
    changed_at     timestamptz(3) NOT NULL
);

-- Numbers are counted by year, without gaps: the row is locked until the
-- certificate is committed.
CREATE TABLE certificate_counters (
    year integer PRIMARY KEY CHECK (year BETWEEN 0 AND 99),
    last integer NOT NULL CHECK (last >= 1)
);

CREATE TABLE files (
    hash       text PRIMARY KEY CHECK (length(hash) = 64),
    media_type text NOT NULL,
    bytes      bytea NOT NULL,
    created_at timestamptz(3) NOT NULL
);

CREATE TABLE certificate_papers (
    certificate_id uuid NOT NULL REFERENCES certificates (id),
    state          text NOT NULL CHECK (state IN ('issued', 'superseded', 'void')),
    file_hash      text NOT NULL REFERENCES files (hash),
    drawn_at       timestamptz(3) NOT NULL,
    PRIMARY KEY (certificate_id, state)
);
