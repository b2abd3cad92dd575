-- Who is signed in where, second factors, and tries that failed. State of access
-- and no records of quality: no digest covers it. That a second factor was set,
-- used in need or taken away is an entry of its person.
-- +goose Up
DROP TABLE sessions; -- Everybody signs in once more.
CREATE TABLE sessions (
    token_hash text PRIMARY KEY,
    data       bytea NOT NULL,
    expires    timestamptz(3) NOT NULL,
    person_id  uuid REFERENCES people (id), -- none until every secret is given
    device_id  uuid REFERENCES devices (id), -- none in the office
    agent      text NOT NULL,
    address    text NOT NULL,
    began_at   timestamptz(3) NOT NULL,
    seen_at    timestamptz(3) NOT NULL
);
CREATE INDEX sessions_expires ON sessions (expires);
CREATE INDEX sessions_person ON sessions (person_id, seen_at) WHERE person_id IS NOT NULL;
CREATE INDEX sessions_device ON sessions (device_id) WHERE device_id IS NOT NULL;

CREATE TABLE second_secrets (
    person_id    uuid PRIMARY KEY REFERENCES people (id),
    secret       text NOT NULL,
    last_step    bigint NOT NULL,
    begun_at     timestamptz(3) NOT NULL,
    confirmed_at timestamptz(3)
);

CREATE TABLE recovery_codes (
    person_id uuid NOT NULL REFERENCES people (id),
    code_hash text NOT NULL,
    used_at   timestamptz(3),
    PRIMARY KEY (person_id, code_hash)
);

CREATE TABLE secret_tries (
    about      text PRIMARY KEY, -- what is counted: pin person <id>
    failures   integer NOT NULL,
    last_at    timestamptz(3) NOT NULL,
    wait_until timestamptz(3) NOT NULL
);
CREATE INDEX secret_tries_last ON secret_tries (last_at);
