-- Stations of a set that were taken out, each with its reason.
-- +goose Up
ALTER TABLE reading_sets ADD COLUMN masks json NOT NULL DEFAULT '[]';
