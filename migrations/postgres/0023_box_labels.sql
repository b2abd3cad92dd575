-- Labels of boxes are counted too, by their shipment.
-- +goose Up
ALTER TABLE label_prints DROP CONSTRAINT label_prints_what_check;
ALTER TABLE label_prints ADD CONSTRAINT label_prints_what_check CHECK (what IN ('item', 'hub_mark', 'lot', 'box', 'roll', 'certificate'));
