-- What the divisions of a tension gauge mean on a type of spoke, and what they
-- meant where readings were taken in them.
-- +goose Up
CREATE TABLE gauge_tables (
    instrument_id uuid NOT NULL REFERENCES instruments (id),
    spoke_type    text COLLATE "C" NOT NULL CHECK (spoke_type <> ''),
    n             integer NOT NULL CHECK (n >= 1),
    points        json NOT NULL,
    reason        text NOT NULL CHECK (reason <> ''),
    entered_at    timestamptz(3) NOT NULL,
    entered_by    text NOT NULL,
    PRIMARY KEY (instrument_id, spoke_type, n)
);
ALTER TABLE reading_sets ADD COLUMN converted json NOT NULL DEFAULT '[]';
