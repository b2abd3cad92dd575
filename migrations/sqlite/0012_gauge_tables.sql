-- What the divisions of a tension gauge mean on a type of spoke, and what they
-- meant where readings were taken in them.
-- +goose Up
CREATE TABLE gauge_tables (
    instrument_id TEXT NOT NULL REFERENCES instruments (id),
    spoke_type    TEXT NOT NULL CHECK (spoke_type <> ''),
    n             INTEGER NOT NULL CHECK (n >= 1),
    points        TEXT NOT NULL CHECK (json_valid(points)),
    reason        TEXT NOT NULL CHECK (reason <> ''),
    entered_at    DATETIME NOT NULL,
    entered_by    TEXT NOT NULL,
    PRIMARY KEY (instrument_id, spoke_type, n)
) WITHOUT ROWID;
ALTER TABLE reading_sets ADD COLUMN converted TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(converted));
