-- Turn lists, what was turned of them, and what the next readings taught;
-- rounds and minutes until a wheel first passes.
-- +goose Up
CREATE TABLE turn_lists (
    id            TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    inspection_id TEXT NOT NULL REFERENCES inspections (id),
    item_id       TEXT NOT NULL REFERENCES items (id),
    n             INTEGER NOT NULL CHECK (n >= 1),
    rim_type      TEXT NOT NULL,
    short         INTEGER NOT NULL CHECK (short >= 1),
    content       TEXT NOT NULL, -- JSON, byte for byte
    content_hash  TEXT NOT NULL,
    made_by       TEXT NOT NULL REFERENCES people (id),
    made_at       DATETIME NOT NULL,
    UNIQUE (inspection_id, n)
);
CREATE INDEX turn_lists_item ON turn_lists (item_id);

CREATE TABLE turn_dones (
    id           TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    turn_list_id TEXT NOT NULL REFERENCES turn_lists (id),
    list         TEXT NOT NULL CHECK (list IN ('short', 'all')),
    n            INTEGER NOT NULL CHECK (n >= 1),
    turned       BOOLEAN NOT NULL,
    done_by      TEXT NOT NULL REFERENCES people (id),
    done_at      DATETIME NOT NULL
);
CREATE INDEX turn_dones_list ON turn_dones (turn_list_id);

CREATE TABLE turn_rounds (
    inspection_id TEXT PRIMARY KEY NOT NULL CHECK (length(inspection_id) = 36) REFERENCES inspections (id),
    turn_list_id  TEXT NOT NULL REFERENCES turn_lists (id),
    item_id       TEXT NOT NULL REFERENCES items (id),
    rim_type      TEXT NOT NULL,
    tension_scale REAL,
    lateral_scale REAL,
    radial_scale  REAL,
    teaches       BOOLEAN NOT NULL,
    stop          BOOLEAN NOT NULL,
    cause         TEXT NOT NULL,
    content       TEXT NOT NULL,
    content_hash  TEXT NOT NULL,
    compared_by   TEXT NOT NULL REFERENCES people (id),
    compared_at   DATETIME NOT NULL
);
CREATE INDEX turn_rounds_item ON turn_rounds (item_id);
CREATE INDEX turn_rounds_list ON turn_rounds (turn_list_id);
CREATE INDEX turn_rounds_rim_type ON turn_rounds (rim_type, compared_at) WHERE teaches;

CREATE TABLE turn_answers (
    id            TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    inspection_id TEXT NOT NULL REFERENCES turn_rounds (inspection_id),
    cause         TEXT NOT NULL CHECK (cause <> ''),
    settles       BOOLEAN NOT NULL,
    answered_by   TEXT NOT NULL REFERENCES people (id),
    answered_at   DATETIME NOT NULL
);
CREATE INDEX turn_answers_inspection ON turn_answers (inspection_id);

-- Read with the item when an inspection comes in, so that a wheel without an
-- open list costs no question more.
ALTER TABLE items ADD COLUMN turns_open TEXT REFERENCES turn_lists (id);

ALTER TABLE inspections ADD COLUMN pass_rounds INTEGER NOT NULL DEFAULT 0;
ALTER TABLE inspections ADD COLUMN pass_minutes INTEGER NOT NULL DEFAULT 0;

-- What the program derives from now on, for the inspections that are there
-- already: rounds until the first pass after relief, and minutes of measuring
-- and of pauses, each no longer than an hour.
WITH rounds AS (
    SELECT item_id, round, verdict, round(86400000 * (julianday(measured_at) - julianday(started_at))) / 60000 AS measuring,
        round(86400000 * (julianday(started_at) - julianday(lag(measured_at) OVER earlier))) / 60000 AS pause
    FROM inspections WHERE stage = 'after_relief' AND superseded_by IS NULL
    WINDOW earlier AS (PARTITION BY item_id ORDER BY measured_at, id)
), passed AS (
    SELECT item_id, min(round) AS round FROM rounds WHERE verdict IN ('pass', 'provisional') GROUP BY item_id
), spent AS (
    SELECT passed.item_id, passed.round, sum(min(max(measuring, 0), 60) + CASE WHEN pause > 0 AND pause < 60 THEN pause ELSE 0 END) AS minutes
    FROM passed JOIN rounds ON rounds.item_id = passed.item_id AND rounds.round <= passed.round GROUP BY passed.item_id, passed.round
)
UPDATE inspections SET pass_rounds = spent.round, pass_minutes = CAST(round(spent.minutes) AS INTEGER)
FROM spent
WHERE inspections.item_id = spent.item_id AND inspections.round = spent.round AND inspections.stage = 'after_relief' AND inspections.superseded_by IS NULL;
