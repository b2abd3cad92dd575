-- Who took a set stands with it where that was another person than the
-- inspection's: one key less to be looked up for each set of every inspection.
-- +goose Up
CREATE TABLE reading_sets_anew (
    inspection_id TEXT NOT NULL REFERENCES inspections (id),
    code          TEXT NOT NULL CHECK (code <> ''),
    method        TEXT NOT NULL CHECK (method <> ''),
    instrument_id TEXT REFERENCES instruments (id),
    person_id     TEXT REFERENCES people (id),
    unit          TEXT NOT NULL,
    manner        TEXT NOT NULL,
    readings      TEXT NOT NULL CHECK (json_valid(readings)),
    positions     TEXT NOT NULL CHECK (json_valid(positions)),
    moments       TEXT NOT NULL CHECK (json_valid(moments)),
    remarks       TEXT NOT NULL CHECK (json_valid(remarks)),
    masks         TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(masks)),
    converted     TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(converted)),
    taken_at      DATETIME,
    PRIMARY KEY (inspection_id, code, method)
) WITHOUT ROWID;
INSERT INTO reading_sets_anew (inspection_id, code, method, instrument_id, person_id, unit, manner, readings, positions, moments, remarks, masks, converted, taken_at)
SELECT inspection_id, code, method, instrument_id, person_id, unit, manner, readings, positions, moments, remarks, masks, converted, taken_at FROM reading_sets;
DROP TABLE reading_sets;
ALTER TABLE reading_sets_anew RENAME TO reading_sets;
CREATE INDEX reading_sets_instrument ON reading_sets (instrument_id, taken_at) WHERE instrument_id IS NOT NULL;
