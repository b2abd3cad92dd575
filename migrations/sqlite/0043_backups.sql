-- Backups and what came back from one.
-- +goose Up

-- Tries to make a backup. No record of the shop's work, and in no log: it says
-- when the last good one was made.
CREATE TABLE backup_runs (
    id       TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    kind     TEXT NOT NULL CHECK (kind IN ('daily', 'before', 'asked')),
    begun_at DATETIME NOT NULL,
    ended_at DATETIME NOT NULL,
    file     TEXT NOT NULL,
    size     INTEGER NOT NULL,
    sha256   TEXT NOT NULL,
    sealed   BOOLEAN NOT NULL,
    trouble  TEXT NOT NULL,
    CHECK ((trouble = '') = (file <> ''))
);
CREATE INDEX backup_runs_begun ON backup_runs (begun_at);
CREATE INDEX backup_runs_good ON backup_runs (begun_at) WHERE trouble = '';

CREATE TABLE restorations (
    id             TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    backup_at      DATETIME NOT NULL,
    backup_sha256  TEXT NOT NULL CHECK (length(backup_sha256) = 64),
    backup_program TEXT NOT NULL,
    backup_schema  INTEGER NOT NULL CHECK (backup_schema >= 1),
    changes        INTEGER NOT NULL CHECK (changes >= 0),
    forward        INTEGER NOT NULL CHECK (forward >= 0),
    restored_at    DATETIME NOT NULL,
    restored_by    TEXT NOT NULL
);
CREATE INDEX restorations_at ON restorations (restored_at);

CREATE TABLE restored_labels (
    id             TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    restoration_id TEXT NOT NULL REFERENCES restorations (id),
    serial         TEXT NOT NULL CHECK (serial <> ''),
    given_by       TEXT NOT NULL,
    given_at       DATETIME NOT NULL
);
CREATE INDEX restored_labels_of ON restored_labels (restoration_id, id);
