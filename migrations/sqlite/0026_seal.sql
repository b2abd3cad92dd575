-- The log of changes as it is sealed: where its chain ends, who signs, and what
-- was signed.
-- +goose Up

-- One row, locked by whoever seals: numbers are given one after another by it,
-- never by who was elected.
CREATE TABLE trail_heads (
    one       INTEGER PRIMARY KEY NOT NULL CHECK (one = 1),
    log       TEXT NOT NULL CHECK (log <> ''),
    size      INTEGER NOT NULL CHECK (size >= 1), -- entries in the chain
    hash      TEXT NOT NULL CHECK (length(hash) = 64), -- of the last
    frontier  TEXT NOT NULL CHECK (frontier <> ''), -- roots of the complete subtrees, the largest first, a space between
    sealed_at DATETIME NOT NULL -- of the last
);

-- Public keys are kept for ever: what they signed must stay verifiable.
CREATE TABLE server_keys (
    id          TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 16),
    public      TEXT NOT NULL UNIQUE CHECK (length(public) = 64),
    server      TEXT NOT NULL CHECK (server <> ''),
    vouched_by  TEXT REFERENCES server_keys (id), -- null: the first, or one that no older key vouches for
    entry_id    TEXT NOT NULL REFERENCES trail_entries (id),
    enrolled_at DATETIME NOT NULL,
    retired_at  DATETIME
);

CREATE TABLE checkpoints (
    size   INTEGER NOT NULL CHECK (size >= 1),
    key_id TEXT NOT NULL REFERENCES server_keys (id),
    log    TEXT NOT NULL CHECK (log <> ''),
    head   TEXT NOT NULL CHECK (length(head) = 64),
    root   TEXT NOT NULL CHECK (length(root) = 64),
    at     DATETIME NOT NULL,
    sig    TEXT NOT NULL CHECK (length(sig) = 128),
    PRIMARY KEY (size, key_id)
);
CREATE INDEX checkpoints_key ON checkpoints (key_id, size);

-- What an entry about the log itself says, in canonical form: its first key, a
-- key that joins or leaves. Other entries name their record by its digest.
ALTER TABLE trail_entries ADD COLUMN data TEXT;

-- The page of changes reads backwards along each of these.
CREATE INDEX trail_entries_at ON trail_entries (at);
CREATE INDEX trail_entries_actor ON trail_entries (actor, at);
CREATE INDEX trail_entries_kind ON trail_entries (kind, at);
