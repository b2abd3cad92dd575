-- What is called back, and what came of it.
-- +goose Up
CREATE TABLE recall_counters (
    year INTEGER PRIMARY KEY NOT NULL,
    last INTEGER NOT NULL
);

CREATE TABLE recalls (
    id      TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    number  TEXT NOT NULL UNIQUE,
    reason  TEXT NOT NULL CHECK (reason <> ''),
    wanted  TEXT NOT NULL,
    scope   TEXT NOT NULL CHECK (json_valid(scope)),
    made_at DATETIME NOT NULL,
    made_by TEXT NOT NULL REFERENCES people (id)
);

CREATE TABLE recall_runs (
    id        TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    recall_id TEXT NOT NULL REFERENCES recalls (id),
    n         INTEGER NOT NULL CHECK (n >= 1),
    items     TEXT NOT NULL CHECK (json_valid(items)),
    run_at    DATETIME NOT NULL,
    run_by    TEXT NOT NULL REFERENCES people (id),
    UNIQUE (recall_id, n)
);

CREATE TABLE recall_responses (
    id           TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    recall_id    TEXT NOT NULL REFERENCES recalls (id),
    item_id      TEXT NOT NULL REFERENCES items (id),
    response     TEXT NOT NULL CHECK (response <> ''),
    responded_at DATETIME NOT NULL,
    responded_by TEXT NOT NULL REFERENCES people (id)
);
CREATE INDEX recall_responses_recall ON recall_responses (recall_id, id);

CREATE TABLE recall_ends (
    recall_id TEXT PRIMARY KEY NOT NULL REFERENCES recalls (id),
    reason    TEXT NOT NULL,
    ended_at  DATETIME NOT NULL,
    ended_by  TEXT NOT NULL REFERENCES people (id)
);

-- What was measured in a window of time.
CREATE INDEX inspections_measured ON inspections (measured_at);
