-- Claims: what customers say is wrong, and what became of it.
-- +goose Up
CREATE TABLE claim_counters (
    year INTEGER PRIMARY KEY NOT NULL,
    last INTEGER NOT NULL
);

CREATE TABLE claims (
    id           TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    number       TEXT NOT NULL UNIQUE,
    kind         TEXT NOT NULL CHECK (kind <> ''),
    product      TEXT NOT NULL,
    motor_number TEXT NOT NULL,
    order_ref    TEXT NOT NULL,
    customer     TEXT NOT NULL, -- a key that may be erased
    words_hash   TEXT NOT NULL,
    opened_at    DATETIME NOT NULL,
    opened_by    TEXT NOT NULL,
    item_id      TEXT REFERENCES items (id), -- derived
    state        TEXT NOT NULL CHECK (state IN ('open', 'decided', 'closed')) -- derived
);
CREATE INDEX claims_item ON claims (item_id, opened_at) WHERE item_id IS NOT NULL;
CREATE INDEX claims_open ON claims (opened_at) WHERE state <> 'closed';
CREATE INDEX claims_opened ON claims (opened_at);
CREATE INDEX claims_motor ON claims (motor_number) WHERE motor_number <> '';
CREATE INDEX claims_order ON claims (order_ref) WHERE order_ref <> '';

-- The one part of a claim that can be erased.
CREATE TABLE claim_words (
    claim_id TEXT PRIMARY KEY NOT NULL REFERENCES claims (id),
    words    TEXT NOT NULL,
    salt     TEXT NOT NULL
);

CREATE TABLE claim_events (
    id         TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    claim_id   TEXT NOT NULL REFERENCES claims (id),
    what       TEXT NOT NULL CHECK (what IN ('linked', 'came_in', 'coded', 'decided', 'cost', 'part', 'closed')),
    item_id    TEXT REFERENCES items (id),
    came_on    TEXT NOT NULL,
    hold_id    TEXT REFERENCES holds (id),
    symptom    TEXT NOT NULL,
    answers    TEXT NOT NULL CHECK (json_valid(answers)),
    code       TEXT NOT NULL,
    decision   TEXT NOT NULL CHECK (decision IN ('', 'accept', 'goodwill', 'reject', 'no_fault')),
    reason     TEXT NOT NULL,
    amount     TEXT NOT NULL,
    currency   TEXT NOT NULL,
    removal_id TEXT REFERENCES part_removals (id),
    made_at    DATETIME NOT NULL,
    made_by    TEXT NOT NULL
);
CREATE INDEX claim_events_claim ON claim_events (claim_id, id);
