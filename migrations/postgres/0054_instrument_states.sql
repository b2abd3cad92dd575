-- Every state that an instrument was put into, with the moment from which it counts:
-- what was measured is judged by how its gauge stood then. Of instruments that are
-- there the present state is all that is known, since the last change of their entry.
-- +goose Up
CREATE TABLE instrument_states (
    instrument_id uuid NOT NULL REFERENCES instruments (id),
    n             integer NOT NULL CHECK (n >= 1),
    state         text NOT NULL CHECK (state IN ('in_use', 'out', 'retired')),
    out_note      text NOT NULL,
    since         timestamptz(3) NOT NULL,
    entered_at    timestamptz(3) NOT NULL,
    entered_by    text NOT NULL,
    PRIMARY KEY (instrument_id, n)
);
INSERT INTO instrument_states (instrument_id, n, state, out_note, since, entered_at, entered_by)
SELECT i.id, 1, i.state, i.out_note, COALESCE(e.at, i.created_at), COALESCE(e.at, i.created_at), COALESCE(e.actor, i.created_by)
FROM instruments AS i LEFT JOIN trail_entries AS e ON e.id =
    (SELECT x.id FROM trail_entries AS x WHERE x.subject = CAST(i.id AS text) AND x.kind = 'instrument' ORDER BY x.at DESC, x.id DESC LIMIT 1);
