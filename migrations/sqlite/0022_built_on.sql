-- Items that were built before the log: the day, where the shop knows it.
-- +goose Up
ALTER TABLE items ADD COLUMN built_on TEXT NOT NULL DEFAULT ''; -- YYYY-MM-DD; empty: when it was entered
