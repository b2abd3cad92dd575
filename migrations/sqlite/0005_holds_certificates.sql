-- What stops an item, and the paper that lets it go.
-- +goose Up
CREATE TABLE holds (
    id           TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    item_id      TEXT REFERENCES items (id),
    lot_id       TEXT REFERENCES lots (id),
    code         TEXT NOT NULL CHECK (code <> ''),
    reason       TEXT NOT NULL,
    state_before TEXT NOT NULL,
    raised_by    TEXT NOT NULL REFERENCES people (id),
    raised_at    DATETIME NOT NULL,
    CHECK ((item_id IS NULL) <> (lot_id IS NULL)) -- exactly one
);
CREATE INDEX holds_item ON holds (item_id) WHERE item_id IS NOT NULL;
CREATE INDEX holds_lot ON holds (lot_id) WHERE lot_id IS NOT NULL;
CREATE INDEX holds_raised ON holds (raised_at);

CREATE TABLE hold_lifts (
    hold_id   TEXT PRIMARY KEY NOT NULL CHECK (length(hold_id) = 36) REFERENCES holds (id),
    code      TEXT NOT NULL CHECK (code IN ('no_fault_found', 'corrected', 'raised_in_error', 'other')),
    reason    TEXT NOT NULL CHECK (reason <> ''),
    lifted_by TEXT NOT NULL REFERENCES people (id),
    lifted_at DATETIME NOT NULL
);

CREATE TABLE certificates (
    id            TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    number        TEXT NOT NULL CHECK (number <> ''),
    revision      INTEGER NOT NULL CHECK (revision >= 1),
    item_id       TEXT NOT NULL REFERENCES items (id),
    inspection_id TEXT NOT NULL REFERENCES inspections (id),
    content       TEXT NOT NULL, -- canonical JSON, byte for byte
    content_hash  TEXT NOT NULL,
    replaces      TEXT UNIQUE REFERENCES certificates (id),
    reason        TEXT NOT NULL,
    issued_by     TEXT NOT NULL REFERENCES people (id),
    issued_at     DATETIME NOT NULL,
    UNIQUE (number, revision),
    CHECK ((revision = 1) = (replaces IS NULL))
);
CREATE INDEX certificates_item ON certificates (item_id);

CREATE TABLE certificate_changes (
    certificate_id TEXT PRIMARY KEY NOT NULL CHECK (length(certificate_id) = 36) REFERENCES certificates (id),
    state          TEXT NOT NULL CHECK (state IN ('superseded', 'void')),
    reason         TEXT NOT NULL,
    changed_by     TEXT NOT NULL REFERENCES people (id),
    changed_at     DATETIME NOT NULL
);

-- Numbers are counted by year, without gaps: the row is locked until the
-- certificate is committed.
CREATE TABLE certificate_counters (
    year INTEGER PRIMARY KEY CHECK (year BETWEEN 0 AND 99),
    last INTEGER NOT NULL CHECK (last >= 1)
);

CREATE TABLE files (
    hash       TEXT PRIMARY KEY NOT NULL CHECK (length(hash) = 64),
    media_type TEXT NOT NULL,
    bytes      BLOB NOT NULL,
    created_at DATETIME NOT NULL
);

CREATE TABLE certificate_papers (
    certificate_id TEXT NOT NULL REFERENCES certificates (id),
    state          TEXT NOT NULL CHECK (state IN ('issued', 'superseded', 'void')),
    file_hash      TEXT NOT NULL REFERENCES files (hash),
    drawn_at       DATETIME NOT NULL,
    PRIMARY KEY (certificate_id, state)
);
