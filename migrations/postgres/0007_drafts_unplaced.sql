-- Inspections in the making, and those that could not be placed.
-- +goose Up
CREATE TABLE drafts (
    id         uuid PRIMARY KEY, -- of the inspection it becomes
    version    integer NOT NULL CHECK (version >= 1),
    serial     text COLLATE "C" NOT NULL,
    kind       text NOT NULL,
    stage      text NOT NULL,
    person_id  uuid NOT NULL REFERENCES people (id),
    device_id  uuid REFERENCES devices (id),
    content    json NOT NULL,
    created_at timestamptz(3) NOT NULL,
    updated_at timestamptz(3) NOT NULL,
    closed_at  timestamptz(3)
);
CREATE INDEX drafts_open ON drafts (updated_at) WHERE closed_at IS NULL;

CREATE TABLE unplaced (
    id          uuid PRIMARY KEY, -- of the inspection it was sent as
    content     json NOT NULL,
    sent_hash   text NOT NULL,
    cause       json NOT NULL,
    person_id   uuid NOT NULL REFERENCES people (id),
    device_id   uuid REFERENCES devices (id),
    offset_ms   bigint NOT NULL,
    received_at timestamptz(3) NOT NULL
);
CREATE INDEX unplaced_received ON unplaced (received_at);

CREATE TABLE unplaced_settlements (
    unplaced_id   uuid PRIMARY KEY REFERENCES unplaced (id),
    inspection_id uuid REFERENCES inspections (id),
    reason        text NOT NULL,
    settled_by    uuid NOT NULL REFERENCES people (id),
    settled_at    timestamptz(3) NOT NULL
);
