-- Of a calibration it is known whether what it found was entered with it: such a one may
-- be entered after a later one, and takes nothing back.
-- +goose Up
ALTER TABLE calibrations ADD COLUMN reported boolean NOT NULL DEFAULT FALSE;
UPDATE calibrations SET reported = TRUE WHERE EXISTS (SELECT 1 FROM calibration_reports AS r WHERE r.instrument_id = calibrations.instrument_id AND r.n = calibrations.n);
