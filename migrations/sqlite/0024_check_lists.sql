-- Check lists of complaints as the shop asks them, in numbered revisions; a claim
-- keeps which of them it was asked, where on the item it is, and a corrected item.
-- +goose Up
CREATE TABLE check_lists (
    id        TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    symptom   TEXT NOT NULL CHECK (symptom <> ''),
    revision  INTEGER NOT NULL CHECK (revision >= 1),
    questions TEXT NOT NULL CHECK (json_valid(questions)),
    otherwise TEXT NOT NULL CHECK (otherwise <> ''),
    reason    TEXT NOT NULL,
    made_at   DATETIME NOT NULL,
    made_by   TEXT NOT NULL REFERENCES people (id),
    UNIQUE (symptom, revision)
);

CREATE TABLE claim_events_anew (
    id         TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    claim_id   TEXT NOT NULL REFERENCES claims (id),
    what       TEXT NOT NULL CHECK (what IN ('linked', 'came_in', 'coded', 'where', 'decided', 'cost', 'part', 'closed')),
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
    made_by    TEXT NOT NULL,
    check_list INTEGER NOT NULL DEFAULT 0 CHECK (check_list >= 0), -- revision that was asked; 0 is the shipped one
    spot       TEXT NOT NULL DEFAULT ''
);
INSERT INTO claim_events_anew SELECT *, 0, '' FROM claim_events;
DROP TABLE claim_events;
ALTER TABLE claim_events_anew RENAME TO claim_events;
CREATE INDEX claim_events_claim ON claim_events (claim_id, id);
