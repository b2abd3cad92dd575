-- How bad work is that failed when it was inspected again: as its code says, or worse.
-- Empty for every other step, and for those from before.
-- +goose Up
ALTER TABLE nonconformity_steps ADD COLUMN severity text COLLATE "C" NOT NULL DEFAULT '' CHECK (severity IN ('', 'critical', 'major', 'minor'));

-- What was settled in a week is counted by when.
CREATE INDEX nonconformity_steps_made ON nonconformity_steps (made_at);

-- What left the shop of a family is found among all that was ever made.
CREATE INDEX items_family ON items (family_id);
