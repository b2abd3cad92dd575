-- Who works here, from which tablet, and what the shop has set.
-- +goose Up
CREATE TABLE people (
    id            uuid PRIMARY KEY,
    name          text COLLATE "C" NOT NULL CHECK (name <> ''),
    login         text COLLATE "C" UNIQUE,
    role          text NOT NULL CHECK (role IN ('operator', 'inspector', 'desk', 'owner')),
    password_hash text NOT NULL,
    pin_hash      text NOT NULL,
    active        boolean NOT NULL,
    created_at    timestamptz(3) NOT NULL
);

CREATE TABLE devices (
    id          uuid PRIMARY KEY,
    name        text COLLATE "C" NOT NULL CHECK (name <> ''),
    place       text COLLATE "C" NOT NULL,
    key_hash    text NOT NULL UNIQUE,
    enrolled_by text NOT NULL, -- a person's id, or system
    enrolled_at timestamptz(3) NOT NULL,
    revoked_at  timestamptz(3),
    revoked_by  text,
    CHECK ((revoked_at IS NULL) = (revoked_by IS NULL))
);

CREATE TABLE sessions (
    token_hash text PRIMARY KEY,
    data       bytea NOT NULL,
    expires    timestamptz(3) NOT NULL
);
CREATE INDEX sessions_expires ON sessions (expires);

CREATE TABLE one_time_links (
    token_hash text PRIMARY KEY,
    purpose    text NOT NULL CHECK (purpose IN ('first_owner', 'set_password')),
    person_id  uuid REFERENCES people (id),
    expires    timestamptz(3) NOT NULL,
    used_at    timestamptz(3)
);

CREATE TABLE settings (
    name  text COLLATE "C" PRIMARY KEY,
    value text NOT NULL
);
