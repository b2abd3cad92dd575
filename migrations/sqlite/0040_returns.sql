-- What left the shop, counted: how many items of a family went first on a day, and
-- how many of them held pieces of a lot. Derived from shipments, packings and parts,
-- and made again from them at any time: no records, and in no log.
-- +goose Up
CREATE TABLE shipped_days (
    family_id TEXT NOT NULL REFERENCES families (id),
    day       TEXT NOT NULL, -- in the shop's zone, YYYY-MM-DD
    units     INTEGER NOT NULL CHECK (units > 0),
    PRIMARY KEY (family_id, day)
) WITHOUT ROWID;
CREATE INDEX shipped_days_day ON shipped_days (day);

CREATE TABLE shipped_lot_days (
    family_id TEXT NOT NULL REFERENCES families (id),
    lot_id    TEXT NOT NULL REFERENCES lots (id),
    day       TEXT NOT NULL,
    units     INTEGER NOT NULL CHECK (units > 0),
    PRIMARY KEY (family_id, lot_id, day)
) WITHOUT ROWID;
CREATE INDEX shipped_lot_days_day ON shipped_lot_days (day);

-- Up to when they were counted, and in which zone a day was a day.
CREATE TABLE shipped_counted (
    one   INTEGER PRIMARY KEY NOT NULL CHECK (one = 1),
    zone  TEXT NOT NULL,
    until DATETIME NOT NULL
);

CREATE INDEX shipment_voids_voided ON shipment_voids (voided_at);
