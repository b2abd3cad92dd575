-- What was read before a reverse trace and came after it is asked for again: beside the
-- newest answer stands when the last of it came. An inspection asks which answers were
-- made since its readings, and how its gauges stood, where anything was said of a gauge
-- since: changed_at is when that was last, with the last trace of any gauge.
-- +goose Up
ALTER TABLE gauge_traces ADD COLUMN arrived_at DATETIME;
CREATE INDEX gauge_traces_made ON gauge_traces (made_at);
CREATE INDEX gauge_traces_arrived ON gauge_traces (arrived_at) WHERE arrived_at IS NOT NULL;
ALTER TABLE instruments ADD COLUMN changed_at DATETIME NOT NULL DEFAULT '1970-01-01 00:00:00+00:00';
UPDATE instruments SET changed_at = (SELECT max(x.at) FROM (SELECT s.entered_at AS at FROM instrument_states AS s WHERE s.instrument_id = instruments.id
    UNION ALL SELECT c.entered_at FROM calibrations AS c WHERE c.instrument_id = instruments.id UNION ALL SELECT t.made_at FROM gauge_traces AS t) AS x);
