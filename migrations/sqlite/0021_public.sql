-- Certificates that the public finds by the token on their paper.
-- +goose Up
ALTER TABLE certificates ADD COLUMN token_hash TEXT CHECK (length(token_hash) = 64); -- derived from the content
CREATE UNIQUE INDEX certificates_token ON certificates (token_hash) WHERE token_hash IS NOT NULL;
