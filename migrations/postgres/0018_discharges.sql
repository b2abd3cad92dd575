-- +goose Up
-- What was discharged leaves its dates on the shelf: found by when.
CREATE INDEX capacity_tests_entered ON capacity_tests (entered_at);
