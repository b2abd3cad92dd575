-- Goods in: what may come, from whom, what was found, what was decided, and
-- whether a lot adds up; photos and papers of any record.
-- +goose Up
CREATE TABLE materials (
    code       TEXT PRIMARY KEY NOT NULL CHECK (code <> ''),
    name       TEXT NOT NULL CHECK (name <> ''),
    roles      TEXT NOT NULL CHECK (json_valid(roles)),
    unit       TEXT NOT NULL CHECK (unit <> ''),
    plan       TEXT NOT NULL CHECK (json_valid(plan)),
    least      INTEGER NOT NULL CHECK (least >= 0),
    changed_at DATETIME NOT NULL,
    changed_by TEXT NOT NULL -- a person's id, or system
);
INSERT INTO materials (code, name, roles, unit, plan, least, changed_at, changed_by) VALUES
    ('spokes', 'spokes', '["spokes_a","spokes_b"]', 'pieces', '{"kind":""}', 0, '2026-01-01 00:00:00+00:00', 'system'),
    ('nipples', 'nipples', '["nipples"]', 'pieces', '{"kind":""}', 0, '2026-01-01 00:00:00+00:00', 'system'),
    ('rim', 'rims', '["rim"]', 'pieces', '{"kind":""}', 0, '2026-01-01 00:00:00+00:00', 'system'),
    ('blocks', 'blocks', '["block"]', 'pieces', '{"kind":""}', 0, '2026-01-01 00:00:00+00:00', 'system'),
    ('motors', 'motors', '["motor"]', 'pieces', '{"kind":""}', 0, '2026-01-01 00:00:00+00:00', 'system');

-- The register begins with the names that lots have.
CREATE TABLE suppliers (
    name     TEXT PRIMARY KEY NOT NULL CHECK (name <> ''),
    added_at DATETIME NOT NULL,
    added_by TEXT NOT NULL
);
INSERT INTO suppliers (name, added_at, added_by) SELECT supplier, min(received_at), 'system' FROM lots WHERE supplier <> '' GROUP BY supplier;

CREATE TABLE lot_checks (
    id         TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    lot_id     TEXT NOT NULL REFERENCES lots (id),
    plan       TEXT NOT NULL CHECK (json_valid(plan)),
    lot        INTEGER NOT NULL CHECK (lot >= 0),
    size       INTEGER NOT NULL CHECK (size >= 0),
    accept     INTEGER NOT NULL CHECK (accept >= 0),
    looked     INTEGER NOT NULL CHECK (looked >= 0),
    bad        TEXT NOT NULL CHECK (json_valid(bad)),
    verdict    TEXT NOT NULL CHECK (verdict IN ('accepted', 'rejected', 'unfinished')),
    note       TEXT NOT NULL,
    checked_by TEXT NOT NULL REFERENCES people (id),
    checked_at DATETIME NOT NULL
);
CREATE INDEX lot_checks_lot ON lot_checks (lot_id, checked_at);

CREATE TABLE lot_decisions (
    id         TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    lot_id     TEXT NOT NULL REFERENCES lots (id),
    decision   TEXT NOT NULL CHECK (decision IN ('accept', 'concession', 'quarantine', 'return')),
    check_id   TEXT REFERENCES lot_checks (id),
    quantity   INTEGER NOT NULL CHECK (quantity >= 0),
    reason     TEXT NOT NULL,
    decided_by TEXT NOT NULL REFERENCES people (id),
    decided_at DATETIME NOT NULL
);
CREATE INDEX lot_decisions_lot ON lot_decisions (lot_id, decided_at);

CREATE TABLE lot_scraps (
    id          TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    lot_id      TEXT NOT NULL REFERENCES lots (id),
    quantity    INTEGER NOT NULL CHECK (quantity >= 1),
    code        TEXT NOT NULL CHECK (code <> ''),
    reason      TEXT NOT NULL,
    scrapped_by TEXT NOT NULL REFERENCES people (id),
    scrapped_at DATETIME NOT NULL
);
CREATE INDEX lot_scraps_lot ON lot_scraps (lot_id, scrapped_at);

CREATE TABLE lot_counts (
    id         TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    lot_id     TEXT NOT NULL REFERENCES lots (id),
    counted    INTEGER NOT NULL CHECK (counted >= 0),
    expected   INTEGER NOT NULL, -- below zero where more was built in than came
    counted_by TEXT NOT NULL REFERENCES people (id),
    counted_at DATETIME NOT NULL
);
CREATE INDEX lot_counts_lot ON lot_counts (lot_id, counted_at);

CREATE TABLE lot_explanations (
    id           TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    lot_id       TEXT NOT NULL REFERENCES lots (id),
    count_id     TEXT REFERENCES lot_counts (id),
    difference   INTEGER NOT NULL,
    reason       TEXT NOT NULL CHECK (reason <> ''),
    explained_by TEXT NOT NULL REFERENCES people (id),
    explained_at DATETIME NOT NULL
);
CREATE INDEX lot_explanations_lot ON lot_explanations (lot_id, explained_at);

CREATE TABLE lot_mixes (
    id       TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    mix_id   TEXT NOT NULL REFERENCES lots (id),
    lot_id   TEXT NOT NULL REFERENCES lots (id),
    via_id   TEXT REFERENCES lots (id),
    quantity INTEGER NOT NULL,
    mixed_by TEXT NOT NULL REFERENCES people (id),
    mixed_at DATETIME NOT NULL,
    CHECK (mix_id <> lot_id),
    CHECK ((via_id IS NULL) = (quantity >= 1)) -- what came with another bin has no quantity of its own
);
CREATE INDEX lot_mixes_mix ON lot_mixes (mix_id);
CREATE INDEX lot_mixes_lot ON lot_mixes (lot_id);

CREATE TABLE attachments (
    id           TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    subject_kind TEXT NOT NULL CHECK (subject_kind <> ''),
    subject_id   TEXT NOT NULL,
    file_hash    TEXT NOT NULL REFERENCES files (hash),
    name         TEXT NOT NULL,
    note         TEXT NOT NULL,
    salt         TEXT NOT NULL,
    added_by     TEXT NOT NULL REFERENCES people (id),
    added_at     DATETIME NOT NULL,
    UNIQUE (subject_kind, subject_id, file_hash)
);
