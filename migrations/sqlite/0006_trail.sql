-- The log of changes. An entry is written with seq null in the transaction of
-- its change; sealing numbers it.
-- +goose Up
CREATE TABLE trail_entries (
    id        TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    at        DATETIME NOT NULL,
    actor     TEXT NOT NULL CHECK (actor <> ''), -- a person's id, or system
    kind      TEXT NOT NULL CHECK (kind <> ''),
    subject   TEXT NOT NULL CHECK (subject <> ''),
    encoding  INTEGER NOT NULL CHECK (encoding >= 1),
    digest    TEXT NOT NULL CHECK (length(digest) = 64),
    note      TEXT NOT NULL,
    seq       INTEGER UNIQUE CHECK (seq >= 0),
    prev      TEXT CHECK (length(prev) = 64),
    hash      TEXT CHECK (length(hash) = 64),
    sealed_at DATETIME,
    CHECK ((seq IS NULL) = (prev IS NULL) AND (seq IS NULL) = (hash IS NULL) AND (seq IS NULL) = (sealed_at IS NULL))
);
CREATE INDEX trail_entries_unsealed ON trail_entries (at, id) WHERE seq IS NULL;
CREATE INDEX trail_entries_subject ON trail_entries (subject);
