-- Stations of a set that were taken out, each with its reason.
-- +goose Up
ALTER TABLE reading_sets ADD COLUMN masks TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(masks));
