-- Gauge studies: planned once, read one by one, ended once. Budgets of
-- uncertainty in numbered revisions. A result may be judged by a rule that knows
-- more than yes and no.
-- +goose Up
CREATE TABLE gauge_studies (
    id               uuid PRIMARY KEY,
    number           integer NOT NULL UNIQUE CHECK (number >= 1),
    design           text NOT NULL CHECK (design IN ('crossed', 'bias', 'linearity', 'stability')),
    instrument_id    uuid NOT NULL REFERENCES instruments (id),
    family_id        uuid NOT NULL REFERENCES families (id),
    specification_id uuid NOT NULL REFERENCES specifications (id),
    characteristic   text NOT NULL CHECK (characteristic <> ''),
    result           text NOT NULL CHECK (result <> ''),
    unit             text NOT NULL,
    units            json NOT NULL,
    low              text NOT NULL,
    high             text NOT NULL,
    persons          json NOT NULL,
    items            json NOT NULL,
    repeats          integer NOT NULL CHECK (repeats >= 1),
    seed             bigint NOT NULL,
    turns            json NOT NULL,
    note             text NOT NULL,
    planned_at       timestamptz(3) NOT NULL,
    planned_by       text NOT NULL
);

CREATE TABLE study_readings (
    id         uuid PRIMARY KEY,
    study_id   uuid NOT NULL REFERENCES gauge_studies (id),
    turn       integer NOT NULL CHECK (turn >= 0),
    typed      text NOT NULL CHECK (typed <> ''),
    typed_unit text NOT NULL,
    value      text NOT NULL CHECK (value <> ''),
    person_id  uuid NOT NULL REFERENCES people (id),
    entered_by text NOT NULL,
    entered_at timestamptz(3) NOT NULL,
    device_id  uuid REFERENCES devices (id)
);
CREATE INDEX study_readings_study ON study_readings (study_id, turn);

CREATE TABLE study_strikes (
    reading_id uuid PRIMARY KEY REFERENCES study_readings (id),
    reason     text NOT NULL CHECK (reason <> ''),
    struck_by  text NOT NULL,
    struck_at  timestamptz(3) NOT NULL
);

CREATE TABLE study_ends (
    study_id uuid PRIMARY KEY REFERENCES gauge_studies (id),
    what     text NOT NULL CHECK (what IN ('confirmed', 'given_up')),
    reason   text NOT NULL,
    figures  json NOT NULL,
    made_at  timestamptz(3) NOT NULL,
    made_by  text NOT NULL
);

ALTER TABLE results DROP CONSTRAINT results_verdict_check;
ALTER TABLE results ADD CONSTRAINT results_verdict_check CHECK (verdict IN ('pass', 'fail', 'provisional', 'incomplete', 'none', 'conditional_pass', 'conditional_fail', 'conformity_verified', 'nonconformity_verified', 'not_verified'));
