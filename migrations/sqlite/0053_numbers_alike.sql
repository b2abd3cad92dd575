-- The number of a maker is found in capitals or not.
-- +goose Up
CREATE INDEX items_maker_number_folded ON items (lower(maker_number)) WHERE maker_number IS NOT NULL;
