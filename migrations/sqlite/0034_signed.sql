-- Certificates are signed from here on; those before keep being unsigned.
-- +goose Up
ALTER TABLE certificates ADD COLUMN signature TEXT CHECK (length(signature) = 128); -- Ed25519 over the content, hexadecimal
ALTER TABLE certificates ADD COLUMN key_id TEXT CHECK ((key_id IS NULL) = (signature IS NULL));
