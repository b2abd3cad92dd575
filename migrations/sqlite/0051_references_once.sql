-- PostgreSQL looks for what reading sets and results name once a statement, from here
-- on. SQLite looks once a row as before: it costs little inside one process.
-- +goose Up
SELECT 1;
