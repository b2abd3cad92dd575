-- The weeks and months that were looked back on, and what lets open holds be
-- found without reading those that ended.
-- +goose Up
CREATE TABLE reviews (
    id           uuid PRIMARY KEY,
    period       text NOT NULL CHECK (period IN ('week', 'month')),
    first_day    text NOT NULL CHECK (length(first_day) = 10),
    edition      integer NOT NULL CHECK (edition >= 1),
    content      text NOT NULL, -- JSON, byte for byte
    content_hash text NOT NULL,
    file_hash    text NOT NULL REFERENCES files (hash),
    made_at      timestamptz(3) NOT NULL,
    made_by      uuid NOT NULL REFERENCES people (id),
    UNIQUE (period, first_day, edition)
);
CREATE INDEX reviews_made ON reviews (made_at);

-- Derived from hold_lifts, which alone decides: no gate asks it.
ALTER TABLE holds ADD COLUMN lifted boolean NOT NULL DEFAULT false;
UPDATE holds SET lifted = true WHERE id IN (SELECT hold_id FROM hold_lifts);
CREATE INDEX holds_open ON holds (raised_at, id) WHERE NOT lifted;
