-- Signals of the watched charts, kept so that nobody who asks what needs them
-- waits while two hundred charts are drawn. Derived, so no entry of the log speaks
-- of them: "tracewright rebuild" finds the same anew.
-- +goose Up

-- One row a chart that was computed. seen is how many entries of the sealed log
-- were known when its values were read: of two servers the one that knew more stays.
CREATE TABLE watched_charts (
    family_id   TEXT NOT NULL REFERENCES families (id),
    product_id  TEXT NOT NULL, -- empty: every product
    place       TEXT NOT NULL, -- empty: every stand
    result      TEXT NOT NULL CHECK (result <> ''),
    seen        INTEGER NOT NULL CHECK (seen >= 0),
    computed_at DATETIME NOT NULL,
    PRIMARY KEY (family_id, product_id, place, result)
) WITHOUT ROWID;

CREATE TABLE chart_signals (
    family_id     TEXT NOT NULL,
    product_id    TEXT NOT NULL,
    place         TEXT NOT NULL,
    result        TEXT NOT NULL,
    rule          TEXT NOT NULL CHECK (rule <> ''),
    side          TEXT NOT NULL,
    inspection_id TEXT NOT NULL REFERENCES inspections (id),
    item_id       TEXT NOT NULL REFERENCES items (id),
    serial        TEXT NOT NULL,
    measured_at   DATETIME NOT NULL,
    since         DATETIME NOT NULL,
    reason        TEXT NOT NULL CHECK (json_valid(reason)),
    settled       BOOLEAN NOT NULL CHECK (settled IN (0, 1)), -- as its chart had it; a cause given since counts too
    PRIMARY KEY (family_id, product_id, place, result, rule, side, inspection_id),
    FOREIGN KEY (family_id, product_id, place, result) REFERENCES watched_charts (family_id, product_id, place, result) ON DELETE CASCADE
) WITHOUT ROWID;
CREATE INDEX chart_signals_measured ON chart_signals (measured_at);
CREATE INDEX chart_signals_open ON chart_signals (measured_at) WHERE NOT settled;
-- Whether somebody gave a signal's cause.
CREATE INDEX signal_causes_inspection ON signal_causes (inspection_id);

-- How much of the sealed log every watched chart has taken in, and what they were
-- judged by: limits follow the budget of false alarms, and a later program may judge
-- otherwise.
CREATE TABLE chart_marks (
    one   INTEGER PRIMARY KEY CHECK (one = 1),
    seen  INTEGER NOT NULL CHECK (seen >= 0),
    rules TEXT NOT NULL
);

-- The newest first sets of a product at a stand, and of packs and blocks those of a
-- stand or a product, without a look at those of others.
CREATE INDEX inspections_first_sets_product_place ON inspections (product_id, place, measured_at, id) WHERE first_set;
CREATE INDEX inspections_first_rounds_place ON inspections (family_id, place, measured_at, id) WHERE round = 1 AND stage IN ('final', 'incoming');
CREATE INDEX inspections_first_rounds_product ON inspections (product_id, measured_at, id) WHERE round = 1 AND stage IN ('final', 'incoming');
