-- Every calibration of an instrument that was ever entered, oldest first: what
-- was measured stays under the one that was in force when it was measured.
-- +goose Up
CREATE TABLE calibrations (
    instrument_id      uuid NOT NULL REFERENCES instruments (id),
    n                  integer NOT NULL CHECK (n >= 1),
    calibrated_on      text COLLATE "C" NOT NULL,
    due_on             text COLLATE "C" NOT NULL,
    certificate_number text NOT NULL,
    entered_at         timestamptz(3) NOT NULL,
    entered_by         text NOT NULL,
    PRIMARY KEY (instrument_id, n)
);
INSERT INTO calibrations (instrument_id, n, calibrated_on, due_on, certificate_number, entered_at, entered_by)
SELECT id, 1, calibrated_on, due_on, certificate_number, created_at, created_by FROM instruments;
