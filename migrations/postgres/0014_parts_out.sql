-- Parts that are taken out again: added to the record, never edited away.
-- +goose Up
INSERT INTO item_states (state) VALUES ('scrapped'), ('returned_to_supplier');

ALTER TABLE fitted_parts ADD COLUMN reason text NOT NULL DEFAULT ''; -- why more was used than the lot had
ALTER TABLE fitted_parts ADD COLUMN taken_out integer NOT NULL DEFAULT 0 CHECK (taken_out >= 0); -- derived: pieces
ALTER TABLE fitted_parts ADD COLUMN out_at timestamptz(3); -- derived: when the last piece went
CREATE INDEX fitted_parts_out ON fitted_parts (out_at) WHERE out_at IS NOT NULL;

-- What was made of a product, in the order of time.
CREATE INDEX items_product ON items (product_id, created_at) WHERE product_id IS NOT NULL;

CREATE TABLE part_removals (
    id         uuid PRIMARY KEY,
    fitted_id  uuid NOT NULL REFERENCES fitted_parts (id),
    item_id    uuid NOT NULL REFERENCES items (id),
    quantity   integer NOT NULL CHECK (quantity >= 1),
    code       text NOT NULL CHECK (code <> ''),
    reason     text NOT NULL,
    fate       text NOT NULL CHECK (fate IN ('stock', 'scrap', 'supplier', 'never_in')),
    removed_at timestamptz(3) NOT NULL,
    removed_by text NOT NULL
);
CREATE INDEX part_removals_item ON part_removals (item_id);
CREATE INDEX part_removals_fitted ON part_removals (fitted_id);
