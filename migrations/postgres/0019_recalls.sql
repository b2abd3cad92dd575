-- What is called back, and what came of it.
-- +goose Up
CREATE TABLE recall_counters (
    year integer PRIMARY KEY,
    last integer NOT NULL
);

CREATE TABLE recalls (
    id      uuid PRIMARY KEY,
    number  text NOT NULL UNIQUE,
    reason  text NOT NULL CHECK (reason <> ''),
    wanted  text NOT NULL,
    scope   json NOT NULL,
    made_at timestamptz(3) NOT NULL,
    made_by uuid NOT NULL REFERENCES people (id)
);

CREATE TABLE recall_runs (
    id        uuid PRIMARY KEY,
    recall_id uuid NOT NULL REFERENCES recalls (id),
    n         integer NOT NULL CHECK (n >= 1),
    items     json NOT NULL,
    run_at    timestamptz(3) NOT NULL,
    run_by    uuid NOT NULL REFERENCES people (id),
    UNIQUE (recall_id, n)
);

CREATE TABLE recall_responses (
    id           uuid PRIMARY KEY,
    recall_id    uuid NOT NULL REFERENCES recalls (id),
    item_id      uuid NOT NULL REFERENCES items (id),
    response     text NOT NULL CHECK (response <> ''),
    responded_at timestamptz(3) NOT NULL,
    responded_by uuid NOT NULL REFERENCES people (id)
);
CREATE INDEX recall_responses_recall ON recall_responses (recall_id, id);

CREATE TABLE recall_ends (
    recall_id uuid PRIMARY KEY REFERENCES recalls (id),
    reason    text NOT NULL,
    ended_at  timestamptz(3) NOT NULL,
    ended_by  uuid NOT NULL REFERENCES people (id)
);

-- What was measured in a window of time.
CREATE INDEX inspections_measured ON inspections (measured_at);
