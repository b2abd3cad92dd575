-- The log of changes as it is sealed: where its chain ends, who signs, and what
-- was signed.
-- +goose Up

-- One row, locked by whoever seals: numbers are given one after another by it,
-- never by who was elected.
CREATE TABLE trail_heads (
    one       integer PRIMARY KEY CHECK (one = 1),
    log       text NOT NULL CHECK (log <> ''),
    size      bigint NOT NULL CHECK (size >= 1), -- entries in the chain
    hash      text NOT NULL CHECK (length(hash) = 64), -- of the last
    frontier  text NOT NULL CHECK (frontier <> ''), -- roots of the complete subtrees, the largest first, a space between
    sealed_at timestamptz(3) NOT NULL -- of the last
);

-- Public keys are kept for ever: what they signed must stay verifiable.
CREATE TABLE server_keys (
    id          text PRIMARY KEY CHECK (length(id) = 16),
    public      text NOT NULL UNIQUE CHECK (length(public) = 64),
    server      text NOT NULL CHECK (server <> ''),
    vouched_by  text REFERENCES server_keys (id), -- null: the first, or one that no older key vouches for
    entry_id    uuid NOT NULL REFERENCES trail_entries (id),
    enrolled_at timestamptz(3) NOT NULL,
    retired_at  timestamptz(3)
);

CREATE TABLE checkpoints (
    size   bigint NOT NULL CHECK (size >= 1),
    key_id text NOT NULL REFERENCES server_keys (id),
    log    text NOT NULL CHECK (log <> ''),
    head   text NOT NULL CHECK (length(head) = 64),
    root   text NOT NULL CHECK (length(root) = 64),
    at     timestamptz(3) NOT NULL,
    sig    text NOT NULL CHECK (length(sig) = 128),
    PRIMARY KEY (size, key_id)
);
CREATE INDEX checkpoints_key ON checkpoints (key_id, size);

-- What an entry about the log itself says, in canonical form: its first key, a
-- key that joins or leaves. Other entries name their record by its digest.
ALTER TABLE trail_entries ADD COLUMN data text;

-- The page of changes reads backwards along each of these.
CREATE INDEX trail_entries_at ON trail_entries (at);
CREATE INDEX trail_entries_actor ON trail_entries (actor, at);
CREATE INDEX trail_entries_kind ON trail_entries (kind, at);
