-- With the salt the log covers why a customer was looked up; both are erased with the
-- customer. Empty for looks without a reason, and for those from before.
-- +goose Up
ALTER TABLE customer_looks ADD COLUMN salt text NOT NULL DEFAULT '';
