-- Every calibration of an instrument that was ever entered, oldest first: what
-- was measured stays under the one that was in force when it was measured.
-- +goose Up
CREATE TABLE calibrations (
    instrument_id      TEXT NOT NULL REFERENCES instruments (id),
    n                  INTEGER NOT NULL CHECK (n >= 1),
    calibrated_on      TEXT NOT NULL,
    due_on             TEXT NOT NULL,
    certificate_number TEXT NOT NULL,
    entered_at         DATETIME NOT NULL,
    entered_by         TEXT NOT NULL,
    PRIMARY KEY (instrument_id, n)
) WITHOUT ROWID;
INSERT INTO calibrations (instrument_id, n, calibrated_on, due_on, certificate_number, entered_at, entered_by)
SELECT id, 1, calibrated_on, due_on, certificate_number, created_at, created_by FROM instruments;
