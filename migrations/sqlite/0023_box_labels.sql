-- Labels of boxes are counted too, by their shipment.
-- +goose Up
CREATE TABLE label_prints_anew (
    id         TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    what       TEXT NOT NULL CHECK (what IN ('item', 'hub_mark', 'lot', 'box', 'roll', 'certificate')),
    subject_id TEXT NOT NULL CHECK (length(subject_id) = 36),
    size       TEXT NOT NULL,
    place      INTEGER NOT NULL CHECK (place >= 0),
    n          INTEGER NOT NULL CHECK (n >= 1),
    first      TEXT NOT NULL,
    last       TEXT NOT NULL,
    printed_by TEXT NOT NULL REFERENCES people (id),
    printed_at DATETIME NOT NULL
);
INSERT INTO label_prints_anew SELECT * FROM label_prints;
DROP TABLE label_prints;
ALTER TABLE label_prints_anew RENAME TO label_prints;
CREATE INDEX label_prints_subject ON label_prints (subject_id);
CREATE INDEX label_prints_sheet ON label_prints (size, id) WHERE place > 0;
