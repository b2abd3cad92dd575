-- A program that reads a gauge is told from a tablet: its key opens less. Devices from
-- before stay what they were: nothing that is known of them tells the two apart for sure.
-- +goose Up
ALTER TABLE devices ADD COLUMN program BOOLEAN NOT NULL DEFAULT 0 CHECK (program IN (0, 1));
