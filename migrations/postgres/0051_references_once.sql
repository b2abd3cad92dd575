-- What reading sets and results name is looked for once a statement, not once a row.
-- A wheel has 39 of these rows, and PostgreSQL looked 44 times for one inspection and
-- a few gauges, which took more than half of the time of both inserts. What a foreign key kept
-- is kept, by the same error (foreign_key_violation): a row names what there is, and
-- what is named neither goes away nor changes its key. A row that is there keeps what
-- it names, and what is named is not emptied even with the rows themselves: a foreign
-- key would have let both.
-- +goose Up
ALTER TABLE results DROP CONSTRAINT results_inspection_id_fkey;
ALTER TABLE reading_sets
    DROP CONSTRAINT reading_sets_inspection_id_fkey,
    DROP CONSTRAINT reading_sets_instrument_id_fkey,
    DROP CONSTRAINT reading_sets_person_id_fkey;

-- As with a foreign key, the tables are those of this schema and the rights those of
-- who made them, whoever adds a row and whatever other tables of the same name they see.
-- So that nobody borrows these rights, each function first looks which table calls it:
-- PostgreSQL would let others put it on one of theirs, with casts of theirs.
SELECT set_config('search_path', quote_ident(current_schema()) || ', pg_temp', true);

-- Rows that were added together and name the same inspection stand together. What is
-- named is locked as a foreign key would lock it.
-- +goose StatementBegin
CREATE FUNCTION results_refer() RETURNS trigger LANGUAGE plpgsql SECURITY DEFINER SET search_path FROM CURRENT AS $$
DECLARE
    named uuid;
    last  uuid;
BEGIN
    IF TG_RELID <> CAST('results' AS regclass) THEN
        RAISE insufficient_privilege USING MESSAGE = 'not for this table';
    END IF;
    FOR named IN SELECT inspection_id FROM added LOOP
        CONTINUE WHEN named = last;
        PERFORM FROM inspections WHERE id = named FOR KEY SHARE;
        IF NOT FOUND THEN
            RAISE foreign_key_violation USING CONSTRAINT = 'results_inspection_id_fkey', MESSAGE = format('results break a constraint: there is no inspection %s', named);
        END IF;
        last := named;
    END LOOP;
    RETURN NULL;
END $$;
-- +goose StatementEnd

-- +goose StatementBegin
CREATE FUNCTION reading_sets_refer() RETURNS trigger LANGUAGE plpgsql SECURITY DEFINER SET search_path FROM CURRENT AS $$
DECLARE
    named  record;
    last   uuid;
    gauges uuid[] := '{}';
BEGIN
    IF TG_RELID <> CAST('reading_sets' AS regclass) THEN
        RAISE insufficient_privilege USING MESSAGE = 'not for this table';
    END IF;
    FOR named IN SELECT inspection_id, instrument_id, person_id FROM added LOOP
        IF last IS DISTINCT FROM named.inspection_id THEN
            PERFORM FROM inspections WHERE id = named.inspection_id FOR KEY SHARE;
            IF NOT FOUND THEN
                RAISE foreign_key_violation USING CONSTRAINT = 'reading_sets_inspection_id_fkey', MESSAGE = format('reading sets break a constraint: there is no inspection %s', named.inspection_id);
            END IF;
            last := named.inspection_id;
        END IF;
        IF named.instrument_id IS NOT NULL AND named.instrument_id <> ALL (gauges) THEN
            PERFORM FROM instruments WHERE id = named.instrument_id FOR KEY SHARE;
            IF NOT FOUND THEN
                RAISE foreign_key_violation USING CONSTRAINT = 'reading_sets_instrument_id_fkey', MESSAGE = format('reading sets break a constraint: there is no instrument %s', named.instrument_id);
            END IF;
            gauges := gauges || named.instrument_id;
        END IF;
        IF named.person_id IS NOT NULL THEN -- seldom: who read it was not who sent it
            PERFORM FROM people WHERE id = named.person_id FOR KEY SHARE;
            IF NOT FOUND THEN
                RAISE foreign_key_violation USING CONSTRAINT = 'reading_sets_person_id_fkey', MESSAGE = format('reading sets break a constraint: there is no person %s', named.person_id);
            END IF;
        END IF;
    END LOOP;
    RETURN NULL;
END $$;
-- +goose StatementEnd

CREATE TRIGGER results_refer AFTER INSERT ON results
    REFERENCING NEW TABLE AS added FOR EACH STATEMENT EXECUTE FUNCTION results_refer();
CREATE TRIGGER reading_sets_refer AFTER INSERT ON reading_sets
    REFERENCING NEW TABLE AS added FOR EACH STATEMENT EXECUTE FUNCTION reading_sets_refer();

