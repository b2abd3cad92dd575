-- Who works here, from which tablet, and what the shop has set.
-- +goose Up
CREATE TABLE people (
    id            TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    name          TEXT NOT NULL CHECK (name <> ''),
    login         TEXT UNIQUE,
    role          TEXT NOT NULL CHECK (role IN ('operator', 'inspector', 'desk', 'owner')),
    password_hash TEXT NOT NULL,
    pin_hash      TEXT NOT NULL,
    active        BOOLEAN NOT NULL CHECK (active IN (0, 1)),
    created_at    DATETIME NOT NULL
);

CREATE TABLE devices (
    id          TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    name        TEXT NOT NULL CHECK (name <> ''),
    place       TEXT NOT NULL,
    key_hash    TEXT NOT NULL UNIQUE,
    enrolled_by TEXT NOT NULL, -- a person's id, or system
    enrolled_at DATETIME NOT NULL,
    revoked_at  DATETIME,
    revoked_by  TEXT,
    CHECK ((revoked_at IS NULL) = (revoked_by IS NULL))
);

CREATE TABLE sessions (
    token_hash TEXT PRIMARY KEY NOT NULL,
    data       BLOB NOT NULL,
    expires    DATETIME NOT NULL
);
CREATE INDEX sessions_expires ON sessions (expires);

CREATE TABLE one_time_links (
    token_hash TEXT PRIMARY KEY NOT NULL,
    purpose    TEXT NOT NULL CHECK (purpose IN ('first_owner', 'set_password')),
    person_id  TEXT REFERENCES people (id),
    expires    DATETIME NOT NULL,
    used_at    DATETIME
);

CREATE TABLE settings (
    name  TEXT PRIMARY KEY NOT NULL,
    value TEXT NOT NULL
);
