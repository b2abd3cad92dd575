-- A lot is found by its code however it is typed, and known by its supplier's.
-- +goose Up
CREATE INDEX lots_code_folded ON lots (lower(code));
CREATE INDEX lots_supplier_code ON lots (supplier_code) WHERE supplier_code <> '';
