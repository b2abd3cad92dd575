-- Certificates are signed from here on; those before keep being unsigned.
-- +goose Up
ALTER TABLE certificates ADD COLUMN signature text COLLATE "C" CHECK (length(signature) = 128); -- Ed25519 over the content, hexadecimal
ALTER TABLE certificates ADD COLUMN key_id text COLLATE "C" CHECK ((key_id IS NULL) = (signature IS NULL));
