-- Lots are listed page by page, last received first, of one material too.
-- +goose Up
CREATE INDEX lots_received ON lots (received_at DESC, code);
CREATE INDEX lots_material_received ON lots (material, received_at DESC, code);
