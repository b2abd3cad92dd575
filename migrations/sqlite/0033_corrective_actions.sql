-- Work on the causes of problems.
-- +goose Up
CREATE TABLE corrective_action_counters (
    year INTEGER PRIMARY KEY NOT NULL,
    last INTEGER NOT NULL
);

CREATE TABLE corrective_actions (
    id        TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    number    TEXT NOT NULL UNIQUE,
    opened_by TEXT NOT NULL REFERENCES people (id),
    opened_at DATETIME NOT NULL,
    state     TEXT NOT NULL CHECK (state IN ('open', 'done', 'worked', 'closed')) -- derived
);
CREATE INDEX corrective_actions_open ON corrective_actions (opened_at) WHERE state <> 'closed';
CREATE INDEX corrective_actions_opened ON corrective_actions (opened_at);

CREATE TABLE corrective_action_steps (
    id              TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    action_id       TEXT NOT NULL REFERENCES corrective_actions (id),
    what            TEXT NOT NULL CHECK (what IN ('stated', 'done', 'checked', 'closed')),
    problem         TEXT NOT NULL,
    containment     TEXT NOT NULL,
    cause           TEXT NOT NULL,
    action          TEXT NOT NULL,
    owner_id        TEXT NOT NULL,
    due_on          TEXT NOT NULL,
    check_on        TEXT NOT NULL,
    codes           TEXT NOT NULL CHECK (json_valid(codes)),
    lots            TEXT NOT NULL CHECK (json_valid(lots)),
    nonconformities TEXT NOT NULL CHECK (json_valid(nonconformities)),
    worked          BOOLEAN NOT NULL,
    note            TEXT NOT NULL,
    made_by         TEXT NOT NULL REFERENCES people (id),
    made_at         DATETIME NOT NULL
);
CREATE INDEX corrective_action_steps_of ON corrective_action_steps (action_id, id);
