-- Claims: what customers say is wrong, and what became of it.
-- +goose Up
CREATE TABLE claim_counters (
    year integer PRIMARY KEY,
    last integer NOT NULL
);

CREATE TABLE claims (
    id           uuid PRIMARY KEY,
    number       text NOT NULL UNIQUE,
    kind         text NOT NULL CHECK (kind <> ''),
    product      text NOT NULL,
    motor_number text NOT NULL,
    order_ref    text NOT NULL,
    customer     text NOT NULL, -- a key that may be erased
    words_hash   text NOT NULL,
    opened_at    timestamptz(3) NOT NULL,
    opened_by    text NOT NULL,
    item_id      uuid REFERENCES items (id), -- derived
    state        text NOT NULL CHECK (state IN ('open', 'decided', 'closed')) -- derived
);
CREATE INDEX claims_item ON claims (item_id, opened_at) WHERE item_id IS NOT NULL;
CREATE INDEX claims_open ON claims (opened_at) WHERE state <> 'closed';
CREATE INDEX claims_opened ON claims (opened_at);
CREATE INDEX claims_motor ON claims (motor_number) WHERE motor_number <> '';
CREATE INDEX claims_order ON claims (order_ref) WHERE order_ref <> '';

-- The one part of a claim that can be erased.
CREATE TABLE claim_words (
    claim_id uuid PRIMARY KEY REFERENCES claims (id),
    words    text NOT NULL,
    salt     text NOT NULL
);

CREATE TABLE claim_events (
    id         uuid PRIMARY KEY,
    claim_id   uuid NOT NULL REFERENCES claims (id),
    what       text NOT NULL CHECK (what IN ('linked', 'came_in', 'coded', 'decided', 'cost', 'part', 'closed')),
    item_id    uuid REFERENCES items (id),
    came_on    text NOT NULL,
    hold_id    uuid REFERENCES holds (id),
    symptom    text NOT NULL,
    answers    json NOT NULL,
    code       text NOT NULL,
    decision   text NOT NULL CHECK (decision IN ('', 'accept', 'goodwill', 'reject', 'no_fault')),
    reason     text NOT NULL,
    amount     text NOT NULL,
    currency   text NOT NULL,
    removal_id uuid REFERENCES part_removals (id),
    made_at    timestamptz(3) NOT NULL,
    made_by    text NOT NULL
);
CREATE INDEX claim_events_claim ON claim_events (claim_id, id);
