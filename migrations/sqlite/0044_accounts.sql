-- Who is signed in where, second factors, and tries that failed. State of access
-- and no records of quality: no digest covers it. That a second factor was set,
-- used in need or taken away is an entry of its person.
-- +goose Up
DROP TABLE sessions; -- Everybody signs in once more.
CREATE TABLE sessions (
    token_hash TEXT PRIMARY KEY NOT NULL,
    data       BLOB NOT NULL,
    expires    DATETIME NOT NULL,
    person_id  TEXT REFERENCES people (id), -- none until every secret is given
    device_id  TEXT REFERENCES devices (id), -- none in the office
    agent      TEXT NOT NULL,
    address    TEXT NOT NULL,
    began_at   DATETIME NOT NULL,
    seen_at    DATETIME NOT NULL
);
CREATE INDEX sessions_expires ON sessions (expires);
CREATE INDEX sessions_person ON sessions (person_id, seen_at) WHERE person_id IS NOT NULL;
CREATE INDEX sessions_device ON sessions (device_id) WHERE device_id IS NOT NULL;

CREATE TABLE second_secrets (
    person_id    TEXT PRIMARY KEY NOT NULL REFERENCES people (id),
    secret       TEXT NOT NULL,
    last_step    INTEGER NOT NULL,
    begun_at     DATETIME NOT NULL,
    confirmed_at DATETIME
);

CREATE TABLE recovery_codes (
    person_id TEXT NOT NULL REFERENCES people (id),
    code_hash TEXT NOT NULL,
    used_at   DATETIME,
    PRIMARY KEY (person_id, code_hash)
);

CREATE TABLE secret_tries (
    about      TEXT PRIMARY KEY NOT NULL, -- what is counted: pin person <id>
    failures   INTEGER NOT NULL,
    last_at    DATETIME NOT NULL,
    wait_until DATETIME NOT NULL
);
CREATE INDEX secret_tries_last ON secret_tries (last_at);
