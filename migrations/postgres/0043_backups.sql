-- Backups and what came back from one.
-- +goose Up

-- Tries to make a backup. No record of the shop's work, and in no log: it says
-- when the last good one was made.
CREATE TABLE backup_runs (
    id       uuid PRIMARY KEY,
    kind     text NOT NULL CHECK (kind IN ('daily', 'before', 'asked')),
    begun_at timestamptz(3) NOT NULL,
    ended_at timestamptz(3) NOT NULL,
    file     text NOT NULL,
    size     bigint NOT NULL,
    sha256   text NOT NULL,
    sealed   boolean NOT NULL,
    trouble  text NOT NULL,
    CHECK ((trouble = '') = (file <> ''))
);
CREATE INDEX backup_runs_begun ON backup_runs (begun_at);
CREATE INDEX backup_runs_good ON backup_runs (begun_at) WHERE trouble = '';

CREATE TABLE restorations (
    id             uuid PRIMARY KEY,
    backup_at      timestamptz(3) NOT NULL,
    backup_sha256  text NOT NULL CHECK (length(backup_sha256) = 64),
    backup_program text NOT NULL,
    backup_schema  bigint NOT NULL CHECK (backup_schema >= 1),
    changes        bigint NOT NULL CHECK (changes >= 0),
    forward        bigint NOT NULL CHECK (forward >= 0),
    restored_at    timestamptz(3) NOT NULL,
    restored_by    text NOT NULL
);
CREATE INDEX restorations_at ON restorations (restored_at);

CREATE TABLE restored_labels (
    id             uuid PRIMARY KEY,
    restoration_id uuid NOT NULL REFERENCES restorations (id),
    serial         text NOT NULL CHECK (serial <> ''),
    given_by       text NOT NULL,
    given_at       timestamptz(3) NOT NULL
);
CREATE INDEX restored_labels_of ON restored_labels (restoration_id, id);
