-- Turn lists, what was turned of them, and what the next readings taught;
-- rounds and minutes until a wheel first passes.
-- +goose Up
CREATE TABLE turn_lists (
    id            uuid PRIMARY KEY,
    inspection_id uuid NOT NULL REFERENCES inspections (id),
    item_id       uuid NOT NULL REFERENCES items (id),
    n             integer NOT NULL CHECK (n >= 1),
    rim_type      text COLLATE "C" NOT NULL,
    short         integer NOT NULL CHECK (short >= 1),
    content       text NOT NULL, -- JSON, byte for byte
    content_hash  text NOT NULL,
    made_by       uuid NOT NULL REFERENCES people (id),
    made_at       timestamptz(3) NOT NULL,
    UNIQUE (inspection_id, n)
);
CREATE INDEX turn_lists_item ON turn_lists (item_id);

CREATE TABLE turn_dones (
    id           uuid PRIMARY KEY,
    turn_list_id uuid NOT NULL REFERENCES turn_lists (id),
    list         text NOT NULL CHECK (list IN ('short', 'all')),
    n            integer NOT NULL CHECK (n >= 1),
    turned       boolean NOT NULL,
    done_by      uuid NOT NULL REFERENCES people (id),
    done_at      timestamptz(3) NOT NULL
);
CREATE INDEX turn_dones_list ON turn_dones (turn_list_id);

CREATE TABLE turn_rounds (
    inspection_id uuid PRIMARY KEY REFERENCES inspections (id),
    turn_list_id  uuid NOT NULL REFERENCES turn_lists (id),
    item_id       uuid NOT NULL REFERENCES items (id),
    rim_type      text COLLATE "C" NOT NULL,
    tension_scale double precision,
    lateral_scale double precision,
    radial_scale  double precision,
    teaches       boolean NOT NULL,
    stop          boolean NOT NULL,
    cause         text NOT NULL,
    content       text NOT NULL,
    content_hash  text NOT NULL,
    compared_by   uuid NOT NULL REFERENCES people (id),
    compared_at   timestamptz(3) NOT NULL
);
CREATE INDEX turn_rounds_item ON turn_rounds (item_id);
CREATE INDEX turn_rounds_list ON turn_rounds (turn_list_id);
CREATE INDEX turn_rounds_rim_type ON turn_rounds (rim_type, compared_at) WHERE teaches;

CREATE TABLE turn_answers (
    id            uuid PRIMARY KEY,
    inspection_id uuid NOT NULL REFERENCES turn_rounds (inspection_id),
    cause         text NOT NULL CHECK (cause <> ''),
    settles       boolean NOT NULL,
    answered_by   uuid NOT NULL REFERENCES people (id),
    answered_at   timestamptz(3) NOT NULL
);
CREATE INDEX turn_answers_inspection ON turn_answers (inspection_id);

-- Read with the item when an inspection comes in, so that a wheel without an
-- open list costs no question more.
ALTER TABLE items ADD COLUMN turns_open uuid REFERENCES turn_lists (id);

ALTER TABLE inspections ADD COLUMN pass_rounds integer NOT NULL DEFAULT 0;
ALTER TABLE inspections ADD COLUMN pass_minutes integer NOT NULL DEFAULT 0;

-- What the program derives from now on, for the inspections that are there
-- already: rounds until the first pass after relief, and minutes of measuring
-- and of pauses, each no longer than an hour.
WITH rounds AS (
    SELECT item_id, round, verdict, extract(epoch FROM measured_at - started_at) / 60 AS measuring,
        extract(epoch FROM started_at - lag(measured_at) OVER earlier) / 60 AS pause
    FROM inspections WHERE stage = 'after_relief' AND superseded_by IS NULL
    WINDOW earlier AS (PARTITION BY item_id ORDER BY measured_at, id)
), passed AS (
    SELECT item_id, min(round) AS round FROM rounds WHERE verdict IN ('pass', 'provisional') GROUP BY item_id
), spent AS (
    SELECT passed.item_id, passed.round, sum(least(greatest(measuring, 0), 60) + CASE WHEN pause > 0 AND pause < 60 THEN pause ELSE 0 END) AS minutes
    FROM passed JOIN rounds ON rounds.item_id = passed.item_id AND rounds.round <= passed.round GROUP BY passed.item_id, passed.round
)
UPDATE inspections SET pass_rounds = spent.round, pass_minutes = round(spent.minutes)
FROM spent
WHERE inspections.item_id = spent.item_id AND inspections.round = spent.round AND inspections.stage = 'after_relief' AND inspections.superseded_by IS NULL;
