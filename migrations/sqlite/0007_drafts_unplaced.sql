-- Inspections in the making, and those that could not be placed.
-- +goose Up
CREATE TABLE drafts (
    id         TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36), -- of the inspection it becomes
    version    INTEGER NOT NULL CHECK (version >= 1),
    serial     TEXT NOT NULL,
    kind       TEXT NOT NULL,
    stage      TEXT NOT NULL,
    person_id  TEXT NOT NULL REFERENCES people (id),
    device_id  TEXT REFERENCES devices (id),
    content    TEXT NOT NULL CHECK (json_valid(content)),
    created_at DATETIME NOT NULL,
    updated_at DATETIME NOT NULL,
    closed_at  DATETIME
);
CREATE INDEX drafts_open ON drafts (updated_at) WHERE closed_at IS NULL;

CREATE TABLE unplaced (
    id          TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36), -- of the inspection it was sent as
    content     TEXT NOT NULL CHECK (json_valid(content)),
    sent_hash   TEXT NOT NULL,
    cause       TEXT NOT NULL CHECK (json_valid(cause)),
    person_id   TEXT NOT NULL REFERENCES people (id),
    device_id   TEXT REFERENCES devices (id),
    offset_ms   INTEGER NOT NULL,
    received_at DATETIME NOT NULL
);
CREATE INDEX unplaced_received ON unplaced (received_at);

CREATE TABLE unplaced_settlements (
    unplaced_id   TEXT PRIMARY KEY NOT NULL CHECK (length(unplaced_id) = 36) REFERENCES unplaced (id),
    inspection_id TEXT REFERENCES inspections (id),
    reason        TEXT NOT NULL,
    settled_by    TEXT NOT NULL REFERENCES people (id),
    settled_at    DATETIME NOT NULL
);
