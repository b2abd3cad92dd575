-- What the uncertainty of a result is made of, in numbered revisions.
-- +goose Up
CREATE TABLE uncertainty_budgets (
    id        TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    family_id TEXT NOT NULL REFERENCES families (id),
    result    TEXT NOT NULL CHECK (result <> ''),
    revision  INTEGER NOT NULL CHECK (revision >= 1),
    unit      TEXT NOT NULL,
    coverage  TEXT NOT NULL CHECK (coverage <> ''),
    lines     TEXT NOT NULL CHECK (json_valid(lines)),
    combined  TEXT NOT NULL CHECK (combined <> ''),
    k         TEXT NOT NULL CHECK (k <> ''),
    freedom   TEXT NOT NULL,
    u         TEXT NOT NULL CHECK (u <> ''),
    study_id  TEXT REFERENCES gauge_studies (id),
    reason    TEXT NOT NULL CHECK (reason <> ''),
    made_at   DATETIME NOT NULL,
    made_by   TEXT NOT NULL,
    UNIQUE (family_id, result, revision)
);
