-- The weeks and months that were looked back on, and what lets open holds be
-- found without reading those that ended.
-- +goose Up
CREATE TABLE reviews (
    id           TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    period       TEXT NOT NULL CHECK (period IN ('week', 'month')),
    first_day    TEXT NOT NULL CHECK (length(first_day) = 10),
    edition      INTEGER NOT NULL CHECK (edition >= 1),
    content      TEXT NOT NULL, -- JSON, byte for byte
    content_hash TEXT NOT NULL,
    file_hash    TEXT NOT NULL REFERENCES files (hash),
    made_at      DATETIME NOT NULL,
    made_by      TEXT NOT NULL REFERENCES people (id),
    UNIQUE (period, first_day, edition)
);
CREATE INDEX reviews_made ON reviews (made_at);

-- Derived from hold_lifts, which alone decides: no gate asks it.
ALTER TABLE holds ADD COLUMN lifted BOOLEAN NOT NULL DEFAULT FALSE;
UPDATE holds SET lifted = TRUE WHERE id IN (SELECT hold_id FROM hold_lifts);
CREATE INDEX holds_open ON holds (raised_at, id) WHERE NOT lifted;
