-- A program that reads a gauge is told from a tablet: its key opens less. Devices from
-- before stay tablets, but for those that no browser ever took a turn of though turns
-- were given: their key was used, or is younger than the first turn that is known.
-- +goose Up
ALTER TABLE devices ADD COLUMN program BOOLEAN NOT NULL DEFAULT 0 CHECK (program IN (0, 1));
UPDATE devices SET program = 1
WHERE NOT EXISTS (SELECT 1 FROM device_uses AS u WHERE u.device_id = devices.id)
    AND (EXISTS (SELECT 1 FROM device_sightings AS s WHERE s.device_id = devices.id)
        OR enrolled_at > (SELECT MIN(turned_at) FROM device_uses));
