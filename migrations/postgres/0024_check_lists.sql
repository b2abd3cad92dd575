-- Check lists of complaints as the shop asks them, in numbered revisions; a claim
-- keeps which of them it was asked, where on the item it is, and a corrected item.
-- +goose Up
CREATE TABLE check_lists (
    id        uuid PRIMARY KEY,
    symptom   text NOT NULL CHECK (symptom <> ''),
    revision  integer NOT NULL CHECK (revision >= 1),
    questions json NOT NULL,
    otherwise text NOT NULL CHECK (otherwise <> ''),
    reason    text NOT NULL,
    made_at   timestamptz(3) NOT NULL,
    made_by   uuid NOT NULL REFERENCES people (id),
    UNIQUE (symptom, revision)
);

ALTER TABLE claim_events DROP CONSTRAINT claim_events_what_check;
ALTER TABLE claim_events ADD CONSTRAINT claim_events_what_check CHECK (what IN ('linked', 'came_in', 'coded', 'where', 'decided', 'cost', 'part', 'closed'));
ALTER TABLE claim_events ADD COLUMN check_list integer NOT NULL DEFAULT 0 CHECK (check_list >= 0); -- revision that was asked; 0 is the shipped one
ALTER TABLE claim_events ADD COLUMN spot text NOT NULL DEFAULT '';