-- +goose StatementBegin
CREATE FUNCTION keeps_what_it_names() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE foreign_key_violation USING CONSTRAINT = TG_NAME, MESSAGE = format('a constraint of %s: a row keeps its inspection, instrument and person', TG_TABLE_NAME);
END $$;
-- +goose StatementEnd
CREATE TRIGGER results_stay BEFORE UPDATE OF inspection_id ON results
    FOR EACH ROW WHEN (old.inspection_id <> new.inspection_id) EXECUTE FUNCTION keeps_what_it_names();
CREATE TRIGGER reading_sets_stay BEFORE UPDATE OF inspection_id, instrument_id, person_id ON reading_sets
    FOR EACH ROW WHEN ((old.inspection_id, old.instrument_id, old.person_id) IS DISTINCT FROM (new.inspection_id, new.instrument_id, new.person_id))
    EXECUTE FUNCTION keeps_what_it_names();

-- After what names it was asked for: who adds such a row holds what it names. A
-- transaction that looks at how things were when it began would not see the rows that
-- came since.
-- +goose StatementBegin
CREATE FUNCTION is_not_named() RETURNS trigger LANGUAGE plpgsql SECURITY DEFINER SET search_path FROM CURRENT AS $$
DECLARE
    named boolean;
BEGIN
    IF TG_RELID NOT IN (CAST('inspections' AS regclass), CAST('instruments' AS regclass), CAST('people' AS regclass)) THEN
        RAISE insufficient_privilege USING MESSAGE = 'not for this table';
    END IF;
    IF current_setting('transaction_isolation') IN ('repeatable read', 'serializable') THEN
        RAISE foreign_key_violation USING CONSTRAINT = TG_NAME, MESSAGE = format('a constraint of %s: what may be named is taken away at READ COMMITTED alone', TG_TABLE_NAME);
    ELSIF TG_OP = 'TRUNCATE' THEN
        named := CASE TG_TABLE_NAME
            WHEN 'inspections' THEN EXISTS (SELECT FROM results) OR EXISTS (SELECT FROM reading_sets)
            WHEN 'instruments' THEN EXISTS (SELECT FROM reading_sets WHERE instrument_id IS NOT NULL)
            ELSE EXISTS (SELECT FROM reading_sets WHERE person_id IS NOT NULL)
        END;
    ELSIF TG_TABLE_NAME = 'inspections' THEN
        named := EXISTS (SELECT FROM results WHERE inspection_id = old.id) OR EXISTS (SELECT FROM reading_sets WHERE inspection_id = old.id);
    ELSIF TG_TABLE_NAME = 'instruments' THEN
        named := EXISTS (SELECT FROM reading_sets WHERE instrument_id = old.id);
    ELSE
        named := EXISTS (SELECT FROM reading_sets WHERE person_id = old.id);
    END IF;
    IF named THEN
        RAISE foreign_key_violation USING CONSTRAINT = TG_NAME, MESSAGE = format('a constraint of %s: reading sets or results name what would go', TG_TABLE_NAME);
    END IF;
    RETURN NULL;
END $$;
-- +goose StatementEnd
CREATE TRIGGER inspections_named_go AFTER DELETE ON inspections FOR EACH ROW EXECUTE FUNCTION is_not_named();
CREATE TRIGGER inspections_named_stay AFTER UPDATE OF id ON inspections FOR EACH ROW WHEN (old.id <> new.id) EXECUTE FUNCTION is_not_named();
CREATE TRIGGER inspections_named_all BEFORE TRUNCATE ON inspections FOR EACH STATEMENT EXECUTE FUNCTION is_not_named();
CREATE TRIGGER instruments_named_go AFTER DELETE ON instruments FOR EACH ROW EXECUTE FUNCTION is_not_named();
CREATE TRIGGER instruments_named_stay AFTER UPDATE OF id ON instruments FOR EACH ROW WHEN (old.id <> new.id) EXECUTE FUNCTION is_not_named();
CREATE TRIGGER instruments_named_all BEFORE TRUNCATE ON instruments FOR EACH STATEMENT EXECUTE FUNCTION is_not_named();
CREATE TRIGGER people_named_go AFTER DELETE ON people FOR EACH ROW EXECUTE FUNCTION is_not_named();
CREATE TRIGGER people_named_stay AFTER UPDATE OF id ON people FOR EACH ROW WHEN (old.id <> new.id) EXECUTE FUNCTION is_not_named();
CREATE TRIGGER people_named_all BEFORE TRUNCATE ON people FOR EACH STATEMENT EXECUTE FUNCTION is_not_named();

REVOKE EXECUTE ON FUNCTION results_refer, reading_sets_refer, is_not_named FROM PUBLIC;
