-- Work on the causes of problems.
-- +goose Up
CREATE TABLE corrective_action_counters (
    year integer PRIMARY KEY,
    last integer NOT NULL
);

CREATE TABLE corrective_actions (
    id        uuid PRIMARY KEY,
    number    text NOT NULL UNIQUE,
    opened_by uuid NOT NULL REFERENCES people (id),
    opened_at timestamptz(3) NOT NULL,
    state     text NOT NULL CHECK (state IN ('open', 'done', 'worked', 'closed')) -- derived
);
CREATE INDEX corrective_actions_open ON corrective_actions (opened_at) WHERE state <> 'closed';
CREATE INDEX corrective_actions_opened ON corrective_actions (opened_at);

CREATE TABLE corrective_action_steps (
    id              uuid PRIMARY KEY,
    action_id       uuid NOT NULL REFERENCES corrective_actions (id),
    what            text NOT NULL CHECK (what IN ('stated', 'done', 'checked', 'closed')),
    problem         text NOT NULL,
    containment     text NOT NULL,
    cause           text NOT NULL,
    action          text NOT NULL,
    owner_id        text NOT NULL,
    due_on          text NOT NULL,
    check_on        text NOT NULL,
    codes           json NOT NULL,
    lots            json NOT NULL,
    nonconformities json NOT NULL,
    worked          boolean NOT NULL,
    note            text NOT NULL,
    made_by         uuid NOT NULL REFERENCES people (id),
    made_at         timestamptz(3) NOT NULL
);
CREATE INDEX corrective_action_steps_of ON corrective_action_steps (action_id, id);
