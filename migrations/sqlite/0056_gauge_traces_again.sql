-- What was read before a reverse trace and came after it is asked for again: beside the
-- newest answer stands when the last of it came. Which answers were made since a reading
-- is asked of every inspection.
-- +goose Up
ALTER TABLE gauge_traces ADD COLUMN arrived_at DATETIME;
CREATE INDEX gauge_traces_made ON gauge_traces (made_at);
CREATE INDEX gauge_traces_arrived ON gauge_traces (arrived_at) WHERE arrived_at IS NOT NULL;
