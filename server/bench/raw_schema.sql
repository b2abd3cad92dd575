-- The tables of raw.pgbench, with the keys and checks that any such log would have. Nothing sweeps them: that
-- would run beside what is measured next, and they are gone a minute later.
CREATE TABLE bench_inspections (
    id      bigint PRIMARY KEY,
    serial  text NOT NULL,
    stage   text NOT NULL,
    person  text NOT NULL,
    verdict text NOT NULL,
    at      timestamptz NOT NULL
) WITH (autovacuum_enabled = false);
CREATE TABLE bench_readings (
    inspection_id bigint NOT NULL REFERENCES bench_inspections (id),
    code          text NOT NULL,
    spoke         integer NOT NULL,
    typed         text NOT NULL,
    value         double precision NOT NULL,
    PRIMARY KEY (inspection_id, code, spoke)
) WITH (autovacuum_enabled = false);
