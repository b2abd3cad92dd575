-- Labels and papers that were printed, the first time and every further time.
-- +goose Up
CREATE TABLE label_prints (
    id         uuid PRIMARY KEY,
    what       text NOT NULL CHECK (what IN ('item', 'hub_mark', 'lot', 'roll', 'certificate')),
    subject_id uuid NOT NULL,
    size       text NOT NULL,
    place      integer NOT NULL CHECK (place >= 0),
    n          integer NOT NULL CHECK (n >= 1),
    first      text NOT NULL,
    last       text NOT NULL,
    printed_by uuid NOT NULL REFERENCES people (id),
    printed_at timestamptz(3) NOT NULL
);
CREATE INDEX label_prints_subject ON label_prints (subject_id);
-- Where a half-used sheet goes on.
CREATE INDEX label_prints_sheet ON label_prints (size, id) WHERE place > 0;

-- What was made today, to print its labels together.
CREATE INDEX items_made ON items (created_at) WHERE serial IS NOT NULL;
