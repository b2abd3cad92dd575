-- What the uncertainty of a result is made of, in numbered revisions.
-- +goose Up
CREATE TABLE uncertainty_budgets (
    id        uuid PRIMARY KEY,
    family_id uuid NOT NULL REFERENCES families (id),
    result    text NOT NULL CHECK (result <> ''),
    revision  integer NOT NULL CHECK (revision >= 1),
    unit      text NOT NULL,
    coverage  text NOT NULL CHECK (coverage <> ''),
    lines     json NOT NULL,
    combined  text NOT NULL CHECK (combined <> ''),
    k         text NOT NULL CHECK (k <> ''),
    freedom   text NOT NULL,
    u         text NOT NULL CHECK (u <> ''),
    study_id  uuid REFERENCES gauge_studies (id),
    reason    text NOT NULL CHECK (reason <> ''),
    made_at   timestamptz(3) NOT NULL,
    made_by   text NOT NULL,
    UNIQUE (family_id, result, revision)
);
