-- The state that an item went out from is kept with it, for a shipment that turns out
-- not to have gone.
-- +goose Up
ALTER TABLE items ADD COLUMN left_from TEXT;
