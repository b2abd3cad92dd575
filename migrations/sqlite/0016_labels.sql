-- Labels and papers that were printed, the first time and every further time.
-- +goose Up
CREATE TABLE label_prints (
    id         TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    what       TEXT NOT NULL CHECK (what IN ('item', 'hub_mark', 'lot', 'roll', 'certificate')),
    subject_id TEXT NOT NULL CHECK (length(subject_id) = 36),
    size       TEXT NOT NULL,
    place      INTEGER NOT NULL CHECK (place >= 0),
    n          INTEGER NOT NULL CHECK (n >= 1),
    first      TEXT NOT NULL,
    last       TEXT NOT NULL,
    printed_by TEXT NOT NULL REFERENCES people (id),
    printed_at DATETIME NOT NULL
);
CREATE INDEX label_prints_subject ON label_prints (subject_id);
-- Where a half-used sheet goes on.
CREATE INDEX label_prints_sheet ON label_prints (size, id) WHERE place > 0;

-- What was made today, to print its labels together.
CREATE INDEX items_made ON items (created_at) WHERE serial IS NOT NULL;
