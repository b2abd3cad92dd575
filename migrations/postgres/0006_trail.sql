-- The log of changes. An entry is written with seq null in the transaction of
-- its change; sealing numbers it.
-- +goose Up
CREATE TABLE trail_entries (
    id        uuid PRIMARY KEY,
    at        timestamptz(3) NOT NULL,
    actor     text NOT NULL CHECK (actor <> ''), -- a person's id, or system
    kind      text NOT NULL CHECK (kind <> ''),
    subject   text COLLATE "C" NOT NULL CHECK (subject <> ''),
    encoding  integer NOT NULL CHECK (encoding >= 1),
    digest    text NOT NULL CHECK (length(digest) = 64),
    note      text NOT NULL,
    seq       bigint UNIQUE CHECK (seq >= 0),
    prev      text CHECK (length(prev) = 64),
    hash      text CHECK (length(hash) = 64),
    sealed_at timestamptz(3),
    CHECK ((seq IS NULL) = (prev IS NULL) AND (seq IS NULL) = (hash IS NULL) AND (seq IS NULL) = (sealed_at IS NULL))
);
CREATE INDEX trail_entries_unsealed ON trail_entries (at, id) WHERE seq IS NULL;
CREATE INDEX trail_entries_subject ON trail_entries (subject);
