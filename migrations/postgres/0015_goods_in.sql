-- Goods in: what may come, from whom, what was found, what was decided, and
-- whether a lot adds up; photos and papers of any record.
-- +goose Up
CREATE TABLE materials (
    code       text COLLATE "C" PRIMARY KEY CHECK (code <> ''),
    name       text NOT NULL CHECK (name <> ''),
    roles      json NOT NULL,
    unit       text NOT NULL CHECK (unit <> ''),
    plan       json NOT NULL,
    least      integer NOT NULL CHECK (least >= 0),
    changed_at timestamptz(3) NOT NULL,
    changed_by text NOT NULL -- a person's id, or system
);
INSERT INTO materials (code, name, roles, unit, plan, least, changed_at, changed_by) VALUES
    ('spokes', 'spokes', '["spokes_a","spokes_b"]', 'pieces', '{"kind":""}', 0, '2026-01-01 00:00:00+00', 'system'),
    ('nipples', 'nipples', '["nipples"]', 'pieces', '{"kind":""}', 0, '2026-01-01 00:00:00+00', 'system'),
    ('rim', 'rims', '["rim"]', 'pieces', '{"kind":""}', 0, '2026-01-01 00:00:00+00', 'system'),
    ('blocks', 'blocks', '["block"]', 'pieces', '{"kind":""}', 0, '2026-01-01 00:00:00+00', 'system'),
    ('motors', 'motors', '["motor"]', 'pieces', '{"kind":""}', 0, '2026-01-01 00:00:00+00', 'system');

-- The register begins with the names that lots have.
CREATE TABLE suppliers (
    name     text COLLATE "C" PRIMARY KEY CHECK (name <> ''),
    added_at timestamptz(3) NOT NULL,
    added_by text NOT NULL
);
INSERT INTO suppliers (name, added_at, added_by) SELECT supplier, min(received_at), 'system' FROM lots WHERE supplier <> '' GROUP BY supplier;

CREATE TABLE lot_checks (
    id         uuid PRIMARY KEY,
    lot_id     uuid NOT NULL REFERENCES lots (id),
    plan       json NOT NULL,
    lot        integer NOT NULL CHECK (lot >= 0),
    size       integer NOT NULL CHECK (size >= 0),
    accept     integer NOT NULL CHECK (accept >= 0),
    looked     integer NOT NULL CHECK (looked >= 0),
    bad        json NOT NULL,
    verdict    text NOT NULL CHECK (verdict IN ('accepted', 'rejected', 'unfinished')),
    note       text NOT NULL,
    checked_by uuid NOT NULL REFERENCES people (id),
    checked_at timestamptz(3) NOT NULL
);
CREATE INDEX lot_checks_lot ON lot_checks (lot_id, checked_at);

CREATE TABLE lot_decisions (
    id         uuid PRIMARY KEY,
    lot_id     uuid NOT NULL REFERENCES lots (id),
    decision   text NOT NULL CHECK (decision IN ('accept', 'concession', 'quarantine', 'return')),
    check_id   uuid REFERENCES lot_checks (id),
    quantity   integer NOT NULL CHECK (quantity >= 0),
    reason     text NOT NULL,
    decided_by uuid NOT NULL REFERENCES people (id),
    decided_at timestamptz(3) NOT NULL
);
CREATE INDEX lot_decisions_lot ON lot_decisions (lot_id, decided_at);

CREATE TABLE lot_scraps (
    id          uuid PRIMARY KEY,
    lot_id      uuid NOT NULL REFERENCES lots (id),
    quantity    integer NOT NULL CHECK (quantity >= 1),
    code        text NOT NULL CHECK (code <> ''),
    reason      text NOT NULL,
    scrapped_by uuid NOT NULL REFERENCES people (id),
    scrapped_at timestamptz(3) NOT NULL
);
CREATE INDEX lot_scraps_lot ON lot_scraps (lot_id, scrapped_at);

CREATE TABLE lot_counts (
    id         uuid PRIMARY KEY,
    lot_id     uuid NOT NULL REFERENCES lots (id),
    counted    integer NOT NULL CHECK (counted >= 0),
    expected   integer NOT NULL, -- below zero where more was built in than came
    counted_by uuid NOT NULL REFERENCES people (id),
    counted_at timestamptz(3) NOT NULL
);
CREATE INDEX lot_counts_lot ON lot_counts (lot_id, counted_at);

CREATE TABLE lot_explanations (
    id           uuid PRIMARY KEY,
    lot_id       uuid NOT NULL REFERENCES lots (id),
    count_id     uuid REFERENCES lot_counts (id),
    difference   integer NOT NULL,
    reason       text NOT NULL CHECK (reason <> ''),
    explained_by uuid NOT NULL REFERENCES people (id),
    explained_at timestamptz(3) NOT NULL
);
CREATE INDEX lot_explanations_lot ON lot_explanations (lot_id, explained_at);

CREATE TABLE lot_mixes (
    id       uuid PRIMARY KEY,
    mix_id   uuid NOT NULL REFERENCES lots (id),
    lot_id   uuid NOT NULL REFERENCES lots (id),
    via_id   uuid REFERENCES lots (id),
    quantity integer NOT NULL,
    mixed_by uuid NOT NULL REFERENCES people (id),
    mixed_at timestamptz(3) NOT NULL,
    CHECK (mix_id <> lot_id),
    CHECK ((via_id IS NULL) = (quantity >= 1)) -- what came with another bin has no quantity of its own
);
CREATE INDEX lot_mixes_mix ON lot_mixes (mix_id);
CREATE INDEX lot_mixes_lot ON lot_mixes (lot_id);

CREATE TABLE attachments (
    id           uuid PRIMARY KEY,
    subject_kind text NOT NULL CHECK (subject_kind <> ''),
    subject_id   uuid NOT NULL,
    file_hash    text NOT NULL REFERENCES files (hash),
    name         text NOT NULL,
    note         text NOT NULL,
    salt         text NOT NULL,
    added_by     uuid NOT NULL REFERENCES people (id),
    added_at     timestamptz(3) NOT NULL,
    UNIQUE (subject_kind, subject_id, file_hash)
);
