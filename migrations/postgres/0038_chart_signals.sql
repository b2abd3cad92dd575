-- Signals of the watched charts, kept so that nobody who asks what needs them
-- waits while two hundred charts are drawn. Derived, so no entry of the log speaks
-- of them: "tracewright rebuild" finds the same anew.
-- +goose Up

-- One row a chart that was computed. seen is how many entries of the sealed log
-- were known when its values were read: of two servers the one that knew more stays.
CREATE TABLE watched_charts (
    family_id   uuid NOT NULL REFERENCES families (id),
    product_id  text COLLATE "C" NOT NULL, -- empty: every product
    place       text COLLATE "C" NOT NULL, -- empty: every stand
    result      text COLLATE "C" NOT NULL CHECK (result <> ''),
    seen        bigint NOT NULL CHECK (seen >= 0),
    computed_at timestamptz(3) NOT NULL,
    PRIMARY KEY (family_id, product_id, place, result)
);

CREATE TABLE chart_signals (
    family_id     uuid NOT NULL,
    product_id    text COLLATE "C" NOT NULL,
    place         text COLLATE "C" NOT NULL,
    result        text COLLATE "C" NOT NULL,
    rule          text COLLATE "C" NOT NULL CHECK (rule <> ''),
    side          text COLLATE "C" NOT NULL,
    inspection_id uuid NOT NULL REFERENCES inspections (id),
    item_id       uuid NOT NULL REFERENCES items (id),
    serial        text COLLATE "C" NOT NULL,
    measured_at   timestamptz(3) NOT NULL,
    since         timestamptz(3) NOT NULL,
    reason        json NOT NULL,
    settled       boolean NOT NULL, -- as its chart had it; a cause given since counts too
    PRIMARY KEY (family_id, product_id, place, result, rule, side, inspection_id),
    FOREIGN KEY (family_id, product_id, place, result) REFERENCES watched_charts (family_id, product_id, place, result) ON DELETE CASCADE
);
CREATE INDEX chart_signals_measured ON chart_signals (measured_at);
CREATE INDEX chart_signals_open ON chart_signals (measured_at) WHERE NOT settled;
-- Whether somebody gave a signal's cause.
CREATE INDEX signal_causes_inspection ON signal_causes (inspection_id);

-- How much of the sealed log every watched chart has taken in, and what they were
-- judged by: limits follow the budget of false alarms, and a later program may judge
-- otherwise.
CREATE TABLE chart_marks (
    one   integer PRIMARY KEY CHECK (one = 1),
    seen  bigint NOT NULL CHECK (seen >= 0),
    rules text NOT NULL
);

-- The newest first sets of a product at a stand, and of packs and blocks those of a
-- stand or a product, without a look at those of others.
CREATE INDEX inspections_first_sets_product_place ON inspections (product_id, place, measured_at, id) WHERE first_set;
CREATE INDEX inspections_first_rounds_place ON inspections (family_id, place, measured_at, id) WHERE round = 1 AND stage IN ('final', 'incoming');
CREATE INDEX inspections_first_rounds_product ON inspections (product_id, measured_at, id) WHERE round = 1 AND stage IN ('final', 'incoming');
-- Products keep to their family and mostly to a stand: without being told, the
-- planner takes them for independent and expects far too few.
CREATE STATISTICS inspections_where (mcv) ON family_id, product_id, place, first_set FROM inspections;
