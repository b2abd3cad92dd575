-- The moment of a set stands on the first of each gauge in an inspection alone, from
-- now on: by it what a gauge was used for is found, and what is found once is enough.
-- Sets from before keep theirs.
-- +goose Up
DROP INDEX reading_sets_instrument;
CREATE INDEX reading_sets_instrument ON reading_sets (instrument_id, taken_at) WHERE instrument_id IS NOT NULL AND taken_at IS NOT NULL;
