-- Counts of what first sets brought and of what was found wrong, by day of the
-- shop. All of it follows from the records: no digest covers it, nothing refers to
-- it, and "tracewright rebuild" makes it anew. What is counted stands in the
-- comments of models.Tally, DefectTally and LotTally.
-- +goose Up
CREATE TABLE tallies (
    family_id  text COLLATE "C" NOT NULL,
    day        text COLLATE "C" NOT NULL CHECK (length(day) = 10),
    stage      text COLLATE "C" NOT NULL,
    product_id text COLLATE "C" NOT NULL,
    place      text COLLATE "C" NOT NULL,
    person_id  text COLLATE "C" NOT NULL,
    inspected  integer NOT NULL,
    passed     integer NOT NULL,
    failed     integer NOT NULL,
    finished   integer NOT NULL,
    rounds     integer NOT NULL,
    minutes    integer NOT NULL,
    rework     integer NOT NULL,
    PRIMARY KEY (family_id, day, stage, product_id, place, person_id)
);

CREATE TABLE defect_tallies (
    family_id  text COLLATE "C" NOT NULL,
    day        text COLLATE "C" NOT NULL CHECK (length(day) = 10),
    source     text COLLATE "C" NOT NULL CHECK (source IN ('first_set', 'result', 'nonconformity', 'claim')),
    code       text COLLATE "C" NOT NULL,
    stage      text COLLATE "C" NOT NULL,
    product_id text COLLATE "C" NOT NULL,
    place      text COLLATE "C" NOT NULL,
    person_id  text COLLATE "C" NOT NULL,
    severity   text COLLATE "C" NOT NULL,
    currency   text COLLATE "C" NOT NULL,
    items      integer NOT NULL,
    rework     double precision NOT NULL,
    rework_sq  double precision NOT NULL,
    priced     integer NOT NULL,
    amount     text COLLATE "C" NOT NULL,
    amount_sq  double precision NOT NULL,
    PRIMARY KEY (family_id, day, source, code, stage, product_id, place, person_id, severity, currency)
);

CREATE TABLE lot_tallies (
    family_id  text COLLATE "C" NOT NULL,
    day        text COLLATE "C" NOT NULL CHECK (length(day) = 10),
    stage      text COLLATE "C" NOT NULL,
    lot_id     text COLLATE "C" NOT NULL,
    product_id text COLLATE "C" NOT NULL,
    passed     integer NOT NULL,
    failed     integer NOT NULL,
    PRIMARY KEY (family_id, day, stage, lot_id, product_id)
);

-- Days of a family that are to be summed up anew. An inspection writes nothing
-- here: the log of changes tells which days changed.
CREATE TABLE tally_days (
    family_id text COLLATE "C" NOT NULL,
    day       text COLLATE "C" NOT NULL CHECK (length(day) = 10),
    PRIMARY KEY (family_id, day)
);

-- Up to which entry of the log the days above are marked, and the zone that days
-- are cut by; empty before the first time.
CREATE TABLE tally_states (
    one  integer PRIMARY KEY CHECK (one = 1),
    zone text COLLATE "C" NOT NULL,
    seq  bigint NOT NULL
);
INSERT INTO tally_states (one, zone, seq) VALUES (1, '', -1);
